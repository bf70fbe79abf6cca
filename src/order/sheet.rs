//! What belongs to a run or to the whole order rather than to one piece: where its laps and fasteners go, what to buy, how
//! to load it. Part of format `brakeside-plan/1`.

use serde::{Deserialize, Serialize};

use crate::order::Trim;
use crate::order::plan::Measure;
pub use crate::trade::hardware::needs::Need;
use crate::trade::section::Edge;
use crate::trade::working::Working;

/// One run as it will lie.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct RunSheet {
    /// Which run of the order, 0 first.
    pub run: usize,
    pub wall: String,
    pub trim: Trim,
    /// Finished.
    pub length: Measure,
    /// Left to right.
    pub laps: Vec<LapPlace>,
    pub fasteners: Vec<FastenerLine>,
    /// On angled gable cuts.
    #[serde(skip_serializing_if = "Vec::is_empty", default)]
    pub cut_screws: Vec<CutScrew>,
    /// How far closures and butyl tape keep back from the trim's edge, where the trim has them.
    #[serde(skip_serializing_if = "Option::is_none", default)]
    pub tape: Option<Measure>,
    /// Whether the fasteners are spaced for high wind.
    #[serde(skip_serializing_if = "std::ops::Not::not", default)]
    pub high_wind: bool,
    /// Of everything above, of closures, tape and sealant, and of how much the run moves with the weather.
    pub working: Vec<Working>,
}

/// Where one piece covers the next.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct LapPlace {
    /// From the run's left end.
    pub from: Measure,
    pub to: Measure,
    /// Sealed, never fastened.
    #[serde(skip_serializing_if = "std::ops::Not::not", default)]
    pub joint: bool,
    /// It could not be kept off a panel seam.
    #[serde(skip_serializing_if = "std::ops::Not::not", default)]
    pub on_seam: bool,
}

/// One line of fasteners along a run.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct FastenerLine {
    /// Such as `wall fasteners`.
    pub what: String,
    pub leg: String,
    pub off: Measure,
    /// The leg's edge that `off` is measured from.
    pub edge: Edge,
    /// The most between two of them, where the shop sets one.
    #[serde(skip_serializing_if = "Option::is_none", default)]
    pub apart: Option<Measure>,
    /// One on each of the panels' high seams.
    #[serde(skip_serializing_if = "std::ops::Not::not", default)]
    pub on_seams: bool,
    /// From the run's left end; below 0 where an outside corner's metal sticks out past it.
    pub at: Vec<Measure>,
    pub source: String,
}

#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct CutScrew {
    pub leg: String,
    /// From the run's left end.
    pub at: Measure,
    /// Down the leg from its bend.
    pub down: Measure,
}

/// The whole order's.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct OrderSheet {
    pub buy: Vec<Need>,
    /// Of an order that has pieces.
    pub load: Option<Load>,
}

/// How the order travels.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Load {
    pub mass_kg: f64,
    /// As bent, with what a mitre reaches beyond its finished end.
    pub longest: Measure,
    /// Marks of the pieces, the lowest first.
    pub stack: Vec<String>,
    pub tie_downs_unblocked: u32,
    pub tie_downs_blocked: u32,
    #[serde(skip_serializing_if = "Option::is_none", default)]
    pub overhang: Option<Overhang>,
    /// Where more than one pair of hands is needed.
    pub lifts: Vec<Heavy>,
    pub working: Vec<Working>,
}

#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Overhang {
    pub by: Measure,
    /// How many warning flags.
    pub flags: u32,
    pub text: String,
}

/// Pieces that take more than one person to lift.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Heavy {
    pub people: u32,
    /// How many pieces.
    pub pieces: usize,
    /// The one that is hardest to lift.
    pub hardest: String,
    pub working: Vec<Working>,
}
