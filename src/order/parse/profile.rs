//! Reads a run's own `profile`, or stands in with the shop's.

use super::reader::Object;
use super::tape::Tape;
use crate::order::{Trim, defaults};
use crate::trade::length::Length;
use crate::trade::profile::{Profile, Shape};

/// The profile of `run`, which is a `trim`.
pub(super) fn read(run: &Object, trim: Trim, tape: &Tape) -> Option<Profile> {
    let own = match run.get("profile") {
        Some(spot) => Some(spot.object(match trim {
            Trim::EndWall => &["wall_leg", "roof_leg", "hem", "inside_radius"],
            Trim::Reglet => &["wall_leg", "depth", "face", "hem", "inside_radius"],
        })?),
        None => None,
    };
    let width = |key, default| match &own {
        Some(own) => own.or(key, default, |width| tape.within(width, Length::sixty_fourths(1), defaults::WIDEST_LEG)),
        None => Some(default),
    };
    let shape = match trim {
        Trim::EndWall => {
            let wall_leg = width("wall_leg", defaults::END_WALL_WALL_LEG);
            let roof_leg = width("roof_leg", defaults::END_WALL_ROOF_LEG);
            wall_leg.zip(roof_leg).map(|(wall_leg, roof_leg)| Shape::EndWall { wall_leg, roof_leg })
        }
        Trim::Reglet => {
            let wall_leg = width("wall_leg", defaults::REGLET_WALL_LEG);
            let depth = width("depth", defaults::REGLET_DEPTH);
            let face = width("face", defaults::REGLET_FACE);
            let legs = wall_leg.zip(depth).zip(face);
            legs.map(|((wall_leg, depth), face)| Shape::Reglet { wall_leg, depth, face })
        }
    };
    let hem = width("hem", defaults::HEM);
    let inside_radius = match own.as_ref().and_then(|own| own.get("inside_radius")) {
        Some(radius) => tape.within(&radius, Length::ZERO, defaults::LARGEST_INSIDE_RADIUS).map(Some),
        None => Some(None),
    };
    Some(Profile { shape: shape?, hem: hem?, inside_radius: inside_radius? })
}
