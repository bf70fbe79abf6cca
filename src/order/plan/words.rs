//! An end in few words, as the cut list and the label say it.

use super::{Goes, PieceEnd};
use crate::order::Falls;
use crate::trade::section::degrees;

impl PieceEnd {
    /// Such as `gable 4"`, `inside corner 90°` or `6" under A-EW-4`.
    pub fn words(&self) -> String {
        match self {
            Self::Square => "square".into(),
            Self::Gable { width } => format!("gable {}", width.text),
            Self::Return { depth } => format!("return {}", depth.text),
            Self::Dam { height } => format!("dam {}", height.text),
            Self::Corner { side, turn_deg } => format!("{} corner {}", side.name(), degrees(*turn_deg)),
            Self::Transition { to, falls: Falls::On } => format!("transition to {to}"),
            Self::Transition { to, falls: Falls::Back } => format!("transition back to {to}"),
            Self::Lap { lap, goes, neighbour, joint } => {
                let joint = if *joint { ", joint" } else { "" };
                format!("{} {} {neighbour}{joint}", lap.text, goes.name())
            }
        }
    }
}

impl Goes {
    pub const fn name(self) -> &'static str {
        match self {
            Self::Under => "under",
            Self::Over => "over",
        }
    }
}
