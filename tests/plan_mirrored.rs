//! A run mirrored left for right gives mirrored pieces, whatever the trim and its ends: hands are where trim goes wrong.
//!
//! What a mirror does is written here on its own: x becomes length − x, ends change places, LEFT becomes RIGHT.

#[path = "support/any_order.rs"]
#[allow(dead_code)]
mod any_order;

use std::sync::Arc;

use brakeside::order::plan::{Action, Goes, Piece, PieceEnd, Plan, Step};
use brakeside::order::shop::Shop;
use brakeside::order::{Painted, Side, parse, planner};
use brakeside::trade::bend_order::{Face, Lie};
use brakeside::trade::section::{Edge, Turn};
use proptest::prelude::*;
use serde_json::{Value, json};

fn plan(order: &Value) -> Option<Plan> {
    let (order, _) = parse::parse(order.to_string().as_bytes(), &Arc::new(Shop::default())).ok()?;
    Some(planner::plan(&order).unwrap())
}

/// Each run alone, so that one's faults do not hide another; seams are told from the left end alone and left out.
fn alone(order: &Value) -> Vec<Value> {
    let each = order["runs"].as_array().unwrap().iter().map(|run| {
        let mut order = order.clone();
        order["runs"] = json!([run]);
        order["runs"][0].as_object_mut().unwrap().remove("panels");
        order
    });
    each.collect()
}

fn mirrored(order: &Value) -> Value {
    let mut mirror = order.clone();
    let run = mirror["runs"][0].as_object_mut().unwrap();
    let (left, right) = (run.remove("left"), run.remove("right"));
    let square = || json!({ "end": "square" });
    run.insert("left".into(), right.unwrap_or_else(square));
    run.insert("right".into(), left.unwrap_or_else(square));
    if !run.contains_key("low") && !run.contains_key("lay_from") {
        run.insert("lay_from".into(), json!("left"));
    }
    for key in ["low", "lay_from"] {
        if let Some(from) = run.get_mut(key) {
            *from = json!(if *from == "left" { "right" } else { "left" });
        }
    }
    mirror
}

fn other_hand(text: &str) -> String {
    let words = [("left", "\u{1}"), ("right", "left"), ("\u{1}", "right")];
    words.into_iter().fold(text.to_owned(), |text, (from, to)| text.replace(from, to))
}

/// What is done at an end, and how it is said.
fn at_ends(piece: &Piece, side: Side) -> Vec<&Step> {
    piece.steps.iter().filter(|step| step.side == Some(side)).collect()
}

#[track_caller]
fn near(a: &[[f64; 2]], b: &[[f64; 2]]) {
    let sorted = |points: &[[f64; 2]]| {
        let mut points: Vec<[i64; 2]> = points.iter().map(|point| point.map(|at| (at * 1e5).round() as i64)).collect();
        points.sort_unstable();
        points.dedup();
        points
    };
    let (a, b) = (sorted(a), sorted(b));
    assert_eq!(a.len(), b.len());
    // Rounding may put a point of one a step beside the other's.
    let beside = |a: &[i64; 2], b: &[i64; 2]| (a[0] - b[0]).abs() <= 1 && (a[1] - b[1]).abs() <= 1;
    for point in &a {
        assert!(b.iter().any(|other| beside(point, other)), "{point:?} is not among {b:?}");
    }
}

fn is_mirrored(piece: &Piece, mirror: &Piece) {
    assert_eq!(
        (&piece.length, &piece.blank.length, &piece.blank.girth),
        (&mirror.length, &mirror.blank.length, &mirror.blank.girth)
    );
    assert!((piece.mass_kg - mirror.mass_kg).abs() < 1e-9);
    let length = piece.blank.length.mm;
    let flipped = |points: &[[f64; 2]]| points.iter().map(|&[x, y]| [length - x, y]).collect::<Vec<_>>();
    near(&piece.blank.outline, &flipped(&mirror.blank.outline));
    // The section is the same from both ends, and so is the way it is folded.
    let folds = |piece: &Piece| {
        let folds = piece.steps.iter().filter(|step| matches!(step.action, Action::Bend | Action::Hem));
        folds.map(|step| (step.text.clone(), step.number.clone())).collect::<Vec<_>>()
    };
    assert_eq!(folds(piece), folds(mirror));
    for (side, end, other) in [(Side::Left, &piece.left, &mirror.right), (Side::Right, &piece.right, &mirror.left)] {
        match (end, other) {
            (PieceEnd::Lap { lap, goes, joint, .. }, PieceEnd::Lap { lap: l, goes: g, joint: j, .. }) => {
                assert_eq!((lap, goes, joint), (l, g, j));
            }
            (end, other) => assert_eq!(end, other),
        }
        let (steps, others) = (at_ends(piece, side), at_ends(mirror, side.other()));
        assert_eq!(steps.len(), others.len());
        for (step, other) in steps.into_iter().zip(others) {
            assert_eq!((step.action, &step.number), (other.action, &other.number));
            assert_eq!(step.text, other_hand(&other.text));
            let marks = |step: &Step| step.marks.iter().map(|mark| [mark.x.mm, mark.y.mm]).collect::<Vec<_>>();
            let (ours, theirs) = (marks(step), flipped(&marks(other)));
            assert_eq!(ours.len(), theirs.len());
            for (ours, theirs) in ours.iter().zip(&theirs) {
                assert!(
                    (ours[0] - theirs[0]).abs() < 1e-5 && (ours[1] - theirs[1]).abs() < 1e-5,
                    "in the order of marking"
                );
            }
        }
    }
}

proptest! {
    #![proptest_config(ProptestConfig { failure_persistence: None, ..ProptestConfig::with_cases(400) })]

    #[test]
    fn a_mirrored_run_gives_mirrored_pieces(order in any_order::any_order()) {
        for order in alone(&order) {
            let (Some(plain), Some(mirror)) = (plan(&order), plan(&mirrored(&order))) else {
                prop_assert_eq!(plan(&order).is_some(), plan(&mirrored(&order)).is_some(), "both or neither can be made");
                continue;
            };
            prop_assert_eq!(plain.pieces.len(), mirror.pieces.len());
            for (piece, mirror) in plain.pieces.iter().zip(mirror.pieces.iter().rev()) {
                is_mirrored(piece, mirror);
            }
        }
    }

    /// A strip flipped or turned on its way through the brake ends up where the next card says it lies; hems fold to the
    /// hidden side; and which side is up is said in the finish's own words.
    #[test]
    fn the_painted_side_stays_in_view(order in any_order::any_order()) {
        for order in alone(&order) {
            let Some(plan) = plan(&order) else { continue };
            for piece in &plan.pieces {
                painted(piece);
            }
        }
    }
}

fn painted(piece: &Piece) {
    let up = |face: Face| match (piece.section.painted, face) {
        (Painted::Out, Face::Seen) | (Painted::In, Face::Hidden) => "painted side",
        (Painted::Out, Face::Hidden) | (Painted::In, Face::Seen) => "bare side",
        (Painted::Both | Painted::None, Face::Seen) => "seen side",
        (Painted::Both | Painted::None, Face::Hidden) => "hidden side",
    };
    let mut lay: Option<Lie> = None;
    for step in &piece.steps {
        let Some(lie) = step.lie else { continue };
        match step.action {
            // The leaf swings the flap up and over onto the face that is up.
            Action::Hem => {
                assert_eq!(lie.face, Face::Hidden, "hems fold to the hidden side");
                assert_ne!(Some(lie.in_throat), step.edge, "the leaf takes the flap");
            }
            Action::Bend => {
                let turn = piece.bends[step.bend.unwrap()].turn;
                assert_eq!(lie.face, if turn == Turn::Up { Face::Seen } else { Face::Hidden });
            }
            other => panic!("{other:?} is no fold"),
        }
        if lay.is_none_or(|lay| lay != lie) {
            assert!(step.text.contains(&format!("{} ", up(lie.face))), "{}", step.text);
        }
        // A hem is turned round to be flattened, its fold in first.
        let after = match step.edge {
            Some(edge) => Lie { in_throat: edge, ..lie },
            None => lie,
        };
        lay = Some(after);
    }
}

/// The hands of the example, told by name: where a wall is walked from its right end, nothing else changes.
#[test]
fn a_gable_at_the_left_is_a_gable_at_the_right() {
    let order = |side: &str, from: &str| {
        json!({ "format": "brakeside-order/1", "order": "1", "job": { "name": "test" }, "units": "in",
                "metal": { "kind": "galvanized-steel", "gauge": 24 },
                "runs": [{ "wall": "A", "trim": "end-wall", "length": 200, "pitch": "3:12", "lay_from": from, side: { "end": "gable", "width": 4 } }] })
    };
    let (left, right) = (plan(&order("left", "left")).unwrap(), plan(&order("right", "right")).unwrap());
    assert!(matches!(&left.pieces[0].right, PieceEnd::Lap { goes: Goes::Under, .. }));
    assert!(matches!(&right.pieces[1].left, PieceEnd::Lap { goes: Goes::Under, .. }));
    let cut = |piece: &Piece| piece.steps.iter().find(|step| step.action == Action::CutEnd).unwrap().text.clone();
    assert!(
        cut(&left.pieces[0]).starts_with("At the left end") && cut(&right.pieces[1]).starts_with("At the right end")
    );
    // Both wall sides lie away from whoever marks: the same edge.
    assert!(left.pieces[0].steps.iter().all(|step| step.edge != Some(Edge::Datum)));
}
