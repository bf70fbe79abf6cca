//! The queue and an order's pieces put into the words of the screen.

use jiff::civil::Date;

use super::cards;
use crate::bench::api::{Row, State, Summary};
use crate::bench::screen::{Order, PieceLine, Progress, Queue, QueueLine};

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

/// An order's pieces; `next` is the one to make next.
pub fn order(summary: &Summary, rows: &[Row], next: Option<usize>) -> Order {
    Order {
        number: summary.order.clone(),
        job: summary.job.name.clone(),
        due: summary.job.due.map(cards::day).unwrap_or_default(),
        pieces: rows.iter().map(piece_line).collect(),
        next,
        bent: rows.iter().filter(|row| row.state.is_bent()).count(),
    }
}

fn piece_line(row: &Row) -> PieceLine {
    PieceLine {
        code: row.code.clone(),
        mark: row.mark.clone(),
        trim: row.trim.name().into(),
        length: row.length.big_reading(),
        progress: progress(row),
        reported: row.reported.clone(),
    }
}
