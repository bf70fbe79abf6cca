//! One piece of a laid-out run, before it is put into words: which ends it has, and what is cut from them.

use crate::order::layout::Layout;
use crate::order::plan::{Goes, Measure, PieceEnd};
use crate::order::{End, Order, Run, Side};
use crate::trade::cut::{Blank, Cut, Mark};
use crate::trade::length::Length;
use crate::trade::split::Lap;

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
    pub blank: Blank,
}

impl<'a> Cutting<'a> {
    pub fn new(order: &'a Order, run: &'a Run, layout: &'a Layout, index: usize) -> Self {
        let cut = |side| cut(run, layout, index, side).clone();
        let blank = Blank { finished: layout.lengths[index], left: cut(Side::Left), right: cut(Side::Right) };
        Self { order, run, layout, index, blank }
    }

    pub fn length(&self) -> Length {
        self.blank.finished
    }

    /// From the run's left end to the piece's.
    pub fn from_left(&self) -> Length {
        self.index.checked_sub(1).map_or(Length::ZERO, |lap| self.layout.laps[lap].span.start)
    }

    pub fn cut(&self, side: Side) -> &Cut {
        match side {
            Side::Left => &self.blank.left,
            Side::Right => &self.blank.right,
        }
    }

    /// The points to mark at an end.
    pub fn marks(&self, side: Side) -> Vec<Mark> {
        let [left, right] = self.blank.marks();
        if side == Side::Left { left } else { right }
    }

    /// How far in from its own end of the blank a mark lies.
    pub fn inset(&self, side: Side, mark: Mark) -> Length {
        if side == Side::Left { mark.x } else { self.blank.length() - mark.x }
    }

    /// How far in from its own end of the blank the deepest mark lies.
    pub fn deepest_mark(&self, side: Side) -> Length {
        self.marks(side).into_iter().map(|mark| self.inset(side, mark)).max().unwrap_or_default()
    }

    /// The run's own end on that side, or `None` where the piece laps its neighbour.
    pub fn outer_end(&self, side: Side) -> Option<End> {
        outer_end(self.run, self.layout, self.index, side)
    }

    /// The lap on that side, if there is one.
    pub fn lap(&self, side: Side) -> Option<Lap> {
        lap(self.layout, self.index, side)
    }

    /// At a lap: each piece's far end from where laying began goes under the next.
    pub fn goes(&self, side: Side) -> Goes {
        goes(self.run, side)
    }

    /// The same trim's piece beyond the lap on that side.
    fn neighbour(&self, side: Side) -> String {
        let place = self.index + 1;
        mark(self.run, if side == Side::Left { place - 1 } else { place + 1 })
    }

    pub fn end(&self, side: Side) -> PieceEnd {
        let exact = |length| Measure::exact(length, self.order.units);
        match self.outer_end(side) {
            Some(End::Square) => PieceEnd::Square,
            Some(End::Gable { width }) => PieceEnd::Gable { width: exact(width) },
            Some(End::Return { depth }) => PieceEnd::Return { depth: exact(depth) },
            Some(End::Dam { height }) => PieceEnd::Dam { height: exact(height) },
            Some(End::Corner { side, turn_deg }) => PieceEnd::Corner { side, turn_deg },
            Some(End::Transition { to, falls }) => PieceEnd::Transition { to: to.to_string(), falls },
            None => PieceEnd::Lap {
                lap: exact(self.run.lap),
                goes: self.goes(side),
                neighbour: self.neighbour(side),
                joint: self.lap(side).is_some_and(|lap| lap.joint),
            },
        }
    }
}

/// The lap on that side of the piece at `index`, if there is one.
pub(super) fn lap(layout: &Layout, index: usize, side: Side) -> Option<Lap> {
    let index = match side {
        Side::Left => index.checked_sub(1)?,
        Side::Right => index,
    };
    layout.laps.get(index).copied()
}

pub(super) fn goes(run: &Run, side: Side) -> Goes {
    if side == run.lay_from { Goes::Over } else { Goes::Under }
}

pub(super) fn outer_end(run: &Run, layout: &Layout, index: usize, side: Side) -> Option<End> {
    match side {
        Side::Left => (index == 0).then_some(run.left),
        Side::Right => (index + 1 == layout.lengths.len()).then_some(run.right),
    }
}

fn cut<'a>(run: &Run, layout: &'a Layout, index: usize, side: Side) -> &'a Cut {
    match (outer_end(run, layout, index, side), side) {
        (Some(_), Side::Left) => &layout.ends[0],
        (Some(_), Side::Right) => &layout.ends[1],
        (None, _) if goes(run, side) == Goes::Under => &layout.lap_notch,
        (None, _) => &layout.square,
    }
}
