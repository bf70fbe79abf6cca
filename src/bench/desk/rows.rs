//! Rows as they will stand once the endpoint has taken what was done here.

use crate::bench::api::{Bench, Mark, MarkedEvent, PrintWord, Row, State};

/// The rows once `mark` is taken. A piece that is made again leaves them: its new one comes from the endpoint.
pub fn apply(rows: &mut Vec<Row>, mark: &Mark) {
    if matches!(mark.event, MarkedEvent::Remake { .. }) {
        rows.retain(|row| row.code != mark.code);
    } else if let Some(row) = rows.iter_mut().find(|row| row.code == mark.code) {
        apply_to(row, &mark.event);
    }
}

/// So many steps of an unfinished piece are done.
pub fn set_done(rows: &mut [Row], code: &str, done: usize) {
    if let Some(row) = rows.iter_mut().find(|row| row.code == code && !row.state.is_bent()) {
        row.done = done;
        row.state = if done == 0 { State::Waiting } else { State::Started };
    }
}

fn apply_to(row: &mut Row, event: &MarkedEvent) {
    match event {
        MarkedEvent::Step { done, bench, let_go, .. } if !row.state.is_bent() => {
            row.done = *done;
            row.state = if *done == 0 { State::Waiting } else { State::Started };
            row.bench = bench.clone().filter(|_| !let_go);
        }
        MarkedEvent::Bent { .. } if !row.state.is_bent() => {
            row.state = State::Bent;
            row.bench = None;
        }
        // As far as it was before its last step; the endpoint may know better.
        MarkedEvent::Reopened if row.state == State::Bent => {
            row.done = row.steps.saturating_sub(1);
            row.state = State::Started;
        }
        MarkedEvent::Print { reprint } if *reprint || may_print(row) => {
            row.print = Some(PrintWord::Waiting);
            row.said.clear();
            if *reprint {
                // Which of its labels counts is not known until the endpoint says so.
                row.label.clear();
            }
        }
        MarkedEvent::Step { .. }
        | MarkedEvent::Bent { .. }
        | MarkedEvent::Reopened
        | MarkedEvent::Measured { .. }
        | MarkedEvent::Remake { .. }
        | MarkedEvent::Print { .. } => {}
    }
}

/// Its label can be printed without being printed again.
pub fn may_print(row: &Row) -> bool {
    matches!(row.print, None | Some(PrintWord::Stopped | PrintWord::Cancelled))
}

/// The other bench that has it.
pub fn elsewhere<'a>(row: &'a Row, here: &str) -> Option<&'a Bench> {
    row.bench.as_ref().filter(|bench| bench.id != here && !row.state.is_bent())
}
