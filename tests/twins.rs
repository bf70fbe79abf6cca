//! Pieces of one batch are cut alike in every step, and pieces that are cut alike are of one batch: held against comparing every
//! finished piece with every other.

#[path = "support/every_trim.rs"]
mod every_trim;
#[path = "support/orders.rs"]
mod orders;

use std::sync::Arc;

use brakeside::drawing::{Theme, step};
use brakeside::order::plan::{Action, Measure, Piece, PieceEnd};
use brakeside::order::shop::Shop;
use brakeside::order::{parse, planner};
use proptest::prelude::*;
use serde_json::{Value, json};

fn plan(order: &Value) -> Option<Vec<Piece>> {
    let (order, _) = parse::parse(order.to_string().as_bytes(), &Arc::new(Shop::default())).ok()?;
    Some(planner::plan(&order).unwrap().pieces)
}

fn pieces(metal: &Value, longest: &str, runs: &Value) -> Vec<Piece> {
    let order = json!({
        "format": "brakeside-order/1", "order": "1", "job": { "name": "test" }, "units": "in", "metal": metal,
        "longest": longest, "runs": runs
    });
    plan(&order).unwrap()
}

fn steel() -> Value {
    json!({ "kind": "galvanized-steel", "gauge": 24 })
}

fn batches(pieces: &[Piece]) -> Vec<usize> {
    pieces.iter().map(|piece| piece.batch).collect()
}

/// A piece without what only its place on the building makes: its name, where it lies, which its neighbours are, and the
/// working of its length, which tells of the run.
fn work(piece: &Piece) -> Piece {
    let none = || Measure { mm: 0.0, text: String::new() };
    let end = |end: &PieceEnd| match end.clone() {
        PieceEnd::Lap { lap, goes, joint, .. } => PieceEnd::Lap { lap, goes, joint, neighbour: String::new() },
        end => end,
    };
    let mut work = Piece {
        mark: String::new(),
        wall: String::new(),
        place: 0,
        of: 0,
        run: 0,
        batch: 0,
        from_left: none(),
        run_length: none(),
        left: end(&piece.left),
        right: end(&piece.right),
        ..piece.clone()
    };
    for step in work.steps.iter_mut().filter(|step| step.action == Action::CheckLength) {
        step.working = None;
    }
    work
}

/// Every piece with every other.
#[track_caller]
fn batches_are_what_is_alike(pieces: &[Piece]) {
    let works: Vec<Piece> = pieces.iter().map(work).collect();
    for (piece, work) in pieces.iter().zip(&works) {
        let alone = works.iter().filter(|other| *other == work).count() == 1;
        assert_eq!(piece.batch == 0, alone, "{}", piece.mark);
        for (other, other_work) in pieces.iter().zip(&works) {
            let of_one = piece.batch != 0 && piece.batch == other.batch;
            assert!(!of_one || work == other_work, "{} and {} are not alike", piece.mark, other.mark);
            assert!(alone || of_one == (work == other_work), "{} and {} are alike", piece.mark, other.mark);
        }
    }
}

/// 5 × 8 ft − 4 × 6 in = 38 ft: five pieces of 8 ft, of which the outer ones have a gable cut each.
#[test]
fn the_middle_three_of_five_equal_pieces_are_twins() {
    let gable = json!({ "end": "gable", "width": 4 });
    let run = json!({ "wall": "A", "trim": "end-wall", "length": "38 ft", "pitch": "2:12", "lap": 6, "left": gable, "right": gable });
    let five = pieces(&steel(), "8 ft", &json!([run]));
    assert!(five.iter().all(|piece| piece.length.text == "8' 0\""));
    assert_eq!(batches(&five), [0, 1, 1, 1, 0]);

    // The same on another wall: each has its twin. A wall of another pitch has its own.
    let (mut same, mut steeper) = (run.clone(), run.clone());
    (same["wall"], steeper["wall"], steeper["pitch"]) = (json!("B"), json!("C"), json!("3:12"));
    let all = pieces(&steel(), "8 ft", &json!([run, same, steeper]));
    assert_eq!(batches(&all), [1, 2, 2, 2, 3, 1, 2, 2, 2, 3, 0, 4, 4, 4, 0]);
    batches_are_what_is_alike(&all);
}

#[test]
fn mirrored_pieces_are_no_twins() {
    let run = |wall: &str, side: &str| {
        let mut run = json!({ "wall": wall, "trim": "end-wall", "length": "6 ft", "pitch": "2:12" });
        run[side] = json!({ "end": "gable", "width": 4 });
        run
    };
    let three = pieces(&steel(), "8 ft", &json!([run("A", "left"), run("B", "right"), run("C", "left")]));
    assert_eq!(batches(&three), [1, 0, 1]);
}

/// Copper has a joint at least every 40 ft: a piece beside one says so, and is no twin of one that does not.
#[test]
fn a_piece_at_a_joint_is_no_twin_of_one_without() {
    let run = json!({ "wall": "A", "trim": "end-wall", "length": "112 ft", "pitch": "2:12" });
    let all = pieces(&json!({ "kind": "copper", "ounces": 16 }), "8 ft", &json!([run]));
    let joint = |end: &PieceEnd| matches!(end, PieceEnd::Lap { joint: true, .. });
    let middle: Vec<&Piece> = all.iter().filter(|piece| piece.place > 1 && piece.place < piece.of).collect();
    let (beside, others): (Vec<&Piece>, Vec<&Piece>) =
        middle.into_iter().partition(|piece| joint(&piece.left) || joint(&piece.right));
    assert!(beside.len() >= 4 && others.len() >= 4);
    assert!(beside.iter().any(|piece| others.iter().any(|other| other.length == piece.length)));
    assert!(beside.iter().all(|piece| others.iter().all(|other| piece.batch == 0 || piece.batch != other.batch)));
    batches_are_what_is_alike(&all);
}

/// Laps that keep clear of each other leave pieces of several lengths: those that are equal are twins all the same, though each
/// tells its own place in its run.
#[test]
fn pieces_whose_laps_were_moved_are_twins_where_they_are_equal() {
    let run = |trim: &str| json!({ "wall": "A", "trim": trim, "length": "76 ft", "pitch": "2:12", "lap": 6 });
    let mut reglet = run("reglet");
    reglet.as_object_mut().unwrap().remove("pitch");
    let all = pieces(&steel(), "8 ft", &json!([run("end-wall"), reglet]));
    batches_are_what_is_alike(&all);
    let reglets: Vec<&Piece> = all.iter().filter(|piece| piece.run == 1).collect();
    let twins = |piece: &&&Piece| piece.batch != 0 && piece.batch == reglets[2].batch;
    assert!(reglets.iter().filter(twins).count() >= 2, "{:?}", batches(&all));
}

/// Of every trim, each run once more on another wall.
#[test]
fn twins_have_the_same_drawings() {
    let mut seen = 0;
    for order in every_trim::ORDERS {
        let mut order: Value = serde_json::from_str(order).unwrap();
        let runs = order["runs"].as_array_mut().unwrap();
        let again: Vec<Value> = runs.clone().into_iter().map(on_another_wall).collect();
        runs.extend(again);
        let Some(pieces) = plan(&order) else { continue };
        batches_are_what_is_alike(&pieces);
        let twins = pieces.iter().enumerate().filter_map(|(index, piece)| {
            let twin = pieces[..index].iter().find(|other| other.batch == piece.batch && piece.batch != 0);
            twin.map(|twin| (twin, piece))
        });
        // Drawing all of them takes long and shows no more.
        for (twin, piece) in twins.take(5) {
            for (a, b) in twin.steps.iter().zip(&piece.steps) {
                let [a, b] = [(twin, a), (piece, b)]
                    .map(|(piece, of)| step::svg(piece, of, 580.0, 395.0, Theme::LIGHT.in_english()));
                assert_eq!(a, b, "{} and {}", twin.mark, piece.mark);
            }
            seen += 1;
        }
    }
    assert!(seen >= 20, "{seen}");
}

fn on_another_wall(mut run: Value) -> Value {
    run["wall"] = json!(format!("Z{}", run["wall"].as_str().unwrap()));
    run
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(128))]

    /// Any run, the same on another wall, and the same with its ends changed over.
    #[test]
    fn batches_hold_for_any_runs(mut order in orders::makeable()) {
        let runs = order["runs"].as_array_mut().unwrap();
        let again = on_another_wall(runs[0].clone());
        let mut over = on_another_wall(again.clone());
        let run = over.as_object_mut().unwrap();
        let (left, right) = (run.remove("left"), run.remove("right"));
        run.extend(left.map(|end| ("right".to_owned(), end)));
        run.extend(right.map(|end| ("left".to_owned(), end)));
        runs.extend([again, over]);
        if let Some(pieces) = plan(&order) {
            batches_are_what_is_alike(&pieces);
        }
    }
}
