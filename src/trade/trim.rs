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

    /// From where its left is left, and which way one looks: with the datum edge away, as it lies on the bench.
    pub fn seen_from(self) -> &'static str {
        match self {
            Self::EndWall | Self::Reglet | Self::SideWall | Self::Custom => "from the roof, facing the wall",
            Self::Gable => "from outside, facing the gable",
            Self::Eave => "from outside, facing the eave",
            Self::Ridge => "from the near slope, facing the ridge",
        }
    }

    /// Where its datum edge lies on the building.
    pub fn datum_side(self) -> &'static str {
        match self {
            Self::EndWall | Self::Reglet | Self::SideWall | Self::Custom => "wall side",
            Self::Gable | Self::Eave => "roof side",
            Self::Ridge => "far side",
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

    /// When it goes up, the lowest first: eaves before the panels; after them what stands at gables and walls; what covers
    /// that; ridges last. Common practice, no source.
    pub fn stage(self) -> u8 {
        match self {
            Self::Eave => 0,
            Self::Gable | Self::SideWall | Self::EndWall | Self::Custom => 1,
            Self::Reglet => 2,
            Self::Ridge => 3,
        }
    }

    /// Whether it is a fascia: it faces the eave or the gable.
    pub fn is_fascia(self) -> bool {
        matches!(self, Self::Eave | Self::Gable)
    }

    /// Whether the roof's pitch bears on how it is bent, measured or laid.
    pub fn follows_pitch(self) -> bool {
        !matches!(self, Self::Reglet | Self::Custom)
    }
}
