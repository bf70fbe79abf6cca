//! Two pieces worked out by hand, every number a literal: nothing here is taken from the program.
//!
//! The arithmetic is shown beside each piece. Shortening by DIN 6935 (its formula as printed in a German table book), hem
//! by Machinery's Handbook 31st ed., p. 1421, eq. 33, cuts as the format's description tells them.

use std::sync::Arc;

use brakeside::order::plan::{Action, Measure, Piece};
use brakeside::order::shop::Shop;
use brakeside::order::{parse, planner};
use serde_json::{Value, json};

fn pieces(units: &str, metal: &Value, run: &Value) -> Vec<Piece> {
    let order = json!({
        "format": "brakeside-order/1", "order": "1", "job": { "name": "test" }, "units": units, "metal": metal,
        "longest": "10 ft", "runs": [run]
    });
    let (order, _) = parse::parse(order.to_string().as_bytes(), &Arc::new(Shop::default())).unwrap();
    planner::plan(&order).unwrap().pieces
}

#[track_caller]
fn near(computed: f64, by_hand: f64) {
    assert!((computed - by_hand).abs() < 1e-3, "{computed}, by hand {by_hand}");
}

#[track_caller]
fn says(measure: &Measure, by_hand: f64, text: &str) {
    near(measure.mm, by_hand);
    assert_eq!(measure.text, text);
}

/// Each fold's stop, in the order the brake makes them.
#[track_caller]
fn stops(piece: &Piece, by_hand: &[(Action, f64)]) {
    let folds = piece.steps.iter().filter(|step| step.stop.is_some());
    let stops: Vec<(Action, f64)> = folds.map(|step| (step.action, step.number.as_ref().unwrap().mm)).collect();
    assert_eq!(stops.len(), by_hand.len(), "{stops:?}");
    for ((action, computed), (does, by_hand)) in stops.iter().zip(by_hand) {
        assert_eq!(action, does);
        near(*computed, *by_hand);
    }
}

#[track_caller]
fn outlined(piece: &Piece, by_hand: &[[f64; 2]]) {
    let outline = &piece.blank.outline;
    assert_eq!(outline.len(), by_hand.len(), "{outline:?}");
    for (computed, by_hand) in outline.iter().zip(by_hand) {
        near(computed[0], by_hand[0]);
        near(computed[1], by_hand[1]);
    }
}

/// An end wall at 3:12 in 24 ga galvanized, 4 in up the wall, 5 in out, ½ in hem; 10' 1" in two pieces that lap 6 in;
/// the left one has a gable cut 4 in wide and goes under.
///
/// ```text
/// length   (121 + 6) / 2 = 63.5 in                                                         = 1612.9 mm
/// T        0.0276 in = 0.70104 mm, r = T
/// N        90° − atan(3/12) = 90° − 14.036243° = 75.963757°
/// k        0.65 + 0.5·log10(1) = 0.65
/// v        2(r + s)·tan(N/2) − π·N/180·(r + k·s/2)
///          = 2.80416·0.780776 − 1.325818·0.928878 = 2.189422 − 1.231523                    = 0.957899 mm
/// bend     4·25.4 − v/2 = 101.6 − 0.478950                                                 = 101.121050 mm
/// fold     9·25.4 − v − 0.36·T = 228.6 − 0.957899 − 0.252374                               = 227.389726 mm
/// stops    the hem with the datum edge in, then the bend with it in: as far in as their lines
/// girth    9·25.4 − v + 12.7 − 0.72·T = 228.6 − 0.957899 + 12.7 − 0.504749                 = 239.837352 mm
/// gable    at the fold W = 101.6; past it t = girth − fold = 12.447626, B = fold − bend = 126.268676,
///          W·(1 − t/B) = 101.6·(1 − 0.098581)                                              = 91.584224 mm
/// notch    6·25.4 = 152.4 long, from 1612.9 − 152.4 = 1460.5; girth − 12.7 − 3.175         = 223.962352 mm
/// area     1612.9·239.837352 = 386833.67
///          less 101.6·126.268676/2 + (101.6 + 91.584224)/2·12.447626 + 152.4·15.875
///          = 6414.45 + 1202.35 + 2419.35                                                   = 376797.52 mm²
/// mass     18.5 oz/ft² (galvanized 24 ga: 1 lb of steel, 2.5 oz of zinc) = 5.645307 kg/m²  = 2.127138 kg
/// ```
#[test]
fn an_end_wall_with_a_gable_cut_that_goes_under() {
    let run = json!({ "wall": "A", "trim": "end-wall", "length": 121, "pitch": "3:12", "lap": 6,
                      "left": { "end": "gable", "width": 4 } });
    let pieces = pieces("in", &json!({ "kind": "galvanized-steel", "gauge": 24 }), &run);
    assert_eq!(pieces.len(), 2);
    let piece = &pieces[0];
    says(&piece.length, 1612.9, "5' 3-1/2\"");
    says(&piece.blank.length, 1612.9, "5' 3-1/2\"");
    says(&piece.blank.girth, 239.837352, "9-7/16\"");
    stops(piece, &[(Action::Hem, 227.389726), (Action::Bend, 101.121050)]);
    near(piece.bends[0].angle_deg, 75.963757);
    says(&piece.bends[0].at, 101.121050, "4\"");
    says(&piece.hem.as_ref().unwrap().at, 227.389726, "8-15/16\"");
    outlined(
        piece,
        &[
            [0.0, 0.0],
            [0.0, 101.121050],
            [101.6, 227.389726],
            [91.584224, 239.837352],
            [1460.5, 239.837352],
            [1460.5, 223.962352],
            [1612.9, 223.962352],
            [1612.9, 0.0],
        ],
    );
    assert!((piece.blank.area_mm2 - 376_797.524).abs() < 0.01, "{}", piece.blank.area_mm2);
    assert!((piece.mass_kg - 2.127138).abs() < 1e-5, "{}", piece.mass_kg);
}

/// A reglet of one piece in 0.7 mm zinc, 40 mm against the wall, 16 out, 75 down, 13 mm hem; 1000 mm, with a return 30 mm
/// deep at its right end.
///
/// ```text
/// v        at 90°, r = s = 0.7, k = 0.65: 2·1.4 − π/2·(0.7 + 0.2275) = 2.8 − 1.456914      = 1.343086 mm
/// bend 1   40 − v/2 = 40 − 0.671543                                                        = 39.328457 mm
/// bend 2   40 + 16 − v − v/2 = 56 − 2.014630                                               = 53.985370 mm
/// fold     40 + 16 + 75 − 2v − 0.36·0.7 = 131 − 2.686173 − 0.252                           = 128.061827 mm
/// stops    the hem with the datum edge in; bend 2 left as it lies, the hem in, whose outside lies 0.36·0.7 past its line:
///          128.061827 + 0.252 − 53.985370 = 74.328457; bend 1 with the datum edge in
/// girth    131 − 2v + 13 − 0.72·0.7 = 131 − 2.686173 + 12.496                              = 140.809827 mm
/// blank    1000 + 30 = 1030 mm; over the last 30 only bend 2 to fold is left
/// area     1000·140.809827 + 30·(128.061827 − 53.985370) = 140809.827 + 2222.294           = 143032.121 mm²
/// mass     7150 kg/m³ · 0.7 mm = 5.005 kg/m² (density from memory)                         = 0.715876 kg
/// ```
#[test]
fn a_reglet_with_a_return() {
    let run = json!({ "wall": "B", "trim": "reglet", "length": 1000, "right": { "end": "return", "depth": 30 },
                      "profile": { "wall_leg": 40, "depth": 16, "face": 75, "hem": 13 } });
    let pieces = pieces("mm", &json!({ "kind": "zinc", "thickness": 0.7 }), &run);
    let [piece] = &pieces[..] else { panic!("one piece") };
    says(&piece.length, 1000.0, "1000 mm");
    says(&piece.blank.length, 1030.0, "1030 mm");
    says(&piece.blank.girth, 140.809827, "141 mm");
    stops(piece, &[(Action::Hem, 128.061827), (Action::Bend, 74.328457), (Action::Bend, 39.328457)]);
    says(&piece.bends[0].at, 39.328457, "39 mm");
    says(&piece.bends[1].at, 53.985370, "54 mm");
    says(&piece.hem.as_ref().unwrap().at, 128.061827, "128 mm");
    outlined(
        piece,
        &[
            [0.0, 0.0],
            [0.0, 140.809827],
            [1000.0, 140.809827],
            [1000.0, 128.061827],
            [1030.0, 128.061827],
            [1030.0, 53.985370],
            [1000.0, 53.985370],
            [1000.0, 0.0],
        ],
    );
    assert!((piece.blank.area_mm2 - 143_032.121).abs() < 0.01, "{}", piece.blank.area_mm2);
    assert!((piece.mass_kg - 0.715876).abs() < 1e-5, "{}", piece.mass_kg);
}

/// ISO 2768-1: class m, over 1000 to 2000 mm ± 1.2 mm, over 2000 to 4000 mm ± 2 mm; c, over 2000 to 4000 mm ± 4 mm. A tape of class
/// II is off 0.3 + 0.2 + 0.2·3 = 1.1 mm over 2.4384 m from its hook. 1/16 in is 1.5875 mm: 1.2 mm is less than one, 2 mm less
/// than two, 4 mm more than two.
#[test]
fn the_finished_length_has_its_tolerance_and_tells_where_it_comes_from() {
    let checked = |units: &str, length: &str, settings: &str| {
        let run = json!({ "wall": "A", "trim": "reglet", "length": length });
        let order = json!({ "format": "brakeside-order/1", "order": "1", "job": { "name": "test" }, "units": units,
            "metal": { "kind": "galvanized-steel", "gauge": 24 }, "runs": [run] });
        let shop = Arc::new(brakeside::order::shop::file::read(settings).unwrap());
        let (order, _) = parse::parse(order.to_string().as_bytes(), &shop).unwrap();
        let piece = planner::plan(&order).unwrap().pieces.remove(0);
        assert_eq!(piece.steps.iter().filter(|step| step.tolerance.is_some()).count(), 1);
        piece.steps.into_iter().find(|step| step.action == Action::CheckLength).unwrap()
    };
    let coarse = "[check]\nlength = 'coarse'";
    for (units, length, settings, by_hand, text) in [
        ("in", "5'", "", 1.5875, "1/16\""),
        ("in", "8'", "", 1.5875, "1/16\""),
        ("in", "8'", coarse, 3.175, "1/8\""),
        ("mm", "1500 mm", "", 1.0, "1 mm"),
        ("mm", "2500 mm", "", 2.0, "2 mm"),
        ("mm", "2500 mm", coarse, 4.0, "4 mm"),
        ("in", "8'", "[check]\nlength = '1/4 in'", 6.35, "1/4\""),
    ] {
        says(checked(units, length, settings).tolerance.as_ref().unwrap(), by_hand, text);
    }

    let step = checked("in", "8'", coarse);
    assert!(step.text.ends_with("It should be 8' 0\"; up to 1/8\" off either way is right."), "{}", step.text);
    let working = step.working.unwrap();
    let told: Vec<[&str; 2]> =
        working.inputs.iter().rev().take(3).map(|input| [input.name.as_str(), input.value.as_str()]).collect();
    assert_eq!(told[2], ["allowed by ISO 2768-1 coarse (c), over 2000 mm to 4000 mm", "± 4 mm (0.1575 in)"]);
    assert!(told[1][0].starts_with("what a tape of EU class II is off by itself"));
    assert_eq!(told[1][1], "± 1.1 mm (0.0433 in)");
    assert_eq!(told[0], ["tolerance: what is allowed, in whole steps of 1/16\", and at least one", "± 1/8\""]);
    assert!(working.source.contains("ISO 2768-1"));
}
