//! Cautions as ANSI Z535 words them: the signal word says how bad it could be.

use maud::{Markup, html};

use super::signs;
use crate::order::installing::CAUTIONS;
use crate::trade::caution::Signal;

/// One panel: the word, what to do, and who says so.
pub fn panel(signal: Signal, text: &str, source: &str) -> Markup {
    let (word, class) = match signal {
        Signal::Warning => ("WARNING", "signal warning"),
        Signal::Caution => ("CAUTION", "signal caution"),
    };
    html! {
        div class=(class) {
            p.word { (signs::alert()) (word) }
            p { (text) " " span.source { (source) } }
        }
    }
}

/// The usual cautions of work on a roof.
pub fn on_roof() -> Markup {
    html! {
        @for caution in CAUTIONS {
            (panel(caution.signal, caution.text, caution.source))
        }
    }
}
