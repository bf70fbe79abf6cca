//! The orders.

use slint::{ComponentHandle, ModelRc, VecModel};

use super::{App, QueueAdapter, QueueRow, Tell, Words, count, update};
use crate::bench::screen::{Intent, Queue, QueueLine};

/// Sends what is touched here to `tell`.
pub fn connect(app: &App, tell: &Tell) {
    let adapter = app.global::<QueueAdapter>();
    adapter.set_orders(ModelRc::new(VecModel::default()));
    let tell = tell.clone();
    adapter.on_open(move |number| tell(Intent::OpenOrder(number.into())));
}

/// Shows these orders.
pub fn show(app: &App, queue: &Queue, words: Words) {
    let adapter = app.global::<QueueAdapter>();
    update(&adapter.get_orders(), queue.orders.iter().map(|line| row(line, words)));
    adapter.set_next(queue.next.map_or("", |next| &queue.orders[next].number).into());
}

fn row(line: &QueueLine, words: Words) -> QueueRow {
    QueueRow {
        number: line.number.as_str().into(),
        job: line.job.as_str().into(),
        site: line.site.as_str().into(),
        due: words.say(&line.due).into(),
        due_in_days: line.due_in_days.map_or(0, |days| days.clamp(i32::MIN.into(), i32::MAX.into()) as i32),
        pieces: count(line.pieces),
        bent: count(line.bent),
        loaded: count(line.loaded),
        reported: count(line.reported),
    }
}
