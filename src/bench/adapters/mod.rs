//! The edge to Slint: one adapter per view, each mapping plain data onto its global and touches onto [`Intent`]s.
//!
//! Nothing here decides anything: the desk says what is shown, the `.slint` files say how. What the desk says in English
//! is put into the bench's language here, by [`Words::say`]; names, marks and codes are left as they are.

use std::rc::Rc;

use slint::{Model, ModelRc, VecModel};

use crate::bench::screen::Intent;
use crate::words::Words;

mod answers;
pub mod card;
pub mod join;
pub mod keypad;
mod keys;
pub mod labels;
mod number;
pub mod order;
pub mod people;
mod picture;
pub mod pin;
pub mod queue;
pub mod remake;
pub mod settings;
pub mod shell;

/// What the Slint compiler made of `ui/app.slint`.
#[allow(missing_docs, unused_qualifications, reason = "written by the Slint compiler")]
mod generated {
    slint::include_modules!();
}
pub use generated::*;

/// Where touches go.
pub type Tell = Rc<dyn Fn(Intent)>;

/// A callback that always asks for the same.
fn always(tell: &Tell, intent: Intent) -> impl Fn() + 'static {
    let tell = tell.clone();
    move || tell(intent.clone())
}

/// Neither a mark nor a measure is torn at the end of a line: `A-EW-3`, `10-5/8"`, `± 2 mm` stay whole.
pub fn unbroken(text: &str) -> String {
    let figure = |word: &str| word.chars().any(|c| c.is_ascii_digit());
    let whole = |word: &str| if figure(word) { word.replace('-', "\u{2011}") } else { word.to_owned() };
    let mut words = text.split(' ').peekable();
    let mut kept = String::with_capacity(text.len());
    while let Some(word) = words.next() {
        kept += &whole(word);
        if let Some(next) = words.peek() {
            let feet = word.ends_with(['\'', '′']) && figure(next);
            let unit = figure(word)
                && ["mm", "in", "ft"].iter().any(|unit| next.trim_end_matches(['.', ',', ':', ';']) == *unit);
            kept.push(if word == "±" || *next == "±" || feet || unit { '\u{a0}' } else { ' ' });
        }
    }
    kept
}

/// Lists are as long as memory allows, Slint counts in `i32`: what is longer than that stays at the end of it.
fn count(n: usize) -> i32 {
    i32::try_from(n).unwrap_or(i32::MAX)
}

/// The place in a list as Slint says it: none is -1.
fn index(n: Option<usize>) -> i32 {
    n.map_or(-1, count)
}

/// Changes only the rows that differ, so that the list stays where the finger left it.
fn update<T: Clone + PartialEq + 'static>(shown: &ModelRc<T>, rows: impl ExactSizeIterator<Item = T>) {
    let Some(model) = shown.as_any().downcast_ref::<VecModel<T>>() else { return };
    while model.row_count() > rows.len() {
        model.remove(model.row_count() - 1);
    }
    for (index, row) in rows.enumerate() {
        match model.row_data(index) {
            Some(old) if old == row => {}
            Some(_) => model.set_row_data(index, row),
            None => model.push(row),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::unbroken;

    #[test]
    fn marks_and_measures_stay_whole() {
        for (text, kept) in [
            ("it belongs to A-EW-2. End-wall", "it belongs to A\u{2011}EW\u{2011}2. End-wall"),
            ("It should be 8' 10-5/8\".", "It should be 8'\u{a0}10\u{2011}5/8\"."),
            ("be 8′ 10⁵⁄₈″ ± ¹⁄₈″.", "be 8′\u{a0}10⁵⁄₈″\u{a0}±\u{a0}¹⁄₈″."),
            ("2708 mm ± 2 mm, in all", "2708\u{a0}mm\u{a0}±\u{a0}2\u{a0}mm, in all"),
            ("", ""),
        ] {
            assert_eq!(unbroken(text), kept);
        }
    }
}
