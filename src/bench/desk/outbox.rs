//! Marks on their way to the endpoint: made here, kept until it has taken them, sent in the order they were made.
//!
//! What the endpoint refuses because another bench has the piece is set aside whole, for a hand to decide: a piece half
//! made here is metal, whatever the endpoint says.

use std::collections::VecDeque;

use super::{Desk, rows, say};
use crate::bench::api::{Mark, MarkedEvent, Row};
use crate::bench::memory::Dispute;

/// Makes the ids of marks: a random word for this start of the bench, and a count.
#[derive(Debug, Clone)]
pub struct Ids {
    start: String,
    made: u64,
}

impl Ids {
    /// `start` must differ from that of every other start of every bench; 8 to 40 letters, digits or hyphens.
    pub fn new(start: String) -> Self {
        Self { start, made: 0 }
    }

    pub(super) fn start(&self) -> &str {
        &self.start
    }

    pub(super) fn next(&mut self) -> String {
        self.made += 1;
        format!("{}-{}", self.start, self.made)
    }
}

pub struct Outbox {
    ids: Ids,
    unsent: VecDeque<Mark>,
    disputes: Vec<Dispute>,
}

impl Outbox {
    pub fn new(ids: Ids, unsent: Vec<Mark>, disputes: Vec<Dispute>) -> Self {
        Self { ids, unsent: unsent.into(), disputes }
    }

    pub fn unsent(&self) -> impl ExactSizeIterator<Item = &Mark> {
        self.unsent.iter()
    }

    pub fn disputes(&self) -> &[Dispute] {
        &self.disputes
    }

    /// An id that nothing else has.
    pub fn id(&mut self) -> String {
        self.ids.next()
    }

    pub fn add(&mut self, code: &str, by: Option<String>, event: MarkedEvent) -> &Mark {
        let mark = Mark { id: self.ids.next(), code: code.into(), by, event };
        self.unsent.push_back(mark);
        &self.unsent[self.unsent.len() - 1]
    }

    /// The next to be sent.
    pub fn front(&self) -> Option<&Mark> {
        self.unsent.front()
    }

    /// The endpoint has it.
    pub fn taken(&mut self, id: &str) {
        self.unsent.retain(|mark| mark.id != id);
    }

    /// Marks of this piece are on their way: the endpoint does not know yet how it is.
    pub fn concerns(&self, code: &str) -> bool {
        self.unsent.iter().any(|mark| mark.code == code)
    }

    /// Whether its label is about to be printed under a new code.
    pub fn reprints(&self, code: &str) -> bool {
        let reprint = MarkedEvent::Print { reprint: true };
        self.unsent.iter().any(|mark| mark.code == code && mark.event == reprint)
    }

    /// The rows as they will stand once all marks are taken.
    pub fn apply_to(&self, rows: &mut Vec<Row>) {
        self.unsent.iter().for_each(|mark| rows::apply(rows, mark));
    }

    /// The endpoint has refused `mark` for good. What was done to the piece after it cannot stand alone; what is asked
    /// about it, its label or that it is made again, can.
    pub fn refused(&mut self, mark: &Mark) {
        if is_progress(&mark.event) {
            self.unsent.retain(|unsent| unsent.code != mark.code || !is_progress(&unsent.event));
        } else {
            self.taken(&mark.id);
        }
    }

    /// Another bench has the piece: what was done here waits for a hand's word.
    pub fn dispute(&mut self, mark: &Mark, detail: &str) {
        let of_piece = |unsent: &Mark| unsent.code == mark.code && is_work(&unsent.event);
        let marks: Vec<Mark> = self.unsent.iter().filter(|unsent| of_piece(unsent)).cloned().collect();
        self.unsent.retain(|unsent| !of_piece(unsent));
        match self.disputes.iter_mut().find(|dispute| dispute.code == mark.code) {
            Some(dispute) => {
                dispute.marks.extend(marks);
                (dispute.detail, dispute.told) = (detail.into(), false);
            }
            None => self.disputes.push(Dispute { code: mark.code.clone(), detail: detail.into(), marks, told: false }),
        }
    }

    /// A hand has read that another bench has this piece.
    pub fn told(&mut self, code: &str) {
        self.disputes.iter_mut().filter(|dispute| dispute.code == code).for_each(|dispute| dispute.told = true);
    }

    /// The dispute over this piece is over; what was done here comes back.
    pub fn decided(&mut self, code: &str) -> Vec<Mark> {
        let Some(at) = self.disputes.iter().position(|dispute| dispute.code == code) else { return Vec::new() };
        self.disputes.remove(at).marks
    }

    /// Of pieces that are finished, and whose dispute was read, nothing is left to decide.
    pub fn forget_disputes(&mut self, rows: &[Row]) {
        let finished = |code: &str| rows.iter().any(|row| row.code == code && row.state.is_bent());
        self.disputes.retain(|dispute| !(dispute.told && finished(&dispute.code)));
    }

    /// Puts marks that were set aside back into the queue, under the ids they had: the endpoint never took them.
    pub fn again(&mut self, marks: Vec<Mark>) {
        self.unsent.extend(marks);
    }
}

/// Says how far the piece is.
pub fn is_progress(event: &MarkedEvent) -> bool {
    matches!(event, MarkedEvent::Step { .. } | MarkedEvent::Bent { .. } | MarkedEvent::Reopened)
}

/// Was done to the metal.
fn is_work(event: &MarkedEvent) -> bool {
    is_progress(event) || matches!(event, MarkedEvent::Measured { .. })
}

impl Desk {
    /// Disputes are asked about until they were read.
    pub(super) fn tell_disputes(&mut self) {
        let waits_for_rows = self.at.order().is_some() && self.heard.rows.is_none();
        let says_other = self.said.as_ref().is_some_and(|said| said.disputed.is_empty());
        if says_other || waits_for_rows {
            return;
        }
        let untold = || self.outbox.disputes().iter().filter(|dispute| !dispute.told);
        if let Some(first) = untold().next() {
            // A piece of another order is taken over from its own order's list.
            let here = self.row(&first.code).is_some();
            let codes = untold().map(|dispute| dispute.code.clone()).collect();
            self.said = Some(say::disputed(&first.detail, codes, here));
        }
    }
}
