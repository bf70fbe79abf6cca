//! Reads a run's own `profile`, or stands in with the shop's, and finds what of it cannot be bent.

use super::bench::Bench;
use super::reader::{Object, Spot};
use crate::order::layout::LayoutFault;
use crate::order::{Trim, bounds};
use crate::trade::length::{Length, Units};
use crate::trade::profile::{Profile, Roof, Shape};
use crate::trade::section::{Bend, Edge, Hem, SectionError, Turn};

/// A run's cross-section as far as it could be read.
pub(super) struct Sketch {
    /// With the shop's own in place of what could not be read.
    profile: Profile,
    roof: Roof,
    /// The keys of what could not be read.
    unread: Vec<&'static str>,
}

const PITCH: &str = "pitch";
const HEM: &str = "hem";
const DATUM_HEM: &str = "datum_hem";
const INSIDE_RADIUS: &str = "inside_radius";
const KICK_ANGLE: &str = "kick_angle";
const LEGS: &str = "legs";

/// What a profile of `trim` may hold, with an example.
fn keys(trim: Trim) -> (&'static str, &'static [&'static str]) {
    match trim {
        Trim::EndWall => (
            r#"an end wall's profile, like { "wall_leg": "4 in", "roof_leg": "5 in" }"#,
            &["wall_leg", "roof_leg", HEM, DATUM_HEM, INSIDE_RADIUS],
        ),
        Trim::Reglet => (
            r#"a reglet's profile, like { "wall_leg": "1-1/2 in", "depth": "5/8 in", "face": "3 in" }"#,
            &["wall_leg", "depth", "face", HEM, DATUM_HEM, INSIDE_RADIUS],
        ),
        Trim::SideWall => (
            r#"a side wall's profile, like { "wall_leg": "4 in", "roof_leg": "4 in" }"#,
            &["wall_leg", "roof_leg", HEM, DATUM_HEM, INSIDE_RADIUS],
        ),
        Trim::Gable => (
            r#"a gable's profile, like { "roof_leg": "4 in", "face": "4 in" }"#,
            &["roof_leg", "face", HEM, DATUM_HEM, INSIDE_RADIUS],
        ),
        Trim::Eave => (
            r#"an eave's profile, like { "roof_leg": "4 in", "face": "3 in", "kick": "3/4 in" }"#,
            &["roof_leg", "face", "kick", KICK_ANGLE, HEM, DATUM_HEM, INSIDE_RADIUS],
        ),
        Trim::Ridge => (
            r#"a ridge's profile, like { "far_leg": "6 in", "near_leg": "6 in" }"#,
            &["far_leg", "near_leg", HEM, DATUM_HEM, INSIDE_RADIUS],
        ),
        Trim::Custom => (
            r#"a custom profile, like { "legs": [ { "width": "3 in" }, { "width": "4 in", "bend": 90, "turn": "up" } ] }"#,
            &[LEGS, HEM, DATUM_HEM, INSIDE_RADIUS],
        ),
    }
}

/// The profile of `run`, which is a `trim` on `roof`: `None` where that could not be read.
pub(super) fn read(run: &Object, trim: Trim, roof: Option<Roof>, bench: &Bench) -> Option<Sketch> {
    let (example, keys) = keys(trim);
    let own = match (run.get("profile"), trim) {
        (Some(spot), _) => Some(spot.object(example, keys)?),
        (None, Trim::Custom) => return run.required("profile", example, |_| None),
        (None, _) => None,
    };
    let mut unread = Vec::new();
    if trim.follows_pitch() && roof.is_none() {
        unread.push(PITCH);
    }
    let shops = &bench.shop.profiles;
    let mut within = |key, least, most| {
        let given = own.as_ref()?.get(key)?;
        let read = bench.tape.within(&given, least, most);
        if read.is_none() {
            unread.push(key);
        }
        read
    };
    let mut width = |key, own| within(key, Length::sixty_fourths(1), bounds::WIDEST_LEG).unwrap_or(own);
    let (shape, shops_datum_hem, shops_hem) = match trim {
        Trim::EndWall => {
            let (wall_leg, roof_leg) =
                (width("wall_leg", shops.end_wall.wall_leg), width("roof_leg", shops.end_wall.roof_leg));
            (Shape::EndWall { wall_leg, roof_leg }, None, Some(shops.end_wall.hem))
        }
        Trim::Reglet => {
            let reglet = &shops.reglet;
            let wall_leg = width("wall_leg", reglet.wall_leg);
            let (depth, face) = (width("depth", reglet.depth), width("face", reglet.face));
            (Shape::Reglet { wall_leg, depth, face }, None, Some(reglet.hem))
        }
        Trim::SideWall => {
            let side_wall = &shops.side_wall;
            let (wall_leg, roof_leg) = (width("wall_leg", side_wall.wall_leg), width("roof_leg", side_wall.roof_leg));
            (Shape::SideWall { wall_leg, roof_leg }, None, Some(side_wall.hem))
        }
        Trim::Gable => {
            let (roof_leg, face) = (width("roof_leg", shops.gable.roof_leg), width("face", shops.gable.face));
            (Shape::Gable { roof_leg, face }, None, Some(shops.gable.hem))
        }
        Trim::Eave => {
            let eave = &shops.eave;
            let (roof_leg, face) = (width("roof_leg", eave.roof_leg), width("face", eave.face));
            let kick = width("kick", eave.kick);
            let given = own.as_ref().and_then(|own| own.get(KICK_ANGLE));
            let kick_deg = match given {
                None => eave.kick_angle_deg,
                Some(spot) => angle(&spot).unwrap_or_else(|| {
                    unread.push(KICK_ANGLE);
                    eave.kick_angle_deg
                }),
            };
            (Shape::Eave { roof_leg, face, kick, kick_deg }, None, Some(eave.hem))
        }
        Trim::Ridge => {
            let ridge = &shops.ridge;
            let (far_leg, near_leg) = (width("far_leg", ridge.leg), width("near_leg", ridge.leg));
            (Shape::Ridge { far_leg, near_leg }, Some(ridge.hem), Some(ridge.hem))
        }
        Trim::Custom => {
            let legs = own.as_ref()?.required(LEGS, LEGS_WANTED, |spot| legs(spot, bench))?;
            (Shape::Custom { legs: legs.0, bends: legs.1 }, None, None)
        }
    };
    let inside_radius = {
        let given = own.as_ref().and_then(|own| own.get(INSIDE_RADIUS));
        given.and_then(|given| {
            let read = bench.tape.within(&given, Length::ZERO, bounds::LARGEST_INSIDE_RADIUS);
            if read.is_none() {
                unread.push(INSIDE_RADIUS);
            }
            read
        })
    };
    let mut hem_at = |key, shops: Option<Length>| match own.as_ref().and_then(|own| own.get(key)) {
        None => shops.map(Hem::closed),
        Some(spot) => hem(&spot, bench).unwrap_or_else(|| {
            unread.push(key);
            None
        }),
    };
    let (datum_hem, lower_hem) = (hem_at(DATUM_HEM, shops_datum_hem), hem_at(HEM, shops_hem));
    let profile = Profile { shape, datum_hem, lower_hem, inside_radius };
    Some(Sketch { profile, roof: roof.unwrap_or_default(), unread })
}

/// A hem, or that there is none.
fn hem(spot: &Spot, bench: &Bench) -> Option<Option<Hem>> {
    let width = |spot: &Spot| bench.tape.within(spot, Length::sixty_fourths(1), bounds::WIDEST_LEG);
    if spot.value.as_str() == Some("none") {
        return Some(None);
    }
    if !spot.value.is_object() {
        return width(spot).map(Hem::closed).map(Some);
    }
    let hem =
        spot.object(r#"a hem: its width, { "width": …, "gap": … } for an open one, or "none""#, &["width", "gap"])?;
    let gap = hem.or("gap", Length::ZERO, |gap| bench.tape.within(gap, Length::ZERO, bounds::WIDEST_GAP));
    let width = hem.required("width", "the hem's finished width", width);
    Some(Some(Hem { width: width?, gap: gap? }))
}

/// More legs than a trim has.
const MOST_LEGS: usize = 12;
const LEGS_WANTED: &str =
    r#"a list of 1 to 12 legs from the datum edge on, like { "width": "4 in", "bend": 90, "turn": "up" }"#;
const TURNS: [(&str, Turn); 2] = [("up", Turn::Up), ("down", Turn::Down)];

fn legs(spot: &Spot, bench: &Bench) -> Option<(Vec<Length>, Vec<Bend>)> {
    let spots = spot.list(LEGS_WANTED)?;
    if !(1..=MOST_LEGS).contains(&spots.len()) {
        return spot.fault(format!("{} legs; give {LEGS_WANTED}", spots.len()));
    }
    let (mut widths, mut bends, mut whole) = (Vec::new(), Vec::new(), true);
    for (index, spot) in spots.iter().enumerate() {
        let Some(leg) = leg(spot, index, bench) else {
            whole = false;
            continue;
        };
        widths.push(leg.0);
        bends.extend(leg.1);
    }
    whole.then_some((widths, bends))
}

/// A leg, and the bend before it: the first has none.
fn leg(spot: &Spot, index: usize, bench: &Bench) -> Option<(Length, Option<Bend>)> {
    let keys: &[&str] = if index == 0 { &["width"] } else { &["width", "bend", "turn"] };
    let leg = spot.object(r#"a leg, like { "width": "4 in", "bend": 90, "turn": "up" }"#, keys)?;
    let width = leg.required("width", "the leg's outside width", |spot| {
        bench.tape.within(spot, Length::sixty_fourths(1), bounds::WIDEST_LEG)
    });
    if index == 0 {
        return Some((width?, None));
    }
    let through_deg = leg.or("bend", 90.0, angle);
    let turn =
        leg.required("turn", "which way it turns from the leg before, the seen side up: \"up\" or \"down\"", |spot| {
            spot.word(&TURNS)
        });
    Some((width?, Some(Bend { through_deg: through_deg?, turn: turn? })))
}

/// The degrees metal is bent through: more closes it up, and is a hem.
fn angle(spot: &Spot) -> Option<f64> {
    let angle = spot.value.as_f64().filter(|angle| (1.0..=150.0).contains(angle));
    angle.or_else(|| spot.wrong("the degrees the metal is bent through, 1 to 150"))
}

impl Sketch {
    /// The profile, if all of it could be read.
    pub(super) fn whole(self) -> Option<Profile> {
        self.unread.is_empty().then_some(self.profile)
    }

    /// Why it cannot be bent from the bench's sheet: what rests on what could be read, and nothing else.
    pub(super) fn faults(&self, bench: &Bench) -> Vec<LayoutFault> {
        let Some(sheet) = bench.sheet else { return Vec::new() };
        let section = self.profile.section(&self.roof, sheet.thickness, sheet.inside_radius);
        let read = |fault: &SectionError| rests_on(fault).iter().all(|key| !self.unread.contains(&key.as_ref()));
        let units = bench.tape.units.unwrap_or(Units::In);
        section
            .faults(bench.shop.brake.least_flange, units)
            .into_iter()
            .filter(read)
            .map(LayoutFault::Section)
            .collect()
    }
}

/// The keys a fault rests on.
fn rests_on(fault: &SectionError) -> Vec<std::borrow::Cow<'static, str>> {
    let hem = |edge: &Edge| match edge {
        Edge::Datum => DATUM_HEM,
        Edge::Lower => HEM,
    };
    match fault {
        SectionError::LegTooNarrow { leg, .. } => {
            vec![leg.key(), INSIDE_RADIUS.into(), PITCH.into(), KICK_ANGLE.into()]
        }
        SectionError::HemTooNarrow { edge, .. } => vec![hem(edge).into()],
        SectionError::HemTooWide { edge, leg, .. } => {
            vec![hem(edge).into(), leg.key(), INSIDE_RADIUS.into(), PITCH.into(), KICK_ANGLE.into()]
        }
        SectionError::BendTooSlight { .. } => vec![PITCH.into()],
    }
}
