//! Two benches share an order and never make a piece twice.

use crate::bench::api::{CallError, State};
use crate::bench::desk::Message;
use crate::bench::screen::Intent;

use super::fixture::{holder, two};

#[test]
fn what_is_opened_is_taken_and_what_is_left_is_let_go() {
    let (mut one, mut two) = two();
    one.open("B-EW-1");
    one.on();
    two.on();
    let order = two.order();
    let elsewhere: Vec<Option<&str>> = order.pieces.iter().map(|piece| piece.elsewhere.as_deref()).collect();
    assert_eq!(elsewhere, [None, None, Some("Brake 1"), Some("Brake 1"), Some("Brake 1")]);
    two.on();
    assert_eq!(two.card().mark, "A-EW-1");

    one.intend(Intent::Pause);
    two.intend(Intent::Pause);
    two.tick();
    assert!(two.order().pieces.iter().all(|piece| piece.elsewhere.is_none()));
    two.open("B-EW-1");
    assert_eq!((two.card().mark.as_str(), two.card().step), ("C-EW-1", 0), "where the other bench left them");
}

#[test]
fn next_is_never_another_benchs_piece() {
    let (mut one, mut two) = two();
    for mark in ["A-EW-1", "A-EW-2"] {
        one.shop.borrow_mut().row(mark).state = State::Bent;
    }
    one.tick();
    one.open("B-EW-1");
    two.on();
    assert_eq!(two.order().next, None);
    two.on();
    assert_eq!(two.order().next, None);
    two.back();
    two.on();
    assert_eq!(two.order().number, "8", "there is other work");
}

#[test]
fn another_benchs_piece_is_asked_about_and_a_stray_space_leaves_it_there() {
    let (mut one, mut two) = two();
    one.open("B-EW-1");
    one.on();
    two.open("B-EW-1");
    assert_eq!(two.said(), "B-EW-1 is being made at Brake 1. Take it over?");
    two.on();
    two.order();

    two.open("B-EW-1");
    let code = two.code("B-EW-1");
    two.intend(Intent::TakeOver(code));
    assert_eq!((two.card().mark.as_str(), two.card().batch.unwrap().of), ("C-EW-1", 3), "with those cut alike");
    one.tick();
    assert_eq!(one.said(), "B-EW-1 was taken over at Brake 2: set this one aside. The same goes for 2 more pieces.");
    one.on();
    assert_eq!(one.order().pieces[2].elsewhere.as_deref(), Some("Brake 2"));
}

#[test]
fn a_piece_finished_at_another_bench_is_told_and_let_go() {
    let (mut one, two) = two();
    // Before the next poll tells: the mark is refused.
    one.open("A-EW-1");
    two.shop.borrow_mut().row("A-EW-1").state = State::Bent;
    one.on();
    assert!(one.said().starts_with("A-EW-1: already bent"));
    assert_eq!((one.order().bent, one.screen().unsent), (1, 0));

    // With no mark of ours on its way: the poll tells.
    one.intend(Intent::DismissMessage);
    one.open("A-EW-2");
    two.shop.borrow_mut().row("A-EW-2").state = State::Bent;
    one.tick();
    assert_eq!(one.said(), "A-EW-2 was finished at another bench: set this one aside.");
    one.order();
}

#[test]
fn a_bench_keeps_its_id_and_knows_its_own_pieces_again() {
    let (mut one, _two) = two();
    one.open("A-EW-1");
    one.on();
    let before = holder(&one, "A-EW-1");
    let mut one = one.restarted();
    one.on();
    assert_eq!((holder(&one, "A-EW-1"), before.is_some()), (before, true));
    assert_eq!(one.card().step, 2);
}

#[test]
fn a_taken_piece_is_let_go_when_another_is_scanned() {
    let (mut one, mut two) = two();
    one.open("A-EW-1");
    one.intend(Intent::Scanned(crate::bench::screen::Scan::Label(one.code("E-EW-1"))));
    assert_eq!((one.card().order.as_str(), one.card().mark.as_str()), ("8", "E-EW-1"));
    two.open("A-EW-1");
    assert_eq!(two.card().mark, "A-EW-1");
}

/// Leaving lets go only of what is still this bench's, however late it hears that it is not.
#[test]
fn a_piece_taken_over_is_not_let_go_by_the_bench_that_had_it() {
    let (mut one, mut two) = two();
    one.open("A-EW-1");
    one.on();
    two.open("A-EW-1");
    let code = two.code("A-EW-1");
    two.intend(Intent::TakeOver(code));
    two.on();
    one.intend(Intent::Pause);
    assert_eq!(one.said(), "A-EW-1: Brake 2 is making this piece: take another, or take it over");
    let mut shop = one.shop.borrow_mut();
    assert_eq!((shop.row("A-EW-1").done, shop.row("A-EW-1").bench.clone().unwrap().name), (2, "Brake 2".into()));
}

#[test]
fn a_piece_is_let_go_by_a_bench_that_has_a_new_name() {
    let (mut one, _two) = two();
    one.open("A-EW-1");
    one.on();
    let mut one = one.renamed("Long brake").restarted();
    one.intend(Intent::Pause);
    assert_eq!(holder(&one, "A-EW-1"), None);
}

/// The piece was left as the network went, and taken over before that was told.
#[test]
fn a_late_letting_go_leaves_the_piece_with_who_has_it() {
    let (mut one, mut two) = two();
    one.open("A-EW-1");
    one.on();
    let letting_go = one.desk.update(Message::Intent(Intent::Pause)).remove(0);
    one.away.set(true);
    one.tell(Message::Answer(letting_go, Err(CallError::Away)));
    two.open("A-EW-1");
    let code = two.code("A-EW-1");
    two.intend(Intent::TakeOver(code));
    one.back_on_line();
    assert_eq!(holder(&one, "A-EW-1").as_deref(), Some("Brake 2"));
    assert_eq!(one.said(), "A-EW-1: Brake 2 is making this piece: take another, or take it over");
}

#[test]
fn a_letting_go_whose_answer_is_not_understood_is_sent_again_and_nothing_with_it() {
    let (mut one, _two) = two();
    one.open("A-EW-1");
    one.on();
    let before = one.shop.borrow().taken.len();
    one.garbles.set(Some("A-EW-1"));
    one.intend(Intent::Pause);
    for _ in 0..5 {
        one.tick();
    }
    one.garbles.set(None);
    one.tick();
    assert_eq!((holder(&one, "A-EW-1"), one.screen().unsent), (None, 0));
    assert_eq!(one.shop.borrow().taken.len() - before, 1, "{:?}", one.shop.borrow().taken);
}
