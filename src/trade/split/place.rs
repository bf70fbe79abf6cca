//! Laps placed where the rules let them lie, as near as can be to where they would lie without.
//!
//! A stretch of n pieces is a chain of n − 1 lap starts between two fixed ones; a piece bounds the distance between two
//! neighbours, a rule cuts open intervals out of where a lap may start. Three sweeps decide: from the far end, where each
//! lap may start so that the rest can still be laid; from the start of laying, what is left of that, off the seams where any
//! of it is; and back again, the nearest position to the wish. All sets are exact, so a way is found where there is one.

use super::spans::{Blocked, Grid, Span, Spans};
use crate::trade::length::Length;

/// The pieces between two fixed lap starts.
pub(super) struct Chain<'a> {
    /// Where a lap before the first piece would start, and one after the last.
    pub ends: Span,
    /// The least and most of each piece's length less the lap: from one lap's start to the next.
    pub strides: &'a [Span],
    /// Where each lap would start without any rule, in order.
    pub wishes: &'a [Length],
    pub lap: Length,
    pub step: Length,
}

impl Chain<'_> {
    /// Lap starts, in the order laid, never in `stagger`; none where there is no way. A lap is kept out of `seams` where
    /// the laps laid before it, which go first, leave it a way; lengths are on the step where the sets have such
    /// positions.
    pub fn place(&self, stagger: &Blocked, seams: &Blocked) -> Option<Vec<Length>> {
        let laps = self.wishes.len();
        let mut may = self.hard(stagger);
        let mut reached = Spans::one(Span::at(self.ends.start));
        for (set, &stride) in may.iter_mut().zip(self.strides) {
            reached = reached.shifted(stride).common(set);
            let off_seams = seams.out_of(&reached);
            if !off_seams.is_empty() {
                reached = off_seams;
            }
            *set = reached.clone();
        }

        let mut starts = vec![Length::ZERO; laps];
        let mut next = self.ends.end;
        for i in (0..laps).rev() {
            let stride = self.strides[i + 1];
            let here = may[i].within(Span { start: next - stride.end, end: next - stride.start });
            let grid = self.grid(i);
            next = here.nearest(grid.floor(self.wishes[i]), grid)?;
            starts[i] = next;
        }
        Some(starts)
    }

    /// Where each lap may start so that it keeps its distance and the pieces after it can be laid.
    fn hard(&self, stagger: &Blocked) -> Vec<Spans> {
        let windows = self.windows();
        let mut sets: Vec<Spans> = Vec::with_capacity(windows.len());
        let mut after = Spans::one(Span::at(self.ends.end));
        for (&window, &stride) in windows.iter().zip(&self.strides[1..]).rev() {
            let back = Span { start: -stride.end, end: -stride.start };
            after = stagger.out_of(&after.shifted(back).within(window));
            sets.push(after.clone());
        }
        sets.reverse();
        sets
    }

    /// Where each lap's start can be reached from the start of laying. Within these the sets stay small, however long the
    /// run: no wider than what n longest pieces have over it.
    fn windows(&self) -> Vec<Span> {
        let mut at = Span::at(self.ends.start);
        let windows = self.strides[..self.wishes.len()].iter().map(|stride| {
            at = Span { start: at.start + stride.start, end: at.end + stride.end };
            at
        });
        windows.collect()
    }

    /// Where lap `i` may start so that the pieces before it add up to whole steps.
    fn grid(&self, i: usize) -> Grid {
        Grid { origin: self.ends.start - self.lap * (i as i64 + 1), step: self.step }
    }
}
