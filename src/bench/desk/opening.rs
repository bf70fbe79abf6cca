//! Opening a piece takes it, and those cut alike, for this bench; leaving lets them go. Two benches never make one piece.

use super::batch::opened_with;
use super::outbox::{furthest, is_letting_go, is_remake};
use super::rows::elsewhere;
use super::{About, At, Desk, MarkedEvent, Over, Said, rows, say};
use crate::bench::api::{Mark, Row, State};

impl Desk {
    pub(super) fn open_order(&mut self, number: String) {
        self.leave();
        self.turn_to(&number);
        self.at = At::Order(number);
    }

    /// Goes to a piece of that order as soon as its pieces are known.
    pub(super) fn open(&mut self, order: &str, code: &str, take_over: bool) {
        if !take_over && self.unfinished().iter().any(|row| row.code == code) {
            self.look_back = None;
            return;
        }
        self.leave();
        self.turn_to(order);
        self.at = At::Opening { order: order.into(), code: code.into(), take_over };
    }

    /// The pieces last seen will do until the endpoint says how they are now: it may be away.
    fn turn_to(&mut self, order: &str) {
        if self.heard.rows_of == order {
            self.heard.rows_stale = true;
        } else {
            self.heard.rows = None;
            self.heard.rows_of = order.into();
        }
    }

    /// Leaves the card for its order and lets the pieces go, each where it is.
    pub(super) fn leave(&mut self) {
        // Its name may have changed since.
        let ours = |row: &&&Row| row.bench.as_ref().is_some_and(|bench| bench.id == self.own.bench.id);
        let held: Vec<(String, usize)> =
            self.unfinished().iter().filter(ours).map(|row| (row.code.clone(), row.done)).collect();
        for (code, done) in held {
            self.mark(&code, MarkedEvent::Step { done, bench: self.here(), take_over: false, let_go: true });
        }
        if let At::Card { order, .. } | At::Opening { order, .. } = &self.at {
            self.at = At::Order(order.clone());
        }
        self.close_card();
    }

    /// A piece of the batch is no longer made here.
    pub(super) fn set_aside(&mut self, code: &str) {
        if let At::Card { order, batch } = &mut self.at {
            batch.retain(|piece| piece != code);
            if batch.is_empty() {
                self.at = At::Order(std::mem::take(order));
                self.close_card();
            }
        }
    }

    /// Closes what belongs to a card.
    fn close_card(&mut self) {
        self.working_open = false;
        self.look_back = None;
        self.measured = None;
        if matches!(self.over, Some(Over::Keypad { .. })) {
            self.over = None;
        }
    }

    /// Brings the place in step with the rows: opens what can be opened now, and leaves what is no longer here.
    pub(super) fn settle(&mut self) {
        if self.cards_back() == 0 {
            self.look_back = None;
        }
        match &self.at {
            At::Opening { order, code, take_over } => {
                let (order, code, take_over) = (order.clone(), code.clone(), *take_over);
                self.try_to_open(order, &code, take_over);
            }
            At::Card { order, .. } if self.heard.rows.is_some() && self.unfinished().is_empty() => {
                self.at = At::Order(order.clone());
                self.close_card();
            }
            At::Card { .. } => {
                self.claim_batch();
                let at_card = self.open_piece_at_card().map(|open| open.row.code.as_str());
                if let Some(Over::Keypad { code, .. }) = &self.over
                    && at_card != Some(code)
                {
                    self.close_card();
                }
            }
            At::Queue | At::Order(_) => {}
        }
    }

    /// Pieces at the card that came free, or that could not be taken as they were thought to be, are taken as they are.
    fn claim_batch(&mut self) {
        if self.heard.rows_stale {
            return;
        }
        let free = self.unfinished().into_iter().filter(|row| row.bench.is_none());
        let free: Vec<(String, usize)> = free.map(|row| (row.code.clone(), row.done)).collect();
        free.iter().for_each(|(code, done)| self.claim(code, *done, false));
    }

    fn try_to_open(&mut self, order: String, code: &str, take_over: bool) {
        let Some(rows) = &self.heard.rows else { return };
        let here = self.own.bench.id.clone();
        let Some(row) = rows.iter().find(|row| row.code == code) else {
            // Made again a moment ago, it may be in the list that is on its way.
            if !self.heard.rows_stale {
                self.said = Some(say::not_in(&order));
                self.at = At::Order(order);
            }
            return;
        };
        let other = elsewhere(row, &here).cloned();
        if row.state.is_bent() || (other.is_some() && !take_over) {
            let about = About { order: order.clone(), row: row.clone() };
            self.at = At::Order(order);
            self.cannot_open(about);
            return;
        }
        let batch = opened_with(rows, row, &here, other.as_ref());
        let opened: Vec<Row> = rows.iter().filter(|row| batch.contains(&row.code)).cloned().collect();
        self.at = At::Card { order, batch };
        for Row { code, mark, done, bench, .. } in opened {
            let free = bench.as_ref().is_none_or(|bench| bench.id != here);
            if free || take_over {
                self.claim(&code, done, take_over);
            }
            let set_aside = self.outbox.decided(&code);
            // Of a piece that came free, what was done here counts unless the other bench was further, or it is scrap.
            let scrap = set_aside.iter().any(|mark| is_remake(&mark.event));
            if take_over || (!scrap && done <= furthest(&set_aside)) {
                self.do_again(set_aside);
            }
            if take_over && scrap {
                self.said = Some(say::remade(&mark));
            }
        }
    }

    /// What was done here before another bench was found to have the piece counts again; that it was then let go does not.
    fn do_again(&mut self, mut marks: Vec<Mark>) {
        marks.retain(|mark| !mark.claim && !is_letting_go(&mark.event));
        if let Some(known) = &mut self.heard.rows {
            marks.iter().for_each(|mark| rows::apply(known, mark));
        }
        self.outbox.again(marks);
    }

    /// A piece that is finished, or at another bench, is not simply opened: says so, and offers what can be done.
    pub(super) fn cannot_open(&mut self, about: About) {
        let said = match elsewhere(&about.row, &self.own.bench.id) {
            Some(bench) => say::elsewhere(&about.row, &bench.name),
            None => say::finished(&about.row, self.has_printer()),
        };
        self.said = Some(Said { about: Some(about), ..said });
    }

    /// Takes the piece that was finished last, or the one that was asked about, back to the brake.
    pub(super) fn undo(&mut self, about: Option<About>) {
        let (order, row) = match (about, &self.own.finished) {
            (Some(about), _) => (about.order, about.row),
            (None, Some(finished)) => match self.row(&finished.code) {
                Some(row) => (finished.order.clone(), row.clone()),
                None => return,
            },
            (None, None) => return,
        };
        if row.state != State::Bent {
            return;
        }
        self.mark(&row.code, MarkedEvent::Reopened);
        // To its last card, and for this bench, whichever bent it.
        let done = row.steps.saturating_sub(1);
        self.mark(&row.code, MarkedEvent::Step { done, bench: self.here(), take_over: true, let_go: false });
        self.own.finished = None;
        self.open(&order, &row.code, false);
    }
}
