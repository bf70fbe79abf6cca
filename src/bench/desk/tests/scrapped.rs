//! A strip scrapped or measured here is not the piece that another bench has, or has finished.

use crate::bench::api::MarkedEvent;
use crate::bench::screen::Intent;
use crate::order::plan::Action;

use super::fixture::{Bench, two};

fn remakes(bench: &Bench) -> usize {
    bench.shop.borrow().count(|event| matches!(event, MarkedEvent::Remake { .. }))
}

fn lengths(bench: &Bench) -> usize {
    bench.shop.borrow().count(|event| matches!(event, MarkedEvent::Measured { .. }))
}

/// Both marks that were made while away, and the remake alone: by the time it is told, the piece is good.
#[test]
fn a_strip_scrapped_away_leaves_the_piece_that_another_bench_has_finished() {
    for steps in [1, 0] {
        let (mut one, mut two) = two();
        one.open("A-EW-1");
        one.away.set(true);
        for _ in 0..steps {
            one.on();
        }
        one.remake();
        two.take_over("A-EW-1");
        two.finish();
        one.back_on_line();
        assert_eq!((remakes(&one), one.screen().unsent), (0, 0));
        assert!(one.said().starts_with("A-EW-1: already bent"), "{}", one.said());
        one.intend(Intent::DismissMessage);
        one.tick();
        assert_eq!((one.said().as_str(), one.order().bent), ("", 1));
        assert!(one.desk.memory().disputes.is_empty());
    }
}

#[test]
fn a_strip_scrapped_away_waits_for_a_hand_while_another_bench_has_the_piece() {
    for (steps, take_over) in [(0, false), (1, false), (0, true), (1, true)] {
        let (mut one, mut two) = two();
        one.open("A-EW-1");
        one.away.set(true);
        for _ in 0..steps {
            one.on();
        }
        one.remake();
        two.take_over("A-EW-1");
        two.on();
        one.back_on_line();
        assert_eq!(one.said(), "A-EW-1: Brake 2 is making this piece: take another, or take it over");
        assert_eq!((remakes(&one), one.screen().unsent), (0, 0));
        let mut one = one.restarted();
        let code = one.code("A-EW-1");
        assert_eq!(one.answers(), [Intent::DismissMessage, Intent::TakeOver(code.clone())]);
        if take_over {
            one.intend(Intent::TakeOver(code));
            assert!(one.said().starts_with("A-EW-1 will be made again"), "{}", one.said());
            assert_eq!(remakes(&one), 1);
            two.tick();
            assert_eq!(two.said(), "A-EW-1 is made again as a new piece: set this one aside.");
        } else {
            one.on();
            two.finish();
            one.tick();
            assert_eq!((remakes(&one), one.order().bent), (0, 1));
            assert!(one.desk.memory().disputes.is_empty());
        }
    }
}

/// The strip is scrap; what the other bench began and let go is not.
#[test]
fn a_strip_scrapped_away_does_not_count_when_the_piece_came_free() {
    let (mut one, mut two) = two();
    one.open("A-EW-1");
    one.away.set(true);
    one.on();
    one.remake();
    two.take_over("A-EW-1");
    one.back_on_line();
    one.on();
    two.intend(Intent::Pause);
    one.tick();
    one.open("A-EW-1");
    assert_eq!((one.card().step, remakes(&one), one.screen().unsent), (0, 0, 0));
}

/// What was finished here and found bad is no other bench's piece either.
#[test]
fn a_piece_finished_and_scrapped_away_leaves_that_of_another_bench() {
    let (mut one, mut two) = two();
    one.open("A-EW-1");
    one.away.set(true);
    one.finish();
    one.open("A-EW-1");
    one.remake();
    two.take_over("A-EW-1");
    two.finish();
    one.back_on_line();
    assert_eq!((remakes(&one), one.screen().unsent), (0, 0));
    assert!(one.said().starts_with("A-EW-1: already bent"), "{}", one.said());
}

/// That the endpoint had it finished was known here; only that it was let go had not been told.
#[test]
fn a_remake_of_a_finished_piece_stands_whatever_is_refused_of_it() {
    let (mut one, mut two) = two();
    one.open("A-EW-1");
    one.away.set(true);
    one.intend(Intent::Pause);
    two.take_over("A-EW-1");
    two.finish();
    one.away.set(false);
    one.garbles.set(Some("A-EW-1"));
    one.tick();
    one.tick();
    one.intend(Intent::DismissMessage);
    one.open("A-EW-1");
    assert_eq!(one.said(), "A-EW-1 is finished.");
    one.remake();
    assert_eq!(remakes(&one), 0);
    one.garbles.set(None);
    one.tick();
    assert_eq!((remakes(&one), one.screen().unsent), (1, 0));
}

#[test]
fn a_length_is_that_of_the_strip_that_was_here() {
    for finished in [false, true] {
        let (mut one, mut two) = two();
        one.open("A-EW-1");
        one.on_to(Action::CheckLength);
        one.away.set(true);
        one.on();
        two.take_over("A-EW-1");
        if finished {
            two.finish();
        }
        let theirs = usize::from(finished);
        one.back_on_line();
        assert_eq!((lengths(&one), one.screen().unsent), (theirs, 0));
        if finished {
            assert!(one.said().starts_with("A-EW-1: already bent"), "{}", one.said());
        } else {
            let code = one.code("A-EW-1");
            one.intend(Intent::TakeOver(code));
            assert_eq!((lengths(&one), one.card().action), (1, Action::Label));
        }
    }
}
