//! What belongs to a run or to the whole order rather than to one piece: where its laps and fasteners go, what to buy, how
//! to load it. Part of format `brakeside-plan/1`.

use serde::{Deserialize, Serialize};

use crate::order::Trim;
use crate::order::plan::Measure;
use crate::trade::hardware::needs;
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
    /// From the run's left end.
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

/// One line of what to buy.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Need {
    /// Such as `butyl tape`.
    pub what: String,
    /// As bought.
    pub count: u64,
    /// What is counted, one of it.
    pub unit: String,
    /// Before rounding up.
    pub exact: String,
    pub working: Working,
}

/// How the order travels.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Load {
    pub mass_kg: f64,
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

impl From<needs::Need> for Need {
    fn from(need: needs::Need) -> Self {
        let needs::Need { what, count, unit, exact, working } = need;
        Self { what, count, unit, exact, working }
    }
}
