//! What an order's runs need, as bought. What comes in packs is added up exactly and rounded up once, for the order.

use std::collections::BTreeMap;

use serde::{Deserialize, Serialize};

use super::practice::Fastener;
use super::{Hardware, closures};
use crate::trade::length::{Length, Units};
use crate::trade::sealant::Sealing;
use crate::trade::working::{COMMON_PRACTICE, Working};

/// One line of what to buy.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct Need {
    /// Such as `butyl tape`.
    pub what: String,
    /// As bought.
    pub count: u64,
    /// What is counted, one of it: `roll of 50' 0"`.
    pub unit: String,
    /// Before rounding up.
    pub exact: String,
    pub working: Working,
}

/// What runs need together, exactly.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Total {
    fasteners: BTreeMap<Fastener, u64>,
    /// The length to close, by what one closure covers.
    closed: BTreeMap<Length, Length>,
    tape: Length,
    sealant: Length,
}

impl Total {
    pub fn add(&mut self, run: &Hardware) {
        for fastener in [Fastener::Wall, Fastener::LapScrew, Fastener::Deck, Fastener::Face] {
            *self.fasteners.entry(fastener).or_default() += run.count(fastener) as u64;
        }
        *self.closed.entry(run.closure).or_default() += run.closed;
        self.tape += run.tape;
        self.sealant += run.sealant;
    }

    /// The buying list, without what is not needed. `tape_roll` is positive.
    pub fn needs(&self, tape_roll: Length, sealing: &Sealing, units: Units) -> Vec<Need> {
        let fasteners = self.fasteners.iter().map(|(&fastener, &count)| fasteners(fastener, count));
        let closures = self.closed.iter().map(|(&panel, &closed)| closures_for(panel, closed, units));
        let all =
            fasteners.chain(closures).chain([tape(self.tape, tape_roll, units), sealing.need(self.sealant, units)]);
        all.filter(|need| need.count > 0).collect()
    }
}

impl<'a> FromIterator<&'a Hardware> for Total {
    fn from_iter<I: IntoIterator<Item = &'a Hardware>>(runs: I) -> Self {
        let mut total = Self::default();
        runs.into_iter().for_each(|run| total.add(run));
        total
    }
}

fn fasteners(fastener: Fastener, count: u64) -> Need {
    let what = fastener.to_string();
    let rule = "the sum of all runs' positions";
    let working = Working::new(&what, rule, [("positions", count.to_string())], count.to_string(), COMMON_PRACTICE);
    Need { what, count, unit: "piece".into(), exact: count.to_string(), working }
}

fn closures_for(panel: Length, closed: Length, units: Units) -> Need {
    let count = closures(closed, panel);
    let (panel, exact) = (panel.text(units), closed.text(units));
    let inputs = [("L, closed length of all runs", exact.clone()), ("w, panel", panel.clone())];
    let working = Working::new("closures", "⌈L / w⌉", inputs, count.to_string(), COMMON_PRACTICE);
    Need { what: "closures".into(), count, unit: format!("piece for a panel of {panel}"), exact, working }
}

fn tape(length: Length, roll: Length, units: Units) -> Need {
    let count = length.nm().max(0).unsigned_abs().div_ceil(roll.nm().unsigned_abs());
    let (roll, exact) = (roll.text(units), length.text(units));
    let inputs = [("L, tape of all runs", exact.clone()), ("r, roll", roll.clone())];
    let working = Working::new("rolls of butyl tape", "⌈L / r⌉", inputs, count.to_string(), COMMON_PRACTICE);
    Need { what: "butyl tape".into(), count, unit: format!("roll of {roll}"), exact, working }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::trade::bending::Rule;
    use crate::trade::hardware::Spacings;
    use crate::trade::hardware::laid_run::{LaidEnd, LaidRun};
    use crate::trade::sealant::{Bead, Volume};
    use crate::trade::section::{Bend, Leg, LegName, Section, Turn};
    use crate::trade::trim::Trim;
    use proptest::prelude::*;

    fn run(trim: Trim, sixty_fourths: i64) -> Hardware {
        let leg = |name, inches| Leg { name, width: Length::inches(inches) };
        let thickness = Length::millimetres(1);
        let section = Section {
            legs: vec![leg(LegName::WallLeg, 4), leg(LegName::RoofLeg, 5)],
            bends: vec![Bend { through_deg: 80.0, turn: Turn::Up }],
            datum_hem: None,
            lower_hem: None,
            thickness,
            inside_radius: thickness,
        };
        let run = LaidRun {
            trim,
            length: Length::sixty_fourths(sixty_fourths),
            laps: vec![],
            ends: [LaidEnd::Square; 2],
            seams: None,
            section: &section,
            flat: &section.unfold(Rule::Din6935),
        };
        Hardware::of(&run, &Spacings::default())
    }

    fn sealing() -> Sealing {
        let quarter = Length::sixty_fourths(16);
        let bead = Bead::Rectangle { width: quarter, height: quarter };
        Sealing { bead, cartridge: Volume::fluid_ounces(10.1), waste_hundredths: 0 }
    }

    fn count(needs: &[Need], what: &str) -> u64 {
        needs.iter().filter(|need| need.what == what).map(|need| need.count).sum()
    }

    #[test]
    fn packs_round_up_once_for_the_order() {
        let runs = [run(Trim::EndWall, 64 * 300), run(Trim::EndWall, 64 * 300)];
        let needs = runs.iter().collect::<Total>().needs(Length::inches(600), &sealing(), Units::In);
        // Two runs of half a roll: one roll. 600 in of 36 in panels: 17, where 9 each would be 18.
        assert_eq!((count(&needs, "butyl tape"), count(&needs, "closures")), (1, 17));
        assert_eq!(count(&needs, "wall fasteners"), 2 * 26);
        assert!(needs.iter().all(|need| need.what != "sealant"));
    }

    proptest! {
        #[test]
        fn the_order_is_the_rounded_sum(lengths in prop::collection::vec(64i64..60_000, 1..12)) {
            let runs: Vec<Hardware> = lengths.iter().map(|&length| run(Trim::EndWall, length)).collect();
            let needs = runs.iter().collect::<Total>().needs(Length::inches(600), &sealing(), Units::In);
            let sum: i64 = lengths.iter().sum();
            prop_assert_eq!(count(&needs, "butyl tape") as i64, (sum + 600 * 64 - 1) / (600 * 64));
            prop_assert_eq!(count(&needs, "closures") as i64, (sum + 36 * 64 - 1) / (36 * 64));
            let each: usize = runs.iter().map(|run| run.count(Fastener::Wall)).sum();
            prop_assert_eq!(count(&needs, "wall fasteners"), each as u64);
        }
    }
}
