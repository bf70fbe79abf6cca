//! A run as it will lie on the wall, and where its metal, its laps and its cuts put hardware.
//!
//! A mitre or a gable cut ends every line of the run elsewhere, so each line asks the cut where its own metal ends: inside
//! the run's end, or past it where an outside corner's leg sticks out.

use super::Spacings;
use super::practice::{Along, Fastener, Line};
use super::spread::{Grid, Lap, Seams, Spread};
use crate::trade::cut::Cut;
use crate::trade::length::Length;
use crate::trade::section::{Edge, Flat, LegName, Section};
use crate::trade::trim::Trim;

/// An end of a run as it will lie.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum LaidEnd<'a> {
    Square,
    /// Closed by a tab, as a return or an end dam is: the tab is no part of the run, its corner is sealed.
    Tab {
        depth: Length,
    },
    /// Taped and screwed along its cut, which takes `width` from the lower edge and nothing at the bend.
    Gable {
        width: Length,
        cut: &'a Cut,
    },
    /// Meets another run along its cut.
    Mitre {
        cut: &'a Cut,
    },
}

/// A run as it will lie, from its left end.
#[derive(Debug, Clone, PartialEq)]
pub struct LaidRun<'a> {
    pub trim: Trim,
    pub length: Length,
    /// Left to right.
    pub laps: Vec<Lap>,
    /// Left and right.
    pub ends: [LaidEnd<'a>; 2],
    /// Where the run crosses the panels' high seams, if it is known.
    pub seams: Option<Seams>,
    pub section: &'a Section,
    pub flat: &'a Flat,
}

/// A line along a leg.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Track {
    /// From the edge it is told from.
    pub off_edge: Length,
    /// The leg's width, and how much of it is above the line.
    pub leg: Length,
    pub down: Length,
    /// On the blank, from the datum edge.
    pub y: Length,
    /// The metal on it, from the run's left end; beyond either end of the run where the metal is.
    pub from: Length,
    pub to: Length,
}

/// The fasteners of one line.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Placed {
    pub line: Line,
    pub grid: Grid,
    pub track: Track,
    /// From the run's left end.
    pub positions: Vec<Length>,
}

/// A screw on an angled gable cut.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct CutScrew {
    pub leg: LegName,
    /// From the run's left end.
    pub x: Length,
    /// Down the leg from its bend.
    pub down: Length,
}

/// Screws on one gable cut: common practice, no source.
pub(super) const SCREWS_ON_CUT: i64 = 2;

impl LaidEnd<'_> {
    /// How far inside the run's end the run's metal ends at `y` on the blank; below 0 past it.
    fn inset_at(self, y: Length) -> Length {
        match self {
            Self::Square | Self::Tab { .. } => Length::ZERO,
            Self::Gable { cut, .. } | Self::Mitre { cut } => cut.inset_at(y),
        }
    }
}

impl LaidRun<'_> {
    /// The line `off` an edge of the leg; at most in the leg's middle, so that it never leaves it. `None` where the section
    /// has no such leg.
    pub(super) fn track(&self, name: LegName, edge: Edge, off: Length) -> Option<Track> {
        let (index, leg) = self.section.legs.iter().enumerate().find(|(_, leg)| leg.name == name)?;
        let off_edge = off.min(half(leg.width));
        let down = match edge {
            Edge::Datum => off_edge,
            Edge::Lower => leg.width - off_edge,
        };
        let y = self.on_blank(index, down);
        let [left, right] = self.ends.map(|end| end.inset_at(y));
        Some(Track { off_edge, leg: leg.width, down, y, from: left, to: self.length - right })
    }

    /// Where on the blank a point of a leg is, `down` from the leg's outside head.
    fn on_blank(&self, leg: usize, down: Length) -> Length {
        let bend = |index: usize| Some((*self.flat.bend_lines.get(index)?, half(*self.flat.shortenings.get(index)?)));
        let head = match (leg.checked_sub(1).and_then(bend), bend(0)) {
            (Some((line, half_of_it)), _) => line - half_of_it,
            (None, Some((line, half_of_it))) => line + half_of_it - self.section.legs[0].width,
            (None, None) => self.flat.head(),
        };
        head + down
    }

    pub(super) fn place(&self, line: Line, spacings: &Spacings) -> Option<Placed> {
        let off = if line.fastener == Fastener::Wall { spacings.wall_line } else { spacings.screw_line };
        let track = self.track(line.leg, line.edge, off)?;
        let widest = spacings.most(line.fastener);
        let grid = match (line.along, self.seams, spacings.high_wind) {
            (Along::Seams, Some(seams), None) => Grid::Seams(seams),
            (Along::Seams, Some(seams), Some(_)) => Grid::SeamsAndBetween(seams, widest),
            _ => Grid::Evenly(widest),
        };
        let spread = Spread {
            from: track.from,
            to: track.to,
            end: spacings.end,
            lap_side: spacings.lap_side,
            laps: &self.laps,
            at_laps: line.at_laps,
            grid,
        };
        Some(Placed { line, grid, track, positions: spread.positions() })
    }

    /// At even parts of each gable cut, square off it into the metal by the screws' line.
    pub(super) fn cut_screws(&self, name: LegName, spacings: &Spacings) -> Vec<CutScrew> {
        let mut screws = Vec::new();
        let Some(leg) = self.section.legs.iter().find(|leg| leg.name == name) else { return screws };
        for (end, mirrored) in self.ends.into_iter().zip([false, true]) {
            let LaidEnd::Gable { width, .. } = end else { continue };
            let (across, down) = (width.mm(), leg.width.mm());
            let cut = across.hypot(down);
            // No more than a quarter of the leg: no screw of a narrow leg lands on its bend.
            let off = spacings.screw_line.mm().min(down / 4.0);
            for part in (1..=SCREWS_ON_CUT).map(|i| i as f64 / (SCREWS_ON_CUT + 1) as f64) {
                let x = Length::from_mm(across * part + off * down / cut);
                screws.push(CutScrew {
                    leg: leg.name,
                    x: if mirrored { self.length - x } else { x },
                    down: Length::from_mm(down * part - off * across / cut),
                });
            }
        }
        screws
    }

    /// The tape of one leg: along `track`, from there up each gable cut to the bend, and across the leg at each lap.
    pub(super) fn tape(&self, track: Track) -> Length {
        let up_the_cuts: Length = self.up_the_cuts(track).into_iter().flatten().sum();
        track.to - track.from + up_the_cuts + track.leg * self.laps.len() as i64
    }

    /// How much tape goes up the left and the right gable cut.
    pub(super) fn up_the_cuts(&self, track: Track) -> [Option<Length>; 2] {
        self.ends.map(|end| match end {
            LaidEnd::Gable { cut, .. } => Some(hypotenuse(cut.inset_at(track.y), track.down)),
            _ => None,
        })
    }

    /// A bead across all legs.
    pub(super) fn across(&self) -> Length {
        self.section.legs.iter().map(|leg| leg.width).sum()
    }

    /// What an end's own bead is: of a mitre half the line of its cut, for the run that meets it has the other half; of a
    /// tab its corner.
    pub(super) fn end_bead(&self, end: LaidEnd) -> Length {
        match end {
            LaidEnd::Square | LaidEnd::Gable { .. } => Length::ZERO,
            LaidEnd::Tab { depth } => depth,
            LaidEnd::Mitre { cut } => half(self.cut_line(cut)),
        }
    }

    /// How long a cut is across the legs: straight over each.
    pub(super) fn cut_line(&self, cut: &Cut) -> Length {
        let over = |(index, width): (usize, Length)| {
            let [head, foot] = [Length::ZERO, width].map(|down| cut.inset_at(self.on_blank(index, down)));
            hypotenuse(width, head - foot)
        };
        self.section.legs.iter().map(|leg| leg.width).enumerate().map(over).sum()
    }

    /// The metal along the datum edge.
    pub(super) fn upper_edge(&self) -> Length {
        let y = self.on_blank(0, Length::ZERO);
        self.length - self.ends.map(|end| end.inset_at(y)).into_iter().sum()
    }

    /// All beads: across the legs at every lap, at the ends, and along an open upper edge.
    pub(super) fn beads(&self, upper_edge: bool) -> Length {
        let at_ends: Length = self.ends.map(|end| self.end_bead(end)).into_iter().sum();
        let along = if upper_edge { self.upper_edge() } else { Length::ZERO };
        self.across() * self.laps.len() as i64 + at_ends + along
    }
}

fn half(length: Length) -> Length {
    Length::from_nm(length.nm() / 2)
}

fn hypotenuse(one: Length, other: Length) -> Length {
    Length::from_mm(one.mm().hypot(other.mm()))
}
