//! Where a blank stands on the page: the scale, the break, the words' room.

use super::outline::{self, EndLine};
use super::showing::{Showing, Stage, Voice};
use super::tape;
use super::told::{self, Column, Points, Row, Up};
use crate::drawing::pen::{EDGE, PAST, Pen, TAIL, big};
use crate::order::plan::{Action, Goes, Hem, Piece, PieceEnd, Step};

/// A part of the blank drawn without a break: mm from the blank's left end, and the x of `from`.
#[derive(Debug, Clone, Copy)]
pub struct Stretch {
    pub from: f64,
    pub to: f64,
    pub at: f64,
    /// The left and right side is a break, not the blank's end.
    pub torn: [bool; 2],
}

/// What stands where. Pairs are the left end and the right.
pub struct View {
    pub ends: [EndLine; 2],
    /// How far in a neighbour will cover the end, where that bears on the step, in mm.
    pub covered: [f64; 2],
    pub rows: [Vec<Row>; 2],
    /// The right end's rows begin this many lower, where side by side they would run into the left's.
    stagger: usize,
    /// The rows' words stand under their lines: past them there is no room.
    pub words_under: bool,
    /// The length is told past the end of its tape: under the metal there is no room.
    pub length_past: bool,
    /// Across the end of a lap notch.
    pub ups: [Vec<Up>; 2],
    /// Bend lines and hem folds.
    pub columns: Vec<Column>,
    pub points: Option<Points>,
    /// The drawn piece's edges, in mm from the datum edge: the blank's, or the hems' folds.
    pub edges: [f64; 2],
    /// Units per mm.
    pub scale: f64,
    pub top: f64,
    pub stretches: Vec<Stretch>,
}

/// In ems: over the metal for the datum edge's name, and under it past all rows.
const ABOVE: f64 = 1.75;
const ABOVE_CLOSE: f64 = 1.3;
const BELOW: f64 = 0.5;
/// In ems: what a lap notch takes beside a table.
const BESIDE_TABLE: f64 = 6.2;
/// In ems: past the end, for the points' numbers.
const PAST_END: f64 = 1.4;
/// In ems: a drawing this low has no room for a length under the metal.
const LOW: f64 = 8.0;
/// In ems: under the metal where the end's name stands there.
const NAME: f64 = 2.75;
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
/// In ems: what is sheared off, as much as is drawn of it.
pub const SHEARED: f64 = 0.9;
/// In ems: between both sides of a break.
const BREAK: f64 = 1.2;

impl View {
    pub fn lay_out(pen: &Pen, piece: &Piece, step: Option<&Step>, showing: &Showing) -> Self {
        let edges = edges(piece, showing);
        let of_piece = [&piece.left, &piece.right];
        let mut ends = outline::ends(&piece.blank);
        for (end, of_piece) in ends.iter_mut().zip(of_piece) {
            if showing.stage < Stage::Cut {
                *end = EndLine::square(edges[1]);
            }
            if showing.hems_folded() {
                *end = end.between(edges[0], edges[1]);
            }
            if let (Stage::TabsFolded, Some(depth)) = (showing.stage, tab_depth(of_piece)) {
                *end = end.folded_back(depth);
            }
        }
        let covered = of_piece.map(|end| match end {
            PieceEnd::Lap { lap, goes: Goes::Under, .. } if showing.label => lap.mm,
            _ => 0.0,
        });
        let at_lap = step.is_some_and(|step| step.action == Action::NotchLap);
        // A notch at a lap is told as well by its two sizes, where its points' table would leave no room to see it.
        let points = Points::of(pen, piece, showing, step)
            .filter(|points| !at_lap || pen.width - points.width(pen) > BESIDE_TABLE * pen.em);
        // Marks tell all there is to tell of an end.
        let at = |side: usize| showing.shows_work_at(side) && points.is_none();
        let rows = [0, 1]
            .map(|side| if at(side) { told::rows(pen, piece, of_piece[side], &ends[side], showing) } else { vec![] });
        let ups = [0, 1]
            .map(|side| if at(side) { told::ups(pen, piece, of_piece[side], &ends[side], showing) } else { vec![] });
        let columns = told::columns(pen, piece, showing.lines);
        let (scale, top, stretches) = (0.0, 0.0, vec![]);
        let mut view = Self {
            ends,
            covered,
            rows,
            stagger: 0,
            words_under: false,
            length_past: showing.is_taped() && pen.height < LOW * pen.em,
            ups,
            columns,
            points,
            edges,
            scale,
            top,
            stretches,
        };
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
        let up = |side: usize| self.ups_width(pen, side).map_or(0.0, |width| width + UPRIGHT_ROOM * em);
        let mut margins = [em * 0.8 + up(0) + girth, em * 0.8 + up(1)];
        if showing.sheared {
            margins[1] += SHEARED * em;
        }
        if self.length_past {
            margins[1] += pen.row_width(&tape::words(pen, piece, showing)) + (tape::ON + PAST) * em;
        }
        let column = |outside: bool| {
            let columns = self.columns.iter().filter(|column| column.outside == outside);
            let widest =
                columns.flat_map(|column| &column.lines).map(|(_, words)| pen.row_width(words)).reduce(f64::max);
            widest.map_or(0.0, |widest| widest + (COUNTED + LEADER + 0.6) * em)
        };
        let table = self.points.as_ref().map_or(0.0, |points| points.width(pen) + 1.4 * em);
        let (column, outside) = (column(false).max(table), column(true));

        let length_row = match showing.length {
            _ if self.length_past => 0.0,
            Voice::Silent => 0.0,
            Voice::Quiet => FIRST_ROW + 1.4,
            Voice::Now => FIRST_ROW + 1.9,
        };
        let under = if self.points.is_some() { NAME } else { BELOW };
        let above = if self.length_past { ABOVE_CLOSE } else { ABOVE } * em;
        let below = (under + self.row_count() as f64 * self.row() + length_row) * em;
        let room_down = pen.height - above - below;
        self.scale = room_down / self.height();

        if let Some(side) = showing.end {
            let side = side as usize;
            // Points are told beside the metal: what is cut is to be seen as large as can be.
            let beyond = if self.points.is_some() { 1.25 } else { 1.5 };
            let least = (self.reach(side) * beyond).min(length);
            margins[1 - side] = margins[1 - side].max(column);
            // Numbers of points may stand past the end.
            let numbers = if self.points.is_some() { PAST_END * em } else { 0.0 };
            margins[side] = margins[side].max(outside).max(numbers);
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
        self.top = above + (room_down - self.height() * self.scale) / 2.0;
    }

    /// How far from its end a thing lies that must be seen.
    fn reach(&self, side: usize) -> f64 {
        let cut = self.ends[side].deepest(self.edges[0], self.edges[1]).max(self.height() / 2.0);
        let cut = cut.max(self.covered[side]);
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

    /// The widest words across that end.
    pub fn ups_width(&self, pen: &Pen, side: usize) -> Option<f64> {
        self.ups[side].iter().map(|up| pen.row_width(&up.words)).reduce(f64::max)
    }

    /// Of the drawn piece, in mm.
    fn height(&self) -> f64 {
        self.edges[1] - self.edges[0]
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
        self.y(self.edges[1]) + (FIRST_ROW + row as f64 * self.row()) * pen.em
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
        self.top + (mm - self.edges[0]) * self.scale
    }
}

/// The edges of the piece as far as it is folded, in mm from the datum edge.
fn edges(piece: &Piece, showing: &Showing) -> [f64; 2] {
    let folded = |hem: &Option<Hem>| hem.as_ref().filter(|_| showing.hems_folded()).map(|hem| hem.at.mm);
    [folded(&piece.datum_hem).unwrap_or(0.0), folded(&piece.hem).unwrap_or(piece.blank.girth.mm)]
}

/// How much longer a tab makes the blank.
pub fn tab_depth(end: &PieceEnd) -> Option<f64> {
    match end {
        PieceEnd::Return { depth } => Some(depth.mm),
        PieceEnd::Dam { height } => Some(height.mm),
        _ => None,
    }
}
