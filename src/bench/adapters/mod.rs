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
