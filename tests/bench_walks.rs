//! A whole order at the bench by touch alone, by scanner alone and by space bar alone; the wrong label, the length that is
//! not right, the piece made again; and two benches that share an order. The endpoint is the real program.

mod support;
#[path = "support/touchscreen.rs"]
mod touchscreen;

use std::path::PathBuf;

use brakeside::bench::screen::{Batch, Card, CardOn, Order, Tone, View};
use serde_json::{Value, json};
use support::kiosk::Kiosk;
use support::wait_for;
use touchscreen::Touchscreen;

/// An end wall of five pieces, of which the middle three are cut alike, and a reglet of one.
const ORDER: &str = r#"{ "format": "brakeside-order/1", "order": "7", "job": { "name": "Porch" }, "units": "in",
    "metal": { "kind": "galvanized-steel", "gauge": 24 }, "longest": "10' 0\"",
    "runs": [{ "wall": "A", "trim": "end-wall", "length": "45' 0\"", "pitch": "2:12",
               "left": { "end": "gable", "width": 4 }, "right": { "end": "gable", "width": 4 } },
             { "wall": "B", "trim": "reglet", "length": "6' 0\"" }] }"#;

fn kiosk() -> Kiosk {
    let kiosk = Kiosk::serve();
    kiosk.post_order(ORDER);
    kiosk
}

fn memory(kiosk: &Kiosk, name: &str) -> PathBuf {
    kiosk.folder().join(format!("{name}.json"))
}

fn bench(kiosk: &Kiosk) -> Touchscreen {
    Touchscreen::start(&kiosk.url(), &kiosk.key, &memory(kiosk, "bench"))
}

/// Where it stands, whether or not the drawing has come.
fn at(view: &View) -> View {
    match view {
        View::Card(card) => View::Card(Box::new(Card { picture: None, label: None, ..(**card).clone() })),
        view => view.clone(),
    }
}

fn on_words(card: &Card) -> String {
    match (card.on, card.batch) {
        (CardOn::Done, Some(Batch { at, of })) => format!("Done: {at} of {of}"),
        (CardOn::Done, None) => "Done".into(),
        (CardOn::LookOn, _) => "Go on".into(),
        (CardOn::AsItShould, _) => "As it should be".into(),
        (CardOn::PrintLabel, _) => "Print the label".into(),
        (CardOn::LabelIsOn, _) => "Label is on: piece finished".into(),
    }
}

/// Goes on until the order is bent, in whatever way `on` goes on; every card it saw, as mark, step and place in its batch.
fn walk(
    kiosk: &Kiosk,
    bench: &mut Touchscreen,
    mut on: impl FnMut(&mut Touchscreen),
) -> Vec<(String, usize, Option<Batch>)> {
    let mut seen = Vec::new();
    let pieces = kiosk.rows("7").len();
    for _ in 0..400 {
        let (view, message) = (at(&bench.screen().view), bench.screen().message.clone());
        match &view {
            View::Card(card) => seen.push((card.mark.clone(), card.step, card.batch)),
            View::Order(order) if order.next.is_none() && order.bent == pieces => return seen,
            _ => {}
        }
        on(bench);
        bench.see("something else", |screen| (at(&screen.view) != view || screen.message != message).then_some(()));
    }
    panic!("four hundred touches and the order is not bent");
}

/// Each piece was measured, and finished once; and its steps were done one by one.
fn assert_all_made_once(kiosk: &Kiosk) {
    wait_for("every piece to be bent", || (kiosk.order("7")["bent"] == kiosk.order("7")["pieces"]).then_some(()));
    for row in kiosk.rows("7") {
        let piece = kiosk.piece(row["code"].as_str().unwrap());
        let history = piece["history"].as_array().unwrap();
        let of = |event: &str| history.iter().filter(|happened| happened["event"] == event).count();
        assert_eq!((of("bent"), of("measured")), (1, 1), "{}: {history:?}", row["mark"]);
        assert_eq!(row["measured"]["mm"], row["length"]["mm"], "{row}");
        let done: Vec<u64> = history.iter().filter_map(|happened| happened["done"].as_u64()).collect();
        assert!(done.windows(2).all(|pair| pair[1] <= pair[0] + 1), "{}: a step was jumped: {done:?}", row["mark"]);
    }
}

#[test]
fn by_touch_alone() {
    let kiosk = kiosk();
    let mut bench = bench(&kiosk);
    let seen = walk(&kiosk, &mut bench, |bench| {
        let label = match &bench.screen().view {
            View::Waiting { .. } => return,
            View::Queue(_) => "Open order 7".into(),
            View::Order(order) => start(order),
            View::Card(card) => on_words(card),
            other => panic!("{other:?}"),
        };
        bench.touch(&label);
    });
    assert_all_made_once(&kiosk);

    // The three alike went through each step together, and were finished one after the other.
    let alike: Vec<_> = seen.iter().filter(|(.., batch)| batch.is_some_and(|batch| batch.of == 3)).collect();
    let turn: Vec<&str> = alike.iter().filter(|(_, step, _)| *step == 2).map(|(mark, ..)| mark.as_str()).collect();
    assert_eq!(turn, ["A-EW-2", "A-EW-3", "A-EW-4"]);
    let last = seen.iter().map(|(_, step, _)| *step).max().unwrap();
    assert!(last >= 8);
}

fn start(order: &Order) -> String {
    let piece = &order.pieces[order.next.expect("something is left")];
    match piece.progress {
        brakeside::bench::screen::Progress::Started { done, of } => {
            format!("Go on with {} (step {} of {of})", piece.mark, done + 1)
        }
        _ => format!("Start {}", piece.mark),
    }
}

#[test]
fn by_space_bar_alone() {
    let kiosk = kiosk();
    let mut bench = bench(&kiosk);
    walk(&kiosk, &mut bench, |bench| bench.press(" "));
    assert_all_made_once(&kiosk);
}

/// The command cards go on; the label on a piece closes it.
#[test]
fn by_scanner_alone() {
    let kiosk = kiosk();
    let mut bench = bench(&kiosk);
    walk(&kiosk, &mut bench, |bench| match bench.screen().view.clone() {
        View::Card(card) if card.on == CardOn::LabelIsOn => bench.scan(&label(&kiosk, &card.mark)),
        _ => bench.scan("HTTP://192.168.1.20:8787/K/ON"),
    });
    assert_all_made_once(&kiosk);
}

fn label(kiosk: &Kiosk, mark: &str) -> String {
    format!("HTTP://192.168.1.20:8787/P/{}", kiosk.code("7", mark))
}

/// To the card of the label of the first piece, by space bar.
fn to_the_label(kiosk: &Kiosk, bench: &mut Touchscreen) -> Card {
    for _ in 0..30 {
        if let View::Card(card) = &bench.screen().view
            && card.on == CardOn::LabelIsOn
        {
            return (**card).clone();
        }
        let view = at(&bench.screen().view);
        bench.press(" ");
        bench.see("the next card", |screen| (at(&screen.view) != view).then_some(()));
    }
    panic!("no card of the label; {} pieces", kiosk.rows("7").len());
}

#[test]
fn the_wrong_label_is_caught_at_the_bench() {
    let kiosk = kiosk();
    let mut bench = bench(&kiosk);
    let card = to_the_label(&kiosk, &mut bench);
    bench.scan(&label(&kiosk, "A-EW-3"));
    let said = bench.see("the refusal", |screen| screen.message.clone());
    assert_eq!(said.tone, Tone::Refuse);
    assert!(said.text.contains("A-EW-3") && said.text.contains(&card.mark), "{}", said.text);
    assert_eq!(kiosk.order("7")["bent"], 0);

    // The space bar only reads the message; the right label closes the piece.
    bench.press(" ");
    bench.see("the card again", |screen| {
        (screen.message.is_none() && matches!(screen.view, View::Card(_))).then_some(())
    });
    bench.scan(&label(&kiosk, &card.mark).to_lowercase());
    wait_for("the piece to be bent", || (kiosk.order("7")["bent"] == 1).then_some(()));

    // From now on this bench has a scanner: without one it asks first.
    let next = to_the_label(&kiosk, &mut bench);
    bench.press(" ");
    let asked = bench.see("the question", |screen| screen.message.clone());
    assert_eq!(asked.tone, Tone::Ask);
    bench.press(" ");
    bench.see("the card", |screen| screen.message.is_none().then_some(()));
    assert_eq!(kiosk.order("7")["bent"], 1, "{} is not closed by a stray space", next.mark);
}

/// A length out of tolerance is measured again, or taken by name, or the piece is made again.
#[test]
fn a_length_that_is_not_right_is_asked_about() {
    let kiosk = kiosk();
    kiosk.post("/api/people", r#"{ "name": "Ana" }"#).expect(201);
    let mut bench = bench(&kiosk);
    let card = loop {
        match &bench.screen().view.clone() {
            View::Card(card) if card.on == CardOn::AsItShould => break card.clone(),
            view => {
                bench.press(" ");
                bench.see("the next card", |screen| (at(&screen.view) != at(view)).then_some(()));
            }
        }
    };
    let code = kiosk.code("7", &card.mark);
    bench.see_card(card.step);
    bench.touch("Type it in");
    // An inch is far out.
    for key in ["1", "feet ′", "½ in", "That is its length"] {
        bench.touch(key);
    }
    let asked = bench.see("the question", |screen| screen.message.clone());
    assert_eq!(asked.tone, Tone::Ask);
    assert!(asked.text.contains("1'") || asked.text.contains("1′"), "{}", asked.text);
    assert_eq!(kiosk.piece(&code)["measured"], Value::Null);

    bench.touch("Take it as it is");
    bench.see("who is working", |screen| matches!(screen.view, View::People(_)).then_some(()));
    bench.touch("Ana");
    let piece = wait_for("the length in the store", || {
        let piece = kiosk.piece(&code);
        (!piece["measured"].is_null()).then_some(piece)
    });
    assert_eq!((&piece["measured"]["accepted"], &piece["measured"]["by"]), (&json!(true), &json!("Ana")));
    assert_eq!(piece["measured"]["mm"], 12.5 * 25.4);
}

/// The piece is scrap: it is made again under a new code, and the old label says so.
#[test]
fn a_piece_is_made_again() {
    let kiosk = kiosk();
    let mut bench = bench(&kiosk);
    bench.touch("Open order 7");
    bench.touch("Start A-EW-1");
    bench.see_card(0);
    let old = kiosk.code("7", "A-EW-1");
    bench.touch("More");
    bench.touch("Make it again");
    let reasons = bench.see("the reasons", |screen| match &screen.view {
        View::Remake(remake) => Some(remake.reasons.clone()),
        _ => None,
    });
    bench.touch(&reasons[0]);
    bench.see("that it is chosen", |screen| {
        matches!(&screen.view, View::Remake(remake) if remake.chosen == Some(0)).then_some(())
    });
    // The space bar asks first, and a stray one keeps the piece.
    bench.press(" ");
    let asked = bench.see("whether it is meant", |screen| screen.message.clone());
    assert!(asked.answers.iter().any(|answer| answer.destroys) && !asked.answers[0].destroys, "{asked:?}");
    bench.press(" ");
    bench.see("the reasons again", |screen| screen.message.is_none().then_some(()));
    assert_eq!(kiosk.code("7", "A-EW-1"), old);
    bench.touch("Make A-EW-1 again");
    let new = wait_for("the new piece", || {
        let code = kiosk.code("7", "A-EW-1");
        (code != old).then_some(code)
    });
    let row = kiosk.rows("7").into_iter().find(|row| row["code"] == new.as_str()).unwrap();
    assert_eq!((&row["remake_of"], &row["state"]), (&json!(old), &json!("waiting")));
    assert_eq!(kiosk.rows("7").len(), 6);
    kiosk.get(&format!("/api/pieces/{old}")).expect(410);

    bench.see("the order", |screen| matches!(screen.view, View::Order(_)).then_some(()));
    bench.press(" ");
    bench.scan(&format!("HTTP://192.168.1.20:8787/P/{old}"));
    let said = bench.see("that it was made again", |screen| {
        screen.message.clone().filter(|message| message.text.contains("made again"))
    });
    assert_eq!(said.tone, Tone::Refuse, "{}", said.text);
}

/// Two benches go on by space bar in turn: nothing is made twice, and neither waits for the other.
#[test]
fn two_benches_share_an_order() {
    let kiosk = kiosk();
    let names = ["Bench 1", "Bench 2"];
    let mut benches = names.map(|name| Touchscreen::named(name, &kiosk.url(), &kiosk.key, &memory(&kiosk, name)));
    let mut made = [0, 0];
    for _ in 0..400 {
        for (bench, made) in benches.iter_mut().zip(&mut made) {
            if let View::Card(card) = &bench.screen().view
                && card.on == CardOn::LabelIsOn
            {
                *made += 1;
            }
            let view = at(&bench.screen().view);
            let over = matches!(&view, View::Order(order) if order.next.is_none());
            if !over {
                bench.press(" ");
                // Another bench may have taken what was offered: then there is a message, or nothing new.
                let _ = (0..100).find(|_| at(&bench.screen().view) != view || bench.screen().message.is_some());
            }
        }
        if kiosk.order("7")["bent"] == kiosk.order("7")["pieces"] {
            break;
        }
    }
    assert_all_made_once(&kiosk);
    assert!(made.iter().all(|made| *made > 0), "one bench made all: {made:?}");
}
