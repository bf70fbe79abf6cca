//! Reads a run's own `profile`, or stands in with the shop's, and finds what of it cannot be bent.

use super::reader::Object;
use super::tape::Tape;
use crate::order::layout::LayoutFault;
use crate::order::{Trim, defaults};
use crate::trade::length::{Length, Units};
use crate::trade::pitch::Pitch;
use crate::trade::profile::{Profile, Shape};
use crate::trade::section::SectionError;

/// A run's cross-section as far as it could be read.
pub(super) struct Sketch {
    /// With the shop's own in place of what could not be read.
    profile: Profile,
    pitch: Option<Pitch>,
    /// The keys of what could not be read.
    unread: Vec<&'static str>,
}

/// The profile of `run`, which is a `trim` on a roof of `pitch`: `None` where that could not be read.
pub(super) fn read(run: &Object, trim: Trim, pitch: Option<Option<Pitch>>, tape: &Tape) -> Option<Sketch> {
    let own = match run.get("profile") {
        Some(spot) => Some(match trim {
            Trim::EndWall => spot.object(
                r#"an end wall's profile, like { "wall_leg": "4 in", "roof_leg": "5 in" }"#,
                &["wall_leg", "roof_leg", "hem", "inside_radius"],
            )?,
            Trim::Reglet => spot.object(
                r#"a reglet's profile, like { "wall_leg": "1-1/2 in", "depth": "5/8 in", "face": "3 in" }"#,
                &["wall_leg", "depth", "face", "hem", "inside_radius"],
            )?,
        }),
        None => None,
    };
    let mut unread = Vec::new();
    if trim.follows_pitch() && pitch.is_none() {
        unread.push(PITCH);
    }
    let mut within = |key, least, most| {
        let given = own.as_ref()?.get(key)?;
        let read = tape.within(&given, least, most);
        if read.is_none() {
            unread.push(key);
        }
        read
    };
    let mut width = |key, own| within(key, Length::sixty_fourths(1), defaults::WIDEST_LEG).unwrap_or(own);
    let shape = match trim {
        Trim::EndWall => Shape::EndWall {
            wall_leg: width("wall_leg", defaults::END_WALL_WALL_LEG),
            roof_leg: width("roof_leg", defaults::END_WALL_ROOF_LEG),
        },
        Trim::Reglet => Shape::Reglet {
            wall_leg: width("wall_leg", defaults::REGLET_WALL_LEG),
            depth: width("depth", defaults::REGLET_DEPTH),
            face: width("face", defaults::REGLET_FACE),
        },
    };
    let hem = width(HEM, defaults::HEM);
    let inside_radius = within(INSIDE_RADIUS, Length::ZERO, defaults::LARGEST_INSIDE_RADIUS);
    Some(Sketch { profile: Profile { shape, hem, inside_radius }, pitch: pitch.flatten(), unread })
}

const PITCH: &str = "pitch";
const HEM: &str = "hem";
const INSIDE_RADIUS: &str = "inside_radius";

impl Sketch {
    /// The profile, if all of it could be read.
    pub(super) fn whole(self) -> Option<Profile> {
        self.unread.is_empty().then_some(self.profile)
    }

    /// Why it cannot be bent from a sheet of `thickness`: what rests on what could be read, and nothing else.
    pub(super) fn faults(&self, thickness: Length, units: Units) -> Vec<LayoutFault> {
        let section = self.profile.section(self.pitch.as_ref(), thickness);
        let read = |fault: &SectionError| rests_on(fault).iter().all(|key| !self.unread.contains(key));
        section.faults(units).into_iter().filter(read).map(LayoutFault::Section).collect()
    }
}

/// The keys a fault rests on.
fn rests_on(fault: &SectionError) -> Vec<&'static str> {
    match fault {
        SectionError::LegTooNarrow { leg, .. } => vec![leg.key(), INSIDE_RADIUS, PITCH],
        SectionError::HemTooNarrow { .. } => vec![HEM],
        SectionError::HemTooWide { leg, .. } => vec![HEM, leg.key(), INSIDE_RADIUS, PITCH],
    }
}
