//! Shapes worked by hand.

use super::*;
use crate::trade::length::Units;
use crate::trade::pitch::Pitch;
use crate::trade::profile::{Profile, Roof, Shape};
use crate::trade::section::{Bend, Hem, Leg, LegName, Turn};
use crate::trade::shape::Part;

pub(super) const T: f64 = 0.7;
pub(super) const RULE: Rule = Rule::Din6935;

/// Widths in mm; degrees bent through, up positive.
pub(super) fn section(widths: &[f64], bends: &[f64]) -> Section {
    let leg = |(index, &mm): (usize, &f64)| Leg { name: LegName::Nth(index), width: Length::from_mm(mm) };
    let bend = |&deg: &f64| Bend { through_deg: deg.abs(), turn: if deg > 0.0 { Turn::Up } else { Turn::Down } };
    Section {
        legs: widths.iter().enumerate().map(leg).collect(),
        bends: bends.iter().map(bend).collect(),
        datum_hem: None,
        lower_hem: None,
        thickness: Length::from_mm(T),
        inside_radius: Length::from_mm(T),
    }
}

fn inches(widths: &[f64], bends: &[f64]) -> Section {
    section(&widths.iter().map(|width| width * 25.4).collect::<Vec<_>>(), bends)
}

pub(super) fn searched(section: &Section) -> Result<BendOrder, Impossible> {
    search(section, &section.unfold(RULE), RULE, &Brake::default(), None)
}

fn trim(shape: Shape, datum_hem: bool, pitch: &str) -> Section {
    let hem = Some(Hem::closed(Length::from_inches(0.5)));
    let profile = Profile { shape, datum_hem: hem.filter(|_| datum_hem), lower_hem: hem, inside_radius: None };
    let pitch = Some(Pitch::parse(pitch).unwrap());
    profile.section(&Roof { pitch, far_pitch: pitch }, Length::from_mm(T), Length::from_mm(T))
}

fn trims() -> [Section; 6] {
    let i = Length::from_inches;
    [
        trim(Shape::EndWall { wall_leg: i(4.0), roof_leg: i(5.0) }, false, "2:12"),
        trim(Shape::SideWall { wall_leg: i(4.0), roof_leg: i(5.0) }, false, "2:12"),
        trim(Shape::Reglet { wall_leg: i(1.5), depth: i(0.625), face: i(3.0) }, false, "2:12"),
        trim(Shape::Gable { roof_leg: i(4.0), face: i(3.0) }, false, "2:12"),
        trim(Shape::Eave { roof_leg: i(4.0), face: i(3.0), kick: i(0.75), kick_deg: 45.0 }, false, "4:12"),
        trim(Shape::Ridge { far_leg: i(6.0), near_leg: i(6.0) }, true, "4:12"),
    ]
}

#[test]
fn every_trim_as_it_comes_can_be_folded() {
    for section in trims() {
        let order = searched(&section).unwrap_or_else(|no| panic!("{}", no.text(&section, Units::In)));
        let mut folds: Vec<Fold> = order.ops.iter().map(|op| op.fold).collect();
        assert_eq!(order.ops[0].handling, []);
        folds.sort_by_key(|&fold| section.unfold(RULE).line(fold));
        assert_eq!(folds, section.folds().collect::<Vec<_>>());
    }
}

/// By hand: the hem is bent with the hidden side up, the wall side away. Turned to be flattened, the lower edge is away.
/// A Z's two bends are made either way up and both from the outside in: the face, down, as it lies; then one flip
/// brings the seen side up and the wall leg in. The gauge runs from the bend's middle to the outside of the hem's
/// fold: face − v/2, v = 1.9187 s/r at 90° and r = s (DIN 6935, secondary).
#[test]
fn a_reglet_step_by_step() {
    let [_, _, reglet, ..] = trims();
    let order = searched(&reglet).unwrap();
    let op = |index: usize| (order.ops[index].fold, order.ops[index].lie, order.ops[index].stop);
    let lie = |face, in_throat| Lie { face, in_throat };
    assert_eq!(op(0), (Fold::Hem(Edge::Lower), lie(Face::Hidden, Edge::Datum), Stop::RawEdge));
    assert_eq!(op(1), (Fold::Bend(1), lie(Face::Hidden, Edge::Lower), Stop::HemFold));
    assert_eq!(op(2), (Fold::Bend(0), lie(Face::Seen, Edge::Datum), Stop::RawEdge));
    assert_eq!((order.ops[1].handling, order.ops[2].handling), (&[][..], &[Handling::Flip][..]));
    assert_eq!(order.handlings, 2);
    assert!((order.ops[1].gauge.mm() - (76.2 - 1.9187 * T / 2.0)).abs() < 1e-4);
    assert!((order.ops[2].gauge.mm() - (38.1 - 1.9187 * T / 2.0)).abs() < 1e-4);
}

/// Where the left end goes is worked out by turning a sheet of paper.
#[test]
fn a_flip_keeps_left_and_a_turn_does_not() {
    let lies = [
        (Face::Seen, Edge::Datum),
        (Face::Hidden, Edge::Lower),
        (Face::Seen, Edge::Lower),
        (Face::Hidden, Edge::Datum),
    ];
    let [home, flipped, turned, both] = lies.map(|(face, in_throat)| Lie { face, in_throat });
    assert_eq!([home, flipped, turned, both].map(Lie::left_is_left), [true, true, false, false]);
    assert_eq!(home.to(flipped), [Handling::Flip]);
    assert_eq!(home.to(turned), [Handling::Turn]);
    assert_eq!(home.to(both), [Handling::Flip, Handling::Turn]);
    assert_eq!(flipped.to(both), [Handling::Turn]);
}

/// A U of web b with the last leg held: the leg a standing on the web swings back over the jaw, whose face leans at 45°
/// from where the web's bend begins. At 90° the inner corner of a's edge is b − 2 T above the nose and a − 2 T behind
/// it (r = T): it clears iff a ≤ b.
#[test]
fn a_u_clears_the_nose_while_its_leg_is_no_wider_than_its_web() {
    for web in [25.0, 40.0, 70.0] {
        for (more, clears) in [(-0.2, true), (0.0, true), (0.2, false)] {
            let section = section(&[web + more, web, 150.0], &[90.0, 90.0]);
            let order = searched(&section);
            assert_eq!(order.is_ok(), clears, "{web} {more}");
            if let Ok(order) = order {
                // The other way round 150 mm would stand on the web: only this order works.
                assert_eq!([order.ops[0].fold, order.ops[1].fold], [0, 1].map(Fold::Bend));
            }
        }
    }
}

/// A wider web carries the leg over the jaw's top, 3 in above the sheet: the inside of the leg is b − 2 T above it.
#[test]
fn a_leg_passes_over_the_jaw() {
    let top = 76.2;
    for (more, clears) in [(0.0, true), (-0.2, false)] {
        let section = section(&[300.0, top + 2.0 * T + more, 300.0], &[90.0, 90.0]);
        assert_eq!(searched(&section).is_ok(), clears, "{more}");
    }
}

/// A leg turned down past the leaf's bar hangs clear; within it the flange is too narrow for the leaf.
#[test]
fn a_step_is_as_wide_as_the_leaf() {
    let flat = 25.4 * 0.375;
    // A bend's arc begins r + T from the outside of the leg across.
    let step = flat + 2.0 * T + 2.0 * T;
    // The bend line lies half the bend's metal from where the arc ends.
    let half_arc = (2.0 * 2.0 * T - 1.9187 * T) / 2.0;
    for (more, clears) in [(0.01, true), (-0.01, false)] {
        let section = section(&[100.0, step - half_arc + more, 100.0], &[90.0, -90.0]);
        assert_eq!(searched(&section).is_ok(), clears, "{more}");
    }
}

/// A closed ½ in hem goes in while its raw edge stays behind the ⅜ in the nose grips; an open one while gap and
/// thickness fit in the ¼ in of relief.
#[test]
fn a_hem_in_the_throat_lies_behind_the_nose() {
    let held = |leg: f64, gap: f64| {
        let mut section = section(&[100.0, leg], &[90.0]);
        section.lower_hem = Some(Hem { width: Length::from_mm(12.7), gap: Length::from_mm(gap) });
        let (brake, sheet) = (Brake::default(), Sheet::of(&section, RULE));
        let bench = Bench::new(&sheet, &brake, None, section.unfold(RULE).girth);
        let lie = Lie { face: Face::Seen, in_throat: Edge::Lower };
        bench.held(Made::NONE.with(Fold::Hem(Edge::Lower)), Fold::Bend(0), lie)
    };
    // The bend line is half of v short of the leg's outside.
    let least = 12.7 + 25.4 * 0.375 + 1.9187 * T / 2.0;
    assert_eq!(held(least, 0.0), None);
    assert!(matches!(held(least - 0.2, 0.0), Some(Why::Hits { part: Part::Hem(Edge::Lower), tool: Tool::Bed, .. })));
    assert_eq!(held(50.0, 6.35 - T), None);
    assert!(held(50.0, 6.35 - T + 0.2).is_some());
}

/// A section and a brake twice as large are folded alike.
#[test]
fn size_alone_changes_nothing() {
    let twice = |length: &mut Length| *length = *length * 2;
    let mut large = Brake::default();
    [&mut large.throat, &mut large.jaw_height, &mut large.least_flange].into_iter().for_each(twice);
    for section in trims() {
        let mut doubled = section.clone();
        doubled.legs.iter_mut().for_each(|leg| twice(&mut leg.width));
        [&mut doubled.datum_hem, &mut doubled.lower_hem].into_iter().flatten().for_each(|hem| twice(&mut hem.width));
        [&mut doubled.thickness, &mut doubled.inside_radius].into_iter().for_each(twice);
        let [small, large] = [(&section, &Brake::default()), (&doubled, &large)]
            .map(|(section, brake)| search(section, &section.unfold(RULE), RULE, brake, None).unwrap());
        for (small, large) in small.ops.iter().zip(&large.ops) {
            assert_eq!((small.fold, small.lie, small.handling), (large.fold, large.lie, large.handling));
            assert!((small.gauge.mm() * 2.0 - large.gauge.mm()).abs() < 1e-4);
        }
        assert_eq!(small.ops.len(), large.ops.len());
    }
}

#[test]
fn what_this_brake_cannot_fold_is_told_with_what_would_be() {
    let told = |section: &Section| {
        let no = searched(section).unwrap_err();
        (no.at_fault().unwrap().0.blocked[0].why, no.text(section, Units::In), no)
    };
    let (why, text, _) = told(&inches(&[0.25, 3.0], &[90.0]));
    assert!(matches!(why, Why::FlangeTooNarrow { .. } | Why::TooLittleToClamp { .. }), "{text}");
    assert!(text.contains("3/8\"") && text.contains("flat"), "{text}");

    let (why, text, _) = told(&inches(&[3.0, 3.0], &[150.0]));
    assert!(matches!(why, Why::TooFar { most_deg: 135.0, .. }), "{text}");

    let (_, text, no) = told(&inches(&[6.0, 1.0, 6.0], &[90.0, 90.0]));
    assert!(text.contains("hits the jaw when the leaf has swung") && text.contains("1\" or narrower"), "{text}");
    let (leg, widest) = no.right.unwrap();
    assert!(leg == 0 && (widest.mm() - 25.4).abs() < 0.3, "{text}");

    // The box closes around the jaw.
    let (_, text, no) = told(&inches(&[1.0; 5], &[90.0; 4]));
    assert!(text.contains("hits the jaw"), "{text}");
    assert!(no.deepest.iter().all(|stuck| stuck.made.len() < 4));

    let (_, text, _) = told(&inches(&[3.0, 2.5, 2.0, 1.5, 1.0, 0.75], &[90.0; 5]));
    assert!(text.contains("the jaw"), "{text}");

    // 30 in do not go into a 20 in throat, though the bend in the middle can be made.
    let mut wide = inches(&[15.0, 15.0], &[90.0]);
    wide.lower_hem = Some(Hem::closed(Length::from_inches(0.5)));
    let (why, text, _) = told(&wide);
    assert!(matches!(why, Why::TooDeep { .. }), "{text}");
}

/// 90° kept asks for more of the leaf; 135° kept asks for more than it has.
#[test]
fn springback_counts_against_the_leafs_travel() {
    let order = |deg: f64, springback| {
        let section = inches(&[3.0, 3.0], &[deg]);
        search(&section, &section.unfold(RULE), RULE, &Brake::default(), springback)
    };
    assert!(order(135.0, None).is_ok());
    assert!(order(90.0, Some(1.05)).is_ok());
    let no = order(135.0, Some(1.02)).unwrap_err();
    assert!(matches!(no.deepest[0].blocked[0].why, Why::TooFar { set_deg, .. } if (set_deg - 137.7).abs() < 1e-9));
}
