//! A scanner works on every screen: a label opens its piece, or closes it; cards drive the bench; all else is said aloud.

use super::rows::elsewhere;
use super::{About, Desk, Over, Request, say};
use crate::bench::api::{Found, PrintWord, Row, Stands};
use crate::bench::screen::{Command, Intent, Link, Scan};
use crate::order::plan::Action;

impl Desk {
    pub(super) fn scan(&mut self, scan: Scan) {
        match scan {
            Scan::Command(Command::On) => self.intend(Intent::On),
            Scan::Command(Command::Back) => self.intend(Intent::Back),
            // Whoever reaches for this card leaves the bench, whatever was asked: that is answered as by its way back.
            Scan::Command(Command::Pause) => {
                self.intend(Intent::DismissMessage);
                self.intend(Intent::Pause);
            }
            Scan::Test { how } => self.try_scanner(say::test_label(&how), how),
            Scan::Refused { why } => self.try_scanner(say::scan_refused(&why), why),
            Scan::Label(code) => {
                // Whoever scans one label has a scanner to close pieces with; a hand may have set it otherwise.
                self.own.scan_labels.get_or_insert(true);
                self.said = None;
                self.measured = None;
                self.scanning = None;
                self.scan_label(code);
            }
        }
    }

    /// In the settings it is shown where the scanner is tried, elsewhere it is said.
    fn try_scanner(&mut self, said: super::Said, read: String) {
        if matches!(self.over, Some(Over::Settings)) {
            self.scanner = Some(read);
        } else {
            self.said = Some(said);
        }
    }

    /// Whether the piece at the card waits for its label.
    pub(super) fn awaits_label(&self) -> Option<&Row> {
        let card = self.open_piece_at_card().filter(|_| self.over.is_none());
        card.filter(|open| open.in_hand(Action::Label)).map(|open| open.row)
    }

    fn scan_label(&mut self, code: String) {
        // Where the endpoint can be asked, it is, unless the row is sure to say which label counts.
        let up = self.asking.link == Link::Up;
        let printing = |row: &Row| matches!(row.print, Some(PrintWord::Waiting | PrintWord::Sending));
        let sure = |row: &Row| !up || !(self.heard.rows_stale || printing(row));
        let known = self.heard.rows.iter().flatten().find(|row| row.label == code && sure(row));
        match (self.awaits_label(), known) {
            (Some(awaits), Some(row)) if awaits.code == row.code => self.finish(),
            (Some(awaits), Some(row)) => self.said = Some(say::wrong_label(awaits, &row.mark, None)),
            (None, Some(row)) => {
                let about = About { order: self.heard.rows_of.clone(), row: row.clone() };
                self.show_scanned(about);
            }
            (_, None) if up => {
                self.scanning = Some(code.clone());
                self.asking.wishes.push(Request::Scan { code });
            }
            (_, None) => self.cannot_look_up(&code),
        }
    }

    /// The endpoint knows whose label it is.
    pub(super) fn found(&mut self, code: &str, found: Found) {
        if self.scanning.take().as_deref() != Some(code) {
            return;
        }
        let Found { stands, order, piece, detail } = found;
        let mark = piece.as_ref().map(|row| row.mark.as_str()).unwrap_or_default();
        let detail = say::named(mark, &detail);
        match (self.awaits_label(), stands, piece) {
            (Some(awaits), Stands::Current, Some(row)) if awaits.code == row.code => self.finish(),
            (Some(awaits), Stands::Current | Stands::Retired, Some(row)) if awaits.code != row.code => {
                self.said = Some(say::wrong_label(awaits, &row.mark, Some(&order)));
            }
            (None, Stands::Current, Some(row)) => {
                self.take_row(row.clone());
                self.show_scanned(About { order, row });
            }
            _ => self.said = Some(say::label_refused(&detail)),
        }
    }

    /// Goes to the piece; one that is finished, or elsewhere, is told of where the hand stands.
    fn show_scanned(&mut self, about: About) {
        if about.row.state.is_bent() || elsewhere(&about.row, &self.own.bench.id).is_some() {
            self.cannot_open(about);
        } else {
            self.over = None;
            self.open(&about.order, &about.row.code, false);
        }
    }

    /// Away from the endpoint, only the open order's own labels are known.
    pub(super) fn cannot_look_up(&mut self, code: &str) {
        self.scanning = None;
        self.said = Some(match (self.awaits_label(), self.row(code)) {
            (Some(awaits), _) => say::not_its_label(awaits),
            // Its own code, though a newer label may be about.
            (None, Some(row)) => {
                let about = About { order: self.heard.rows_of.clone(), row: row.clone() };
                return self.show_scanned(about);
            }
            (None, None) => say::cannot_look_up(),
        });
    }
}
