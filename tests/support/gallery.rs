//! Every screen of the bench, by name, with as much on it as it may have to hold.

// Each test file uses a part of this.
#![allow(dead_code)]

use std::sync::Arc;

use brakeside::bench::screen::{
    Batch, Card, CardOn, Door, Intent, Join, Keypad, LabelLine, LabelProgress, Labels, Language, Link, Looks, Message,
    Order, People, Person, Picture, PieceLine, Pin, PrintState, Progress, Queue, QueueLine, Remake, Reply, Screen,
    Settings, Tone, View,
};
use brakeside::order::plan::Action;
use brakeside::trade::caution::{Caution, Signal};
use brakeside::trade::length::Units;
use brakeside::trade::working::Working;

/// In English, in daylight, nothing out of the ordinary.
pub fn screen(view: View) -> Screen {
    Screen {
        view,
        link: Link::Up,
        unsent: 0,
        message: None,
        person: Some("Ana".into()),
        labels: 0,
        looks: Looks { language: Language::English, dark: false },
    }
}

pub fn queue(count: usize) -> Screen {
    let line = |n: usize| QueueLine {
        number: (2041 + n).to_string(),
        job: "Porch and awning".into(),
        site: "12 Mill Lane".into(),
        due: "Fri 4 Dec".into(),
        due_in_days: Some(9 - n as i64),
        pieces: 31,
        bent: 9,
        loaded: 0,
        reported: usize::from(n == 1),
    };
    screen(View::Queue(Queue { orders: (0..count).map(line).collect(), next: (count > 0).then_some(0) }))
}

pub fn order(count: usize, next: Option<usize>) -> Screen {
    let line = |n: usize| PieceLine {
        code: format!("CODE{n}"),
        mark: format!("A-EW-{}", n + 1),
        trim: "end wall".into(),
        length: "8′ 10⁵⁄₈″".into(),
        progress: match next {
            Some(next) if n == next => Progress::Started { done: 3, of: 11 },
            Some(next) if n > next => Progress::Waiting,
            _ => Progress::Bent,
        },
        reported: None,
        alike: 1,
        remake: false,
        elsewhere: None,
    };
    screen(View::Order(Order {
        number: "2041".into(),
        job: "Porch and awning".into(),
        due: "Fri 4 Dec".into(),
        pieces: (0..count).map(line).collect(),
        next,
        bent: next.unwrap_or(count),
        undo: None,
    }))
}

/// An order with all that can be said of a piece.
fn busy_order() -> Screen {
    let mut screen = order(6, Some(2));
    if let View::Order(order) = &mut screen.view {
        order.undo = Some("A-EW-2".into());
        order.pieces[0].reported = Some("wrong hand: notched at the wrong end".into());
        order.pieces[2].alike = 3;
        order.pieces[3].alike = 3;
        order.pieces[4].elsewhere = Some("Bench 2".into());
        order.pieces[5].remake = true;
    }
    Screen { labels: 2, ..screen }
}

pub fn card() -> Card {
    Card {
        order: "2041".into(),
        job: "Porch and awning".into(),
        mark: "A-EW-3".into(),
        place: "A · end wall · 3 of 5".into(),
        step: 4,
        steps: 11,
        action: Action::NotchLap,
        title: "Notch the lap, left end".into(),
        number: "6″".into(),
        number_caption: "along the lower edge, from the left end".into(),
        text: "The left end goes under. Notch it 6\" along and 5/8\" up from the lower edge: the hem, and a little past its fold."
            .into(),
        caution: Some(Caution::new(Signal::Caution, "Sheared edges cut: wear gloves and eye protection.")),
        working: Some(Working::new(
            "lap notch",
            "ℓ along, h + ⅛ in across from the edge",
            [("ℓ, lap", "6\"".into()), ("h, hem at the lower edge", "1/2\"".into())],
            "6\" × 5/8\"".into(),
            "common practice, no source",
        )),
        working_open: false,
        picture: Some(drawing()),
        batch: None,
        remade: None,
        label_asked: false,
        on: CardOn::Done,
        tolerance: None,
        label: None,
    }
}

/// Stands for a drawing: any picture takes its place.
fn drawing() -> Picture {
    let (width, height) = (480, 240);
    let dot = |x: u32, y: u32| if (x / 8 + y / 8).is_multiple_of(2) { [228; 3] } else { [200; 3] };
    let rgba = (0..height).flat_map(|y| (0..width).flat_map(move |x| [dot(x, y).as_slice(), &[255]].concat()));
    Picture { width, height, rgba: Arc::new(rgba.collect()) }
}

fn square(side: u32) -> Picture {
    let dot = |x: u32, y: u32| if (x / 12 + y / 12).is_multiple_of(2) { [0; 3] } else { [255; 3] };
    let rgba = (0..side).flat_map(|y| (0..side).flat_map(move |x| [dot(x, y).as_slice(), &[255]].concat()));
    Picture { width: side, height: side, rgba: Arc::new(rgba.collect()) }
}

pub fn on_card(card: Card) -> Screen {
    screen(View::Card(Box::new(card)))
}

fn bend_card() -> Card {
    Card {
        step: 6,
        action: Action::Bend,
        title: "Bend 1".into(),
        number: "10′ 11¹⁵⁄₁₆″".into(),
        number_caption: "from the stop to the bend line".into(),
        text: "Flip it end for end: painted side up, datum edge in the throat, LEFT at your right. Stop 4\" from the bend line, the \
               hem against it. Bend up through 80.5°, 99.5° left open."
            .into(),
        caution: Some(Caution::new(
            Signal::Warning,
            "Pinch point: keep hands clear of the jaw and the swinging leaf. Long and whippy: two people carry and turn it.",
        )),
        batch: Some(Batch { at: 2, of: 3 }),
        ..card()
    }
}

fn made_again_card() -> Card {
    Card {
        step: 0,
        action: Action::Shear,
        title: "Shear the blank".into(),
        number: "6⁷⁄₁₆″".into(),
        number_caption: "wide".into(),
        text: "Shear a strip 6-7/16\" wide and 10' 11-15/16\" long.".into(),
        remade: Some("damaged in the brake".into()),
        ..card()
    }
}

fn length_card() -> Card {
    Card {
        step: 9,
        action: Action::CheckLength,
        title: "Check the length".into(),
        number: "8′ 10⁵⁄₈″".into(),
        number_caption: "long, finished".into(),
        text: "Measure the finished piece end to end, at the bend. It should be 8' 10-5/8\".".into(),
        caution: None,
        on: CardOn::AsItShould,
        tolerance: Some("± ¹⁄₈″".into()),
        ..card()
    }
}

fn label_card(state: PrintState, said: &str, on: CardOn) -> Card {
    Card {
        step: 10,
        action: Action::Label,
        title: "Label the piece".into(),
        number: String::new(),
        number_caption: String::new(),
        text: "Print the label. Stick it near the LEFT end, past the 6\" that go under, on the face that will be seen, where it can be \
               scanned in the stack. Then scan it."
            .into(),
        caution: None,
        working: None,
        on,
        label: Some(LabelProgress { printer: true, state, said: said.into() }),
        ..card()
    }
}

fn keypad(units: Units) -> Screen {
    screen(View::Keypad(match units {
        Units::In => Keypad {
            mark: "A-EW-3".into(),
            units,
            wanted: "8′ 10⁵⁄₈″".into(),
            tolerance: "± ¹⁄₈″".into(),
            typed: "8′ 10¹¹⁄₁₆″".into(),
            fractions: [true, false, true, true],
            ready: true,
        },
        Units::Mm => Keypad {
            mark: "A-EW-3".into(),
            units,
            wanted: "2708 mm".into(),
            tolerance: "± 2 mm".into(),
            typed: String::new(),
            fractions: [false; 4],
            ready: false,
        },
    }))
}

fn remake(chosen: Option<usize>) -> Screen {
    let reasons = ["too short", "too long", "wrong hand", "bent the wrong way", "wrong pitch"];
    let more = ["damaged in the brake", "flawed metal", "does not fit", "something else"];
    screen(View::Remake(Remake {
        mark: "A-EW-3".into(),
        reasons: reasons.into_iter().chain(more).map(String::from).collect(),
        reported: chosen.is_none().then(|| "wrong hand: notched at the wrong end".into()),
        chosen,
    }))
}

fn labels(count: usize) -> Screen {
    let states = [PrintState::Unsure, PrintState::Stopped, PrintState::Sent, PrintState::Waiting];
    let line = |n: usize| LabelLine {
        print: n as i64,
        mark: format!("A-EW-{}", n + 1),
        order: "2041".into(),
        state: states[n % states.len()],
        said: if n == 2 { "out of labels".into() } else { String::new() },
        reprint: n == 1,
    };
    let printer = if count == 0 { "ready" } else { "out of labels" };
    let view =
        View::Labels(Labels { printer: printer.into(), ready: count == 0, lines: (0..count).map(line).collect() });
    Screen { labels: count, ..screen(view) }
}

fn settings() -> Screen {
    screen(View::Settings(Settings {
        bench: "Bench 1".into(),
        endpoint: "http://192.168.1.20:8787".into(),
        version: "0.1.0".into(),
        printer: "ready".into(),
        scan_labels: true,
        scanner: None,
        test_label: Some(square(300)),
    }))
}

fn people(count: i64) -> Screen {
    let names = ["Ana", "Benedikt", "Consuelo Altamirano", "Dov", "Eluned"];
    let person = |n: i64| Person { id: n, name: names[n as usize % names.len()].into(), pin: n % 2 == 0 };
    let (people, at_work) = ((0..count).map(person).collect(), (count > 1).then_some(0));
    screen(View::People(People { people, at_work, name_needed: count == 1 }))
}

fn join() -> Screen {
    let door =
        |title: &str, path: &str| Door { title: title.into(), address: format!("http://192.168.1.20:8787{path}") };
    let doors = vec![
        door("This phone joins the shop", "/join"),
        door("Load check of order 2041", "/load/2041"),
        door("Names and PINs of who works here", "/people"),
    ];
    screen(View::Join(Join { doors, shown: 0, picture: Some(square(348)) }))
}

fn asking(tone: Tone, text: &str, answers: &[(&str, bool)]) -> Message {
    let reply =
        |&(text, destroys): &(&str, bool)| Reply { text: text.into(), intent: Intent::DismissMessage, destroys };
    Message { tone, text: text.into(), answers: answers.iter().map(reply).collect() }
}

/// Every screen, and what may lie over it.
pub fn all() -> Vec<(&'static str, Screen)> {
    let out_of_tolerance = asking(
        Tone::Ask,
        "A-EW-3 measures 8′ 10⁷⁄₈″. It should be 8′ 10⁵⁄₈″ ± ¹⁄₈″.",
        &[("Measure again", false), ("Take it as it is", false), ("Make it again", true)],
    );
    let wrong = "Wrong label: it belongs to A-EW-2 of order 2040. Take it off. This piece is A-EW-3.";
    vec![
        ("waiting", screen(View::Waiting { back: false })),
        ("queue", Screen { labels: 2, ..queue(4) }),
        ("queue-empty", Screen { person: None, ..queue(0) }),
        ("order", busy_order()),
        ("order-done", order(31, None)),
        ("order-away", Screen { link: Link::Down, unsent: 12, ..order(31, Some(9)) }),
        ("card-notch", on_card(card())),
        ("card-bend", on_card(bend_card())),
        ("card-looked-back", on_card(Card { on: CardOn::LookOn, ..bend_card() })),
        ("card-made-again", on_card(made_again_card())),
        ("card-working", on_card(Card { working_open: true, ..card() })),
        ("card-length", on_card(length_card())),
        ("card-label", on_card(label_card(PrintState::None, "", CardOn::PrintLabel))),
        ("card-label-sent", on_card(label_card(PrintState::Sent, "out of labels", CardOn::LabelIsOn))),
        ("card-label-printed", on_card(label_card(PrintState::Printed, "", CardOn::LabelIsOn))),
        ("keypad-inches", keypad(Units::In)),
        ("keypad-millimetres", keypad(Units::Mm)),
        ("remake", remake(None)),
        ("remake-chosen", remake(Some(1))),
        ("labels", labels(4)),
        ("labels-none", labels(0)),
        ("settings", settings()),
        ("people", people(5)),
        ("people-none", people(0)),
        ("people-name-needed", people(1)),
        ("pin", screen(View::Pin(Pin { name: "Consuelo Altamirano".into(), typed: 2, wrong: true }))),
        ("join", join()),
        (
            "message-said",
            Screen {
                message: Some(asking(Tone::Say, "A-EW-3 was finished at another bench: set this one aside.", &[])),
                ..queue(4)
            },
        ),
        (
            "message-refused",
            Screen {
                message: Some(asking(Tone::Refuse, wrong, &[])),
                ..on_card(label_card(PrintState::Printed, "", CardOn::LabelIsOn))
            },
        ),
        ("message-asked", Screen { message: Some(out_of_tolerance), ..keypad(Units::In) }),
    ]
}

/// The same screen in another language and light.
pub fn looking(screen: &Screen, language: Language, dark: bool) -> Screen {
    Screen { looks: Looks { language, dark }, ..screen.clone() }
}
