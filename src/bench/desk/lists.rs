//! The queue and an order's pieces put into the words of the screen.

use std::collections::HashMap;

use jiff::civil::Date;

use super::rows::elsewhere;
use super::{Own, cards};
use crate::bench::api::{Row, State, Summary};
use crate::bench::screen::{Order, PieceLine, Progress, Queue, QueueLine};

/// Due first, then by number; those without a due day after them, and those with nothing left to bend last.
pub fn by_due_day(mut orders: Vec<Summary>) -> Vec<Summary> {
    orders.sort_by_key(|order| (order.bent == order.pieces, order.job.due.unwrap_or(Date::MAX), order.order.clone()));
    orders
}

/// The order to open next: the first with anything left to bend, but for the one known to have nothing left for this bench.
pub fn next_order(orders: &[Summary], nothing_left: Option<&str>) -> Option<usize> {
    orders.iter().position(|order| order.bent < order.pieces && nothing_left != Some(order.order.as_str()))
}

/// The piece to make next: one that is at this bench, else one begun, else the first waiting; never another bench's.
pub fn next_row(rows: &[Row], here: &str) -> Option<usize> {
    let find = |wanted: &dyn Fn(&Row) -> bool| {
        rows.iter().position(|row| !row.state.is_bent() && elsewhere(row, here).is_none() && wanted(row))
    };
    find(&|row| row.bench.is_some()).or_else(|| find(&|row| row.state == State::Started)).or_else(|| find(&|_| true))
}

/// The queue as seen on the day `today`; `next` is the order to open next.
pub fn queue(orders: &[Summary], next: Option<usize>, today: Date) -> Queue {
    let line = |order: &Summary| QueueLine {
        number: order.order.clone(),
        job: order.job.name.clone(),
        site: order.job.site.clone().unwrap_or_default(),
        due: order.job.due.map(cards::day).unwrap_or_default(),
        due_in_days: order.job.due.and_then(|due| today.until(due).ok()).map(|span| i64::from(span.get_days())),
        pieces: order.pieces,
        bent: order.bent,
        loaded: order.loaded,
        reported: order.reported,
    };
    Queue { orders: orders.iter().map(line).collect(), next }
}

fn progress(row: &Row) -> Progress {
    match row.state {
        State::Waiting => Progress::Waiting,
        State::Started => Progress::Started { done: row.done, of: row.steps },
        State::Bent => Progress::Bent,
        State::Loaded => Progress::Loaded,
        State::Installed => Progress::Installed,
    }
}

/// An order's pieces as this bench sees them.
pub fn order(summary: &Summary, rows: &[Row], own: &Own) -> Order {
    let mut alike: HashMap<&str, usize> = HashMap::new();
    for first in rows.iter().filter_map(|row| row.alike.as_deref()) {
        *alike.entry(first).or_default() += 1;
    }
    let line = |row: &Row| PieceLine {
        code: row.code.clone(),
        mark: row.mark.clone(),
        trim: row.trim.name().into(),
        length: row.length.big_reading(),
        progress: progress(row),
        reported: row.reported.clone(),
        alike: row.alike.as_deref().and_then(|first| alike.get(first)).copied().unwrap_or(1),
        remake: row.remake_of.is_some(),
        elsewhere: elsewhere(row, &own.bench.id).map(|bench| bench.name.clone()),
    };
    let undone = |row: &&Row| {
        row.state == State::Bent && own.finished.as_ref().is_some_and(|finished| finished.code == row.code)
    };
    Order {
        number: summary.order.clone(),
        job: summary.job.name.clone(),
        due: summary.job.due.map(cards::day).unwrap_or_default(),
        pieces: rows.iter().map(line).collect(),
        next: next_row(rows, &own.bench.id),
        bent: rows.iter().filter(|row| row.state.is_bent()).count(),
        undo: rows.iter().find(undone).map(|row| row.mark.clone()),
    }
}
