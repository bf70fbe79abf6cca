//! What stands around every view: which one is shown, the link, the message; the way on and the way back.

use slint::ComponentHandle;

use super::{App, LinkState, Send, Shell, ViewName, count};
use crate::bench::screen::{Intent, Link, Screen, View};

pub fn connect(app: &App, send: &Send) {
    let shell = app.global::<Shell>();
    let say = |intent: Intent| {
        let send = send.clone();
        move || send(intent.clone())
    };
    shell.on_on(say(Intent::On));
    shell.on_back(say(Intent::Back));
    shell.on_dismiss(say(Intent::DismissMessage));
}

pub fn show(app: &App, screen: &Screen) {
    let shell = app.global::<Shell>();
    shell.set_link(link(screen.link));
    shell.set_unsent(count(screen.unsent));
    shell.set_message(screen.message.as_deref().unwrap_or_default().into());
    shell.set_view(match screen.view {
        View::Waiting => ViewName::Waiting,
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
