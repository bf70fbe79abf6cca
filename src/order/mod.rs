//! What a shop is asked to make: format `brakeside-order/1` — read, checked, and planned into pieces.

pub mod bounds;
pub mod cutting;
pub mod explain;
pub mod fault;
pub mod fitting;
pub mod installing;
pub mod layout;
pub mod loading;
pub mod notices;
pub mod parse;
pub mod plan;
pub mod planner;
pub mod sheet;
pub mod shop;
pub mod steps;
mod twins;

use std::hash::{Hash, Hasher};
use std::sync::Arc;

use jiff::civil::Date;
use serde::{Deserialize, Serialize};

use crate::trade::length::{Length, Units};
use crate::trade::metal::Metal;
pub use crate::trade::mitre::Corner;
use crate::trade::pitch::Pitch;
use crate::trade::profile::{Profile, Roof};
use crate::trade::split::{self, LaidFrom};
pub use crate::trade::trim::Trim;
use shop::Shop;

/// The value an order's `format` must have.
pub const FORMAT: &str = "brakeside-order/1";

/// An order that passed every check: all that remains is to plan it.
#[derive(Debug, Clone, PartialEq)]
pub struct Order {
    /// The order's number, such as `2041`.
    pub number: String,
    pub job: Job,
    pub units: Units,
    pub metal: Metal,
    pub finish: Option<String>,
    pub painted: Painted,
    /// The longest blank the shop can take from stock or bend.
    pub longest: Length,
    pub runs: Vec<Run>,
    /// This order takes the place of the one stored under the same number.
    pub replaces: bool,
    /// The shop it was checked against.
    pub shop: Arc<Shop>,
}

impl Order {
    /// What to take from the rack: `24 ga galvanized steel, slate grey`.
    pub fn material(&self) -> String {
        match &self.finish {
            Some(finish) => format!("{}, {finish}", self.metal.label),
            None => self.metal.label.clone(),
        }
    }
}

/// A customer's site.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct Job {
    pub name: String,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub site: Option<String>,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub due: Option<Date>,
}

/// One trim along one wall, measured.
#[derive(Debug, Clone, PartialEq)]
pub struct Run {
    pub wall: String,
    pub trim: Trim,
    pub length: Length,
    pub measured: Measured,
    pub roof: Roof,
    /// Where its left end is on the wall, as it was measured.
    pub at: Length,
    pub lap: Length,
    /// A sloped run is laid from its low end.
    pub lay_from: Side,
    pub split: split::Kind,
    /// How far its laps keep from those of the other trims it covers, or that cover it.
    pub stagger: Length,
    /// Where the panels' high seams meet it, as far as they are told.
    pub panels: Option<Panels>,
    pub profile: Profile,
    pub left: End,
    pub right: End,
    /// The walls whose trim its mitred left and right ends meet, where they are told.
    pub meets: [Option<String>; 2],
}

/// The panels' high seams along a run.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Panels {
    /// From the run's left end to the first.
    pub first: Length,
    /// From each to the next.
    pub every: Length,
}

/// How a run was measured.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Measured {
    /// Over both gable trims, or along the slope: the finished length itself.
    #[default]
    Outside,
    /// Inside the gable trims: each gable's width is added.
    Between,
    /// A sloped run on plan: the slope makes it longer.
    Level,
}

/// As seen facing the trim, its datum edge away: see [`Trim::seen_from`].
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Hash, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Side {
    #[default]
    Left,
    Right,
}

impl Side {
    pub fn other(self) -> Self {
        match self {
            Self::Left => Self::Right,
            Self::Right => Self::Left,
        }
    }

    /// The word on cards.
    pub fn name(self) -> &'static str {
        match self {
            Self::Left => "left",
            Self::Right => "right",
        }
    }
}

/// Which face of the metal carries its finish: the face that is seen, the hidden face, both or neither.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Painted {
    #[default]
    Out,
    In,
    Both,
    None,
}

impl From<Side> for LaidFrom {
    fn from(side: Side) -> Self {
        match side {
            Side::Left => Self::Left,
            Side::Right => Self::Right,
        }
    }
}

/// What happens at a run's end. Its angle is a number, so an end equals itself.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub enum End {
    #[default]
    Square,
    Gable {
        width: Length,
    },
    Return {
        depth: Length,
    },
    /// The roof leg turned up at a wall.
    Dam {
        height: Length,
    },
    /// Mitred where the wall turns by `turn_deg`.
    Corner {
        side: Corner,
        turn_deg: f64,
    },
    /// Mitred where the slope of the run changes.
    Transition {
        to: Pitch,
        falls: Falls,
    },
}

impl Eq for End {}

impl Hash for End {
    fn hash<H: Hasher>(&self, state: &mut H) {
        std::mem::discriminant(self).hash(state);
        match self {
            Self::Square => {}
            Self::Gable { width: size } | Self::Return { depth: size } | Self::Dam { height: size } => size.hash(state),
            Self::Corner { side, turn_deg } => (side, turn_deg.to_bits()).hash(state),
            Self::Transition { to, falls } => (to, falls).hash(state),
        }
    }
}

/// Which way the roof beyond a transition falls.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Hash, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Falls {
    /// The same way, at another pitch.
    #[default]
    On,
    /// The other way: the run crosses a ridge, or a valley at its low end.
    Back,
}
