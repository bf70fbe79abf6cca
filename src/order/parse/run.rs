//! Reads one run: a trim along a wall, its measure and its two ends.

use std::collections::HashMap;

use super::profile;
use super::reader::{Object, Spot, one_of};
use super::tape::Tape;
use super::text;
use crate::order::{End, Measured, Run, Side, Trim, defaults};
use crate::trade::length::{Length, Units};
use crate::trade::pitch::Pitch;

const KEYS: [&str; 11] =
    ["wall", "trim", "length", "measured", "pitch", "lap", "lay_from", "split", "left", "right", "profile"];

const TRIMS: [(&str, Trim); 2] = [("end-wall", Trim::EndWall), ("reglet", Trim::Reglet)];
/// Words of the trade that will be trims one day.
const TRIMS_TO_COME: [&str; 5] = ["side-wall", "gable", "eave", "ridge", "custom"];

const PITCH: &str = r#"the roof's fall as text, like "2:12""#;

/// Which walls already have which trim, and in which run.
pub(super) type Taken = HashMap<(String, Trim), String>;

/// Reads a run, and notes what of its cross-section cannot be bent from a sheet of `thickness`, if that is known.
pub(super) fn read(spot: &Spot, tape: &Tape, thickness: Option<Length>, taken: &mut Taken) -> Option<Run> {
    let run = spot.object("a run: an object with `wall`, `trim`, `length` and, for an end wall, `pitch`", &KEYS)?;
    let wall = run.required("wall", text::WALL, text::wall);
    let trim = run.required("trim", &one_of(&TRIMS), trim);
    if let Some((wall, trim)) = wall.as_ref().zip(trim) {
        own_place(&run, wall, trim, taken);
    }
    let length = run.required("length", "the run's measured length", |length| tape.settable(length));
    let measured = run.or("measured", Measured::default(), |measured| {
        measured.word(&[("outside", Measured::Outside), ("between", Measured::Between)])
    });
    let pitch = if trim.is_some_and(Trim::follows_pitch) {
        run.required("pitch", PITCH, pitch).map(Some)
    } else {
        run.or("pitch", None, |spot| pitch(spot).map(Some))
    };
    let lap = run.or("lap", defaults::lap(tape.units.unwrap_or(Units::In)), |spot| lap(spot, tape));
    let lay_from =
        run.or("lay_from", Side::default(), |side| side.word(&[("left", Side::Left), ("right", Side::Right)]));
    run.or("split", (), |split| split.word(&[("even", ())]));
    let left = run.or("left", End::default(), |spot| end(spot, trim, tape));
    let right = run.or("right", End::default(), |spot| end(spot, trim, tape));
    let sketch = trim.and_then(|trim| profile::read(&run, trim, pitch, tape));
    if let (Some(sketch), Some(thickness)) = (&sketch, thickness) {
        for fault in sketch.faults(thickness, tape.units.unwrap_or(Units::In)) {
            spot.fault_below::<()>(&fault.field(), fault.to_string());
        }
    }

    Some(Run {
        wall: wall?,
        trim: trim?,
        length: length?,
        measured: measured?,
        pitch: pitch?,
        lap: lap?,
        lay_from: lay_from?,
        profile: sketch?.whole()?,
        left: left?,
        right: right?,
    })
}

fn trim(spot: &Spot) -> Option<Trim> {
    match spot.value.as_str() {
        Some(word) if TRIMS_TO_COME.contains(&word) => {
            spot.fault(format!("\"{word}\" is not made yet; give {}", one_of(&TRIMS)))
        }
        _ => spot.word(&TRIMS),
    }
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

fn pitch(spot: &Spot) -> Option<Pitch> {
    let text = spot.text(PITCH)?;
    Pitch::parse(text).map_err(|error| spot.fault::<()>(error.to_string())).ok()
}

fn lap(spot: &Spot, tape: &Tape) -> Option<Length> {
    let lap = tape.read(spot)?;
    if lap >= defaults::LEAST_LAP {
        return Some(lap);
    }
    let least = tape.say(defaults::LEAST_LAP);
    spot.fault(format!("a lap of {} is under the shop's least; give {least} or more", tape.say(lap)))
}

#[derive(Clone, Copy)]
enum Kind {
    Square,
    Gable,
    Return,
}

/// The ends a trim may have; any, where the trim cannot be read.
fn kinds(trim: Option<Trim>) -> &'static [(&'static str, Kind)] {
    const SQUARE: (&str, Kind) = ("square", Kind::Square);
    const GABLE: (&str, Kind) = ("gable", Kind::Gable);
    const RETURN: (&str, Kind) = ("return", Kind::Return);
    match trim {
        Some(Trim::EndWall) => &[SQUARE, GABLE],
        Some(Trim::Reglet) => &[SQUARE, RETURN],
        None => &[SQUARE, GABLE, RETURN],
    }
}

fn end(spot: &Spot, trim: Option<Trim>, tape: &Tape) -> Option<End> {
    let end = spot.any_object(&format!(r#"an end, {{ "end": … }}, which is {}"#, one_of(kinds(trim))))?;
    let kind = end.required("end", &one_of(kinds(trim)), |kind| end_kind(kind, kinds(trim)));
    end.known(match kind {
        Some(Kind::Square) => &["end"],
        Some(Kind::Gable) => &["end", "width"],
        Some(Kind::Return) => &["end", "depth"],
        None => &["end", "width", "depth"],
    });
    match kind? {
        Kind::Square => Some(End::Square),
        Kind::Gable => {
            let width = end.required("width", "the gable trim's width", |width| tape.settable(width))?;
            Some(End::Gable { width })
        }
        Kind::Return => {
            let depth = end.required("depth", "how far it goes back to the wall", |depth| tape.settable(depth))?;
            Some(End::Return { depth })
        }
    }
}

fn end_kind(spot: &Spot, kinds: &[(&str, Kind)]) -> Option<Kind> {
    match spot.value.as_str() {
        Some("lap") => spot.fault(format!("laps are inside a run, never at its end; give {}", one_of(kinds))),
        Some("corner") => spot.fault(format!("a corner is not made yet; give {}", one_of(kinds))),
        _ => spot.word(kinds),
    }
}
