//! What stands around every view: which one is shown, the link, the message; the way on and the way back.

use std::cell::RefCell;
use std::time::Instant;

use slint::ComponentHandle;

use super::keys::{Keys, Meaning};
use super::{App, KeyMeaning, LinkState, Shell, Tell, ViewName, count};
use crate::bench::screen::{Intent, Link, Screen, View};

/// Sends what is touched here to `tell`.
pub fn connect(app: &App, tell: &Tell) {
    let shell = app.global::<Shell>();
    shell.set_view(ViewName::Waiting);
    let say = |intent: Intent| {
        let tell = tell.clone();
        move || tell(intent.clone())
    };
    shell.on_on(say(Intent::On));
    shell.on_back(say(Intent::Back));
    shell.on_dismiss(say(Intent::DismissMessage));

    let (tell, keys) = (tell.clone(), RefCell::new(Keys::default()));
    shell.on_key(move |text| {
        let meaning = keys.borrow_mut().press(&text, Instant::now());
        match meaning {
            Meaning::On => KeyMeaning::On,
            Meaning::Back => KeyMeaning::Back,
            Meaning::Nothing => KeyMeaning::Nothing,
            Meaning::Scanned(code) => {
                tell(Intent::OpenPiece(code.as_str().into()));
                KeyMeaning::Nothing
            }
        }
    });
}

/// Shows all but the view itself, and then turns to it.
pub fn show(app: &App, screen: &Screen) {
    let shell = app.global::<Shell>();
    shell.set_link(link(screen.link));
    shell.set_unsent(count(screen.unsent));
    shell.set_message(screen.message.as_deref().unwrap_or_default().into());
    shell.set_waiting_back(screen.view == View::Waiting { back: true });
    shell.set_view(match screen.view {
        View::Waiting { .. } => ViewName::Waiting,
        View::Queue(_) => ViewName::Queue,
        View::Order(_) => ViewName::Order,
        View::Card(_) => ViewName::Card,
    });
}

fn link(link: Link) -> LinkState {
    match link {
        Link::Up => LinkState::Up,
        Link::Down => LinkState::Down,
        Link::Refused => LinkState::Refused,
    }
}
