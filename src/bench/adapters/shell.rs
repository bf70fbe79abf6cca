//! What stands around every view: which one is shown, the link, the message; the way on and the way back.

use std::cell::{Cell, RefCell};
use std::rc::Rc;
use std::time::Instant;

use slint::{ComponentHandle, Model, Timer, TimerMode};

use super::answers::Answers;
use super::keys::{Keys, Meaning};
use super::{App, KeyMeaning, LinkState, PageName, Shell, Tell, Tokens, ViewName, Words, always, count, unbroken};
use crate::bench::screen::{Intent, Link, Page, Screen, Tone, View};

/// Sends what is touched here to `tell`.
pub fn connect(app: &App, tell: &Tell) {
    let shell = app.global::<Shell>();
    shell.set_view(ViewName::Waiting);
    let answers = Rc::new(Answers::default());
    shell.set_answers(answers.clone().into());
    let answer = tell.clone();
    shell.on_answer(move |index| {
        if let Some(intent) = usize::try_from(index).ok().and_then(|index| answers.intent(index)) {
            answer(intent);
        }
    });
    shell.on_on(always(tell, Intent::On));
    shell.on_back(always(tell, Intent::Back));
    shell.on_dismiss(always(tell, Intent::DismissMessage));
    let open = tell.clone();
    shell.on_open(move |name| open(Intent::Open(page(name))));
    connect_keys(app, tell.clone());
    connect_canvas(app, tell.clone());
}

fn connect_keys(app: &App, tell: Tell) {
    let window = app.as_weak();
    let keys = Rc::new(RefCell::new(Keys::default()));
    let breath = Timer::default();
    app.global::<Shell>().on_key(move |text| {
        let now = Instant::now();
        let meaning = keys.borrow_mut().press(&text, now);
        match keys.borrow().due() {
            Some(due) => {
                let (keys, tell, window) = (keys.clone(), tell.clone(), window.clone());
                breath.start(TimerMode::SingleShot, due.saturating_duration_since(now), move || {
                    let meaning = keys.borrow_mut().silence(due);
                    let asked = asked(meaning, &tell);
                    if let Some(app) = window.upgrade() {
                        app.invoke_obey(asked);
                    }
                });
            }
            None => breath.stop(),
        }
        asked(meaning, &tell)
    });
}

/// What is asked of the view that is open; a scan is no view's matter and is told here.
fn asked(meaning: Meaning, tell: &Tell) -> KeyMeaning {
    match meaning {
        Meaning::On => KeyMeaning::On,
        Meaning::Back => KeyMeaning::Back,
        Meaning::Nothing => KeyMeaning::Nothing,
        Meaning::Scanned(scan) => {
            tell(Intent::Scanned(scan));
            KeyMeaning::Nothing
        }
    }
}

fn connect_canvas(app: &App, tell: Tell) {
    let window = app.as_weak();
    let said = Cell::new((0, 0, false));
    app.global::<Shell>().on_canvas(move |width, height| {
        let Some(app) = window.upgrade() else { return };
        let scale = app.window().scale_factor();
        let (width, height) = ((width * scale) as u32, (height * scale) as u32);
        let dark = app.global::<Tokens>().get_dark();
        // Width and height change one after the other, and a view that returns asks again for what it has.
        let size = (width, height, dark);
        if width > 0 && height > 0 && said.replace(size) != size {
            tell(Intent::Canvas { width, height, dark });
        }
    });
}

/// Shows all but the view itself, and then turns to it.
pub fn show(app: &App, screen: &Screen, words: Words) {
    let shell = app.global::<Shell>();
    shell.set_turned(!shell.get_turned());
    shell.set_link(link(screen.link));
    shell.set_unsent(count(screen.unsent));
    shell.set_person(screen.person.as_deref().unwrap_or_default().into());
    shell.set_labels(count(screen.labels));
    let message = screen.message.as_ref();
    if let Some(answers) = shell.get_answers().as_any().downcast_ref::<Answers>() {
        answers.offer(message.map_or(&[], |message| &message.answers), words);
    }
    shell.set_tone(message.map_or(super::Tone::Say, |message| tone(message.tone)));
    shell.set_message(message.map(|message| unbroken(&words.say(&message.text))).unwrap_or_default().into());
    shell.set_waiting_back(screen.view == View::Waiting { back: true });
    let view = view(&screen.view);
    if shell.get_view() != view {
        shell.set_layer(false);
        shell.set_view(view);
    }
}

fn view(view: &View) -> ViewName {
    match view {
        View::Waiting { .. } => ViewName::Waiting,
        View::Queue(_) => ViewName::Queue,
        View::Order(_) => ViewName::Order,
        View::Card(_) => ViewName::Card,
        View::Keypad(_) => ViewName::Keypad,
        View::Remake(_) => ViewName::Remake,
        View::Labels(_) => ViewName::Labels,
        View::Settings(_) => ViewName::Settings,
        View::People(_) => ViewName::People,
        View::Pin(_) => ViewName::Pin,
        View::Join(_) => ViewName::Join,
    }
}

fn link(link: Link) -> LinkState {
    match link {
        Link::Up => LinkState::Up,
        Link::Down => LinkState::Down,
        Link::Refused => LinkState::Refused,
    }
}

fn tone(tone: Tone) -> super::Tone {
    match tone {
        Tone::Say => super::Tone::Say,
        Tone::Refuse => super::Tone::Refuse,
        Tone::Ask => super::Tone::Ask,
    }
}

fn page(page: PageName) -> Page {
    match page {
        PageName::Labels => Page::Labels,
        PageName::Settings => Page::Settings,
        PageName::People => Page::People,
        PageName::Join => Page::Join,
    }
}
