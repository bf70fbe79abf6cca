//! A blank's outline taken apart: how far each end is cut in at each distance from the datum edge.

use crate::order::plan::Blank;

/// One end's cut line, in mm: distance from the datum edge and inset from the blank's end, from datum to lower edge.
#[derive(Debug, Clone, PartialEq)]
pub struct EndLine(Vec<[f64; 2]>);

/// Points of one outline lie closer than this, in mm, only when they are the same.
const SAME: f64 = 1e-6;

/// The left and right end of `blank`.
pub fn ends(blank: &Blank) -> [EndLine; 2] {
    let outline = &blank.outline;
    let girth = outline.iter().map(|point| point[1]).fold(0.0, f64::max);
    // The outline runs down the left end and up the right.
    let turn = outline.iter().position(|point| point[1] >= girth - SAME).map_or(0, |last| last + 1);
    let (left, right) = outline.split_at(turn);
    let length = blank.length.mm;
    [
        EndLine(left.iter().map(|&[x, y]| [y, x]).collect()),
        EndLine(right.iter().rev().map(|&[x, y]| [y, length - x]).collect()),
    ]
}

impl EndLine {
    /// An end not yet cut.
    pub fn square(girth: f64) -> Self {
        Self(vec![[0.0, 0.0], [girth, 0.0]])
    }

    /// `[y, inset]` from the datum edge on.
    pub fn points(&self) -> &[[f64; 2]] {
        &self.0
    }

    /// How far in the metal begins.
    pub fn least(&self) -> f64 {
        self.0.iter().map(|point| point[1]).fold(f64::MAX, f64::min)
    }

    /// The deepest inset at `y`: at a step the deeper side's.
    pub fn inset(&self, y: f64) -> f64 {
        let reaching = self.0.windows(2).filter_map(|pair| {
            let [[from, a], [to, b]] = [pair[0], pair[1]];
            let inside = y >= from - SAME && y <= to + SAME;
            inside.then(|| {
                if to - from < SAME { a.max(b) } else { a + (b - a) * ((y - from) / (to - from)).clamp(0.0, 1.0) }
            })
        });
        reaching.fold(0.0, f64::max)
    }

    /// The deepest inset between two distances from the datum edge.
    pub fn deepest(&self, from: f64, to: f64) -> f64 {
        let between = self.0.iter().filter(|[y, _]| *y > from + SAME && *y < to - SAME).map(|point| point[1]);
        let inner = SAME * 2.0;
        between.fold(self.inset(from + inner).max(self.inset(to - inner)), f64::max)
    }

    /// The end between two distances from the datum edge: hems past them are folded under.
    pub fn between(&self, from: f64, to: f64) -> Self {
        let outer = |y: f64| {
            let there = self.0.iter().filter(|point| (point[0] - y).abs() < SAME).map(|point| point[1]);
            there.reduce(f64::min).unwrap_or_else(|| self.inset(y))
        };
        let inside = self.0.iter().copied().filter(|point| point[0] > from + SAME && point[0] < to - SAME);
        Self([[from, outer(from)]].into_iter().chain(inside).chain([[to, outer(to)]]).collect())
    }

    /// From where to where the metal reaches further out than `depth`.
    pub fn tab(&self, depth: f64) -> Option<[f64; 2]> {
        let out = || self.0.iter().filter(|point| point[1] < depth - SAME).map(|point| point[0]);
        let [from, to] = [out().reduce(f64::min)?, out().reduce(f64::max)?];
        (to > from).then_some([from, to])
    }

    /// The end without what lies outside `depth`: a tab folded back.
    pub fn folded_back(&self, depth: f64) -> Self {
        let mut points: Vec<[f64; 2]> = self.0.iter().map(|&[y, inset]| [y, inset.max(depth)]).collect();
        points.dedup();
        Self(points)
    }

    /// The part of the line that is cut, as segments.
    pub fn cuts(&self) -> impl Iterator<Item = [[f64; 2]; 2]> {
        self.0.windows(2).map(|pair| [pair[0], pair[1]]).filter(|[from, to]| from[1] > SAME || to[1] > SAME)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::order::plan::Measure;
    use crate::trade::length::{Length, Units};

    /// A gable cut 64 mm wide at the left, a return's tab 30 mm long at the right, by hand.
    #[test]
    fn the_cuts_are_found_again_in_the_outline() {
        let mm = |length| Measure::exact(Length::millimetres(length), Units::Mm);
        let left = [[0.0, 0.0], [0.0, 100.0], [64.0, 228.0], [58.0, 240.0]];
        let right = [[970.0, 240.0], [970.0, 228.0], [1000.0, 228.0], [1000.0, 100.0], [970.0, 100.0], [970.0, 0.0]];
        let outline = left.into_iter().chain(right).collect();
        let [gable, tab] = ends(&Blank { length: mm(1000), girth: mm(240), area_mm2: 0.0, outline });
        assert_eq!(gable.points(), [[0.0, 0.0], [100.0, 0.0], [228.0, 64.0], [240.0, 58.0]]);
        assert_eq!(gable.inset(164.0), 32.0);
        assert_eq!(gable.between(12.0, 228.0).points(), [[12.0, 0.0], [100.0, 0.0], [228.0, 64.0]]);
        assert_eq!((tab.inset(50.0), tab.inset(150.0), tab.inset(235.0)), (30.0, 0.0, 30.0));
        assert_eq!((tab.deepest(0.0, 100.0), tab.deepest(100.0, 228.0)), (30.0, 0.0));
        assert!(tab.folded_back(30.0).points().iter().all(|point| point[1] == 30.0));
        assert_eq!((tab.tab(30.0), tab.tab(0.0)), (Some([100.0, 228.0]), None));
    }
}
