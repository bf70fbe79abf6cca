//! Pieces cut alike go through each step together, and are measured and labelled one after the other.

use crate::bench::api::State;
use crate::bench::screen::{Batch, Card, CardOn, Intent};
use crate::order::plan::Action;

use super::fixture::Bench;

fn stands(card: &Card) -> (usize, usize, &str) {
    (card.step, card.batch.map_or(0, |batch| batch.at), card.mark.as_str())
}

#[test]
fn each_step_is_done_to_every_piece_before_the_next() {
    let mut bench = Bench::new();
    bench.open("C-EW-1");
    assert_eq!(bench.card().batch, Some(Batch { at: 1, of: 3 }), "opened by any of its pieces");
    let length = bench.card().steps - 2;
    for step in 0..length {
        for (at, mark) in [(1, "B-EW-1"), (2, "C-EW-1"), (3, "D-EW-1")] {
            assert_eq!(stands(&bench.card()), (step, at, mark));
            bench.on();
        }
    }
    for (at, mark) in [(1, "B-EW-1"), (2, "C-EW-1"), (3, "D-EW-1")] {
        assert_eq!(stands(&bench.card()), (length, at, mark));
        assert_eq!(bench.card().action, Action::CheckLength);
        bench.on();
        assert_eq!(stands(&bench.card()), (length + 1, at, mark));
        assert_eq!(bench.card().action, Action::Label);
        bench.on();
    }
    assert_eq!(bench.order().bent, 3);
    assert!(bench.shop.borrow().pieces[2..5].iter().all(|kept| kept.made == 1));
}

#[test]
fn back_goes_the_way_the_pieces_came_and_any_of_it_can_be_taken_back() {
    let mut bench = Bench::new();
    bench.open("B-EW-1");
    let mut walked = Vec::new();
    for _ in 0..3 * (bench.card().steps - 2) + 1 {
        walked.push(format!("{:?}", stands(&bench.card())));
        bench.on();
    }
    for stood in walked.iter().rev() {
        bench.back();
        assert_eq!(&format!("{:?}", stands(&bench.card())), stood);
    }
    let made = |bench: &Bench| bench.shop.borrow().pieces.iter().map(|kept| kept.answer.row.done).collect::<Vec<_>>();
    let before = made(&bench);
    bench.back();
    assert_eq!((bench.order().next, made(&bench)), (Some(2), before.clone()), "left as they are");

    bench.on();
    assert_eq!(bench.card().on, CardOn::LabelIsOn, "where it was left");
    (0..5).for_each(|_| bench.back());
    let stood = format!("{:?}", stands(&bench.card()));
    bench.intend(Intent::TakeBack);
    assert_eq!(format!("{:?}", stands(&bench.card())), stood);
    assert_eq!(before.iter().sum::<usize>() - made(&bench).iter().sum::<usize>(), 5);
}

#[test]
fn a_batch_works_on_while_the_endpoint_is_away_and_over_a_power_cut() {
    let mut bench = Bench::new();
    bench.open("B-EW-1");
    bench.away.set(true);
    for _ in 0..4 {
        bench.on();
    }
    let card = bench.card();
    assert_eq!(stands(&card), (1, 2, "C-EW-1"));
    let mut bench = bench.restarted();
    bench.back_on_line();
    assert_eq!(stands(&bench.card()), stands(&card));
    let dones: Vec<usize> = bench.shop.borrow().pieces[2..5].iter().map(|kept| kept.answer.row.done).collect();
    assert_eq!(dones, [2, 1, 1]);
}

#[test]
fn the_counter_counts_on_over_a_power_cut_while_pieces_are_closed() {
    let mut bench = Bench::new();
    bench.open("B-EW-1");
    bench.on_to(Action::Label);
    bench.on();
    let mut bench = bench.restarted();
    assert_eq!((bench.card().action, bench.card().batch), (Action::CheckLength, Some(Batch { at: 2, of: 3 })));
    bench.intend(Intent::Pause);
    assert_eq!(bench.order().undo.as_deref(), Some("B-EW-1"));
    bench.intend(Intent::Undo);
    assert_eq!((bench.card().action, bench.card().mark.as_str()), (Action::Label, "B-EW-1"));
}

#[test]
fn a_list_says_how_many_are_alike() {
    let mut bench = Bench::new();
    bench.on();
    let alike: Vec<usize> = bench.order().pieces.iter().map(|piece| piece.alike).collect();
    assert_eq!(alike, [1, 1, 3, 3, 3]);
}

#[test]
fn a_finished_twin_is_not_opened_again() {
    let mut bench = Bench::new();
    bench.shop.borrow_mut().row("B-EW-1").state = State::Bent;
    bench.open("C-EW-1");
    assert_eq!(bench.card().batch, Some(Batch { at: 1, of: 2 }));
}
