//! The trims of a metal roof: what dresses which edge, and how it lies there.

use serde::{Deserialize, Serialize};

#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Trim {
    EndWall,
    Reglet,
    SideWall,
    Gable,
    Eave,
    Ridge,
    Custom,
}

impl Trim {
    pub const ALL: [Self; 7] =
        [Self::EndWall, Self::Reglet, Self::SideWall, Self::Gable, Self::Eave, Self::Ridge, Self::Custom];

    /// The word in an order.
    pub fn key(self) -> &'static str {
        match self {
            Self::EndWall => "end-wall",
            Self::Reglet => "reglet",
            Self::SideWall => "side-wall",
            Self::Gable => "gable",
            Self::Eave => "eave",
            Self::Ridge => "ridge",
            Self::Custom => "custom",
        }
    }

    /// The short form in a mark.
    pub fn short(self) -> &'static str {
        match self {
            Self::EndWall => "EW",
            Self::Reglet => "RG",
            Self::SideWall => "SW",
            Self::Gable => "GB",
            Self::Eave => "EV",
            Self::Ridge => "RD",
            Self::Custom => "CU",
        }
    }

    /// The words on cards, labels and pages.
    pub fn name(self) -> &'static str {
        match self {
            Self::EndWall => "end wall",
            Self::Reglet => "reglet",
            Self::SideWall => "side wall",
            Self::Gable => "gable",
            Self::Eave => "eave",
            Self::Ridge => "ridge",
            Self::Custom => "custom",
        }
    }

    /// Whether it runs up the roof's slope.
    pub fn is_sloped(self) -> bool {
        matches!(self, Self::SideWall | Self::Gable)
    }

    /// Whether it lies on a wall, over or under the wall's other trims.
    pub fn is_on_wall(self) -> bool {
        matches!(self, Self::EndWall | Self::Reglet | Self::SideWall | Self::Custom)
    }

    /// Whether the roof's pitch bears on how it is bent, measured or laid.
    pub fn follows_pitch(self) -> bool {
        !matches!(self, Self::Reglet | Self::Custom)
    }
}
