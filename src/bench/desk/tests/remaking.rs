//! A piece is made again, with why.

use crate::bench::api::{MarkedEvent, State};
use crate::bench::screen::{Batch, Intent, View};
use crate::order::plan::Action;

use super::fixture::Bench;

#[test]
fn from_the_card_never_without_a_reason_and_never_by_a_stray_space() {
    let mut bench = Bench::new();
    bench.open("A-EW-1");
    bench.on();
    bench.intend(Intent::OpenRemake);
    let View::Remake(remake) = bench.screen().view else { panic!("asks why") };
    assert_eq!((remake.mark.as_str(), remake.reasons.len(), remake.chosen), ("A-EW-1", 9, None));
    bench.intend(Intent::Remake);
    bench.on();
    bench.intend(Intent::Because(0));
    for _ in 0..4 {
        bench.on();
    }
    assert_eq!(bench.shop.borrow().count(|event| matches!(event, MarkedEvent::Remake { .. })), 0);
    bench.intend(Intent::Remake);
    assert!(bench.said().starts_with("A-EW-1 will be made again"), "{}", bench.said());
    bench.on();
    let order = bench.order();
    let last = order.pieces.last().unwrap();
    assert_eq!((order.pieces.len(), last.mark.as_str(), last.remake), (5, "A-EW-1", true));
    assert_eq!(order.pieces[0].mark, "A-EW-2");
    let shop = bench.shop.borrow();
    let remakes =
        shop.taken.iter().filter(|mark| matches!(&mark.event, MarkedEvent::Remake { why, .. } if why == "too short"));
    assert_eq!(remakes.count(), 1);
}

#[test]
fn one_of_a_batch_leaves_it_and_the_others_go_on() {
    let mut bench = Bench::new();
    bench.open("B-EW-1");
    bench.on();
    assert_eq!(bench.card().mark, "C-EW-1");
    bench.intend(Intent::OpenRemake);
    bench.intend(Intent::Because(5));
    bench.intend(Intent::Remake);
    bench.intend(Intent::DismissMessage);
    assert_eq!((bench.card().mark.as_str(), bench.card().batch), ("D-EW-1", Some(Batch { at: 3, of: 3 })));
}

#[test]
fn a_piece_reported_from_the_roof_is_offered_to_be_made_again() {
    let mut bench = Bench::new();
    {
        let mut shop = bench.shop.borrow_mut();
        let row = shop.row("A-EW-1");
        (row.state, row.reported) = (State::Installed, Some("too short".into()));
    }
    bench.open("A-EW-1");
    assert_eq!(bench.said(), "A-EW-1 is installed. It was reported: too short");
    bench.intend(Intent::OpenRemake);
    let View::Remake(remake) = bench.screen().view else { panic!("asks why") };
    assert_eq!(remake.reported.as_deref(), Some("too short"));
    bench.intend(Intent::Because(6));
    bench.intend(Intent::Remake);
    bench.intend(Intent::DismissMessage);
    assert_eq!(bench.order().pieces.iter().filter(|piece| piece.mark == "A-EW-1").count(), 1);
}

#[test]
fn away_from_the_endpoint_it_waits_and_is_made_again_once() {
    let mut bench = Bench::new();
    bench.open("A-EW-1");
    bench.away.set(true);
    bench.intend(Intent::OpenRemake);
    bench.intend(Intent::Because(4));
    bench.intend(Intent::Remake);
    bench.intend(Intent::DismissMessage);
    assert_eq!((bench.order().pieces.len(), bench.screen().unsent), (4, 1));
    let mut bench = bench.restarted();
    bench.back_on_line();
    bench.tick();
    assert_eq!((bench.order().pieces.len(), bench.shop.borrow().pieces.len()), (5, 7));
}

#[test]
fn it_is_left_again_for_the_card() {
    let mut bench = Bench::new();
    bench.intend(Intent::OpenOrder("8".into()));
    bench.on();
    bench.on_to(Action::CheckLength);
    bench.intend(Intent::OpenRemake);
    assert!(matches!(bench.screen().view, View::Remake(_)));
    bench.back();
    assert_eq!(bench.card().action, Action::CheckLength);
}
