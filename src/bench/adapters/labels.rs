//! The labels that wait.

use slint::{ComponentHandle, Model, ModelRc, SharedString, VecModel};

use super::{App, LabelRow, LabelsAdapter, PrintState, Shell, Tell, Words, update};
use crate::bench::screen::{self, Intent, LabelLine, Labels};

/// Sends what is touched here to `tell`.
pub fn connect(app: &App, tell: &Tell) {
    let adapter = app.global::<LabelsAdapter>();
    adapter.set_lines(ModelRc::new(VecModel::default()));
    adapter.on_again(of_print(tell, Intent::PrintAgain));
    adapter.on_came_out(of_print(tell, Intent::CameOut));
    adapter.on_cancel(of_print(tell, Intent::CancelPrint));
}

/// Slint's whole numbers are smaller than a store's: a print goes there and back in figures.
fn of_print(tell: &Tell, intent: fn(i64) -> Intent) -> impl Fn(SharedString) + 'static {
    let tell = tell.clone();
    move |print| {
        if let Ok(print) = print.parse() {
            tell(intent(print));
        }
    }
}

/// Shows these labels. The one that was touched is shown as it is now, and no longer asked about once it is gone.
pub fn show(app: &App, labels: &Labels, words: Words) {
    let adapter = app.global::<LabelsAdapter>();
    adapter.set_printer(words.say(&labels.printer).into());
    adapter.set_ready(labels.ready);
    update(&adapter.get_lines(), labels.lines.iter().map(|line| row(line, words)));
    let touched = adapter.get_touched().print;
    match adapter.get_lines().iter().find(|row| row.print == touched) {
        Some(row) => adapter.set_touched(row),
        None => app.global::<Shell>().set_layer(false),
    }
}

fn row(line: &LabelLine, words: Words) -> LabelRow {
    LabelRow {
        print: line.print.to_string().into(),
        mark: words.say(&line.mark).into(),
        order: line.order.as_str().into(),
        state: print_state(line.state),
        said: words.say(&line.said).into(),
        reprint: line.reprint,
    }
}

/// As the signs know it.
pub fn print_state(state: screen::PrintState) -> PrintState {
    match state {
        screen::PrintState::None => PrintState::None,
        screen::PrintState::Waiting => PrintState::Waiting,
        screen::PrintState::Sent => PrintState::Sent,
        screen::PrintState::Printed => PrintState::Printed,
        screen::PrintState::Stopped => PrintState::Stopped,
        screen::PrintState::Unsure => PrintState::Unsure,
    }
}
