//! The finished length: as it should be, or typed in and held against the tolerance.

use crate::bench::api::MarkedEvent;
use crate::bench::screen::{CardOn, Intent, Keypad, PadKey, View};
use crate::order::plan::{Action, Measure};

use super::fixture::Bench;

/// At the card of the length of a piece 100 in long, right to 1/8 in.
fn at_length() -> Bench {
    let mut bench = Bench::new();
    for kept in &mut bench.shop.borrow_mut().pieces {
        let length = kept.answer.piece.steps.iter_mut().find(|step| step.action == Action::CheckLength).unwrap();
        length.tolerance = Some(Measure { mm: 3.175, text: "1/8\"".into() });
    }
    bench.intend(Intent::OpenOrder("8".into()));
    bench.on();
    bench.on_to(Action::CheckLength);
    bench
}

fn keypad(bench: &Bench) -> Keypad {
    match bench.screen().view {
        View::Keypad(keypad) => keypad,
        view => panic!("not the keypad: {view:?}"),
    }
}

/// Eight feet and so many inches, with these fractions.
fn type_in(bench: &mut Bench, inches: u8, fractions: &[u8]) {
    for key in [PadKey::Digit(8), PadKey::Feet, PadKey::Digit(inches)] {
        bench.intend(Intent::Key(key));
    }
    for fraction in fractions {
        bench.intend(Intent::Key(PadKey::Fraction(*fraction)));
    }
    bench.intend(Intent::Measured);
}

/// What a tape said, whether it was taken all the same, and by whom.
fn measured(bench: &Bench) -> Vec<(f64, bool, Option<String>)> {
    let shop = bench.shop.borrow();
    let of = |mark: &crate::bench::api::Mark| match mark.event {
        MarkedEvent::Measured { mm: Some(mm), accepted, as_wanted: false, .. } => Some((mm, accepted, mark.by.clone())),
        _ => None,
    };
    shop.taken.iter().filter_map(of).collect()
}

#[test]
fn on_says_it_is_as_it_should_be() {
    let mut bench = at_length();
    let card = bench.card();
    assert_eq!((card.on, card.tolerance.as_deref()), (CardOn::AsItShould, Some("± ¹⁄₈″")));
    bench.on();
    assert_eq!(measured(&bench), [], "no tape was read");
    let word = |event: &MarkedEvent| matches!(event, MarkedEvent::Measured { mm: None, as_wanted: true, .. });
    assert_eq!(bench.shop.borrow().count(word), 1);
    let as_wanted = MarkedEvent::Measured { mm: None, accepted: false, as_wanted: true, bench: None };
    let sent = serde_json::to_string(&as_wanted).unwrap();
    assert_eq!(sent, r#"{"event":"measured","accepted":false,"as_wanted":true}"#);
    assert_eq!(bench.card().action, Action::Label);
}

#[test]
fn within_tolerance_is_taken_to_its_edge() {
    let mut bench = at_length();
    bench.intend(Intent::OpenKeypad);
    assert_eq!((keypad(&bench).wanted.as_str(), keypad(&bench).tolerance.as_str()), ("8′ 4″", "± ¹⁄₈″"));
    assert!(!keypad(&bench).ready);
    bench.on();
    assert_eq!(keypad(&bench).typed, "", "nothing is no length");
    type_in(&mut bench, 4, &[2]);
    assert_eq!(measured(&bench), [(2543.175, false, None)]);
    assert_eq!(bench.card().action, Action::Label);
}

#[test]
fn out_of_tolerance_asks_and_a_stray_space_measures_again() {
    let mut bench = at_length();
    bench.intend(Intent::OpenKeypad);
    type_in(&mut bench, 4, &[2, 3]);
    assert_eq!(bench.said(), "E-EW-1 measures 8′ 4³⁄₁₆″. It should be 8′ 4″ ± ¹⁄₈″.");
    assert_eq!(bench.answers(), [Intent::OpenKeypad, Intent::Accept, Intent::OpenRemake]);
    bench.intend(Intent::Key(PadKey::Digit(1)));
    bench.intend(Intent::Open(crate::bench::screen::Page::Labels));
    assert_eq!(keypad(&bench).typed, "8′ 4³⁄₁₆″", "nothing gets past the question");
    bench.on();
    assert_eq!((keypad(&bench).typed.as_str(), bench.said().as_str()), ("", ""));
    bench.back();
    assert_eq!((bench.card().action, measured(&bench).len()), (Action::CheckLength, 0));
}

#[test]
fn it_is_accepted_only_by_name() {
    let mut bench = at_length();
    bench.intend(Intent::OpenKeypad);
    type_in(&mut bench, 5, &[]);
    bench.intend(Intent::Accept);
    let View::People(people) = bench.screen().view else { panic!("asks who is working") };
    assert_eq!((people.people.len(), people.at_work), (2, None));
    assert!(people.name_needed);
    // Who leaves without a name has not taken it, nor lost it.
    bench.back();
    assert_eq!((bench.card().action, measured(&bench).len()), (Action::CheckLength, 0));
    assert_eq!(bench.answers(), [Intent::OpenKeypad, Intent::Accept, Intent::OpenRemake]);

    bench.intend(Intent::OpenKeypad);
    type_in(&mut bench, 5, &[]);
    bench.intend(Intent::Accept);
    bench.intend(Intent::Person(1));
    assert_eq!(measured(&bench), [(2565.4, true, Some("Ana".into()))]);
    assert_eq!((bench.card().action, bench.screen().person.as_deref()), (Action::Label, Some("Ana")));

    bench.back();
    bench.intend(Intent::TakeBack);
    bench.intend(Intent::OpenKeypad);
    type_in(&mut bench, 3, &[]);
    bench.intend(Intent::Accept);
    assert_eq!(measured(&bench).len(), 2, "the name is known now");
}

#[test]
fn what_is_no_length_is_refused_with_what_would_be_one() {
    let mut bench = at_length();
    bench.intend(Intent::OpenKeypad);
    bench.intend(Intent::Measured);
    assert_eq!(bench.said(), "", "nothing was typed");
    for key in [PadKey::Digit(8), PadKey::Feet, PadKey::Digit(1), PadKey::Digit(3)] {
        bench.intend(Intent::Key(key));
    }
    bench.on();
    assert_eq!(bench.said(), "Beside feet there are at most 11 inches, and their fractions.");
    bench.on();
    assert_eq!(keypad(&bench).typed, "8′ 13″", "nothing is lost");
    bench.intend(Intent::OpenKeypad);
    for digit in [9; 4] {
        bench.intend(Intent::Key(PadKey::Digit(digit)));
    }
    bench.on();
    assert_eq!(bench.said(), "Nothing was measured, or more than 328′ 1¹⁄₆₄″: type it in again.");
}

#[test]
fn nobody_accepts_nothing() {
    let mut bench = at_length();
    bench.intend(Intent::OpenKeypad);
    type_in(&mut bench, 5, &[]);
    bench.intend(Intent::Accept);
    bench.intend(Intent::Nobody);
    assert_eq!((bench.card().action, measured(&bench).len()), (Action::CheckLength, 0));
    bench.intend(Intent::Accept);
    assert_eq!(measured(&bench).len(), 0, "nothing waits any more");
}

#[test]
fn a_piece_of_an_older_order_takes_any_length() {
    let mut bench = at_length();
    bench.intend(Intent::Pause);
    for kept in &mut bench.shop.borrow_mut().pieces {
        kept.answer.piece.steps.iter_mut().for_each(|step| step.tolerance = None);
    }
    let mut bench = bench.restarted();
    bench.on();
    bench.intend(Intent::OpenKeypad);
    type_in(&mut bench, 1, &[0]);
    assert_eq!(measured(&bench), [(2476.5, false, None)]);
}

#[test]
fn another_piece_taken_over_closes_the_keypad() {
    let mut bench = at_length();
    bench.intend(Intent::OpenKeypad);
    bench.shop.borrow_mut().row("E-EW-1").bench =
        Some(crate::bench::api::Bench { id: "another-bench".into(), name: "Brake 2".into() });
    bench.tick();
    assert_eq!(bench.said(), "E-EW-1 was taken over at Brake 2: set this one aside.");
    bench.order();
}

/// What was typed before the hand went elsewhere is not taken when a name is chosen later.
#[test]
fn a_length_left_undecided_is_forgotten() {
    let mut bench = at_length();
    for leave in [Intent::DismissMessage, Intent::Scanned(crate::bench::screen::Scan::Label(bench.code("E-EW-1")))] {
        bench.intend(Intent::OpenKeypad);
        type_in(&mut bench, 5, &[]);
        bench.intend(leave);
        bench.intend(Intent::Open(crate::bench::screen::Page::People));
        bench.intend(Intent::Person(1));
        assert_eq!((bench.card().action, measured(&bench).len()), (Action::CheckLength, 0));
    }
}

/// Refused for what it says, a length takes nothing else of the piece with it.
#[test]
fn a_length_that_the_endpoint_refuses_leaves_the_piece_here() {
    let mut bench = at_length();
    for kept in &mut bench.shop.borrow_mut().pieces {
        kept.answer.piece.steps.iter_mut().filter_map(|step| step.tolerance.as_mut()).for_each(|most| most.mm = 1.0);
    }
    bench.intend(Intent::OpenKeypad);
    type_in(&mut bench, 4, &[2]);
    assert!(bench.said().starts_with("E-EW-1: "), "{}", bench.said());
    bench.intend(Intent::DismissMessage);
    assert_eq!((bench.card().action, measured(&bench).len()), (Action::Label, 0));
    bench.on();
    assert_eq!(bench.shop.borrow().pieces[5].made, 1);
}
