//! How long the kiosk's work takes, and how that grows. Run with `cargo bench`; it asserts nothing.
//!
//! Each figure is the median of several runs on an otherwise idle machine. What the screen costs stands in `screen.rs`.

#[path = "../support/mod.rs"]
mod support;

use std::sync::Arc;
use std::time::{Duration, Instant};

use brakeside::label;
use brakeside::label::code::Code;
use brakeside::label::facts::LabelFacts;
use brakeside::label::stock::Stock;
use brakeside::label::url::Address;
use brakeside::order::shop::Shop;
use brakeside::order::{parse, planner};
use brakeside::trade::bend_order;
use brakeside::trade::bending::Rule;
use brakeside::trade::length::Length;
use brakeside::trade::section::{Bend, Hem, Leg, LegName, Section, Turn};
use serde_json::{Value, json};
use support::kiosk::Kiosk;

fn main() {
    println!("{:<60} {:>12}", "what", "median");
    planning();
    bend_orders();
    mixed_runs();
    intake();
    label_png();
}

fn report(what: &str, took: Duration) {
    println!("{what:<60} {:>9.2} ms", took.as_secs_f64() * 1e3);
}

fn median(runs: usize, mut work: impl FnMut()) -> Duration {
    let mut times: Vec<Duration> = (0..runs)
        .map(|_| {
            let start = Instant::now();
            work();
            start.elapsed()
        })
        .collect();
    times.sort_unstable();
    times[times.len() / 2]
}

/// An order of `runs` end walls and reglets, each of two or three pieces.
fn order(number: &str, runs: usize) -> Value {
    let runs: Vec<Value> = (0..runs)
        .map(|i| {
            let wall = format!("W{}", i / 2);
            let length = 200.0 + (i % 7) as f64 * 16.25;
            if i % 2 == 0 {
                json!({ "wall": wall, "trim": "end-wall", "length": length, "pitch": "2:12",
                        "left": { "end": "gable", "width": 4 } })
            } else {
                json!({ "wall": wall, "trim": "reglet", "length": length, "right": { "end": "return", "depth": 1.5 } })
            }
        })
        .collect();
    json!({
        "format": "brakeside-order/1", "order": number, "job": { "name": "Benchmark" }, "units": "in",
        "metal": { "kind": "galvanized-steel", "gauge": 24 }, "longest": 120, "runs": runs
    })
}

fn planning() {
    let shop = Arc::new(Shop::default());
    for runs in SIZES {
        let text = order("1", runs).to_string().into_bytes();
        let (read, _) = parse::parse(&text, &shop).expect("the order can be made");
        report(&format!("read and check an order of {runs} runs"), median(5, || drop(parse::parse(&text, &shop))));
        report(&format!("plan an order of {runs} runs"), median(5, || drop(planner::plan(&read))));
    }
}

/// Steps down a wall, hemmed at the lower edge: every bend has the hand opposite to the one before it.
fn zigzag(bends: usize) -> Section {
    let leg =
        |index| Leg { name: LegName::Nth(index), width: Length::sixty_fourths(if index == 0 { 160 } else { 80 }) };
    let turn = |index: usize| if index.is_multiple_of(2) { Turn::Up } else { Turn::Down };
    let thickness = Length::from_mm(0.7);
    Section {
        legs: (0..=bends).map(leg).collect(),
        bends: (0..bends).map(|index| Bend { through_deg: 60.0, turn: turn(index) }).collect(),
        datum_hem: None,
        lower_hem: Some(Hem::closed(Length::sixty_fourths(32))),
        thickness,
        inside_radius: thickness,
    }
}

/// The search doubles with each fold: 2ⁿ sets of folds made.
fn bend_orders() {
    let brake = Shop::default().brake;
    let mut before: Option<Duration> = None;
    for bends in 2..=10 {
        let section = zigzag(bends);
        let flat = section.unfold(Rule::Din6935);
        let found = bend_order::search(&section, &flat, Rule::Din6935, &brake, None);
        let states = found.as_ref().map_or_else(|impossible| impossible.states, |found| found.states);
        let took = median(5, || drop(bend_order::search(&section, &flat, Rule::Din6935, &brake, None)));
        let answer = if found.is_ok() { "found" } else { "none" };
        report(
            &format!("bend order, {bends} bends and a hem: {answer}, {states} states{}", growth(before, took)),
            took,
        );
        before = Some(took);
    }
}

/// By how much the work grew since the size before.
fn growth(before: Option<Duration>, took: Duration) -> String {
    before.map_or(String::new(), |before| format!(", × {:.1}", took.as_secs_f64() / before.as_secs_f64()))
}

const SIZES: [usize; 4] = [1_250, 2_500, 5_000, 10_000];

/// Every trim with its ends in turn, on walls of their own; few sections, as in a real order.
fn mixed(runs: usize) -> Value {
    let corner = |side: &str| json!({ "end": "corner", "side": side });
    let run = |i: usize| {
        let (wall, length) = (format!("W{i}"), 150 + i % 97);
        let plain = |trim: &str, left: Value, right: Value| json!({ "wall": wall, "trim": trim, "length": length, "left": left, "right": right });
        let mut run = match i % 7 {
            0 => plain("end-wall", json!({ "end": "gable", "width": 4 }), json!({ "end": "dam", "height": 3 })),
            1 => plain("reglet", json!({ "end": "return", "depth": 1.5 }), corner("outside")),
            2 => plain("side-wall", json!({ "end": "square" }), json!({ "end": "transition", "to": "8:12" })),
            3 => plain(
                "gable",
                json!({ "end": "square" }),
                json!({ "end": "transition", "to": "4:12", "falls": "back" }),
            ),
            4 => plain("eave", corner("inside"), corner("outside")),
            5 => plain("ridge", json!({ "end": "square" }), corner("outside")),
            _ => plain("custom", json!({ "end": "square" }), corner("inside")),
        };
        match i % 7 {
            1 => {}
            2 | 3 => (run["pitch"], run["low"]) = (json!("4:12"), json!("left")),
            6 => {
                run["profile"] = json!({ "hem": 0.5, "legs": [{ "width": 3 }, { "width": 2, "bend": 85, "turn": "up" },
                                         { "width": 1.5, "bend": 85, "turn": "down" }] });
            }
            _ => (run["pitch"], run["panels"]) = (json!("4:12"), json!({ "first": 6, "every": 16 })),
        }
        run
    };
    let mut order = order("1", 0);
    order["runs"] = (0..runs).map(run).collect();
    order
}

fn mixed_runs() {
    let shop = Arc::new(Shop::default());
    let (mut checked, mut planned) = (None, None);
    for runs in SIZES {
        let text = mixed(runs).to_string().into_bytes();
        let (read, _) = parse::parse(&text, &shop).expect("the order can be made");
        let check = median(5, || drop(parse::parse(&text, &shop)));
        report(&format!("read and check {runs} mixed runs{}", growth(checked, check)), check);
        let plan = median(5, || drop(planner::plan(&read)));
        report(&format!("plan of {runs} mixed runs{}", growth(planned, plan)), plan);
        (checked, planned) = (Some(check), Some(plan));
    }
}

fn intake() {
    for (runs, repeats) in [(4, 21), (100, 9), (1_000, 3), (10_000, 1)] {
        let kiosk = Kiosk::serve();
        let mut number = 0;
        let took = median(repeats, || {
            number += 1;
            kiosk.post_order(&order(&number.to_string(), runs).to_string());
        });
        report(&format!("an order of {runs} runs over HTTP, stored"), took);
    }
}

fn label_png() {
    let (order, _) =
        parse::parse(include_bytes!("../../src/commands/demo/order-2041.json"), &Arc::new(Shop::default()))
            .expect("the demo order");
    let plan = planner::plan(&order).expect("the demo order");
    let address = Address::new("192.168.1.20", 8787).expect("a plain address");
    let code = Code::random().expect("random numbers");
    let facts = LabelFacts::new(&plan.pieces[2], &plan.pieces, &order.job.name, &order.number, &code, &address);
    // The first one reads the typeface.
    let first = median(1, || drop(label::png(&facts, Stock::INCH)));
    report("the first label as PNG, 4 × 2 in at 203 dpi", first);
    report("a label as PNG", median(101, || drop(label::png(&facts, Stock::INCH))));
}
