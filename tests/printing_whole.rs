//! A label's whole way: asked for on the card at the bench, printed by a real IPP printer, read by an outside decoder, scanned
//! at the bench, which closes the piece. In between the real program is killed.

mod support;
#[path = "support/touchscreen.rs"]
mod touchscreen;

use std::time::Duration;

use brakeside::bench::screen::{CardOn, PrintState, Screen, View};
use serde_json::{Value, json};
use support::kiosk::Kiosk;
use support::print_shop::symbol;
use support::printer::{Fault, LabelPrinter};
use support::wait_for;
use touchscreen::Touchscreen;

const ORDER: &str = r#"{ "format": "brakeside-order/1", "order": "7", "job": { "name": "Porch" }, "units": "in",
    "metal": { "kind": "galvanized-steel", "gauge": 24 },
    "runs": [{ "wall": "A", "trim": "end-wall", "length": "8' 0\"", "pitch": "2:12" },
             { "wall": "B", "trim": "reglet", "length": "6' 0\"" }] }"#;

/// A kiosk whose settings name this printer.
fn kiosk(printer: &LabelPrinter) -> Kiosk {
    let settings = format!("[printer]\naddress = \"{}\"\nstock = \"4x2in\"\n", printer.address());
    let kiosk = Kiosk::serve_with(&settings);
    kiosk.post_order(ORDER);
    kiosk
}

/// To the card that prints the label of the open piece, by space bar.
fn to_the_label(bench: &mut Touchscreen) {
    for _ in 0..30 {
        let step = |screen: &Screen| match &screen.view {
            View::Card(card) => Some((card.step, card.on)),
            _ => None,
        };
        let before = step(bench.screen());
        if before.is_some_and(|(_, on)| on == CardOn::PrintLabel) {
            return;
        }
        let kind = std::mem::discriminant(&bench.screen().view);
        bench.press(" ");
        bench.see("the next card", |screen| {
            (std::mem::discriminant(&screen.view) != kind || step(screen) != before).then_some(())
        });
    }
    panic!("no card prints a label");
}

fn see_label(bench: &mut Touchscreen, state: PrintState) {
    bench.see(&format!("the label {state:?}"), |screen| match &screen.view {
        View::Card(card) => card.label.as_ref().is_some_and(|label| label.state == state).then_some(()),
        _ => None,
    });
}

#[test]
fn a_label_is_asked_for_printed_stuck_and_scanned() {
    let printer = LabelPrinter::start();
    let mut kiosk = kiosk(&printer);
    let mut bench = Touchscreen::start(&kiosk.url(), &kiosk.key, &kiosk.folder().join("bench.json"));
    to_the_label(&mut bench);

    // The kiosk is killed while the label is in the printer: it comes out once, and is known to have.
    printer.fault(Fault::Slow);
    bench.touch("Print the label");
    see_label(&mut bench, PrintState::Sent);
    kiosk.kill_hard();
    kiosk.restart();
    printer.fault(Fault::None);
    see_label(&mut bench, PrintState::Printed);
    std::thread::sleep(Duration::from_millis(700));
    let out = printer.out();
    assert_eq!(out.len(), 1);

    bench.scan(&symbol(&printer, &out[0]));
    wait_for("the piece to be bent", || (kiosk.order("7")["bent"] == 1).then_some(()));
    assert_eq!(kiosk.rows("7")[0]["print"], "printed");
}

/// Out of labels: the card says so, and the label comes when there are some.
#[test]
fn the_bench_says_what_the_printer_lacks() {
    let printer = LabelPrinter::start();
    let kiosk = kiosk(&printer);
    let mut bench = Touchscreen::start(&kiosk.url(), &kiosk.key, &kiosk.folder().join("bench.json"));
    to_the_label(&mut bench);
    printer.fault(Fault::Empty);
    bench.touch("Print the label");
    bench.see("that labels are out", |screen| match &screen.view {
        View::Card(card) => card.label.as_ref().is_some_and(|label| label.said.contains("out of labels")).then_some(()),
        _ => None,
    });
    printer.fault(Fault::None);
    see_label(&mut bench, PrintState::Printed);
    assert_eq!(printer.out().len(), 1);
}

/// A printed label is printed again only when asked, under a new code, and the old one no longer closes the piece.
#[test]
fn a_reprint_retires_the_label_before_it() {
    let printer = LabelPrinter::start();
    let kiosk = kiosk(&printer);
    let code = kiosk.code("7", "A-EW-1");
    let print = |body: Value| kiosk.post(&format!("/api/pieces/{code}/print"), &body.to_string());
    print(json!({ "id": "print-one-1" })).expect(202);
    let printed = |count: usize| wait_for("a label", || (printer.out().len() == count).then_some(()));
    printed(1);
    wait_for("it to be known", || (kiosk.rows("7")[0]["print"] == "printed").then_some(()));
    print(json!({ "id": "print-two-2" })).expect(409);
    print(json!({ "id": "print-three", "reprint": true })).expect(202);
    printed(2);
    let [first, second] = [0, 1].map(|at| symbol(&printer, &printer.out()[at]));
    assert_ne!(first, second);
    let stands = |label: &str| {
        let code = label.rsplit('/').next().unwrap();
        kiosk.get(&format!("/api/scan/{code}")).expect(200).json()["stands"].clone()
    };
    assert_eq!((stands(&first), stands(&second)), (json!("retired"), json!("current")));
}
