//! Marks on their way to the endpoint: made here, kept until it has taken them, sent in the order they were made.
//!
//! What the endpoint refuses because another bench has the piece is set aside whole, for a hand to decide: a piece half
//! made here is metal, whatever the endpoint says.

use std::collections::VecDeque;

use super::rows::elsewhere;
use super::{Desk, rows, say};
use crate::bench::api::{Bench, Mark, MarkedEvent, Row};
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
    /// The piece that the endpoint has just said is no other bench's, while more marks of it follow.
    ours: Option<String>,
}

impl Outbox {
    pub fn new(ids: Ids, unsent: Vec<Mark>, disputes: Vec<Dispute>) -> Self {
        Self { ids, unsent: unsent.into(), disputes, ours: None }
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
        self.push(code, by, event, false)
    }

    /// That the bench named in `event` has the piece as it is.
    pub fn claim(&mut self, code: &str, by: Option<String>, event: MarkedEvent) -> &Mark {
        self.push(code, by, event, true)
    }

    fn push(&mut self, code: &str, by: Option<String>, event: MarkedEvent, claim: bool) -> &Mark {
        let mark = Mark { id: self.ids.next(), code: code.into(), by, claim, event };
        self.unsent.push_back(mark);
        &self.unsent[self.unsent.len() - 1]
    }

    /// The next to be sent, on behalf of the bench `here`. A mark that `rests` keeps what was done to its piece after it
    /// waiting, and nothing else.
    pub fn next(&mut self, here: &Bench, rests: impl Fn(&Mark) -> bool) -> Option<Mark> {
        let resting: Vec<&str> = self.unsent.iter().filter(|mark| rests(mark)).map(|mark| mark.code.as_str()).collect();
        let at = self.unsent.iter().position(|mark| !resting.contains(&mark.code.as_str()))?;
        let next = self.unsent[at].clone();
        let MarkedEvent::Step { done, bench: None, .. } = next.event else { return Some(next) };
        if self.ours.as_ref() == Some(&next.code) {
            return Some(next);
        }
        // What names no bench is taken from anybody: said by this bench first, it is refused should another have taken the
        // piece over by now.
        let event = MarkedEvent::Step { done, bench: Some(here.clone()), take_over: false };
        let mark = Mark { id: self.ids.next(), claim: true, event, ..next };
        self.unsent.insert(at, mark.clone());
        Some(mark)
    }

    /// The endpoint has it.
    pub fn taken(&mut self, id: &str) {
        self.unsent.retain(|mark| mark.id != id);
    }

    /// The endpoint has taken a mark, and says how its piece stands.
    pub fn heard_of(&mut self, row: &Row, here: &Bench) {
        let ours = elsewhere(row, &here.id).is_none() && self.concerns(&row.code);
        self.ours = ours.then(|| row.code.clone());
    }

    /// Before the next mark is sent, others may take what is this bench's.
    pub fn unheard(&mut self) {
        self.ours = None;
    }

    /// Marks of this piece are on their way: the endpoint does not know yet how it is.
    pub fn concerns(&self, code: &str) -> bool {
        self.unsent.iter().any(|mark| mark.code == code)
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

    /// The piece was gone on with elsewhere. Where nothing was done to it here, nothing is to be said of it; returns whether
    /// that is so.
    pub fn unclaim(&mut self, code: &str) -> bool {
        let done_here = |unsent: &Mark| {
            unsent.code == code && is_work(&unsent.event) && !unsent.claim && !is_letting_go(&unsent.event)
        };
        let idle = !self.unsent.iter().any(done_here);
        if idle {
            self.unsent.retain(|unsent| unsent.code != code || !is_work(&unsent.event));
        }
        idle
    }

    /// Another bench has the piece, or had it: what was done here waits for a hand's word.
    pub fn dispute(&mut self, mark: &Mark, detail: &str) {
        let of_piece = |unsent: &Mark| unsent.code == mark.code && is_work(&unsent.event);
        let marks: Vec<Mark> = self.unsent.iter().filter(|unsent| of_piece(unsent)).cloned().collect();
        self.unsent.retain(|unsent| !of_piece(unsent));
        match self.disputes.iter_mut().find(|dispute| dispute.code == mark.code) {
            Some(dispute) => {
                dispute.marks.extend(marks);
                (dispute.detail, dispute.told) = (detail.into(), false);
            }
            None => self.disputes.push(Dispute {
                code: mark.code.clone(),
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
    matches!(event, MarkedEvent::Step { bench: None, .. })
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
