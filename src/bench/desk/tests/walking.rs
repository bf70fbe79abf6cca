//! From the queue to the last card, and back.

use crate::bench::api::{CallError, MarkedEvent, State};
use crate::bench::desk::{Answer, Message, Request};
use crate::bench::screen::{CardOn, Intent, Language, Progress, Scan, View};
use crate::order::plan::Action;

use super::fixture::Bench;

#[test]
fn the_queue_says_when_and_how_far() {
    let View::Queue(queue) = Bench::new().screen().view else { panic!("starts at the queue") };
    assert_eq!(queue.orders[0].due, "Fri 4 Dec");
    assert_eq!(queue.orders[0].due_in_days, Some(9));
    assert_eq!((queue.orders[0].bent, queue.orders[0].pieces), (0, 5));
}

#[test]
fn on_walks_every_card_and_finishes_the_piece() {
    let mut bench = Bench::new();
    bench.on();
    bench.on();
    for step in 0..bench.card().steps {
        assert_eq!(bench.card().step, step);
        bench.on();
    }
    let order = bench.order();
    assert_eq!((order.bent, order.next), (1, Some(1)));
    assert_eq!(bench.shop.borrow_mut().row("A-EW-1").state, State::Bent);
    assert_eq!(bench.screen().unsent, 0);
}

/// By the space bar alone, every piece of both orders is made once.
#[test]
fn on_alone_makes_both_orders() {
    let mut bench = Bench::new();
    for _ in 0..300 {
        bench.on();
        if matches!(bench.screen().view, View::Order(order) if order.next.is_none()) {
            bench.back();
        }
    }
    let shop = bench.shop.borrow();
    assert!(shop.pieces.iter().all(|kept| kept.made == 1 && kept.answer.row.state == State::Bent));
    assert_eq!(shop.count(|event| matches!(event, MarkedEvent::Measured { accepted: false, .. })), shop.pieces.len());
}

#[test]
fn back_goes_card_by_card_then_to_the_order_and_the_queue() {
    let mut bench = Bench::new();
    bench.open("A-EW-1");
    bench.on();
    bench.back();
    assert_eq!(bench.card().step, 0);
    bench.back();
    bench.order();
    for _ in 0..2 {
        bench.back();
        assert!(matches!(bench.screen().view, View::Queue(_)));
    }
}

/// A fabricator who reads a number once more has not undone what the metal has had done to it.
#[test]
fn a_look_back_changes_nothing_until_the_hand_says_so() {
    let mut bench = Bench::new();
    bench.open("A-EW-1");
    for _ in 0..4 {
        bench.on();
    }
    let (in_hand, done) = (bench.card(), |bench: &Bench| bench.shop.borrow_mut().row("A-EW-1").done);
    bench.back();
    bench.back();
    assert_eq!((bench.card().step, bench.card().on, done(&bench)), (2, CardOn::LookOn, 4));
    bench.on();
    assert_eq!((bench.card().step, bench.card().on), (3, CardOn::LookOn));
    bench.on();
    assert_eq!(bench.card(), in_hand);
    bench.on();
    assert_eq!(done(&bench), 5);

    // Its label, or the power, brings the hand back to where it was.
    bench.back();
    let label = bench.shop.borrow_mut().row("A-EW-1").label.clone();
    bench.intend(Intent::Scanned(Scan::Label(label)));
    assert_eq!((bench.card().step, bench.card().on), (5, CardOn::Done));
    bench.back();
    assert_eq!(bench.restarted().card().step, 5);
}

#[test]
fn a_step_that_was_not_done_is_taken_back_with_all_that_came_after() {
    let mut bench = Bench::new();
    bench.open("A-EW-1");
    bench.intend(Intent::TakeBack);
    for _ in 0..4 {
        bench.on();
    }
    bench.intend(Intent::TakeBack);
    assert_eq!(bench.card().step, 4, "nothing is looked at");
    bench.back();
    bench.back();
    bench.intend(Intent::TakeBack);
    assert_eq!((bench.card().step, bench.card().on), (2, CardOn::Done));
    assert_eq!(bench.shop.borrow_mut().row("A-EW-1").done, 2);
    bench.on();
    bench.on();
    assert_eq!((bench.card().step, bench.card().on), (4, CardOn::Done), "it is not looked back at again");
}

#[test]
fn a_look_back_is_over_when_the_piece_is_moved_elsewhere() {
    let mut bench = Bench::new();
    bench.open("A-EW-1");
    bench.on();
    bench.on();
    bench.back();
    bench.shop.borrow_mut().row("A-EW-1").done = 5;
    bench.tick();
    bench.intend(Intent::DismissMessage);
    assert_eq!((bench.card().step, bench.card().on), (5, CardOn::Done));
}

/// The label is not scanned, nor the length measured, of a card that is only looked at.
#[test]
fn a_card_looked_back_at_takes_neither_length_nor_label() {
    let mut bench = Bench::at_label();
    bench.back();
    assert_eq!(bench.card().action, Action::CheckLength);
    bench.intend(Intent::OpenKeypad);
    bench.intend(Intent::CloseUnscanned);
    assert_eq!((bench.card().on, bench.shop.borrow().pieces[0].made), (CardOn::LookOn, 0));
}

#[test]
fn the_working_is_closed_before_the_step_before_is_looked_at() {
    let mut bench = Bench::new();
    bench.open("A-EW-1");
    bench.on();
    bench.intend(Intent::Working);
    assert!(bench.card().working_open);
    bench.back();
    assert_eq!((bench.card().working_open, bench.card().step), (false, 1));
}

#[test]
fn another_order_and_back_keep_every_place() {
    let mut bench = Bench::new();
    bench.open("A-EW-2");
    bench.on();
    bench.on();
    bench.intend(Intent::Pause);
    bench.back();
    bench.intend(Intent::OpenOrder("8".into()));
    bench.on();
    bench.on();
    assert_eq!((bench.card().mark.as_str(), bench.card().step), ("E-EW-1", 1));
    bench.intend(Intent::Pause);
    bench.back();
    bench.intend(Intent::OpenOrder("7".into()));
    bench.on();
    assert_eq!((bench.card().mark.as_str(), bench.card().step), ("A-EW-2", 2));
}

#[test]
fn the_last_done_is_undone_to_its_last_card() {
    let mut bench = Bench::at_label();
    bench.on();
    assert_eq!(bench.order().undo.as_deref(), Some("A-EW-1"));
    let mut bench = bench.restarted();
    bench.intend(Intent::Undo);
    assert_eq!((bench.card().mark.as_str(), bench.card().action), ("A-EW-1", Action::Label));
    assert_eq!(bench.shop.borrow_mut().row("A-EW-1").state, State::Started);
    bench.on();
    assert_eq!(bench.shop.borrow().pieces[0].made, 1);

    bench.shop.borrow_mut().row("A-EW-1").state = State::Loaded;
    bench.tick();
    assert_eq!(bench.order().undo, None, "what is on the van stays finished");
}

#[test]
fn an_order_replaced_under_the_hand_is_left() {
    let mut bench = Bench::new();
    bench.open("A-EW-1");
    for kept in &mut bench.shop.borrow_mut().pieces {
        kept.answer.row.code.insert_str(0, "NEW");
    }
    bench.tick();
    assert_eq!(bench.said(), "Order 7 was replaced: begin again from its new list.");
    bench.order();
}

#[test]
fn a_drawing_that_is_refused_or_has_no_room_is_no_message() {
    let canvas = |height| Message::Intent(Intent::Canvas { width: 580, height, dark: false });
    let is_picture = |request: &Request| matches!(request, Request::Picture { .. });
    let mut bench = Bench::new();
    bench.open("A-EW-1");
    assert!(!bench.desk.update(canvas(24)).iter().any(is_picture));
    let picture = bench.desk.update(canvas(240)).into_iter().find(is_picture).unwrap();
    let refused = CallError::Refused { word: String::new(), detail: "too small".into() };
    bench.desk.update(Message::Answer(picture, Err(refused)));
    assert_eq!(bench.said(), "");
}

#[test]
fn drawings_come_for_the_shown_card_first_and_again_when_the_canvas_changes() {
    let canvas = |width| Intent::Canvas { width, height: 90, dark: false };
    let mut bench = Bench::new();
    bench.open("A-EW-1");
    assert_eq!(bench.card().picture, None);
    bench.intend(canvas(160));
    assert!(bench.card().picture.is_some());
    let wanted = bench.desk.update(Message::Intent(canvas(170)));
    assert!(matches!(wanted[0], Request::Picture { step: 0, .. }));
    assert!(bench.card().picture.is_some(), "the one of the old size until the new one comes");
    let away = wanted.into_iter().map(|request| Message::Answer(request, Err(CallError::Away)));
    away.for_each(|answer| drop(bench.desk.update(answer)));
    bench.away.set(true);
    bench.on();
    assert!(bench.card().picture.is_some(), "away from the endpoint it must do");
}

#[test]
fn drawings_come_again_in_the_language_that_is_chosen_the_shown_one_first() {
    let drawings = |wanted: &[Request]| -> Vec<(usize, Language)> {
        let drawing = |request: &Request| match request {
            Request::Picture { step, language, .. } => Some((*step, *language)),
            _ => None,
        };
        wanted.iter().filter_map(drawing).collect()
    };
    let mut bench = Bench::new();
    bench.open("A-EW-1");
    bench.on();
    bench.intend(Intent::Canvas { width: 160, height: 90, dark: false });
    let wanted = bench.desk.update(Message::Intent(Intent::Language(Language::Spanish)));
    let all: Vec<_> = (1..bench.card().steps).chain([0]).map(|step| (step, Language::Spanish)).collect();
    assert_eq!(drawings(&wanted), all);
    let away = wanted.into_iter().map(|request| Message::Answer(request, Err(CallError::Away)));
    away.for_each(|answer| drop(bench.desk.update(answer)));
    assert!(bench.card().picture.is_some(), "the English one will do while the endpoint is away");
    bench.tick();
    assert_eq!(drawings(&bench.desk.update(Message::Tick)), [], "all have come, once");
}

#[test]
fn nothing_moves_when_nothing_is_asked() {
    let mut bench = Bench::new();
    bench.open("A-EW-1");
    let before = bench.screen();
    bench.tick();
    assert_eq!(bench.screen(), before);
    let old = Answer::Pieces(Some(Vec::new()));
    bench.desk.update(Message::Answer(Request::Pieces { order: "8".into(), afresh: false }, Ok(old)));
    assert_eq!(bench.screen(), before);
    let progress = bench.shop.borrow_mut().row("A-EW-1").done;
    bench.intend(Intent::Pause);
    assert_eq!((progress, bench.order().pieces[0].progress), (0, Progress::Waiting));
}
