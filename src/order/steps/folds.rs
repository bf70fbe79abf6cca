//! A hem or a bend: how the strip comes to lie in the brake, where the stop is set, how far the leaf swings.

use super::step;
use crate::order::cutting::Cutting;
use crate::order::plan::{Action, Step};
use crate::order::{Painted, explain};
use crate::trade::bend_order::{Face, Handling, Op, Stop};
use crate::trade::section::{Edge, Fold, degrees};

pub(super) fn fold(cutting: &Cutting, op: &Op, first: bool) -> Step {
    let gauge = cutting.reading(op.gauge);
    let lay = lay_words(cutting, op, first);
    let stop = match op.stop {
        Stop::RawEdge => op.lie.in_throat.name(),
        Stop::HemFold => "hem",
    };
    let set = format!("{lay} Set the stop {} from the bend line, the {stop} against it.", gauge.text);
    let folded = match op.fold {
        Fold::Hem(edge) => Step {
            edge: Some(edge),
            working: Some(explain::hem(cutting, op, edge)),
            ..step(Action::Hem, format!("{set} {}", hem_words(cutting, op, edge)))
        },
        Fold::Bend(index) => {
            let through = cutting.layout.section.bends[index].through_deg;
            let overbend = match cutting.layout.bending.springback {
                Some(kept) => format!(" Set the leaf to {}: it springs back.", degrees(through / kept)),
                None => String::new(),
            };
            Step {
                bend: Some(index),
                working: Some(explain::bend(cutting, op, index)),
                ..step(
                    Action::Bend,
                    format!(
                        "{set} Bend up through {}; the angle it leaves open is {}.{overbend}",
                        degrees(through),
                        degrees(180.0 - through),
                    ),
                )
            }
        }
    };
    Step { number: Some(gauge), handling: op.handling.to_vec(), lie: Some(op.lie), stop: Some(op.stop), ..folded }
}

/// A hem is bent over, then flattened under the jaw, fold first.
fn hem_words(cutting: &Cutting, op: &Op, edge: Edge) -> String {
    let Some(hem) = cutting.layout.section.hem(edge) else { return String::new() };
    let width = cutting.exact(hem.width).text;
    let left = if op.lie.after(op.fold).left_is_left() { "left" } else { "right" };
    let flatten = match hem.is_open() {
        false => format!("flatten it: a hem {width} wide"),
        true => format!("press it down onto a strip {} thick: an open hem {width} wide", cutting.exact(hem.gap).text,),
    };
    format!(
        "Swing the {} up as far as the leaf goes. Turn the strip end for end, LEFT to your {left}, put the fold under the jaw \
         and {flatten}.",
        edge.name(),
    )
}

/// How the strip is brought to lie.
fn lay_words(cutting: &Cutting, op: &Op, first: bool) -> String {
    let up = face_words(cutting, op.lie.face);
    let left = if op.lie.left_is_left() { "left" } else { "right" };
    if first {
        return format!("Lay it {up} up, the {} in the throat; LEFT is at your {left}.", op.lie.in_throat.name());
    }
    match op.handling[..] {
        [] => format!("It lies right already: {up} up, LEFT at your {left}."),
        [Handling::Turn] => format!("Turn it end for end, {up} still up; LEFT is now at your {left}."),
        [Handling::Flip] => {
            format!("Flip it over, front edge to the back: {up} up; LEFT stays at your {left}.")
        }
        _ => format!(
            "Flip it over end for end: {up} up, the {} in the throat; LEFT is now at your {left}.",
            op.lie.in_throat.name()
        ),
    }
}

/// How a face is known at the bench.
fn face_words(cutting: &Cutting, face: Face) -> &'static str {
    match (cutting.order.painted, face) {
        (Painted::Out, Face::Seen) | (Painted::In, Face::Hidden) => "painted side",
        (Painted::Out, Face::Hidden) | (Painted::In, Face::Seen) => "bare side",
        (Painted::Both | Painted::None, Face::Seen) => "the side that will be seen",
        (Painted::Both | Painted::None, Face::Hidden) => "the hidden side",
    }
}
