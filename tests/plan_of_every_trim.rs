//! One order for each trim, with its ends, planned whole and held to values worked out by hand beside each.
//!
//! T is the sheet, r = T; a bend through N takes v = 2(r + T)·tan(N/2) − π·N/180·(r + 0.65·T/2) (DIN 6935, k = 0.65 at r = s);
//! a hem adds h − 0.72 T + 0.57 g, and its fold lies 0.36 T − 0.285 g inside the leg's end (Machinery's Handbook, 31st ed.,
//! p. 1421, eq. 33). 24 ga: T = 0.0276 in = 0.70104 mm, and v at 90° = 2.80416 − π/2·0.928878 = 1.345082 mm. A mitre's reach
//! is that of the outside widths; the metal's own middle lies within a sheet's thickness of it.

#[path = "support/sound.rs"]
mod sound;

use std::sync::Arc;

use brakeside::order::plan::{Action, Goes, Piece, PieceEnd, Plan};
use brakeside::order::shop::Shop;
use brakeside::order::{Trim, parse, planner};

const IN: f64 = 25.4;
/// 24 ga galvanized, published: 18.5 oz/ft².
const GALVANIZED_24: f64 = 5.645307;

fn plan(text: &str) -> Plan {
    let (order, _) =
        parse::parse(text.as_bytes(), &Arc::new(Shop::default())).unwrap_or_else(|faults| panic!("{faults}"));
    let plan = planner::plan(&order).unwrap();
    sound::sound(&order, &plan);
    plan
}

fn piece<'a>(plan: &'a Plan, mark: &str) -> &'a Piece {
    plan.pieces.iter().find(|piece| piece.mark == mark).unwrap_or_else(|| panic!("no {mark}"))
}

#[track_caller]
fn near(computed: f64, by_hand: f64, within: f64) {
    assert!((computed - by_hand).abs() <= within, "{computed}, by hand {by_hand}");
}

/// Girth, datum fold, bend lines and lower fold, in mm.
#[track_caller]
fn unfolds(piece: &Piece, girth: f64, datum: Option<f64>, bends: &[f64], lower: Option<f64>) {
    near(piece.blank.girth.mm, girth, 1e-3);
    assert_eq!((piece.datum_hem.is_some(), piece.hem.is_some()), (datum.is_some(), lower.is_some()));
    for (hem, at) in [(&piece.datum_hem, datum), (&piece.hem, lower)] {
        if let (Some(hem), Some(at)) = (hem, at) {
            near(hem.at.mm, at, 1e-3);
        }
    }
    assert_eq!(piece.bends.len(), bends.len());
    for (bend, &at) in piece.bends.iter().zip(bends) {
        near(bend.at.mm, at, 1e-3);
    }
}

/// A wall's pieces of one trim: finished lengths in the order's words, left to right.
#[track_caller]
fn lengths(plan: &Plan, run: usize, by_hand: &[&str]) {
    let lengths: Vec<&str> =
        plan.pieces.iter().filter(|piece| piece.run == run).map(|piece| piece.length.text.as_str()).collect();
    assert_eq!(lengths, by_hand);
}

#[track_caller]
fn buys(plan: &Plan, by_hand: &[(&str, u64)]) {
    let buy: Vec<(&str, u64)> =
        plan.sheet.as_ref().unwrap().buy.iter().map(|need| (need.what.as_str(), need.count)).collect();
    for need in by_hand {
        assert!(buy.contains(need), "{need:?} is not in {buy:?}");
    }
}

fn laps(plan: &Plan, run: usize) -> Vec<(f64, bool)> {
    // On the tape's 1/64 in.
    plan.runs[run].laps.iter().map(|lap| ((lap.from.mm / IN * 64.0).round() / 64.0, lap.joint)).collect()
}

/// What the blank has more than the finished length, in mm.
fn beyond(piece: &Piece) -> f64 {
    piece.blank.length.mm - piece.length.mm
}

/// ```text
/// A, 2:12  N = 90° − 9.462322°, v = 1.069805; bend 4·25.4 − v/2; fold 9·25.4 − v − 0.252374; girth 228.6 − v + 12.195251
///          n: 4·120 − 18 = 462 ≥ 376.5 + 3 (the dam) > 3·120 − 12; 394.5/4 = 98.625 in. Seams 6 + 16k: a lap that starts in
///          1 to 9 in past a seam clears both; 92.625 is 6.625 past 86, 185.25 is 3.25 past 182, 277.875 lies in the way of
///          278 and goes to 279: pieces of 98.625, 98.625, 279 − 185.25 + 6 = 99.75, 376.5 − 279 = 97.5 in
///          gable: B = 227.2778 − 101.0651 = 126.2127, t = 12.4476; at the edge 101.6·(1 − t/B) = 91.5798;
///          101.6·B/2 + (101.6 + 91.5798)/2·t = 7613.921 mm²; notch 152.4·15.875 = 2419.35 mm²
///          dam: over 76.2 mm only bend to fold stays: 76.2·(101.0651 + 12.4476) = 8649.67 mm² go
/// B, 4:12  5 in·cos 18.4349° = 120.483 mm out; outside, 90°: tan 45° = 1: 120.483 longer at the fold; inside, 45°:
///          120.483·tan 22.5° = 49.906 shorter. 147 in and 4.7 of the corner take two blanks: (147 + 6)/2 = 76.5 in
/// C, 7:12  N = 59.743563°, v = 0.642065; datum hem 12.7 − 0.504749 = 12.195251, its fold 0.252374 below; the open lower hem
///          15.875 − 0.504749 + 0.57·3.175; fold 11·25.4 + 12.195251 − v + (−0.252374 + 0.285·3.175)
/// closures (376.5 + 147 + 96)/36 = 17.2; wall fasteners 32 + 14 + 8 gaps of at most 12 in between ends and laps, and one
///          more in each run: A 94.625, 92.625, 93.75, 93.5 in; B 72.5 twice; C 94 in
/// ```
#[test]
fn end_wall() {
    let plan = plan(include_str!("orders/end-wall.json"));
    lengths(&plan, 0, &["8' 2-5/8\"", "8' 2-5/8\"", "8' 3-3/4\"", "8' 1-1/2\""]);
    lengths(&plan, 1, &["6' 4-1/2\"", "6' 4-1/2\""]);
    lengths(&plan, 2, &["8' 0\""]);
    assert_eq!(laps(&plan, 0), [(92.625, false), (185.25, false), (279.0, false)]);
    assert!(plan.runs[0].laps.iter().all(|lap| !lap.on_seam));

    let (gable, dam) = (piece(&plan, "A-EW-1"), piece(&plan, "A-EW-4"));
    unfolds(gable, 239.7254, None, &[101.0651], Some(227.2778));
    near(gable.bends[0].angle_deg, 80.537678, 1e-6);
    near(gable.blank.area_mm2, 98.625 * IN * 239.725446 - 7613.921 - 2419.35, 0.1);
    near(piece(&plan, "A-EW-3").blank.area_mm2, 99.75 * IN * 239.725446 - 2419.35, 0.1);
    let marks = &gable.steps.iter().find(|step| step.action == Action::CutEnd).unwrap().marks;
    let by_hand = [[0.0, 101.0651], [101.6, 227.2778], [91.5798, 239.7254]];
    assert_eq!(marks.len(), by_hand.len());
    for (mark, by_hand) in marks.iter().zip(by_hand) {
        near(mark.x.mm, by_hand[0], 1e-3);
        near(mark.y.mm, by_hand[1], 1e-3);
    }
    near(beyond(dam), 3.0 * IN, 1e-9);
    near(dam.blank.area_mm2, 100.5 * IN * 239.725446 - 8649.67, 0.1);
    assert_eq!(dam.steps.iter().filter(|step| step.action == Action::FoldTab).count(), 1);

    let (outside, inside) = (piece(&plan, "B-EW-1"), piece(&plan, "B-EW-2"));
    unfolds(outside, 239.9343, None, &[101.1695], Some(227.4867));
    near(beyond(outside), 120.483, 0.71);
    near(beyond(inside), 0.0, 1e-9);
    let reach =
        inside.blank.outline.iter().filter(|point| point[0] > 300.0).map(|point| point[0]).fold(f64::MAX, f64::min);
    near(inside.length.mm - reach, 49.906, 0.71);

    let hemmed = piece(&plan, "C-EW-1");
    unfolds(hemmed, 308.1332, Some(12.4476), &[138.8742], Some(291.6057));
    assert_eq!(hemmed.hem.as_ref().unwrap().gap.as_ref().unwrap().text, "1/8\"");
    for piece in &plan.pieces {
        near(piece.mass_kg, piece.blank.area_mm2 * 1e-6 * GALVANIZED_24, 1e-5);
    }
    buys(&plan, &[("closures", 18), ("wall fasteners", 33 + 15 + 9)]);
}

/// ```text
/// section  v = 1.345082 twice; bends 38.1 − v/2, 53.975 − 1.5 v; fold 130.175 − 2 v − 0.252374; girth 130.175 − 2 v + 12.195251
/// A        the end wall: 330 in, 3·120 − 12 = 348: (330 + 12)/3 = 114 in, laps at 108 and 216. The reglet in three pieces
///          must lap at 98 or before, or at 118 or after (6 in and 4 clear): 118 + 6 = 124 in is over 120 less the return,
///          and 98 leaves the other two 330 − 98 = 232 > 114 + 120 − 2.1: only with the second at 206 or before, which
///          leaves 124 in. So four: (330 + 18)/4 = 87 in, laps at 81, 162, 243
/// return   1½ in more; over it only bend 2 to fold stays: 38.1·(51.9574 + 12.4476) mm² go, and the notch
/// corner   the face stands ⅝ in out: 15.875 mm longer at an outside corner of 90°, 0 at the wall leg; inside the reverse
/// ```
#[test]
fn reglet() {
    let plan = plan(include_str!("orders/reglet.json"));
    lengths(&plan, 0, &["9' 6\""; 3]);
    lengths(&plan, 1, &["7' 3\""; 4]);
    assert_eq!(laps(&plan, 1), [(81.0, false), (162.0, false), (243.0, false)]);
    let (back, corner, inside) = (piece(&plan, "A-RG-1"), piece(&plan, "A-RG-4"), piece(&plan, "B-RG-1"));
    unfolds(back, 139.6801, None, &[37.4275, 51.9574], Some(127.2325));
    near(beyond(back), 1.5 * IN, 1e-9);
    near(back.blank.area_mm2, 88.5 * IN * 139.680087 - 38.1 * (51.957377 + 12.447625) - 2419.35, 0.1);
    near(beyond(corner), 15.875, 0.71);
    near(beyond(inside), 0.0, 0.71);
    let face = inside.blank.outline.iter().filter(|point| point[0] < 300.0).map(|point| point[0]).fold(0.0, f64::max);
    near(face, 15.875, 0.71);
    // 440 in of upper edges, the legs' 5-1/8 in across three laps, the return's corner; of a mitre at A's right and at B's left
    // half each, 1-1/2 + 5/8·√2 + 3 in long, since only the leg that stands out gains; end wall: 9 in across two laps.
    let sealant = 330.0 + 110.0 + 5.125 * 3.0 + 1.5 + (1.5 + 0.625 * 2.0_f64.sqrt() + 3.0) + 9.0 * 2.0;
    let told: f64 = plan
        .runs
        .iter()
        .flat_map(|run| &run.working)
        .filter(|working| working.what == "sealant path")
        .map(|working| brakeside::trade::length::Length::parse(&working.result, plan.units).unwrap().in_inches())
        .sum();
    near(told, sealant, 0.05);
    // ¼ × ¼ in, 1 fl oz = 1.8046875 in³ (NIST SP 811), 10.1 in a cartridge.
    assert_eq!((sealant / 16.0 / 1.8046875_f64 / 10.1).ceil(), 2.0);
    buys(&plan, &[("sealant", 2)]);
}

/// ```text
/// section  v = 1.345082: bend 101.6 − v/2, fold 203.2 − v − 0.252374, girth 203.2 − v + 12.195251
/// L, 4:12  222 in level: ·√(1 + (4/12)²) = 234.0085, to 1/16: 19' 6"; with the dam 236.5 > 2·120 − 6: three of 246/3 = 82 in
/// M        Δ = atan(8/12) − atan(3/12) = 19.653824°; the wall leg's top, 4 in up: 101.6·tan(Δ/2) = 17.5985 mm shorter under
///          the steeper slope. Low at the right: the right piece is laid first and goes under
/// ```
#[test]
fn side_wall() {
    let plan = plan(include_str!("orders/side-wall.json"));
    lengths(&plan, 0, &["6' 10\""; 3]);
    assert_eq!(plan.runs[0].length.text, "19' 6\"");
    lengths(&plan, 1, &["5' 9\""; 2]);
    let (dam, cut) = (piece(&plan, "L-SW-3"), piece(&plan, "M-SW-1"));
    unfolds(dam, 214.0502, None, &[100.9275], Some(201.6025));
    near(dam.bends[0].angle_deg, 90.0, 0.0);
    near(dam.blank.area_mm2, 84.5 * IN * 214.050169 - 2.5 * IN * (100.927459 + 12.447625), 0.1);
    near(cut.blank.outline[0][0], 17.5985, 0.71);
    near(beyond(cut), 0.0, 0.71);
    assert!(matches!(&piece(&plan, "L-SW-1").right, PieceEnd::Lap { goes: Goes::Under, .. }));
    assert!(matches!(&piece(&plan, "M-SW-2").left, PieceEnd::Lap { goes: Goes::Under, .. }));
}

/// ```text
/// W        open datum hem 12.7 − 0.504749 + 0.57·3.175 = 14.005; its fold 14.005 + 0.252374 − 0.904875 = 13.3525; bend 14.005 +
///          101.6 − 0.672541; fold 14.005 + 228.6 − 1.345082 − 0.252374; girth 14.005 + 228.6 − 1.345082 + 12.195251
///          both hems are notched: 2·2419.35 mm². 177 in in two: 183/2 = 91.5 in
/// ends     over the top Δ/2 = 26.565°, tan = ½: a face 5 in down is 63.5 mm shorter, one of 4 in 50.8
/// X        low at the right, so laid from there: 200/2 = 100 in
/// ```
#[test]
fn gable() {
    let plan = plan(include_str!("orders/gable.json"));
    lengths(&plan, 0, &["7' 7-1/2\""; 2]);
    lengths(&plan, 1, &["8' 4\""; 2]);
    let (low, top, other) = (piece(&plan, "W-GB-1"), piece(&plan, "W-GB-2"), piece(&plan, "X-GB-1"));
    unfolds(low, 253.4552, Some(13.3525), &[114.9325], Some(241.0075));
    near(low.blank.area_mm2, 91.5 * IN * 253.45517 - 2.0 * 2419.35, 0.1);
    let right =
        top.blank.outline.iter().filter(|point| point[0] > 300.0).map(|point| point[0]).fold(f64::MAX, f64::min);
    near(top.blank.length.mm - right, 63.5, 0.71);
    let left = other.blank.outline.iter().filter(|point| point[0] < 300.0).map(|point| point[0]).fold(0.0, f64::max);
    near(left, 50.8, 0.71);
    assert!(matches!(&piece(&plan, "X-GB-2").left, PieceEnd::Lap { goes: Goes::Under, .. }));
    assert!(plan.sheet.as_ref().unwrap().buy.iter().all(|need| need.what != "wall fasteners"));
}

/// ```text
/// section  T = 0.8: v at 75° 1.067910, at 40° 0.424685; bends 100 − 0.533955, 180 − 1.067910 − 0.212343; fold 200 − 1.492595 −
///          0.288; girth 200 − 1.492595 + 13 − 0.576
/// corners  the roof leg reaches 100·cos 15° = 96.593 mm in, the kick 20·sin 40° = 12.856 out: at the outside corner the
///          blank is 12.856 longer, at the inside corner 96.593
/// n        3·3000 − 310 = 8690 ≥ 7350 + 109.4 > 2·3000 − 155; 7660/3 = 2553.3: 2554, 2553, 2553 mm, the first laid longest
/// ```
#[test]
fn eave() {
    let plan = plan(include_str!("orders/eave.json"));
    lengths(&plan, 0, &["2554 mm", "2553 mm", "2553 mm"]);
    let (outside, inside) = (piece(&plan, "S-EV-1"), piece(&plan, "S-EV-3"));
    unfolds(outside, 210.9314, None, &[99.4660, 178.7197], Some(198.2194));
    assert_eq!(outside.bends.iter().map(|bend| bend.angle_deg.round()).collect::<Vec<_>>(), [75.0, 40.0]);
    near(beyond(outside), 12.856, 0.8);
    near(beyond(inside), 96.593, 0.8);
    // Laid under the panels: nothing to close, and no tape.
    assert!(
        plan.sheet.as_ref().unwrap().buy.iter().all(|need| !["closures", "butyl tape"].contains(&need.what.as_str()))
    );
}

/// ```text
/// section  16 oz copper, T = 0.0216 in = 0.54864 mm; N = 14.036243° + 33.690068°; v = 0.365273; hems at both edges
///          12.7 − 0.395021; bend 12.304979 + 152.4 − v/2
/// joints   516 in > 480: one, since 36 in is under half of 480; (516 + 6)/2 = 261 in: at 255, an inch past the seam of 254
/// pieces   seams 2 + 12k: a lap that starts 1 to 5 in past one clears the next. Longest first: 114 is 4 past 110;
///          228 is not clear, 223 is; 261 − 223 = 38 in. Beyond the joint 255 + 114 = 369 goes to 367, 481 to 475: 120,
///          115, 38, 118, 114, 41 in
/// corner   near leg 152.4·cos 14.036° = 147.850 mm longer
/// mass     16 oz/ft² = 4.882428 kg/m²; closures 2·516/36 = 28.7
/// ```
#[test]
fn ridge() {
    let plan = plan(include_str!("orders/ridge.json"));
    lengths(&plan, 0, &["10' 0\"", "9' 7\"", "3' 2\"", "9' 10\"", "9' 6\"", "3' 5\""]);
    assert_eq!(laps(&plan, 0), [(114.0, false), (223.0, false), (255.0, true), (367.0, false), (475.0, false)]);
    let (first, corner) = (piece(&plan, "R-RD-1"), piece(&plan, "R-RD-6"));
    unfolds(first, 329.0447, Some(12.5025), &[164.5223], Some(316.5422));
    near(first.bends[0].angle_deg, 47.726311, 1e-6);
    near(beyond(corner), 147.850, 0.55);
    near(first.blank.area_mm2, 3048.0 * 329.044685 - 2.0 * 2419.35, 0.1);
    near(first.mass_kg, first.blank.area_mm2 * 4.882428e-6, 1e-5);
    buys(&plan, &[("closures", 29)]);
}

/// ```text
/// P        T = 0.4572: v at 85° 0.777079, at 90° 0.877227: lines 76.2 − 0.388540, 139.7 − 1.165619, 177.8 − 1.992772,
///          228.6 − 2.869999; fold 266.7 − 3.308612 − 0.164592; girth 266.7 − 3.308612 + 12.370816
///          out of the wall 2.5·cos 5° + 2 = 4.490 in = 114.058 mm: 233 + 4.49 in > 2·120 − 6, so three of 245/3 in, to 1/16
/// Q        lines 25.4 − 0.344352, 127 − 1.033055, 165.1 − 1.498760; girth 180.975 − 1.620114 + 9.525 − 0.329184
/// ```
#[test]
fn custom() {
    let plan = plan(include_str!("orders/custom.json"));
    lengths(&plan, 0, &["6' 9-11/16\"", "6' 9-11/16\"", "6' 9-5/8\""]);
    let (table, sill) = (piece(&plan, "P-CU-3"), piece(&plan, "Q-CU-1"));
    unfolds(table, 275.7622, None, &[75.8115, 138.5344, 175.8072, 225.7300], Some(263.2268));
    // A sheet for either step of the Z, whose widths change faces.
    near(beyond(table), 114.058, 2.0 * 0.46);
    unfolds(sill, 188.5507, None, &[25.0556, 125.9669, 163.6012], Some(179.1903));
    near(sill.blank.area_mm2, 72.0 * IN * 188.550702, 0.1);
    assert_eq!(table.steps.iter().filter(|step| step.action == Action::Bend).count(), 4);
}

/// ```text
/// joints   1152 in of aluminium, a joint every 384: two whole ones and 384 left, over half: three, in four stretches of
///          (1152 + 18)/4 = 292.5 in: at 286.5, 573, 859.5. In each three pieces of (292.5 + 12)/3 = 101.5 in
/// seams    8 + 16k: laps start 1 to 9 in past one: 95.5 is 7.5 past 88, and all after it likewise
/// reglet   each lap 10 in from the end wall's own: 6 in and 4 clear
/// ```
#[test]
fn joints() {
    let plan = plan(include_str!("orders/joints.json"));
    lengths(&plan, 0, &["8' 5-1/2\""; 12]);
    let wall = laps(&plan, 0);
    assert_eq!(wall.iter().filter(|lap| lap.1).map(|lap| lap.0).collect::<Vec<_>>(), [286.5, 573.0, 859.5]);
    assert!(plan.runs[0].laps.iter().all(|lap| !lap.on_seam));
    let reglet = laps(&plan, 1);
    assert_eq!((wall.len(), reglet.len()), (11, 11));
    for (wall, reglet) in wall.iter().zip(&reglet) {
        assert_eq!((wall.0 - reglet.0, wall.1), (10.0, reglet.1));
    }
    // At a joint nothing is fastened, and every card that makes one says so.
    for piece in plan.pieces.iter().filter(|piece| piece.trim == Trim::EndWall) {
        let under = |end: &PieceEnd| matches!(end, PieceEnd::Lap { goes: Goes::Under, joint: true, .. });
        let said = piece.steps.iter().any(|step| step.text.contains("expansion joint: sealed, never fastened"));
        assert_eq!(said, under(&piece.left) || under(&piece.right), "{}", piece.mark);
    }
    buys(&plan, &[("closures", 32)]);
}
