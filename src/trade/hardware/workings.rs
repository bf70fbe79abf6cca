//! The workings behind a run's hardware: with the inputs shown, every count and length can be done again.

use super::laid_run::{LaidEnd, LaidRun, Placed, SCREWS_ON_CUT, Track};
use super::spread::{Grid, Lap, Seams};
use super::{Hardware, Spacings, closures};
use crate::trade::length::{Length, Units};
use crate::trade::working::{COMMON_PRACTICE, Working};

/// How many laps a working writes out.
const SAID: usize = 40;

type Inputs = Vec<(String, String)>;

impl Hardware {
    /// How `self` comes about: it is the hardware of `run` with `spacings`.
    pub fn workings(&self, run: &LaidRun, spacings: &Spacings, units: Units) -> Vec<Working> {
        let of = Of { run, spacings, units };
        let mut workings: Vec<Working> = self.lines.iter().map(|placed| of.fasteners(placed)).collect();
        workings.extend((!self.cut_screws.is_empty()).then(|| of.cut_screws(self.cut_screws.len())));
        workings.extend((self.closed > Length::ZERO).then(|| of.closures(self.closed)));
        workings.extend((self.tape > Length::ZERO).then(|| of.tape(self)));
        workings.extend((self.sealant > Length::ZERO).then(|| of.sealant(self)));
        workings
    }
}

struct Of<'a> {
    run: &'a LaidRun<'a>,
    spacings: &'a Spacings,
    units: Units,
}

impl Of<'_> {
    fn say(&self, length: Length) -> String {
        length.text(self.units)
    }

    fn input(&self, name: &str, length: Length) -> (String, String) {
        (name.into(), self.say(length))
    }

    /// What all of the run's hardware goes by.
    fn shared(&self) -> Inputs {
        let run = self.run;
        let of_kind = |joint| run.laps.iter().filter(move |lap| lap.joint == joint);
        let mut inputs = vec![self.input("R, run", run.length)];
        for (count, places, joint) in [("laps", "laps at", false), ("joints", "joints at", true)] {
            inputs.push((count.into(), of_kind(joint).count().to_string()));
            let said: Vec<String> = of_kind(joint).take(SAID).map(|lap| self.lap(lap)).collect();
            let more = if of_kind(joint).count() > SAID { "; and so on" } else { "" };
            inputs.extend((!said.is_empty()).then(|| (places.into(), said.join("; ") + more)));
        }
        inputs.extend(
            ["left end", "right end"].into_iter().zip(run.ends).map(|(name, end)| (name.into(), self.end(end))),
        );
        inputs
    }

    fn lap(&self, lap: &Lap) -> String {
        format!("{} to {}", self.say(lap.from), self.say(lap.to))
    }

    fn end(&self, end: LaidEnd) -> String {
        match end {
            LaidEnd::Square => "square".into(),
            LaidEnd::Tab { depth } => format!("tab, {} deep", self.say(depth)),
            LaidEnd::Gable { width, .. } => format!("gable, {} wide", self.say(width)),
            LaidEnd::Mitre { .. } => "mitre".into(),
        }
    }

    fn metal(&self, track: Track) -> [(String, String); 2] {
        [
            self.input("metal on this line from, counted from the run's left end", track.from),
            self.input("metal on this line to", track.to),
        ]
    }

    fn fasteners(&self, placed: &Placed) -> Working {
        let Placed { line, grid, track, positions } = placed;
        let seams = |seams: Seams| [self.input("first seam", seams.first), self.input("seams every", seams.every)];
        let most = |most| self.input("s, the most apart", most);
        let mut inputs = self.shared();
        inputs.extend(self.metal(*track));
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
        inputs.push(self.input("first and last from the metal's ends", self.spacings.end));
        inputs.push(self.input("beside laps and joints", self.spacings.lap_side));
        let what = format!("{}, {}", line.fastener, line.leg.name());
        let off = self.say(track.off_edge);
        let result = format!("{}, on a line {off} from the leg's {}", positions.len(), line.edge.name());
        Working::new(&what, rule, inputs, result, line.source)
    }

    fn cut_screws(&self, count: usize) -> Working {
        Working::new(
            "screws on the gable cuts",
            "two on each angled cut, a third of its length from either end",
            [("gable cuts", (count / SCREWS_ON_CUT as usize).to_string())],
            count.to_string(),
            COMMON_PRACTICE,
        )
    }

    fn closures(&self, closed: Length) -> Working {
        let panel = self.spacings.panel;
        let legs = self.run.trim.practice().closures.len().to_string();
        Working::new(
            "closures",
            "⌈c·R / w⌉, one per panel as wide as the shop sets it; where the seams lie does not bear on it",
            [self.input("R, run", self.run.length), ("c, legs closed".into(), legs), self.input("w, panel", panel)],
            closures(closed, panel).to_string(),
            COMMON_PRACTICE,
        )
    }

    fn tape(&self, hardware: &Hardware) -> Working {
        let mut inputs = self.shared();
        for &track in &hardware.taped {
            inputs.push(self.input("taped leg", track.leg));
            inputs.extend(self.metal(track));
            for (side, up) in ["left", "right"].into_iter().zip(self.run.up_the_cuts(track)) {
                inputs.extend(up.map(|up| self.input(&format!("up the {side} cut, from this line to the bend"), up)));
            }
        }
        Working::new(
            "butyl tape",
            "each taped leg: along its line from end to end of the metal, up each gable cut, across the leg at each lap and joint",
            inputs,
            self.say(hardware.tape),
            COMMON_PRACTICE,
        )
    }

    fn sealant(&self, hardware: &Hardware) -> Working {
        let run = self.run;
        let mut inputs = self.shared();
        inputs.push(self.input("across the legs", run.across()));
        for (side, end) in ["left", "right"].into_iter().zip(run.ends) {
            match end {
                LaidEnd::Mitre { cut } => {
                    inputs.push(self.input(&format!("{side} mitre, along its cut"), run.cut_line(cut)))
                }
                LaidEnd::Tab { depth } => inputs.push(self.input(&format!("{side} tab's corner"), depth)),
                LaidEnd::Square | LaidEnd::Gable { .. } => {}
            }
        }
        if run.trim.practice().seals_upper_edge {
            inputs.push(self.input("upper edge", run.upper_edge()));
        }
        Working::new(
            "sealant path",
            "across the legs at each lap and joint; half of each mitre's cut, Σ √(leg² + what it gains across it²), for the \
             run that it meets has the other half; each tab's corner; along the upper edge where nothing covers it",
            inputs,
            self.say(hardware.sealant),
            COMMON_PRACTICE,
        )
    }
}
