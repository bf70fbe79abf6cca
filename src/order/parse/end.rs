//! Reads what happens at a run's end: which ends a trim may have, and what each needs to be told.

use super::bench::Bench;
use super::reader::{Object, Spot, one_of};
use super::run::pitch;
use super::text;
use crate::order::{Corner, End, Falls, Trim};
use crate::trade::length::Length;

#[derive(Clone, Copy)]
enum Kind {
    Square,
    Gable,
    Return,
    Dam,
    Corner,
    Transition,
}

const SQUARE: (&str, Kind) = ("square", Kind::Square);
const GABLE: (&str, Kind) = ("gable", Kind::Gable);
const RETURN: (&str, Kind) = ("return", Kind::Return);
const DAM: (&str, Kind) = ("dam", Kind::Dam);
const CORNER: (&str, Kind) = ("corner", Kind::Corner);
const TRANSITION: (&str, Kind) = ("transition", Kind::Transition);

/// The ends a trim may have; any, where the trim cannot be read.
fn kinds(trim: Option<Trim>) -> &'static [(&'static str, Kind)] {
    match trim {
        Some(Trim::EndWall) => &[SQUARE, GABLE, DAM, CORNER],
        Some(Trim::Reglet) => &[SQUARE, RETURN, CORNER],
        Some(Trim::SideWall) => &[SQUARE, DAM, TRANSITION],
        Some(Trim::Gable) => &[SQUARE, TRANSITION],
        Some(Trim::Eave | Trim::Ridge | Trim::Custom) => &[SQUARE, CORNER],
        None => &[SQUARE, GABLE, RETURN, DAM, CORNER, TRANSITION],
    }
}

const SIDES: [(&str, Corner); 2] = [("outside", Corner::Outside), ("inside", Corner::Inside)];
const FALLS: [(&str, Falls); 2] = [("on", Falls::On), ("back", Falls::Back)];

/// A square corner.
const TURN_DEG: f64 = 90.0;
/// Less is no corner, more leaves a sliver.
const LEAST_TURN_DEG: f64 = 1.0;
const MOST_TURN_DEG: f64 = 150.0;

pub(super) fn read(spot: &Spot, trim: Option<Trim>, bench: &Bench) -> Option<End> {
    let kinds = kinds(trim);
    let end = spot.any_object(&format!(r#"an end, {{ "end": … }}, which is {}"#, one_of(kinds)))?;
    let kind = end.required("end", &one_of(kinds), |kind| end_kind(kind, kinds));
    end.known(match kind {
        Some(Kind::Square) => &["end"],
        Some(Kind::Gable) => &["end", "width"],
        Some(Kind::Return) => &["end", "depth"],
        Some(Kind::Dam) => &["end", "height"],
        Some(Kind::Corner) => &["end", "side", "turn", MEETS],
        Some(Kind::Transition) => &["end", "to", "falls", MEETS],
        None => &["end", "width", "depth", "height", "side", "turn", "to", "falls", MEETS],
    });
    let size = |key, wanted| end.required(key, wanted, |size| bench.tape.settable(size));
    let tab = |key, wanted| end.required(key, wanted, |size| foldable(size, bench));
    match kind? {
        Kind::Square => Some(End::Square),
        Kind::Gable => Some(End::Gable { width: size("width", "the gable trim's width")? }),
        Kind::Return => Some(End::Return { depth: tab("depth", "how far it goes back to the wall")? }),
        Kind::Dam => Some(End::Dam { height: tab("height", "how far it is turned up at the wall")? }),
        Kind::Corner => corner(&end),
        Kind::Transition => {
            let to = end.required("to", r#"the pitch beyond, like "6:12""#, pitch);
            let falls = end.or("falls", Falls::default(), |falls| falls.word(&FALLS));
            Some(End::Transition { to: to?, falls: falls? })
        }
    }
}

/// A tab that can be gripped and folded: no less than the brake turns.
fn foldable(spot: &Spot, bench: &Bench) -> Option<Length> {
    let size = bench.tape.settable(spot)?;
    let least = bench.shop.brake.least_flange;
    if size >= least {
        return Some(size);
    }
    let (given, least) = (bench.tape.say(size), bench.tape.say(least));
    spot.fault(format!("a tab of {given} is too small to fold; give {least} or more"))
}

/// The wall whose trim a mitred end meets, where it is told.
pub(super) const MEETS: &str = "meets";

/// Reads [`MEETS`] of an end that [`read`] found to be one.
pub(super) fn meets(run: &Object, side: &str) -> Option<Option<String>> {
    let Some(end) = run.get(side).and_then(|spot| spot.any_object("an end")) else { return Some(None) };
    end.or(MEETS, None, |wall| text::wall(wall).map(Some))
}

fn corner(end: &Object) -> Option<End> {
    let side = end.required("side", &one_of(&SIDES), |side| side.word(&SIDES));
    let turn_deg = end.or("turn", TURN_DEG, |spot| {
        let wanted = "the degrees the wall turns through, 1 to 150; 90 at a square corner";
        let turn = spot.value.as_f64().filter(|turn| (LEAST_TURN_DEG..=MOST_TURN_DEG).contains(turn));
        turn.or_else(|| spot.wrong(wanted))
    });
    Some(End::Corner { side: side?, turn_deg: turn_deg? })
}

fn end_kind(spot: &Spot, kinds: &[(&str, Kind)]) -> Option<Kind> {
    match spot.value.as_str() {
        Some("lap") => spot.fault(format!("laps are inside a run, never at its end; give {}", one_of(kinds))),
        _ => spot.word(kinds),
    }
}
