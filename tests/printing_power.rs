//! Whenever the power goes, at the kiosk, at the printer or on the cable between them: no label is lost, and none is printed
//! twice unasked. What nobody can tell, a person is asked.
//!
//! The printer is `ippeveprinter`, as in `printing.rs`; the power of the real program is cut elsewhere.

mod support;

use std::thread;
use std::time::Duration;

use brakeside::label::printer::{Address, Arrival, Found, Patience, Printer};
use brakeside::label::stock::Stock;
use brakeside::store::PrintState;
use serde_json::json;

use support::print_shop::{PATIENCE, Shop, codes};
use support::printer::{Fault, LabelPrinter};
use support::relay::{Mishap, Relay};
use support::wait_for;

#[test]
fn the_kiosk_comes_back_to_what_waited() {
    let mut printer = LabelPrinter::start();
    let mut shop = Shop::with(&printer);
    printer.switch_off();
    let print = shop.print(0);
    shop.power_off();
    printer.switch_on();
    shop.power_on();
    shop.until(print, PrintState::Printed);
    assert_eq!(codes(&printer), [shop.code(0)]);
}

#[test]
fn the_kiosk_comes_back_to_what_is_at_the_printer() {
    let printer = LabelPrinter::start();
    let mut shop = Shop::with(&printer);
    for (turn, comes_out_meanwhile) in [(0, false), (1, true)] {
        printer.fault(Fault::Slow);
        let print = shop.print(turn);
        shop.until(print, PrintState::Sent);
        shop.power_off();
        if comes_out_meanwhile {
            printer.fault(Fault::None);
            wait_for("the label", || (printer.out().len() == turn + 1).then_some(()));
            shop.power_on();
        } else {
            shop.power_on();
            assert_eq!(shop.state(print), PrintState::Sent);
            printer.fault(Fault::None);
        }
        shop.until(print, PrintState::Printed);
    }
    assert_eq!(codes(&printer), [shop.code(0), shop.code(1)]);
}

/// The power goes after the printer has the label, and before its number is written down.
#[test]
fn what_was_being_sent_is_found_again_by_its_name() {
    for fault in [Fault::Slow, Fault::None] {
        let printer = LabelPrinter::start();
        let mut shop = Shop::with(&printer);
        shop.power_off();
        shop.power_on_without_clerk();
        printer.fault(fault);
        let print = shop.print(0);
        let sending = shop.kiosk().store().print_sending(print, &printer.address(), 1).unwrap();
        send_by_hand(&printer, &sending.job_name.unwrap(), &shop.code(0));
        if let Fault::None = fault {
            wait_for("the label", || (printer.out().len() == 1).then_some(()));
        }
        shop.power_off();
        shop.power_on();
        shop.hurried("it to be found", || shop.state(print) != PrintState::Sending);
        printer.fault(Fault::None);
        shop.until(print, PrintState::Printed);
        thread::sleep(Duration::from_millis(500));
        assert_eq!(printer.out().len(), 1);
    }
}

/// As the clerk sends it, but for what is on it.
fn send_by_hand(printer: &LabelPrinter, name: &str, content: &str) -> i32 {
    let peer = Printer::at(&Address::parse(&printer.address()).unwrap(), PATIENCE);
    let (_, abilities) = peer.abilities().unwrap();
    peer.print(name, &abilities.setup(Stock::INCH).unwrap(), &abilities, content.as_bytes()).unwrap()
}

/// The power goes before the printer has the label: nobody can know that, and a person is asked.
#[test]
fn what_may_have_been_sent_is_not_sent_again_unasked() {
    let printer = LabelPrinter::start();
    let mut shop = Shop::with(&printer);
    shop.power_off();
    shop.power_on_without_clerk();
    let prints = [shop.print(0), shop.print(1)];
    for print in prints {
        shop.kiosk().store().print_sending(print, &printer.address(), 1).unwrap();
    }
    shop.power_off();
    shop.power_on();
    for print in prints {
        shop.until(print, PrintState::Unsure);
    }
    assert!(shop.said(prints[0]).contains("does not know it"), "{}", shop.said(prints[0]));
    assert!(printer.out().is_empty());
    assert_eq!((shop.act(prints[0], "again"), shop.act(prints[1], "came-out")), (200, 200));
    shop.until(prints[0], PrintState::Printed);
    assert_eq!(shop.state(prints[1]), PrintState::Printed);
    // The first may be out after all: this one says that it is printed again, and is the one that counts.
    let label = shop.label(0);
    assert_ne!(label, shop.code(0));
    assert_eq!(codes(&printer), [label]);
}

/// Pulled from its socket with a label in it, the printer forgets it.
#[test]
fn a_printer_that_lost_its_jobs_leaves_a_person_to_look() {
    let mut printer = LabelPrinter::start();
    let shop = Shop::with(&printer);
    printer.fault(Fault::Slow);
    let print = shop.print(0);
    shop.until(print, PrintState::Sent);
    printer.switch_off();
    shop.hurried("the printer to be missed", || shop.said(print) == "the printer does not answer");
    assert_eq!(shop.state(print), PrintState::Sent);
    printer.fault(Fault::None);
    printer.switch_on();
    // The number that ours had is another's now.
    send_by_hand(&printer, "somebody else's", "not ours");
    shop.hurried("the clerk to notice", || shop.state(print) == PrintState::Unsure);
    let mut out = wait_for("the other's label", || Some(printer.out()).filter(|out| !out.is_empty()));
    assert_eq!(out.pop().map(|label| (out.len(), label.job_name)), Some((0, "somebody else's".to_owned())));
    assert_eq!(shop.act(print, "again"), 200);
    shop.until(print, PrintState::Printed);
    assert_eq!(printer.out().len(), 2);
}

/// A printer that is gone for good does not keep its label for ever.
#[test]
fn a_label_at_a_printer_that_never_answers_is_given_up_by_a_person_alone() {
    let mut printer = LabelPrinter::start();
    let shop = Shop::with(&printer);
    printer.fault(Fault::Slow);
    let print = shop.print(0);
    shop.until(print, PrintState::Sent);
    printer.switch_off();
    shop.hurried("the printer to be missed", || shop.said(print) == "the printer does not answer");
    assert_eq!((shop.act(print, "again"), shop.act(print, "came-out")), (409, 409));
    assert_eq!(shop.act(print, "cancel"), 200);
    shop.until(print, PrintState::Unsure);
    assert_eq!(shop.act(print, "cancel"), 200);
    assert_eq!(shop.list()["prints"], json!([]));
}

/// The printer has the label, and the kiosk does not hear so: it looks for it, and sends no other.
#[test]
fn a_request_whose_answer_is_lost_is_found_and_not_repeated() {
    for mishap in [Mishap::AnswerLost, Mishap::AnswerHeld] {
        let printer = LabelPrinter::start();
        let relay = Relay::to(printer.port());
        let shop = Shop::at(&relay.address());
        relay.next_print(mishap);
        let print = shop.print(0);
        shop.until(print, PrintState::Printed);
        assert!(relay.happened());
        thread::sleep(Duration::from_millis(500));
        assert_eq!(codes(&printer), [shop.code(0)], "{mishap:?}");
    }
}

/// The label never reached the printer. The kiosk cannot tell that from one that was printed and forgotten.
#[test]
fn a_request_that_is_lost_is_not_repeated_unasked() {
    let printer = LabelPrinter::start();
    let relay = Relay::to(printer.port());
    let shop = Shop::at(&relay.address());
    relay.next_print(Mishap::RequestLost);
    let (lost, next) = (shop.print(0), shop.print(1));
    shop.until(lost, PrintState::Unsure);
    shop.until(next, PrintState::Printed);
    assert_eq!(codes(&printer), [shop.code(1)]);
    assert_eq!(shop.act(lost, "again"), 200);
    shop.until(lost, PrintState::Printed);
    assert_eq!(codes(&printer), [shop.code(1), shop.label(0)]);
}

/// RFC 8011 appendix B.1.5.7 and B.1.4.11: busy, and a format that is not taken.
#[test]
fn a_busy_printer_is_tried_again_and_one_that_refuses_is_not() {
    let printer = LabelPrinter::start();
    let relay = Relay::to(printer.port());
    let shop = Shop::at(&relay.address());
    relay.next_print(Mishap::Refused(0x0507));
    let busy = shop.print(0);
    shop.hurried("it to be printed all the same", || shop.state(busy) == PrintState::Printed);
    relay.next_print(Mishap::Refused(0x040a));
    let refused = shop.print(1);
    shop.until(refused, PrintState::Stopped);
    assert_eq!(shop.said(refused), "the printer refused: document format not supported");
    assert_eq!(codes(&printer), [shop.code(0)]);
}

/// Cancelled while the printer is being given it; the printer does not take it, and nobody wants it any more.
#[test]
fn what_is_cancelled_while_a_busy_printer_refuses_it_is_not_sent_again() {
    let printer = LabelPrinter::start();
    let relay = Relay::to(printer.port());
    // The kiosk waits for the refusal however long this machine takes to cancel.
    let patience = Patience { answer: support::PATIENCE, ..PATIENCE };
    let shop = Shop::patiently(&relay.address(), patience);
    for (turn, status) in [(0, 0x0507), (1, 0x040a)] {
        let refusals = relay.hold_refusals();
        relay.next_print(Mishap::Refused(status));
        let print = shop.print(turn);
        shop.until(print, PrintState::Sending);
        assert_eq!(shop.act(print, "cancel"), 200);
        drop(refusals);
        shop.until(print, PrintState::Cancelled);
    }
    let next = shop.print(2);
    shop.hurried("the next to be printed", || shop.state(next) == PrintState::Printed);
    assert_eq!(codes(&printer), [shop.code(2)]);
}

/// The same, cancelled in the moment before the clerk puts it back; and one that a person wants after all.
#[test]
fn what_was_called_off_and_is_not_at_the_printer_is_cancelled_until_it_is_asked_for() {
    let printer = LabelPrinter::start();
    let mut shop = Shop::with(&printer);
    shop.power_off();
    shop.power_on_without_clerk();
    for (turn, to) in [(0, PrintState::Waiting), (1, PrintState::Stopped)] {
        let print = shop.print(turn);
        shop.kiosk().store().print_sending(print, &printer.address(), 1).unwrap();
        assert_eq!(shop.act(print, "cancel"), 200);
        shop.kiosk().store().print_became(print, to, "not taken", 2).unwrap();
        assert_eq!((shop.state(print), shop.act(print, "again")), (PrintState::Cancelled, 409));
    }
    let wanted = shop.print(1);
    shop.start_clerk();
    shop.until(wanted, PrintState::Printed);
    assert_eq!(codes(&printer), [shop.code(1)]);
}

/// The power goes after a person was told that it is called off, and before the printer was.
#[test]
fn what_was_called_off_is_not_wanted_again_after_a_power_cut() {
    let printer = LabelPrinter::start();
    let mut shop = Shop::with(&printer);
    printer.fault(Fault::Slow);
    let print = shop.print(0);
    shop.until(print, PrintState::Sent);
    shop.power_off();
    shop.power_on_without_clerk();
    assert_eq!(shop.act(print, "cancel"), 200);
    shop.power_off();
    assert!(!printer.was_asked("Cancel-Job"));
    shop.power_on();
    wait_for("the printer to be told", || printer.was_asked("Cancel-Job").then_some(()));
    printer.fault(Fault::None);
    shop.until(print, PrintState::Cancelled);
}

/// The printer refuses a reprint: the label that is out is the only one there is.
#[test]
fn a_reprint_that_never_got_to_the_printer_retires_nothing() {
    let printer = LabelPrinter::start();
    let relay = Relay::to(printer.port());
    let shop = Shop::at(&relay.address());
    let first = shop.print(0);
    shop.until(first, PrintState::Printed);
    relay.next_print(Mishap::Refused(0x040a));
    let reprint = shop.asked(&format!("/api/pieces/{}/print", shop.code(0)), json!({ "reprint": true }), 202);
    shop.until(reprint, PrintState::Stopped);
    assert_eq!(shop.stands(&shop.code(0)), "current");
    assert_eq!(shop.act(reprint, "cancel"), 200);
    assert_eq!(shop.stands(&shop.code(0)), "current");
    assert_eq!(codes(&printer), [shop.code(0)]);
}

/// The power went while a reprint was being sent. Somebody may hold it, and the printer, which is away, cannot be asked.
#[test]
fn a_reprint_that_may_be_out_counts_while_the_printer_is_away() {
    let mut printer = LabelPrinter::start();
    let mut shop = Shop::with(&printer);
    let first = shop.print(0);
    shop.until(first, PrintState::Printed);
    shop.power_off();
    shop.power_on_without_clerk();
    let reprint = shop.asked(&format!("/api/pieces/{}/print", shop.code(0)), json!({ "reprint": true }), 202);
    let sending = shop.kiosk().store().print_sending(reprint, &printer.address(), 1).unwrap();
    printer.switch_off();
    assert_eq!(shop.stands(&sending.label), "current");
    shop.start_clerk();
    shop.hurried("the older to be retired", || shop.stands(&shop.code(0)) == "retired");
    assert_eq!((shop.stands(&sending.label).as_str(), shop.state(reprint)), ("current", PrintState::Sending));
}

/// RFC 8011 appendix B.1.5.7: busy now, it can tell later. B.1.5.2: it never can.
#[test]
fn a_printer_too_busy_to_list_its_jobs_is_asked_again() {
    let printer = LabelPrinter::start();
    let relay = Relay::to(printer.port());
    let peer = Printer::at(&Address::parse(&relay.address()).unwrap(), PATIENCE);
    relay.next_print(Mishap::JobsRefused(0x0507));
    assert_eq!(peer.find("ours").unwrap_err().arrival(), Arrival::Later);
    relay.next_print(Mishap::JobsRefused(0x0501));
    assert_eq!(peer.find("ours").unwrap(), Found::CannotTell);
    assert_eq!(peer.find("ours").unwrap(), Found::Unknown);
}

/// A label was left at the shop's former printer, which is gone.
#[test]
fn a_label_at_another_printer_does_not_make_this_one_look_away() {
    let printer = LabelPrinter::start();
    let mut shop = Shop::with(&printer);
    shop.power_off();
    shop.power_on_without_clerk();
    let (left, next) = (shop.print(0), shop.print(1));
    // Nothing listens at the discard port.
    shop.kiosk().store().print_sending(left, "ipp://127.0.0.1:9/ipp/print", 1).unwrap();
    shop.start_clerk();
    shop.until(next, PrintState::Printed);
    shop.hurried("the other to be looked for", || shop.said(left) == "the printer does not answer");
    for _ in 0..20 {
        shop.kiosk().printing().nudge();
        thread::sleep(Duration::from_millis(20));
        assert_ne!(shop.printer_is().0, "away");
    }
    assert_eq!(shop.act(left, "cancel"), 200);
    shop.until(left, PrintState::Unsure);
}

/// The same, cancelled while this printer is out of labels, and while it is away.
#[test]
fn a_label_at_another_printer_is_called_off_however_this_one_is() {
    let mut printer = LabelPrinter::start();
    let mut shop = Shop::with(&printer);
    shop.power_off();
    shop.power_on_without_clerk();
    let here = shop.print(0);
    let left = [1, 2].map(|turn| {
        let print = shop.print(turn);
        shop.kiosk().store().print_sending(print, "ipp://127.0.0.1:9/ipp/print", 1).unwrap();
        print
    });
    printer.fault(Fault::Empty);
    shop.start_clerk();
    shop.until(here, PrintState::Sent);
    assert_eq!(shop.act(left[0], "cancel"), 200);
    shop.until(left[0], PrintState::Unsure);
    printer.switch_off();
    shop.hurried("the printer to be missed", || shop.printer_is().0 == "away");
    assert_eq!(shop.act(left[1], "cancel"), 200);
    shop.until(left[1], PrintState::Unsure);
}

/// Whenever the power goes, on whichever side. The times are drawn from fixed seeds.
#[test]
fn whenever_the_power_goes_no_label_is_lost_or_doubled() {
    let mut printer = LabelPrinter::start();
    let mut shop = Shop::with(&printer);
    let mut random = 2041_u64;
    let mut pause = |most: u64| {
        random = random.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
        thread::sleep(Duration::from_millis((random >> 33) % most));
    };
    let prints: Vec<i64> = (0..7).map(|turn| shop.print(turn)).collect();
    for round in 0..16 {
        pause(400);
        if round % 4 == 3 {
            printer.switch_off();
            pause(100);
            printer.switch_on();
            shop.kiosk().printing().nudge();
        } else {
            shop.power_off();
            pause(100);
            shop.power_on();
        }
    }
    let settled = |state| matches!(state, PrintState::Printed | PrintState::Unsure | PrintState::Stopped);
    shop.hurried("all to be settled", || prints.iter().all(|print| settled(shop.state(*print))));
    thread::sleep(Duration::from_millis(500));
    let out = codes(&printer);
    for (turn, print) in prints.iter().enumerate() {
        let came_out = out.iter().filter(|code| **code == shop.code(turn)).count();
        match shop.state(*print) {
            PrintState::Printed => assert_eq!(came_out, 1, "print {print} of {out:?}"),
            // Nobody knows: so it is.
            _ => assert!(came_out <= 1, "print {print} of {out:?}"),
        }
    }
    assert!(prints.iter().any(|print| shop.state(*print) == PrintState::Printed), "none got through");
}
