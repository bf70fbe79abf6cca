//! What holds and closes a run: fasteners by their positions, closures, butyl tape, and the path of its sealant.
//!
//! What each trim takes is the table in [`practice`]; where a line's fasteners go is [`spread`]; what all runs of an order
//! add up to, as bought, is [`needs`].

pub mod laid_run;
pub mod needs;
pub mod practice;
pub mod spread;

use super::length::{Length, Units};
use super::section::Leg;
use super::working::{COMMON_PRACTICE, Working};
use laid_run::{CutScrew, LaidRun, Placed, SCREWS_ON_CUT};
use practice::Fastener;
use spread::{Grid, Seams};

/// The shop's distances. All but the offsets are positive.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Spacings {
    /// The most between fasteners on a wall leg, a deck or a fascia.
    pub wall: Length,
    /// The wall fasteners' line from the datum edge.
    pub wall_line: Length,
    /// The first and last of any line from the metal's ends.
    pub end: Length,
    /// The most between lap screws where they follow no seams.
    pub screws: Length,
    /// What stands beside a lap, from the lap; all fasteners, from an expansion joint.
    pub lap_side: Length,
    /// Closures, butyl tape and the screws through them, back from the trim's edge.
    pub setback: Length,
    /// What one panel covers; a closure is as long.
    pub panel: Length,
    /// In high wind, the most between any two: 4 to 6 in (UFGS 07612N), 3 to 6 in at ridge and rake (FEMA P-499).
    pub high_wind: Option<Length>,
}

/// Common practice, no source.
impl Default for Spacings {
    fn default() -> Self {
        Self {
            wall: Length::inches(12),
            wall_line: Length::inches(1),
            end: Length::inches(1),
            screws: Length::inches(12),
            lap_side: Length::inches(1),
            setback: Length::inches(1),
            panel: Length::inches(36),
            high_wind: None,
        }
    }
}

impl Spacings {
    /// The most between two fasteners of a kind.
    fn most(&self, fastener: Fastener) -> Length {
        let most = match fastener {
            Fastener::LapScrew => self.screws,
            Fastener::Wall | Fastener::Deck | Fastener::Face => self.wall,
        };
        self.high_wind.map_or(most, |high_wind| high_wind.min(most))
    }
}

/// What one run takes.
#[derive(Debug, Clone, PartialEq)]
pub struct Hardware {
    pub lines: Vec<Placed>,
    pub cut_screws: Vec<CutScrew>,
    /// The run's length once for each leg that is closed.
    pub closed: Length,
    /// What one closure covers.
    pub closure: Length,
    pub tape: Length,
    /// The path of sealant beads: across every lap and mitre, along an open upper edge.
    pub sealant: Length,
    pub workings: Vec<Working>,
}

impl Hardware {
    pub fn of(run: &LaidRun, spacings: &Spacings, units: Units) -> Self {
        let practice = run.trim.practice();
        let lines: Vec<Placed> = practice.lines.iter().map(|&line| run.place(line, spacings)).collect();
        let taped: Vec<Leg> = practice.tape.iter().filter_map(|&name| run.leg(name)).collect();
        let cut_screws: Vec<CutScrew> = taped.iter().flat_map(|&leg| run.cut_screws(leg, spacings)).collect();
        let tape: Length = taped.iter().map(|leg| run.tape(leg.width)).sum();
        let closed = run.length * practice.closures.len() as i64;
        let sealant = run.bead(practice.seals_upper_edge);

        let say = |length: Length| length.text(units);
        let laps = run.laps.iter().filter(|lap| !lap.joint).count();
        let shared = || {
            vec![
                ("R, run", say(run.length)),
                ("laps", laps.to_string()),
                ("joints", (run.laps.len() - laps).to_string()),
                ("left end", run.ends[0].text(units)),
                ("right end", run.ends[1].text(units)),
            ]
        };
        let mut workings: Vec<Working> =
            lines.iter().map(|placed| fastener_working(placed, spacings, shared(), units)).collect();
        if !cut_screws.is_empty() {
            workings.push(Working::new(
                "screws on the gable cuts",
                "two on each angled cut, a third of its length from either end",
                [("gable cuts", (cut_screws.len() / SCREWS_ON_CUT as usize).to_string())],
                cut_screws.len().to_string(),
                COMMON_PRACTICE,
            ));
        }
        if closed > Length::ZERO {
            workings.push(Working::new(
                "closures",
                "⌈c·R / w⌉, one per panel width",
                [
                    ("R, run", say(run.length)),
                    ("c, legs closed", practice.closures.len().to_string()),
                    ("w, panel", say(spacings.panel)),
                ],
                closures(closed, spacings.panel).to_string(),
                COMMON_PRACTICE,
            ));
        }
        if tape > Length::ZERO {
            workings.push(Working::new(
                "butyl tape",
                "each taped leg: along its edge, along each gable cut √(width² + leg²), across the leg at each lap and joint",
                shared().into_iter().chain(taped.iter().map(|leg| ("taped leg", say(leg.width)))),
                say(tape),
                COMMON_PRACTICE,
            ));
        }
        if sealant > Length::ZERO {
            workings.push(Working::new(
                "sealant path",
                "across the legs at each lap, joint and left mitre; along the upper edge where nothing covers it",
                shared().into_iter().chain([("across the legs", say(run.across()))]),
                say(sealant),
                COMMON_PRACTICE,
            ));
        }
        Self { lines, cut_screws, closed, closure: spacings.panel, tape, sealant, workings }
    }

    /// How many of `fastener` the run takes.
    pub fn count(&self, fastener: Fastener) -> usize {
        let on_lines: usize = self
            .lines
            .iter()
            .filter(|placed| placed.line.fastener == fastener)
            .map(|placed| placed.positions.len())
            .sum();
        on_lines + if fastener == Fastener::LapScrew { self.cut_screws.len() } else { 0 }
    }

    /// The run's closures, were it bought for alone.
    pub fn closures(&self) -> u64 {
        closures(self.closed, self.closure)
    }
}

/// One per panel width, rounded up.
fn closures(closed: Length, panel: Length) -> u64 {
    closed.nm().unsigned_abs().div_ceil(panel.nm().unsigned_abs())
}

/// Where one line's count comes from; `inputs` are what all of the run's hardware goes by.
fn fastener_working(
    placed: &Placed,
    spacings: &Spacings,
    mut inputs: Vec<(&'static str, String)>,
    units: Units,
) -> Working {
    let Placed { line, grid, off_edge, positions } = placed;
    let say = |length: Length| length.text(units);
    let seams = |seams: Seams| [("first seam", say(seams.first)), ("seams every", say(seams.every))];
    let most = |most: Length| ("s, the most apart", say(most));
    let rule = match *grid {
        Grid::Evenly(widest) => {
            inputs.push(most(widest));
            "⌈span / s⌉ even gaps between the ends, laps and joints; none through a joint"
        }
        Grid::Seams(every) => {
            inputs.extend(seams(every));
            "one on every high seam, at the ends and beside each lap; none through a joint"
        }
        Grid::SeamsAndBetween(every, widest) => {
            inputs.extend(seams(every));
            inputs.push(most(widest));
            "⌈span / s⌉ even gaps between the high seams, the ends and beside each lap; none through a joint"
        }
    };
    inputs.extend([("ends", say(spacings.end)), ("beside laps and joints", say(spacings.lap_side))]);
    let line_words = format!("on a line {} from the {}", say(*off_edge), line.edge.name());
    let what = format!("{}, {}", line.fastener, line.leg.name());
    Working::new(&what, rule, inputs, format!("{}, {line_words}", positions.len()), line.source)
}

#[cfg(test)]
mod tests {
    use super::laid_run::EndCut;
    use super::spread::Lap;
    use super::*;
    use crate::trade::section::LegName;
    use crate::trade::trim::Trim;
    use proptest::prelude::*;

    const IN: fn(i64) -> Length = Length::inches;

    fn end_wall(length: i64) -> LaidRun {
        LaidRun {
            trim: Trim::EndWall,
            length: IN(length),
            laps: vec![],
            ends: [EndCut::Square; 2],
            seams: None,
            legs: vec![Leg { name: LegName::WallLeg, width: IN(4) }, Leg { name: LegName::RoofLeg, width: IN(5) }],
        }
    }

    fn of(run: &LaidRun) -> Hardware {
        Hardware::of(run, &Spacings::default(), Units::In)
    }

    /// Common practice, no source: 12 in o.c., one closure per panel, tape along, two screws on an angled cut.
    #[test]
    fn an_end_wall_between_gables() {
        let run = LaidRun { ends: [EndCut::Gable { width: IN(12) }; 2], ..end_wall(122) };
        let hardware = of(&run);
        assert_eq!(hardware.count(Fastener::Wall), 11);
        // The roof leg's lower edge begins past the cuts: 13 to 109, eight gaps of 12; and two on each cut.
        assert_eq!(hardware.lines[1].positions.first(), Some(&IN(13)));
        assert_eq!(hardware.count(Fastener::LapScrew), 9 + 4);
        assert_eq!(hardware.closures(), 4);
        // 98 in along, and two cuts of √(12² + 5²) = 13.
        assert_eq!(hardware.tape, IN(98 + 26));
        assert_eq!(hardware.sealant, Length::ZERO);
        // 12-5-13: off the cut by 1 in is 5/13 along and 12/13 up.
        let first = hardware.cut_screws[0];
        assert_eq!(first.x, Length::from_inches(4.0 + 5.0 / 13.0));
        assert_eq!(first.down, Length::from_inches(5.0 / 3.0 - 12.0 / 13.0));
        assert_eq!(hardware.cut_screws[2].x, run.length - first.x);
    }

    #[test]
    fn a_reglet_is_sealed_along_its_upper_edge_and_across_its_laps() {
        let legs = vec![Leg { name: LegName::WallLeg, width: IN(2) }, Leg { name: LegName::Face, width: IN(3) }];
        let laps =
            vec![Lap { from: IN(60), to: IN(66), joint: false }, Lap { from: IN(120), to: IN(126), joint: true }];
        let hardware = of(&LaidRun { trim: Trim::Reglet, laps, legs, ..end_wall(180) });
        assert_eq!(hardware.sealant, IN(180 + 2 * 5));
        assert_eq!((hardware.tape, hardware.closures(), hardware.count(Fastener::LapScrew)), (Length::ZERO, 0, 0));
    }

    #[test]
    fn a_mitre_shortens_the_tape_and_is_sealed_with_the_run_to_its_right() {
        let laps = vec![Lap { from: IN(60), to: IN(66), joint: false }];
        let mitre = EndCut::Mitre { back: IN(2) };
        let left = of(&LaidRun { laps, ends: [mitre, EndCut::Square], ..end_wall(120) });
        // 118 in along and 5 in across the lap; beads of 9 in across the lap and the mitre.
        assert_eq!((left.tape, left.sealant), (IN(118 + 5), IN(2 * 9)));
        assert_eq!(left.lines[1].positions.first(), Some(&IN(3)));
        assert_eq!(of(&LaidRun { ends: [EndCut::Square, mitre], ..end_wall(120) }).sealant, Length::ZERO);
    }

    #[test]
    fn a_ridge_is_closed_on_both_slopes() {
        let legs = [LegName::FarLeg, LegName::NearLeg].map(|name| Leg { name, width: IN(6) }).to_vec();
        let hardware = of(&LaidRun { trim: Trim::Ridge, legs, ..end_wall(100) });
        assert_eq!((hardware.closed, hardware.closures(), hardware.tape), (IN(200), 6, IN(200)));
    }

    #[test]
    fn high_wind_fills_between_the_seams() {
        let run = LaidRun { seams: Some(Seams { first: IN(8), every: IN(16) }), ..end_wall(100) };
        let spacings = Spacings { high_wind: Some(IN(6)), ..Spacings::default() };
        for placed in Hardware::of(&run, &spacings, Units::In).lines {
            assert!(placed.positions.windows(2).all(|pair| pair[1] - pair[0] <= IN(6)));
        }
        assert_eq!(of(&run).lines[1].positions.len(), 6 + 2);
    }

    #[test]
    fn every_line_lies_on_a_leg_and_says_its_source() {
        use Trim::*;
        for trim in [EndWall, Reglet, SideWall, Gable, Eave, Ridge, Custom] {
            let hardware = of(&LaidRun { trim, ..end_wall(100) });
            assert!(!hardware.lines.is_empty());
            assert!(hardware.workings.iter().all(|working| !working.source.is_empty() && !working.result.is_empty()));
        }
    }

    proptest! {
        /// A screw on a cut goes through metal: inside the run, past the cut, above the lower edge, below the bend.
        #[test]
        fn cut_screws_hit_metal(width in 1i64..40, leg in 1i64..20) {
            let run = LaidRun {
                ends: [EndCut::Gable { width: IN(width) }; 2],
                legs: vec![Leg { name: LegName::RoofLeg, width: IN(leg) }],
                ..end_wall(100)
            };
            for screw in of(&run).cut_screws {
                let x = if screw.x < IN(50) { screw.x } else { run.length - screw.x };
                prop_assert!(x > Length::ZERO && screw.down < IN(leg) && screw.down >= Length::ZERO);
                prop_assert!(x.in_inches() > width as f64 * screw.down.in_inches() / leg as f64);
            }
        }
    }
}
