//! One piece of a laid-out run, before it is put into words: which ends it has, and what is cut from them.

use crate::order::layout::{self, Layout};
use crate::order::plan::{Goes, Measure, PieceEnd};
use crate::order::{End, Order, Run, Side};
use crate::trade::cut::Cut;
use crate::trade::length::Length;

/// A run's mark with a place: `A-EW-3`.
pub fn mark(run: &Run, place: usize) -> String {
    format!("{}-{}-{place}", run.wall, run.trim.short())
}

/// One piece of a laid-out run, before it is put into words.
pub struct Cutting<'a> {
    pub order: &'a Order,
    pub run: &'a Run,
    pub layout: &'a Layout,
    /// 0 at the run's left end.
    pub index: usize,
    pub length: Length,
    pub blank_length: Length,
}

impl Cutting<'_> {
    pub fn is_first(&self) -> bool {
        self.index == 0
    }

    pub fn is_last(&self) -> bool {
        self.index + 1 == self.layout.lengths.len()
    }

    /// The run's own end on that side, or `None` where the piece laps its neighbour.
    pub fn outer_end(&self, side: Side) -> Option<End> {
        match side {
            Side::Left => self.is_first().then_some(self.run.left),
            Side::Right => self.is_last().then_some(self.run.right),
        }
    }

    /// What the returns add to the blank of the run's piece `index`.
    pub fn depth_of(&self, index: usize) -> Length {
        let left = if index == 0 { layout::depth(self.run.left) } else { Length::ZERO };
        let right = if index + 1 == self.layout.lengths.len() { layout::depth(self.run.right) } else { Length::ZERO };
        left + right
    }

    /// At a lap: each piece's far end from where laying began goes under the next.
    pub fn goes(&self, side: Side) -> Goes {
        if side == self.run.lay_from { Goes::Over } else { Goes::Under }
    }

    pub fn cut(&self, side: Side) -> Cut {
        let flat = &self.layout.flat;
        match self.outer_end(side) {
            Some(End::Square) => Cut::square(flat),
            Some(End::Gable { width }) => Cut::gable(flat, width),
            Some(End::Return { depth }) => Cut::return_tab(flat, depth),
            None if self.goes(side) == Goes::Under => Cut::lap_notch(flat, self.run.lap, self.layout.section.hem),
            None => Cut::square(flat),
        }
    }

    pub fn end(&self, side: Side) -> PieceEnd {
        let exact = |length| Measure::exact(length, self.order.units);
        match self.outer_end(side) {
            Some(End::Square) => PieceEnd::Square,
            Some(End::Gable { width }) => PieceEnd::Gable { width: exact(width) },
            Some(End::Return { depth }) => PieceEnd::Return { depth: exact(depth) },
            None => {
                let place = self.index + 1;
                let neighbour = if side == Side::Left { place - 1 } else { place + 1 };
                PieceEnd::Lap { lap: exact(self.run.lap), goes: self.goes(side), neighbour: mark(self.run, neighbour) }
            }
        }
    }
}
