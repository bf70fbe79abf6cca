//! What the endpoint's answers change: the desk's knowledge, and, where others were at work, what is said of it.

use super::outbox::is_progress;
use super::wants::AHEAD;
use super::{Answer, At, Desk, Over, Request, lists, rows, say};
use crate::bench::api::{CallError, Mark, PieceAnswer, Row, Taken};

/// How many pieces' records are kept.
const RECORDS: usize = AHEAD + 4;

impl Desk {
    /// Takes the answer to one request.
    pub(super) fn hear(&mut self, request: Request, answer: Result<Answer, CallError>) {
        self.note_answer(&request, &answer);
        match answer {
            Ok(answer) => self.take(request, answer),
            Err(CallError::Away | CallError::Key) => self.unheard(&request),
            Err(error @ CallError::Garbled(_)) => self.garbled(&request, &error),
            Err(CallError::Refused { word, detail }) => self.refused(request, &word, &detail),
        }
    }

    fn take(&mut self, request: Request, answer: Answer) {
        match (request, answer) {
            (Request::Orders, Answer::Orders(Some(orders))) => self.heard.orders = Some(lists::by_due_day(orders)),
            (Request::Pieces { order, .. }, Answer::Pieces(rows)) if self.heard.rows_of == order => {
                self.heard.rows_stale = false;
                if let Some(rows) = rows {
                    self.take_rows(rows);
                }
            }
            (Request::Piece { .. }, Answer::Piece(piece)) => self.take_record(*piece),
            (Request::Picture { code, step, canvas, language }, Answer::Picture(picture)) => {
                let current = self.open_piece_at_card().is_some_and(|open| open.record.row.code == code);
                if current {
                    if self.heard.pictures_of != code {
                        self.heard.pictures.clear();
                        self.heard.pictures_of = code;
                    }
                    self.heard.pictures.insert(step, (canvas, language, picture));
                }
            }
            (Request::Prints, Answer::Prints(prints)) => {
                self.heard.prints_stale = false;
                self.heard.prints = Some(prints);
            }
            (Request::People, Answer::People(Some(people))) => self.take_people(people),
            (Request::Address, Answer::Address(base)) => self.heard.address = Some(base),
            (Request::Door { to, canvas }, Answer::Picture(picture)) => self.heard.door = Some((to, canvas, picture)),
            (Request::TestLabel { canvas }, Answer::Picture(picture)) => {
                self.heard.test_label = Some((canvas, picture));
            }
            (Request::Send(mark), Answer::Sent(taken)) => {
                self.outbox.taken(&mark.id);
                match taken {
                    Taken::Row(row) => self.take_row(*row),
                    // Where it comes in the list, the list says.
                    Taken::Remade(_) => self.heard.rows_stale = true,
                    Taken::Print(_) => {
                        self.heard.rows_stale = true;
                        self.heard.prints_stale = true;
                    }
                }
            }
            (Request::Scan { code }, Answer::Found(found)) => self.found(&code, *found),
            (Request::PrintDo { .. }, Answer::Print(_)) => {
                self.heard.rows_stale = true;
                self.heard.prints_stale = true;
            }
            (Request::PrintTest { .. }, Answer::Print(_)) => {
                self.heard.prints_stale = true;
                self.said = Some(say::test_print(self.printer_is_ready()));
            }
            (Request::Enter { person, .. }, Answer::Entered) => self.entered(person),
            // An answer to a question no longer asked.
            _ => {}
        }
    }

    fn take_rows(&mut self, mut rows: Vec<Row>) {
        if !std::mem::take(&mut self.heard.rows_recalled) {
            self.look_after_batch(&rows);
        }
        self.outbox.apply_to(&mut rows);
        self.outbox.forget_disputes(&self.heard.rows_of, &rows);
        self.heard.rows = Some(rows);
    }

    /// One row as the endpoint now has it.
    pub(super) fn take_row(&mut self, row: Row) {
        let Some(known) = &mut self.heard.rows else { return };
        let code = row.code.clone();
        let Some(old) = known.iter_mut().find(|known| known.code == code) else { return };
        *old = row;
        self.outbox.unsent().filter(|mark| mark.code == code).for_each(|mark| rows::apply(known, mark));
    }

    /// Those that are wanted stay, and of the others the newest.
    fn take_record(&mut self, piece: PieceAnswer) {
        let records = &mut self.heard.records;
        records.retain(|known| known.row.code != piece.row.code);
        records.push_front(piece);
        if records.len() > RECORDS {
            let wanted: Vec<String> = self
                .wanted_records()
                .into_iter()
                .filter_map(|row| self.record(row))
                .map(|record| record.row.code.clone())
                .collect();
            let unwanted = self.heard.records.iter().rposition(|record| !wanted.contains(&record.row.code));
            unwanted.map(|unwanted| self.heard.records.remove(unwanted));
        }
    }

    /// An answer that is not understood comes again with every poll: unless a hand is waiting for it, it is said once, and
    /// never over a question.
    fn garbled(&mut self, request: &Request, error: &CallError) {
        if asked_by_hand(request) {
            self.scanning = None;
            self.said = Some(say::garbled(error));
        } else if self.said.is_none() && !self.asking.garbled {
            self.asking.garbled = true;
            self.said = Some(say::garbled(error));
        }
    }

    /// A hand is waiting for an answer that does not come.
    fn unheard(&mut self, request: &Request) {
        match request {
            Request::Scan { code } if self.scanning.as_ref() == Some(code) => self.cannot_look_up(code),
            Request::PrintDo { .. } | Request::PrintTest { .. } | Request::Enter { .. } => {
                self.said = Some(say::no_answer());
            }
            _ => {}
        }
    }

    /// The endpoint said no, for good: say why, and stop asking.
    fn refused(&mut self, request: Request, word: &str, detail: &str) {
        match request {
            Request::Send(mark) => return self.mark_refused(&mark, word, detail),
            Request::Enter { person, .. } if word == "wrong-pin" => {
                self.wrong_pin(person);
                return;
            }
            Request::Scan { code } => {
                if self.scanning.take() != Some(code) {
                    return;
                }
                self.said = Some(say::label_refused(detail));
                return;
            }
            Request::Piece { code } => {
                self.heard.rows_stale = true;
                // The one to make next is only made ready for.
                if !self.unfinished().iter().any(|row| row.code == code) {
                    return;
                }
                let mark = self.row(&code).map(|row| row.mark.clone()).unwrap_or_default();
                let detail = say::named(&mark, detail);
                self.leave();
                self.said = Some(say::refused(&detail));
                return;
            }
            Request::Pieces { order, .. } => {
                if self.at.order() != Some(&order) {
                    return;
                }
                self.heard.rows = None;
                self.at = At::Queue;
                if matches!(self.over, Some(Over::Keypad { .. })) {
                    self.over = None;
                }
            }
            Request::PrintDo { .. } | Request::PrintTest { .. } | Request::Enter { .. } => {}
            // The screen stands without it; the hand has nothing to do about it.
            Request::Orders
            | Request::Picture { .. }
            | Request::Prints
            | Request::People
            | Request::Address
            | Request::Door { .. }
            | Request::TestLabel { .. } => return,
        }
        self.said = Some(say::refused(detail));
    }

    /// Nothing of the strip that is here counts once another bench has the piece or has finished it, or what was done to it
    /// was refused; a label or a length that is refused for what it is takes nothing else with it.
    fn mark_refused(&mut self, mark: &Mark, word: &str, detail: &str) {
        self.heard.rows_stale = true;
        // It is taken again as it is, once the endpoint has said how that is.
        if word == "gone-on" && self.outbox.unclaim(&mark.code) {
            return;
        }
        let detail = say::named(&mark.piece, detail);
        let elsewhere = matches!(word, "held" | "gone-on");
        let lost = elsewhere || word == "already-bent" || is_progress(&mark.event);
        if lost {
            self.set_aside(&mark.code);
        }
        if elsewhere {
            self.outbox.dispute(&mark.code, &detail);
            return;
        }
        if lost {
            self.outbox.drop_strip(&mark.code);
        }
        self.outbox.taken(&mark.id);
        self.said = Some(say::refused(&detail));
    }
}

/// Asked once, for somebody who waits for the answer.
fn asked_by_hand(request: &Request) -> bool {
    use Request::{Enter, PrintDo, PrintTest, Scan};
    matches!(request, Scan { .. } | PrintDo { .. } | PrintTest { .. } | Enter { .. })
}
