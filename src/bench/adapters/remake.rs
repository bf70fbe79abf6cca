//! Why a piece is made again.

use slint::{ComponentHandle, ModelRc, VecModel};

use super::{App, RemakeAdapter, Tell, Words, always, index, update};
use crate::bench::screen::{Intent, Remake};

/// Sends what is touched here to `tell`.
pub fn connect(app: &App, tell: &Tell) {
    let adapter = app.global::<RemakeAdapter>();
    adapter.set_reasons(ModelRc::new(VecModel::default()));
    adapter.on_remake(always(tell, Intent::Remake));
    let tell = tell.clone();
    adapter.on_because(move |reason| tell(Intent::Because(usize::try_from(reason).unwrap_or_default())));
}

/// Shows the reasons.
pub fn show(app: &App, remake: &Remake, words: Words) {
    let adapter = app.global::<RemakeAdapter>();
    adapter.set_mark(remake.mark.as_str().into());
    update(&adapter.get_reasons(), remake.reasons.iter().map(|reason| words.say(reason).into()));
    adapter.set_reported(remake.reported.as_deref().map(|why| words.say(why)).unwrap_or_default().into());
    adapter.set_chosen(index(remake.chosen));
}
