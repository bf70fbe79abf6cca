//! The marks of a blank drawn: lines counted from the datum edge, and the points to cut by.

use super::showing::Voice;
use super::told::{self, Column, spread};
use super::view::{COUNTED, LEADER};
use super::{Drawing, LEFT, NAME_GAP, RIGHT};
use crate::drawing::pen::{EDGE, Words};
use crate::drawing::spots::{Spots, pairs};
use crate::drawing::svg::Paint;
use crate::order::Side;
use crate::trade::plane::{along, length, less};

impl Drawing<'_> {
    /// The distances, all counted along one line from its origin on the datum edge.
    pub(super) fn distances(&mut self, column: &Column) {
        let Some(stretch) = self.view.stretches.first().copied() else { return };
        let outer = if self.showing.end == Some(Side::Right) { RIGHT } else { LEFT };
        let side = if column.outside { outer } else { 1 - outer };
        let toward = [-1.0, 1.0][side];
        let em = self.pen.em;
        let (colour, width) = self.pen.stroke(self.showing.lines == Voice::Now);
        let thin = Paint::stroke(self.pen.theme.faint, self.pen.line() * 0.7);

        let metal = self.edge(&stretch, side, 0.0);
        let x = metal + toward * COUNTED * em;
        let origin = self.view.y(0.0);
        let ys: Vec<f64> = column.lines.iter().map(|(y, _)| self.view.y(*y)).collect();
        let last = ys.last().copied().unwrap_or(origin);
        self.pen.svg.line([x, origin], [x, last - em * 0.3], Paint::stroke(colour, width));
        self.pen.svg.line([metal, origin], [x, origin], thin);
        self.pen.svg.circle([x, origin], em * 0.2, Paint::fill(colour));

        let tallest = column.lines.iter().flat_map(|(_, words)| words).map(|words| words.ems).fold(0.0, f64::max) * em;
        let edge = EDGE * em + tallest * 0.6;
        // Where the length is told, and all along the edge, that is right under the metal.
        let whole = self.showing.length != Voice::Silent;
        let lowest = if whole { self.view.y(self.view.edges[1]) - em * 0.25 } else { self.pen.height - edge };
        let bounds = [edge, lowest];
        let levels = spread(&ys, tallest * told::ROW, bounds);
        for ((y, level), (_, words)) in ys.into_iter().zip(levels).zip(&column.lines) {
            self.pen.svg.polyline(&[[metal, y], [x, y], [x + toward * (LEADER - 0.2) * em, level]], thin);
            // An arrow's head is longer than from the origin to a narrow hem's fold.
            if y - origin > em * 0.6 {
                self.pen.arrow([x, y], [0.0, 1.0], colour);
            } else {
                self.pen.svg.circle([x, y], em * 0.12, Paint::fill(colour));
            }
            self.pen.place([x, level], [toward, 0.0], LEADER * em, words);
        }
    }

    /// The points to mark, numbered where they lie and told in a table.
    pub(super) fn points(&mut self) {
        let Some(points) = self.view.points.clone() else { return };
        let outer = if self.showing.end == Some(Side::Right) { RIGHT } else { LEFT };
        let Some(stretch) = self.view.at_end(outer) else { return };
        let (em, theme) = (self.pen.em * points.ems, self.pen.theme);

        let cut = self.side(&stretch, outer);
        let table = points.width(&self.pen) + self.pen.em;
        let [left, right] = if outer == LEFT { [0.0, self.pen.width - table] } else { [table, self.pen.width] };
        // Over the end's name.
        let top = self.view.y(self.view.edges[0]) - self.pen.em;
        let inside = [left + self.pen.em * 0.2, top, right - self.pen.em * 0.2, self.pen.height - self.pen.em * 1.45];
        let mut spots = Spots::new(pairs(&cut).collect(), inside);
        if let Some((name, x, y)) = self.datum_name() {
            let half = [self.pen.row_width(&name) / 2.0, self.pen.em * 0.55];
            spots.take(&[[x, y - self.pen.em * NAME_GAP - half[1] + self.pen.em * 0.13]], half, 0.0);
        }
        let places: Vec<[f64; 2]> =
            points.at.iter().map(|&[x, y]| [self.view.x(&stretch, x), self.view.y(y)]).collect();
        for &at in &places {
            self.pen.svg.circle(at, em * 0.16, Paint::fill(theme.now));
            spots.block([at, at]);
        }
        for (&at, [number, ..]) in places.iter().zip(points.cells.iter().skip(1)) {
            // Inward first, where the metal is.
            let inward = [0.0, std::f64::consts::PI][outer];
            let around = |out: f64| {
                [0.0, -0.8, 0.8, -0.4, 0.4, -1.2, 1.2, -1.5, 1.5, 3.1, 2.3, -2.3, 2.7, -2.7].map(|lean: f64| {
                    let (sin, cos) = (inward + lean).sin_cos();
                    along(at, [cos, sin], out * em)
                })
            };
            // No point is nearer to a number than its own.
            let own =
                |spot: &[f64; 2]| places.iter().all(|&other| length(less(*spot, other)) >= length(less(*spot, at)));
            let out = [0.8, 0.95, 1.1, 1.3, 1.6, 1.9, 2.3, 2.7, 3.1, 3.6];
            let candidates: Vec<[f64; 2]> = out.into_iter().flat_map(around).filter(own).collect();
            let words = [Words { colour: theme.now, ..number.clone() }];
            let half = (self.pen.row_width(&words) / 2.0 + em * 0.16).max(em * 0.48);
            let Some(spot) = spots.take_led(at, &candidates, [half, half], em * 0.16) else { continue };
            let away = length(less(spot, at));
            if away > half + em * 0.3 {
                self.pen.svg.line(at, spot, Paint::stroke(theme.now, self.pen.line()));
                spots.block([at, spot]);
            }
            // On paper of its own: no line runs through it.
            self.pen.svg.circle(spot, half, Paint::fill(theme.paper).outlined(theme.now, self.pen.line() * 0.7));
            self.pen.place(spot, [0.0, 0.0], 0.0, &words);
        }

        let widths = points.columns(&self.pen);
        let rows = points.cells.len() as f64;
        let pitch = em * ((self.pen.height / em - 0.6) / rows).clamp(told::ROW, 1.5);
        let left = if outer == LEFT { right + self.pen.em * 0.5 } else { self.pen.em * 0.5 };
        let top = (self.pen.height - pitch * (rows - 1.0)) / 2.0;
        for (row, cells) in points.cells.iter().enumerate() {
            let mut x = left;
            for (words, width) in cells.iter().zip(widths) {
                x += width;
                self.pen.set_up_to([x, top + row as f64 * pitch], words);
            }
        }
    }
}
