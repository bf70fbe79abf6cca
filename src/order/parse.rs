//! Reads format `brakeside-order/1`: an order comes out checked and ready to plan, or with every fault it has.

mod bench;
mod end;
pub mod json;
mod meeting;
mod metal;
mod profile;
pub(crate) mod reader;
mod run;
mod tape;
pub(crate) mod text;

use std::sync::Arc;

use jiff::civil::Date;
use serde_json::Value;

use crate::order::fault::Faults;
use crate::order::layout::{self, LayoutFault};
use crate::order::shop::Shop;
use crate::order::{FORMAT, Job, Order, Run, bounds};
use crate::trade::length::Units;
use bench::{Bench, Sheet};
use reader::{Found, Spot, one_of};
use tape::Tape;

const KEYS: [&str; 8] = ["format", "order", "job", "units", "metal", "longest", "replaces", "runs"];
const UNITS: [(&str, Units); 2] = [("in", Units::In), ("mm", Units::Mm)];
const FORMATS: [(&str, ()); 1] = [(FORMAT, ())];
const ORDER: &str = r#"an order: { "format": "brakeside-order/1", … }"#;
const JOB: &str = r#"the job, like { "name": "Boathouse awning" }"#;
const RUNS: &str = "a list of 1 to 10,000 runs";
const DATE: &str = r#"a date, like "2026-12-04""#;
const LONGEST_NAME: usize = 120;

/// Reads an order and checks it against `shop`; also gives the JSON it was read from, to be kept as it was sent.
///
/// # Errors
/// Every fault, each with its place and what would be right; a text that is not JSON has one.
pub fn parse(text: &[u8], shop: &Arc<Shop>) -> Result<(Order, Value), Faults> {
    let value = json::read(text)?;
    let order = from_json(&value, shop)?;
    Ok((order, value))
}

/// Checks an order that was read as JSON.
///
/// # Errors
/// As [`parse`].
pub fn from_json(value: &Value, shop: &Arc<Shop>) -> Result<Order, Faults> {
    let found = Found::default();
    match order(&Spot::root(value, &found), shop) {
        Some(order) if found.is_empty() => Ok(order),
        _ => Err(Faults(found.into_faults())),
    }
}

fn order(spot: &Spot, shop: &Arc<Shop>) -> Option<Order> {
    let order = spot.object(ORDER, &KEYS)?;
    order.required("format", &one_of(&FORMATS), |format| format.word(&FORMATS));
    let number = order.required("order", text::NUMBER, text::number);
    let job = order.required("job", JOB, job);
    let units = order.required("units", &one_of(&UNITS), |units| units.word(&UNITS));
    let tape = Tape { units };
    let metal = order.required("metal", metal::METAL, |metal| metal::read(metal, &tape, shop));
    let (shortest, brake) = (bounds::SHORTEST_LONGEST, shop.brake.length);
    let longest = order.or("longest", shop.orders.longest, |spot| tape.within(spot, shortest, brake));
    let replaces = order.or("replaces", false, Spot::truth);
    let spots = order.required("runs", RUNS, runs).unwrap_or_default();
    let mut taken = run::Taken::new();
    let sheet = metal.as_ref().map(|finished| Sheet {
        thickness: finished.metal.thickness,
        inside_radius: shop.bending(&finished.metal).inside_radius(&finished.metal),
    });
    let bench = Bench { tape, shop, sheet };
    let runs: Vec<_> = spots.iter().map(|spot| run::read(spot, &bench, &mut taken)).collect();

    // Number and job have no part in whether the runs can be made: where they cannot be read, which is noted, the runs
    // are checked without them, so that one answer tells all.
    let metal = metal?;
    let mut order = Order {
        number: number.unwrap_or_default(),
        job: job.unwrap_or_else(|| Job { name: String::new(), site: None, due: None }),
        units: units?,
        metal: metal.metal,
        finish: metal.finish,
        painted: metal.painted,
        longest: longest?,
        runs: Vec::new(),
        replaces: replaces.unwrap_or_default(),
        shop: Arc::clone(shop),
    };
    check(&spots, &runs, &order);
    meeting::check(&spots, &runs);
    order.runs = runs.into_iter().flatten().collect();
    Some(order)
}

fn job(spot: &Spot) -> Option<Job> {
    let job = spot.object(JOB, &["name", "site", "due"])?;
    let line = |spot: &Spot| text::line(spot, LONGEST_NAME);
    let name = job.required("name", "the customer's or the site's name", line);
    let site = job.or("site", None, |site| line(site).map(Some));
    let due = job.or("due", None, |due| date(due).map(Some));
    Some(Job { name: name?, site: site?, due: due? })
}

/// A civil date in the one form that all read alike.
fn date(spot: &Spot) -> Option<Date> {
    let text = spot.text(DATE)?;
    let date = text.parse().ok().filter(|date: &Date| date.to_string() == text);
    date.or_else(|| spot.wrong(DATE))
}

fn runs<'a>(spot: &Spot<'a>) -> Option<Vec<Spot<'a>>> {
    let runs = spot.list(RUNS)?;
    match runs.len() {
        0 => spot.fault(format!("empty; give {RUNS}")),
        1..=bounds::MOST_RUNS => Some(runs),
        many => spot.fault(format!("{many} runs are too many; give {RUNS}")),
    }
}

/// Notes why any of `runs` cannot be made, or that they are too many pieces in all.
fn check(spots: &[Spot], runs: &[Option<Run>], order: &Order) {
    let counted: Vec<_> = spots
        .iter()
        .zip(runs)
        .filter_map(|(spot, run)| run.as_ref().map(|run| (layout::count(run, order).unwrap_or_default(), spot, run)))
        .collect();
    let pieces = counted.iter().fold(0_usize, |sum, (count, ..)| sum.saturating_add(*count));
    if pieces > bounds::MOST_PIECES
        && let Some((most, spot, _)) = counted.iter().max_by_key(|(count, ..)| *count)
    {
        let detail = format!(
            "the order has {pieces} pieces, {most} of them in this run; check its length and lap, or give at most {}",
            bounds::MOST_PIECES
        );
        spot.fault_below::<()>("/length", detail);
    }
    // Laying out takes room for every piece: no more of them than an order may have.
    let mut room = bounds::MOST_PIECES;
    let fitting = counted.into_iter().filter(|(count, ..)| {
        let fits = *count <= room;
        room -= if fits { *count } else { 0 };
        fits
    });
    let (spots, runs): (Vec<_>, Vec<_>) = fitting.map(|(_, spot, run)| (spot, run)).unzip();
    for (spot, laid_out) in spots.iter().zip(layout::lay_out(&runs, order)) {
        // What cannot be bent is noted already, where the run was read.
        let faults = laid_out.err().unwrap_or_default();
        for fault in faults.iter().filter(|fault| !matches!(fault, LayoutFault::Section(_))) {
            spot.fault_below::<()>(&fault.field(), fault.to_string());
        }
    }
}
