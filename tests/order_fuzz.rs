//! Any order is planned soundly or refused for faults that point into it, and nothing panics.
//!
//! To look for longer: `PROPTEST_CASES=100000 cargo test --release --test order_fuzz`. An order that fails is printed; put it
//! into `tests/corpus/` so that it is tried again ever after.

#[path = "support/any_order.rs"]
mod any_order;
#[path = "support/sound.rs"]
mod sound;

use std::fs;
use std::path::Path;
use std::sync::Arc;
use std::time::{Duration, Instant};

use any_order::{any_value, mangle, points_into};
use brakeside::order::shop::Shop;
use brakeside::order::{parse, planner};
use proptest::prelude::*;
use serde_json::Value;

/// Far above what any order of a few runs takes, unoptimized, on a slow machine.
const SOON: Duration = Duration::from_secs(60);

/// Plans an order and holds it to what is sound, or holds its faults to the order; tells whether it was made.
fn answered(order: &Value) -> bool {
    let start = Instant::now();
    let made = match parse::parse(&serde_json::to_vec(order).unwrap(), &Arc::new(Shop::default())) {
        Ok((checked, kept)) => {
            assert_eq!(&kept, order);
            let plan = planner::plan(&checked).unwrap_or_else(|faults| panic!("passed the checks, but:\n{faults}"));
            sound::sound(&checked, &plan);
            true
        }
        Err(faults) => {
            assert!(!faults.0.is_empty());
            for fault in &faults.0 {
                assert!(points_into(order, &fault.pointer), "{fault}");
                assert!(fault.detail.len() > 10, "{fault}");
            }
            false
        }
    };
    let took = start.elapsed();
    assert!(took < SOON, "took {took:?}");
    if took > Duration::from_secs(1) {
        println!("took {took:?}: {order}");
    }
    made
}

fn cases(default: u32) -> ProptestConfig {
    // What the environment says goes before what is said here.
    let asked = std::env::var("PROPTEST_CASES").ok().and_then(|cases| cases.parse().ok());
    ProptestConfig { failure_persistence: None, ..ProptestConfig::with_cases(asked.unwrap_or(default)) }
}

proptest! {
    #![proptest_config(cases(1000))]

    #[test]
    fn any_order_is_planned_soundly_or_refused(order in any_order::any_order()) {
        answered(&order);
    }

    #[test]
    fn so_is_any_order_mangled_on_its_way(
        order in any_order::any_order(),
        mangled in prop::collection::vec((any::<prop::sample::Index>(), any_value()), 1..4),
    ) {
        let mut order = order;
        mangle(&mut order, mangled);
        answered(&order);
    }
}

/// Orders kept because they once failed, or stand at a bound: the name says which it is, and whether it can be made.
#[test]
fn the_corpus() {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/corpus");
    let mut tried = 0;
    for file in fs::read_dir(folder).unwrap() {
        let path = file.unwrap().path();
        let name = path.file_name().unwrap().to_string_lossy().into_owned();
        let order: Value = serde_json::from_slice(&fs::read(&path).unwrap()).unwrap();
        println!("{name}");
        let made = answered(&order);
        assert_eq!(made, !name.starts_with("refused-"), "{name}");
        tried += 1;
    }
    assert!(tried > 8, "{tried}");
}

/// The generator is worth its name: of any orders about a third can be made, of every trim and end.
#[test]
fn the_generator_reaches_everything() {
    use proptest::strategy::ValueTree;
    use proptest::test_runner::TestRunner;
    let mut runner = TestRunner::deterministic();
    let strategy = any_order::any_order();
    let (mut made, mut seen) = (0, std::collections::BTreeSet::new());
    for _ in 0..400 {
        let order = strategy.new_tree(&mut runner).unwrap().current();
        if !answered(&order) {
            continue;
        }
        made += 1;
        for run in order["runs"].as_array().unwrap() {
            let trim = run["trim"].as_str().unwrap();
            seen.insert(trim.to_owned());
            let ends = [&run["left"], &run["right"]].into_iter().filter_map(|end| end["end"].as_str());
            seen.extend(ends.map(|end| format!("{trim} {end}")));
        }
    }
    println!("{made} of 400 can be made; {seen:?}");
    let ends =
        [("end-wall", 4), ("reglet", 3), ("side-wall", 3), ("gable", 2), ("eave", 2), ("ridge", 2), ("custom", 2)];
    for (trim, ends) in ends {
        assert_eq!(
            seen.iter().filter(|seen| seen.split(' ').next() == Some(trim)).count(),
            ends + 1,
            "{trim}: {seen:?}"
        );
    }
    assert!(made > 80, "{made}");
}
