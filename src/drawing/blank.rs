//! The flat blank, drawn for the hands: right way round, its lines counted from the datum edge, what is cut away hatched.
//!
//! A blank may be fifteen times as long as it is wide, so both ends are drawn to scale and the middle is broken out. A
//! step at one end draws that end alone, and numbers the points to mark. Once the hems are folded, the piece is seen from
//! its seen side, every leg laid out flat and the hems behind it.

mod marks;
mod outline;
mod showing;
mod tape;
mod told;
mod view;
mod written;

use super::Look;
use super::pen::{Dimension, EDGE, Pen, Words, WordsAt, big};
use super::svg::Paint;
use crate::order::Side;
use crate::order::plan::{Hem, Piece, PieceEnd, Step};
use showing::{Showing, Stage, Voice};
use view::{Stretch, UPRIGHT, View};

/// The blank of `piece` as `step` needs it; all of it without one. `width` and `height` in user units.
pub fn svg(piece: &Piece, step: Option<&Step>, width: f64, height: f64, look: Look) -> String {
    let mut drawing = Drawing::of(piece, step, width, height, look);
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

/// Between the datum edge and its name, in ems.
const NAME_GAP: f64 = 0.45;

struct Drawing<'a> {
    pen: Pen,
    piece: &'a Piece,
    showing: Showing,
    view: View,
}

impl<'a> Drawing<'a> {
    /// Laid out, with nothing drawn yet.
    fn of(piece: &'a Piece, step: Option<&Step>, width: f64, height: f64, look: Look) -> Self {
        let showing = Showing::of(step);
        let pen = match step {
            Some(_) => Pen::at_arms_length([width, height], showing.least_ems(), look),
            None => Pen::in_the_hand(width, height, look),
        };
        let view = View::lay_out(&pen, piece, step, &showing);
        Self { pen, piece, showing, view }
    }
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

        if let Some((name, x, y)) = self.datum_name() {
            self.pen.place([x, y], [0.0, -1.0], self.pen.em * NAME_GAP, &name);
        }
    }

    /// What the datum edge is called, and where: its name's middle, and the edge. Over the left end, or leaning on the right
    /// one where that stands alone.
    fn datum_name(&self) -> Option<([Words; 1], f64, f64)> {
        let (side, inward) = if self.showing.end == Some(Side::Right) { (RIGHT, -1.0) } else { (LEFT, 1.0) };
        let stretch = self.view.at_end(side)?;
        let datum = self.view.edges[0];
        let [from, to] = BOTH.map(|side| self.edge(&stretch, side, datum));
        let mut words = [self.pen.quiet(format!("datum edge ({})", self.piece.trim.datum_side()))];
        let beside = !self.view.columns.is_empty() || self.view.points.is_some() || !self.view.ups[side].is_empty();
        // Beside the metal a taped length is told.
        let past = self.view.at_end(RIGHT).filter(|_| self.view.length_past);
        let to_edge = past.map_or(to, |right| self.edge(&right, RIGHT, datum));
        if self.pen.row_width(&words) > to_edge - from && (beside || past.is_some()) {
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
        Some((words, x, self.view.y(datum)))
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
}
