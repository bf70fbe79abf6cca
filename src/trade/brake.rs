//! The brake, as its nameplate and a tape describe it: what can be clamped, and how far a flange swings.
//!
//! A leaf brake holds the strip flat between bed and jaw behind the bend line, and its leaf swings the rest up.

use super::length::Length;

/// A leaf brake: the sheet is clamped between jaw and bed, and the leaf swings the flange up.
#[derive(Debug, Clone, PartialEq)]
pub struct Brake {
    /// The longest piece it bends.
    pub length: Length,
    /// From the bend line back to where the frame closes the gap between bed and jaw.
    pub throat: Length,
    /// How high the jaw stands above the sheet: what swings back over it must pass there.
    pub jaw_height: Length,
    /// Between the sheet behind the nose and the jaw's front face, in degrees: the sharper the nose, the farther back
    /// a flange can swing.
    pub nose_angle_deg: f64,
    /// The narrowest flange the leaf turns: the leaf's bar is this wide, and so is the strip the jaw's nose grips.
    pub least_flange: Length,
    /// The most the leaf turns a flange through, in degrees.
    pub greatest_angle_deg: f64,
}

impl Brake {
    /// The most a flange can be turned through before the leaf stops or the flange lies on the jaw's front face, in
    /// degrees.
    pub fn most_through_deg(&self) -> f64 {
        self.greatest_angle_deg.min(180.0 - self.nose_angle_deg)
    }
}

/// A trim shop's leaf brake: common practice, no source.
impl Default for Brake {
    fn default() -> Self {
        Self {
            length: Length::inches(10 * 12 + 6),
            throat: Length::inches(20),
            jaw_height: Length::inches(3),
            nose_angle_deg: 45.0,
            least_flange: Length::sixty_fourths(24),
            greatest_angle_deg: 135.0,
        }
    }
}
