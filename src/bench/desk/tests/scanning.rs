//! A scanner on every screen.

use crate::bench::api::State;
use crate::bench::screen::{Command, Intent, Page, Scan, Tone, View};
use crate::order::plan::Action;

use super::fixture::Bench;

fn scan(bench: &mut Bench, code: &str) {
    bench.intend(Intent::Scanned(Scan::Label(code.into())));
}

#[test]
fn a_label_opens_its_piece_from_anywhere() {
    let mut bench = Bench::new();
    let code = bench.code("E-EW-1");
    scan(&mut bench, &code);
    assert_eq!((bench.card().order.as_str(), bench.card().mark.as_str()), ("8", "E-EW-1"));
    bench.intend(Intent::Open(Page::Join));
    let code = bench.code("A-EW-2");
    scan(&mut bench, &code);
    assert_eq!((bench.card().order.as_str(), bench.card().mark.as_str()), ("7", "A-EW-2"));
    bench.on();
    scan(&mut bench, &code);
    assert_eq!(bench.card().step, 1, "the piece at the card stays there");
}

#[test]
fn cards_drive_the_bench() {
    let mut bench = Bench::new();
    let command = |command| Intent::Scanned(Scan::Command(command));
    bench.intend(command(Command::On));
    bench.intend(command(Command::On));
    bench.intend(command(Command::On));
    assert_eq!(bench.card().step, 1);
    bench.intend(command(Command::Back));
    assert_eq!(bench.card().step, 0);
    bench.intend(command(Command::On));
    bench.intend(command(Command::Pause));
    assert_eq!(bench.order().number, "7");
}

#[test]
fn a_finished_piece_tells_its_state_and_what_can_be_done() {
    let mut bench = Bench::new();
    bench.shop.borrow_mut().row("E-EW-1").state = State::Bent;
    bench.shop.borrow_mut().row("A-EW-1").state = State::Loaded;
    bench.open("A-EW-2");
    let (loaded, bent) = (bench.code("A-EW-1"), bench.code("E-EW-1"));
    bench.tick();
    scan(&mut bench, &loaded);
    assert_eq!(bench.said(), "A-EW-1 is on the van.");
    assert_eq!(bench.answers(), [Intent::DismissMessage, Intent::OpenRemake]);
    scan(&mut bench, &bent);
    assert_eq!(bench.said(), "E-EW-1 is finished.");
    assert_eq!(bench.answers(), [Intent::DismissMessage, Intent::Undo, Intent::OpenRemake]);
    bench.on();
    assert_eq!(bench.card().mark, "A-EW-2", "nothing was left for it");

    scan(&mut bench, &bent);
    bench.intend(Intent::Undo);
    assert_eq!((bench.card().mark.as_str(), bench.card().action), ("E-EW-1", Action::Label));
    assert_eq!(bench.shop.borrow_mut().row("E-EW-1").state, State::Started);
}

#[test]
fn a_label_that_no_longer_counts_says_so() {
    let mut bench = Bench::new();
    let old = bench.code("A-EW-1");
    bench.open("A-EW-1");
    bench.intend(Intent::OpenRemake);
    bench.intend(Intent::Because(0));
    bench.intend(Intent::Remake);
    bench.intend(Intent::DismissMessage);
    scan(&mut bench, &old);
    assert_eq!(bench.screen().message.unwrap().tone, Tone::Refuse);
    assert_eq!(bench.said(), "A-EW-1: this piece was made again: look for the label TEST AQYZ MW68");
    scan(&mut bench, "UNKNOWN");
    assert_eq!(bench.said(), "No piece has this label");
    bench.order();
}

#[test]
fn what_is_scanned_over_a_message_is_what_counts() {
    let mut bench = Bench::new();
    bench.intend(Intent::Scanned(Scan::Refused { why: "another trade's bar code".into() }));
    assert_eq!(bench.said(), "Another trade's bar code");
    let code = bench.code("A-EW-1");
    scan(&mut bench, &code);
    assert_eq!((bench.card().mark.as_str(), bench.said().as_str()), ("A-EW-1", ""));
}

#[test]
fn the_test_label_shows_where_the_scanner_is_tried() {
    let test = Intent::Scanned(Scan::Test { how: "as it was sent".into() });
    let mut bench = Bench::new();
    bench.intend(test.clone());
    assert_eq!(bench.said(), "The test label was read: as it was sent");
    bench.intend(Intent::DismissMessage);
    bench.intend(Intent::Open(Page::Settings));
    bench.intend(test);
    let View::Settings(settings) = bench.screen().view else { panic!("not the settings") };
    assert_eq!((settings.scanner.as_deref(), bench.said().as_str()), (Some("as it was sent"), ""));
}

#[test]
fn away_from_the_endpoint_the_open_orders_labels_are_known() {
    let mut bench = Bench::new();
    bench.on();
    let (here, elsewhere) = (bench.code("A-EW-1"), bench.code("E-EW-1"));
    bench.away.set(true);
    bench.tick();
    scan(&mut bench, &elsewhere);
    assert_eq!(bench.said(), "The endpoint does not answer: this label cannot be looked up now.");
    scan(&mut bench, &here);
    assert_eq!(bench.card().mark, "A-EW-1");
}

/// On a page that lies over the card of a label, nobody is sticking one on.
#[test]
fn over_a_page_a_label_opens_its_piece_even_from_the_card_of_the_label() {
    let mut bench = Bench::at_label();
    bench.intend(Intent::Open(Page::Settings));
    let code = bench.code("A-EW-2");
    scan(&mut bench, &code);
    assert_eq!((bench.card().mark.as_str(), bench.said().as_str()), ("A-EW-2", ""));
}

#[test]
fn the_pause_card_pauses_whatever_is_asked() {
    let mut bench = Bench::at_label();
    bench.intend(Intent::ScanLabels(true));
    bench.on();
    assert_eq!(bench.screen().message.unwrap().tone, Tone::Ask);
    bench.intend(Intent::Scanned(Scan::Command(Command::Pause)));
    assert_eq!((bench.order().bent, bench.said().as_str()), (0, ""));
}
