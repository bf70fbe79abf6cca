use super::laid_run::LaidEnd;
use super::spread::{Lap, Seams};
use super::*;
use crate::trade::bending::Rule;
use crate::trade::cut::{Blank, Cut};
use crate::trade::length::Units;
use crate::trade::mitre::{self, Corner, Plane};
use crate::trade::pitch::Pitch;
use crate::trade::profile::{Profile, Roof, Shape};
use crate::trade::section::{Edge, Flat, Hem, Section};
use crate::trade::trim::Trim;
use proptest::prelude::*;

const IN: fn(i64) -> Length = Length::inches;
const T: Length = Length::from_nm(701_040);

/// A trim as it stands on a roof, and its strip.
struct Stands {
    trim: Trim,
    profile: Profile,
    roof: Roof,
    section: Section,
    flat: Flat,
}

impl Stands {
    fn new(shape: Shape, roof: Roof, hems: [Option<Hem>; 2]) -> Self {
        let trim = match shape {
            Shape::EndWall { .. } => Trim::EndWall,
            Shape::Reglet { .. } => Trim::Reglet,
            Shape::SideWall { .. } => Trim::SideWall,
            Shape::Gable { .. } => Trim::Gable,
            Shape::Eave { .. } => Trim::Eave,
            Shape::Ridge { .. } => Trim::Ridge,
            Shape::Custom { .. } => Trim::Custom,
        };
        let profile = Profile { shape, datum_hem: hems[0], lower_hem: hems[1], inside_radius: None };
        let section = profile.section(&roof, T, T);
        let flat = section.unfold(Rule::Din6935);
        Self { trim, profile, roof, section, flat }
    }

    fn mitre(&self, plane: Plane) -> Cut {
        mitre::mitre(&self.section, Rule::Din6935, self.profile.stance(&self.roof), plane)
    }

    fn laid<'a>(&'a self, length: Length, ends: [LaidEnd<'a>; 2]) -> LaidRun<'a> {
        let (trim, section, flat) = (self.trim, &self.section, &self.flat);
        LaidRun { trim, length, laps: vec![], ends, seams: None, section, flat }
    }
}

fn roof(pitch: &str) -> Roof {
    Roof { pitch: Some(Pitch::parse(pitch).unwrap()), far_pitch: Some(Pitch::parse(pitch).unwrap()) }
}

fn end_wall() -> Stands {
    Stands::new(Shape::EndWall { wall_leg: IN(4), roof_leg: IN(5) }, roof("2:12"), [None; 2])
}

fn of(run: &LaidRun) -> Hardware {
    Hardware::of(run, &Spacings::default())
}

#[track_caller]
fn near(found: Length, inches: f64, off: f64) {
    assert!((found.in_inches() - inches).abs() <= off, "{} is not {inches}", found.in_inches());
}

/// Common practice, no source: 12 in o.c., one closure per panel, tape along, two screws on an angled cut.
#[test]
fn an_end_wall_between_gables() {
    let stands = end_wall();
    let cut = Cut::gable(&stands.flat, IN(12));
    let run = stands.laid(IN(122), [LaidEnd::Gable { width: IN(12), cut: &cut }; 2]);
    let hardware = of(&run);
    assert_eq!(hardware.count(Fastener::Wall), 11);
    // An inch up the roof leg the cuts are 12·4/5 = 9.6 in deep: from 10.6 to 111.4, nine gaps; and two on each cut.
    near(hardware.lines[1].positions[0], 10.6, 0.03);
    assert_eq!(hardware.count(Fastener::LapScrew), 10 + 4);
    assert_eq!(closures(hardware.closed, hardware.closure), 4);
    // 122 − 2·9.6 in along, and two cuts of √(9.6² + 4²) = 10.4.
    near(hardware.tape, 102.8 + 20.8, 0.05);
    assert_eq!(hardware.sealant, Length::ZERO);
    // 12-5-13: off the cut by 1 in is 5/13 along and 12/13 up.
    let first = hardware.cut_screws[0];
    assert_eq!(first.x, Length::from_inches(4.0 + 5.0 / 13.0));
    assert_eq!(first.down, Length::from_inches(5.0 / 3.0 - 12.0 / 13.0));
    assert_eq!(hardware.cut_screws[2].x, run.length - first.x);
}

#[test]
fn a_reglet_is_sealed_along_its_upper_edge_across_its_laps_and_at_its_return() {
    let stands = Stands::new(Shape::Reglet { wall_leg: IN(2), depth: IN(1), face: IN(3) }, roof("2:12"), [None; 2]);
    let laps = vec![Lap { from: IN(60), to: IN(66), joint: false }, Lap { from: IN(120), to: IN(126), joint: true }];
    let run = LaidRun { laps, ..stands.laid(IN(180), [LaidEnd::Tab { depth: IN(2) }, LaidEnd::Square]) };
    let hardware = of(&run);
    assert_eq!(hardware.sealant, IN(180 + 2 * 6 + 2));
    assert_eq!((hardware.tape, hardware.closed, hardware.count(Fastener::LapScrew)), (Length::ZERO, Length::ZERO, 0));
}

/// Round a square corner a leg that lies d out goes on by d·tan 45°: at 2:12 each inch of the roof leg by cos 9.4623°.
#[test]
fn where_an_outside_corner_sticks_out_it_is_fastened_and_inside_one_where_there_is_metal() {
    let stands = end_wall();
    let cos = 9.462_322_f64.to_radians().cos();
    for (corner, sign) in [(Corner::Outside, -1.0), (Corner::Inside, 1.0)] {
        let cut = stands.mitre(Plane::corner(corner, 90.0));
        let hardware = of(&stands.laid(IN(120), [LaidEnd::Mitre { cut: &cut }, LaidEnd::Square]));
        // The line is 4 in down the roof leg, the wall leg stands on the corner itself.
        near(hardware.lines[0].positions[0], 1.0, 0.05);
        near(hardware.lines[1].positions[0], 1.0 + sign * 4.0 * cos, 0.05);
        near(hardware.tape, 120.0 - sign * 4.0 * cos, 0.05);
        // Half of: 4 in straight up, and 5 in of leg that gains 5·cos 9.46°.
        near(hardware.sealant, (4.0 + 5.0_f64.hypot(5.0 * cos)) / 2.0, 0.05);
    }
}

/// M of the side walls in `tests/orders`: 4 in up the wall, where the slope steepens by 19.653824°, 4·tan of half of it
/// is cut away.
#[test]
fn a_wall_leg_is_fastened_inside_a_transition() {
    let stands = Stands::new(Shape::SideWall { wall_leg: IN(4), roof_leg: IN(4) }, roof("3:12"), [None; 2]);
    let (from, to) = (Pitch::parse("3:12").unwrap().degrees(), Pitch::parse("8:12").unwrap().degrees());
    let cut = stands.mitre(Plane::transition(from, to));
    let hardware = of(&stands.laid(IN(120), [LaidEnd::Square, LaidEnd::Mitre { cut: &cut }]));
    let gone = 3.0 * ((to - from) / 2.0).to_radians().tan();
    near(*hardware.lines[0].positions.last().unwrap(), 119.0 - gone, 0.05);
    near(*hardware.lines[1].positions.last().unwrap(), 119.0, 0.05);
}

#[test]
fn a_ridge_is_closed_on_both_slopes() {
    let stands = Stands::new(Shape::Ridge { far_leg: IN(6), near_leg: IN(6) }, roof("2:12"), [None; 2]);
    let hardware = of(&stands.laid(IN(100), [LaidEnd::Square; 2]));
    assert_eq!((hardware.closed, hardware.tape), (IN(200), IN(200)));
}

#[test]
fn high_wind_fills_between_the_seams() {
    let stands = end_wall();
    let seams = Some(Seams { first: IN(8), every: IN(16) });
    let run = LaidRun { seams, ..stands.laid(IN(100), [LaidEnd::Square; 2]) };
    let spacings = Spacings { high_wind: Some(IN(6)), ..Spacings::default() };
    for placed in Hardware::of(&run, &spacings).lines {
        assert!(placed.positions.windows(2).all(|pair| pair[1] - pair[0] <= IN(6)));
    }
    assert_eq!(of(&run).lines[1].positions.len(), 6 + 2);
}

/// The closures' set-back moves the tape and no screw; the screws' line moves screws and no tape.
#[test]
fn screws_and_tape_keep_to_lines_of_their_own() {
    let stands = end_wall();
    let run = stands.laid(IN(100), [LaidEnd::Square; 2]);
    let spacings = Spacings { setback: IN(2), ..Spacings::default() };
    let hardware = Hardware::of(&run, &spacings);
    assert_eq!((hardware.taped[0].off_edge, hardware.lines[1].track.off_edge), (IN(2), IN(1)));
    // A line never leaves its leg.
    let wide = Spacings { screw_line: IN(12), ..spacings };
    assert_eq!(Hardware::of(&run, &wide).lines[1].track.down * 2, IN(5));
}

fn shapes() -> impl Strategy<Value = Shape> {
    let width = || (64i64 * 2..64 * 10).prop_map(Length::sixty_fourths);
    let kick_deg = 20.0..80.0f64;
    prop_oneof![
        (width(), width()).prop_map(|(wall_leg, roof_leg)| Shape::EndWall { wall_leg, roof_leg }),
        (width(), width(), width()).prop_map(|(wall_leg, depth, face)| Shape::Reglet { wall_leg, depth, face }),
        (width(), width()).prop_map(|(wall_leg, roof_leg)| Shape::SideWall { wall_leg, roof_leg }),
        (width(), width()).prop_map(|(roof_leg, face)| Shape::Gable { roof_leg, face }),
        (width(), width(), width(), kick_deg).prop_map(|(roof_leg, face, kick, kick_deg)| Shape::Eave {
            roof_leg,
            face,
            kick,
            kick_deg
        }),
        (width(), width()).prop_map(|(far_leg, near_leg)| Shape::Ridge { far_leg, near_leg }),
    ]
}

#[derive(Debug, Clone)]
enum AnyEnd {
    Square,
    Tab(i64),
    Gable(i64),
    Corner(Corner, f64),
    Transition(f64),
}

impl AnyEnd {
    fn cut(&self, stands: &Stands) -> Cut {
        match *self {
            Self::Square => Cut::square(&stands.flat),
            Self::Tab(depth) => Cut::dam(&stands.flat, Length::sixty_fourths(depth)),
            Self::Gable(width) => Cut::gable(&stands.flat, Length::sixty_fourths(width)),
            Self::Corner(corner, turn) => stands.mitre(Plane::corner(corner, turn)),
            Self::Transition(by) => stands.mitre(Plane::transition(0.0, by)),
        }
    }

    fn laid<'a>(&self, cut: &'a Cut) -> LaidEnd<'a> {
        match *self {
            Self::Square => LaidEnd::Square,
            Self::Tab(depth) => LaidEnd::Tab { depth: Length::sixty_fourths(depth) },
            Self::Gable(width) => LaidEnd::Gable { width: Length::sixty_fourths(width), cut },
            Self::Corner(..) | Self::Transition(_) => LaidEnd::Mitre { cut },
        }
    }
}

fn ends() -> impl Strategy<Value = AnyEnd> {
    let corner = prop_oneof![Just(Corner::Inside), Just(Corner::Outside)];
    prop_oneof![
        Just(AnyEnd::Square),
        (32i64..400).prop_map(AnyEnd::Tab),
        (32i64..800).prop_map(AnyEnd::Gable),
        (corner, 5.0..120.0f64).prop_map(|(corner, turn)| AnyEnd::Corner(corner, turn)),
        (-80.0..80.0f64).prop_map(AnyEnd::Transition),
    ]
}

/// Where the polygon is crossed at `y`, from left to right.
fn crossings(polygon: &[[f64; 2]], y: f64) -> Vec<f64> {
    let next = polygon.iter().cycle().skip(1);
    let mut at: Vec<f64> = polygon
        .iter()
        .zip(next)
        .filter(|(a, b)| (a[1] < y) != (b[1] < y))
        .map(|(a, b)| a[0] + (b[0] - a[0]) * (y - a[1]) / (b[1] - a[1]))
        .collect();
    at.sort_by(f64::total_cmp);
    at
}

proptest! {
    /// Held to the blank's own outline: on its line every fastener is in the metal, the first and last as far from its ends
    /// as the shop sets, none farther from the next than it sets.
    #[test]
    fn every_fastener_hits_metal(
        shape in shapes(), rise in 1u32..20, ends in [ends(), ends()], hems in [any::<bool>(), any::<bool>()],
        length in 64i64 * 60..64 * 400, spacing in 64i64..64 * 20, end in 16i64..64 * 3,
    ) {
        let hem = |there: bool| there.then(|| Hem::closed(Length::sixty_fourths(32)));
        let stands = Stands::new(shape, roof(&format!("{rise}:12")), hems.map(hem));
        let cuts = ends.each_ref().map(|end| end.cut(&stands));
        let laid = [ends[0].laid(&cuts[0]), ends[1].laid(&cuts[1])];
        let run = stands.laid(Length::sixty_fourths(length), laid);
        prop_assume!(run.length > cuts[0].reach() + cuts[1].reach() + IN(7));
        let at = Length::sixty_fourths;
        let spacings = Spacings { wall: at(spacing), screws: at(spacing), end: at(end), ..Spacings::default() };
        let [left, right] = cuts.clone();
        // A tab is no part of the run.
        let tab = |end: &AnyEnd, cut: &Cut| if matches!(end, AnyEnd::Tab(_)) { cut.beyond() } else { Length::ZERO };
        let [tab_left, tab_right] = [tab(&ends[0], &left), tab(&ends[1], &right)];
        let before = left.beyond();
        let outline = Blank { finished: run.length, left, right }.outline();
        for placed in Hardware::of(&run, &spacings).lines {
            let metal = crossings(&outline, placed.track.y.mm());
            let [from, to] = metal[..] else { return Err(TestCaseError::fail(format!("{metal:?}"))) };
            let on_roof_leg = placed.track.y > stands.flat.bend_lines.last().copied().unwrap_or_default();
            let tabs = if on_roof_leg { [tab_left, tab_right] } else { [Length::ZERO; 2] };
            // From the run's left end; the outline is rounded to no more than a nanometre or two.
            let (from, to) = (from - before.mm() + tabs[0].mm(), to - before.mm() - tabs[1].mm());
            let (first, last) = (placed.positions[0].mm(), placed.positions[placed.positions.len() - 1].mm());
            prop_assert!((first - from - spacings.end.mm()).abs() < 1e-4, "{} {from} {first}", placed.line.leg.name());
            prop_assert!((to - last - spacings.end.mm()).abs() < 1e-4, "{} {to} {last}", placed.line.leg.name());
            prop_assert!(placed.positions.windows(2).all(|pair| pair[0] < pair[1] && pair[1] - pair[0] <= at(spacing)));
        }
    }

    /// A screw on a cut goes through metal: inside the run, past the cut, above the lower edge, below the bend.
    #[test]
    fn cut_screws_hit_metal(width in 1i64..40, leg in 1i64..20) {
        let stands = Stands::new(Shape::EndWall { wall_leg: IN(4), roof_leg: IN(leg) }, roof("2:12"), [None; 2]);
        let cut = Cut::gable(&stands.flat, IN(width));
        let run = stands.laid(IN(100), [LaidEnd::Gable { width: IN(width), cut: &cut }; 2]);
        for screw in of(&run).cut_screws {
            let x = if screw.x < IN(50) { screw.x } else { run.length - screw.x };
            prop_assert!(x > Length::ZERO && screw.down < IN(leg) && screw.down >= Length::ZERO);
            prop_assert!(x.in_inches() > width as f64 * screw.down.in_inches() / leg as f64);
        }
    }

    /// Every working of any run says a number and its source, and the tape's and the sealant's can be done again.
    #[test]
    fn workings_are_of_what_is_placed(shape in shapes(), ends in [ends(), ends()]) {
        let stands = Stands::new(shape, roof("4:12"), [None; 2]);
        let cuts = ends.each_ref().map(|end| end.cut(&stands));
        let laps = vec![Lap { from: IN(200), to: IN(206), joint: false }, Lap { from: IN(300), to: IN(306), joint: true }];
        let run = LaidRun { laps, ..stands.laid(IN(400), [ends[0].laid(&cuts[0]), ends[1].laid(&cuts[1])]) };
        let spacings = Spacings::default();
        let hardware = Hardware::of(&run, &spacings);
        let workings = hardware.workings(&run, &spacings, Units::In);
        prop_assert!(workings.iter().all(|working| !working.source.is_empty() && !working.result.is_empty()));
        for placed in &hardware.lines {
            let what = format!("{}, {}", placed.line.fastener, placed.line.leg.name());
            let working = workings.iter().find(|working| working.what == what).unwrap();
            let own = |name: &str| working.inputs.iter().find(|input| input.name.starts_with(name)).unwrap().value.clone();
            prop_assert_eq!(own("metal on this line from"), placed.track.from.text(Units::In));
            prop_assert_eq!(own("laps at"), "16' 8\" to 17' 2\"");
            prop_assert!(placed.line.edge == Edge::Datum || placed.line.edge == Edge::Lower);
        }
    }
}
