//! What was done here to a piece that another bench has: told, set aside, and kept until a hand decides.

use crate::bench::api::{MarkedEvent, State};
use crate::bench::screen::{Intent, Tone};
use crate::order::plan::Action;

use super::fixture::{Bench, holder, two};

/// Both begin the same piece, one of them away from the endpoint: whoever comes later is told, and nothing is lost.
#[test]
fn a_bench_that_comes_back_late_is_told_and_may_take_over_what_it_did() {
    let (mut one, mut two) = two();
    one.on();
    one.on();
    one.intend(Intent::Pause);
    one.away.set(true);
    one.open("A-EW-1");
    for _ in 0..3 {
        one.on();
    }
    two.open("A-EW-1");
    two.on();
    one.back_on_line();
    assert_eq!(one.said(), "A-EW-1: Brake 2 is making this piece: take another, or take it over");
    assert_eq!(one.screen().message.unwrap().tone, Tone::Ask);

    // The power goes before anybody has read it.
    let mut one = one.restarted();
    assert_eq!(one.said(), "A-EW-1: Brake 2 is making this piece: take another, or take it over");
    assert_eq!(one.screen().unsent, 0);
    let code = one.code("A-EW-1");
    one.intend(Intent::TakeOver(code));
    assert_eq!((one.card().mark.as_str(), one.card().step), ("A-EW-1", 3), "with what was done here");
    assert_eq!(one.shop.borrow_mut().row("A-EW-1").done, 3);
    two.on();
    assert_eq!(two.said(), "A-EW-1: Brake 1 is making this piece: take another, or take it over");
}

#[test]
fn a_piece_set_aside_is_not_asked_about_again_and_what_was_done_to_it_is_kept() {
    let (mut one, mut two) = two();
    one.open("A-EW-1");
    one.intend(Intent::Pause);
    one.away.set(true);
    one.open("A-EW-1");
    one.on_to(Action::Label);
    one.on();
    two.open("A-EW-1");
    one.back_on_line();
    one.on();
    for _ in 0..3 {
        one.tick();
    }
    assert_eq!(one.said(), "");
    let mut one = one.restarted();
    assert_eq!(one.said(), "");
    one.open("A-EW-1");
    let code = one.code("A-EW-1");
    one.intend(Intent::TakeOver(code));
    assert_eq!(one.shop.borrow_mut().row("A-EW-1").state, State::Bent, "it had been finished here");
    assert_eq!(one.shop.borrow().count(|event| matches!(event, MarkedEvent::Bent { .. })), 1);
    assert!(one.desk.memory().disputes.is_empty());
}

#[test]
fn a_whole_batch_at_another_bench_is_one_question() {
    let (mut one, mut two) = two();
    one.open("B-EW-1");
    one.intend(Intent::Pause);
    one.away.set(true);
    one.open("B-EW-1");
    one.on();
    two.open("B-EW-1");
    one.back_on_line();
    assert_eq!(
        one.said(),
        "B-EW-1: Brake 2 is making this piece: take another, or take it over. The same goes for 2 more pieces."
    );
    let code = one.code("B-EW-1");
    one.intend(Intent::TakeOver(code));
    assert_eq!((one.card().mark.as_str(), one.card().batch.unwrap().of), ("C-EW-1", 3));
    one.intend(Intent::Pause);
    one.tick();
    assert_eq!(one.said(), "");
}

#[test]
fn a_dispute_over_a_piece_that_is_finished_is_over() {
    let (mut one, mut two) = two();
    one.open("A-EW-1");
    one.intend(Intent::Pause);
    one.away.set(true);
    one.open("A-EW-1");
    one.on();
    two.open("A-EW-1");
    one.back_on_line();
    one.on();
    assert_eq!(one.desk.memory().disputes.len(), 1);
    two.on_to(Action::Label);
    two.on();
    one.tick();
    assert!(one.desk.memory().disputes.is_empty());
}

#[test]
fn what_is_taken_over_after_a_pause_is_held() {
    let (mut one, mut two) = two();
    one.on();
    one.away.set(true);
    one.open("A-EW-1");
    one.on();
    one.intend(Intent::Pause);
    two.open("A-EW-1");
    one.back_on_line();
    assert_eq!(one.said(), "A-EW-1: Brake 2 is making this piece: take another, or take it over");
    let code = one.code("A-EW-1");
    one.intend(Intent::TakeOver(code));
    assert_eq!((one.card().step, one.shop.borrow_mut().row("A-EW-1").done), (1, 1));
    assert_eq!(holder(&one, "A-EW-1").as_deref(), Some("Brake 1"));
}

/// Two pairs of hands began the piece; the one that has it lets it go: what the other did counts, unless it did less.
#[test]
fn what_was_set_aside_counts_when_the_piece_came_free() {
    for (theirs, done) in [(0, 3), (3, 3), (4, 4)] {
        let (mut one, mut two) = two();
        one.on();
        one.away.set(true);
        one.open("A-EW-1");
        for _ in 0..3 {
            one.on();
        }
        two.open("A-EW-1");
        for _ in 0..theirs {
            two.on();
        }
        one.back_on_line();
        one.on();
        one.intend(Intent::Pause);
        two.intend(Intent::Pause);
        one.tick();
        one.open("A-EW-1");
        assert_eq!((one.card().step, one.shop.borrow_mut().row("A-EW-1").done), (done, done), "{theirs}");
        assert_eq!(holder(&one, "A-EW-1").as_deref(), Some("Brake 1"));
        assert!(one.desk.memory().disputes.is_empty());
    }
}

#[test]
fn a_dispute_over_a_piece_that_is_gone_is_over_once_it_was_read() {
    let (mut one, mut two) = two();
    one.on();
    one.away.set(true);
    one.open("A-EW-1");
    one.on();
    two.open("A-EW-1");
    one.back_on_line();
    let mut one = one.restarted();
    two.intend(Intent::OpenRemake);
    two.intend(Intent::Because(0));
    two.intend(Intent::Remake);
    one.tick();
    assert_eq!(one.desk.memory().disputes.len(), 1, "nobody has read it");
    one.on();
    one.intend(Intent::Pause);
    one.back();
    one.intend(Intent::OpenOrder("8".into()));
    assert_eq!(one.desk.memory().disputes.len(), 1, "it is of another order");
    one.back();
    one.intend(Intent::OpenOrder("7".into()));
    assert!(one.desk.memory().disputes.is_empty());
}

/// Five steps were done elsewhere since this bench last heard; nobody has the piece now.
fn gone_on_with(two: &mut Bench, mark: &str) {
    two.open(mark);
    for _ in 0..5 {
        two.on();
    }
    two.intend(Intent::Pause);
}

#[test]
fn a_stale_opening_takes_the_piece_as_it_is() {
    let (mut one, mut two) = two();
    one.on();
    gone_on_with(&mut two, "A-EW-1");
    one.open("A-EW-1");
    assert_eq!((one.card().step, one.shop.borrow_mut().row("A-EW-1").done), (5, 5));
    assert_eq!(holder(&one, "A-EW-1").as_deref(), Some("Brake 1"));
    assert_eq!(one.said(), "A-EW-1 was moved to step 6 from elsewhere.");
    assert_eq!(one.screen().message.unwrap().tone, Tone::Say);
    one.on();
    one.on();
    assert_eq!(one.shop.borrow_mut().row("A-EW-1").done, 6);
}

#[test]
fn what_was_done_away_to_a_piece_that_was_gone_on_with_is_asked_about() {
    for take_over in [false, true] {
        let (mut one, mut two) = two();
        one.on();
        one.away.set(true);
        one.open("A-EW-1");
        one.on();
        one.on();
        gone_on_with(&mut two, "A-EW-1");
        one.back_on_line();
        assert_eq!(one.said(), "A-EW-1: this piece was gone on with elsewhere: it stands at step 6");
        let code = one.code("A-EW-1");
        assert_eq!(one.answers(), [Intent::DismissMessage, Intent::TakeOver(code.clone())]);
        assert_eq!((one.screen().unsent, one.shop.borrow_mut().row("A-EW-1").done), (0, 5));
        let done = if take_over { 2 } else { 5 };
        if take_over {
            one.intend(Intent::TakeOver(code));
        } else {
            one.on();
            one.open("A-EW-1");
        }
        assert_eq!((one.card().step, one.shop.borrow_mut().row("A-EW-1").done), (done, done));
        assert_eq!(holder(&one, "A-EW-1").as_deref(), Some("Brake 1"));
        assert!(one.desk.memory().disputes.is_empty());
    }
}

/// One of a batch is refused, and of the others the next list tells: one question for all of them.
#[test]
fn a_batch_that_was_taken_over_under_the_hand_is_one_question() {
    let (mut one, mut two) = two();
    one.open("B-EW-1");
    two.open("B-EW-1");
    let code = two.code("B-EW-1");
    two.intend(Intent::TakeOver(code));
    one.on();
    let others = "The same goes for 2 more pieces.";
    assert_eq!(one.said(), format!("B-EW-1: Brake 2 is making this piece: take another, or take it over. {others}"));
    one.on();
    one.tick();
    assert_eq!(one.said(), "");
    one.order();
}
