//! How wide each trim is made where a run sets no widths of its own.
//!
//! Where each width comes from stands beside its key in the table of settings.

use crate::trade::length::Length;

/// The outside widths of each trim where a run sets none.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Profiles {
    pub end_wall: EndWall,
    pub reglet: Reglet,
    pub side_wall: SideWall,
    pub gable: Gable,
    pub eave: Eave,
    pub ridge: Ridge,
}

/// ½ in, the hem of all our trims.
const HEM: Length = Length::sixty_fourths(32);

#[derive(Debug, Clone, PartialEq)]
pub struct EndWall {
    pub wall_leg: Length,
    pub roof_leg: Length,
    pub hem: Length,
}

impl Default for EndWall {
    fn default() -> Self {
        Self { wall_leg: Length::inches(4), roof_leg: Length::inches(5), hem: HEM }
    }
}

#[derive(Debug, Clone, PartialEq)]
pub struct Reglet {
    pub wall_leg: Length,
    pub depth: Length,
    pub face: Length,
    pub hem: Length,
}

impl Default for Reglet {
    fn default() -> Self {
        Self {
            wall_leg: Length::sixty_fourths(96),
            depth: Length::sixty_fourths(40),
            face: Length::inches(3),
            hem: HEM,
        }
    }
}

#[derive(Debug, Clone, PartialEq)]
pub struct SideWall {
    pub wall_leg: Length,
    pub roof_leg: Length,
    pub hem: Length,
}

impl Default for SideWall {
    fn default() -> Self {
        Self { wall_leg: Length::inches(4), roof_leg: Length::inches(4), hem: HEM }
    }
}

#[derive(Debug, Clone, PartialEq)]
pub struct Gable {
    pub roof_leg: Length,
    pub face: Length,
    pub hem: Length,
}

impl Default for Gable {
    fn default() -> Self {
        Self { roof_leg: Length::inches(4), face: Length::inches(4), hem: HEM }
    }
}

#[derive(Debug, Clone, PartialEq)]
pub struct Eave {
    pub roof_leg: Length,
    pub face: Length,
    /// The drip at the face's lower edge.
    pub kick: Length,
    /// How far the kick leans out of the face's plane, in degrees.
    pub kick_angle_deg: f64,
    /// Behind the kick: narrower than it.
    pub hem: Length,
}

impl Default for Eave {
    fn default() -> Self {
        Self {
            roof_leg: Length::inches(4),
            face: Length::inches(3),
            kick: Length::sixty_fourths(48),
            kick_angle_deg: 45.0,
            hem: HEM,
        }
    }
}

#[derive(Debug, Clone, PartialEq)]
pub struct Ridge {
    /// Down each side.
    pub leg: Length,
    /// At both edges.
    pub hem: Length,
}

impl Default for Ridge {
    fn default() -> Self {
        Self { leg: Length::inches(6), hem: HEM }
    }
}
