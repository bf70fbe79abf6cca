//! The bench's screens, drawn headless: what a hand touches becomes the right intent, and hands and eyes get their
//! millimetres.
//!
//! Sizes are measured on what is drawn, not read back from the tokens that ask for them.

#[path = "support/gallery.rs"]
mod gallery;
#[path = "support/headless.rs"]
mod headless;

use brakeside::bench::adapters::unbroken;
use brakeside::bench::screen::{Card, CardOn, Intent, Link, Message, Screen, Tone};
use brakeside::order::{parse, planner};
use brakeside::trade::caution::Signal;
use gallery::{card, on_card, order, queue};
use headless::{Bench, KIOSKS, SMALL, Target};
use slint::platform::{Key, PointerEventButton};

#[test]
fn the_queue_opens_an_order() {
    let bench = Bench::new(SMALL, &queue(3));
    assert_eq!(bench.click("Order 2042"), [Intent::OpenOrder("2042".into())]);
    assert_eq!(bench.click("Open order 2041"), [Intent::On]);
    assert!(bench.find("Back").is_none());
    assert_eq!(bench.press(Key::Escape), []);

    bench.show(&queue(0));
    assert!(bench.find("Open order 2041").is_none());
    assert_eq!(bench.press(Key::Return), []);
}

#[test]
fn an_order_starts_its_next_piece_or_any_other() {
    let bench = Bench::new(SMALL, &order(5, Some(2)));
    assert_eq!(bench.click("Piece A-EW-2"), [Intent::OpenPiece("CODE1".into())]);
    assert_eq!(bench.click("Go on with A-EW-3 (step 4 of 11)"), [Intent::On]);
    assert_eq!(bench.click("Back"), [Intent::Back]);

    bench.show(&order(5, None));
    bench.get("All 5 pieces are bent");
    assert_eq!(bench.press(Key::Return), [], "there is nothing to go on to");
    assert_eq!(bench.press(Key::Escape), [Intent::Back]);
}

#[test]
fn a_card_goes_on_goes_back_and_explains_its_number() {
    let bench = Bench::new(SMALL, &on_card(card()));
    assert_eq!(bench.click("Done"), [Intent::On]);
    assert_eq!(bench.click("Back"), [Intent::Back]);
    assert_eq!(bench.click("Why this number"), [Intent::Working]);

    bench.show(&on_card(Card { working_open: true, ..card() }));
    bench.get("ℓ along, h + ⅛ in across from the edge");
    bench.get("Source: common practice, no source");
    assert!(bench.find("Done").is_none(), "a step is not done while its number is doubted");
    assert_eq!(bench.click("Back to the step"), [Intent::Working]);
    assert_eq!(bench.press(Key::Space), [Intent::Working]);
    assert_eq!(bench.press(Key::Escape), [Intent::Working]);

    bench.show(&on_card(Card { working: None, ..card() }));
    assert_eq!(bench.click("Why this number"), []);

    bench.show(&on_card(Card { on: CardOn::LookOn, ..card() }));
    assert_eq!(bench.click("Not done yet"), [Intent::TakeBack]);

    assert_eq!(bench.click("Go on"), [Intent::On]);

    bench.show(&on_card(Card { step: 10, on: CardOn::LabelIsOn, ..card() }));
    assert_eq!(bench.click("Label is on: piece finished"), [Intent::On]);
}

#[test]
fn keys_drive_it_and_a_bounce_does_not() {
    let bench = Bench::new(SMALL, &on_card(card()));
    for (key, intent) in [
        (Key::Space, Intent::On),
        (Key::Return, Intent::On),
        (Key::Escape, Intent::Back),
        (Key::Backspace, Intent::Back),
    ] {
        assert_eq!(bench.press(key), [intent]);
    }
    let done = bench.get("Done");
    done.mock_single_click(PointerEventButton::Left);
    done.mock_single_click(PointerEventButton::Left);
    assert_eq!(bench.heard(), [Intent::On]);
    assert_eq!(bench.click("Done"), [Intent::On]);
}

#[test]
fn a_message_is_read_before_anything_else() {
    let message = Message { tone: Tone::Refuse, text: "This mark was not taken.".into(), answers: Vec::new() };
    let bench = Bench::new(SMALL, &Screen { message: Some(message), ..on_card(card()) });
    bench.get("This mark was not taken.");
    assert_eq!(bench.click("Back"), [], "it lies under the message");
    assert_eq!(bench.press(Key::Space), [Intent::DismissMessage]);
    assert_eq!(bench.press(Key::Escape), [Intent::DismissMessage]);
    assert_eq!(bench.click("OK"), [Intent::DismissMessage]);
}

#[test]
fn a_lost_link_is_said_and_work_goes_on() {
    let bench = Bench::new(SMALL, &Screen { link: Link::Down, unsent: 3, ..on_card(card()) });
    bench.get("No answer from the endpoint — working on; marks wait here: 3");
    assert_eq!(bench.click("Done"), [Intent::On]);
    bench.show(&Screen { link: Link::Refused, unsent: 3, ..queue(1) });
    bench.get("The endpoint does not take this bench’s key — working on; marks wait here: 3");
}

/// The size is told once, and stays through an ordinary step: a new one costs a new drawing.
#[test]
fn the_drawing_is_asked_for_at_its_size() {
    let bench = Bench::new(SMALL, &on_card(card()));
    let told = |bench: &Bench| -> Vec<_> {
        bench.intents.take().into_iter().filter(|intent| matches!(intent, Intent::Canvas { .. })).collect()
    };
    let size = bench.get("Drawing").size();
    let last = Intent::Canvas { width: size.width as u32, height: size.height as u32, dark: false };
    assert_eq!(told(&bench).last(), Some(&last));

    bench.show(&on_card(Card { caution: None, step: 5, text: "Fold it.".into(), ..card() }));
    assert_eq!(told(&bench), []);
}

/// 20 arc minutes (MIL-STD-1472's preferred character height, from memory) are 11.6 mm at 2 m and 4.1 mm at 700 mm.
#[test]
fn what_is_read_is_large_enough() {
    for kiosk in KIOSKS {
        let text = "HEH".to_string();
        let bench = Bench::new(kiosk, &on_card(Card { number: "8".into(), text, ..card() }));
        let [figure] = bench.ink("8")[..] else { panic!("one figure, one band") };
        assert!(figure >= 18.0, "{kiosk:?}: the number is {figure} mm high");
        let [capital] = bench.ink("HEH")[..] else { panic!("one line, one band") };
        // One pixel is the edge's grey.
        assert!(capital + 1.0 / bench.px_per_mm >= 4.1, "{kiosk:?}: capitals are {capital} mm high");

        bench.show(&on_card(Card { number: "¹⁵⁄₁₆".into(), ..card() }));
        let [over, _bar, under] = bench.ink("15/16")[..] else { panic!("{:?} is no fraction", bench.ink("15/16")) };
        assert!(over >= 11.6 && under >= 11.6, "{kiosk:?}: the fraction's figures are {over} and {under} mm high");
    }
}

/// Every card of a real order, on the smallest screen, with the banner across it.
#[test]
fn nothing_a_step_says_is_cut_off() {
    let text = r#"{ "format": "brakeside-order/1", "order": "2041", "job": { "name": "Porch" }, "units": "in",
        "metal": { "kind": "galvanized-steel", "gauge": 24 }, "longest": "10' 0\"",
        "runs": [
            { "wall": "A", "trim": "end-wall", "length": "42' 7-1/4\"", "measured": "outside", "pitch": "2:12",
              "left": { "end": "gable", "width": 4 }, "right": { "end": "gable", "width": 4 } },
            { "wall": "A", "trim": "reglet", "length": "42' 7-1/4\"",
              "left": { "end": "return", "depth": "1-1/2" }, "right": { "end": "return", "depth": "1-1/2" } }
        ] }"#;
    let (parsed, _) = parse::parse(text.as_bytes(), &Default::default()).unwrap();
    let plan = planner::plan(&parsed).unwrap();
    let bench = Bench::new(SMALL, &queue(0));
    for step in plan.pieces.iter().flat_map(|piece| &piece.steps) {
        let number = step.number.as_ref().map(|_| "8′ 11¹⁵⁄₁₆″".to_string()).unwrap_or_default();
        let card = Card { text: step.text.clone(), caution: step.caution.clone(), number, ..card() };
        bench.show(&Screen { link: Link::Down, unsent: 12, ..on_card(card) });
        let foot = Target::of(&bench.get("Done")).top;
        let text = Target::of(&bench.get(&unbroken(&step.text)));
        assert!(text.bottom <= foot, "{}: ends at {}, the way on begins at {foot}", step.text, text.bottom);
        if let Some(caution) = &step.caution {
            let word = if caution.signal == Signal::Warning { "WARNING" } else { "CAUTION" };
            let caution = Target::of(&bench.get(&format!("{word} {}", caution.text)));
            assert!(caution.bottom <= foot && caution.left >= text.right);
            assert!(caution.top >= Target::of(&bench.get("Drawing")).bottom);
        }
    }
}

#[test]
fn a_long_order_makes_only_the_rows_in_sight() {
    let bench = Bench::new(SMALL, &order(20_000, Some(15_000)));
    let rows = |bench: &Bench| -> Vec<String> {
        let targets = bench.touch_targets().into_iter().map(|target| target.label);
        targets.filter(|label| label.starts_with("Piece")).collect()
    };
    assert!(rows(&bench).len() < 10, "{:?}", rows(&bench));
    assert!(rows(&bench).contains(&"Piece A-EW-15001".to_string()), "the next piece is in sight");
    bench.click("Down");
    bench.settle();
    assert!(!rows(&bench).contains(&"Piece A-EW-15001".to_string()), "the page was turned");
    bench.click("Up");
    bench.settle();
    assert_eq!(bench.click("Piece A-EW-15001"), [Intent::OpenPiece("CODE15000".into())]);
}

#[test]
fn the_last_piece_is_seen_whole() {
    for kiosk in KIOSKS {
        let bench = Bench::new(kiosk, &order(31, Some(30)));
        let targets = bench.touch_targets();
        let last = targets.iter().find(|target| target.label == "Piece A-EW-31");
        let last = last.unwrap_or_else(|| panic!("{kiosk:?}: {targets:?}"));
        assert!(!last.cut, "{kiosk:?}: {last:?}");
    }
}
