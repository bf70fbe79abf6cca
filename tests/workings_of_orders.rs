//! The workings of a run's hardware and movement, of what to buy and of the load hold: each rule done again with the inputs it
//! shows gives the number it shows, and the number the plan goes by. Values are read back from the words people see.

#[path = "support/any_order.rs"]
#[allow(dead_code)]
mod any_order;
#[path = "support/every_trim.rs"]
mod every_trim;

use std::collections::HashMap;
use std::sync::Arc;

use brakeside::order::plan::{Goes, Piece, PieceEnd, Plan};
use brakeside::order::sheet::{Load, Need, RunSheet};
use brakeside::order::shop::Shop;
use brakeside::order::{Trim, parse, planner};
use brakeside::trade::length::{Length, Units};
use brakeside::trade::working::Working;
use proptest::prelude::*;
use serde_json::Value;

fn plan(order: &Value) -> Option<Plan> {
    let (order, _) = parse::parse(order.to_string().as_bytes(), &Arc::new(Shop::default())).ok()?;
    Some(planner::plan(&order).unwrap())
}

fn value<'a>(working: &'a Working, name: &str) -> &'a str {
    let input = working.inputs.iter().find(|input| input.name.starts_with(name));
    &input.unwrap_or_else(|| panic!("no {name} in {working:?}")).value
}

/// A length as the working says it, in mm.
fn mm(working: &Working, name: &str) -> f64 {
    read(value(working, name))
}

fn read(text: &str) -> f64 {
    Length::parse(text, Units::In).unwrap_or_else(|error| panic!("{error}")).mm()
}

/// Of what may lie past the run's left end.
fn read_signed(text: &str) -> f64 {
    text.strip_prefix('-').map_or_else(|| read(text), |past| -read(past))
}

/// The number a text opens with.
fn number(text: &str) -> f64 {
    text.split([' ', ',', '°']).next().unwrap().parse().unwrap_or_else(|_| panic!("{text}"))
}

#[track_caller]
fn agree(shown: f64, again: f64, tolerance: f64, working: &Working) {
    assert!((shown - again).abs() <= tolerance + 1e-9, "{shown}, done again {again}: {working:#?}");
}

/// A count rounded up from a length that the tape tells no finer than this may be one off where it is whole.
#[track_caller]
fn rounds_up(count: f64, exact: f64, finest: f64, working: &Working) {
    let [least, most] = [exact - finest, exact + finest].map(f64::ceil);
    assert!((least..=most).contains(&count), "{count}, done again {exact}: {working:#?}");
}

/// Half the least a length's text tells, in mm.
fn half_tape(units: Units) -> f64 {
    if units == Units::In { 25.4 / 128.0 } else { 0.0005 }
}

fn run(sheet: &RunSheet, units: Units) {
    let laps = sheet.laps.iter().filter(|lap| !lap.joint).count();
    let joints = sheet.laps.len() - laps;
    for shown in &sheet.working {
        if shown.inputs.iter().any(|input| input.name == "laps") {
            assert_eq!((number(value(shown, "laps")), number(value(shown, "joints"))), (laps as f64, joints as f64));
            agree(mm(shown, "R"), sheet.length.mm, half_tape(units), shown);
        }
        if let Some(line) = sheet.fasteners.iter().find(|line| shown.what == format!("{}, {}", line.what, line.leg)) {
            agree(number(&shown.result), line.at.len() as f64, 0.0, shown);
            if shown.rule.starts_with("⌈span / s⌉ even gaps between the ends") {
                let most = mm(shown, "s, the most apart");
                let gaps = line.at.windows(2).map(|pair| (pair[0].mm, pair[1].mm - pair[0].mm));
                for (at, gap) in gaps {
                    // Only across a joint may two lie farther apart.
                    let over_joint = sheet.laps.iter().any(|lap| lap.joint && at < lap.from.mm && lap.to.mm < at + gap);
                    assert!(gap <= most + 1e-6 || over_joint, "{gap} apart: {shown:#?}");
                }
            }
        }
        match shown.what.as_str() {
            "screws on the gable cuts" => {
                agree(number(&shown.result), 2.0 * number(value(shown, "gable cuts")), 0.0, shown);
                assert_eq!(sheet.cut_screws.len() as f64, number(&shown.result));
            }
            "closures" => {
                let exact = number(value(shown, "c, legs")) * mm(shown, "R") / mm(shown, "w, panel");
                rounds_up(number(&shown.result), exact, 1e-3, shown);
            }
            "butyl tape" => {
                let all = |name: &str| -> Vec<f64> {
                    let inputs = shown.inputs.iter().filter(|input| input.name.starts_with(name));
                    inputs.map(|input| read_signed(&input.value)).collect()
                };
                let (legs, from, to) = (all("taped leg"), all("metal on this line from"), all("metal on this line to"));
                let laps = (laps + joints) as f64;
                let along: f64 = to.iter().zip(from).map(|(to, from)| to - from).sum();
                let across: f64 = legs.iter().map(|leg| leg * laps).sum();
                let again = along + across + all("up the ").iter().sum::<f64>();
                agree(read(&shown.result), again, 2.0 * (laps + 4.0) * half_tape(units), shown);
            }
            "sealant path" => {
                let across = mm(shown, "across the legs") * (laps + joints) as f64;
                let all = |ends_in: &str| -> f64 {
                    let inputs = shown.inputs.iter().filter(|input| input.name.ends_with(ends_in));
                    inputs.map(|input| read(&input.value)).sum()
                };
                let again = across + all("mitre, along its cut") / 2.0 + all("tab's corner") + all("upper edge");
                agree(read(&shown.result), again, ((laps + joints) as f64 + 5.0) * half_tape(units), shown);
            }
            "thermal movement" => {
                let (alpha, length, rise) =
                    (number(value(shown, "α")), mm(shown, "L, longest"), number(value(shown, "ΔT")));
                let joints = || sheet.laps.iter().filter(|lap| lap.joint);
                let ends = joints().map(|lap| lap.to.mm).chain([sheet.length.mm]);
                let starts = std::iter::once(0.0).chain(joints().map(|lap| lap.from.mm));
                let longest = ends.zip(starts).map(|(end, start)| end - start).fold(0.0, f64::max);
                agree(length, longest, half_tape(units), shown);
                // The coefficient is shown to a tenth, the rise to a whole degree.
                let again = alpha * 1e-6 * length * rise;
                agree(read(&shown.result), again, again * (0.05 / alpha + 0.5 / rise) + 0.002, shown);
            }
            "expansion joints" => {
                let (run, interval) = (mm(shown, "R"), mm(shown, "I, joint"));
                agree(number(&shown.result), joints as f64, 0.0, shown);
                // One at every interval before the end; one more where more than half an interval is left.
                let stepped = if run <= interval { 0.0 } else { (run / interval - 1e-9).floor() };
                let rest = run - stepped * interval;
                let more = run > interval && rest > interval / 2.0;
                let near_half = (rest - interval / 2.0).abs() < 2.0 * half_tape(units);
                if !near_half && (run - interval).abs() > half_tape(units) {
                    agree(number(&shown.result), stepped + f64::from(u8::from(more)), 0.0, shown);
                }
            }
            _ => {}
        }
    }
}

fn need(need: &Need, plan: &Plan) {
    let shown = &need.working;
    agree(number(&shown.result), need.count as f64, 0.0, shown);
    let positions = |what: &str| {
        let of = |run: &RunSheet| {
            run.fasteners.iter().filter(|line| line.what == what).map(|line| line.at.len()).sum::<usize>()
        };
        plan.runs.iter().map(of).sum::<usize>()
    };
    match need.what.as_str() {
        "closures" => rounds_up(need.count as f64, mm(shown, "L") / mm(shown, "w"), 1e-3, shown),
        "butyl tape" => rounds_up(need.count as f64, mm(shown, "L") / mm(shown, "r"), 1e-3, shown),
        "sealant" => {
            let sides: Vec<f64> = value(shown, "A").split(" × ").map(read).collect();
            let waste = 1.0 + number(value(shown, "waste")) / 100.0;
            // 1 US fl oz = 29.5735295625 mL exactly.
            let said = value(shown, "V");
            let mm3 = number(said) * if said.ends_with("fl oz") { 29_573.529_562_5 } else { 1000.0 };
            let exact = mm(shown, "L") * sides[0] * sides[1] * waste / mm3;
            rounds_up(need.count as f64, exact, exact * 1e-3 + 1e-3, shown);
            let goes = mm(shown, "one cartridge goes");
            agree(goes, mm3 / (sides[0] * sides[1] * waste), goes * 1e-3, shown);
        }
        what => {
            let cut = if what == "lap screws" { plan.runs.iter().map(|run| run.cut_screws.len()).sum() } else { 0 };
            agree(need.count as f64, (positions(what) + cut) as f64, 0.0, shown);
        }
    }
}

fn load(load: &Load, plan: &Plan) {
    for shown in &load.working {
        match shown.what.as_str() {
            "stacking order" => {
                // A long stack's working breaks off.
                let (said, whole) = match shown.result.strip_suffix(", and so on") {
                    Some(said) => (said, false),
                    None => (shown.result.as_str(), true),
                };
                let said: Vec<&str> = said.split(", ").collect();
                assert!(load.stack.iter().zip(&said).all(|(mark, said)| mark == said), "{shown:#?}");
                assert!(if whole { said.len() == load.stack.len() } else { said.len() >= 40 }, "{shown:#?}");
                // The last installed lies lowest: the later trim, the later run, and of a run the later laid, which goes over
                // the one before.
                let stage = |trim: Trim| match trim {
                    Trim::Eave => 0,
                    Trim::EndWall | Trim::SideWall | Trim::Gable | Trim::Custom => 1,
                    Trim::Reglet => 2,
                    Trim::Ridge => 3,
                };
                let pieces: HashMap<&str, &Piece> =
                    plan.pieces.iter().map(|piece| (piece.mark.as_str(), piece)).collect();
                for pair in load.stack.windows(2) {
                    let (below, above) = (pieces[pair[0].as_str()], pieces[pair[1].as_str()]);
                    let over = |end: &PieceEnd| match end {
                        PieceEnd::Lap { goes: Goes::Over, neighbour, .. } => *neighbour == above.mark,
                        _ => false,
                    };
                    let same_run = below.run == above.run && (over(&below.left) || over(&below.right));
                    let key = |piece: &Piece| (stage(piece.trim), piece.run);
                    assert!(key(below) > key(above) || same_run, "{} on {}", above.mark, below.mark);
                }
            }
            "mass of the load" => {
                agree(number(&shown.result), plan.pieces.iter().map(|piece| piece.mass_kg).sum(), 0.05, shown);
            }
            "tie-downs" => {
                let (feet, lb) = (mm(shown, "L") / 304.8, load.mass_kg / 0.45359237);
                let tens = (feet / 10.0 - 1e-9).ceil();
                let again = if feet <= 5.0 && lb <= 1100.0 { 1.0 } else { 1.0 + tens };
                agree(number(&shown.result), again, 0.0, shown);
                agree(f64::from(load.tie_downs_unblocked), again, 0.0, shown);
            }
            "overhang" => agree(
                read(shown.result.split(", ").next().unwrap()),
                mm(shown, "longest") - mm(shown, "bed"),
                0.5,
                shown,
            ),
            _ => {}
        }
    }
    for heavy in &load.lifts {
        let [limit, people] = &heavy.working[..] else { panic!("{:#?}", heavy.working) };
        let (h, v, d) = (mm(limit, "H, ankles") / 25.4, mm(limit, "V, hands") / 25.4, mm(limit, "D, hands") / 25.4);
        // NIOSH 94-110: 51 lb · 10/H · (1 − .0075·|V − 30|) · (.82 + 1.8/D) · …
        let rest: f64 = ["AM", "FM", "CM"].map(|name| number(value(limit, name))).iter().product();
        let lb = 51.0 * (10.0 / h) * (1.0 - 0.0075 * (v - 30.0).abs()) * (0.82 + 1.8 / d) * rest;
        agree(number(&limit.result), lb * 0.45359237, 0.06, limit);
        let (mass, most) = (number(value(people, "mass")), number(value(people, "limit")));
        let by_mass = (mass / most).ceil();
        let long = mm(people, "length") >= mm(people, "two people from") - 1e-6;
        let again = by_mass.max(if long { 2.0 } else { 1.0 });
        assert!(
            (number(&people.result) - again).abs() <= f64::from(u8::from((mass / most).fract() < 0.02)),
            "{people:#?}"
        );
        assert_eq!(number(&people.result), f64::from(heavy.people));
    }
}

fn hold(plan: &Plan) {
    plan.runs.iter().for_each(|sheet| run(sheet, plan.units));
    let sheet = plan.sheet.as_ref().unwrap();
    sheet.buy.iter().for_each(|of| need(of, plan));
    load(sheet.load.as_ref().unwrap(), plan);
}

proptest! {
    #![proptest_config(ProptestConfig { failure_persistence: None, ..ProptestConfig::with_cases(300) })]

    #[test]
    fn workings_of_any_order_hold(order in any_order::any_order()) {
        // A kilometre of run takes more tape than a length can say.
        if let Some(plan) = plan(&order).filter(|_| !order.to_string().contains("1000 m")) {
            hold(&plan);
        }
    }
}

#[test]
fn workings_of_every_trims_order_hold() {
    for text in every_trim::ORDERS {
        hold(&plan(&serde_json::from_str(text).unwrap()).unwrap());
    }
}
