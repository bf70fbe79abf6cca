//! The main job, whole: an order is sent to the real program, its first piece is made card by card at the real bench, its
//! label is drawn and read back by outside decoders, it is counted at the van with a scanner in a real browser, and it is
//! installed and reported on from the roof. In between the power goes, at the kiosk, at the bench and at both.
//!
//! What each person sees is compared with what the API says, and the other way round.

mod support;
#[path = "support/touchscreen.rs"]
mod touchscreen;

use std::fs;
use std::ops::Range;
use std::path::Path;

use brakeside::bench::screen::{Card, CardOn, Link, Progress, View};
use brakeside::label::scan::{self, Reading};
use serde_json::{Value, json};
use support::browser::Browser;
use support::decode;
use support::kiosk::{HOST, Kiosk};
use support::wait_for;
use touchscreen::Touchscreen;

const ORDER: &str = include_str!("../src/commands/demo/order-2041.json");
const OTHER_ORDER: &str = include_str!("../src/commands/demo/order-2043.json");

/// The first piece of [`ORDER`] and the one after it.
const FIRST: &str = "A-EW-1";
const SECOND: &str = "A-EW-2";

#[test]
fn a_piece_goes_from_the_order_to_the_roof() {
    let mut kiosk = Kiosk::serve();
    let order = kiosk.post_order(ORDER);
    assert_eq!((&order["accepted"], &order["bent"]), (&json!("new"), &json!(0)));
    assert_eq!(kiosk.rows("2041").len(), order["pieces"]);

    let memory = kiosk.folder().join("bench.json");
    let mut bench = make(&mut kiosk, &memory);
    let url = draw_labels(&kiosk);
    load(&kiosk, &url);
    install(&kiosk, &url);
    the_shop_sees_it(&mut bench);
}

/// A reglet of two pieces, closed at both ends: between them they have every kind of card that the first piece of
/// [`ORDER`] has not.
#[test]
fn a_reglet_is_made_card_by_card_to_its_last_piece() {
    let kiosk = Kiosk::serve();
    kiosk.post_order(
        r#"{ "format": "brakeside-order/1", "order": "7", "job": { "name": "Two pieces" }, "units": "mm", "longest": "3 m",
             "metal": { "kind": "zinc", "thickness": 0.7 }, "runs": [{ "wall": "B", "trim": "reglet", "length": 5000,
             "left": { "end": "return", "depth": 40 }, "right": { "end": "return", "depth": 40 } }] }"#,
    );
    let mut bench = Touchscreen::start(&kiosk.url(), &kiosk.key, &kiosk.folder().join("bench.json"));
    bench.touch("Open order 7");
    let mut done = Vec::new();
    for mark in ["B-RG-1", "B-RG-2"] {
        bench.touch(&format!("Start {mark}"));
        let steps = kiosk.piece(&kiosk.code("7", mark))["piece"]["steps"].as_array().unwrap().clone();
        for (index, step) in steps.iter().enumerate() {
            let card = bench.see_card(index);
            assert_eq!((&json!(card.action), &json!(card.text)), (&step["do"], &step["text"]));
            done.push((step["do"].as_str().unwrap().to_owned(), step["side"].as_str().unwrap_or_default().to_owned()));
            bench.touch(way_on(&card));
        }
    }
    for card in [
        ("cut-end", "left"),
        ("notch-lap", "right"),
        ("fold-tab", "left"), // the first piece
        ("open-hem", "left"),
        ("cut-end", "right"),
        ("fold-tab", "right"), // the second
    ] {
        assert!(done.iter().any(|(action, side)| (action.as_str(), side.as_str()) == card), "{card:?} in {done:?}");
    }
    assert_eq!(done.iter().filter(|(action, _)| action == "bend").count(), 4, "a Z has two bends");
    wait_for("both pieces to be bent", || (kiosk.order("7")["bent"] == 2).then_some(()));
    bench.see("that all is bent", |screen| match &screen.view {
        View::Order(order) => (order.bent == 2 && order.next.is_none()).then_some(()),
        _ => None,
    });
}

/// At the brake. The first piece is made, and the power does what it does.
fn make(kiosk: &mut Kiosk, memory: &Path) -> Touchscreen {
    let code = kiosk.code("2041", FIRST);
    let steps = kiosk.piece(&code)["piece"]["steps"].as_array().unwrap().len();
    let mut bench = Touchscreen::start(&kiosk.url(), &kiosk.key, memory);
    bench.touch("Open order 2041");
    bench.touch(&format!("Start {FIRST}"));
    work(&mut bench, kiosk, 0..3);
    step_back_and_doubt(&mut bench, kiosk, 3);
    kiosk_power_cut(&mut bench, kiosk, 3);

    drop(bench);
    let mut bench = Touchscreen::start(&kiosk.url(), &kiosk.key, memory);
    work(&mut bench, kiosk, 5..6);

    let mut bench = whole_power_cut(bench, kiosk, memory, 6);
    work(&mut bench, kiosk, 7..steps - 1);

    let card = bench.see_card(steps - 1);
    bench.touch(way_on(&card));
    wait_for("the piece to be bent", || (kiosk.piece(&code)["state"] == "bent").then_some(()));
    assert_eq!(kiosk.order("2041")["bent"], 1);
    bench.see("the order with the next piece", |screen| match &screen.view {
        View::Order(order) => (order.bent == 1 && order.next == Some(1)).then_some(()),
        _ => None,
    });
    assert!(bench.reads(&format!("Start {SECOND}")));
    bench
}

/// What the large way on of a card says, of a piece that is alone.
fn way_on(card: &Card) -> &'static str {
    match card.on {
        CardOn::LookOn => "Go on",
        CardOn::Done => "Done",
        CardOn::AsItShould => "As it should be",
        CardOn::PrintLabel => "Print the label",
        CardOn::LabelIsOn => "Label is on: piece finished",
    }
}

/// Does the steps one by one; each card is the plan's step, and each touch reaches the store.
fn work(bench: &mut Touchscreen, kiosk: &Kiosk, steps: Range<usize>) {
    let code = kiosk.code("2041", FIRST);
    for step in steps {
        let card = bench.see_card(step);
        let planned = &kiosk.piece(&code)["piece"]["steps"][step];
        assert_eq!((card.mark.as_str(), &json!(card.text)), (FIRST, &planned["text"]));
        assert_eq!(json!(card.caution), planned["caution"]);
        assert_eq!(card.number.is_empty(), planned["number"].is_null());
        bench.touch(way_on(&card));
        wait_for_done(kiosk, &code, step + 1);
    }
}

fn wait_for_done(kiosk: &Kiosk, code: &str, done: usize) {
    wait_for(&format!("{done} steps in the store"), || (kiosk.piece(code)["done"] == done).then_some(()));
    assert_eq!(kiosk.piece(code)["state"], "started");
}

/// One card back and on again, and a look at where the number comes from.
fn step_back_and_doubt(bench: &mut Touchscreen, kiosk: &Kiosk, step: usize) {
    let code = kiosk.code("2041", FIRST);
    bench.see_card(step);
    bench.touch("Back");
    bench.see_card(step - 1);
    bench.touch("Go on");
    bench.see_card(step);
    wait_for_done(kiosk, &code, step);
    bench.touch("Back");
    bench.see_card(step - 1);
    bench.touch("Not done yet");
    wait_for_done(kiosk, &code, step - 1);
    bench.touch("Done");
    wait_for_done(kiosk, &code, step);

    assert!(bench.see_card(step).working.is_some(), "step {step} has no working to show");
    bench.touch("Why this number");
    bench.see("the working", |screen| matches!(&screen.view, View::Card(card) if card.working_open).then_some(()));
    bench.touch("Back to the step");
    bench.see("the card", |screen| matches!(&screen.view, View::Card(card) if !card.working_open).then_some(()));
    wait_for_done(kiosk, &code, step);
}

/// The kiosk loses its power; the bench works on, two steps, and hands them in when the kiosk is back.
fn kiosk_power_cut(bench: &mut Touchscreen, kiosk: &mut Kiosk, step: usize) {
    let code = kiosk.code("2041", FIRST);
    bench.see_card(step);
    let before = everything(kiosk);
    kiosk.kill_hard();
    bench.touch("Done");
    bench.see_card(step + 1);
    bench.touch("Done");
    bench.see_card(step + 2);
    bench.see("that the endpoint is away", |screen| (screen.link == Link::Down && screen.unsent == 2).then_some(()));
    assert!(bench.reads("No answer from the endpoint — working on; marks wait here: 2"));

    kiosk.restart();
    // The bench may have handed in its two steps already, and nothing else may differ.
    bench.see("that the endpoint is back", |screen| (screen.link == Link::Up && screen.unsent == 0).then_some(()));
    wait_for_done(kiosk, &code, step + 2);
    let after = everything(kiosk);
    let told = |all: &Value| all["history"].as_array().unwrap().clone();
    assert_eq!(told(&after)[..told(&before).len()], told(&before));
    assert_eq!(told(&after).len(), told(&before).len() + 2);
    assert_eq!((&after["order"], &after["others"]), (&before["order"], &before["others"]));
}

/// The power goes in the whole shop, with a step done that the kiosk has not heard of.
fn whole_power_cut(mut bench: Touchscreen, kiosk: &mut Kiosk, memory: &Path, step: usize) -> Touchscreen {
    let code = kiosk.code("2041", FIRST);
    bench.see_card(step);
    let before = everything(kiosk);
    kiosk.kill_hard();
    bench.touch("Done");
    bench.see_card(step + 1);
    drop(bench);

    kiosk.restart();
    assert_eq!(everything(kiosk), before, "the kiosk forgot, or made up, something");
    let mut bench = Touchscreen::start(&kiosk.url(), &kiosk.key, memory);
    bench.see_card(step + 1);
    wait_for_done(kiosk, &code, step + 1);
    bench
}

/// All that must outlive the power: the order as sent and counted, what happened to its first piece, all other pieces.
fn everything(kiosk: &Kiosk) -> Value {
    let rows = kiosk.rows("2041");
    let (first, others) = rows.split_first().unwrap();
    let history = kiosk.piece(first["code"].as_str().unwrap())["history"].take();
    json!({ "order": kiosk.order("2041"), "history": history, "others": others })
}

/// The label as a picture, a drawing and a page; each is read by programs that are not ours.
fn draw_labels(kiosk: &Kiosk) -> String {
    let code = kiosk.code("2041", FIRST);
    let url = label_url(kiosk, &code);
    let folder = tempfile::tempdir().unwrap();
    let draw = |ending: &str| {
        let path = folder.path().join(format!("label.{ending}"));
        let ended = kiosk.command(&["label", &code, "--to", path.to_str().unwrap()]);
        assert_eq!(ended.code, Some(0), "{}", ended.err);
        path
    };
    assert_eq!(decode::qr(&draw("png")), url);
    assert_eq!(decode::qr(&decode::page_as_png(&draw("pdf"), 203)), url);

    draw("svg");
    let page = folder.path().join("label.html");
    fs::write(&page, "<img src=label.svg width=396>").unwrap();
    let browser = Browser::start();
    browser.open(&format!("file://{}", page.display()));
    let seen = folder.path().join("seen.png");
    fs::write(&seen, browser.screenshot()).unwrap();
    assert_eq!(decode::qr(&seen), url);
    url
}

fn label_url(kiosk: &Kiosk, code: &str) -> String {
    format!("HTTP://{HOST}:{}/P/{code}", kiosk.port)
}

/// At the van, with a scanner that types into the browser.
fn load(kiosk: &Kiosk, url: &str) {
    kiosk.post_order(OTHER_ORDER);
    let other = kiosk.code("2043", FIRST);
    kiosk.post_event(&other, json!({ "event": "bent" })).expect(200);
    let code = kiosk.code("2041", FIRST);
    let pieces = kiosk.rows("2041").len();

    let driver = Browser::start();
    driver.open(&kiosk.phone_url(&format!("/join?key={}", kiosk.key)));
    driver.find("a[href='/load/2041']").click();
    assert_eq!(driver.find(".tally p").text(), format!("0 of {pieces} loaded"));

    let scan = |text: &str| {
        driver.turn_page(|| driver.scan(text));
        (driver.find(".result").text(), driver.find(".tally p").text())
    };
    let one_of = format!("1 of {pieces} loaded");

    let (result, count) = scan(url);
    assert!(result.starts_with(&format!("LOADED {FIRST}")), "{result}");
    assert_eq!(count, one_of);
    assert_eq!(kiosk.piece(&code)["state"], "loaded");
    let counted = (kiosk.order("2041"), kiosk.rows("2041"), kiosk.rows("2043"));
    assert_eq!(counted.0["loaded"], 1);

    // Caps Lock turns what a scanner types into small letters.
    for text in [url, &url.to_lowercase(), &code] {
        let (result, count) = scan(text);
        assert!(result.starts_with(&format!("ALREADY LOADED {FIRST}")), "{text}: {result}");
        assert_eq!(count, one_of);
    }
    let second = kiosk.code("2041", SECOND);
    // One in some dozens is whole again when it is read as if through another keyboard: then it is unknown, not mistyped.
    let mistyped = ('0'..='9').map(|digit| label_url(kiosk, &format!("{digit}{}", &code[1..])));
    let mistyped = mistyped.into_iter().find(|url| matches!(scan::read(url), Reading::Refused(_))).unwrap();
    for (text, why) in [
        (label_url(kiosk, &second), format!("{SECOND} NOT BENT YET")),
        (mistyped, "CODE MISTYPED".to_owned()),
        (label_url(kiosk, &other), "NOT THIS ORDER".to_owned()),
        ("2041".to_owned(), "CODE NOT READ".to_owned()),
    ] {
        let (result, count) = scan(&text);
        assert!(result.starts_with("NOT LOADED") && result.contains(&why), "{text}: {result}");
        assert_eq!(result.contains("2043"), why == "NOT THIS ORDER", "{result}");
        assert_eq!(count, one_of);
    }
    assert_eq!((kiosk.order("2041"), kiosk.rows("2041"), kiosk.rows("2043")), counted);
}

/// On the roof, with a phone that has never been here: all it has is the label.
fn install(kiosk: &Kiosk, url: &str) {
    let code = kiosk.code("2041", FIRST);
    let piece = kiosk.piece(&code)["piece"].take();
    let phone = Browser::start();
    phone.open(url);
    assert!(phone.url().starts_with(&kiosk.phone_url("")), "{}", phone.url());
    assert_eq!(phone.find(".where").text(), "Wall A · end wall");
    assert_eq!(phone.find(".place").text(), format!("1 of {}", piece["of"]));
    assert!(phone.find(".facts").text().contains(piece["length"]["text"].as_str().unwrap()));

    // By the order: laid from the left, so the far end goes under the next piece; the near one is cut for the gable.
    let ends: Vec<String> = phone.find_all(".ends > div").iter().map(|end| end.text().to_lowercase()).collect();
    let [left, right] = ends.as_slice() else { panic!("{ends:?}") };
    assert!(left.contains("left end") && left.contains("gable"), "{left}");
    assert!(right.contains("right end") && right.contains("under"), "{right}");
    assert!(right.contains(&SECOND.to_lowercase()), "{right}");
    assert_eq!((&piece["left"]["end"], &piece["right"]["goes"]), (&json!("gable"), &json!("under")));
    assert_eq!(piece["right"]["neighbour"], SECOND);

    phone.turn_page(|| phone.find("button[value=installed]").click());
    assert!(phone.find(".result").text().starts_with(&format!("INSTALLED {FIRST}")), "{}", phone.words());
    assert_eq!(kiosk.piece(&code)["state"], "installed");

    let report = phone.find_all("summary").into_iter().find(|summary| summary.text() == "Report a bad piece");
    report.expect("no way to report a bad piece").click();
    phone.find("input[name=why][value='scratched or dented']").click();
    phone.find("#more").type_text("at the left end");
    phone.turn_page(|| phone.find("button[value=report]").click());
    assert!(phone.find(".result").text().starts_with(&format!("REPORTED {FIRST}")), "{}", phone.words());
    let row = kiosk.piece(&code);
    assert_eq!(
        (&row["state"], &row["reported"]),
        (&json!("installed"), &json!("scratched or dented: at the left end"))
    );
    let order = kiosk.order("2041");
    assert_eq!((&order["installed"], &order["reported"]), (&json!(1), &json!(1)));
}

/// The bench, which stood at the order all the while, has heard of it.
fn the_shop_sees_it(bench: &mut Touchscreen) {
    bench.see("the piece installed and reported", |screen| match &screen.view {
        View::Order(order) => {
            let first = &order.pieces[0];
            let reported = first.reported.as_deref() == Some("scratched or dented: at the left end");
            (first.progress == Progress::Installed && reported).then_some(())
        }
        _ => None,
    });
}
