//! Orders that no measurer sends: huge, endless, mangled on the way. Each is answered, and soon.

use std::time::{Duration, Instant};

use brakeside::order::fault::Faults;
use brakeside::order::parse::parse;
use brakeside::order::{Order, planner};
use proptest::prelude::*;
use serde_json::{Value, json};

/// The order that the format's description shows, with its gaps filled in.
fn example() -> Value {
    serde_json::from_str(include_str!("data/order.json")).unwrap()
}

fn parse_value(order: &Value) -> Result<Order, Faults> {
    parse(&serde_json::to_vec(order).unwrap()).map(|(order, _)| order)
}

fn pointers(faults: &Faults) -> Vec<&str> {
    faults.0.iter().map(|fault| fault.pointer.as_str()).collect()
}

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
    assert_eq!(pointers(&faults), ["/runs/999/length", "/runs/143/left/width"]);
}

/// A lap a hair short of the longest piece would take a billion pieces; the other run's fault is told all the same.
#[test]
fn a_billion_pieces_are_counted_and_not_laid_out() {
    let mut order = example();
    order["runs"][0]["length"] = json!("1000 m");
    order["runs"][0]["lap"] = json!("3047.999 mm");
    order["runs"][1]["profile"] = json!({ "hem": "1/16" });
    let faults = within(Duration::from_secs(5), || parse_value(&order)).unwrap_err();
    assert_eq!(pointers(&faults), ["/runs/1/profile/hem", "/runs/0/length"]);
}

/// Some value of any type, near what an order holds or far from it.
fn any_value() -> impl Strategy<Value = Value> {
    let leaf = prop_oneof![
        Just(Value::Null),
        any::<bool>().prop_map(Value::from),
        any::<i64>().prop_map(Value::from),
        any::<f64>().prop_map(Value::from),
        (-10.0..2000.0).prop_map(Value::from),
        "\\PC{0,12}".prop_map(Value::from),
        "[0-9]{1,6}[ '/.:-]{0,2}[0-9]{0,3}(\"|mm|m|ft|:12|°)?".prop_map(Value::from),
        prop::sample::select(vec!["gable", "return", "square", "lap", "reglet", "end-wall", "zinc", "copper", "mm"])
            .prop_map(Value::from),
    ];
    leaf.prop_recursive(3, 12, 4, |inner| {
        prop_oneof![
            prop::collection::vec(inner.clone(), 0..4).prop_map(Value::from),
            prop::collection::hash_map("end|width|depth|hem|face|\\PC{0,3}", inner, 0..4)
                .prop_map(|map| Value::Object(map.into_iter().collect())),
        ]
    })
}

/// Every value inside `value`, by its pointer.
fn places(value: &Value, pointer: &str, places: &mut Vec<String>) {
    places.push(pointer.to_owned());
    let mut down = |key: &str, value| self::places(value, &format!("{pointer}/{key}"), places);
    match value {
        Value::Object(map) => map.iter().for_each(|(key, value)| down(key, value)),
        Value::Array(list) => list.iter().enumerate().for_each(|(i, value)| down(&i.to_string(), value)),
        _ => {}
    }
}

/// At a value, or at where a missing one belongs; the shop's own profile stands where the order gives none.
fn points_into(order: &Value, pointer: &str) -> bool {
    let parent = pointer.rsplit_once('/').map_or("", |(parent, _)| parent);
    let parent = parent.strip_suffix("/profile").unwrap_or(parent);
    order.pointer(pointer).or_else(|| order.pointer(parent)).is_some()
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(2000))]

    /// Whatever becomes of an order on its way, it is read and can be planned, or is refused for faults that point into
    /// it; and reading never panics.
    #[test]
    fn a_mangled_order_is_planned_or_refused(
        mangled in prop::collection::vec((any::<prop::sample::Index>(), any_value()), 1..4),
    ) {
        let mut order = example();
        for (place, value) in mangled {
            let mut all = Vec::new();
            places(&order, "", &mut all);
            // Keys that hold `/` or `~` are mangled no further.
            if let Some(spot) = order.pointer_mut(place.get::<String>(&all)) {
                *spot = value;
            }
        }
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
