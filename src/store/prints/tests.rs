//! What becomes of a print, and what does not.

use super::PrintState::Printed;
use super::*;
use crate::store::Stands;
use crate::store::fixture::Kept;

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
    writer.execute("UPDATE prints SET state = ? WHERE id = ?", params![state.word(), id]).unwrap();
}

#[test]
fn a_print_becomes_only_what_it_may() {
    let kept = Kept::with(&["A1"]);
    let (_, print) = kept.ask_print("A1", asking("1")).unwrap();
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
            (Stopped, Waiting),
            (Stopped, Printed),
            (Stopped, Cancelled),
            (Unsure, Waiting),
            (Unsure, Printed),
            (Unsure, Cancelled),
        ]
    );
    assert_eq!(refused(kept.print_became(99, Printed, "", 9)), PrintRefusal::Unknown);
}

#[test]
fn a_label_is_asked_for_once() {
    let kept = Kept::with(&["A1", "A2"]);
    let (recorded, first) = kept.ask_print("A1", asking("1")).unwrap();
    assert_eq!((recorded, first.state, first.label.as_str()), (Recorded::New, Waiting, "A1"));
    assert_eq!((first.order.as_deref(), first.mark.as_deref()), (Some("2041"), Some("A-EW-1")));
    let kept = kept.reopened();
    assert_eq!(kept.ask_print("A1", asking("1")).unwrap(), (Recorded::Again, first.clone()));
    assert_eq!(refused(kept.ask_print("A2", asking("1"))), PrintRefusal::IdReused);
    assert_eq!(refused(kept.ask_test_print("T", asking("1"))), PrintRefusal::IdReused);
    assert_eq!(refused(kept.ask_print("A1", asking("2"))), PrintRefusal::PrintedBefore);
    assert!(matches!(kept.ask_print("A9", asking("3")), Err(PrintError::Piece(Refusal::UnknownCode))));
    let (_, test) = kept.ask_test_print("T", asking("4")).unwrap();
    assert_eq!((test.piece, test.mark, test.label.as_str()), (None, None, "T"));
    assert_eq!(kept.next_print().unwrap(), Some(first));
    assert_eq!(kept.open_prints(9).unwrap().len(), 2);
}

#[test]
fn the_number_and_a_new_name_are_kept_each_time_it_is_sent() {
    let kept = Kept::with(&["A1"]);
    let (_, print) = kept.ask_print("A1", asking("1")).unwrap();
    let first = kept.print_sending(print.id, "ipp://one", 8).unwrap();
    assert_eq!((first.state, first.printer.as_deref(), first.job), (Sending, Some("ipp://one"), None));
    let sent = kept.print_sent(print.id, 41, 9).unwrap();
    assert_eq!((sent.state, sent.job, &sent.job_name), (Sent, Some(41), &first.job_name));
    assert_eq!(kept.prints_under_way().unwrap(), std::slice::from_ref(&sent));
    kept.print_said(&first, "too late to be true", 9).unwrap();
    kept.print_said(&sent, "out of labels", 9).unwrap();
    assert_eq!(kept.reopened_print(print.id), "out of labels");
    kept.print_became(print.id, Stopped, "", 9).unwrap();
    kept.print_became(print.id, Waiting, "", 9).unwrap();
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
    let (_, print) = kept.ask_print("A1", asking("1")).unwrap();
    let waits = PrintRefusal::NotNow { from: Waiting, to: Waiting };
    assert_eq!(refused(kept.print_anew(print.id, "B1", 9)), waits);
    for label in ["B1", "B2"] {
        kept.print_sending(print.id, "ipp://one", 8).unwrap();
        kept.print_became(print.id, Unsure, "", 9).unwrap();
        assert!(matches!(kept.print_anew(print.id, "A1", 9), Err(PrintError::Piece(Refusal::CodeTaken { .. }))));
        let anew = kept.print_anew(print.id, label, 9).unwrap();
        assert_eq!((anew.state, anew.label.as_str(), anew.reprint), (Waiting, label, true));
    }
    let stands = |label: &str| kept.scan(label).unwrap().map(|scan| scan.stands);
    assert_eq!([stands("A1"), stands("B1"), stands("B2")], [Some(Stands::Retired), Some(Stands::Current), None]);
    kept.print_sending(print.id, "ipp://one", 8).unwrap();
    assert_eq!([stands("B1"), stands("B2")], [Some(Stands::Retired), Some(Stands::Current)]);
}

#[test]
fn a_reprint_retires_what_may_be_out() {
    let kept = Kept::with(&["A1"]);
    let again = |label: &str, id: &str| kept.ask_reprint("A1", label, asking(id));
    // Nothing was printed yet: a first print, then the same that still waits.
    let (_, first) = again("B1", "1").unwrap();
    assert_eq!((first.label.as_str(), first.reprint), ("A1", false));
    assert_eq!(again("B2", "2").unwrap(), (Recorded::Again, first.clone()));
    assert_eq!(kept.open_prints(9).unwrap(), std::slice::from_ref(&first));
    kept.print_sending(first.id, "ipp://one", 8).unwrap();
    assert_eq!(refused(again("B3", "3")), PrintRefusal::AtPrinter);
    kept.print_became(first.id, Unsure, "", 9).unwrap();
    assert!(matches!(again("A1", "3"), Err(PrintError::Piece(Refusal::CodeTaken { .. }))));
    let (recorded, second) = again("B4", "4").unwrap();
    assert_eq!((recorded, second.label.as_str(), second.reprint), (Recorded::New, "B4", true));
    assert_eq!(again("B5", "4").unwrap(), (Recorded::Again, second.clone()));
    assert_eq!(again("B6", "2").unwrap(), (Recorded::Again, second.clone()), "the piece's newest");
    assert_eq!(kept.print(first.id).unwrap().unwrap().state, Cancelled);
    // The old label is good until the new one is on its way.
    let standing = || kept.piece("A1").unwrap().unwrap().row.label;
    assert_eq!(standing(), "A1");
    assert!(kept.scan("B4").unwrap().is_none());
    kept.print_became(second.id, Cancelled, "", 9).unwrap();
    assert_eq!((standing().as_str(), kept.scan("A1").unwrap().unwrap().stands), ("A1", Stands::Current));
    let (_, second) = again("B7", "7").unwrap();
    assert_eq!((second.label.as_str(), second.reprint), ("B7", true));
    // One that stopped is replaced by a plain print of the same label, and cannot be sent again beside it.
    kept.print_sending(second.id, "ipp://one", 8).unwrap();
    assert_eq!((standing().as_str(), kept.scan("A1").unwrap().unwrap().stands), ("B7", Stands::Retired));
    kept.print_became(second.id, Waiting, "", 9).unwrap();
    kept.print_sending(second.id, "ipp://one", 8).unwrap();
    assert_eq!(kept.history("A1").unwrap().len(), 1, "sent again, it retires nothing more");
    kept.print_became(second.id, Stopped, "", 9).unwrap();
    let (_, third) = kept.ask_print("A1", asking("5")).unwrap();
    assert_eq!((third.label.as_str(), third.reprint), ("B7", true));
    assert_eq!(
        refused(kept.print_became(second.id, Waiting, "", 9)),
        PrintRefusal::NotNow { from: Cancelled, to: Waiting }
    );
}
