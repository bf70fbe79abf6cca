//! What is done at a piece's ends: cut while the strip lies flat, folded or pried open once it is bent.

use super::{sharp, step};
use crate::order::cutting::Cutting;
use crate::order::plan::{Action, Goes, Mark, Step};
use crate::order::{End, Side, explain};
use crate::trade::cut;
use crate::trade::length::Length;

/// The notch or cut at an end, made while the blank is flat.
pub(super) fn cut(cutting: &Cutting, side: Side) -> Option<Step> {
    let (cut, name) = (cutting.cut(side), side.name());
    let flat = &cutting.layout.flat;
    let reading = |length| cutting.reading(length).text;
    let exact = |length| cutting.exact(length).text;
    let (action, number, working, text) = match cutting.outer_end(side) {
        Some(End::Square) => return None,
        Some(End::Gable { width }) => (
            Action::CutEnd,
            cutting.exact(width),
            explain::gable(cutting, side, width),
            if flat.lower_fold.is_some() {
                format!(
                    "At the {name} end mark {} in along the hem's fold, and {} in along the lower edge. Cut from the lower \
                     edge to the fold, and from the fold to the bend line at the very end: folded, the hem then lies inside \
                     the cut.",
                    exact(width),
                    reading(cut.at_lower_edge()),
                )
            } else {
                format!(
                    "At the {name} end mark {} in along the lower edge. Cut from there to the bend line at the very end.",
                    exact(width)
                )
            },
        ),
        Some(End::Return { depth }) => (
            Action::CutEnd,
            cutting.exact(depth),
            explain::tab_cut(cutting, side, depth),
            format!("At the {name} end, over {}: {}", exact(depth), tab_words(cutting)),
        ),
        Some(End::Dam { height }) => (
            Action::CutEnd,
            cutting.exact(height),
            explain::tab_cut(cutting, side, height),
            format!("At the {name} end, over {}: {}", exact(height), tab_words(cutting)),
        ),
        Some(End::Corner { .. } | End::Transition { .. }) => (
            Action::CutEnd,
            cutting.reading(cutting.deepest_mark(side)),
            explain::mitre(cutting, side),
            format!(
                "At the {name} end mark the points in order, each so far in from the {name} end and down from the datum edge. \
                 Join them and cut: every leg then meets its neighbour along one line.",
            ),
        ),
        None if cutting.goes(side) == Goes::Under && *cut == cutting.layout.square => return None,
        None if cutting.goes(side) == Goes::Under => (
            Action::NotchLap,
            cutting.exact(cutting.run.lap),
            explain::lap_notch(cutting),
            lap_notch_words(cutting, side),
        ),
        None => return None,
    };
    let [left, right] = cutting.blank.notches();
    let marks = cutting.marks(side).into_iter();
    Some(Step {
        side: Some(side),
        number: Some(number),
        caution: sharp(),
        working: Some(working),
        marks: marks.map(|point| Mark { x: cutting.reading(point.x), y: cutting.reading(point.y) }).collect(),
        cut_away: if side == Side::Left { left } else { right },
        ..step(action, text)
    })
}

/// What is cut away above and beside a tab.
fn tab_words(cutting: &Cutting) -> String {
    let flat = &cutting.layout.flat;
    let bend = cutting.reading(flat.bend_lines.last().copied().unwrap_or_default()).text;
    let hem = match flat.lower_fold {
        Some(fold) => format!(", and the hem beyond its fold at {}", cutting.reading(fold).text),
        None => String::new(),
    };
    format!("cut away everything from the datum edge to the bend line at {bend}{hem}. What stays is the tab.")
}

fn lap_notch_words(cutting: &Cutting, side: Side) -> String {
    let section = &cutting.layout.section;
    let joint = match cutting.lap(side) {
        Some(lap) if lap.joint => " It is an expansion joint: sealed, never fastened.",
        _ => "",
    };
    let up = |hem: Length| cutting.reading(hem + cut::HEM_RELIEF).text;
    let from = match (section.datum_hem, section.lower_hem) {
        (None, Some(lower)) => {
            format!("{} up from the lower edge: the hem, and a little past its fold", up(lower.width))
        }
        (Some(datum), None) => {
            format!("{} down from the datum edge: the hem, and a little past its fold", up(datum.width))
        }
        (Some(datum), Some(lower)) => format!(
            "{} up from the lower edge and {} down from the datum edge: the hems, and a little past their folds",
            up(lower.width),
            up(datum.width)
        ),
        (None, None) => String::new(),
    };
    format!(
        "The {} end goes under. Notch it {} along and {from}.{joint}",
        side.name(),
        cutting.exact(cutting.run.lap).text
    )
}

/// What is done at an end after the bends.
pub(super) fn finish(cutting: &Cutting, side: Side) -> Option<Step> {
    let name = side.name();
    let tab = |size: Length, text: String| {
        Some(Step {
            side: Some(side),
            number: Some(cutting.exact(size)),
            caution: sharp(),
            working: Some(explain::tab_fold(cutting, size)),
            ..step(Action::FoldTab, text)
        })
    };
    match cutting.outer_end(side) {
        Some(End::Return { depth }) => tab(
            depth,
            format!(
                "Fold the {name} end's tab back 90° toward the wall, {} from its end, to close the end.",
                cutting.exact(depth).text,
            ),
        ),
        Some(End::Dam { height }) => tab(
            height,
            format!(
                "Fold the {name} end's tab up 90°, {} from its end: it stands against the wall as a dam.",
                cutting.exact(height).text,
            ),
        ),
        Some(End::Square | End::Gable { .. } | End::Corner { .. } | End::Transition { .. }) => None,
        None if cutting.goes(side) == Goes::Over => {
            let section = &cutting.layout.section;
            let closed = [section.datum_hem, section.lower_hem].into_iter().flatten().filter(|hem| !hem.is_open());
            let hems = match closed.count() {
                0 => return None,
                1 => "hem",
                _ => "hems",
            };
            Some(Step {
                side: Some(side),
                number: Some(cutting.exact(cutting.run.lap)),
                caution: sharp(),
                working: Some(explain::open_hem(cutting)),
                ..step(
                    Action::OpenHem,
                    format!(
                        "The {name} end goes over. Pry the {hems} open over {}, so that it slides onto the piece below.",
                        cutting.exact(cutting.run.lap).text,
                    ),
                )
            })
        }
        None => None,
    }
}
