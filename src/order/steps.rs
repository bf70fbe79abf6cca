//! A piece as a row of things to do at the bench, each with its one number, its caution and its working.
//!
//! The hem is folded before the bends, while the strip still lies flat: a bent leg would keep it out of the brake.

use crate::order::cutting::Cutting;
use crate::order::plan::{Action, Goes, Measure, Step};
use crate::order::{End, Painted, Side, explain};
use crate::trade::caution::{Caution, Signal};
use crate::trade::cut;
use crate::trade::length::Length;
use crate::trade::section::degrees;

const SHARP: &str = "Sheared edges cut: wear gloves and eye protection.";
const SHEAR: &str = "Keep hands clear of the blade and the hold-down. Wear gloves and eye protection.";
const PINCH: &str = "Pinch point: keep hands clear of the jaw and the swinging leaf.";
const TWO_PEOPLE: &str = "Long and whippy: two people carry and turn it.";

/// A cut that heals.
fn sharp() -> Option<Caution> {
    Some(Caution::new(Signal::Caution, SHARP))
}

/// A crushed finger does not.
fn pinch() -> Option<Caution> {
    Some(Caution::new(Signal::Warning, PINCH))
}

/// From this length on, two people handle a piece (common practice, no source).
const LONG_PIECE: Length = Length::inches(96);

/// The steps of one piece, in the order they are done.
pub fn of(cutting: &Cutting) -> Vec<Step> {
    let mut steps = vec![take_blank(cutting), shear(cutting), mark(cutting)];
    for side in [Side::Left, Side::Right] {
        steps.extend(cut_end(cutting, side));
    }
    steps.push(hem(cutting));
    steps.extend((0..cutting.layout.section.bends.len()).map(|index| bend(cutting, index)));
    for side in [Side::Left, Side::Right] {
        steps.extend(finish_end(cutting, side));
    }
    steps.push(check_length(cutting));
    steps.push(step(Action::Label, "Print this piece's label, or take it from the order's sheet: on the kiosk's page of orders, Labels (PDF). Stick it near the LEFT end, on the face that will be seen, where it can be scanned in the stack.".into()));
    steps
}

fn step(action: Action, text: String) -> Step {
    Step { action, bend: None, side: None, number: None, text, caution: None, working: None }
}

impl Cutting<'_> {
    fn exact(&self, length: Length) -> Measure {
        Measure::exact(length, self.order.units)
    }

    fn reading(&self, length: Length) -> Measure {
        Measure::reading(length, self.order.units)
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
                "Take a strip of {}, {} wide. {up}, the datum edge (the wall side) away from you: left is then left.",
                cutting.order.material(),
                girth.text,
            ),
        )
    }
}

fn shear(cutting: &Cutting) -> Step {
    let length = cutting.exact(cutting.blank_length);
    let caution = if cutting.blank_length >= LONG_PIECE { format!("{SHEAR} {TWO_PEOPLE}") } else { SHEAR.into() };
    Step {
        number: Some(length.clone()),
        caution: Some(Caution::new(Signal::Warning, &caution)),
        working: Some(explain::blank_length(cutting)),
        ..step(Action::Shear, format!("Shear the strip to {}.", length.text))
    }
}

fn mark(cutting: &Cutting) -> Step {
    let flat = &cutting.layout.flat;
    let lines: Vec<String> = flat.bend_lines.iter().map(|&line| cutting.reading(line).text).collect();
    let bends = if lines.len() == 1 { "the bend line" } else { "the bend lines" };
    step(
        Action::Mark,
        format!(
            "Write LEFT on the left end. From the datum edge mark {bends} at {} and the hem's fold at {}.",
            lines.join(" and "),
            cutting.reading(flat.fold_line).text,
        ),
    )
}

/// The notch or cut at an end, made while the blank is flat.
fn cut_end(cutting: &Cutting, side: Side) -> Option<Step> {
    let flat = &cutting.layout.flat;
    let hem = cutting.layout.section.hem;
    let name = side.name();
    let reading = |length| cutting.reading(length).text;
    match cutting.outer_end(side) {
        Some(End::Square) => None,
        Some(End::Gable { width }) => Some(Step {
            side: Some(side),
            number: Some(cutting.exact(width)),
            caution: sharp(),
            working: Some(explain::gable(cutting, width)),
            ..step(
                Action::CutEnd,
                format!(
                    "At the {name} end mark {} in along the hem's fold, and {} in along the lower edge. Cut from the lower \
                     edge to the fold, and from the fold to the bend line at the very end: folded, the hem then lies inside \
                     the cut.",
                    cutting.exact(width).text,
                    reading(explain::gable_at_edge(cutting, width)),
                ),
            )
        }),
        Some(End::Return { depth }) => {
            let bend = flat.bend_lines.last().copied().unwrap_or_default();
            Some(Step {
                side: Some(side),
                number: Some(cutting.exact(depth)),
                caution: sharp(),
                working: Some(explain::return_cut(cutting, depth)),
                ..step(
                    Action::CutEnd,
                    format!(
                        "At the {name} end, over {}: cut away everything from the datum edge to the bend line at {}, and the \
                         hem beyond its fold at {}. What stays is the tab.",
                        cutting.exact(depth).text,
                        reading(bend),
                        reading(flat.fold_line),
                    ),
                )
            })
        }
        None if cutting.goes(side) == Goes::Under => {
            let lap = cutting.run.lap;
            let up = hem + cut::HEM_RELIEF;
            Some(Step {
                side: Some(side),
                number: Some(cutting.exact(lap)),
                caution: sharp(),
                working: Some(explain::lap_notch(cutting)),
                ..step(
                    Action::NotchLap,
                    format!(
                        "The {name} end goes under. Notch it {} along and {} up from the lower edge: the hem, and a little past its fold.",
                        cutting.exact(lap).text,
                        reading(up),
                    ),
                )
            })
        }
        None => None,
    }
}

fn hem(cutting: &Cutting) -> Step {
    let fold = cutting.reading(cutting.layout.flat.fold_line);
    let width = cutting.layout.section.hem;
    Step {
        number: Some(fold.clone()),
        caution: pinch(),
        working: Some(explain::hem(cutting)),
        ..step(
            Action::Hem,
            format!(
                "Fold the lower edge down, away from the side that will be seen, at {} from the datum edge, and flatten it: a hem {} wide.",
                fold.text,
                cutting.exact(width).text,
            ),
        )
    }
}

fn bend(cutting: &Cutting, index: usize) -> Step {
    let bend = cutting.layout.section.bends[index];
    let at = cutting.reading(cutting.layout.flat.bend_lines[index]);
    let turn = bend.turn.name();
    let through = degrees(bend.through_deg);
    let opening = degrees(180.0 - bend.through_deg);
    Step {
        bend: Some(index),
        number: Some(at.clone()),
        caution: pinch(),
        working: Some(explain::bend(cutting, index)),
        ..step(
            Action::Bend,
            format!(
                "Bend {turn} through {through}, {} from the datum edge. The angle it leaves open is {opening}.",
                at.text
            ),
        )
    }
}

/// What is done at an end after the bends.
fn finish_end(cutting: &Cutting, side: Side) -> Option<Step> {
    let name = side.name();
    match cutting.outer_end(side) {
        Some(End::Return { depth }) => Some(Step {
            side: Some(side),
            number: Some(cutting.exact(depth)),
            caution: sharp(),
            ..step(
                Action::FoldTab,
                format!(
                    "Fold the {name} end's tab back 90° toward the wall, {} from its end, to close the end.",
                    cutting.exact(depth).text,
                ),
            )
        }),
        Some(End::Square | End::Gable { .. }) => None,
        None if cutting.goes(side) == Goes::Over => Some(Step {
            side: Some(side),
            number: Some(cutting.exact(cutting.run.lap)),
            caution: sharp(),
            ..step(
                Action::OpenHem,
                format!(
                    "The {name} end goes over. Pry the hem open over {}, so that it slides onto the piece below.",
                    cutting.exact(cutting.run.lap).text,
                ),
            )
        }),
        None => None,
    }
}

fn check_length(cutting: &Cutting) -> Step {
    let length = cutting.exact(cutting.length);
    let returns =
        [Side::Left, Side::Right].into_iter().any(|side| matches!(cutting.outer_end(side), Some(End::Return { .. })));
    let over = if returns { "over the folded tab, " } else { "" };
    Step {
        number: Some(length.clone()),
        working: Some(explain::length(cutting)),
        ..step(
            Action::CheckLength,
            format!("Measure the finished piece end to end, {over}at the bend. It should be {}.", length.text),
        )
    }
}
