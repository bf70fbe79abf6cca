//! What becomes of a print, and what does not.

use super::PrintState::{Printed, Unsure};
use super::*;
use crate::store::fixture::Kept;
use crate::store::{Recorded, Stands};

const ALL: [PrintState; 7] = [Waiting, Sending, Sent, Printed, Stopped, Unsure, Cancelled];

fn asking(id: &str) -> Asking<'_> {
    Asking { id, by: Some("Ana"), now: 7 }
}

fn refused<T: std::fmt::Debug>(answer: Result<T, PrintError>) -> PrintRefusal {
    match answer {
        Err(PrintError::Refused(refusal)) => refusal,
        other => panic!("{other:?}"),
    }
}

fn become_by_hand(kept: &Kept, id: i64, state: PrintState) {
    let writer = kept.writer.lock().unwrap();
    let sql = "UPDATE prints SET state = ?, called_off = FALSE WHERE id = ?";
    writer.execute(sql, params![state.word(), id]).unwrap();
}

#[test]
fn a_print_becomes_only_what_it_may() {
    let kept = Kept::with(&["A1"]);
    let (_, print) = kept.ask_print("A1", "B1", asking("1")).unwrap();
    let mut allowed = Vec::new();
    for from in ALL {
        for to in ALL {
            become_by_hand(&kept, print.id, from);
            match kept.print_became(print.id, to, "so", 9) {
                Ok(now) => {
                    assert_eq!((now.state, now.said.as_str(), now.changed_at), (to, "so", 9));
                    allowed.push((from, to));
                }
                Err(error) => {
                    assert_eq!(refused::<()>(Err(error)), PrintRefusal::NotNow { from, to });
                    assert_eq!(kept.print(print.id).unwrap().unwrap().state, from);
                }
            }
        }
    }
    assert_eq!(
        allowed,
        [
            (Waiting, Sending),
            (Waiting, Stopped),
            (Waiting, Cancelled),
            (Sending, Waiting),
            (Sending, Sent),
            (Sending, Stopped),
            (Sending, Unsure),
            (Sending, Cancelled),
            (Sent, Printed),
            (Sent, Stopped),
            (Sent, Unsure),
            (Sent, Cancelled),
        ]
    );
    assert_eq!(refused(kept.print_became(99, Printed, "", 9)), PrintRefusal::Unknown);
}

/// A person may not say what only the printer knows.
#[test]
fn a_person_decides_what_the_printer_does_not() {
    let kept = Kept::with(&["A1"]);
    let (_, print) = kept.ask_print("A1", "B1", asking("1")).unwrap();
    for from in ALL {
        let decided = [Waiting, Printed, Cancelled].map(|to| {
            become_by_hand(&kept, print.id, from);
            let decided = match to {
                Waiting => kept.print_again(print.id, &format!("B-{from:?}"), 9),
                Printed => kept.print_came_out(print.id, 9),
                _ => kept.print_cancel(print.id, 9),
            };
            decided.map(|print| (print.state, print.called_off)).ok()
        });
        let expected = match from {
            Waiting => [None, None, Some((Cancelled, false))],
            // The clerk is told.
            Sending | Sent => [None, None, Some((from, true))],
            Stopped | Unsure => [Waiting, Printed, Cancelled].map(|to| Some((to, false))),
            Printed | Cancelled => [None; 3],
        };
        assert_eq!(decided, expected, "{from:?}");
    }
}

/// A power cut does not make a label wanted again, and nobody is asked about one that nobody wants.
#[test]
fn what_is_called_off_stays_so_until_it_is_at_its_end() {
    let kept = Kept::with(&["A1"]);
    let (_, print) = kept.ask_print("A1", "B1", asking("1")).unwrap();
    kept.print_sending(print.id, "ipp://one", 8).unwrap();
    kept.print_cancel(print.id, 9).unwrap();
    let kept = kept.reopened();
    let sent = kept.print_sent(print.id, 41, 9).unwrap();
    assert_eq!((sent.state, sent.called_off), (Sent, true));
    let ended = kept.print_became(print.id, Stopped, "cancelled at the printer", 9).unwrap();
    assert_eq!((ended.state, ended.called_off), (Cancelled, false));
}

#[test]
fn a_label_is_asked_for_once() {
    let kept = Kept::with(&["A1", "A2"]);
    let (recorded, first) = kept.ask_print("A1", "B0", asking("1")).unwrap();
    assert_eq!((recorded, first.state, first.label.as_str()), (Recorded::New, Waiting, "A1"));
    assert_eq!((first.order.as_deref(), first.mark.as_deref()), (Some("2041"), Some("A-EW-1")));
    let kept = kept.reopened();
    assert_eq!(kept.ask_print("A1", "B0", asking("1")).unwrap(), (Recorded::Again, first.clone()));
    assert_eq!(refused(kept.ask_print("A2", "B0", asking("1"))), PrintRefusal::IdReused);
    assert_eq!(refused(kept.ask_test_print("T", asking("1"))), PrintRefusal::IdReused);
    assert_eq!(refused(kept.ask_print("A1", "B0", asking("2"))), PrintRefusal::PrintedBefore);
    assert!(matches!(kept.ask_print("A9", "B0", asking("3")), Err(PrintError::Piece(Refusal::UnknownCode))));
    let (_, test) = kept.ask_test_print("T", asking("4")).unwrap();
    assert_eq!((test.piece, test.mark, test.label.as_str()), (None, None, "T"));
    assert_eq!(kept.next_print().unwrap(), Some(first));
    assert_eq!(kept.open_prints(9).unwrap().len(), 2);
}

#[test]
fn the_number_and_a_new_name_are_kept_each_time_it_is_sent() {
    let kept = Kept::with(&["A1"]);
    let (_, print) = kept.ask_print("A1", "B0", asking("1")).unwrap();
    let first = kept.print_sending(print.id, "ipp://one", 8).unwrap();
    assert_eq!((first.state, first.printer.as_deref(), first.job), (Sending, Some("ipp://one"), None));
    let sent = kept.print_sent(print.id, 41, 9).unwrap();
    assert_eq!((sent.state, sent.job, &sent.job_name), (Sent, Some(41), &first.job_name));
    assert_eq!(kept.prints_under_way().unwrap(), std::slice::from_ref(&sent));
    kept.print_said(&first, "too late to be true", 9).unwrap();
    kept.print_said(&sent, "out of labels", 9).unwrap();
    assert_eq!(kept.reopened_print(print.id), "out of labels");
    kept.print_became(print.id, Stopped, "", 9).unwrap();
    kept.print_again(print.id, "B1", 9).unwrap();
    let second = kept.print_sending(print.id, "ipp://two", 8).unwrap();
    assert_eq!((second.printer.as_deref(), second.job), (Some("ipp://two"), None));
    assert!(first.job_name.is_some() && second.job_name != first.job_name);
}

impl Kept {
    fn reopened_print(&self, id: i64) -> String {
        self.print(id).unwrap().unwrap().said
    }
}

/// Both may come out: the one that counts says that it is a reprint.
#[test]
fn what_may_be_out_is_sent_once_more_under_another_code() {
    let kept = Kept::with(&["A1"]);
    let (_, print) = kept.ask_print("A1", "B0", asking("1")).unwrap();
    for label in ["B1", "B2"] {
        kept.print_sending(print.id, "ipp://one", 8).unwrap();
        kept.print_became(print.id, Unsure, "", 9).unwrap();
        assert!(matches!(kept.print_again(print.id, "A1", 9), Err(PrintError::Piece(Refusal::CodeTaken { .. }))));
        let anew = kept.print_again(print.id, label, 9).unwrap();
        assert_eq!((anew.state, anew.label.as_str(), anew.reprint), (Waiting, label, true));
    }
    assert_eq!(stands(&kept, ["A1", "B1", "B2"]), [Some(Stands::Retired), Some(Stands::Current), None]);
    // One that surely never got to the printer is sent again as it is.
    let (_, test) = kept.ask_test_print("T", asking("2")).unwrap();
    for print in [&print, &test] {
        kept.print_sending(print.id, "ipp://one", 8).unwrap();
        kept.print_became(print.id, Waiting, "", 9).unwrap();
    }
    assert_eq!(stands(&kept, ["B1", "B2"]), [Some(Stands::Current), None]);
}

fn stands<const N: usize>(kept: &Kept, labels: [&str; N]) -> [Option<Stands>; N] {
    labels.map(|label| kept.scan(label).unwrap().map(|scan| scan.stands))
}

/// However it ended: the label that is asked for next is another one.
#[test]
fn what_may_be_out_is_not_asked_for_again_under_its_code() {
    for (end, ends) in [
        ("unsure, and given up", &[Unsure, Cancelled][..]),
        ("called off at the printer", &[Sent, Cancelled]),
        ("given up by the printer", &[Sent, Stopped]),
    ] {
        let kept = Kept::with(&["A1"]);
        let (_, print) = kept.ask_print("A1", "B1", asking("1")).unwrap();
        kept.print_sending(print.id, "ipp://one", 8).unwrap();
        for to in ends {
            match (kept.print(print.id).unwrap().unwrap().state, to) {
                (Unsure, Cancelled) => kept.print_cancel(print.id, 9).unwrap(),
                _ => kept.print_became(print.id, *to, "", 9).unwrap(),
            };
        }
        let (recorded, next) = kept.ask_print("A1", "B2", asking("2")).unwrap();
        assert_eq!((recorded, next.label.as_str(), next.reprint), (Recorded::New, "B2", true), "{end}");
    }
}

/// Whoever holds a label can have it scanned, whatever the kiosk has heard of it; and while only one can be out, that one
/// counts.
#[test]
fn a_label_is_retired_when_the_next_may_be_out_and_not_before() {
    let kept = Kept::with(&["A1"]);
    let (_, first) = kept.ask_print("A1", "B0", asking("1")).unwrap();
    kept.print_sending(first.id, "ipp://one", 8).unwrap();
    kept.print_sent(first.id, 41, 8).unwrap();
    kept.print_became(first.id, Printed, "", 8).unwrap();
    let both = || stands(&kept, ["A1", "B1"]);
    let (current, retired) = (Some(Stands::Current), Some(Stands::Retired));
    let (_, next) = kept.ask_reprint("A1", "B1", asking("2")).unwrap();
    assert_eq!(both(), [current, None]);
    let send = || kept.print_sending(next.id, "ipp://one", 8).unwrap();
    // It may be in somebody's hand before the printer's answer is here.
    send();
    assert_eq!(both(), [current, current]);
    assert!(kept.record("B1", &Event::step(1), "step-1", None, 8).is_ok());
    // The printer is busy, then refuses it: there is none.
    kept.print_became(next.id, Waiting, "busy", 9).unwrap();
    assert_eq!(both(), [current, None]);
    send();
    kept.print_became(next.id, Stopped, "refused", 9).unwrap();
    assert_eq!(both(), [current, None]);
    kept.print_cancel(next.id, 9).unwrap();
    assert_eq!((both(), kept.piece("A1").unwrap().unwrap().row.label.as_str()), ([current, None], "A1"));

    type Outcome = fn(&Kept, i64) -> Result<Print, PrintError>;
    let outcomes: [(&str, Outcome); 4] = [
        ("taken", |kept, id| kept.print_sent(id, 42, 9)),
        ("nobody knows", |kept, id| kept.print_became(id, Unsure, "", 9)),
        ("nobody heard", |kept, id| kept.print_perhaps_out(id, 9)),
        ("out by a hand", |kept, id| {
            kept.print_became(id, Stopped, "refused", 9)?;
            kept.print_came_out(id, 9)
        }),
    ];
    for (name, outcome) in outcomes {
        let kept = Kept::with(&["A1"]);
        let (_, first) = kept.ask_print("A1", "B0", asking("1")).unwrap();
        kept.print_sending(first.id, "ipp://one", 8).unwrap();
        kept.print_became(first.id, Unsure, "", 8).unwrap();
        let (_, next) = kept.ask_reprint("A1", "B1", asking("2")).unwrap();
        kept.print_sending(next.id, "ipp://one", 8).unwrap();
        outcome(&kept, next.id).unwrap();
        assert_eq!(stands(&kept, ["A1", "B1"]), [retired, current], "{name}");
        kept.print_perhaps_out(next.id, 9).unwrap();
        assert_eq!(kept.history("A1").unwrap().len(), 1, "{name}: once");
    }
}

#[test]
fn a_reprint_takes_the_place_of_what_went_before() {
    let kept = Kept::with(&["A1"]);
    let again = |label: &str, id: &str| kept.ask_reprint("A1", label, asking(id));
    // Nothing was printed yet: a first print, then the same that still waits.
    let (_, first) = again("B1", "1").unwrap();
    assert_eq!((first.label.as_str(), first.reprint), ("A1", false));
    assert_eq!(again("B2", "2").unwrap(), (Recorded::Again, first.clone()));
    assert_eq!(kept.open_prints(9).unwrap(), std::slice::from_ref(&first));
    // A request is for one or the other.
    for id in ["1", "2"] {
        assert_eq!(refused(kept.ask_print("A1", "B2", asking(id))), PrintRefusal::IdReused);
    }
    kept.print_sending(first.id, "ipp://one", 8).unwrap();
    assert_eq!(refused(again("B3", "3")), PrintRefusal::AtPrinter);
    kept.print_became(first.id, Unsure, "", 9).unwrap();
    assert!(matches!(again("A1", "3"), Err(PrintError::Piece(Refusal::CodeTaken { .. }))));
    let (recorded, second) = again("B4", "4").unwrap();
    assert_eq!((recorded, second.label.as_str(), second.reprint), (Recorded::New, "B4", true));
    assert_eq!(again("B5", "4").unwrap(), (Recorded::Again, second.clone()));
    assert_eq!(again("B6", "2").unwrap(), (Recorded::Again, second.clone()), "the piece's newest");
    assert_eq!(kept.print(first.id).unwrap().unwrap().state, Cancelled);
    // One that stopped is replaced, and cannot be sent again beside the other.
    kept.print_sending(second.id, "ipp://one", 8).unwrap();
    kept.print_became(second.id, Stopped, "", 9).unwrap();
    let (_, third) = kept.ask_print("A1", "B7", asking("5")).unwrap();
    assert_eq!((third.label.as_str(), third.reprint), ("B7", true));
    assert_eq!(refused(again("B8", "5")), PrintRefusal::IdReused);
    let replaced = PrintRefusal::NotNow { from: Cancelled, to: Waiting };
    assert_eq!(refused(kept.print_again(second.id, "B9", 9)), replaced);
}

/// What surely never got to a printer is asked for again as it was.
#[test]
fn what_cannot_be_out_keeps_its_code() {
    let kept = Kept::with(&["A1"]);
    let (_, print) = kept.ask_print("A1", "B1", asking("1")).unwrap();
    kept.print_sending(print.id, "ipp://one", 8).unwrap();
    kept.print_became(print.id, Stopped, "refused", 9).unwrap();
    let again = kept.print_again(print.id, "B1", 9).unwrap();
    assert_eq!((again.label.as_str(), again.reprint), ("A1", false));
    kept.print_cancel(print.id, 9).unwrap();
    let (_, next) = kept.ask_print("A1", "B1", asking("2")).unwrap();
    assert_eq!((next.label.as_str(), next.reprint), ("A1", false));
}
