//! Away from the endpoint, when its answers are no use, and after the power went.

use crate::bench::api::{CallError, State};
use crate::bench::desk::{Message, Request};
use crate::bench::screen::{Intent, Link, View};
use crate::order::plan::Action;

use super::fixture::Bench;

#[test]
fn works_on_while_the_endpoint_is_away_and_catches_up() {
    let mut bench = Bench::new();
    bench.open("A-EW-1");
    bench.away.set(true);
    bench.on();
    bench.on();
    assert_eq!((bench.card().step, bench.screen().link, bench.screen().unsent), (2, Link::Down, 2));

    let mut bench = bench.restarted();
    assert_eq!(bench.screen().unsent, 2, "the power went: the marks are still here");
    bench.back_on_line();
    assert_eq!((bench.screen().link, bench.screen().unsent), (Link::Up, 0));
    assert_eq!(bench.card().step, 2);
    assert_eq!(bench.shop.borrow_mut().row("A-EW-1").done, 2);
}

#[test]
fn a_whole_piece_and_the_next_are_made_while_the_endpoint_is_away() {
    let mut bench = Bench::new();
    bench.open("A-EW-1");
    bench.away.set(true);
    bench.on_to(Action::Label);
    bench.on();
    bench.on();
    assert_eq!(bench.card().mark, "A-EW-2");
    bench.on();
    bench.back_on_line();
    assert_eq!(bench.shop.borrow_mut().row("A-EW-1").state, State::Bent);
    assert_eq!(bench.shop.borrow_mut().row("A-EW-2").done, 1);
}

#[test]
fn comes_back_at_the_card_it_left() {
    let mut bench = Bench::new();
    bench.open("A-EW-1");
    for _ in 0..3 {
        bench.on();
    }
    assert_eq!(bench.restarted().card().step, 3);
}

#[test]
fn undone_away_from_the_endpoint() {
    let mut bench = Bench::at_label();
    bench.away.set(true);
    bench.on();
    bench.intend(Intent::Undo);
    assert_eq!(bench.card().action, Action::Label);
    bench.back();
    bench.intend(Intent::TakeBack);
    bench.back_on_line();
    assert_eq!(bench.card().action, Action::CheckLength);
    assert_eq!(bench.shop.borrow().pieces[0].made, 0);
}

#[test]
fn a_refused_key_is_said_and_nothing_is_lost() {
    let mut bench = Bench::new();
    bench.open("A-EW-1");
    let requests = bench.desk.update(Message::Intent(Intent::On));
    let sent = requests.into_iter().find(|request| matches!(request, Request::Send(_))).unwrap();
    bench.desk.update(Message::Answer(sent, Err(CallError::Key)));
    assert_eq!((bench.screen().link, bench.screen().unsent), (Link::Refused, 1));
}

/// Whatever is refused of one piece, the others' marks go on.
#[test]
fn a_refused_mark_is_told_and_the_rest_is_sent() {
    let mut bench = Bench::new();
    bench.open("A-EW-1");
    bench.away.set(true);
    bench.on();
    bench.intend(Intent::Pause);
    bench.open("B-EW-1");
    bench.on();
    bench.shop.borrow_mut().row("A-EW-1").state = State::Bent;
    bench.back_on_line();
    assert!(bench.said().starts_with("A-EW-1: already bent"), "{}", bench.said());
    assert_eq!(bench.screen().unsent, 0);
    assert_eq!(bench.shop.borrow_mut().row("B-EW-1").done, 1);
}

/// One piece's marks rest until the next poll; that is said once, over no question, and other pieces' marks go on.
#[test]
fn an_answer_that_is_not_understood_holds_up_only_its_own_piece() {
    let mut bench = Bench::new();
    bench.on();
    bench.shop.borrow_mut().row("A-EW-2").state = State::Bent;
    bench.tick();
    bench.away.set(true);
    bench.open("A-EW-1");
    bench.on();
    bench.intend(Intent::Pause);
    bench.open("B-EW-1");
    bench.open("A-EW-2");
    bench.away.set(false);
    bench.garbles.set(Some("A-EW-1"));
    for _ in 0..3 {
        bench.tick();
        assert_eq!(bench.said(), "A-EW-2 is finished.");
    }
    let holder = bench.shop.borrow_mut().row("B-EW-1").bench.clone();
    assert_eq!(holder.unwrap().name, "Brake 1");
    bench.intend(Intent::DismissMessage);
    bench.tick();
    assert_eq!(bench.said(), "The endpoint's answer was not understood: what?");
    bench.intend(Intent::DismissMessage);
    bench.tick();
    assert_eq!((bench.said().as_str(), bench.screen().unsent > 0), ("", true));
    bench.garbles.set(None);
    bench.tick();
    assert_eq!((bench.screen().unsent, bench.shop.borrow_mut().row("A-EW-1").done), (0, 1));
}

#[test]
fn what_was_last_seen_can_be_gone_on_with_while_the_endpoint_is_away() {
    let mut bench = Bench::new();
    bench.open("A-EW-1");
    bench.on();
    bench.away.set(true);
    bench.on();
    bench.intend(Intent::Pause);
    bench.back();
    bench.intend(Intent::OpenOrder("7".into()));
    bench.open("A-EW-1");
    assert_eq!(bench.card().step, 2);
    bench.intend(Intent::Pause);
    bench.back();
    bench.intend(Intent::OpenOrder("9".into()));
    assert_eq!(bench.screen().view, View::Waiting { back: true });
    bench.back();
    assert!(matches!(bench.screen().view, View::Queue(_)));
}

#[test]
fn a_bench_that_starts_while_the_endpoint_is_away_stands_at_its_card() {
    let mut bench = Bench::new();
    bench.open("B-EW-1");
    bench.on();
    bench.on();
    bench.tick();
    bench.away.set(true);
    bench.on();
    bench.on();
    let before = bench.card();
    let mut bench = bench.restarted();
    let card = bench.card();
    assert_eq!((card.mark, card.step, card.batch), (before.mark, before.step, before.batch));
    bench.on();
    assert_eq!(bench.screen().unsent, 3);
    let mut bench = bench.restarted();
    assert_eq!((bench.card().mark.as_str(), bench.screen().unsent), ("D-EW-1", 3));
    bench.back_on_line();
    assert_eq!((bench.screen().unsent, bench.said().as_str(), bench.card().mark.as_str()), (0, "", "D-EW-1"));
    let done = ["B-EW-1", "C-EW-1", "D-EW-1"].map(|mark| bench.shop.borrow_mut().row(mark).done);
    assert_eq!(done, [2, 2, 1]);
}

/// What was done and taken since the file was written is not said to have been done elsewhere.
#[test]
fn a_bench_that_starts_with_an_old_file_stands_where_the_endpoint_says() {
    let mut bench = Bench::new();
    bench.open("A-EW-1");
    bench.tick();
    bench.on();
    bench.on();
    let mut bench = bench.restarted();
    assert_eq!((bench.card().step, bench.said().as_str()), (2, ""));
    bench.on();
    assert_eq!(bench.shop.borrow_mut().row("A-EW-1").done, 3);
}

/// What the endpoint took since the larger file was written is known all the same: nothing is let go as it was before.
#[test]
fn away_from_the_endpoint_it_comes_back_at_the_card_it_left_and_sets_nothing_back() {
    let mut bench = Bench::new();
    bench.open("A-EW-1");
    bench.tick();
    bench.on();
    bench.on();
    let mut bench = bench.unplugged();
    assert_eq!(bench.card().step, 2);
    bench.intend(Intent::Pause);
    bench.back_on_line();
    assert_eq!(bench.shop.borrow_mut().row("A-EW-1").done, 2);
    assert!(!bench.shop.borrow().set_back);
}
