//! Marks on their way to the endpoint: made here, kept until it has taken them, sent in the order they were made.
//!
//! What the endpoint refuses because another bench has the piece is set aside whole, for a hand to decide: a piece half
//! made here is metal, whatever the endpoint says. With it goes what follows from that metal, its length, and that it is
//! scrap: the other bench's strip is another.

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

    /// The last in the queue.
    pub fn add(&mut self, mark: Mark) -> &Mark {
        self.unsent.push_back(mark);
        &self.unsent[self.unsent.len() - 1]
    }

    /// The next to be sent. A mark that `rests` keeps what was done to its piece after it waiting, and nothing else.
    pub fn next(&self, rests: impl Fn(&Mark) -> bool) -> Option<&Mark> {
        let resting: Vec<&str> = self.unsent.iter().filter(|mark| rests(mark)).map(|mark| mark.code.as_str()).collect();
        self.unsent.iter().find(|mark| !resting.contains(&mark.code.as_str()))
    }

    /// The endpoint has it, or will never take it.
    pub fn taken(&mut self, id: &str) {
        self.unsent.retain(|mark| mark.id != id);
    }

    /// Marks of this piece are on their way: the endpoint does not know yet how it is.
    pub fn concerns(&self, code: &str) -> bool {
        self.unsent.iter().any(|mark| mark.code == code)
    }

    /// The rows as they will stand once all marks are taken.
    pub fn apply_to(&self, rows: &mut Vec<Row>) {
        self.unsent.iter().for_each(|mark| rows::apply(rows, mark));
    }

    /// What is of the strip that is here. Its label is the piece's, whoever made it; and that a piece is to be made again
    /// stands by itself, unless the one that was meant is this strip.
    fn strip(&self, code: &str) -> Vec<Mark> {
        let of_piece: Vec<&Mark> = self.unsent.iter().filter(|mark| mark.code == code).collect();
        let finished_here = of_piece.iter().any(|mark| matches!(mark.event, MarkedEvent::Bent { .. }));
        let of_strip = |mark: &&Mark| match &mark.event {
            MarkedEvent::Measured { .. } => true,
            MarkedEvent::Remake { bench, .. } => bench.is_some() || finished_here,
            event => is_progress(event),
        };
        of_piece.into_iter().filter(of_strip).cloned().collect()
    }

    fn take_strip(&mut self, code: &str) -> Vec<Mark> {
        let strip = self.strip(code);
        self.unsent.retain(|unsent| strip.iter().all(|mark| mark.id != unsent.id));
        strip
    }

    /// The strip that is here is not the piece.
    pub fn drop_strip(&mut self, code: &str) {
        self.take_strip(code);
    }

    /// The piece was gone on with elsewhere. Where nothing was done to it here, nothing is to be said of it; returns whether
    /// that is so.
    pub fn unclaim(&mut self, code: &str) -> bool {
        let idle = self.strip(code).iter().all(|mark| mark.claim || is_letting_go(&mark.event));
        if idle {
            self.drop_strip(code);
        }
        idle
    }

    /// Another bench has the piece, or had it: what was done here waits for a hand's word.
    pub fn dispute(&mut self, code: &str, detail: &str) {
        let marks = self.take_strip(code);
        match self.disputes.iter_mut().find(|dispute| dispute.code == code) {
            Some(dispute) => {
                dispute.marks.extend(marks);
                (dispute.detail, dispute.told) = (detail.into(), false);
            }
            None => self.disputes.push(Dispute {
                code: code.into(),
                order: String::new(),
                detail: detail.into(),
                marks,
                told: false,
            }),
        }
    }

    /// Another bench has this piece too, to which nothing was done here that it does not know of.
    pub fn ask_too(&mut self, code: &str) {
        let detail = self.disputes.iter().find(|dispute| !dispute.told).map(|dispute| dispute.detail.clone());
        let known = self.disputes.iter().any(|dispute| dispute.code == code);
        if let Some(detail) = detail.filter(|_| !known) {
            let (code, order, marks) = (code.into(), String::new(), Vec::new());
            self.disputes.push(Dispute { code, order, detail, marks, told: false });
        }
    }

    /// A hand has read that another bench has this piece.
    pub fn told(&mut self, code: &str) {
        self.disputes.iter_mut().filter(|dispute| dispute.code == code).for_each(|dispute| dispute.told = true);
        self.disputes.retain(|dispute| !dispute.told || !dispute.marks.is_empty());
    }

    /// The dispute over this piece is over; what was done here comes back.
    pub fn decided(&mut self, code: &str) -> Vec<Mark> {
        let Some(at) = self.disputes.iter().position(|dispute| dispute.code == code) else { return Vec::new() };
        self.disputes.remove(at).marks
    }

    /// Of pieces that are finished, or gone from their order, and whose dispute was read, nothing is left to decide.
    pub fn forget_disputes(&mut self, order: &str, rows: &[Row]) {
        self.disputes.retain_mut(|dispute| {
            let over = match rows.iter().find(|row| row.code == dispute.code) {
                Some(row) => {
                    dispute.order = order.into();
                    row.state.is_bent()
                }
                None => dispute.order == order,
            };
            !(dispute.told && over)
        });
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

/// The bench has let the piece go.
pub fn is_letting_go(event: &MarkedEvent) -> bool {
    matches!(event, MarkedEvent::Step { let_go: true, .. })
}

/// The piece is to be made again.
pub fn is_remake(event: &MarkedEvent) -> bool {
    matches!(event, MarkedEvent::Remake { .. })
}

/// So many steps of a piece were done at the furthest; all of them where it was finished.
pub fn furthest(marks: &[Mark]) -> usize {
    let done = |mark: &Mark| match mark.event {
        MarkedEvent::Step { done, .. } => done,
        MarkedEvent::Bent { .. } => usize::MAX,
        _ => 0,
    };
    marks.iter().map(done).max().unwrap_or_default()
}

impl Desk {
    /// Disputes are asked about until they were read.
    pub(super) fn tell_disputes(&mut self) {
        let says_other = self.said.as_ref().is_some_and(|said| said.disputed.is_empty());
        if says_other {
            return;
        }
        let untold = || self.outbox.disputes().iter().filter(|dispute| !dispute.told);
        let Some(first) = untold().next() else { return };
        let row = self.row(&first.code);
        // One that was thought to be made again comes back with the list that is on its way.
        let waits_for_rows = row.is_none() && (self.heard.rows.is_none() || self.heard.rows_stale);
        if waits_for_rows && self.at.order().is_some() {
            return;
        }
        // A piece of another order is taken over from its own order's list.
        let here = row.is_some_and(|row| !row.state.is_bent());
        let codes = untold().map(|dispute| dispute.code.clone()).collect();
        self.said = Some(say::disputed(&first.detail, codes, here));
    }
}
