//! The brake's jaw, bed, leaf and frame in the plane across the strip.
//!
//! The bend line is the origin, `y` is up, the throat lies toward −x. The bed is flat under the held sheet. The jaw's
//! nose stands on the sheet where the bend's arc begins; from there its front face leans back to its flat top. Jaw and
//! bed grip in a strip as wide as the least flange; behind it both are relieved, so that a flattened hem can go in. The
//! frame closes the throat. The leaf is a bar under the first least flange of what it swings, as deep as the jaw is
//! high; what hangs down past it is clear of it.

use crate::trade::brake::Brake;
use crate::trade::plane::Point;

/// How far jaw and bed stand back from the sheet behind the strip they grip, in mm: ¼ in. Common practice, no source.
const RELIEF: f64 = 6.35;

/// Closed polygons in mm.
#[derive(Debug, Clone, PartialEq)]
pub struct Tools {
    pub jaw: Vec<Point>,
    pub bed: Vec<Point>,
    pub frame: Vec<Point>,
    pub leaf: Vec<Point>,
}

impl Tools {
    /// Around a sheet of `thickness` whose bend takes `metal` of the strip, all cut off at `reach` from the bend line; where
    /// that is short of the throat's end, there is no frame. The leaf is down.
    pub fn of(brake: &Brake, thickness: f64, metal: f64, reach: f64) -> Self {
        let [throat, height, grip] = [brake.throat, brake.jaw_height, brake.least_flange].map(|length| length.mm());
        let frame = if throat > reach {
            Vec::new()
        } else {
            vec![[-throat, thickness + height], [-reach, thickness + height], [-reach, -reach], [-throat, -reach]]
        };
        let throat = throat.min(reach);
        let (sin, cos) = brake.nose_angle_deg.to_radians().sin_cos();
        let (nose, top) = (-metal / 2.0, thickness + height);
        let grip_ends = nose.min(-grip);
        // A flat nose is too thin to be cut back so far: a quarter of it stays.
        let nose_height = if cos > 0.0 { (nose - grip_ends) * sin / cos } else { height };
        let relief = RELIEF.min(0.75 * nose_height);
        Self {
            jaw: vec![
                [nose, thickness],
                [nose - height * cos / sin, top],
                [-throat, top],
                [-throat, thickness + relief],
                [grip_ends, thickness + relief],
                [grip_ends, thickness],
            ],
            bed: vec![
                [0.0, 0.0],
                [grip_ends, 0.0],
                [grip_ends, -relief],
                [-throat, -relief],
                [-throat, -reach],
                [0.0, -reach],
            ],
            frame,
            leaf: vec![[0.0, 0.0], [0.0, -height], [grip, -height], [grip, 0.0]],
        }
    }
}
