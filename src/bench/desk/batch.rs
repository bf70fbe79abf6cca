//! Pieces cut alike go through each step together, and are measured, labelled and closed one after the other.
//!
//! Up to the card of the length nothing tells them apart: the brake is set once and each is bent before it is set anew. From
//! there on each has a label of its own, which must be on before the next piece is picked up. Which piece is at the
//! card follows from how far each of them is, so that nothing can disagree after the power went.

use super::rows::elsewhere;
use super::{At, Desk, MarkedEvent, say};
use crate::bench::api::{Bench, PieceAnswer, Row, State};
use crate::bench::memory::Finished;
use crate::bench::screen;
use crate::order::plan::{Action, Step};

/// More pieces than this are not handled as one stack (common practice, no source): a second bench shall find some left.
const MOST: usize = 12;

/// The piece at the card.
pub struct Open<'a> {
    pub order: &'a str,
    pub row: &'a Row,
    /// Its own record, or that of a piece cut alike.
    pub record: &'a PieceAnswer,
    pub step: usize,
    /// The step is done, and looked at again.
    pub looked_back: bool,
    pub batch: Option<screen::Batch>,
}

impl<'a> Open<'a> {
    pub fn shown(&self) -> &'a Step {
        &self.record.piece.steps[self.step]
    }

    /// This is what is to be done now.
    pub fn in_hand(&self, action: Action) -> bool {
        self.shown().action == action && !self.looked_back
    }
}

/// How many of the steps pieces cut alike take together.
pub fn together(steps: &[Step]) -> usize {
    let apart = |step: &Step| matches!(step.action, Action::CheckLength | Action::Label);
    steps.iter().position(apart).unwrap_or(steps.len())
}

/// By how far each of the unfinished pieces of a batch is, in the order of cutting: which of them is at the card. One that
/// is already measured, so that it gets its label before another is picked up; else of those that are least far the first.
pub fn at_card(dones: &[usize], together: usize) -> Option<usize> {
    let measured = dones.iter().position(|done| *done > together);
    measured.or_else(|| dones.iter().position(|done| Some(done) == dones.iter().min()))
}

/// The pieces that are opened with `row`: those cut alike that are not finished and not elsewhere. `with`: although that
/// bench has them. Those begun come first where there are too many.
pub fn opened_with(rows: &[Row], row: &Row, here: &str, with: Option<&Bench>) -> Vec<String> {
    let alike = |other: &&Row| {
        other.alike.is_some()
            && other.alike == row.alike
            && other.code != row.code
            && !other.state.is_bent()
            && elsewhere(other, here).is_none_or(|bench| with.is_some_and(|with| with.id == bench.id))
    };
    let mut others: Vec<&Row> = rows.iter().filter(alike).collect();
    others.sort_by_key(|other| other.state != State::Started);
    others.truncate(MOST - 1);
    let chosen = |other: &&Row| other.code == row.code || others.iter().any(|chosen| chosen.code == other.code);
    rows.iter().filter(chosen).map(|row| row.code.clone()).collect()
}

impl Desk {
    /// The pieces of the open batch that are still to be finished here.
    pub(super) fn unfinished(&self) -> Vec<&Row> {
        let At::Card { batch, .. } = &self.at else { return Vec::new() };
        let ours = |row: &&Row| {
            batch.contains(&row.code) && !row.state.is_bent() && elsewhere(row, &self.own.bench.id).is_none()
        };
        self.heard.rows.iter().flatten().filter(ours).collect()
    }

    /// A record that tells this piece's steps.
    pub(super) fn record(&self, row: &Row) -> Option<&PieceAnswer> {
        let same =
            |known: &&PieceAnswer| known.row.code == row.code || (row.alike.is_some() && known.row.alike == row.alike);
        self.heard.records.iter().find(same)
    }

    /// The piece at the card; none while it is not known.
    pub(super) fn open_piece_at_card(&self) -> Option<Open<'_>> {
        let At::Card { order, batch } = &self.at else { return None };
        let pieces = self.unfinished();
        let record = self.record(pieces.first()?)?;
        let dones = self.dones_seen(&record.piece.steps);
        let piece = at_card(&dones, together(&record.piece.steps))?;
        let (row, step) = (pieces[piece], dones[piece]);
        let at = batch.iter().position(|code| *code == row.code)? + 1;
        let batch = (batch.len() > 1).then_some(screen::Batch { at, of: batch.len() });
        Some(Open { order, row, record, step, looked_back: self.cards_back() > 0, batch })
    }

    /// The step at the card is done.
    pub(super) fn advance(&mut self) {
        let Some(open) = self.open_piece_at_card() else { return };
        let (code, step) = (open.row.code.clone(), open.step);
        if step + 1 < open.record.piece.steps.len() {
            self.mark_step(&code, step + 1);
        } else {
            self.finish();
        }
        self.working_open = false;
    }

    /// The piece at the card is finished, its label on.
    pub(super) fn finish(&mut self) {
        let Some(open) = self.open_piece_at_card() else { return };
        let (order, code) = (open.order.to_owned(), open.row.code.clone());
        self.mark(&code, MarkedEvent::Bent { bench: self.here() });
        self.own.finished = Some(Finished { order, code });
        self.working_open = false;
    }

    /// What others did to the pieces at the card, by the rows as the endpoint now has them.
    pub(super) fn look_after_batch(&mut self, rows: &[Row]) {
        let (At::Card { order, batch }, Some(known)) = (&self.at, &self.heard.rows) else { return };
        let here = self.own.bench.id.as_str();
        let mut said = Vec::new();
        // Where others of them are being asked about, so is what was taken over with them: one question for all.
        let asked = self.outbox.disputes().iter().any(|dispute| !dispute.told);
        let mut asked_too = Vec::new();
        for code in batch {
            // With marks of ours on their way, the endpoint does not know yet how the piece is.
            if self.outbox.concerns(code) {
                continue;
            }
            let now = rows.iter().find(|row| row.code == *code);
            let Some(before) = known.iter().find(|row| row.code == *code && !row.state.is_bent()) else { continue };
            said.push(match now {
                None if known.iter().any(|other| rows.iter().any(|row| row.code == other.code)) => say::gone(before),
                None => say::replaced(order),
                Some(now) if now.state.is_bent() => say::finished_elsewhere(now),
                Some(now) => match elsewhere(now, here) {
                    Some(_) if asked && elsewhere(before, here).is_none() => {
                        asked_too.push(code.clone());
                        continue;
                    }
                    Some(bench) if elsewhere(before, here).is_none() => say::taken_over(now, &bench.name),
                    None if now.done != before.done => say::moved(now),
                    _ => continue,
                },
            });
        }
        let others = said.len().saturating_sub(1);
        asked_too.iter().for_each(|code| self.outbox.ask_too(code));
        if let Some(first) = said.into_iter().next() {
            self.said = Some(say::and_others(first, others));
        }
    }
}

#[cfg(test)]
mod tests {
    use super::super::tests::fixture::row;
    use super::*;

    fn dones(dones: &[usize]) -> Vec<Row> {
        (0..).zip(dones).map(|(seq, &done)| Row { done, ..row(seq, 9, Some("A")) }).collect()
    }

    #[test]
    fn the_piece_at_the_card_follows_from_how_far_each_is() {
        let cards = [([0, 0, 0], 0), ([1, 0, 0], 1), ([1, 1, 0], 2), ([7, 7, 7], 0), ([8, 7, 7], 0)];
        // One that is ahead, from another day, waits; one that was measured does not.
        for (dones, at) in cards.into_iter().chain([([3, 7, 3], 0), ([4, 7, 3], 2), ([0, 8, 0], 1)]) {
            assert_eq!(at_card(&dones, 7), Some(at), "{dones:?}");
        }
    }

    #[test]
    fn a_stack_is_not_higher_than_hands_can_manage_and_keeps_those_begun() {
        let mut rows = dones(&[0; 40]);
        rows[30] = Row { done: 2, state: State::Started, ..rows[30].clone() };
        rows[5].state = State::Bent;
        let batch = opened_with(&rows, &rows[3], "here", None);
        assert_eq!(batch.len(), MOST);
        assert!(batch.contains(&rows[3].code) && batch.contains(&rows[30].code) && !batch.contains(&rows[5].code));
        let alone = Row { alike: None, ..rows[3].clone() };
        assert_eq!(opened_with(&rows, &alone, "here", None), [alone.code]);
    }
}
