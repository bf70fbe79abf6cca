//! Reads one run: a trim along a wall, its measure and how it is divided.

use std::collections::HashMap;

use super::bench::Bench;
use super::reader::{Object, Spot, one_of};
use super::text;
use super::{end, profile};
use crate::order::{Measured, Panels, Run, Side, Trim};
use crate::trade::length::{Length, Units};
use crate::trade::pitch::Pitch;
use crate::trade::profile::Roof;
use crate::trade::split::Kind;

const KEYS: [&str; 16] = [
    "wall",
    "trim",
    "length",
    "measured",
    "pitch",
    "far_pitch",
    "at",
    "low",
    "lap",
    "lay_from",
    "split",
    "stagger",
    "panels",
    "left",
    "right",
    "profile",
];

const PITCH: &str = r#"the roof's fall as text, like "2:12""#;

const SIDES: [(&str, Side); 2] = [("left", Side::Left), ("right", Side::Right)];

const SPLITS: [(&str, Kind); 2] = [("even", Kind::Even), ("longest-first", Kind::LongestFirst)];

/// Which walls already have which trim, and in which run.
pub(super) type Taken = HashMap<(String, Trim), String>;

/// Reads a run, and notes what of its cross-section cannot be bent from the bench's sheet, if that is known.
pub(super) fn read(spot: &Spot, bench: &Bench, taken: &mut Taken) -> Option<Run> {
    let run = spot.object("a run: an object with `wall`, `trim`, `length` and, for most trims, `pitch`", &KEYS)?;
    let wall = run.required("wall", text::WALL, text::wall);
    let trims = Trim::ALL.map(|trim| (trim.key(), trim));
    let trim = run.required("trim", &one_of(&trims), |trim| trim.word(&trims));
    if let Some((wall, trim)) = wall.as_ref().zip(trim) {
        own_place(&run, wall, trim, taken);
    }
    let length = run.required("length", "the run's measured length", |length| bench.tape.settable(length));
    let measured = run.or("measured", Measured::default(), |spot| measured(spot, trim));
    let roof = roof(&run, trim);
    let at = run.or("at", Length::ZERO, |at| bench.tape.read(at));
    let lap = run.or("lap", bench.shop.orders.lap(bench.tape.units.unwrap_or(Units::In)), |spot| lap(spot, bench));
    let lay_from = lay_from(&run, trim);
    let split = run.or("split", Kind::Even, |split| split.word(&SPLITS));
    let stagger = run.or("stagger", bench.shop.splits.stagger, |stagger| bench.tape.read(stagger));
    let panels = run.or("panels", None, |spot| panels(spot, bench).map(Some));
    let left = run.or("left", Default::default(), |spot| end::read(spot, trim, bench));
    let right = run.or("right", Default::default(), |spot| end::read(spot, trim, bench));
    let meets = match (left, right) {
        (Some(_), Some(_)) => [end::meets(&run, "left"), end::meets(&run, "right")],
        // What is wrong with an end is told already.
        _ => [Some(None), Some(None)],
    };
    let sketch = trim.and_then(|trim| profile::read(&run, trim, roof, bench));
    if let Some(sketch) = &sketch {
        for fault in sketch.faults(bench) {
            spot.fault_below::<()>(&fault.field(), fault.to_string());
        }
    }

    Some(Run {
        wall: wall?,
        trim: trim?,
        length: length?,
        measured: measured?,
        roof: roof?,
        at: at?,
        lap: lap?,
        lay_from: lay_from?,
        split: split?,
        stagger: stagger?,
        panels: panels?,
        profile: sketch?.whole()?,
        left: left?,
        right: right?,
        meets: {
            let [left, right] = meets;
            [left?, right?]
        },
    })
}

/// Marks are made of wall, trim and place, so a wall has each trim once. `a` and `A` would be read as one wall.
fn own_place(run: &Object, wall: &str, trim: Trim, taken: &mut Taken) {
    if let Some(before) = taken.insert((wall.to_ascii_uppercase(), trim), run.spot.pointer.clone()) {
        let detail = format!(
            "wall {wall} has its {} at {before}, and both would carry the same marks; give each stretch its own name",
            trim.name()
        );
        run.spot.fault_below::<()>("/wall", detail);
    }
}

fn measured(spot: &Spot, trim: Option<Trim>) -> Option<Measured> {
    const OUTSIDE: (&str, Measured) = ("outside", Measured::Outside);
    const BETWEEN: (&str, Measured) = ("between", Measured::Between);
    const LEVEL: (&str, Measured) = ("level", Measured::Level);
    match trim {
        None => spot.word(&[OUTSIDE, BETWEEN, LEVEL]),
        Some(trim) if trim.is_sloped() => spot.word(&[OUTSIDE, LEVEL]),
        Some(_) => spot.word(&[OUTSIDE, BETWEEN]),
    }
}

/// The roof a trim is bent to: `None` where what of it bears on the trim could not be read.
fn roof(run: &Object, trim: Option<Trim>) -> Option<Roof> {
    let pitch = if trim.is_some_and(Trim::follows_pitch) {
        run.required("pitch", PITCH, pitch).map(Some)
    } else {
        run.or("pitch", None, |spot| pitch(spot).map(Some))
    };
    let far_pitch = match trim {
        Some(Trim::Ridge) | None => run.or("far_pitch", pitch.flatten(), |spot| self::pitch(spot).map(Some)),
        Some(trim) if run.has("far_pitch") => run.spot.fault_below(
            "/far_pitch",
            format!("only a ridge has a slope beyond it; leave it out of this {}", trim.name()),
        ),
        Some(_) => Some(None),
    };
    Some(Roof { pitch: pitch?, far_pitch: far_pitch? })
}

pub(super) fn pitch(spot: &Spot) -> Option<Pitch> {
    let text = spot.text(PITCH)?;
    Pitch::parse(text).map_err(|error| spot.fault::<()>(error.to_string())).ok()
}

/// A level run is laid from where it says, a sloped one from its low end, so that laps shed water.
fn lay_from(run: &Object, trim: Option<Trim>) -> Option<Side> {
    let side = |side: &Spot| side.word(&SIDES);
    match trim {
        None => {
            let low = run.or("low", Side::default(), side);
            run.or("lay_from", low?, side)
        }
        Some(trim) if trim.is_sloped() => {
            let low = run.required("low", "the end that is lower on the roof, \"left\" or \"right\"", side)?;
            let lay_from = run.or("lay_from", low, side)?;
            if lay_from == low {
                return Some(low);
            }
            let detail = format!("a {} is laid from its low end, so that laps shed water; leave it out", trim.name());
            run.spot.fault_below("/lay_from", detail)
        }
        Some(trim) => {
            if run.has("low") {
                let detail = format!("a {} runs level and has no low end; leave it out", trim.name());
                run.spot.fault_below::<()>("/low", detail);
            }
            run.or("lay_from", Side::default(), side)
        }
    }
}

fn lap(spot: &Spot, bench: &Bench) -> Option<Length> {
    let lap = bench.tape.read(spot)?;
    let least = bench.shop.orders.least_lap;
    if lap >= least {
        return Some(lap);
    }
    let (given, least) = (bench.tape.say(lap), bench.tape.say(least));
    spot.fault(format!("a lap of {given} is under the shop's least; give {least} or more"))
}

/// Closer seams than this are ribs of one panel.
const LEAST_SEAM_SPACING: Length = Length::inches(2);
const MOST_SEAM_SPACING: Length = Length::inches(60);

fn panels(spot: &Spot, bench: &Bench) -> Option<Panels> {
    let panels = spot.object(r#"the panels' high seams, like { "first": 4, "every": 16 }"#, &["first", "every"])?;
    let every = panels.required("every", "the distance from seam to seam", |spot| {
        bench.tape.within(spot, LEAST_SEAM_SPACING, MOST_SEAM_SPACING)
    });
    let first = panels.or("first", Length::ZERO, |spot| bench.tape.read(spot));
    Some(Panels { first: first?, every: every? })
}
