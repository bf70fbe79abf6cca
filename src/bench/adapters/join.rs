//! Codes that open the phone pages.

use slint::{ComponentHandle, ModelRc, VecModel};

use super::{App, JoinAdapter, Tell, Words, count, picture, update};
use crate::bench::screen::{Intent, Join};

/// Sends what is touched here to `tell`.
pub fn connect(app: &App, tell: &Tell) {
    let adapter = app.global::<JoinAdapter>();
    adapter.set_doors(ModelRc::new(VecModel::default()));
    let tell = tell.clone();
    adapter.on_door(move |door| tell(Intent::Door(usize::try_from(door).unwrap_or_default())));
}

/// Shows these doors, one of them large.
pub fn show(app: &App, join: &Join, words: Words) {
    let adapter = app.global::<JoinAdapter>();
    update(&adapter.get_doors(), join.doors.iter().map(|door| words.say(&door.title).into()));
    adapter.set_shown(count(join.shown));
    let door = join.doors.get(join.shown);
    adapter.set_title(door.map(|door| words.say(&door.title)).unwrap_or_default().into());
    adapter.set_address(door.map(|door| door.address.as_str()).unwrap_or_default().into());
    adapter.set_picture(picture::image(join.picture.as_ref(), adapter.get_picture()));
}
