//! The trims' cross-sections as a shop sets them: a few outside widths each, the rest follows from the roof.

use super::length::Length;
use super::pitch::Pitch;
use super::section::{Bend, Leg, LegName, Section, Turn};

/// A trim's widths; `hem` is closed and at the lower edge.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Profile {
    pub shape: Shape,
    pub hem: Length,
    /// The sheet's thickness where the shop sets none.
    pub inside_radius: Option<Length>,
}

/// Outside (mould-line) widths.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Shape {
    /// Up the wall, and out over a roof that falls away from it.
    EndWall { wall_leg: Length, roof_leg: Length },
    /// A Z: against the wall, out over the end wall, down over it.
    Reglet { wall_leg: Length, depth: Length, face: Length },
}

impl Profile {
    /// The section in a sheet of `thickness`, for a roof of `pitch` (a reglet has none).
    ///
    /// Between the wall and a roof falling away at φ the opening angle is 90° + φ, so the metal is bent through 90° − φ.
    pub fn section(&self, pitch: Option<&Pitch>, thickness: Length) -> Section {
        let leg = |name, width| Leg { name, width };
        let (legs, bends) = match self.shape {
            Shape::EndWall { wall_leg, roof_leg } => {
                let fall = pitch.map_or(0.0, |pitch| pitch.degrees());
                (
                    vec![leg(LegName::WallLeg, wall_leg), leg(LegName::RoofLeg, roof_leg)],
                    vec![Bend { through_deg: 90.0 - fall, turn: Turn::Up }],
                )
            }
            Shape::Reglet { wall_leg, depth, face } => (
                vec![leg(LegName::WallLeg, wall_leg), leg(LegName::Depth, depth), leg(LegName::Face, face)],
                vec![Bend { through_deg: 90.0, turn: Turn::Up }, Bend { through_deg: 90.0, turn: Turn::Down }],
            ),
        };
        Section { legs, bends, hem: self.hem, thickness, inside_radius: self.inside_radius.unwrap_or(thickness) }
    }
}
