//! What holds and closes each trim, as one table: which leg is fastened to what, on which line, and what lies beneath.
//!
//! Common practice, no source, except where a row says otherwise.

use std::fmt;

use super::spread::AtLap;
use crate::trade::section::{Edge, LegName};
use crate::trade::trim::Trim;
use crate::trade::working::COMMON_PRACTICE;

/// What is driven, each kind bought for itself.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Fastener {
    /// Into the wall.
    Wall,
    /// With a sealing washer, through trim, tape and closure into the panels.
    LapScrew,
    /// Into the deck, under the panels.
    Deck,
    /// With a sealing washer, into the fascia.
    Face,
}

impl fmt::Display for Fastener {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(match self {
            Self::Wall => "wall fasteners",
            Self::LapScrew => "lap screws",
            Self::Deck => "deck fasteners",
            Self::Face => "face screws",
        })
    }
}

/// What a line of fasteners follows along the run.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Along {
    Evenly,
    /// The run crosses the panels: a screw on each high seam; evenly where the seams are not known.
    Seams,
}

/// One line of fasteners on one leg.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Line {
    pub fastener: Fastener,
    pub leg: LegName,
    /// The leg's edge that the line is set out from: by the wall line for [`Fastener::Wall`], else by the
    /// screws' line.
    pub edge: Edge,
    pub along: Along,
    pub at_laps: AtLap,
    pub source: &'static str,
}

/// What one trim takes.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Practice {
    pub lines: Vec<Line>,
    /// The legs with closures under them, which fill the panels' pans.
    pub closures: &'static [LegName],
    /// The legs with butyl tape under them, and the edge that the tape keeps back from.
    pub tape: &'static [(LegName, Edge)],
    /// A bead along the whole upper edge, where nothing covers it.
    pub seals_upper_edge: bool,
}

/// The source of a base flashing's and a counterflashing's wall line; its 12 in are common practice.
const WALL: &str = "common practice, no source; UFGS 07600 asks 6 in o.c. of a base flashing's upper edge, \
                    UFGS 07612N 4 to 6 in in high wind";
/// The source of exposed screws at ridge and rake.
const EXPOSED: &str = "common practice, no source; FEMA P-499 asks 3 to 6 in o.c. at ridge and rake in high wind";

fn line(fastener: Fastener, leg: LegName, edge: Edge, along: Along, at_laps: AtLap, source: &'static str) -> Line {
    Line { fastener, leg, edge, along, at_laps, source }
}

impl Trim {
    /// What this trim takes.
    pub fn practice(self) -> Practice {
        use Along::{Evenly, Seams};
        use AtLap::{Beside, Through};
        use Edge::{Datum, Lower};
        use Fastener::{Deck, Face, LapScrew, Wall};
        use LegName::{FarLeg, NearLeg, Nth, RoofLeg, WallLeg};
        match self {
            Self::EndWall => Practice {
                lines: vec![
                    line(Wall, WallLeg, Datum, Evenly, Through, WALL),
                    line(LapScrew, RoofLeg, Lower, Seams, Beside, COMMON_PRACTICE),
                ],
                closures: &[RoofLeg],
                tape: &[(RoofLeg, Lower)],
                seals_upper_edge: false,
            },
            // The face hangs free over the end wall, which moves under it.
            Self::Reglet => Practice {
                lines: vec![line(Wall, WallLeg, Datum, Evenly, Through, WALL)],
                closures: &[],
                tape: &[],
                seals_upper_edge: true,
            },
            // Along a panel there is no pan to close and no seam to follow.
            Self::SideWall => Practice {
                lines: vec![
                    line(Wall, WallLeg, Datum, Evenly, Through, WALL),
                    line(LapScrew, RoofLeg, Lower, Evenly, Beside, COMMON_PRACTICE),
                ],
                closures: &[],
                tape: &[(RoofLeg, Lower)],
                seals_upper_edge: false,
            },
            Self::Gable => Practice {
                lines: vec![
                    line(LapScrew, RoofLeg, Datum, Evenly, Beside, EXPOSED),
                    line(Face, LegName::Face, Lower, Evenly, Beside, EXPOSED),
                ],
                closures: &[],
                tape: &[(RoofLeg, Datum)],
                seals_upper_edge: false,
            },
            // Laid before the panels, which cover its fasteners; face and kick stay free.
            Self::Eave => Practice {
                lines: vec![line(Deck, RoofLeg, Datum, Evenly, Through, COMMON_PRACTICE)],
                closures: &[],
                tape: &[],
                seals_upper_edge: false,
            },
            Self::Ridge => Practice {
                lines: vec![
                    line(LapScrew, FarLeg, Datum, Seams, Beside, EXPOSED),
                    line(LapScrew, NearLeg, Lower, Seams, Beside, EXPOSED),
                ],
                closures: &[FarLeg, NearLeg],
                tape: &[(FarLeg, Datum), (NearLeg, Lower)],
                seals_upper_edge: false,
            },
            // The leg at the datum edge is the one on the wall.
            Self::Custom => Practice {
                lines: vec![line(Wall, Nth(0), Datum, Evenly, Through, WALL)],
                closures: &[],
                tape: &[],
                seals_upper_edge: false,
            },
        }
    }
}
