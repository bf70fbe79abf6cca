//! Two runs meet edge to edge. Each piece is rolled in space from its blank's outline by `support/rolled.rs`, which knows nothing
//! of how the program shapes a section or computes a mitre, and set on its own wall or slope.

#[path = "support/rolled.rs"]
mod rolled;

use brakeside::trade::bending::Rule;
use brakeside::trade::cut::{self, Blank, Cut};
use brakeside::trade::length::{Length, Units};
use brakeside::trade::mitre::{self, Plane, mitre};
use brakeside::trade::pitch::Pitch;
use brakeside::trade::profile::{Profile, Roof, Shape, Stance};
use brakeside::trade::section::{Bend, Hem, Section, Turn};
use geo::{Area, Validation};
use nalgebra::{Isometry3, Point3, Vector3};
use proptest::prelude::*;
use rolled::{Corner, Rolled, Stands, climbing, turned_away};

/// What the project promises of two cut edges, in mm.
const MEET: f64 = 0.1;
/// What the curves' chords and the nanometre leave.
const FINE: f64 = 0.0101;

const RULES: [Rule; 2] = [Rule::Din6935, Rule::KFactor(0.42)];
const FINISHED: Length = Length::millimetres(3000);

fn inches(inches: f64) -> Length {
    Length::from_inches(inches)
}

/// None, below, above and open, both.
fn hems() -> [[Option<Hem>; 2]; 4] {
    let closed = Some(Hem::closed(inches(0.5)));
    let open = Some(Hem { width: inches(0.625), gap: inches(0.125) });
    [[None, None], [None, closed], [open, None], [closed, open]]
}

/// A trim, and how it stands by the trade's own rules.
struct Trim {
    section: Section,
    stance: Stance,
    stands: Stands,
}

fn trim(shape: Shape, [datum_hem, lower_hem]: [Option<Hem>; 2], pitches: [f64; 2]) -> Trim {
    let [pitch, far_pitch] = pitches.map(|rise| Pitch::parse(&format!("{rise}:12")).ok());
    let [fall, far_fall] = pitches.map(|rise| rise.atan2(12.0).to_degrees());
    let (heading_deg, corner) = match shape {
        Shape::EndWall { .. } | Shape::SideWall { .. } => (-90.0, Corner::Of(0, 1)),
        Shape::Reglet { .. } | Shape::Custom { .. } => (-90.0, Corner::Wall(0)),
        Shape::Gable { .. } => (0.0, Corner::Of(1, 0)),
        Shape::Eave { .. } => (-fall, Corner::Wall(1)),
        Shape::Ridge { .. } => (far_fall, Corner::Of(0, 1)),
    };
    let profile = Profile { shape, datum_hem, lower_hem, inside_radius: None };
    let roof = Roof { pitch, far_pitch };
    let section = profile.section(&roof, Length::from_mm(0.701), Length::from_mm(1.2));
    assert_eq!(section.faults(Length::ZERO, Units::Mm), [], "{section:?}");
    Trim { stance: profile.stance(&roof), section, stands: Stands { heading_deg, corner } }
}

/// The trims of level runs, for a roof of `rise` in 12.
fn level_shapes(rise: f64) -> Vec<(Shape, [f64; 2])> {
    let [wall_leg, roof_leg, depth, face, kick] = [4.0, 5.0, 0.625, 3.0, 0.75].map(inches);
    let bend = |through_deg, turn| Bend { through_deg, turn };
    let bends = vec![bend(80.5, Turn::Up), bend(35.0, Turn::Down), bend(120.0, Turn::Up)];
    vec![
        (Shape::EndWall { wall_leg, roof_leg }, [rise, 0.0]),
        (Shape::Reglet { wall_leg: face, depth, face }, [0.0, 0.0]),
        (Shape::Eave { roof_leg, face, kick: roof_leg, kick_deg: 30.0 }, [rise, 0.0]),
        (Shape::Eave { roof_leg, face: roof_leg, kick, kick_deg: 135.0 }, [rise, 0.0]),
        (Shape::Ridge { far_leg: roof_leg, near_leg: wall_leg }, [rise, 6.0]),
        (Shape::Custom { legs: vec![wall_leg, depth, face, roof_leg], bends }, [0.0, 0.0]),
    ]
}

fn polygon(points: &[[f64; 2]]) -> geo::Polygon {
    geo::Polygon::new(points.iter().copied().map(geo::Coord::from).collect(), vec![])
}

/// The least and the greatest x of `outline` at `y`.
fn span(outline: &[[f64; 2]], y: f64) -> [f64; 2] {
    let next = outline.iter().cycle().skip(1);
    let crossings =
        outline.iter().zip(next).filter(|(a, b)| a[1].min(b[1]) <= y && y <= a[1].max(b[1])).flat_map(|(a, b)| {
            if a[1] == b[1] { [a[0], b[0]] } else { [a[0] + (b[0] - a[0]) * (y - a[1]) / (b[1] - a[1]); 2] }
        });
    crossings.fold([f64::MAX, f64::MIN], |[least, most], x| [least.min(x), most.max(x)])
}

/// Points of the sheet's centre line across a finished trim, each with its place on the strip.
struct Across {
    rule: Rule,
    points: Vec<(f64, Point3<f64>)>,
}

const STEPS: usize = 200;

fn across(trim: &Trim) -> [Across; 2] {
    RULES.map(|rule| {
        let rolled = Rolled::new(&trim.section, rule, trim.stands);
        let girth = trim.section.unfold(rule).girth.mm();
        assert!((rolled.girth() - girth).abs() < 1e-4);
        let y = |step| (girth * step as f64 / STEPS as f64).min(girth);
        Across { rule, points: (0..=STEPS).map(y).map(|y| (y, rolled.at(y))).collect() }
    })
}

/// Cuts a piece that ends at the joint and one that begins there, sets each on its own axes, and compares the two edges.
#[track_caller]
fn assert_meets(trim: &Trim, rolled: &Across, plane: Plane, [first, second]: [Isometry3<f64>; 2]) {
    let rule = rolled.rule;
    let flat = trim.section.unfold(rule);
    let girth = flat.girth.mm();

    let cut = mitre(&trim.section, rule, trim.stance, plane);
    let before = Blank { finished: FINISHED, left: Cut::square(&flat), right: cut.clone() };
    let after = Blank { finished: FINISHED, left: cut.clone(), right: Cut::square(&flat) };
    let outlines = [before.outline(), after.outline()];
    // Along either run the joint is 0: from the left blank's end that is the finished length, the right blank begins before it.
    let joints = [FINISHED.mm(), (after.length() - FINISHED).mm()];

    // The plane between the runs is as far from either.
    let normal = (first * Vector3::x() + second * Vector3::x()).normalize();
    let mut past_end = 0.0;
    for (i, &(y, at)) in rolled.points.iter().enumerate() {
        let [end, start] = [span(&outlines[0], y)[1] - joints[0], span(&outlines[1], y)[0] - joints[1]];
        let [end_at, start_at] = [first * (at + Vector3::x() * end), second * (at + Vector3::x() * start)];
        let (apart, off) = ((end_at - start_at).norm(), normal.dot(&end_at.coords));
        assert!(apart < MEET, "{apart} apart at {y} of {girth}: {:?} {plane:?}", trim.section);
        assert!(off.abs() < FINE, "{off} off the plane at {y} of {girth}: {:?} {plane:?}", trim.section);
        past_end += end * if i % STEPS == 0 { 0.5 } else { 1.0 };
    }

    // The strip's area from where its edge must lie, from the outline by the program and by a general library.
    let area = cut::area(&outlines[0]);
    let by_geo = polygon(&outlines[0]).unsigned_area();
    let by_edge = FINISHED.mm() * girth + past_end * girth / STEPS as f64;
    assert!((area - by_geo).abs() < 1e-6);
    assert!((area - by_edge).abs() < 0.02 * girth + 1.0, "{area} {by_edge}");
}

/// Corners: walls turning by 10° to 150°, both ways, under roofs from level to 24:12.
#[test]
fn mitred_pieces_meet_at_every_corner() {
    let mut met = 0;
    for rise in [0.0, 2.0, 4.0, 12.0, 24.0] {
        for (shape, pitches) in level_shapes(rise) {
            for hems in hems() {
                let trim = trim(shape.clone(), hems, pitches);
                let rolled = across(&trim);
                for turn in (10..=150).step_by(20).map(f64::from) {
                    for rolled in &rolled {
                        let axes = |turn| [Isometry3::identity(), turned_away(turn)];
                        assert_meets(&trim, rolled, Plane::corner(mitre::Corner::Outside, turn), axes(turn));
                        assert_meets(&trim, rolled, Plane::corner(mitre::Corner::Inside, turn), axes(-turn));
                        met += 2;
                    }
                }
            }
        }
    }
    assert_eq!(met, 5 * 6 * 4 * 8 * 2 * 2);
}

/// Along a wall or a gable whose roof changes pitch, or climbs and falls again.
#[test]
fn sloped_runs_meet_where_the_pitch_changes() {
    let [wall_leg, roof_leg, face] = [4.0, 5.0, 3.0].map(inches);
    for shape in [Shape::SideWall { wall_leg, roof_leg }, Shape::Gable { roof_leg, face }] {
        for hems in hems() {
            let trim = trim(shape.clone(), hems, [0.0, 0.0]);
            let rolled = across(&trim);
            for [before, beyond] in
                [[2, 7], [7, 2], [0, 24], [24, -24], [6, -6], [6, -3], [-3, -12], [-12, 5], [0, -4], [4, 4]]
            {
                let [before, beyond] = [before, beyond].map(|rise| f64::from(rise).atan2(12.0).to_degrees());
                let plane = Plane::transition(before, beyond);
                assert_eq!(plane, Plane::transition(-beyond, -before), "walked the other way");
                for rolled in &rolled {
                    assert_meets(&trim, rolled, plane, [climbing(before), climbing(beyond)]);
                }
            }
        }
    }
}

/// A roof leg alone matters here: no hem, and a sheet so thin that outside and centre are one.
fn thin_end_wall(fall_deg: f64, roof_leg: Length) -> (Section, Stance) {
    let shape = Shape::EndWall { wall_leg: inches(4.0), roof_leg };
    let profile = Profile { shape, datum_hem: None, lower_hem: None, inside_radius: None };
    let mut section = profile.section(&Roof::default(), Length::from_mm(0.002), Length::from_mm(0.002));
    section.bends[0].through_deg = 90.0 - fall_deg;
    (section, profile.stance(&Roof::default()))
}

/// DEVELOPERS.md, the geometry: at its lower edge a roof leg is longer, or shorter, by B·cos φ·tan(δ/2).
#[test]
fn a_roof_leg_grows_by_its_closed_formula() {
    let leg = inches(5.0);
    for fall in [0.0, 9.46, 45.0, 63.4] {
        for turn in [10.0, 45.0, 90.0, 135.0] {
            let grows = leg.mm() * f64::to_radians(fall).cos() * f64::to_radians(turn / 2.0).tan();
            let (section, stance) = thin_end_wall(fall, leg);
            let cut = |corner| mitre(&section, Rule::Din6935, stance, Plane::corner(corner, turn));
            let [outside, inside] = [mitre::Corner::Outside, mitre::Corner::Inside].map(cut);
            assert!((outside.beyond().mm() - grows).abs() < 0.01);
            assert!((outside.at_lower_edge().mm() + grows).abs() < 0.01);
            assert!((inside.reach().mm() - grows).abs() < 0.01);
        }
    }
}

/// How far the roof leg's cut runs from square, in degrees, measured on the blank well clear of bend and edge.
fn cut_angle(fall_deg: f64, turn_deg: f64) -> f64 {
    let (section, stance) = thin_end_wall(fall_deg, inches(5.0));
    let flat = section.unfold(Rule::Din6935);
    let left = mitre(&section, Rule::Din6935, stance, Plane::corner(mitre::Corner::Outside, turn_deg));
    let outline = Blank { finished: FINISHED, left, right: Cut::square(&flat) }.outline();
    let [near, far] = [10.0, 110.0].map(|past_bend| span(&outline, flat.bend_lines[0].mm() + past_bend)[0]);
    ((near - far) / 100.0).atan().to_degrees()
}

/// On a sloped leg a square corner is not cut at 45°: on a roof at 45° it is the angle between a cube's diagonal and its face,
/// atan(1/√2) = 35.264°. And pyramids of equal triangles over a triangle, a square and a pentagon slope at the angles the textbooks
/// print (70.529°, 54.736°, 37.377°; from memory): an equilateral face's edge runs 30° from square.
#[test]
fn cuts_on_a_slope_are_the_textbooks() {
    assert!((cut_angle(45.0, 90.0) - 35.264_39).abs() < 1e-3);
    assert!((cut_angle(0.0, 90.0) - 45.0).abs() < 1e-3);
    for (slope, turn) in [(70.528_78, 120.0), (54.735_61, 90.0), (37.377_37, 72.0)] {
        assert!((cut_angle(slope, turn) - 30.0).abs() < 1e-3, "{slope}: {}", cut_angle(slope, turn));
    }
}

/// Any end that a trim can have.
#[derive(Debug, Clone, Copy)]
enum End {
    Square,
    Lap(i64),
    Gable(i64),
    Return(i64),
    Dam(i64),
    Mitre(f64, f64),
}

fn end() -> impl Strategy<Value = End> {
    prop_oneof![
        Just(End::Square),
        (1i64..300).prop_map(End::Lap),
        (1i64..300).prop_map(End::Gable),
        (1i64..150).prop_map(End::Return),
        (1i64..150).prop_map(End::Dam),
        (-4.0..4.0, -4.0..4.0).prop_map(|(out, up)| End::Mitre(out, up)),
    ]
}

fn cut_for(end: End, trim: &Trim, rule: Rule) -> Cut {
    let flat = trim.section.unfold(rule);
    match end {
        End::Square => Cut::square(&flat),
        End::Lap(mm) => Cut::lap_notch(&trim.section, &flat, Length::millimetres(mm)),
        End::Gable(mm) => Cut::gable(&flat, Length::millimetres(mm)),
        End::Return(mm) => Cut::return_tab(&flat, Length::millimetres(mm)),
        End::Dam(mm) => Cut::dam(&flat, Length::millimetres(mm)),
        End::Mitre(out, up) => mitre(&trim.section, rule, trim.stance, Plane { out, up }),
    }
}

fn any_trim() -> impl Strategy<Value = Trim> {
    (0usize..8, 0usize..4, 1.0f64..24.0).prop_map(|(shape, with, rise)| {
        let [wall_leg, roof_leg, face] = [4.0, 5.0, 3.0].map(inches);
        let shapes = [
            (Shape::SideWall { wall_leg, roof_leg }, [0.0, 0.0]),
            (Shape::Gable { roof_leg, face }, [0.0, 0.0]),
            (Shape::Custom { legs: vec![roof_leg], bends: vec![] }, [0.0, 0.0]),
        ];
        let (shape, pitches) = level_shapes(rise).into_iter().chain(shapes).nth(shape).unwrap();
        trim(shape, hems()[with], pitches)
    })
}

impl std::fmt::Debug for Trim {
    fn fmt(&self, f: &mut std::fmt::Formatter) -> std::fmt::Result {
        write!(f, "{:?} {:?}", self.section, self.stance)
    }
}

proptest! {
    /// A piece longer than its ends reach in is one valid polygon; with what is snipped away it is the sheared strip, and its
    /// marks run down either end along its edge.
    #[test]
    fn blanks_are_valid_and_whole(trim in any_trim(), left in end(), right in end(), rule in 0usize..2, more in 1i64..50) {
        let rule = RULES[rule];
        let [left, right] = [left, right].map(|end| cut_for(end, &trim, rule));
        let finished = left.reach() + right.reach() + Length::from_nm(more * 20_000);
        let blank = Blank { finished, left, right };
        let outline = blank.outline();
        let shape = polygon(&outline);
        prop_assert!(shape.is_valid(), "{:?}", shape.check_validation());

        let notches = blank.notches();
        for notch in notches.iter().flatten() {
            prop_assert!(polygon(notch).is_valid(), "{notch:?}");
        }
        let snipped: f64 = notches.iter().flatten().map(|notch| polygon(notch).unsigned_area()).sum();
        let girth = trim.section.unfold(rule).girth.mm();
        let strip = blank.length().mm() * girth;
        prop_assert!((shape.unsigned_area() + snipped - strip).abs() < 1e-6 * strip);
        prop_assert!((cut::area(&outline) - shape.unsigned_area()).abs() < 1e-9 * strip);

        for marks in blank.marks() {
            prop_assert!(marks.is_sorted_by_key(|mark| mark.y));
            for mark in marks {
                prop_assert!(outline.contains(&[mark.x.mm(), mark.y.mm()]));
            }
        }
    }
}
