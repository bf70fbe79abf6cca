//! Labels: the card of a piece's label, and the page of those that are not out yet.

use super::batch::Open;
use super::rows::may_print;
use super::{About, Desk, MarkedEvent, Request, say};
use crate::bench::api::{Print, PrintDo, PrintWord, Printer, PrinterState, Row};
use crate::bench::screen::{CardOn, LabelLine, LabelProgress, Labels, PrintState};
use crate::order::plan::Action;

impl Desk {
    /// What the large way on does at the card.
    pub(super) fn card_done(&mut self) {
        let Some(open) = self.open_piece_at_card() else { return };
        match self.card_on(&open) {
            CardOn::LookOn => self.look_on(),
            CardOn::Done => self.advance(),
            CardOn::AsItShould => self.as_it_should(),
            CardOn::PrintLabel => self.print_label(),
            CardOn::LabelIsOn => self.label_is_on(),
        }
    }

    pub(super) fn card_on(&self, open: &Open) -> CardOn {
        match open.shown().action {
            _ if open.looked_back => CardOn::LookOn,
            Action::CheckLength => CardOn::AsItShould,
            Action::Label if self.has_printer() && may_print(open.row) => CardOn::PrintLabel,
            Action::Label => CardOn::LabelIsOn,
            _ => CardOn::Done,
        }
    }

    pub(super) fn has_printer(&self) -> bool {
        self.heard.prints.as_ref().is_some_and(|prints| prints.printer.state != PrinterState::None)
    }

    pub(super) fn label_progress(&self, row: &Row) -> LabelProgress {
        let state = row.print.map_or(PrintState::None, state);
        let said =
            if row.said.is_empty() && self.waits_for_printer(row) { self.printer_said() } else { row.said.clone() };
        LabelProgress { printer: self.has_printer(), state, said }
    }

    /// Its label is asked for, and the printer does not print now.
    pub(super) fn waits_for_printer(&self, row: &Row) -> bool {
        let prints_now = self.heard.prints.as_ref().is_none_or(|prints| ready(&prints.printer));
        row.print.as_ref().is_some_and(is_coming) && !prints_now
    }

    /// It may have printed what it was given, or not: it cannot be asked.
    pub(super) fn printer_is_away(&self) -> bool {
        self.heard.prints.as_ref().is_some_and(|prints| prints.printer.state == PrinterState::Away)
    }

    pub(super) fn printer_is_ready(&self) -> bool {
        self.heard.prints.as_ref().is_some_and(|prints| ready(&prints.printer))
    }

    /// Whoever touches twice, or leans on the space bar, has not yet seen the label.
    fn label_is_on(&mut self) {
        let Some(row) = self.open_piece_at_card().map(|open| open.row) else { return };
        if self.has_printer() && row.print != Some(PrintWord::Printed) {
            self.said = Some(say::not_out_yet(row));
        } else if self.own.scan_labels == Some(true) {
            self.said = Some(say::not_scanned(row));
        } else {
            self.finish();
        }
    }

    pub(super) fn close_unscanned(&mut self) {
        if self.awaits_label().is_some() {
            self.finish();
        }
    }

    /// Once: what is on its way, or out, is not asked for again.
    pub(super) fn print_label(&mut self) {
        let row = self.open_piece_at_card().map(|open| open.row).filter(|row| may_print(row));
        let Some(row) = row.cloned() else { return };
        self.mark(&row.code, MarkedEvent::Print { reprint: false });
        // Its own card shows how far it is; any other says so once.
        if self.awaits_label().is_none() {
            self.said = Some(say::asked_for(&row, self.printer_is_ready()));
        }
    }

    /// Again, under a new code: the label that there was no longer counts.
    pub(super) fn reprint(&mut self, about: Option<About>) {
        let open = || self.open_piece_at_card().map(|open| open.row.clone());
        let Some(row) = about.map(|about| about.row).or_else(open) else { return };
        // Whoever touches twice has not yet seen it come.
        if row.print.as_ref().is_some_and(is_coming) {
            self.said = Some(say::on_its_way(&row));
            return;
        }
        self.mark(&row.code, MarkedEvent::Print { reprint: true });
        self.said = Some(say::reprinted(&row));
    }

    pub(super) fn print_do(&mut self, print: i64, what: PrintDo) {
        self.asking.wishes.push(Request::PrintDo { print, what });
    }

    /// Once: whoever touches twice has not yet seen it come.
    pub(super) fn print_test(&mut self) {
        let asked = self.asking.asked.iter().any(|asked| matches!(asked, Request::PrintTest { .. }));
        let tests = || self.heard.prints.iter().flat_map(|prints| &prints.prints).filter(|print| print.piece.is_none());
        let on_its_way =
            asked.then_some(PrintWord::Waiting).or_else(|| tests().map(|print| print.state).find(is_coming));
        if let Some(state) = on_its_way {
            self.said = Some(say::test_print_already(state));
            return;
        }
        let id = self.outbox.id();
        self.asking.wishes.push(Request::PrintTest { id });
    }

    /// Labels that a hand must see to.
    pub(super) fn labels_waiting(&self) -> usize {
        let Some(prints) = &self.heard.prints else { return 0 };
        let prints_now = ready(&prints.printer);
        let needs_hand = |print: &&Print| match print.state {
            PrintWord::Stopped | PrintWord::Unsure => true,
            PrintWord::Waiting | PrintWord::Sending | PrintWord::Sent => !prints_now,
            PrintWord::Printed | PrintWord::Cancelled => false,
        };
        prints.prints.iter().filter(needs_hand).count()
    }

    pub(super) fn labels(&self) -> Labels {
        let prints = self.heard.prints.as_ref();
        let lines = prints.iter().flat_map(|prints| &prints.prints).map(line).collect();
        Labels { printer: self.printer_said(), ready: prints.is_some_and(|prints| ready(&prints.printer)), lines }
    }

    /// `ready`, `out of labels`, `no printer is set`; empty while nothing was heard.
    pub(super) fn printer_said(&self) -> String {
        self.heard.prints.as_ref().map(|prints| say::printer(&prints.printer)).unwrap_or_default()
    }
}

/// Comes out by itself.
fn is_coming(state: &PrintWord) -> bool {
    matches!(state, PrintWord::Waiting | PrintWord::Sending | PrintWord::Sent)
}

fn ready(printer: &Printer) -> bool {
    matches!(printer.state, PrinterState::Ready | PrinterState::Busy)
}

fn line(print: &Print) -> LabelLine {
    LabelLine {
        print: print.print,
        mark: print.mark.clone().unwrap_or_else(|| say::TEST_LABEL.into()),
        order: print.order.clone().unwrap_or_default(),
        state: state(print.state),
        said: print.said.clone(),
        reprint: print.reprint,
    }
}

fn state(word: PrintWord) -> PrintState {
    match word {
        PrintWord::Waiting => PrintState::Waiting,
        PrintWord::Sending | PrintWord::Sent => PrintState::Sent,
        PrintWord::Printed => PrintState::Printed,
        PrintWord::Stopped => PrintState::Stopped,
        PrintWord::Unsure => PrintState::Unsure,
        PrintWord::Cancelled => PrintState::None,
    }
}
