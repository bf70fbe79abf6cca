//! The search against every permutation, the swing against another library's geometry, and what holds of any section.

use std::ops::RangeInclusive;

use geo::{Contains, Distance, Euclidean, LineString, Point as GeoPoint, Polygon};
use proptest::prelude::*;

use super::tests::{RULE, T, searched, section};
use super::*;
use crate::trade::length::Units;
use crate::trade::plane::{Point, length, less};
use crate::trade::section::{Hem, Turn};
use crate::trade::shape::{Course, Part, faces};

/// The fewest handlings of all permutations and lies, each fold tested alone on the whole strip.
fn by_every_permutation(section: &Section) -> Option<usize> {
    fn go(bench: &Bench, section: &Section, made: &mut Vec<Fold>, lies: Option<Lie>) -> Option<usize> {
        let left: Vec<Fold> = section.folds().filter(|fold| !made.contains(fold)).collect();
        if left.is_empty() {
            return Some(0);
        }
        let mut least = None;
        for fold in left {
            let now: Made = made.iter().copied().collect();
            for face in [Face::Seen, Face::Hidden] {
                for in_throat in [Edge::Datum, Edge::Lower] {
                    let up = match fold {
                        Fold::Hem(edge) => face == Face::Hidden && edge != in_throat,
                        Fold::Bend(index) => (section.bends[index].turn == Turn::Up) == (face == Face::Seen),
                    };
                    let lie = Lie { face, in_throat };
                    if !up || bench.held(now, fold, lie).is_some() || bench.front(now, fold, lie).is_some() {
                        continue;
                    }
                    let changed =
                        lies.map_or((false, false), |last: Lie| (last.face != face, last.in_throat != in_throat));
                    let (hands, after) = match (changed, fold) {
                        (changed, Fold::Bend(_)) => (changed, lie),
                        (changed, Fold::Hem(edge)) => (changed, Lie { face, in_throat: edge }),
                    };
                    let hands = match hands {
                        (false, false) => 0,
                        (true, false) => 2,
                        (_, true) => 1,
                    } + usize::from(matches!(fold, Fold::Hem(_)));
                    made.push(fold);
                    let ahead = go(bench, section, made, Some(after));
                    made.pop();
                    least = least.into_iter().chain(ahead.map(|ahead| ahead + hands)).min();
                }
            }
        }
        least
    }
    let (brake, sheet) = (Brake::default(), Sheet::of(section, RULE));
    let bench = Bench::new(&sheet, &brake, None, section.unfold(RULE).girth);
    go(&bench, section, &mut Vec::new(), None)
}

prop_compose! {
    fn any_section(legs: RangeInclusive<usize>, widths: RangeInclusive<i64>, degrees: RangeInclusive<i32>)
        (legs in legs)
        (widths in prop::collection::vec(widths.clone(), legs),
         degrees in prop::collection::vec((degrees.clone(), any::<bool>()), legs - 1),
         hems in prop::array::uniform2(prop::option::of((4i64..20, prop::option::of(1i64..4)))))
        -> Section
    {
        let widths: Vec<f64> = widths.iter().map(|&tenths| tenths as f64 / 10.0).collect();
        let bends: Vec<f64> = degrees.iter().map(|&(deg, up)| if up { deg.into() } else { -f64::from(deg) }).collect();
        let hem = |hem: Option<(i64, Option<i64>)>| hem.map(|(width, gap)| Hem {
            width: Length::millimetres(width + gap.unwrap_or(0)),
            gap: Length::millimetres(gap.unwrap_or(0)),
        });
        Section { datum_hem: hem(hems[0]), lower_hem: hem(hems[1]), ..section(&widths, &bends) }
    }
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(96))]

    #[test]
    fn no_permutation_is_better(section in any_section(1..=4, 60..=900, 2..=140)) {
        let order = searched(&section).ok();
        prop_assert_eq!(order.map(|order| order.handlings), by_every_permutation(&section));
    }

    /// Which edge is called the datum edge is nothing to a brake.
    #[test]
    fn a_mirrored_section_takes_as_many(mut section in any_section(1..=5, 100..=900, 5..=135)) {
        let handlings = searched(&section).ok().map(|order| order.handlings);
        section.legs.reverse();
        section.bends.reverse();
        std::mem::swap(&mut section.datum_hem, &mut section.lower_hem);
        prop_assert_eq!(searched(&section).ok().map(|order| order.handlings), handlings);
    }

    /// The gauge is exact from the flat; the picture says the same, and each bend ends where the finished shape has it.
    #[test]
    fn gauge_and_picture_agree(section in any_section(2..=4, 150..=900, 20..=135)) {
        let Ok(order) = searched(&section) else { return Ok(()) };
        let sheet = Sheet::of(&section, RULE);
        let mut made = Made::NONE;
        for op in order.ops {
            let setup = Setup::of(&sheet, made, op.fold, op.lie).unwrap();
            prop_assert!((setup.depth() - op.gauge.mm()).abs() < 1e-4);
            made = made.with(op.fold);
            let Fold::Bend(index) = op.fold else { continue };
            let placed = outline(&setup.courses(section.bends[index].through_deg));
            let shape = outline(&sheet.shape(made));
            for (from, to) in [(0, placed.len() / 2), (0, placed.len() - 1), (placed.len() / 3, placed.len() - 1)] {
                let apart = |points: &[Point]| length(less(points[to], points[from]));
                prop_assert!((apart(&placed) - apart(&shape)).abs() < 1e-6);
            }
        }
    }

    /// Every swing found clear is clear by another library at every other degree, and what is said to hit does. The whole
    /// strip is looked at, densely along both faces.
    #[test]
    fn what_swings_clear_is_clear(mut section in any_section(2..=5, 100..=900, 20..=130)) {
        // A closed hem may lie on the leaf.
        (section.datum_hem, section.lower_hem) = (None, None);
        let (brake, sheet) = (Brake::default(), Sheet::of(&section, RULE));
        let bench = Bench::new(&sheet, &brake, None, section.unfold(RULE).girth);
        for last in section.folds() {
            let Fold::Bend(index) = last else { continue };
            let made: Made = section.folds().filter(|&fold| fold != last).collect();
            for lie in Lie::all_for(&section, last) {
                let setup = Setup::of(&sheet, made, last, lie).unwrap();
                if bench.held(made, last, lie).is_some() {
                    continue;
                }
                match bench.front(made, last, lie) {
                    None => {
                        let through = section.bends[index].through_deg;
                        for deg in (0..=through as i32).step_by(2).map(f64::from) {
                            prop_assert!(deepest(&setup, &brake, deg, 1.0) < 0.3 * T, "{lie:?} at {deg}");
                        }
                    }
                    Some(Why::Hits { at_deg, .. }) => prop_assert!(deepest(&setup, &brake, at_deg, 0.05) > 0.05 * T),
                    Some(_) => {}
                }
            }
        }
    }
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(24))]

    /// Whatever an order can say, even what cannot be bent, comes to an answer.
    #[test]
    fn any_section_comes_to_an_end(
        section in prop_oneof![any_section(1..=12, 1..=12192, 1..=150), any_section(1..=7, 1..=500, 1..=150)]
    ) {
        if let Err(no) = searched(&section) {
            prop_assert!(no.states > 0 && !no.text(&section, Units::Mm).is_empty());
        }
    }
}

fn outline(courses: &[Course]) -> Vec<Point> {
    // Arcs are cut up differently: the flats' ends are enough.
    let flats = courses.iter().filter(|course| matches!(course.part, Part::Leg(_) | Part::Hem(_)));
    flats.flat_map(|course| &course.stations).map(|station| station.at).collect()
}

/// How deep any point of the sheet is in any of the tools, in mm: points are `every` so far along its faces.
fn deepest(setup: &Setup, brake: &Brake, deg: f64, every: f64) -> f64 {
    let tools = setup.tools(brake, deg, 2000.0);
    let polygons = [&tools.jaw, &tools.bed, &tools.frame, &tools.leaf]
        .map(|tool| Polygon::new(LineString::from(tool.iter().map(|&[x, y]| (x, y)).collect::<Vec<_>>()), vec![]));
    let outline = faces(&setup.courses(deg), setup.thickness);
    let next = outline.iter().cycle().skip(1);
    let mut deepest: f64 = 0.0;
    for (&[x, y], &[to_x, to_y]) in outline.iter().zip(next) {
        let steps = ((to_x - x).hypot(to_y - y) / every).ceil().max(1.0) as usize;
        for step in 0..steps {
            let part = step as f64 / steps as f64;
            let point = GeoPoint::new(x + (to_x - x) * part, y + (to_y - y) * part);
            for polygon in &polygons {
                if polygon.contains(&point) {
                    deepest = deepest.max(Euclidean.distance(&point, polygon.exterior()));
                }
            }
        }
    }
    deepest
}
