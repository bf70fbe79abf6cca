//! Orders that no measurer sends: huge, endless, mangled on the way. Each is answered, and soon.

#[path = "support/any_order.rs"]
#[allow(dead_code)]
mod any_order;

#[path = "support/example.rs"]
mod example;

use std::time::{Duration, Instant};

use any_order::{any_value, mangle, points_into};
use brakeside::order::planner;
use example::{example, parse, parse_value, pointers};
use proptest::prelude::*;
use serde_json::{Value, json};

/// Runs `work` and holds it to a time far above what it takes, unoptimized, on a slow machine.
fn within<T>(most: Duration, work: impl FnOnce() -> T) -> T {
    let start = Instant::now();
    let done = work();
    let took = start.elapsed();
    println!("took {took:?}");
    assert!(took < most, "took {took:?}");
    done
}

#[test]
fn hostile_bodies_are_refused_fast() {
    let big = 2_000_000;
    let bodies = [
        "[".repeat(big),
        "{\"a\":".repeat(big / 5),
        format!("{{\"runs\":[{}1]}}", "1,".repeat(big / 2)),
        format!("{{\"{}\":1}}", "~".repeat(big)),
        format!("{{\"order\":\"{}\"}}", "𝟘".repeat(big / 4)),
        format!("{{{}\"z\":0}}", (0..big / 12).map(|i| format!("\"lay{i:06}\":1,")).collect::<String>()),
    ];
    for body in bodies {
        within(Duration::from_secs(60), || parse(body.as_bytes())).unwrap_err();
    }
}

fn many_runs(count: usize, length: &str) -> Value {
    let runs: Vec<_> = (0..count)
        .map(|i| json!({ "wall": format!("W{i}"), "trim": "end-wall", "length": length, "pitch": "2:12" }))
        .collect();
    let mut order = example();
    order["runs"] = json!(runs);
    order
}

#[test]
fn ten_thousand_runs_and_no_more() {
    let order = within(Duration::from_secs(60), || parse_value(&many_runs(10_000, "20'"))).unwrap();
    assert_eq!(order.runs.len(), 10_000);
    assert_eq!(pointers(&parse_value(&many_runs(10_001, "20'")).unwrap_err()), ["/runs"]);
}

/// 5 pieces a run (the worked run of 42' 7-1/4"): 10,000 of them are the most there may be. 1 km is 346 pieces:
/// (1 000 000 − 152.4) mm / (3048 − 152.4) mm = 345.3.
#[test]
fn no_more_pieces_than_a_shop_can_cut() {
    let mut order = many_runs(10_000, "42' 7-1/4\"");
    within(Duration::from_secs(60), || parse_value(&order)).unwrap();
    order["runs"][70]["length"] = json!("1000 m");
    let faults = parse_value(&order).unwrap_err();
    assert_eq!(pointers(&faults), ["/runs/70/length"]);
    assert!(faults.to_string().contains("50341 pieces, 346 of them in this run"), "{faults}");
}

/// Runs past the most pieces are counted and not laid out: 144 runs of 346 pieces are the last that fit.
#[test]
fn no_more_is_laid_out_than_may_be_cut() {
    let mut order = many_runs(1_000, "1000 m");
    for run in [143, 144, 999] {
        order["runs"][run]["left"] = json!({ "end": "gable", "width": "10'" });
    }
    let faults = within(Duration::from_secs(60), || parse_value(&order)).unwrap_err();
    assert_eq!(pointers(&faults), ["/runs/143/left/width", "/runs/999/length"]);
}

/// A lap a hair short of the longest piece would take a billion pieces; the other run's fault is told all the same.
#[test]
fn a_billion_pieces_are_counted_and_not_laid_out() {
    let mut order = example();
    order["runs"][0]["length"] = json!("1000 m");
    order["runs"][0]["lap"] = json!("3047.999 mm");
    order["runs"][1]["profile"] = json!({ "hem": "1/16" });
    let faults = within(Duration::from_secs(5), || parse_value(&order)).unwrap_err();
    assert_eq!(pointers(&faults), ["/runs/0/length", "/runs/1/profile/hem"]);
}

/// Every run a section of its own, of as many legs as there may be, hemmed at both edges: each is searched for an order of
/// folding, and those that have none for what would be right.
#[test]
fn sections_of_twelve_legs_are_folded_or_refused_soon() {
    let leg = |run: usize, index: usize| {
        let width = 0.625 + ((run * 7 + index * 5) % 14) as f64 / 16.0;
        let (bend, turn) =
            ([20, 30, 45, 60, 85][(run + index * 3) % 5], if index.is_multiple_of(2) { "down" } else { "up" });
        if index == 0 { json!({ "width": width }) } else { json!({ "width": width, "bend": bend, "turn": turn }) }
    };
    let run = |run: usize| {
        let legs: Vec<Value> = (0..12).map(|index| leg(run, index)).collect();
        json!({ "wall": format!("W{run}"), "trim": "custom", "length": 100,
                "profile": { "legs": legs, "hem": { "width": 0.5, "gap": "1/16" }, "datum_hem": 0.5 } })
    };
    let mut order = example();
    order["runs"] = (0..20).map(run).collect();
    let answer = within(Duration::from_secs(60), || parse_value(&order));
    let refused = answer.err().map_or(0, |faults| faults.0.len());
    assert!(refused < 20, "some can be folded");
}

proptest! {
    #![proptest_config(ProptestConfig { failure_persistence: None, ..ProptestConfig::with_cases(2000) })]

    /// Whatever becomes of an order on its way, it is read and can be planned, or is refused for faults that point into
    /// it; and reading never panics.
    #[test]
    fn a_mangled_order_is_planned_or_refused(
        mangled in prop::collection::vec((any::<prop::sample::Index>(), any_value()), 1..4),
    ) {
        let mut order = example();
        mangle(&mut order, mangled);
        match parse(&serde_json::to_vec(&order).unwrap()) {
            Ok((checked, _)) => prop_assert!(planner::plan(&checked).is_ok()),
            Err(faults) => {
                prop_assert!(!faults.0.is_empty());
                for fault in faults.0 {
                    prop_assert!(points_into(&order, &fault.pointer), "{}", fault);
                    prop_assert!(!fault.detail.is_empty());
                }
            }
        }
    }

    #[test]
    fn any_bytes_are_refused(text in prop::collection::vec(any::<u8>(), 0..200)) {
        prop_assert!(parse(&text).is_err());
    }
}
