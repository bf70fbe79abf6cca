//! How a fold's drawing shares its height: rows of words over the section, the distance under it. In a low drawing both
//! stand closer, and the distance stands in its line instead of under it.

use super::{Making, UP};
use crate::drawing::pen::{Pen, Words};
use crate::drawing::section::BESIDE;
use crate::drawing::side_up;
use crate::drawing::svg::Weight;

/// What the section takes with the distance under it, where all have their usual room, in ems.
const USUAL: f64 = 6.9;

/// A bent section's least height, in ems.
const LEAST: f64 = 1.5;

/// What each part of the drawing takes, in ems.
pub struct Rows {
    /// From the drawing's edge to the middle of its first row, over and under.
    pub first: f64,
    /// From row to row.
    pub pitch: f64,
    /// All rows that say how the strip lies, with the room under them.
    pub head: f64,
    /// Those under the distance.
    pub foot: f64,
    /// The distance.
    pub distance: f64,
    /// From the bed to the distance's line.
    pub line: f64,
    /// From the strip's middle to below the bed, and how deep the bed is drawn.
    pub bed: [f64; 2],
    /// How far out a hem swings.
    pub hem: f64,
    /// Whether the distance stands under its line.
    pub beyond: bool,
    /// A hem's drawing, where even close rows find no room.
    pub tight: bool,
}

impl Rows {
    fn of(pen: &Pen, making: &Making, flat_hem: bool) -> Self {
        let over = making.lies_in_rows(pen) + usize::from(making.is_handled()) - 1;
        let under = usize::from(flat_hem && making.tells_handling());
        let usual = Self::spaced(over, under, 1.6);
        if pen.height / pen.em - usual.head - usual.foot >= USUAL {
            return usual;
        }
        let close = Self::spaced(over, under, 1.3);
        let close = Self {
            head: close.head - 0.25,
            distance: 2.45,
            line: 0.8,
            bed: [0.65, 0.6],
            hem: 1.9,
            beyond: false,
            ..close
        };
        if !flat_hem || close.taken(flat_hem) * pen.em <= pen.height {
            return close;
        }
        // As close as the letters themselves allow.
        let tight = Self::spaced(over, under, 1.08);
        Self {
            first: 0.6,
            head: tight.head - 0.72,
            distance: 3.0 - tight.foot,
            line: 0.62,
            bed: [0.47, 0.28],
            hem: 1.6,
            beyond: false,
            tight: true,
            ..tight
        }
    }

    /// The height of it all with the section at its least, in ems.
    fn taken(&self, flat_hem: bool) -> f64 {
        let section = if flat_hem { self.hem } else { LEAST };
        self.head + section + self.distance + self.foot
    }

    /// Sets words smaller until the section has the least it needs, but no smaller than usual.
    pub fn fitted(pen: &mut Pen, making: &Making, flat_hem: bool) -> Self {
        loop {
            let rows = Self::of(pen, making, flat_hem);
            if rows.taken(flat_hem) * pen.em <= pen.height || pen.em <= pen.usual_em() {
                return rows;
            }
            pen.em = (pen.em * 0.98).max(pen.usual_em());
        }
    }

    fn spaced(over: usize, under: usize, pitch: f64) -> Self {
        let [over, under] = [over, under].map(|rows| rows as f64 * pitch);
        Self {
            first: 0.85,
            pitch,
            head: 1.9 + over,
            foot: under,
            distance: 4.2,
            line: 1.0,
            bed: [0.9, 0.6],
            hem: 2.5,
            beyond: true,
            tight: false,
        }
    }
}

impl Making<'_> {
    /// Which side lies up and at which hand the left end is, in one row, or in a narrow drawing in two.
    fn lies_in_rows(&self, pen: &Pen) -> usize {
        let rows = [Some(self.side_up(pen)), self.hand(pen)];
        let wide: f64 = rows.iter().flatten().map(|words| pen.row_width(words) + pen.em * BESIDE).sum();
        if wide + pen.em * BESIDE > pen.width { 2 } else { 1 }
    }

    fn side_up(&self, pen: &Pen) -> Vec<Words> {
        vec![pen.quiet(side_up::words(self.piece.section.painted, self.face_up()))]
    }

    fn hand(&self, pen: &Pen) -> Option<Vec<Words>> {
        let hand = if self.lie?.left_is_left() { "at your left" } else { "at your right" };
        Some(vec![Words { weight: Weight::Bold, ..pen.quiet("LEFT") }, pen.quiet(hand)])
    }

    pub fn tell_how_it_lies(&self, pen: &mut Pen, rows: &Rows) {
        let y = |pen: &Pen, row: usize| {
            let y = (rows.first + row as f64 * rows.pitch) * pen.em;
            if self.way() == UP { y } else { pen.height - y }
        };
        let first = usize::from(self.is_handled());
        let (at, words) = ([pen.em * BESIDE, y(pen, first)], self.side_up(pen));
        pen.place(at, [1.0, 0.0], 0.0, &words);
        let Some(words) = self.hand(pen) else { return };
        let last = first + self.lies_in_rows(pen) - 1;
        if last == first {
            pen.place([pen.width - pen.em * BESIDE, y(pen, first)], [-1.0, 0.0], 0.0, &words);
        } else {
            pen.place([pen.em * BESIDE, y(pen, last)], [1.0, 0.0], 0.0, &words);
        }
    }
}
