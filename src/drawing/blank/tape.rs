//! The length, told under the blank. When the finished piece is checked, also the tape: along which line of the section it
//! lies, and how far off it may read. When the strip is sheared, also where.

use super::view::SHEARED;
use super::{Drawing, LEFT, RIGHT, Showing, Stage, Stretch, Voice};
use crate::drawing::pen::{Dimension, PAST, Pen, Words, WordsAt, big, big_mm};
use crate::drawing::svg::Paint;
use crate::order::plan::{Piece, PieceEnd};

/// Half of the tape's width, and how far it runs on past the end it is read at, in ems.
const HALF: f64 = 0.27;
pub const ON: f64 = 0.55;

/// No hand reads a tape finer, in mm.
const SAME: f64 = 1.0;

/// The length and, of the finished piece, how far off it may be.
pub fn words(pen: &Pen, piece: &Piece, showing: &Showing) -> Vec<Words> {
    let finished = showing.stage == Stage::TabsFolded;
    let length = if finished { &piece.length } else { &piece.blank.length };
    // Where a mitre ends a blank is no more exact than it can be marked.
    let mitred = |end: &PieceEnd| matches!(end, PieceEnd::Corner { .. } | PieceEnd::Transition { .. });
    let text = if !finished && (mitred(&piece.left) || mitred(&piece.right)) {
        big_mm(length.mm, length)
    } else {
        big(length)
    };
    let tolerance = showing.tolerance.as_ref().map(|most| pen.value(format!("± {}", big(most))));
    [pen.number(text, showing.length == Voice::Now)].into_iter().chain(tolerance).collect()
}

impl Drawing<'_> {
    /// The blank's length or, once the tabs are folded, the finished piece's.
    pub(super) fn length(&mut self) {
        let ends = (self.view.at_end(LEFT), self.view.at_end(RIGHT));
        let (Some(left), Some(right), true) = (ends.0, ends.1, self.showing.length != Voice::Silent) else { return };
        let words = words(&self.pen, self.piece, &self.showing);
        let [from, to] = if self.showing.stage == Stage::TabsFolded {
            let y = self.measured_at();
            [(&left, LEFT), (&right, RIGHT)].map(|(stretch, side)| [self.edge(stretch, side, y), self.view.y(y)])
        } else {
            [self.furthest(&left, LEFT), self.furthest(&right, RIGHT)]
        };
        if self.showing.is_taped() {
            self.tape(from, to);
        }
        if self.view.length_past {
            // It is the tape that is read.
            self.pen.place(to, [1.0, 0.0], (ON + PAST) * self.pen.em, &words);
            return;
        }
        if self.showing.sheared {
            self.sheared(&right);
        }
        self.pen.dimension(&Dimension {
            from,
            to,
            away: [0.0, 1.0],
            level: self.view.length_level(&self.pen),
            words: &words,
            words_at: WordsAt::Beyond,
            now: self.showing.length == Voice::Now,
        });
    }

    /// How far from the datum edge the finished piece is as long as it should be: at a bend, else near the middle of a leg. A
    /// mitre leaves one such line only, the wall's or the roof's.
    pub(super) fn measured_at(&self) -> f64 {
        let [top, bottom] = self.view.edges;
        let bends = || self.piece.bends.iter().map(|bend| bend.at.mm);
        let lines: Vec<f64> = [top].into_iter().chain(bends()).chain([bottom]).collect();
        // Off the middle, where the end's name stands.
        let legs = lines.windows(2).map(|pair| pair[0] + (pair[1] - pair[0]) * 0.8);
        let candidates: Vec<f64> = bends().chain(legs).filter(|y| (top..=bottom).contains(y)).collect();
        let right = candidates.iter().find(|y| self.off(**y) < SAME);
        let nearest = || candidates.iter().min_by(|a, b| self.off(**a).total_cmp(&self.off(**b)));
        right.or_else(nearest).copied().unwrap_or(f64::midpoint(top, bottom))
    }

    /// What of the piece the tape lies over, from the datum edge.
    pub(super) fn under_tape(&self) -> Option<[f64; 2]> {
        let (y, half) = (self.measured_at(), (HALF + 0.1) * self.pen.em / self.view.scale);
        self.showing.is_taped().then_some([y - half, y + half])
    }

    /// How much longer or shorter than it should be the piece is at `y` from the datum edge, in mm.
    fn off(&self, y: f64) -> f64 {
        let insets: f64 = self.view.ends.iter().map(|end| end.inset(y)).sum();
        (self.piece.blank.length.mm - insets - self.piece.length.mm).abs()
    }

    /// Hooked on the left end, and read at the right.
    fn tape(&mut self, [from, y]: [f64; 2], [to, _]: [f64; 2]) {
        let (em, theme, line) = (self.pen.em, self.pen.theme, self.pen.line());
        let (half, end) = (HALF * em, to + ON * em);
        self.pen.svg.rect(
            from,
            y - half,
            end - from,
            2.0 * half,
            Paint::fill(theme.paper).outlined(theme.now, line * 1.6),
        );
        let mut x = from + em * 0.5;
        let mut tick = 1;
        while x < end {
            let long = if tick % 4 == 0 { 1.2 } else { 0.7 };
            self.pen.svg.line([x, y - half], [x, y - half + long * half], Paint::stroke(theme.now, line));
            (x, tick) = (x + em * 0.5, tick + 1);
        }
        self.pen.svg.rect(from - em * 0.16, y - half, em * 0.16, half * 2.9, Paint::fill(theme.now));
        self.pen.svg.line([to, y - half * 1.9], [to, y + half * 1.9], Paint::stroke(theme.now, line * 3.0));
    }

    /// Where the strip is cut off, and what falls away.
    fn sheared(&mut self, right: &Stretch) {
        let (theme, line) = (self.pen.theme, self.pen.line());
        let x = self.x(right, RIGHT, 0.0);
        let [top, bottom] = self.view.edges.map(|edge| self.view.y(edge));
        let past = x + SHEARED * self.pen.em;
        let waste = [[x, top], [past, top], [past, bottom], [x, bottom]];
        self.pen.svg.polygon(&waste, Paint::fill(theme.waste).outlined(theme.faint, line * 0.7).dashed());
        self.pen.hatch(&waste, 0.4, theme.faint, line * 0.5);
        let over = self.pen.em * 0.25;
        self.pen.svg.line([x, top - over], [x, bottom + over], Paint::stroke(theme.now, line * 3.0));
    }

    /// The lowest point of an end's metal that is furthest out: above a gable's cut, for one.
    fn furthest(&self, stretch: &Stretch, side: usize) -> [f64; 2] {
        let end = &self.view.ends[side];
        let inset = end.least();
        let y = end.points().iter().filter(|point| point[1] <= inset).map(|point| point[0]).fold(0.0, f64::max);
        [self.x(stretch, side, inset), self.view.y(y)]
    }
}

#[cfg(test)]
mod tests {
    use std::collections::BTreeSet;
    use std::sync::Arc;

    use super::*;
    use crate::drawing::Theme;
    use crate::order::plan::Action;
    use crate::order::{parse, planner};

    /// A mitre makes some legs longer and some shorter than the piece, a gable cut its roof leg.
    #[test]
    fn the_tape_lies_where_the_piece_is_as_long_as_it_should_be() {
        let order = r#"{ "format": "brakeside-order/1", "order": "1", "job": { "name": "Shed" }, "units": "in",
            "metal": { "kind": "galvanized-steel", "gauge": 24 }, "runs": [
            { "wall": "A", "trim": "end-wall", "length": "14'", "pitch": "2:12",
              "left": { "end": "gable", "width": 4 }, "right": { "end": "corner", "side": "outside" } },
            { "wall": "B", "trim": "reglet", "length": "14'",
              "left": { "end": "return", "depth": 2 }, "right": { "end": "corner", "side": "inside" } },
            { "wall": "C", "trim": "side-wall", "length": "14'", "pitch": "6:12", "low": "right",
              "left": { "end": "dam", "height": 2 }, "right": { "end": "transition", "to": "3:12" } },
            { "wall": "D", "trim": "gable", "length": "4'", "pitch": "6:12", "low": "left",
              "right": { "end": "transition", "to": "6:12", "falls": "back" } },
            { "wall": "E", "trim": "eave", "length": "4'", "pitch": "5:12",
              "left": { "end": "corner", "side": "outside" }, "right": { "end": "corner", "side": "outside", "turn": 45 } },
            { "wall": "F", "trim": "ridge", "length": "4'", "pitch": "5:12", "right": { "end": "corner", "side": "inside" } },
            { "wall": "G", "trim": "custom", "length": "4'", "left": { "end": "corner", "side": "inside" },
              "profile": { "legs": [ { "width": 2 }, { "width": 3, "bend": 60, "turn": "up" }, { "width": 1, "turn": "down" } ],
                           "hem": 0.5 } },
            { "wall": "H", "trim": "custom", "length": "4'", "profile": { "legs": [ { "width": 6 } ], "hem": 0.5 } } ] }"#;
        let (order, _) = parse::parse(order.as_bytes(), &Arc::default()).unwrap();
        let mut seen = BTreeSet::new();
        for piece in planner::plan(&order).unwrap().pieces {
            let step = piece.steps.iter().find(|step| step.action == Action::CheckLength).unwrap();
            let drawing = Drawing::of(&piece, Some(step), 580.0, 395.0, Theme::LIGHT.in_english());
            let y = drawing.measured_at();
            let off = drawing.off(y);
            assert!(off < SAME, "{}: {off} mm off", piece.mark);

            // The card names the line that the tape is drawn on.
            let lines: Vec<f64> = piece.bends.iter().map(|bend| bend.at.mm).collect();
            let leg = |index: usize| &piece.section.legs[index].name;
            let named = match (lines.iter().position(|line| (line - y).abs() < 1e-9), lines.len()) {
                (Some(_), 1) => "at the bend".to_owned(),
                (Some(bend), _) => format!("at the bend between {} and {}", leg(bend), leg(bend + 1)),
                (None, _) => format!("on {}", leg(lines.iter().filter(|line| **line < y).count())),
            };
            assert!(
                step.text.contains(&format!(" {named}. It should be")),
                "{}: {named}, not {}",
                piece.mark,
                step.text
            );
            seen.insert(named);
        }
        assert!(seen.len() > 4, "{seen:?}");
    }
}
