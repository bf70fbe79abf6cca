//! What there is to tell of a blank, before it is known where it stands: rows along an edge, distances across, marks.

use super::outline::EndLine;
use super::showing::{Showing, Voice};
use crate::drawing::pen::{Pen, Words, big, big_mm};
use crate::drawing::svg::Weight;
use crate::order::Side;
use crate::order::plan::{Goes, Hem, Mark, Measure, Piece, PieceEnd, Step};

/// A dimension along the lower edge, from the blank's end inward to a point of the cut, in mm.
#[derive(Debug, Clone)]
pub struct Row {
    pub inset: f64,
    pub y: f64,
    pub words: Vec<Words>,
    pub now: bool,
}

/// A dimension across the end of a blank, in mm from the datum edge.
#[derive(Debug, Clone)]
pub struct Up {
    pub from: f64,
    pub to: f64,
    pub words: [Words; 1],
}

/// Lines across the blank, counted from the datum edge along one line: each one's distance in mm, and its words.
#[derive(Debug, Clone)]
pub struct Column {
    /// Beside the end that is drawn, and not where the blank is broken off.
    pub outside: bool,
    pub lines: Vec<(f64, Vec<Words>)>,
}

/// The points to mark at an end, in order.
#[derive(Debug, Clone)]
pub struct Points {
    /// From the blank's left end and from the datum edge, in mm.
    pub at: Vec<[f64; 2]>,
    /// The head, then a row for each: its number, how far in from the end, how far down from the datum edge.
    pub cells: Vec<[Words; 3]>,
    /// Size of the words, in ems.
    pub ems: f64,
}

/// From row to row of a table or a column, in ems of its words.
pub const ROW: f64 = 1.15;

/// Between two columns of a table, in ems of its words.
const BETWEEN: f64 = 0.65;

/// A part of a millimetre that no tape tells.
const SAME: f64 = 1e-3;

impl Points {
    /// The points that `step` marks at an end.
    pub fn of(pen: &Pen, piece: &Piece, showing: &Showing, step: Option<&Step>) -> Option<Self> {
        let step = step.filter(|step| !step.marks.is_empty() && showing.ends == Voice::Now)?;
        let pitch = (pen.height / pen.em - 0.6) / (step.marks.len() + 1) as f64;
        let ems = (pitch / ROW).min(1.0);
        let quiet = |text: &str| Words { ems, ..pen.quiet(text) };
        // The number of the step keeps its own words, which may be finer than the bench reads.
        let said = |mm: f64| {
            let number = step.number.as_ref().filter(|number| (number.mm - mm).abs() < SAME);
            let text = number.map_or_else(|| big_mm(mm, &piece.blank.girth), big);
            Words { weight: Weight::Bold, colour: pen.theme.now, ..quiet(&text) }
        };
        let inset = |x: f64| if showing.end == Some(Side::Right) { piece.blank.length.mm - x } else { x };
        let row = |(index, mark): (usize, &Mark)| {
            let number = Words { weight: Weight::Bold, ..quiet(&(index + 1).to_string()) };
            [number, said(inset(mark.x.mm)), said(mark.y.mm)]
        };
        let head = ["", "along", "down"].map(quiet);
        Some(Self {
            at: step.marks.iter().map(|mark| [mark.x.mm, mark.y.mm]).collect(),
            cells: std::iter::once(head).chain(step.marks.iter().enumerate().map(row)).collect(),
            ems,
        })
    }

    /// The widths of the table's columns, with the space before each.
    pub fn columns(&self, pen: &Pen) -> [f64; 3] {
        let width = |row: &[Words; 3], column: usize| pen.row_width(&row[column..=column]);
        let [numbers, along, down] = [0, 1, 2].map(|column| {
            let widest = self.cells.iter().skip(1).map(|row| width(row, column)).fold(0.0, f64::max);
            widest + if column == 0 { 0.0 } else { BETWEEN * self.ems * pen.em }
        });
        // Over the points' numbers there is nothing: the first head may begin there.
        let head = |column: usize| self.cells.first().map_or(0.0, |row| width(row, column));
        [numbers, along.max(head(1) - numbers), down.max(head(2) + BETWEEN * self.ems * pen.em)]
    }

    pub fn width(&self, pen: &Pen) -> f64 {
        self.columns(pen).iter().sum()
    }
}

/// What is measured along the lower edge at one end, the longest first.
pub fn rows(pen: &Pen, piece: &Piece, of_piece: &PieceEnd, end: &EndLine, showing: &Showing) -> Vec<Row> {
    let now = showing.ends == Voice::Now;
    let girth = piece.blank.girth.mm;
    let fold = piece.hem.as_ref().map(|hem| hem.at.mm);
    let bottom = fold.filter(|_| showing.hems_folded()).unwrap_or(girth);
    let words = |measure: &Measure, text: &str| vec![pen.number(big(measure), now), pen.quiet(text)];
    let row = |measure: &Measure, text| vec![Row { inset: measure.mm, y: bottom, words: words(measure, text), now }];
    match of_piece {
        PieceEnd::Gable { width } if !showing.hems_folded() => {
            let Some(fold) = fold else { return row(width, "lower edge") };
            let lower = end.inset(girth);
            let lower_words = vec![pen.value(big_mm(lower, width)), pen.quiet("lower edge")];
            vec![
                Row { inset: width.mm, y: fold, words: words(width, "hem fold"), now },
                Row { inset: lower, y: girth, words: lower_words, now: false },
            ]
        }
        PieceEnd::Return { depth } => row(depth, if showing.hems_folded() { "folded back 90°" } else { "cut away" }),
        PieceEnd::Dam { height } => row(height, if showing.hems_folded() { "turned up 90°" } else { "cut away" }),
        PieceEnd::Corner { .. } | PieceEnd::Transition { .. } if !showing.hems_folded() => {
            let furthest = end.points().iter().max_by(|a, b| a[1].total_cmp(&b[1]));
            let row = |&[y, inset]: &[f64; 2]| {
                let words = vec![pen.number(big_mm(inset, &piece.blank.girth), now), pen.quiet("mitre")];
                Row { inset, y, words, now }
            };
            furthest.map(row).into_iter().collect()
        }
        PieceEnd::Lap { lap, goes, .. } => row(
            lap,
            match (goes, showing.hems_folded()) {
                (Goes::Over, true) => "hem pried open",
                (Goes::Over, false) => "goes over",
                (Goes::Under, _) => "goes under",
            },
        ),
        PieceEnd::Gable { .. } | PieceEnd::Corner { .. } | PieceEnd::Transition { .. } | PieceEnd::Square => vec![],
    }
}

/// Where a lap notch ends at the datum edge and begins at the lower one, and how far those are from the edges.
pub fn ups(pen: &Pen, piece: &Piece, of_piece: &PieceEnd, end: &EndLine, showing: &Showing) -> Vec<Up> {
    if showing.hems_folded() || !matches!(of_piece, PieceEnd::Lap { goes: Goes::Under, .. }) {
        return vec![];
    }
    let girth = &piece.blank.girth;
    let up =
        |from: f64, to: f64| Up { from, to, words: [pen.number(big_mm(to - from, girth), showing.ends == Voice::Now)] };
    // The end is cut from the datum edge to the first point left whole, and from the last one on.
    let whole = || end.points().iter().filter(|point| point[1] <= 0.0).map(|point| point[0]);
    let (Some(first), Some(last)) = (whole().reduce(f64::min), whole().reduce(f64::max)) else { return vec![] };
    let datum = (first > 0.0).then(|| up(0.0, first));
    let lower = (last < girth.mm).then(|| up(last, girth.mm));
    datum.into_iter().chain(lower).collect()
}

/// Each bend line and hem's fold with its distance from the datum edge: in one column as large as there is room for, or in
/// two of numbers alone.
pub fn columns(pen: &Pen, piece: &Piece, voice: Voice) -> Vec<Column> {
    let hem = |hem: &Option<Hem>| hem.as_ref().map(|hem| (hem.at.clone(), "hem fold"));
    let bends = piece.bends.iter().map(|bend| (bend.at.clone(), "bend"));
    let mut lines: Vec<(Measure, &str)> =
        hem(&piece.datum_hem).into_iter().chain(bends).chain(hem(&piece.hem)).collect();
    if voice == Voice::Silent || lines.is_empty() {
        return vec![];
    }
    lines.sort_by(|a, b| a.0.mm.total_cmp(&b.0.mm));
    let now = voice == Voice::Now;
    // Of a whole blank, the length is told below.
    let other = if now { 0.9 } else { 3.4 };
    let rows = |ems: f64| ((pen.height / pen.em - other) / (ems * ROW)).floor() as usize;
    let number = |at: &Measure, ems: f64| Words { ems, ..pen.number(big(at), now) };
    let full = pen.number("", now).ems;
    let column = |outside, lines: &[(Measure, &str)], ems, named| {
        let words = |(at, name): &(Measure, &str)| {
            let name = if named { vec![pen.quiet(*name)] } else { vec![] };
            (at.mm, [vec![number(at, ems)], name].concat())
        };
        Column { outside, lines: lines.iter().map(words).collect() }
    };
    match lines.len() {
        count if count <= rows(full) => vec![column(false, &lines, full, true)],
        count if count <= rows(SMALLER) => vec![column(false, &lines, SMALLER, true)],
        _ => {
            // Every other line, so that both columns stand beside what they tell.
            let every_other = |start: usize| lines.iter().skip(start).step_by(2).cloned().collect::<Vec<_>>();
            vec![column(true, &every_other(0), SMALLER, false), column(false, &every_other(1), SMALLER, false)]
        }
    }
}

/// Numbers of many lines, in ems.
const SMALLER: f64 = 1.0;

/// Rows `least` apart, each as near its wanted place as its neighbours allow and between two bounds; `wanted` ascends.
pub fn spread(wanted: &[f64], least: f64, [from, to]: [f64; 2]) -> Vec<f64> {
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
    let free = blocks.iter().flat_map(|&(first, rows)| (0..rows).map(move |row| first + row as f64 * least));
    let count = wanted.len();
    let inside =
        |(row, place): (usize, f64)| place.min(to - (count - 1 - row) as f64 * least).max(from + row as f64 * least);
    free.enumerate().map(inside).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn rows_that_would_touch_make_way_for_each_other() {
        let spread = |wanted: &[f64]| spread(wanted, 5.0, [-3.0, 24.0]);
        assert_eq!(spread(&[0.0, 10.0]), [0.0, 10.0]);
        assert_eq!(spread(&[0.0, 1.0]), [-2.0, 3.0]);
        assert_eq!(spread(&[0.0, 1.0, 20.0]), [-2.0, 3.0, 20.0]);
        assert_eq!(spread(&[0.0, 1.0, 2.0, 30.0]), [-3.0, 2.0, 7.0, 24.0]);
        let rows = spread(&[0.0, 4.0, 8.0, 9.0]);
        assert!(rows.windows(2).all(|pair| pair[1] - pair[0] >= 5.0 - 1e-9));
    }
}
