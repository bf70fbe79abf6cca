//! Labels through a real printer that fails as printers do: none lost, none printed twice unasked.
//!
//! The kiosk is ours, without its door; the printer is `ippeveprinter` (Debian's cups-ipp-utils), which speaks the other side
//! of IPP; what came out is counted, and read by libcups, Poppler and ZBar.

mod support;

use std::collections::BTreeSet;
use std::thread;
use std::time::Duration;

use brakeside::endpoint::http::{Method, Request};
use brakeside::store::PrintState;
use rusqlite::Connection;
use serde_json::json;

use support::print_shop::{Shop, codes, read};
use support::printer::{ATTRIBUTES, FORMATS, Fault, Label, LabelPrinter};
use support::{raster, wait_for};

#[test]
fn a_label_comes_out_in_whatever_format_the_printer_takes() {
    for (formats, media_type) in [
        (FORMATS, "image/pwg-raster"),
        ("application/pdf,image/png", "application/pdf"),
        ("image/png,image/jpeg", "image/png"),
    ] {
        let printer = LabelPrinter::of(ATTRIBUTES, formats);
        let shop = Shop::with(&printer);
        let print = shop.print(2);
        shop.until(print, PrintState::Printed);
        let out = printer.out();
        assert_eq!(out.len(), 1, "{formats}");
        let Label { media_type: sent, medium, copies, .. } = &out[0];
        assert_eq!((sent.as_str(), medium.as_str(), copies.as_str()), (media_type, "oe_4x2-label_4x2in", "1"));
        assert_eq!(codes(&printer), [shop.code(2)]);
    }
}

/// Dot for dot what the kiosk shows, at the printer's fineness, as libcups reads it.
#[test]
fn the_raster_is_the_labels_own_dots() {
    let gray = ATTRIBUTES.replace("black_1", "srgb_8,sgray_8");
    for (attributes, dpi, [width, height]) in
        [(ATTRIBUTES, 203, [812, 406]), (&gray, 300, [1200, 600]), (ATTRIBUTES, 600, [2400, 1200])]
    {
        let printer = LabelPrinter::of(&attributes.replace("203dpi", &format!("{dpi}dpi")), FORMATS);
        let shop = Shop::with(&printer);
        let print = shop.print(0);
        shop.until(print, PrintState::Printed);
        let page = raster::read(&printer.out()[0].file);
        assert_eq!((page.width, page.height, page.dpi, page.size), (width, height, [dpi; 2], [288, 144]));
        assert_eq!((page.class.as_str(), page.medium.as_str(), page.copies), ("PwgRaster", "oe_4x2-label_4x2in", 1));
        assert_eq!(codes(&printer), [shop.code(0)]);
        if dpi == 203 {
            let shown =
                shop.ask(Request::new(Method::Get, &format!("/api/pieces/{}/label.png?stock=4x2in", shop.code(0))));
            assert_eq!(page.dots, dots(&shown.body));
        }
    }
}

/// The dots of a PNG, 0 or 255 each.
fn dots(png: &[u8]) -> Vec<u8> {
    let mut decoder = png::Decoder::new(std::io::Cursor::new(png));
    decoder.set_transformations(png::Transformations::EXPAND);
    let mut reader = decoder.read_info().unwrap();
    let mut dots = vec![0; reader.output_buffer_size().unwrap()];
    reader.next_frame(&mut dots).unwrap();
    dots
}

#[test]
fn labels_come_out_once_each_in_the_order_asked() {
    let printer = LabelPrinter::start();
    let shop = Shop::with(&printer);
    let asked: Vec<(String, i64)> = [4, 0, 3, 1, 2].map(|turn| (shop.code(turn), shop.print(turn))).into();
    for (_, print) in &asked {
        shop.until(*print, PrintState::Printed);
    }
    assert_eq!(codes(&printer), asked.iter().map(|(code, _)| code.clone()).collect::<Vec<_>>());
    let names: BTreeSet<String> = printer.out().into_iter().map(|label| label.job_name).collect();
    assert_eq!(names.len(), asked.len());
    assert_eq!(shop.list()["prints"], json!([]));
    // Asked without saying that it is a reprint, nothing more comes out.
    assert_eq!(shop.post(&format!("/api/pieces/{}/print", asked[0].0), &json!({ "id": "once-more" })).status, 409);
    assert_eq!(printer.out().len(), 5);
}

#[test]
fn asked_twice_it_is_printed_once() {
    let printer = LabelPrinter::start();
    let shop = Shop::with(&printer);
    let path = format!("/api/pieces/{}/print", shop.code(0));
    let request = json!({ "id": "the-same-request", "by": "Ana" });
    let first = shop.post(&path, &request);
    assert_eq!((first.status, &read(&first)["state"]), (202, &json!("waiting")));
    let print = read(&first)["print"].as_i64().unwrap();
    assert_eq!(shop.post(&path, &request).status, 200);
    shop.until(print, PrintState::Printed);
    let again = shop.post(&path, &request);
    assert_eq!((again.status, &read(&again)["print"]), (200, &json!(print)));
    let other = format!("/api/pieces/{}/print", shop.code(1));
    assert_eq!(read(&shop.post(&other, &request))["refusal"], "id-reused");
    assert_eq!(codes(&printer), [shop.code(0)]);
}

#[test]
fn a_printer_that_is_away_gets_its_labels_when_it_is_back() {
    let mut printer = LabelPrinter::start();
    let shop = Shop::with(&printer);
    shop.hurried("the printer to be known", || shop.printer_is().0 == "ready");
    printer.switch_off();
    let prints = [shop.print(0), shop.print(1)];
    shop.hurried("the printer to be missed", || shop.printer_is() == ("away".into(), "does not answer".into()));
    assert_eq!(prints.map(|print| shop.state(print)), [PrintState::Waiting; 2]);
    printer.switch_on();
    shop.hurried("both to be printed", || prints.iter().all(|print| shop.state(*print) == PrintState::Printed));
    assert_eq!(codes(&printer), [shop.code(0), shop.code(1)]);
    shop.hurried("the printer to be ready", || shop.printer_is() == ("ready".into(), String::new()));
}

#[test]
fn out_of_labels_it_says_so_and_goes_on_when_it_has_some() {
    let printer = LabelPrinter::start();
    let shop = Shop::with(&printer);
    printer.fault(Fault::Empty);
    let (first, second) = (shop.print(0), shop.print(1));
    wait_for("the printer to say why", || (shop.said(first) == "out of labels").then_some(()));
    assert_eq!((shop.state(first), shop.state(second)), (PrintState::Sent, PrintState::Waiting));
    assert_eq!(shop.printer_is(), ("stopped".into(), "out of labels".into()));
    assert!(printer.out().is_empty());
    printer.fault(Fault::None);
    shop.until(second, PrintState::Printed);
    assert_eq!((shop.state(first), shop.said(first)), (PrintState::Printed, String::new()));
    assert_eq!(codes(&printer), [shop.code(0), shop.code(1)]);
}

#[test]
fn what_the_printer_gives_up_waits_for_a_person() {
    let printer = LabelPrinter::start();
    let shop = Shop::with(&printer);
    printer.fault(Fault::Abort);
    let (first, second, third) = (shop.print(0), shop.print(1), shop.print(2));
    for print in [first, second, third] {
        shop.until(print, PrintState::Stopped);
    }
    assert_eq!(shop.said(first), "the printer gave it up");
    printer.fault(Fault::None);
    assert_eq!((shop.act(first, "again"), shop.act(second, "cancel"), shop.act(third, "came-out")), (200, 200, 200));
    shop.until(first, PrintState::Printed);
    assert_eq!((shop.state(second), shop.state(third)), (PrintState::Cancelled, PrintState::Printed));
    // The printer had the first: some of it may be out after all, and this one is the one that counts.
    assert_ne!(shop.label(0), shop.code(0));
    assert_eq!(codes(&printer), [shop.label(0)]);
    assert_eq!((shop.act(first, "again"), shop.act(99, "again")), (409, 404));
}

#[test]
fn what_waits_is_cancelled_and_what_is_at_the_printer_is_called_off() {
    let printer = LabelPrinter::start();
    let shop = Shop::with(&printer);
    printer.fault(Fault::Slow);
    let (at_printer, waiting) = (shop.print(0), shop.print(1));
    shop.until(at_printer, PrintState::Sent);
    assert_eq!(shop.act(waiting, "cancel"), 200);
    assert_eq!(shop.state(waiting), PrintState::Cancelled);
    assert_eq!(shop.act(at_printer, "cancel"), 200);
    wait_for("the printer to be told", || shop.said(at_printer).starts_with("called off").then_some(()));
    assert!(printer.was_asked("Cancel-Job"));
    // This printer lets go of a job when its head is done with it, and its head prints on what it has begun.
    printer.fault(Fault::None);
    shop.until(at_printer, PrintState::Cancelled);
    assert_eq!((printer.out().len(), &shop.list()["prints"]), (1, &json!([])));
    // Both may be asked for again. The one that waited never came out; the one that did has a newer one now.
    let (as_it_was, anew) = (shop.print(1), shop.print(0));
    shop.until(as_it_was, PrintState::Printed);
    shop.until(anew, PrintState::Printed);
    assert_ne!(shop.label(0), shop.code(0));
    assert_eq!(codes(&printer), [shop.code(0), shop.code(1), shop.label(0)]);
}

#[test]
fn labels_that_the_printer_has_not_are_named() {
    let attributes = ATTRIBUTES
        .replace("oe_4x6-label_4x6in,oe_4x2-label_4x2in", "na_letter_8.5x11in")
        .replace("oe_4x2-label_4x2in", "na_letter_8.5x11in");
    let printer = LabelPrinter::of(&attributes, FORMATS);
    let shop = Shop::with(&printer);
    let print = shop.print(0);
    let wanted = "the printer has no labels of 101.6 × 50.8 mm: it has na_letter_8.5x11in";
    shop.hurried("the printer to be found wanting", || shop.printer_is() == ("stopped".into(), wanted.into()));
    assert_eq!(shop.state(print), PrintState::Waiting);
    assert!(printer.out().is_empty());
}

#[test]
fn a_reprint_has_a_new_code_and_retires_the_old_one() {
    let printer = LabelPrinter::start();
    let shop = Shop::with(&printer);
    let code = shop.code(0);
    let first = shop.print(0);
    shop.until(first, PrintState::Printed);
    let again = shop.asked(&format!("/api/pieces/{code}/print"), json!({ "reprint": true }), 202);
    shop.until(again, PrintState::Printed);
    let out = codes(&printer);
    assert_eq!((out.len(), &out[0]), (2, &code));
    assert_ne!(out[1], code);
    assert_eq!([shop.stands(&code), shop.stands(&out[1])], ["retired", "current"]);
}

#[test]
fn the_test_label_comes_out() {
    let printer = LabelPrinter::start();
    let shop = Shop::with(&printer);
    let print = shop.asked("/api/prints", json!({ "test": true }), 202);
    shop.until(print, PrintState::Printed);
    assert_eq!(codes(&printer), [brakeside::label::code::TEST]);
}

/// What is no printer, or answers nonsense, stops nothing but itself.
#[test]
fn nonsense_from_the_printer_is_said_and_survived() {
    let answers: [&[u8]; 5] = [
        b"HTTP/1.1 404 Not Found\r\nContent-Length: 0\r\n\r\n",
        b"HTTP/1.1 200 OK\r\nContent-Length: 5\r\n\r\nhello",
        // A collection's value that says it is longer than the answer.
        b"HTTP/1.1 200 OK\r\nContent-Length: 24\r\n\r\n\x01\x01\0\0\0\0\0\x01\x04\x35\0\x01a\0\x02\x7f\xff\x03\0\0\0\0\0\0\0",
        b"SSH-2.0-OpenSSH_9.2\r\n",
        b"",
    ];
    for answer in answers {
        let listener = std::net::TcpListener::bind(("127.0.0.1", 0)).unwrap();
        let port = listener.local_addr().unwrap().port();
        thread::spawn(move || {
            for mut stream in listener.incoming().flatten() {
                use std::io::{Read, Write};
                let _ = stream.read(&mut [0; 4096]);
                let _ = stream.write_all(answer);
            }
        });
        let shop = Shop::at(&format!("ipp://127.0.0.1:{port}"));
        let print = shop.print(0);
        shop.hurried("it to be said", || shop.printer_is().1 != "not asked yet");
        let (state, said) = shop.printer_is();
        assert!(state == "stopped" || state == "away", "{state}: {said}");
        assert_eq!(shop.state(print), PrintState::Waiting);
    }
}

/// What is kept of its piece was changed by a hand that did not know how.
#[test]
fn a_label_that_cannot_be_drawn_does_not_stop_those_behind_it() {
    let printer = LabelPrinter::start();
    let mut shop = Shop::with(&printer);
    shop.power_off();
    shop.power_on_without_clerk();
    let (bad, good) = (shop.print(0), shop.asked("/api/prints", json!({ "test": true }), 202));
    let piece = shop.code(0);
    shop.power_off();
    let store = Connection::open(shop.store_file()).unwrap();
    store.execute("DROP TRIGGER pieces_stand", []).unwrap();
    store.execute("UPDATE pieces SET record = json_set(record, '$.blank', 'lost') WHERE code = ?", [piece]).unwrap();
    drop(store);
    shop.power_on();
    shop.until(good, PrintState::Printed);
    assert_eq!(shop.state(bad), PrintState::Stopped);
    assert_eq!(shop.said(bad), "what is kept of its piece cannot be read");
    assert_eq!(codes(&printer), [brakeside::label::code::TEST]);
}

#[test]
fn without_a_printer_labels_wait() {
    let mut shop = Shop::without_printer();
    let print = shop.print(0);
    let none = json!({ "address": null, "state": "none", "said": "no printer is set" });
    let list = shop.list();
    assert_eq!((&list["printer"], &list["prints"][0]["state"]), (&none, &json!("waiting")));
    let printer = LabelPrinter::start();
    shop.power_off();
    shop.set_printer(&printer);
    shop.power_on();
    shop.until(print, PrintState::Printed);
    thread::sleep(Duration::from_millis(500));
    assert_eq!(codes(&printer), [shop.code(0)]);
}
