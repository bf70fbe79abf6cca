//! Settings, people, phone pages: asked for while they are shown, and left for what they lie over.

use crate::bench::desk::Request;
use crate::bench::screen::{Intent, Language, Page, View};

use super::fixture::Bench;

fn asked(bench: &Bench, is: fn(&Request) -> bool) -> usize {
    bench.shop.borrow().asked.iter().filter(|request| is(request)).count()
}

#[test]
fn a_page_lies_over_the_card_and_is_left_for_it() {
    let mut bench = Bench::new();
    bench.open("A-EW-1");
    bench.on();
    for page in [Page::Labels, Page::Settings, Page::People, Page::Join] {
        bench.intend(Intent::Open(page));
        assert!(!matches!(bench.screen().view, View::Card(_)));
        bench.back();
        assert_eq!(bench.card().step, 1);
    }
    bench.intend(Intent::Open(Page::Settings));
    bench.on();
    assert_eq!(bench.card().step, 1, "a stray space only closes the page");
}

#[test]
fn looks_are_kept_over_a_restart_and_change_under_a_question() {
    let mut bench = Bench::new();
    bench.intend(Intent::Language(Language::Spanish));
    bench.intend(Intent::Dark(true));
    bench.intend(Intent::Open(Page::Settings));
    let bench = bench.restarted();
    assert_eq!((bench.screen().looks.language, bench.screen().looks.dark), (Language::Spanish, true));
    assert!(matches!(bench.screen().view, View::Queue(_)), "a page is not a place");
}

#[test]
fn a_name_is_chosen_and_signs_what_is_done() {
    let mut bench = Bench::new();
    bench.intend(Intent::Open(Page::People));
    bench.intend(Intent::Person(1));
    assert_eq!(bench.screen().person.as_deref(), Some("Ana"));
    let mut bench = bench.restarted();
    bench.open("A-EW-1");
    bench.on();
    assert!(bench.shop.borrow().taken.iter().all(|mark| mark.by.as_deref() == Some("Ana")));
    bench.intend(Intent::Open(Page::People));
    let View::People(people) = bench.screen().view else { panic!("not the people") };
    assert_eq!(people.at_work, Some(0));
    bench.intend(Intent::Nobody);
    assert_eq!((bench.screen().person, bench.card().step), (None, 1));
}

/// Whatever is on the screen: who left signs nothing more, nor whoever took a name that has a PIN by now.
#[test]
fn a_name_that_cannot_sign_any_more_is_signed_off() {
    let sign_on = || {
        let mut bench = Bench::new();
        bench.intend(Intent::Open(Page::People));
        bench.intend(Intent::Person(1));
        bench.open("A-EW-1");
        bench.tick();
        assert_eq!(bench.screen().person.as_deref(), Some("Ana"));
        bench
    };
    let mut bench = sign_on();
    bench.shop.borrow_mut().people.remove(0);
    bench.tick();
    assert_eq!(bench.screen().person, None);
    bench.on();
    assert_eq!(bench.shop.borrow().taken.last().unwrap().by, None);

    let mut bench = sign_on();
    bench.shop.borrow_mut().people[0].pin = true;
    bench.tick();
    assert_eq!(bench.screen().person, None);
}

#[test]
fn a_pin_is_asked_for_and_checked() {
    let pin = |bench: &Bench| match bench.screen().view {
        View::Pin(pin) => (pin.name, pin.typed, pin.wrong),
        view => panic!("not the PIN: {view:?}"),
    };
    let type_in = |bench: &mut Bench, digits: [u8; 4]| {
        digits.iter().for_each(|digit| bench.intend(Intent::PinDigit(*digit)));
        bench.on();
    };
    let mut bench = Bench::new();
    bench.intend(Intent::Open(Page::People));
    bench.intend(Intent::Person(2));
    assert_eq!(pin(&bench), ("Ben".into(), 0, false));
    type_in(&mut bench, [1, 1, 1, 1]);
    assert_eq!(pin(&bench), ("Ben".into(), 0, true));
    bench.intend(Intent::PinDigit(2));
    bench.on();
    bench.intend(Intent::PinErase);
    assert_eq!(pin(&bench), ("Ben".into(), 0, false), "one digit is no PIN");
    bench.away.set(true);
    type_in(&mut bench, [2, 4, 6, 8]);
    assert!(bench.said().starts_with("The endpoint does not answer"));
    let kept = format!("{:?} {:?} {:?}", bench.desk.over, bench.desk.asking.asked, bench.desk.asking.failed);
    assert!(!kept.contains("2468") && !kept.contains("Enter"), "{kept}");
    bench.intend(Intent::DismissMessage);
    bench.back_on_line();
    bench.on();
    assert_eq!(bench.screen().person.as_deref(), Some("Ben"));
    assert!(matches!(bench.screen().view, View::Queue(_)));
}

#[test]
fn what_a_page_shows_is_asked_for_only_while_it_is_shown() {
    let mut bench = Bench::new();
    bench.intend(Intent::Canvas { width: 300, height: 300, dark: false });
    let people = |request: &Request| matches!(request, Request::People);
    let door = |request: &Request| matches!(request, Request::Door { .. });
    bench.tick();
    assert_eq!((asked(&bench, people), asked(&bench, door)), (0, 0));
    bench.intend(Intent::Open(Page::People));
    bench.tick();
    assert_eq!(asked(&bench, people), 2);
    bench.intend(Intent::Open(Page::Join));
    bench.tick();
    bench.tick();
    assert_eq!((asked(&bench, people), asked(&bench, door)), (2, 1));
    bench.intend(Intent::Open(Page::Settings));
    assert_eq!(asked(&bench, |request| matches!(request, Request::TestLabel { .. })), 1);
    let View::Settings(settings) = bench.screen().view else { panic!("not the settings") };
    assert_eq!((settings.bench.as_str(), settings.printer.as_str()), ("Brake 1", "no printer is set"));
    assert!(settings.test_label.is_some() && !settings.scan_labels);
}

#[test]
fn doors_lead_to_the_phone_pages() {
    let mut bench = Bench::new();
    bench.intend(Intent::Canvas { width: 300, height: 300, dark: false });
    bench.intend(Intent::OpenOrder("8".into()));
    bench.intend(Intent::Open(Page::Join));
    let join = |bench: &Bench| match bench.screen().view {
        View::Join(join) => join,
        view => panic!("not the doors: {view:?}"),
    };
    let addresses: Vec<String> = join(&bench).doors.into_iter().map(|door| door.address).collect();
    let paths = ["join", "people", "load/8", "load/7"];
    assert_eq!(addresses, paths.map(|path| format!("http://192.168.1.20:8787/{path}")));
    bench.intend(Intent::Door(2));
    assert_eq!((join(&bench).shown, join(&bench).picture.is_some()), (2, true));
    let last = bench.shop.borrow().asked.iter().rev().find_map(|request| match request {
        Request::Door { to, .. } => Some(to.clone()),
        _ => None,
    });
    assert_eq!(last.as_deref(), Some("load/8"));
    bench.on();
    bench.on();
    assert_eq!(join(&bench).shown, 0, "on goes round");
}
