//! The cross-section, at its true angles: at each bend as it lies in the brake, and finished as it stands on the wall.
//!
//! At the bench the side that will be seen is up and the datum edge at the left; what is bent now is picked out, with the
//! way it swings, over a ghost of where it lay. Widths and angles are true; the sheet is drawn thick enough to see.

mod bent;
mod finished;

use std::f64::consts::PI;

use super::Theme;
use super::pen::{Dimension, Pen, Words, WordsAt, along, big, dot};
use super::svg::Paint;
use crate::order::Painted;
use crate::order::plan::{Action, Piece, Step};
use crate::trade::section::Turn;
use crate::trade::section::degrees;
use bent::{Course, Made, Part, Sheet, Station, faces};

/// The section of `piece` at `step`, a bend or the hem; finished without one. `width` and `height` in user units.
pub fn svg(piece: &Piece, step: Option<&Step>, width: f64, height: f64, theme: Theme) -> String {
    let mut pen = Pen::at_arms_length(width, height, theme);
    match step.map(|step| (step.action, step.bend)) {
        Some((Action::Bend, Some(bend))) if bend < piece.bends.len() => draw_bend(&mut pen, piece, bend),
        Some((Action::Hem, _)) => draw_hem(&mut pen, piece),
        _ => {
            pen = Pen::in_the_hand(width, height, theme);
            finished::draw(&mut pen, piece);
        }
    }
    pen.finish()
}

/// From mm, `y` up, to the page.
struct Page {
    origin: [f64; 2],
    scale: f64,
    /// The unit vector in mm that points right on the page.
    right: [f64; 2],
}

/// Room kept free around the metal, in ems.
struct Margins {
    top: f64,
    right: f64,
    bottom: f64,
    left: f64,
}

/// What is kept free on a side where nothing is told, in ems.
const BESIDE: f64 = 0.7;

/// Ways to swing, as the page's y runs.
const UP: f64 = -1.0;
const DOWN: f64 = 1.0;

/// How thick the sheet is drawn at least, in ems.
const SHEET: f64 = 0.28;

impl Page {
    /// As large as the margins allow, in the middle of what they leave.
    fn fit(pen: &Pen, courses: &[&[Course]], right: [f64; 2], margins: &Margins) -> Self {
        let unit = Self { origin: [0.0, 0.0], scale: 1.0, right };
        let points =
            || courses.iter().copied().flatten().flat_map(|course| &course.stations).map(|station| unit.at(station.at));
        let bounds = |axis: usize| {
            let values = || points().map(|point| point[axis]);
            (values().fold(f64::MAX, f64::min), values().fold(f64::MIN, f64::max))
        };
        let ((left, far), (top, bottom)) = (bounds(0), bounds(1));
        let room =
            [pen.width - (margins.left + margins.right) * pen.em, pen.height - (margins.top + margins.bottom) * pen.em];
        let scale = (room[0] / (far - left).max(1.0)).min(room[1] / (bottom - top).max(1.0));
        let start = |margin: f64, room: f64, low: f64, high: f64| {
            margin * pen.em + (room - (high - low) * scale) / 2.0 - low * scale
        };
        Self {
            origin: [start(margins.left, room[0], left, far), start(margins.top, room[1], top, bottom)],
            scale,
            right,
        }
    }

    fn at(&self, point: [f64; 2]) -> [f64; 2] {
        let [x, y] = self.toward(point);
        [self.origin[0] + x * self.scale, self.origin[1] + y * self.scale]
    }

    /// A direction in mm as one on the page.
    fn toward(&self, [x, y]: [f64; 2]) -> [f64; 2] {
        let [c, s] = self.right;
        [c * x + s * y, -(c * y - s * x)]
    }

    /// How wide the metal lies on the page.
    fn width(&self, courses: &[Course]) -> f64 {
        let across = || courses.iter().flat_map(|course| &course.stations).map(|station| self.at(station.at)[0]);
        across().fold(f64::MIN, f64::max) - across().fold(f64::MAX, f64::min)
    }

    fn all(&self, points: &[[f64; 2]]) -> Vec<[f64; 2]> {
        points.iter().map(|&point| self.at(point)).collect()
    }
}

/// The sheet as thick as it takes to be seen.
fn thick(pen: &Pen, page: &Page, sheet: Sheet) -> Sheet {
    sheet.thickened(SHEET * pen.em / page.scale)
}

const fn minus(v: [f64; 2]) -> [f64; 2] {
    [-v[0], -v[1]]
}

/// Two stations of a leg: where it begins and ends.
fn leg(courses: &[Course], index: usize) -> Option<[Station; 2]> {
    let course = courses.iter().find(|course| course.part == Part::Leg(index))?;
    Some([*course.stations.first()?, *course.stations.last()?])
}

/// The courses before `part`, and from it on.
fn split(courses: &[Course], part: Part) -> (&[Course], &[Course]) {
    let index = courses.iter().position(|course| course.part == part).unwrap_or(courses.len());
    courses.split_at(index)
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
        let length = (tip[0] - back[0]).hypot(tip[1] - back[1]);
        self.arrow(tip, [(tip[0] - back[0]) / length, (tip[1] - back[1]) / length], colour);
    }
}

/// Which side lies up on the bench.
fn side_up(pen: &Pen, piece: &Piece) -> Words {
    pen.quiet(match piece.section.painted {
        Painted::Out => "painted side up",
        Painted::In => "painted side down",
        Painted::Both | Painted::None => "seen side up",
    })
}

/// Which side lies up, told in the left corner on the side that the metal swings to.
fn tell_side_up(pen: &mut Pen, piece: &Piece, way: f64) {
    let words = [side_up(pen, piece)];
    let y = if way == UP { 0.0 } else { pen.height };
    pen.place([pen.em * BESIDE, y], [1.0, 0.0], 0.0, &words);
}

fn draw_bend(pen: &mut Pen, piece: &Piece, bend: usize) {
    let true_sheet = Sheet::of(piece);
    let shapes = |sheet: &Sheet| [bend, bend + 1].map(|bends| sheet.shape(Made { hem: true, bends }));
    let [before, after] = shapes(&true_sheet);
    let Some([_, end]) = leg(&before, bend) else { return };
    let way = match piece.bends[bend].turn {
        Turn::Up => UP,
        Turn::Down => DOWN,
    };
    // The distance stands on the other side than the leg swings to. Once a leg is bent, the datum edge is named left of it.
    let (beyond, left) = if bend == 0 { (3.5, BESIDE) } else { (3.0, 5.8) };
    let (top, bottom) = if way == UP { (BESIDE, beyond) } else { (beyond, BESIDE) };
    let mut margins = Margins { top, right: BESIDE, bottom, left };
    let fit = |margins: &Margins| Page::fit(pen, &[&before, &after], end.heading(), margins);
    // The corner, and the leg that swings up or down from it, stay right of the words in that corner of the drawing.
    let (first, (fixed, _)) = (fit(&margins), split(&before, Part::Bend(bend)));
    let words = pen.row_width(&[side_up(pen, piece)]) / pen.em + 2.0 * BESIDE;
    margins.left = margins.left.max(words - first.width(fixed) / pen.em);
    let page = fit(&margins);
    let sheet = thick(pen, &page, true_sheet);
    let [before, after] = shapes(&sheet);
    let Some([_, end]) = leg(&after, bend) else { return };

    let (_, ghost) = split(&before, Part::Bend(bend));
    let (fixed, moving) = split(&after, Part::Bend(bend));
    pen.ghost(&page, ghost, sheet.thickness());
    pen.sheet(&page, fixed, sheet.thickness(), false);
    pen.sheet(&page, moving, sheet.thickness(), true);
    tell_side_up(pen, piece, way);

    // Both legs' lines meet in the corner, over the bend line: angle and distance are told about it.
    let corner = page.at(along(end.at, end.heading(), sheet.corner_past_leg(bend)));
    let swing = Swing {
        corner,
        radius: (reach(&page, moving, corner) * 0.6).min(pen.em * 4.5),
        through: piece.bends[bend].angle_deg.to_radians(),
        way,
    };
    // The arrow's line starts and ends clear of the metal.
    let clear = (sheet.thickness() * page.scale / 2.0 + pen.em * 0.12) / swing.radius;
    let sweep = (swing.through - 2.0 * clear).max(swing.through * 0.3);
    pen.swing(corner, swing.radius, swing.way * clear, swing.way * sweep);
    angle_words(pen, &swing, &degrees(piece.bends[bend].angle_deg));

    let words = [pen.now(big(&piece.bends[bend].at)), pen.quiet("from the datum edge")];
    let Some([datum, _]) = leg(fixed, 0) else { return };
    let away = [0.0, -swing.way];
    if bend == 0 {
        // Nothing is bent yet between datum edge and bend line: the distance can be measured off.
        pen.dimension(&Dimension {
            from: page.at(datum.at),
            to: corner,
            away,
            level: corner[1] * away[1] + pen.em * 1.1,
            words: &words,
            words_at: WordsAt::Beyond,
            now: true,
        });
    } else {
        let datum = page.at(datum.at);
        // Past the datum edge and its name.
        let tail = (dot(datum, away) - dot(corner, away) + pen.em * 0.7).max(pen.em * 1.6);
        call_out(pen, corner, away, tail, &words);
        let datum_words = [pen.quiet("datum edge")];
        pen.place(datum, [-1.0, 0.0], pen.em * 0.4, &datum_words);
    }
}

/// How a bend's moving leg swings on the page, from level.
struct Swing {
    corner: [f64; 2],
    /// Of the arrow.
    radius: f64,
    /// Radians.
    through: f64,
    /// [`UP`] or [`DOWN`].
    way: f64,
}

/// How far the metal reaches from a point of the page.
fn reach(page: &Page, courses: &[Course], from: [f64; 2]) -> f64 {
    let stations = courses.iter().flat_map(|course| &course.stations);
    stations.map(|station| page.at(station.at)).map(|[x, y]| (x - from[0]).hypot(y - from[1])).fold(0.0, f64::max)
}

/// The angle bent through, between where the leg lay and where it goes.
fn angle_words(pen: &mut Pen, swing: &Swing, angle: &str) {
    let words = [pen.now(angle)];
    let half = [pen.row_width(&words) / 2.0, words[0].ems * pen.em * 0.42];
    let pad = pen.em * 0.5;
    // Far enough out along the middle that the words' corners clear both legs, and the arrow.
    let (sin, cos) = swing.through.sin_cos();
    let (to_ghost, to_leg) = (half[1] + pad, half[0] * sin + half[1] * cos.abs() + pad);
    let (sin, cos) = (swing.through / 2.0).sin_cos();
    let past_arrow = swing.radius + pad + half[0] * cos + half[1] * sin;
    let out = (to_ghost.max(to_leg) / sin).max(past_arrow);
    let mut centre = along(swing.corner, [cos, swing.way * sin], out);
    if centre[0] + half[0] > pen.width - pad {
        // A narrow angle has no room between its legs: then beyond the leg that swings, past the arrow's point.
        let (sin, cos) = swing.through.sin_cos();
        let on_leg = along(swing.corner, [cos, swing.way * sin], swing.radius);
        centre = along(on_leg, [-sin, swing.way * cos], to_leg);
    }
    pen.place(centre, [0.0, 0.0], 0.0, &words);
}

/// An arrow to a point of the page, its tail that far `away`, with words there.
fn call_out(pen: &mut Pen, point: [f64; 2], away: [f64; 2], tail: f64, words: &[Words]) {
    let (colour, width) = pen.stroke(true);
    let (tip, tail) = (along(point, away, pen.em * 0.5), along(point, away, tail));
    pen.svg.line(along(tip, away, pen.em * 0.3), tail, Paint::stroke(colour, width));
    pen.arrow(tip, minus(away), colour);
    let half = pen.row_width(words) / 2.0;
    pen.place([tail[0] + half - pen.em * 0.5, tail[1]], away, pen.em * 0.2, words);
}

/// The hem's width in its own drawing, in ems.
const HEM: f64 = 5.0;

fn draw_hem(pen: &mut Pen, piece: &Piece) {
    // The strip runs from edge to edge: beside the fold lies the hem's ghost, the rest is metal.
    let across = pen.width / pen.em - 2.0 * BESIDE;
    let true_sheet = Sheet::of(piece).lower_edge(across / HEM - 1.0);
    let shapes = |sheet: &Sheet| [false, true].map(|hem| sheet.shape(Made { hem, bends: 0 }));
    let [before, after] = shapes(&true_sheet);
    let margins = Margins { top: 3.5, right: BESIDE, bottom: 4.5, left: BESIDE };
    let page = Page::fit(pen, &[&before, &after], [1.0, 0.0], &margins);
    let sheet = thick(pen, &page, true_sheet);
    let [before, after] = shapes(&sheet);

    let (_, ghost) = split(&before, Part::HemFold);
    let (flat, hem) = split(&after, Part::HemFold);
    pen.ghost(&page, ghost, sheet.thickness());
    pen.sheet(&page, flat, sheet.thickness(), false);
    pen.sheet(&page, hem, sheet.thickness(), true);
    break_strip(pen, page.at([sheet.hem() * 0.5, 0.0]), sheet.thickness() * page.scale);
    tell_side_up(pen, piece, DOWN);

    let Some([datum, end]) = leg(&after, 0) else { return };
    let fold = page.at(end.at);
    let pivot = [fold[0], fold[1] + sheet.thickness() * page.scale / 2.0];
    let radius = sheet.hem() * page.scale * 0.62;
    let clear = 0.3;
    pen.swing(pivot, radius, clear, PI - 2.0 * clear);
    let hem_words = [pen.value(big(&piece.hem.width)), pen.quiet("hem")];
    pen.place([fold[0] - radius, pivot[1] + radius * 0.55], [-1.0, 0.0], pen.em * 0.2, &hem_words);
    let words = [pen.now(big(&piece.hem.at)), pen.quiet("from the datum edge")];
    pen.dimension(&Dimension {
        from: page.at(datum.at),
        to: fold,
        away: [0.0, -1.0],
        level: pen.em * 1.1 - fold[1],
        words: &words,
        words_at: WordsAt::Beyond,
        now: true,
    });
}

/// The double line of a break across the flat strip.
fn break_strip(pen: &mut Pen, [x, y]: [f64; 2], thickness: f64) {
    let (half, lean, gap) = (thickness / 2.0 + pen.em * 0.45, pen.em * 0.25, pen.em * 0.3);
    let side = |offset: f64| [[x + offset + lean, y - half], [x + offset - lean, y + half]];
    let ([a, b], [c, d]) = (side(-gap), side(gap));
    pen.svg.polygon(&[a, b, d, c], Paint::fill(pen.theme.paper));
    let paint = Paint::stroke(pen.theme.ink, pen.line());
    pen.svg.line(a, b, paint);
    pen.svg.line(c, d, paint);
}
