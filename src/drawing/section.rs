//! The cross-section, at its true angles: at each fold as it lies in the brake, and finished as it stands on the building.
//!
//! Widths and angles are true; the sheet is drawn thick enough to see.

pub(super) mod bent;
mod finished;
pub(super) mod fold;
mod legs;

use super::Look;
use super::pen::Pen;
use super::svg::Paint;
use crate::order::plan::{Piece, Step};
use crate::trade::plane::{along, length, less};
use crate::trade::shape::{Course, Sheet, faces};

/// The section of `piece` at `step`, a bend or a hem; finished without one. `width` and `height` in user units.
pub fn svg(piece: &Piece, step: Option<&Step>, width: f64, height: f64, look: Look) -> String {
    if let Some(making) = step.and_then(|step| fold::Making::of(piece, step)) {
        let mut pen = Pen::at_arms_length([width, height], LEAST_EMS, look);
        fold::draw(&mut pen, &making);
        return pen.finish();
    }
    let mut pen = Pen::in_the_hand(width, height, look);
    finished::draw(&mut pen, piece);
    pen.finish()
}

/// From mm to the page.
struct Page {
    origin: [f64; 2],
    scale: f64,
    /// -1; upside down, 1.
    up: f64,
}

/// Room kept free around the metal, in ems.
struct Margins {
    top: f64,
    right: f64,
    bottom: f64,
    left: f64,
}

/// What a fold's drawing takes at least: it has few words, and knows how to go without some of them.
const LEAST_EMS: [f64; 2] = [11.5, 6.0];

/// What is kept free on a side where nothing is told, in ems.
const BESIDE: f64 = 0.7;

/// A flat strip is no height at all.
const LEAST: f64 = 1e-3;

/// How thick the sheet is drawn at least, in ems.
const SHEET: f64 = 0.28;

impl Page {
    /// As large as the margins allow, in the middle of what they leave.
    fn fit(pen: &Pen, points: &[[f64; 2]], upright: bool, margins: &Margins) -> Self {
        let up = if upright { -1.0 } else { 1.0 };
        let points = || points.iter().map(|&[x, y]| [x, y * up]);
        let bounds = |axis: usize| {
            let values = || points().map(|point| point[axis]);
            [values().fold(f64::MAX, f64::min), values().fold(f64::MIN, f64::max)]
        };
        let ([left, right], [top, bottom]) = (bounds(0), bounds(1));
        let room =
            [pen.width - (margins.left + margins.right) * pen.em, pen.height - (margins.top + margins.bottom) * pen.em];
        let scale = (room[0] / (right - left).max(LEAST)).min(room[1] / (bottom - top).max(LEAST));
        let middle = [margins.left * pen.em + room[0] / 2.0, margins.top * pen.em + room[1] / 2.0];
        let origin = [middle[0] - f64::midpoint(left, right) * scale, middle[1] - f64::midpoint(top, bottom) * scale];
        Self { origin, scale, up }
    }

    fn at(&self, [x, y]: [f64; 2]) -> [f64; 2] {
        [self.origin[0] + x * self.scale, self.origin[1] + self.up * y * self.scale]
    }

    fn all(&self, points: &[[f64; 2]]) -> Vec<[f64; 2]> {
        points.iter().map(|&point| self.at(point)).collect()
    }
}

/// A direction in mm, `y` up, as one on the page.
const fn on_page([x, y]: [f64; 2]) -> [f64; 2] {
    [x, -y]
}

const fn minus(v: [f64; 2]) -> [f64; 2] {
    [-v[0], -v[1]]
}

/// The sheet's centre line.
fn points(courses: &[Course]) -> impl Iterator<Item = [f64; 2]> {
    courses.iter().flat_map(|course| &course.stations).map(|station| station.at)
}

/// The sheet as thick as it takes to be seen.
fn thick(pen: &Pen, page: &Page, sheet: Sheet) -> Sheet {
    bent::thickened(sheet, SHEET * pen.em / page.scale)
}

impl Pen {
    fn sheet(&mut self, page: &Page, courses: &[Course], thickness: f64, now: bool) {
        let (fill, line) = (if now { self.theme.now } else { self.theme.metal }, self.line() * 1.1);
        let edge = if now { self.theme.now } else { self.theme.ink };
        self.svg.polygon(&page.all(&faces(courses, thickness)), Paint::fill(fill).outlined(edge, line));
    }

    fn ghost(&mut self, page: &Page, courses: &[Course], thickness: f64) {
        let (faint, line) = (self.theme.faint, self.line() * 0.8);
        self.svg.polygon(&page.all(&faces(courses, thickness)), Paint::stroke(faint, line).dashed());
    }

    /// An arc about `centre` from the page angle `from` through `sweep` (radians, clockwise as y is down), with an arrow.
    fn swing(&mut self, centre: [f64; 2], radius: f64, from: f64, sweep: f64) {
        let at = |angle: f64| along(centre, [angle.cos(), angle.sin()], radius);
        let (colour, width) = self.stroke(true);
        // The line ends inside the arrow's body.
        let head = sweep.signum() * (self.em * 0.5 / radius).min(sweep.abs() / 2.0);
        let steps = 32;
        let arc: Vec<_> =
            (0..=steps).map(|step| at(from + (sweep - head) * f64::from(step) / f64::from(steps))).collect();
        self.svg.polyline(&arc, Paint::stroke(colour, width));
        let (tip, back) = (at(from + sweep), at(from + sweep - head));
        let toward = less(tip, back);
        self.arrow(tip, toward.map(|part| part / length(toward)), colour);
    }
}
