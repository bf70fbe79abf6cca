//! The flat blank, drawn for the hands: right way round, its lines counted from the datum edge, what is cut away hatched.
//!
//! A blank may be fifteen times as long as it is wide, so both ends are drawn to scale and the middle is broken out. A
//! step at one end draws that end alone, and numbers the points to mark. Once the hems are folded, the piece is seen from
//! its seen side, every leg laid out flat and the hems behind it.

mod marks;
mod outline;
mod showing;
mod told;
mod view;

use super::Theme;
use super::pen::{Dimension, EDGE, Pen, Words, WordsAt, big, big_mm};
use super::svg::{Paint, Weight};
use crate::order::Side;
use crate::order::plan::{Hem, Piece, PieceEnd, Step};
use showing::{Showing, Stage, Voice};
use view::{Stretch, UPRIGHT, View};

/// The blank of `piece` as `step` needs it; all of it without one. `width` and `height` in user units.
pub fn svg(piece: &Piece, step: Option<&Step>, width: f64, height: f64, theme: Theme) -> String {
    let showing = Showing::of(step);
    let pen = match step {
        Some(_) => Pen::at_arms_length(width, height, theme),
        None => Pen::in_the_hand(width, height, theme),
    };
    let view = View::lay_out(&pen, piece, step, &showing);
    let mut drawing = Drawing { pen, piece, showing, view };
    drawing.metal();
    drawing.lines();
    drawing.ends();
    drawing.girth();
    drawing.length();
    drawing.points();
    drawing.words_on_metal();
    drawing.pen.finish()
}

const LEFT: usize = 0;
const RIGHT: usize = 1;
const BOTH: [usize; 2] = [LEFT, RIGHT];
const NAMES: [&str; 2] = ["LEFT", "RIGHT"];

/// The label's width over its height.
const LABEL: f64 = 1.7;

struct Drawing<'a> {
    pen: Pen,
    piece: &'a Piece,
    showing: Showing,
    view: View,
}

impl Drawing<'_> {
    fn of_piece(&self, side: usize) -> &PieceEnd {
        [&self.piece.left, &self.piece.right][side]
    }

    /// The page's x of a point `inset` from an end of the blank.
    fn x(&self, stretch: &Stretch, side: usize, inset: f64) -> f64 {
        self.view.x(stretch, if side == LEFT { inset } else { self.piece.blank.length.mm - inset })
    }

    /// Where the metal begins at `y` on that side of a stretch: its end's cut line, or the break.
    fn edge(&self, stretch: &Stretch, side: usize, y: f64) -> f64 {
        if stretch.torn[side] {
            self.view.x(stretch, [stretch.from, stretch.to][side])
        } else {
            self.x(stretch, side, self.view.ends[side].inset(y))
        }
    }

    /// That side of a stretch from the datum edge down: its end's cut line, or the jagged line of a break.
    fn side(&self, stretch: &Stretch, side: usize) -> Vec<[f64; 2]> {
        let view = &self.view;
        if !stretch.torn[side] {
            return view.ends[side]
                .points()
                .iter()
                .map(|&[y, inset]| [self.x(stretch, side, inset), view.y(y)])
                .collect();
        }
        let (x, jag) = (self.edge(stretch, side, 0.0), self.pen.em * 0.45);
        let [top, bottom] = view.edges.map(|edge| view.y(edge));
        let middle = f64::midpoint(top, bottom);
        vec![
            [x, top],
            [x, middle - jag],
            [x + jag, middle - jag * 0.4],
            [x - jag, middle + jag * 0.4],
            [x, middle + jag],
            [x, bottom],
        ]
    }

    fn metal(&mut self) {
        let (theme, line) = (self.pen.theme, self.pen.line());
        for stretch in self.view.stretches.clone() {
            for side in BOTH {
                if !stretch.torn[side] && self.showing.stage == Stage::Cut {
                    self.waste(&stretch, side);
                }
            }
            let [left, right] = BOTH.map(|side| self.side(&stretch, side));
            let datum = [left[0], right[0]];
            let outline: Vec<[f64; 2]> = left.into_iter().chain(right.into_iter().rev()).collect();
            self.pen.svg.polygon(&outline, Paint::fill(theme.metal).outlined(theme.ink, line));
            self.pen.svg.line(datum[0], datum[1], Paint::stroke(theme.ink, line * 2.6));
        }

        // Over the left end, or leaning on the right one where that stands alone.
        let (side, inward) = if self.showing.end == Some(Side::Right) { (RIGHT, -1.0) } else { (LEFT, 1.0) };
        let Some(stretch) = self.view.at_end(side) else { return };
        let datum = self.view.edges[0];
        let [from, to] = BOTH.map(|side| self.edge(&stretch, side, datum));
        let mut words = [self.pen.quiet(format!("datum edge ({})", self.piece.trim.datum_side()))];
        let beside = !self.view.columns.is_empty() || self.view.points.is_some();
        if self.pen.row_width(&words) > to - from && beside {
            // Beside it, distances begin.
            words = [self.pen.quiet("datum edge")];
        }
        // Clear of a table's head, however wide.
        let table = self.view.points.as_ref().map_or(0.0, |points| points.width(&self.pen) + 1.2 * self.pen.em);
        if self.pen.row_width(&words) + table + EDGE * self.pen.em > self.pen.width {
            words = [self.pen.quiet("datum")];
        }
        let half = self.pen.row_width(&words) / 2.0;
        let mut x = [from, to][side] + inward * half;
        if table > 0.0 {
            let room = self.pen.width - table;
            x = if side == LEFT { x.min(room - half) } else { x.max(table + half) };
        }
        self.pen.place([x, self.view.y(datum)], [0.0, -1.0], self.pen.em * 0.45, &words);
    }

    /// What is cut away at an end, inside the blank's square corners.
    fn waste(&mut self, stretch: &Stretch, side: usize) {
        let end = self.x(stretch, side, 0.0);
        let mut polygon = self.side(stretch, side);
        let [top, bottom] = self.view.edges.map(|edge| self.view.y(edge));
        polygon.extend([[end, bottom], [end, top]]);
        let (theme, line) = (self.pen.theme, self.pen.line());
        self.pen.svg.polygon(&polygon, Paint::fill(theme.waste).outlined(theme.faint, line * 0.7).dashed());
        self.pen.hatch(&polygon, 0.4, theme.faint, line * 0.5);
    }

    /// Bend lines and hem folds, dashed, and their distances from the datum edge.
    fn lines(&mut self) {
        if self.showing.stage < Stage::Marked {
            return;
        }
        let theme = self.pen.theme;
        let (colour, width) = match self.showing.lines {
            Voice::Now => (theme.now, self.pen.line() * 2.0),
            Voice::Quiet => (theme.ink, self.pen.line()),
            Voice::Silent => (theme.faint, self.pen.line()),
        };
        let bends = self.piece.bends.iter().map(|bend| bend.at.mm);
        let hems = [&self.piece.datum_hem, &self.piece.hem].into_iter().flatten().map(|hem| hem.at.mm);
        let inside = |y: &f64| *y > self.view.edges[0] && *y < self.view.edges[1];
        let lines: Vec<f64> = bends.chain(hems).filter(inside).collect();
        for y in lines {
            for stretch in self.view.stretches.clone() {
                let [left, right] = BOTH.map(|side| [self.edge(&stretch, side, y), self.view.y(y)]);
                self.pen.svg.line(left, right, Paint::stroke(colour, width).dashed());
            }
        }
        for column in std::mem::take(&mut self.view.columns) {
            self.distances(&column);
        }
    }

    /// What is done at the ends, with its dimensions.
    fn ends(&mut self) {
        let now = self.showing.ends == Voice::Now;
        for side in BOTH {
            let Some(stretch) = self.view.at_end(side) else { continue };
            if now && self.showing.end.is_some_and(|end| end as usize == side) {
                self.work(&stretch, side);
            }
            let (x, bottom) = (self.x(&stretch, side, 0.0), self.view.y(self.view.edges[1]));
            for up in self.view.ups[side].clone() {
                let outward = [-1.0, 1.0][side];
                self.pen.dimension(&Dimension {
                    from: [x, self.view.y(up.from)],
                    to: [x, self.view.y(up.to)],
                    away: [outward, 0.0],
                    level: outward * x + UPRIGHT * self.pen.em,
                    words: &up.words,
                    words_at: WordsAt::Beyond,
                    now,
                });
            }
            for (index, row) in self.view.rows[side].clone().iter().enumerate() {
                self.pen.dimension(&Dimension {
                    from: [x, bottom],
                    to: [self.x(&stretch, side, row.inset), self.view.y(row.y)],
                    away: [0.0, 1.0],
                    level: self.view.row_level(&self.pen, side, index),
                    words: &row.words,
                    words_at: if self.view.words_under { WordsAt::Beyond } else { WordsAt::PastTo },
                    now: row.now,
                });
            }
        }
    }

    /// Picks out what is done at an end: the cut, the hem that is pried open, the tab that is folded.
    fn work(&mut self, stretch: &Stretch, side: usize) {
        let (theme, line) = (self.pen.theme, self.pen.line());
        if !self.showing.hems_folded() {
            let cuts: Vec<_> = self.view.ends[side].cuts().collect();
            for cut in cuts {
                let [from, to] = cut.map(|[y, inset]| [self.x(stretch, side, inset), self.view.y(y)]);
                self.pen.svg.line(from, to, Paint::stroke(theme.now, line * 3.0));
            }
            return;
        }
        let (inset, across) = match self.of_piece(side) {
            PieceEnd::Lap { lap, .. } => {
                let hem = |hem: &Option<Hem>, inward: f64| {
                    hem.as_ref().map(|hem| [hem.at.mm, hem.at.mm + inward * hem.width.mm])
                };
                (lap.mm, [hem(&self.piece.datum_hem, 1.0), hem(&self.piece.hem, -1.0)])
            }
            of_piece => {
                let Some(depth) = view::tab_depth(of_piece) else { return };
                (depth, [self.view.ends[side].tab(depth), None])
            }
        };
        let [outer, inner] = [0.0, inset].map(|inset| self.x(stretch, side, inset));
        for across in across.into_iter().flatten() {
            let [top, bottom] = across.map(|y| self.view.y(y));
            let area = [[outer, top], [inner, top], [inner, bottom], [outer, bottom]];
            self.pen.svg.polygon(&area, Paint::fill(theme.paper).outlined(theme.now, line * 2.4));
            self.pen.hatch(&area, 0.45, theme.now, line * 1.2);
        }
    }

    fn girth(&mut self) {
        let Some(left) = self.view.at_end(LEFT).filter(|_| self.showing.girth != Voice::Silent) else { return };
        let now = self.showing.girth == Voice::Now;
        let words = [self.pen.number(big(&self.piece.blank.girth), now)];
        let x = self.x(&left, LEFT, 0.0);
        let past_up = self.view.ups_width(&self.pen, LEFT).map_or(0.0, |width| width + 1.4 * self.pen.em);
        self.pen.dimension(&Dimension {
            from: [x, self.view.y(self.view.edges[0])],
            to: [x, self.view.y(self.view.edges[1])],
            away: [-1.0, 0.0],
            level: past_up + UPRIGHT * self.pen.em - x,
            words: &words,
            words_at: WordsAt::Beyond,
            now,
        });
    }

    /// The blank's length or, once the tabs are folded, the finished piece's.
    fn length(&mut self) {
        let ends = (self.view.at_end(LEFT), self.view.at_end(RIGHT));
        let (Some(left), Some(right), true) = (ends.0, ends.1, self.showing.length != Voice::Silent) else { return };
        let now = self.showing.length == Voice::Now;
        let length =
            if self.showing.stage == Stage::TabsFolded { &self.piece.length } else { &self.piece.blank.length };
        // Where a mitre ends a blank is no more exact than it can be marked.
        let mitred = |end: &PieceEnd| matches!(end, PieceEnd::Corner { .. } | PieceEnd::Transition { .. });
        let text = if self.showing.stage != Stage::TabsFolded && (mitred(&self.piece.left) || mitred(&self.piece.right))
        {
            big_mm(length.mm, length)
        } else {
            big(length)
        };
        let words = [self.pen.number(text, now)];
        let from = self.furthest(&left, LEFT);
        let to = self.furthest(&right, RIGHT);
        self.pen.dimension(&Dimension {
            from,
            to,
            away: [0.0, 1.0],
            level: self.view.length_level(&self.pen),
            words: &words,
            words_at: WordsAt::Beyond,
            now,
        });
    }

    /// The lowest point of an end's metal that is furthest out: above a gable's cut, for one.
    fn furthest(&self, stretch: &Stretch, side: usize) -> [f64; 2] {
        let end = &self.view.ends[side];
        let inset = end.least();
        let y = end.points().iter().filter(|point| point[1] <= inset).map(|point| point[0]).fold(0.0, f64::max);
        [self.x(stretch, side, inset), self.view.y(y)]
    }

    /// The end's name, written on the metal, and the label where it will be stuck.
    fn words_on_metal(&mut self) {
        let (side, inward) = if self.showing.end == Some(Side::Right) { (RIGHT, -1.0) } else { (LEFT, 1.0) };
        let Some(stretch) = self.view.at_end(side) else { return };
        if self.view.points.is_some() {
            // The metal is full of marks: under it.
            let words = [Words { ems: 1.2, weight: Weight::Bold, ..self.pen.quiet(NAMES[side]) }];
            let at = [self.x(&stretch, side, 0.0), self.pen.height - self.pen.em * 1.02];
            self.pen.place(at, [inward, 0.0], 0.0, &words);
            return;
        }
        let (band, inset) = self.free_band(side);
        let y = self.view.y(f64::midpoint(band[0], band[1]));
        let space = self.pen.em * 0.7;
        let mut x = self.x(&stretch, side, inset) + inward * space;
        let marking = self.showing.lines == Voice::Now;
        let colour = if marking { self.pen.theme.now } else { self.pen.theme.ink };
        let words = [Words { ems: 1.2, weight: Weight::Bold, colour, ..self.pen.quiet(NAMES[side]) }];
        if self.showing.label {
            let room = self.edge(&stretch, RIGHT, band[0]) - x - 3.0 * space - self.pen.row_width(&words);
            let height = ((band[1] - band[0]) * self.view.scale * 0.6).min(room / LABEL);
            x = self.label([x, y], height) + space;
        }
        if marking {
            // Lines closer than the word is high stay off it.
            let width = self.pen.row_width(&words) + 0.3 * self.pen.em;
            let left = x.min(x + inward * width) - 0.15 * self.pen.em * inward;
            self.pen.svg.rect(
                left,
                y - 0.55 * self.pen.em,
                width,
                1.1 * self.pen.em,
                Paint::fill(self.pen.theme.metal),
            );
        }
        self.pen.place([x, y], [inward, 0.0], 0.0, &words);
    }

    /// The leg with most room for words at an end, from and to in mm, and how far in they must stay: one whose middle is
    /// not cut, if there is.
    fn free_band(&self, side: usize) -> ([f64; 2], f64) {
        let hems = [&self.piece.datum_hem, &self.piece.hem].into_iter().flatten().map(|hem| hem.at.mm);
        let bends = self.piece.bends.iter().map(|bend| bend.at.mm);
        let [top, bottom] = self.view.edges;
        let mut lines: Vec<f64> =
            [top, bottom].into_iter().chain(hems).chain(bends).filter(|y| (top..=bottom).contains(y)).collect();
        lines.sort_by(f64::total_cmp);
        let tab = view::tab_depth(self.of_piece(side)).unwrap_or(0.0);
        let bands = lines.windows(2).map(|pair| {
            let middle = f64::midpoint(pair[0], pair[1]);
            let half =
                ((pair[1] - pair[0]) * 0.3).max(self.pen.em * 0.5 / self.view.scale).min((pair[1] - pair[0]) / 2.0);
            let inset = self.view.ends[side].deepest(middle - half, middle + half).max(tab);
            ([pair[0], pair[1]], inset)
        });
        let preferred = |(band, inset): &([f64; 2], f64)| (*inset <= tab, band[1] - band[0]);
        bands
            .max_by(|a, b| {
                let ((a_free, a_room), (b_free, b_room)) = (preferred(a), preferred(b));
                a_free.cmp(&b_free).then(a_room.total_cmp(&b_room))
            })
            .unwrap_or(([top, bottom], 0.0))
    }

    /// The label, its left edge's middle at a point of the page; gives its right edge.
    fn label(&mut self, [left, middle]: [f64; 2], height: f64) -> f64 {
        let (theme, line) = (self.pen.theme, self.pen.line());
        let (width, top) = (height * LABEL, middle - height / 2.0);
        self.pen.svg.rect(left, top, width, height, Paint::fill(theme.paper).outlined(theme.now, line * 2.4));
        // Enough of a code to know it by, its three corners, and of the lines beside it.
        let (pad, code) = (height * 0.14, height * 0.72);
        let corner = code * 0.34;
        for [x, y] in [[0.0, 0.0], [code - corner, 0.0], [0.0, code - corner]] {
            let [x, y] = [left + pad + x, top + pad + y];
            let ring = corner * 0.25;
            self.pen.svg.rect(x, y, corner, corner, Paint::fill(theme.now));
            self.pen.svg.rect(x + ring, y + ring, corner - 2.0 * ring, corner - 2.0 * ring, Paint::fill(theme.paper));
        }
        let (text, room) = (left + pad * 2.0 + code, width - pad * 3.0 - code);
        for (row, part) in [1.0, 0.75, 0.9].into_iter().enumerate() {
            let y = top + pad + row as f64 * code * 0.38;
            self.pen.svg.rect(text, y, room * part, code * 0.2, Paint::fill(theme.now));
        }
        left + width
    }
}
