//! Looking back: the cards before the one in hand, to be read again; what was done stays done until a hand says otherwise.
//!
//! Where the hand looks is counted in steps taken back from how far the pieces are. So it follows pieces cut alike the
//! way they were made, and is over as soon as anything is done to one of them.

use super::Desk;
use super::batch::{at_card, together};
use crate::order::plan::Step;

/// So many of the steps done last are looked at again.
pub struct LookBack {
    cards: usize,
    /// How far each piece at the card was then, by its code.
    of: Vec<(String, usize)>,
}

/// What was done last, taken back: the index of a piece, and how many of its steps are then done. None at the very first
/// step.
fn step_back(dones: &[usize], together: usize) -> Option<(usize, usize)> {
    let at = at_card(dones, together)?;
    if dones[at] > together {
        return Some((at, dones[at] - 1));
    }
    let last_at = |done: usize| dones.iter().rposition(|other| *other == done);
    let last = last_at(dones[at] + 1).or_else(|| last_at(dones[at]))?;
    dones[last].checked_sub(1).map(|done| (last, done))
}

/// How far each piece was before its last `cards` steps; none when there are fewer.
fn before(mut dones: Vec<usize>, cards: usize, together: usize) -> Option<Vec<usize>> {
    for _ in 0..cards {
        let (piece, done) = step_back(&dones, together)?;
        dones[piece] = done;
    }
    Some(dones)
}

impl Desk {
    /// How many cards back the hand looks; 0 is the card in hand.
    pub(super) fn cards_back(&self) -> usize {
        let Some(look) = &self.look_back else { return 0 };
        let still = self
            .unfinished()
            .iter()
            .map(|row| (row.code.as_str(), row.done))
            .eq(look.of.iter().map(|(code, done)| (code.as_str(), *done)));
        if still { look.cards } else { 0 }
    }

    /// How far each unfinished piece at the card is, as the hand sees it: as it is, or where it looks back to.
    pub(super) fn dones_seen(&self, steps: &[Step]) -> Vec<usize> {
        let dones = self.dones(steps);
        before(dones.clone(), self.cards_back(), together(steps)).unwrap_or(dones)
    }

    /// No piece at the card is past its last step.
    fn dones(&self, steps: &[Step]) -> Vec<usize> {
        self.unfinished().iter().map(|row| row.done.min(steps.len().saturating_sub(1))).collect()
    }

    /// To the card before; from the very first, leaves the pieces.
    pub(super) fn look_back(&mut self) {
        let cards = self.cards_back() + 1;
        let there_is = self.open_piece_at_card().is_some_and(|open| {
            let steps = &open.record.piece.steps;
            before(self.dones(steps), cards, together(steps)).is_some()
        });
        if there_is {
            let of = self.unfinished().iter().map(|row| (row.code.clone(), row.done)).collect();
            self.look_back = Some(LookBack { cards, of });
        } else {
            self.leave();
        }
    }

    /// To the card after the one looked at, at last the one in hand.
    pub(super) fn look_on(&mut self) {
        if let Some(look) = &mut self.look_back {
            look.cards = look.cards.saturating_sub(1);
        }
        self.working_open = false;
    }

    /// The step looked at was not done, nor what was done since: it is now in hand.
    pub(super) fn take_back(&mut self) {
        let Some(open) = self.open_piece_at_card().filter(|open| open.looked_back) else { return };
        let seen = self.dones_seen(&open.record.piece.steps);
        let of = self.unfinished().into_iter().zip(seen).filter(|(row, seen)| row.done != *seen);
        let back: Vec<(String, usize)> = of.map(|(row, seen)| (row.code.clone(), seen)).collect();
        back.iter().for_each(|(code, done)| self.mark_step(code, *done));
        self.working_open = false;
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Of three pieces cut alike, back takes …'s steps to … .
    #[test]
    fn the_way_back_follows_from_how_far_each_is() {
        for (dones, back) in [
            ([0, 0, 0], None),
            ([1, 0, 0], Some((0, 0))),
            ([1, 1, 0], Some((1, 0))),
            ([1, 1, 1], Some((2, 0))),
            ([7, 7, 7], Some((2, 6))),
            ([8, 7, 7], Some((0, 7))),
            // One that is ahead, from another day, waits.
            ([3, 7, 3], Some((2, 2))),
            ([4, 7, 3], Some((0, 3))),
            ([0, 8, 0], Some((1, 7))),
        ] {
            assert_eq!(step_back(&dones, 7), back, "{dones:?}");
        }
    }

    #[test]
    fn the_way_back_is_the_way_they_were_made() {
        let (together, mut dones, mut walked) = (2, vec![0; 3], Vec::new());
        while let Some(at) = at_card(&dones, together).filter(|at| dones[*at] < 4) {
            walked.push(dones.clone());
            dones[at] += 1;
        }
        // Until one of them is measured, and leaves the others: it is finished before another is picked up.
        let back = |cards| before(vec![2, 2, 2], cards, together);
        assert_eq!(
            (0..7).map(|cards| back(cards).unwrap()).collect::<Vec<_>>(),
            walked[..7].iter().rev().cloned().collect::<Vec<_>>()
        );
        assert_eq!(back(7), None);
    }
}
