//! A piece as a row of things to do at the bench, each with its one number, its caution and its working.
//!
//! Cuts come first, while the strip lies flat; then the folds in the order the brake can make them; then what is bent by
//! hand at the ends.

mod ends;
mod folds;

use crate::order::cutting::Cutting;
use crate::order::plan::{Action, Goes, Measure, Step};
use crate::order::{End, Painted, Side, explain};
use crate::trade::caution::{Caution, Signal};
use crate::trade::length::Length;
use crate::trade::section::Edge;

const SHARP: &str = "Sheared edges cut: wear gloves and eye protection.";
const SHEAR: &str = "Keep hands clear of the blade and the hold-down. Wear gloves and eye protection.";
const PINCH: &str = "Pinch point: keep hands clear of the jaw and the swinging leaf.";
const TWO_PEOPLE: &str = "Long and whippy: two people carry and turn it.";

/// A cut that heals.
fn sharp() -> Option<Caution> {
    Some(Caution::new(Signal::Caution, SHARP))
}

/// The steps that all pieces of a run share, put into words once: an order may have fifty thousand pieces.
pub struct Shared {
    take_blank: Step,
    mark: Step,
    folds: Vec<Step>,
}

impl Shared {
    /// Any piece of the run will do.
    pub fn of(cutting: &Cutting) -> Self {
        let ops = &cutting.layout.bend_order.ops;
        Self {
            take_blank: take_blank(cutting),
            mark: mark(cutting),
            folds: ops.iter().enumerate().map(|(index, op)| folds::fold(cutting, op, index == 0)).collect(),
        }
    }
}

/// The steps of one piece, in the order they are done.
pub fn of(cutting: &Cutting, shared: &Shared) -> Vec<Step> {
    let mut steps = vec![shared.take_blank.clone(), shear(cutting), shared.mark.clone()];
    for side in [Side::Left, Side::Right] {
        steps.extend(ends::cut(cutting, side));
    }
    steps.extend(shared.folds.iter().map(|fold| Step { caution: cutting.pinch(), ..fold.clone() }));
    for side in [Side::Left, Side::Right] {
        steps.extend(ends::finish(cutting, side));
    }
    steps.push(check_length(cutting));
    steps.push(label(cutting));
    steps
}

fn step(action: Action, text: String) -> Step {
    Step {
        action,
        bend: None,
        edge: None,
        handling: Vec::new(),
        lie: None,
        stop: None,
        side: None,
        number: None,
        tolerance: None,
        text,
        marks: Vec::new(),
        cut_away: Vec::new(),
        caution: None,
        working: None,
    }
}

impl Cutting<'_> {
    fn exact(&self, length: Length) -> Measure {
        Measure::exact(length, self.order.units)
    }

    fn reading(&self, length: Length) -> Measure {
        Measure::reading(length, self.order.units)
    }

    fn is_long(&self) -> bool {
        self.blank.length() >= self.order.shop.load.two_people_from
    }

    /// A crushed finger does not heal.
    fn pinch(&self) -> Option<Caution> {
        let text = if self.is_long() { format!("{PINCH} {TWO_PEOPLE}") } else { PINCH.into() };
        Some(Caution::new(Signal::Warning, &text))
    }
}

fn take_blank(cutting: &Cutting) -> Step {
    let up = match cutting.order.painted {
        Painted::Out => "Painted side up",
        Painted::In => "Painted side down",
        Painted::Both | Painted::None => "The side that will be seen up",
    };
    let girth = cutting.reading(cutting.layout.flat.girth);
    Step {
        number: Some(girth.clone()),
        caution: sharp(),
        working: Some(explain::girth(cutting)),
        ..step(
            Action::TakeBlank,
            format!(
                "Take a strip of {}, {} wide. {up}, the datum edge (the {}) away from you: left is then left.",
                cutting.order.material(),
                girth.text,
                cutting.run.trim.datum_side(),
            ),
        )
    }
}

fn shear(cutting: &Cutting) -> Step {
    // A mitre is cut to its marks: what is past them falls away.
    let mitred = [Side::Left, Side::Right].into_iter().any(|side| is_mitred(cutting, side));
    let length = cutting.blank.length();
    let length = if mitred { cutting.reading(length) } else { cutting.exact(length) };
    let caution = if cutting.is_long() { format!("{SHEAR} {TWO_PEOPLE}") } else { SHEAR.into() };
    Step {
        number: Some(length.clone()),
        caution: Some(Caution::new(Signal::Warning, &caution)),
        working: Some(explain::blank_length(cutting)),
        ..step(Action::Shear, format!("Shear the strip to {}.", length.text))
    }
}

fn mark(cutting: &Cutting) -> Step {
    let flat = &cutting.layout.flat;
    let at = |line: Length| cutting.reading(line).text;
    let hem = |line: Option<Length>, edge: Edge| line.map(|line| format!("the {}'s hem at {}", edge.name(), at(line)));
    let bends: Vec<String> = flat.bend_lines.iter().map(|&line| at(line)).collect();
    let bends = match &bends[..] {
        [] => None,
        [line] => Some(format!("the bend line at {line}")),
        lines => Some(format!("the bend lines at {}", lines.join(" and "))),
    };
    let lines: Vec<String> =
        [hem(flat.datum_fold, Edge::Datum), bends, hem(flat.lower_fold, Edge::Lower)].into_iter().flatten().collect();
    let lines = match lines.is_empty() {
        true => String::new(),
        false => format!(" From the datum edge mark {}.", lines.join(", ")),
    };
    step(Action::Mark, format!("Write LEFT on the left end.{lines}"))
}

fn is_mitred(cutting: &Cutting, side: Side) -> bool {
    matches!(cutting.outer_end(side), Some(End::Corner { .. } | End::Transition { .. }))
}

fn check_length(cutting: &Cutting) -> Step {
    let length = cutting.exact(cutting.length());
    let tab = |side| matches!(cutting.outer_end(side), Some(End::Return { .. } | End::Dam { .. }));
    let over = if [Side::Left, Side::Right].into_iter().any(tab) { "over the folded tab, " } else { "" };
    let line = measured_words(cutting);
    let tolerance = cutting.exact(cutting.order.shop.check.length.of(cutting.length(), cutting.order.units));
    let text = format!(
        "Measure the finished piece end to end, {over}{line}. It should be {}; up to {} off either way is right.",
        length.text, tolerance.text
    );
    Step {
        number: Some(length),
        tolerance: Some(tolerance),
        working: Some(explain::length(cutting)),
        ..step(Action::CheckLength, text)
    }
}

/// Along which line a finished piece is as long as it should be: a mitre leaves some legs longer and some shorter. The tape
/// of the drawing lies there.
fn measured_words(cutting: &Cutting) -> String {
    let (section, flat) = (&cutting.layout.section, &cutting.layout.flat);
    let off = |y: Length| (cutting.cut(Side::Left).inset_at(y) + cutting.cut(Side::Right).inset_at(y)).nm().abs();
    let leg = |index: usize| section.legs[index].name.name();
    let exact = |y: &Length| off(*y) < Length::millimetres(1).nm();
    if let Some(bend) = flat.bend_lines.iter().position(exact) {
        return match flat.bend_lines.len() {
            1 => "at the bend".into(),
            _ => format!("at the bend between {} and {}", leg(bend), leg(bend + 1)),
        };
    }
    // On each leg near its far end, where the drawing has it.
    let lines: Vec<Length> = [flat.head()].into_iter().chain(flat.bend_lines.clone()).chain([flat.foot()]).collect();
    let on = lines.windows(2).map(|pair| pair[0] + Length::from_mm((pair[1] - pair[0]).mm() * 0.8)).map(off);
    let nearest = on.enumerate().min_by_key(|(_, off)| *off).map_or(0, |(index, _)| index);
    format!("on {}", leg(nearest))
}

/// The roof, and the next bench, find it at the left end; where that goes under a neighbour, past what will be covered.
fn label(cutting: &Cutting) -> Step {
    let goes_under = cutting.outer_end(Side::Left).is_none() && cutting.goes(Side::Left) == Goes::Under;
    let past = match goes_under {
        true => format!("past the {} that go under, ", cutting.exact(cutting.run.lap).text),
        false => String::new(),
    };
    step(
        Action::Label,
        format!(
            "Print this piece's label, or take it from the order's sheet. Stick it near the LEFT end, {past}on the face that \
             will be seen, where it can be scanned in the stack. Then scan it."
        ),
    )
}

#[cfg(test)]
mod tests {
    use std::sync::Arc;

    use crate::order::{parse, planner};

    #[test]
    fn every_number_has_its_working() {
        for order in [
            include_bytes!("../../tests/orders/every-kind.json").as_slice(),
            include_bytes!("../../tests/orders/joints.json"),
        ] {
            let (order, _) = parse::parse(order, &Arc::default()).unwrap();
            for piece in planner::plan(&order).unwrap().pieces {
                for step in piece.steps.iter().filter(|step| step.number.is_some()) {
                    let working = step.working.as_ref().unwrap_or_else(|| panic!("{} {:?}", piece.mark, step.action));
                    assert!(!working.rule.is_empty() && !working.source.is_empty(), "{working:?}");
                }
            }
        }
    }
}
