//! A run as it will lie on the wall, and where its metal, its laps and its cuts put hardware.

use super::Spacings;
use super::practice::{Along, Fastener, Line};
use super::spread::{Grid, Lap, Seams, Spread};
use crate::trade::length::{Length, Units};
use crate::trade::section::{Leg, LegName};
use crate::trade::trim::Trim;

/// How an end takes metal from the lower edge of the legs over the roof.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum EndCut {
    Square,
    /// From this width on the lower edge to the bend line at the very end; taped and screwed along the cut.
    Gable {
        width: Length,
    },
    /// So much shorter at the lower edge, negative where longer.
    Mitre {
        back: Length,
    },
}

/// A run as it will lie, from its left end.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct LaidRun {
    pub trim: Trim,
    pub length: Length,
    /// Left to right.
    pub laps: Vec<Lap>,
    /// Left and right.
    pub ends: [EndCut; 2],
    /// Where the run crosses the panels' high seams, if it is known.
    pub seams: Option<Seams>,
    /// Outside widths, from the datum edge.
    pub legs: Vec<Leg>,
}

/// The fasteners of one line.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Placed {
    pub line: Line,
    pub grid: Grid,
    /// From the edge that the line names.
    pub off_edge: Length,
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

impl EndCut {
    pub(super) fn text(self, units: Units) -> String {
        match self {
            Self::Square => "square".into(),
            Self::Gable { width } => format!("gable, {} wide", width.text(units)),
            Self::Mitre { back } => format!("mitre, {} shorter", back.text(units)),
        }
    }
}

impl LaidRun {
    pub(super) fn leg(&self, name: LegName) -> Option<Leg> {
        self.legs.iter().copied().find(|leg| leg.name == name)
    }

    /// A bead across all legs.
    pub(super) fn across(&self) -> Length {
        self.legs.iter().map(|leg| leg.width).sum()
    }

    pub(super) fn place(&self, line: Line, spacings: &Spacings) -> Placed {
        let on_roof = matches!(line.leg, LegName::RoofLeg | LegName::FarLeg | LegName::NearLeg);
        let cut = |end: EndCut| match end {
            EndCut::Gable { width } if on_roof => width,
            EndCut::Mitre { back } if on_roof => back.max(Length::ZERO),
            _ => Length::ZERO,
        };
        let widest = spacings.most(line.fastener);
        let grid = match (line.along, self.seams, spacings.high_wind) {
            (Along::Seams, Some(seams), None) => Grid::Seams(seams),
            (Along::Seams, Some(seams), Some(_)) => Grid::SeamsAndBetween(seams, widest),
            _ => Grid::Evenly(widest),
        };
        let spread = Spread {
            from: cut(self.ends[0]),
            to: self.length - cut(self.ends[1]),
            end: spacings.end,
            lap_side: spacings.lap_side,
            laps: &self.laps,
            at_laps: line.at_laps,
            grid,
        };
        let off_edge = if line.fastener == Fastener::Wall { spacings.wall_line } else { spacings.setback };
        Placed { line, grid, off_edge, positions: spread.positions() }
    }

    /// At even parts of each gable cut, square off it into the metal by the set-back.
    pub(super) fn cut_screws(&self, leg: Leg, spacings: &Spacings) -> Vec<CutScrew> {
        let mut screws = Vec::new();
        for (end, mirrored) in self.ends.into_iter().zip([false, true]) {
            let EndCut::Gable { width } = end else { continue };
            let (across, down) = (width.mm(), leg.width.mm());
            let cut = across.hypot(down);
            // No more than a quarter of the leg: no screw of a narrow leg lands on its bend.
            let off = spacings.setback.mm().min(down / 4.0);
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

    pub(super) fn tape(&self, leg: Length) -> Length {
        let at_ends: Length = self
            .ends
            .into_iter()
            .map(|end| match end {
                EndCut::Square => Length::ZERO,
                EndCut::Gable { width } => Length::from_mm(width.mm().hypot(leg.mm())) - width,
                EndCut::Mitre { back } => -back,
            })
            .sum();
        self.length + at_ends + leg * self.laps.len() as i64
    }

    /// A corner joins one run's left end to another's right: its mitre is sealed with the former.
    pub(super) fn bead(&self, upper_edge: bool) -> Length {
        let seams = self.laps.len() + usize::from(matches!(self.ends[0], EndCut::Mitre { .. }));
        self.across() * seams as i64 + if upper_edge { self.length } else { Length::ZERO }
    }
}
