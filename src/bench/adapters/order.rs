//! One order's pieces.

use slint::{ComponentHandle, ModelRc, VecModel};

use super::{App, OrderAdapter, PieceRow, Stage, Tell, count, update};
use crate::bench::screen::{Intent, Order, PieceLine, Progress};

/// Sends what is touched here to `tell`.
pub fn connect(app: &App, tell: &Tell) {
    let adapter = app.global::<OrderAdapter>();
    adapter.set_pieces(ModelRc::new(VecModel::default()));
    adapter.set_next(-1);
    let tell = tell.clone();
    adapter.on_open(move |code| tell(Intent::OpenPiece(code.into())));
}

/// Shows this order.
pub fn show(app: &App, order: &Order) {
    let adapter = app.global::<OrderAdapter>();
    adapter.set_number(order.number.as_str().into());
    adapter.set_job(order.job.as_str().into());
    adapter.set_due(order.due.as_str().into());
    adapter.set_bent(count(order.bent));
    update(&adapter.get_pieces(), order.pieces.iter().map(row));
    adapter.set_next(order.next.map_or(-1, count));
}

fn row(line: &PieceLine) -> PieceRow {
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
        trim: line.trim.as_str().into(),
        length: line.length.as_str().into(),
        stage,
        done: count(done),
        of: count(of),
        reported: line.reported.as_deref().unwrap_or_default().into(),
    }
}
