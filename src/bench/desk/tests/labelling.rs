//! The card of the label: printed once, stuck on, scanned.

use crate::bench::api::{CallError, MarkedEvent, PrintWord, PrinterState, State};
use crate::bench::desk::Message;
use crate::bench::screen::{CardOn, Intent, Page, PrintState, Scan, View};
use crate::order::plan::Action;

use super::fixture::Bench;

fn with_printer() -> Bench {
    let mut bench = Bench::at_label();
    bench.shop.borrow_mut().printer = PrinterState::Ready;
    bench.tick();
    bench
}

fn prints(bench: &Bench) -> usize {
    bench.shop.borrow().prints.len()
}

fn state(bench: &Bench) -> PrintState {
    bench.card().label.unwrap().state
}

#[test]
fn without_a_printer_the_old_words_stand_and_on_closes() {
    let mut bench = Bench::at_label();
    let card = bench.card();
    assert_eq!((card.on, card.label.unwrap().printer), (CardOn::LabelIsOn, false));
    assert!(card.text.contains("from the order's sheet"), "{}", card.text);
    bench.on();
    assert_eq!(bench.order().bent, 1);
}

#[test]
fn with_a_printer_on_prints_once_and_then_closes() {
    let mut bench = with_printer();
    assert_eq!((bench.card().on, state(&bench)), (CardOn::PrintLabel, PrintState::None));
    bench.on();
    assert_eq!((prints(&bench), state(&bench)), (1, PrintState::Waiting));
    // A hand that touches twice.
    bench.on();
    assert_eq!(bench.said(), "The label of A-EW-1 is not known to be out. Is it on the piece?");
    bench.on();
    bench.intend(Intent::PrintLabel);
    assert_eq!((prints(&bench), bench.card().action), (1, Action::Label));

    bench.shop.borrow_mut().printer_says(PrintWord::Sent, "");
    bench.tick();
    assert_eq!(state(&bench), PrintState::Sent);
    bench.shop.borrow_mut().printer_says(PrintWord::Printed, "");
    bench.tick();
    assert_eq!((state(&bench), bench.card().on), (PrintState::Printed, CardOn::LabelIsOn));
    bench.on();
    assert_eq!(bench.order().bent, 1);
}

#[test]
fn a_label_the_printer_gave_up_is_printed_anew() {
    let mut bench = with_printer();
    bench.on();
    bench.shop.borrow_mut().printer_says(PrintWord::Stopped, "out of labels");
    bench.tick();
    let label = bench.card().label.unwrap();
    assert_eq!((label.state, label.said.as_str(), bench.screen().labels), (PrintState::Stopped, "out of labels", 1));
    bench.on();
    assert_eq!((prints(&bench), state(&bench)), (2, PrintState::Waiting));
}

#[test]
fn nobody_knows_whether_it_came_out_and_it_can_be_printed_again() {
    let mut bench = with_printer();
    bench.on();
    bench.shop.borrow_mut().printer_says(PrintWord::Unsure, "");
    bench.tick();
    assert_eq!((bench.card().on, bench.screen().labels), (CardOn::LabelIsOn, 1));
    let old = bench.shop.borrow_mut().row("A-EW-1").label.clone();
    bench.intend(Intent::Reprint);
    bench.intend(Intent::Reprint);
    assert_eq!(bench.said(), "The label of A-EW-1 is on its way already.");
    bench.intend(Intent::DismissMessage);
    assert_eq!(prints(&bench), 2);
    bench.shop.borrow_mut().printer_says(PrintWord::Sent, "");
    bench.intend(Intent::Scanned(Scan::Label(old)));
    assert_eq!(bench.said(), "This label of A-EW-1 was printed again");
    let new = bench.shop.borrow_mut().row("A-EW-1").label.clone();
    bench.intend(Intent::Scanned(Scan::Label(new)));
    assert_eq!(bench.order().bent, 1);
}

#[test]
fn its_own_label_closes_the_piece_and_another_is_refused_by_name() {
    let mut bench = with_printer();
    bench.on();
    bench.shop.borrow_mut().printer_says(PrintWord::Printed, "");
    bench.tick();
    for (mark, said) in [
        ("A-EW-2", "Wrong label: it belongs to A-EW-2. Take it off. This piece is A-EW-1."),
        ("E-EW-1", "Wrong label: it belongs to E-EW-1 of order 8. Take it off. This piece is A-EW-1."),
    ] {
        let other = bench.code(mark);
        bench.intend(Intent::Scanned(Scan::Label(other)));
        assert_eq!(bench.said(), said);
        assert_eq!(bench.shop.borrow_mut().row("A-EW-1").state, State::Started);
    }
    let own = bench.code("A-EW-1");
    bench.intend(Intent::Scanned(Scan::Label(own)));
    assert_eq!((bench.order().bent, bench.said().as_str()), (1, ""));
}

#[test]
fn who_has_a_scanner_is_asked_before_a_piece_is_closed_without_it() {
    let mut bench = Bench::at_label();
    let other = bench.code("A-EW-2");
    bench.intend(Intent::Scanned(Scan::Label(other)));
    bench.intend(Intent::DismissMessage);
    let mut bench = bench.restarted();
    bench.on();
    assert_eq!(bench.said(), "The label of A-EW-1 was not scanned. Close the piece without scanning?");
    bench.on();
    assert_eq!(bench.card().action, Action::Label);
    bench.on();
    bench.intend(Intent::CloseUnscanned);
    assert_eq!(bench.order().bent, 1);

    // A hand's word counts for more than the next scan.
    bench.intend(Intent::ScanLabels(false));
    bench.open("A-EW-2");
    let own = bench.code("A-EW-2");
    bench.intend(Intent::Scanned(Scan::Label(own)));
    bench.on_to(Action::Label);
    bench.on();
    assert_eq!(bench.order().bent, 2);
}

#[test]
fn away_from_the_endpoint_its_own_label_still_closes_the_piece() {
    let mut bench = Bench::at_label();
    bench.away.set(true);
    bench.tick();
    bench.intend(Intent::Scanned(Scan::Label("STRANGE".into())));
    assert_eq!(bench.said(), "Wrong label: it is not that of A-EW-1. Take it off.");
    let own = bench.code("A-EW-1");
    bench.intend(Intent::Scanned(Scan::Label(own)));
    assert_eq!(bench.order().bent, 1);
}

/// A print that another bench had asked for already is told, and the piece's other marks go on.
#[test]
fn a_print_asked_for_twice_over_is_refused_and_the_piece_still_finished() {
    let mut bench = with_printer();
    bench.away.set(true);
    bench.on();
    bench.intend(Intent::On);
    bench.intend(Intent::CloseUnscanned);
    let code = bench.code("A-EW-1");
    bench.shop.borrow_mut().ask_print(&code, false).unwrap();
    bench.back_on_line();
    assert_eq!(bench.said(), "The label of A-EW-1 was printed before");
    assert_eq!((bench.order().bent, prints(&bench), bench.screen().unsent), (1, 1, 0));
}

#[test]
fn the_page_of_labels_lists_what_needs_a_hand() {
    let mut bench = with_printer();
    bench.on();
    bench.shop.borrow_mut().printer = PrinterState::Stopped;
    bench.tick();
    assert_eq!(bench.screen().labels, 1, "the printer does not go on by itself");
    bench.shop.borrow_mut().printer_says(PrintWord::Unsure, "the kiosk stopped");
    bench.intend(Intent::Open(Page::Labels));
    bench.tick();
    let View::Labels(labels) = bench.screen().view else { panic!("not the labels") };
    assert_eq!((labels.printer.as_str(), labels.ready, labels.lines.len()), ("stopped", false, 1));
    assert_eq!((labels.lines[0].mark.as_str(), labels.lines[0].order.as_str()), ("A-EW-1", "7"));
    bench.intend(Intent::CameOut(labels.lines[0].print));
    let View::Labels(labels) = bench.screen().view else { panic!("not the labels") };
    assert!(labels.lines.is_empty());
    bench.intend(Intent::PrintTest);
    let View::Labels(labels) = bench.screen().view else { panic!("not the labels") };
    assert_eq!(labels.lines[0].mark, "test label");
    assert_eq!(bench.said(), "The test label waits for the printer.");
    bench.intend(Intent::PrintTest);
    assert_eq!((bench.said().as_str(), prints(&bench)), ("A test label waits for the printer already.", 2));
    bench.intend(Intent::DismissMessage);
    bench.back();
    assert_eq!(bench.card().action, Action::Label);
    bench.shop.borrow_mut().printer_says(PrintWord::Printed, "");
    bench.tick();
    bench.away.set(true);
    bench.intend(Intent::PrintTest);
    assert_eq!(bench.said(), "The endpoint does not answer: try again when it is back.");
}

#[test]
fn a_print_asked_for_over_a_power_cut_is_made_once() {
    let mut bench = with_printer();
    bench.away.set(true);
    bench.on();
    let mut bench = bench.restarted();
    bench.back_on_line();
    assert_eq!((prints(&bench), state(&bench)), (1, PrintState::Waiting));
    assert_eq!(bench.shop.borrow().count(|event| matches!(event, MarkedEvent::Print { .. })), 1);
}

/// Neither before the endpoint has said which label counts now, nor while it cannot.
#[test]
fn a_label_printed_again_closes_nothing_before_the_next_list() {
    let mut bench = with_printer();
    bench.on();
    bench.shop.borrow_mut().printer_says(PrintWord::Unsure, "");
    bench.tick();
    let old = Intent::Scanned(Scan::Label(bench.shop.borrow_mut().row("A-EW-1").label.clone()));
    let send = bench.desk.update(Message::Intent(Intent::Reprint)).remove(0);
    let taken = bench.shop.borrow_mut().answer(&send);
    bench.shop.borrow_mut().printer_says(PrintWord::Sent, "");
    let wanted = bench.desk.update(Message::Answer(send, taken));
    bench.desk.update(Message::Intent(old.clone()));
    assert_eq!(bench.card().action, Action::Label);
    for request in wanted {
        bench.desk.update(Message::Answer(request, Err(CallError::Away)));
    }
    bench.away.set(true);
    bench.intend(old);
    assert_eq!(bench.said(), "Wrong label: it is not that of A-EW-1. Take it off.");
    assert_eq!(bench.shop.borrow_mut().row("A-EW-1").state, State::Started);
}

#[test]
fn a_label_that_waits_for_the_printer_is_not_said_to_be_on_its_way() {
    let mut bench = with_printer();
    bench.on();
    assert!(bench.card().text.starts_with("The label is on its way."), "{}", bench.card().text);
    for (state, said) in [(PrinterState::Away, "does not answer"), (PrinterState::Stopped, "stopped")] {
        bench.shop.borrow_mut().printer = state;
        bench.tick();
        let card = bench.card();
        assert!(card.text.starts_with("The label waits for the printer, and comes by itself"), "{}", card.text);
        assert_eq!(card.label.unwrap().said, said);
    }
    bench.shop.borrow_mut().printer_says(PrintWord::Waiting, "out of labels");
    bench.tick();
    assert_eq!(bench.card().label.unwrap().said, "out of labels");
}
