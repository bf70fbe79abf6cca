//! What a shop is asked to make: format `brakeside-order/1` — read, checked, and planned into pieces.

pub mod cutting;
pub mod defaults;
pub mod explain;
pub mod fault;
pub mod installing;
pub mod layout;
pub mod notices;
pub mod parse;
pub mod plan;
pub mod planner;
pub mod steps;

use jiff::civil::Date;
use serde::{Deserialize, Serialize};

use crate::trade::length::{Length, Units};
use crate::trade::metal::Metal;
use crate::trade::pitch::Pitch;
use crate::trade::profile::Profile;

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
    /// The roof's fall away from the wall; an end wall has one, a reglet does not.
    pub pitch: Option<Pitch>,
    pub lap: Length,
    pub lay_from: Side,
    pub profile: Profile,
    pub left: End,
    pub right: End,
}

#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Trim {
    EndWall,
    Reglet,
}

impl Trim {
    /// The short form in a mark.
    pub fn short(self) -> &'static str {
        match self {
            Self::EndWall => "EW",
            Self::Reglet => "RG",
        }
    }

    /// The words on cards, labels and pages.
    pub fn name(self) -> &'static str {
        match self {
            Self::EndWall => "end wall",
            Self::Reglet => "reglet",
        }
    }

    /// Whether it is bent to the roof's pitch.
    pub fn follows_pitch(self) -> bool {
        self == Self::EndWall
    }
}

/// How a run was measured where it meets gable trim.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Measured {
    /// Over both gable trims: the finished length itself.
    #[default]
    Outside,
    /// Inside them: each gable's width is added.
    Between,
}

/// Seen standing on the roof and facing the wall.
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

/// What happens at a run's end.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum End {
    #[default]
    Square,
    Gable {
        width: Length,
    },
    Return {
        depth: Length,
    },
}
