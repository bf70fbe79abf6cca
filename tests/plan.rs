//! The plan of any run that can be made: what the geometry in DEVELOPERS.md promises, and the outlines against a general-purpose
//! geometry library (the crate `geo`).

#[path = "support/orders.rs"]
mod orders;

use std::sync::Arc;

use brakeside::order::plan::{Action, Goes, Piece, PieceEnd, Plan};
use brakeside::order::shop::Shop;
use brakeside::order::{parse, planner};
use geo::{Area, BooleanOps, Coord, LineString, Polygon, Validation};
use proptest::prelude::*;
use serde_json::{Value, json};

fn plan(order: &Value) -> Plan {
    let (order, _) = parse::parse(order.to_string().as_bytes(), &Arc::new(Shop::default())).unwrap();
    planner::plan(&order).unwrap()
}

/// A length of `order`, which says it as a number, in nanometres; 0 where it is left out.
fn given(order: &Value, pointer: &str) -> i64 {
    let mm = if order["units"] == "in" { 25.4 } else { 1.0 };
    order.pointer(pointer).map_or(0, |length| nm(length.as_f64().unwrap() * mm))
}

fn nm(mm: f64) -> i64 {
    (mm * 1e6).round() as i64
}

fn polygon(points: &[[f64; 2]]) -> Polygon {
    Polygon::new(LineString(points.iter().map(|&[x, y]| Coord { x, y }).collect()), vec![])
}

/// A polygon's corners in one order, so that two walks round one shape are the same.
fn corners(points: impl Iterator<Item = [f64; 2]>) -> Vec<[f64; 2]> {
    let mut corners: Vec<[f64; 2]> = points.collect();
    corners.sort_by(|a, b| a[1].total_cmp(&b[1]).then(a[0].total_cmp(&b[0])));
    corners
}

/// The README's run: 5 pieces, since 4 of 10 ft with 6 in laps reach 38' 6" and 5 reach 48'.
#[test]
fn the_example_order() {
    let text = include_str!("../src/commands/demo/order-2041.json");
    let (order, _) = parse::parse(text.as_bytes(), &Arc::new(Shop::default())).unwrap();
    let plan = planner::plan(&order).unwrap();
    let wall: Vec<&Piece> = plan.pieces.iter().filter(|piece| piece.run == 0).collect();
    assert_eq!(wall.len(), 5);
    assert_eq!(wall.iter().map(|piece| nm(piece.length.mm)).sum::<i64>(), (511 * 4 + 1 + 24 * 4) * 6_350_000);
    let actions: Vec<Action> = wall[0].steps.iter().map(|step| step.action).collect();
    use Action::*;
    assert_eq!(actions, [TakeBlank, Shear, Mark, CutEnd, NotchLap, Hem, Bend, CheckLength, Label]);
    assert!((wall[0].bends[0].angle_deg - (90.0 - 9.4623)).abs() < 1e-4, "2:12 is 9.4623°, exact trigonometry");
    let reglet = plan.pieces.iter().find(|piece| piece.mark == "A-RG-1").unwrap();
    assert_eq!(nm(reglet.blank.length.mm - reglet.length.mm), 38_100_000, "a return adds its depth to the blank");
}

/// Two coils of one gauge and two colours hang side by side: the card must say which.
#[test]
fn the_finish_is_said_where_the_metal_is_taken() {
    let run = json!({ "wall": "A", "trim": "end-wall", "length": 100, "pitch": "2:12" });
    let plan = plan(&json!({
        "format": "brakeside-order/1", "order": "1", "job": { "name": "test" }, "units": "in",
        "metal": { "kind": "galvanized-steel", "gauge": 24, "finish": "slate grey" }, "runs": [run]
    }));
    let piece = &plan.pieces[0];
    assert!(piece.steps[0].text.contains("24 ga galvanized steel, slate grey"), "{}", piece.steps[0].text);
    assert!(piece.steps[0].text.contains("Painted side up"));
}

/// Mass: the area left, by the galvanized table's 5.645 kg/m² at 24 ga (published table, computed from its rule).
#[test]
fn mass_by_the_table() {
    let run = json!({ "wall": "A", "trim": "end-wall", "length": 100, "pitch": "0:12" });
    let plan = plan(&json!({
        "format": "brakeside-order/1", "order": "1", "job": { "name": "test" }, "units": "in",
        "metal": { "kind": "galvanized-steel", "gauge": 24 }, "runs": [run]
    }));
    let piece = &plan.pieces[0];
    let area_m2 = polygon(&piece.blank.outline).unsigned_area() * 1e-6;
    assert!((piece.mass_kg - area_m2 * 5.645).abs() < 0.001);
}

fn mirrored(order: &Value) -> Value {
    let (mut mirror, run) = (order.clone(), &order["runs"][0]);
    mirror["runs"][0]["left"] = run["right"].clone();
    mirror["runs"][0]["right"] = run["left"].clone();
    mirror["runs"][0]["lay_from"] = json!(if run["lay_from"] == "left" { "right" } else { "left" });
    mirror
}

fn depth(end: &PieceEnd) -> i64 {
    if let PieceEnd::Return { depth } = end { nm(depth.mm) } else { 0 }
}

/// What must be gone from the end where x = 0, as the geometry in DEVELOPERS.md tells it, each part drawn on its own.
fn waste(piece: &Piece, end: &PieceEnd) -> Vec<Polygon> {
    let girth = piece.blank.outline.iter().map(|point| point[1]).fold(0.0, f64::max);
    let hem = piece.hem.as_ref().unwrap();
    let (bend, fold) = (piece.bends.last().unwrap().at.mm, hem.at.mm);
    let rectangle = |x: f64, top: f64, bottom: f64| polygon(&[[0.0, top], [x, top], [x, bottom], [0.0, bottom]]);
    match end {
        PieceEnd::Lap { lap, goes: Goes::Under, .. } => {
            vec![rectangle(lap.mm, girth - hem.width.mm - 3.175, girth)]
        }
        PieceEnd::Gable { width } => {
            let mirrored = width.mm * (1.0 - (girth - fold) / (fold - bend));
            vec![
                polygon(&[[0.0, bend], [width.mm, fold], [0.0, fold]]),
                polygon(&[[0.0, fold], [width.mm, fold], [mirrored, girth], [0.0, girth]]),
            ]
        }
        PieceEnd::Return { depth } => vec![rectangle(depth.mm, 0.0, bend), rectangle(depth.mm, fold, girth)],
        PieceEnd::Square | PieceEnd::Lap { goes: Goes::Over, .. } => vec![],
        other => panic!("{other:?} is not among the orders made here"),
    }
}

proptest! {
    #![proptest_config(ProptestConfig { failure_persistence: None, ..ProptestConfig::with_cases(400) })]

    #[test]
    fn pieces_add_up_lap_and_fit(order in orders::makeable()) {
        let plan = plan(&order);
        let n = plan.pieces.len() as i64;
        let given = |pointer| given(&order, pointer);
        let (lap, longest) = (given("/runs/0/lap"), given("/longest"));
        let run = &order["runs"][0];
        let gables = if run["measured"] == "between" { given("/runs/0/left/width") + given("/runs/0/right/width") } else { 0 };
        let finished = given("/runs/0/length") + gables;

        prop_assert_eq!(plan.pieces.iter().map(|piece| nm(piece.length.mm)).sum::<i64>(), finished + (n - 1) * lap);
        let mut at = 0;
        for piece in &plan.pieces {
            prop_assert_eq!(nm(piece.from_left.mm), at, "each piece begins a lap before the one before it ends");
            at += nm(piece.length.mm) - lap;
            prop_assert_eq!(nm(piece.blank.length.mm), nm(piece.length.mm) + depth(&piece.left) + depth(&piece.right));
            prop_assert!(nm(piece.blank.length.mm) <= longest);
        }
        let [first, last] = [&plan.pieces[0], &plan.pieces[n as usize - 1]];
        prop_assert_eq!((depth(&first.left), depth(&last.right)), (given("/runs/0/left/depth"), given("/runs/0/right/depth")));
        let reach = |pieces: i64| pieces * longest - (pieces - 1) * lap;
        // Stretches between expansion joints are each divided for themselves.
        let joints = plan.runs[0].laps.iter().any(|lap| lap.joint);
        prop_assert!(n == 1 || joints || reach(n - 1) < finished + depth(&first.left) + depth(&last.right), "no fewer pieces would reach");
        prop_assert!(reach(n) >= finished);
        // At every lap exactly one goes under, and it is the one nearer to where laying began.
        for pair in plan.pieces.windows(2) {
            let (PieceEnd::Lap { goes: left, .. }, PieceEnd::Lap { goes: right, .. }) = (&pair[0].right, &pair[1].left) else {
                panic!("neighbours lap");
            };
            let expected = if run["lay_from"] == "left" { (Goes::Under, Goes::Over) } else { (Goes::Over, Goes::Under) };
            prop_assert_eq!((*left, *right), expected);
        }
    }

    #[test]
    fn a_mirrored_order_gives_mirrored_pieces(order in orders::makeable()) {
        let plain = plan(&order);
        let mirror = plan(&mirrored(&order));
        prop_assert_eq!(plain.pieces.len(), mirror.pieces.len());
        for (a, b) in plain.pieces.iter().zip(mirror.pieces.iter().rev()) {
            prop_assert_eq!(&a.length, &b.length);
            prop_assert!((a.mass_kg - b.mass_kg).abs() < 1e-9);
            let flipped = b.blank.outline.iter().map(|&[x, y]| [b.blank.length.mm - x, y]);
            let (a_corners, b_corners) = (corners(a.blank.outline.iter().copied()), corners(flipped));
            prop_assert_eq!(a_corners.len(), b_corners.len());
            for (a, b) in a_corners.iter().zip(&b_corners) {
                prop_assert!((a[0] - b[0]).abs() < 1e-6 && a[1] == b[1], "{:?} {:?}", a, b);
            }
            prop_assert_eq!(depth(&a.left), depth(&b.right));
        }
    }

    /// The outline against `geo`: one valid polygon, of the same area, and what is left when each end's waste is
    /// clipped from the sheared strip.
    #[test]
    fn outlines_agree_with_a_geometry_library(order in orders::makeable()) {
        for piece in plan(&order).pieces {
            let outline = polygon(&piece.blank.outline);
            prop_assert!(outline.is_valid());
            prop_assert!((outline.unsigned_area() - piece.blank.area_mm2).abs() < 1e-6);

            let length = piece.blank.length.mm;
            let girth = piece.blank.girth.mm;
            let mut left = geo::MultiPolygon(vec![polygon(&[[0.0, 0.0], [length, 0.0], [length, girth], [0.0, girth]])]);
            for part in waste(&piece, &piece.left) {
                left = left.difference(&part);
            }
            for part in waste(&piece, &piece.right) {
                let turned: Vec<[f64; 2]> = part.exterior().coords().map(|c| [length - c.x, c.y]).collect();
                left = left.difference(&polygon(&turned));
            }
            prop_assert_eq!(left.0.len(), 1);
            // The library clips on a grid of its own, some billionths of the shape's size wide.
            let grid = 5e-9 * length.max(girth).powi(2);
            prop_assert!((left.unsigned_area() - piece.blank.area_mm2).abs() < grid);
            prop_assert!(left.difference(&outline).unsigned_area() < grid);
        }
    }
}
