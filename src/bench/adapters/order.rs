//! One order's pieces.

use slint::{ComponentHandle, ModelRc, VecModel};

use super::{App, OrderAdapter, PieceRow, Stage, Tell, Words, always, count, index, update};
use crate::bench::screen::{Intent, Order, PieceLine, Progress};

/// Sends what is touched here to `tell`.
pub fn connect(app: &App, tell: &Tell) {
    let adapter = app.global::<OrderAdapter>();
    adapter.set_pieces(ModelRc::new(VecModel::default()));
    adapter.set_next(-1);
    adapter.on_take_back(always(tell, Intent::Undo));
    let tell = tell.clone();
    adapter.on_open(move |code| tell(Intent::OpenPiece(code.into())));
}

/// Shows this order.
pub fn show(app: &App, order: &Order, words: Words) {
    let adapter = app.global::<OrderAdapter>();
    adapter.set_number(order.number.as_str().into());
    adapter.set_job(order.job.as_str().into());
    adapter.set_due(words.say(&order.due).into());
    adapter.set_bent(count(order.bent));
    adapter.set_undo(order.undo.as_deref().unwrap_or_default().into());
    update(&adapter.get_pieces(), order.pieces.iter().map(|line| row(line, words)));
    adapter.set_next(index(order.next));
}

fn row(line: &PieceLine, words: Words) -> PieceRow {
    let (stage, done, of) = match line.progress {
        Progress::Waiting => (Stage::Waiting, 0, 0),
        Progress::Started { done, of } => (Stage::Started, done, of),
        Progress::Bent => (Stage::Bent, 0, 0),
        Progress::Loaded => (Stage::Loaded, 0, 0),
        Progress::Installed => (Stage::Installed, 0, 0),
    };
    PieceRow {
        code: line.code.as_str().into(),
        mark: line.mark.as_str().into(),
        trim: words.say(&line.trim).into(),
        length: words.say(&line.length).into(),
        stage,
        done: count(done),
        of: count(of),
        reported: line.reported.as_deref().map(|why| words.say(why)).unwrap_or_default().into(),
        alike: count(line.alike),
        remake: line.remake,
        elsewhere: line.elsewhere.as_deref().unwrap_or_default().into(),
    }
}
