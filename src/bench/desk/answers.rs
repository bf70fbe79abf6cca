//! What the endpoint's answers change: the desk's knowledge, and, where others were at work, what is said of it.

use jiff::civil::Date;

use super::{Answer, At, Desk, Request, apply, shown_step};
use crate::bench::api::{CallError, PieceAnswer, Row, Summary};
use crate::bench::screen::Link;

impl Desk {
    /// Takes the answer to one request.
    pub(super) fn hear(&mut self, request: Request, answer: Result<Answer, CallError>) {
        self.asked.retain(|asked| *asked != request);
        match answer {
            Ok(answer) => {
                self.link = Link::Up;
                self.take(request, answer);
            }
            Err(error) => {
                match error {
                    CallError::Away => self.link = Link::Down,
                    CallError::Key => self.link = Link::Refused,
                    CallError::Garbled(_) => self.message = Some(error.to_string()),
                    CallError::Refused { detail, .. } => self.refused(&request, detail),
                }
                self.failed.push(request);
            }
        }
    }

    fn take(&mut self, request: Request, answer: Answer) {
        match (request, answer) {
            (Request::Orders, Answer::Orders(Some(orders))) => self.orders = Some(by_due_day(orders)),
            (Request::Pieces { order, .. }, Answer::Pieces(rows)) if self.open_order_is(&order) => {
                self.rows_stale = false;
                if let Some(rows) = rows {
                    self.take_rows(rows);
                    self.rows_of = order;
                }
            }
            (Request::Piece { code }, Answer::Piece(piece)) => self.take_piece(&code, *piece),
            (Request::Picture { code, step, canvas }, Answer::Picture(picture)) => {
                let current = self.piece.as_ref().is_some_and(|piece| piece.row.code == code);
                if current {
                    self.pictures.insert(step, (canvas, picture));
                }
            }
            (Request::Send(mark), Answer::Sent(row)) => {
                self.unsent.retain(|unsent| unsent.id != mark.id);
                if let Some(known) = self.rows.iter_mut().flatten().find(|known| known.code == row.code) {
                    *known = row;
                    self.unsent.iter().for_each(|mark| apply(known, mark));
                }
            }
            // An answer to a question no longer asked.
            _ => {}
        }
    }

    fn take_rows(&mut self, mut rows: Vec<Row>) {
        self.look_after_open_piece(&rows);
        for mark in &self.unsent {
            rows.iter_mut().for_each(|row| apply(row, mark));
        }
        self.rows = Some(rows);
    }

    /// What others did to the piece whose card is shown.
    fn look_after_open_piece(&mut self, rows: &[Row]) {
        let At::Card { order, code, step } = &self.at else { return };
        let order = order.clone();
        // With marks of ours on their way, the endpoint does not know yet how the piece is.
        if self.unsent.iter().any(|mark| mark.code == *code) {
            return;
        }
        match rows.iter().find(|row| row.code == *code) {
            None => {
                self.message = Some(format!("Order {order} was replaced: begin again from its new list."));
                self.forget_piece();
                self.at = At::Order(order);
            }
            Some(row) if row.state.is_bent() => {
                self.message = Some(format!("{} was finished at another bench: set this one aside.", row.mark));
                self.leave_card(order);
            }
            Some(row) => {
                let elsewhere = self.piece.as_ref().map(|piece| shown_step(row, piece));
                if step.is_some() && elsewhere != *step {
                    let said = row.done + 1;
                    self.message =
                        Some(format!("{} is being made at another bench too: there it is at step {said}.", row.mark));
                }
            }
        }
    }

    fn take_piece(&mut self, asked: &str, mut piece: PieceAnswer) {
        let At::Card { order, code, step } = &mut self.at else { return };
        if code != asked {
            return;
        }
        self.unsent.iter().for_each(|mark| apply(&mut piece.row, mark));
        if piece.row.state.is_bent() {
            let order = order.clone();
            self.message = Some(format!("{} is already finished.", piece.row.mark));
            self.leave_card(order);
            return;
        }
        *step = Some(shown_step(&piece.row, &piece));
        self.piece = Some(piece);
    }

    /// The endpoint said no, for good: say why, and stop asking.
    fn refused(&mut self, request: &Request, detail: String) {
        // The card stands without its drawing; the hand has nothing to do about it.
        if !matches!(request, Request::Picture { .. }) {
            self.message = Some(sentence(&detail));
        }
        match request {
            Request::Send(refused) => {
                self.unsent.retain(|mark| mark.code != refused.code);
                self.rows_stale = true;
                self.leave_piece(&refused.code);
                if self.piece.as_ref().is_some_and(|piece| piece.row.code == refused.code) {
                    self.forget_piece();
                }
            }
            Request::Piece { code } => {
                self.rows_stale = true;
                self.leave_piece(code);
            }
            Request::Pieces { order, .. } if self.open_order_is(order) => {
                self.forget_piece();
                self.rows = None;
                self.at = At::Queue;
            }
            Request::Pieces { .. } | Request::Orders | Request::Picture { .. } => {}
        }
    }

    fn leave_piece(&mut self, gone: &str) {
        if let At::Card { order, code, .. } = &self.at
            && code == gone
        {
            self.leave_card(order.clone());
        }
    }
}

/// Due first, then by number; those without a due day after them, and those with nothing left to bend last.
fn by_due_day(mut orders: Vec<Summary>) -> Vec<Summary> {
    orders.sort_by_key(|order| (order.bent == order.pieces, order.job.due.unwrap_or(Date::MAX), order.order.clone()));
    orders
}

/// The endpoint's words as a sentence of their own.
fn sentence(detail: &str) -> String {
    let mut rest = detail.chars();
    rest.next().map(|first| first.to_uppercase().chain(rest).collect()).unwrap_or_default()
}
