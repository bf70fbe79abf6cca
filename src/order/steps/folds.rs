//! A hem or a bend: how the strip comes to lie in the brake, where the stop is set, how far the leaf swings.

use super::step;
use crate::order::cutting::Cutting;
use crate::order::plan::{Action, Measure, Step};
use crate::order::{Painted, explain};
use crate::trade::bend_order::{Face, Handling, Op, Stop};
use crate::trade::section::{Edge, Fold, degrees};

pub(super) fn fold(cutting: &Cutting, op: &Op, first: bool) -> Step {
    let gauge = gauge(cutting, op);
    let stop = match op.stop {
        Stop::RawEdge => op.lie.in_throat.name(),
        Stop::HemFold => "hem",
        Stop::Bent => "part farthest in",
    };
    let lay = lay_words(cutting, op, first);
    let set = |line: &str| format!("{lay} Stop {} from the {line} line, the {stop} against it.", gauge.text);
    let folded = match op.fold {
        Fold::Hem(edge) => Step {
            edge: Some(edge),
            working: Some(explain::hem(cutting, op, edge)),
            ..step(Action::Hem, format!("{} {}", set("fold"), hem_words(cutting, op, edge)))
        },
        Fold::Bend(index) => {
            let through = cutting.layout.section.bends[index].through_deg;
            let overbend = match cutting.layout.bending.springback {
                Some(kept) => format!(" Set the leaf to {}: it springs back.", degrees(through / kept)),
                None => String::new(),
            };
            let (through, open) = (degrees(through), degrees(180.0 - through));
            Step {
                bend: Some(index),
                working: Some(explain::bend(cutting, op, index)),
                ..step(Action::Bend, format!("{} Bend up through {through}, {open} left open.{overbend}", set("bend")))
            }
        }
    };
    Step { number: Some(gauge), handling: op.handling.to_vec(), lie: Some(op.lie), stop: Some(op.stop), ..folded }
}

/// The stop's distance as it is set: on a strip as wide and with its lines where the cards say they are.
fn gauge(cutting: &Cutting, op: &Op) -> Measure {
    let flat = &cutting.layout.flat;
    let step = cutting.order.units.reading();
    let set = match (op.stop, op.lie.in_throat, flat.line(op.fold)) {
        (Stop::RawEdge, Edge::Lower, Some(line)) => flat.girth.nearest(step) - line.nearest(step),
        _ => op.gauge,
    };
    Measure { mm: op.gauge.mm(), text: cutting.reading(set).text }
}

/// A hem is bent over, then flattened under the jaw, fold first.
fn hem_words(cutting: &Cutting, op: &Op, edge: Edge) -> String {
    let Some(hem) = cutting.layout.section.hem(edge) else { return String::new() };
    let width = cutting.exact(hem.width).text;
    let left = if op.lie.after(op.fold).left_is_left() { "left" } else { "right" };
    let flatten = match hem.is_open() {
        false => format!("Flatten it under the jaw: a hem {width} wide"),
        true => {
            format!("Press it down on a {} strip: an open hem {width} wide", cutting.exact(hem.gap).text)
        }
    };
    format!("Swing the edge up all the way. Turn the strip end for end, LEFT to your {left}. {flatten}.")
}

/// How the strip is brought to lie.
fn lay_words(cutting: &Cutting, op: &Op, first: bool) -> String {
    let up = face_words(cutting, op.lie.face);
    let left = if op.lie.left_is_left() { "left" } else { "right" };
    let edge = op.lie.in_throat.name();
    if first {
        return format!("Lay it {up} up, {edge} in the throat, LEFT at your {left}.");
    }
    match op.handling[..] {
        [] => format!("It lies right: {up} up, LEFT at your {left}."),
        [Handling::Turn] => format!("Turn it end for end: {up} up, LEFT at your {left}."),
        [Handling::Flip] => format!("Flip it, front edge to the back: {up} up, LEFT at your {left}."),
        _ => format!("Flip it end for end: {up} up, {edge} in the throat, LEFT at your {left}."),
    }
}

/// How a face is known at the bench.
fn face_words(cutting: &Cutting, face: Face) -> &'static str {
    match (cutting.order.painted, face) {
        (Painted::Out, Face::Seen) | (Painted::In, Face::Hidden) => "painted side",
        (Painted::Out, Face::Hidden) | (Painted::In, Face::Seen) => "bare side",
        (Painted::Both | Painted::None, Face::Seen) => "seen side",
        (Painted::Both | Painted::None, Face::Hidden) => "hidden side",
    }
}
