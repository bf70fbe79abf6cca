//! What a step needs to see of a blank, and where on the page it stands: the scale, the break, the words and their room.

use super::outline::{self, EndLine};
use crate::drawing::pen::{EDGE, PAST, Pen, TAIL, Words, big, big_mm};
use crate::order::Side;
use crate::order::plan::{Action, Goes, Piece, PieceEnd, Step};

/// How loudly a thing is drawn.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Voice {
    Silent,
    Quiet,
    Now,
}

/// How far the work on the blank has come.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Stage {
    Strip,
    Marked,
    Cut,
    HemFolded,
    TabsFolded,
}

/// What one step needs to see.
pub struct Showing {
    /// One end alone.
    pub end: Option<Side>,
    pub stage: Stage,
    pub lines: Voice,
    pub girth: Voice,
    pub length: Voice,
    pub ends: Voice,
    pub label: bool,
}

impl Showing {
    pub fn of(step: Option<&Step>) -> Self {
        use Voice::{Now, Quiet, Silent};
        let nothing = Self {
            end: None,
            stage: Stage::Strip,
            lines: Silent,
            girth: Silent,
            length: Silent,
            ends: Silent,
            label: false,
        };
        let Some(step) = step else {
            return Self { stage: Stage::Cut, lines: Quiet, girth: Quiet, length: Quiet, ends: Quiet, ..nothing };
        };
        match step.action {
            Action::TakeBlank => Self { end: Some(Side::Left), girth: Now, ..nothing },
            Action::Shear => Self { length: Now, ..nothing },
            Action::Mark => Self { end: Some(Side::Left), stage: Stage::Marked, lines: Now, ..nothing },
            Action::NotchLap | Action::CutEnd => Self { end: step.side, stage: Stage::Cut, ends: Now, ..nothing },
            Action::Hem | Action::Bend => Self { stage: Stage::Cut, ..nothing },
            Action::OpenHem | Action::FoldTab => Self { end: step.side, stage: Stage::HemFolded, ends: Now, ..nothing },
            Action::CheckLength => Self { stage: Stage::TabsFolded, length: Now, ..nothing },
            Action::Label => Self { end: Some(Side::Left), stage: Stage::TabsFolded, label: true, ..nothing },
        }
    }

    pub fn hem_folded(&self) -> bool {
        self.stage >= Stage::HemFolded
    }

    fn shows_work_at(&self, side: usize) -> bool {
        self.ends != Voice::Silent && self.end.is_none_or(|end| end as usize == side)
    }
}

/// A part of the blank drawn without a break: mm from the blank's left end, and the x of `from`.
#[derive(Debug, Clone, Copy)]
pub struct Stretch {
    pub from: f64,
    pub to: f64,
    pub at: f64,
    /// The left and right side is a break, not the blank's end.
    pub torn: [bool; 2],
}

/// A dimension along the lower edge, from the blank's end inward to a point of the cut, in mm.
#[derive(Debug, Clone)]
pub struct Row {
    pub inset: f64,
    pub y: f64,
    pub words: Vec<Words>,
    pub now: bool,
}

/// A line across the blank, in mm from the datum edge, and its words.
pub type Mark = (f64, Vec<Words>);

/// What stands where. Pairs are the left end and the right.
pub struct View {
    pub ends: [EndLine; 2],
    pub rows: [Vec<Row>; 2],
    /// The right end's rows begin this many lower, where side by side they would run into the left's.
    stagger: usize,
    /// The rows' words stand under their lines: past them there is no room.
    pub words_under: bool,
    /// Where a lap notch begins, with how far up that is from the lower edge.
    pub ups: [Option<Mark>; 2],
    /// Bend lines and the hem's fold.
    pub marks: Vec<Mark>,
    /// The drawn piece's lower edge: the blank's, or the hem's fold.
    pub bottom: f64,
    /// Units per mm.
    pub scale: f64,
    pub top: f64,
    pub stretches: Vec<Stretch>,
}

/// In ems: over the metal for the datum edge's name, and under it past all rows.
const ABOVE: f64 = 1.75;
const BELOW: f64 = 0.5;
/// In ems: from the lower edge to the first row's line, and from row to row.
const FIRST_ROW: f64 = 0.9;
const ROW: f64 = 1.55;
/// In ems: what a row takes more where its words stand under its line.
const UNDER: f64 = 1.2;
/// In ems: from the metal to the line that distances are counted along, and from there to their words.
pub const COUNTED: f64 = 0.8;
pub const LEADER: f64 = 0.9;
/// In ems: from the metal to an upright dimension line, and what line and arrow take besides their words.
pub const UPRIGHT: f64 = 0.8;
const UPRIGHT_ROOM: f64 = 1.9;
/// In ems: between both sides of a break.
const BREAK: f64 = 1.2;

impl View {
    pub fn lay_out(pen: &Pen, piece: &Piece, showing: &Showing) -> Self {
        let fold = piece.hem.at.mm;
        let bottom = if showing.hem_folded() { fold } else { piece.blank.girth.mm };
        let of_piece = [&piece.left, &piece.right];
        let mut ends = outline::ends(&piece.blank);
        for (end, of_piece) in ends.iter_mut().zip(of_piece) {
            if showing.stage < Stage::Cut {
                *end = EndLine::square(bottom);
            }
            if showing.hem_folded() {
                *end = end.up_to(fold);
            }
            if let (Stage::TabsFolded, PieceEnd::Return { depth }) = (showing.stage, of_piece) {
                *end = end.folded_back(depth.mm);
            }
        }
        let rows = [0, 1].map(|side| {
            if showing.shows_work_at(side) { rows(pen, piece, of_piece[side], &ends[side], showing) } else { vec![] }
        });
        let ups = [0, 1].map(|side| {
            if showing.shows_work_at(side) { up(pen, piece, of_piece[side], &ends[side], showing) } else { None }
        });
        let marks = if showing.lines == Voice::Silent { vec![] } else { marks(pen, piece, showing.lines) };
        let (scale, top, stretches) = (0.0, 0.0, vec![]);
        let mut view = Self { ends, rows, stagger: 0, words_under: false, ups, marks, bottom, scale, top, stretches };
        view.fit(pen, piece, showing);
        if view.rows_collide(pen, piece.blank.length.mm) {
            view.stagger = view.rows[0].len();
            view.fit(pen, piece, showing);
        }
        if view.rows_run_out(pen) {
            view.words_under = true;
            view.fit(pen, piece, showing);
        }
        view
    }

    /// The largest scale that leaves room for all words, and the stretches it leaves to be seen.
    fn fit(&mut self, pen: &Pen, piece: &Piece, showing: &Showing) {
        let em = pen.em;
        // The metal there is to see, from its own ends on.
        let [start, far] = [self.ends[0].least(), piece.blank.length.mm - self.ends[1].least()];
        let length = far - start;
        let girth = match showing.girth {
            Voice::Silent => 0.0,
            voice => pen.row_width(&[pen.number(big(&piece.blank.girth), voice == Voice::Now)]) + UPRIGHT_ROOM * em,
        };
        let up =
            |side: usize| self.ups[side].as_ref().map_or(0.0, |(_, words)| pen.row_width(words) + UPRIGHT_ROOM * em);
        let mut margins = [em * 0.8 + up(0) + girth, em * 0.8 + up(1)];
        let widest = self.marks.iter().map(|(_, words)| pen.row_width(words)).fold(0.0, f64::max);
        let column = if self.marks.is_empty() { 0.0 } else { widest + (COUNTED + LEADER + 0.9) * em };

        let length_row = match showing.length {
            Voice::Silent => 0.0,
            Voice::Quiet => FIRST_ROW + 1.4,
            Voice::Now => FIRST_ROW + 1.9,
        };
        let (above, below) = (ABOVE * em, (BELOW + self.row_count() as f64 * self.row() + length_row) * em);
        let room_down = pen.height - above - below;
        self.scale = room_down / self.bottom;

        if let Some(side) = showing.end {
            let side = side as usize;
            let least = (self.reach(side) * 1.5).min(length);
            margins[1 - side] = margins[1 - side].max(column);
            let room = pen.width - margins[0] - margins[1];
            self.scale = self.scale.min(room / least);
            let shown = length.min(room / self.scale);
            let at = margins[0] + (room - shown * self.scale) / 2.0;
            let (from, to) = if side == 0 { (start, start + shown) } else { (far - shown, far) };
            let mut torn = [false, false];
            torn[1 - side] = shown < length;
            self.stretches = vec![Stretch { from, to, at, torn }];
        } else {
            let room = pen.width - margins[0] - margins[1];
            let gap = column.max(BREAK * em);
            let deepest = self.reach(0).max(self.reach(1)) * 1.25;
            self.scale = self.scale.min((room - gap) / 2.0 / deepest);
            if length * self.scale <= room - column {
                let at = margins[0] + (room - column - length * self.scale) / 2.0;
                self.stretches = vec![Stretch { from: start, to: far, at, torn: [false, false] }];
            } else {
                let shown = (room - gap) / 2.0 / self.scale;
                let right = pen.width - margins[1] - shown * self.scale;
                self.stretches = vec![
                    Stretch { from: start, to: start + shown, at: margins[0], torn: [false, true] },
                    Stretch { from: far - shown, to: far, at: right, torn: [true, false] },
                ];
            }
        }
        self.top = above + (room_down - self.bottom * self.scale) / 2.0;
    }

    /// How far from its end a thing lies that must be seen.
    fn reach(&self, side: usize) -> f64 {
        let cut = self.ends[side].deepest(0.0, self.bottom).max(self.bottom / 2.0);
        self.rows[side].iter().map(|row| row.inset).fold(cut, f64::max)
    }

    fn rows_collide(&self, pen: &Pen, length: f64) -> bool {
        let (Some(left), Some(right)) = (self.at_end(0), self.at_end(1)) else { return false };
        self.rows[0].iter().zip(&self.rows[1]).any(|(a, b)| {
            let words = pen.row_width(&a.words) + pen.row_width(&b.words) + 1.6 * pen.em;
            self.x(&right, length - b.inset) - self.x(&left, a.inset) < words
        })
    }

    /// Whether words past the rows of an end that stands alone would run out of the drawing.
    fn rows_run_out(&self, pen: &Pen) -> bool {
        let [stretch] = self.stretches[..] else { return false };
        let room = [pen.width - self.x(&stretch, stretch.from), self.x(&stretch, stretch.to)];
        let needs = |row: &Row| row.inset * self.scale + pen.row_width(&row.words) + (TAIL + PAST + EDGE) * pen.em;
        [0, 1].into_iter().any(|side| self.rows[side].iter().any(|row| needs(row) > room[side]))
    }

    /// From row to row, in ems.
    fn row(&self) -> f64 {
        if self.words_under { ROW + UNDER } else { ROW }
    }

    fn row_count(&self) -> usize {
        self.rows[0].len().max(self.rows[1].len() + self.stagger)
    }

    /// Where a row's dimension line lies; the row past all is the length's.
    pub fn row_level(&self, pen: &Pen, side: usize, index: usize) -> f64 {
        let row = if side == 1 { index + self.stagger } else { index };
        self.y(self.bottom) + (FIRST_ROW + row as f64 * self.row()) * pen.em
    }

    /// Where the length's dimension line lies, below all rows.
    pub fn length_level(&self, pen: &Pen) -> f64 {
        self.row_level(pen, 0, self.row_count())
    }

    /// The stretch that shows that end of the blank.
    pub fn at_end(&self, side: usize) -> Option<Stretch> {
        self.stretches.iter().find(|stretch| !stretch.torn[side]).copied()
    }

    pub fn x(&self, stretch: &Stretch, mm: f64) -> f64 {
        stretch.at + (mm - stretch.from) * self.scale
    }

    pub fn y(&self, mm: f64) -> f64 {
        self.top + mm * self.scale
    }
}

/// What is measured along the lower edge at one end, the longest first.
fn rows(pen: &Pen, piece: &Piece, of_piece: &PieceEnd, end: &EndLine, showing: &Showing) -> Vec<Row> {
    let now = showing.ends == Voice::Now;
    let (girth, fold) = (piece.blank.girth.mm, piece.hem.at.mm);
    let bottom = if showing.hem_folded() { fold } else { girth };
    let words = |measure, text: &str| vec![pen.number(big(measure), now), pen.quiet(text)];
    match of_piece {
        PieceEnd::Gable { width } if !showing.hem_folded() => {
            let lower = end.inset(girth);
            let lower_words = vec![pen.value(big_mm(lower, width)), pen.quiet("lower edge")];
            vec![
                Row { inset: width.mm, y: fold, words: words(width, "hem fold"), now },
                Row { inset: lower, y: girth, words: lower_words, now: false },
            ]
        }
        PieceEnd::Return { depth } => {
            let text = if showing.hem_folded() { "folded back 90°" } else { "cut away" };
            vec![Row { inset: depth.mm, y: bottom, words: words(depth, text), now }]
        }
        PieceEnd::Lap { lap, goes, .. } => {
            let text = match (goes, showing.hem_folded()) {
                (Goes::Over, true) => "hem pried open",
                (Goes::Over, false) => "goes over",
                (Goes::Under, _) => "goes under",
            };
            vec![Row { inset: lap.mm, y: bottom, words: words(lap, text), now }]
        }
        PieceEnd::Gable { .. } | PieceEnd::Square => vec![],
    }
}

/// Where a lap notch begins, and how far up that is from the lower edge.
fn up(pen: &Pen, piece: &Piece, of_piece: &PieceEnd, end: &EndLine, showing: &Showing) -> Option<Mark> {
    if showing.hem_folded() || !matches!(of_piece, PieceEnd::Lap { goes: Goes::Under, .. }) {
        return None;
    }
    let [[from, _], _] = end.cuts().next()?;
    let girth = &piece.blank.girth;
    Some((from, vec![pen.number(big_mm(girth.mm - from, girth), showing.ends == Voice::Now)]))
}

/// Each bend line and the hem's fold with its distance from the datum edge.
fn marks(pen: &Pen, piece: &Piece, voice: Voice) -> Vec<Mark> {
    let bends = piece.bends.iter().map(|bend| (&bend.at, "bend"));
    bends
        .chain([(&piece.hem.at, "hem fold")])
        .map(|(at, name)| (at.mm, vec![pen.number(big(at), voice == Voice::Now), pen.quiet(name)]))
        .collect()
}

/// Rows `least` apart, each as near its wanted place as its neighbours allow; `wanted` ascends.
pub fn spread(wanted: &[f64], least: f64) -> Vec<f64> {
    // Rows that would touch are one block: its rows' wanted places, shifted as if it were a single row, averaged.
    let mut blocks: Vec<(f64, usize)> = Vec::new();
    for &place in wanted {
        let (mut place, mut rows) = (place, 1);
        while let Some(&(above, many)) = blocks.last() {
            if above + many as f64 * least <= place {
                break;
            }
            let shifted = place - many as f64 * least;
            place = (above * many as f64 + shifted * rows as f64) / (many + rows) as f64;
            rows += many;
            blocks.pop();
        }
        blocks.push((place, rows));
    }
    blocks.iter().flat_map(|&(first, rows)| (0..rows).map(move |row| first + row as f64 * least)).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn rows_that_would_touch_make_way_for_each_other() {
        assert_eq!(spread(&[0.0, 10.0], 5.0), [0.0, 10.0]);
        assert_eq!(spread(&[0.0, 1.0], 5.0), [-2.0, 3.0]);
        assert_eq!(spread(&[0.0, 1.0, 20.0], 5.0), [-2.0, 3.0, 20.0]);
        let rows = spread(&[0.0, 4.0, 8.0, 9.0], 5.0);
        assert!(rows.windows(2).all(|pair| pair[1] - pair[0] >= 5.0 - 1e-9));
    }
}
