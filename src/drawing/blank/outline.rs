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

    /// The end without what lies past `y`: the hem folded under.
    pub fn up_to(&self, y: f64) -> Self {
        let mut points: Vec<[f64; 2]> = self.0.iter().copied().filter(|point| point[0] < y - SAME).collect();
        let outer = self.0.iter().filter(|point| (point[0] - y).abs() < SAME).map(|point| point[1]).reduce(f64::min);
        points.push([y, outer.unwrap_or_else(|| self.inset(y))]);
        Self(points)
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
    use crate::trade::cut::{self, Cut};
    use crate::trade::length::{Length, Units};
    use crate::trade::section::Flat;

    #[test]
    fn the_cuts_are_found_again_in_the_outline() {
        let flat = Flat {
            girth: Length::millimetres(240),
            bend_lines: vec![Length::millimetres(100)],
            fold_line: Length::millimetres(228),
            shortenings: vec![],
        };
        let length = Length::millimetres(1000);
        let outline = cut::outline(
            length,
            &Cut::gable(&flat, Length::millimetres(64)),
            &Cut::return_tab(&flat, Length::millimetres(30)),
        );
        let measure = |length| Measure::exact(length, Units::Mm);
        let blank =
            Blank { length: measure(length), girth: measure(flat.girth), area_mm2: cut::area(&outline), outline };
        let [gable, tab] = ends(&blank);
        assert_eq!(gable.points(), [[0.0, 0.0], [100.0, 0.0], [228.0, 64.0], [240.0, 58.0]]);
        assert_eq!(gable.inset(164.0), 32.0);
        assert_eq!(gable.up_to(228.0).points(), [[0.0, 0.0], [100.0, 0.0], [228.0, 64.0]]);
        assert_eq!((tab.inset(50.0), tab.inset(150.0), tab.inset(235.0)), (30.0, 0.0, 30.0));
        assert_eq!((tab.deepest(0.0, 100.0), tab.deepest(100.0, 228.0)), (30.0, 0.0));
        assert!(tab.folded_back(30.0).points().iter().all(|point| point[1] == 30.0));
    }
}
