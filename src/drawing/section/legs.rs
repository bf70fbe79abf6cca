//! What there is to tell of a finished section's legs: their outside widths and the angles they leave open.
//!
//! Up to three legs each have their own dimension line. Of more, the picture only says which is which, and a table beside
//! it tells the rest.

use super::bent::{corner_past_leg, leg};
use super::finished::BUILDING;
use super::{Page, minus, on_page};
use crate::drawing::pen::{Dimension, Pen, Words, WordsAt, big};
use crate::drawing::spots::{Spots, pairs};
use crate::drawing::svg::{Paint, Weight};
use crate::order::plan::Piece;
use crate::trade::plane::{along, cross, dot, length, less, turned};
use crate::trade::section::{Turn, degrees};
use crate::trade::shape::{Course, Sheet, faces};

/// A section on its page.
#[derive(Clone, Copy)]
pub struct Finished<'a> {
    pub piece: &'a Piece,
    pub page: &'a Page,
    pub courses: &'a [Course],
    pub sheet: &'a Sheet,
}

/// Width of the table, in ems.
pub const TABLE: f64 = 11.6;

const MOST_DIMENSIONED: usize = 3;

pub fn in_a_table(piece: &Piece) -> bool {
    piece.section.legs.len() > MOST_DIMENSIONED
}

/// A leg's width stands outside of its bends: on the seen side where one of them goes down.
pub fn told_on_seen_side(piece: &Piece, leg: usize) -> bool {
    let before = leg.checked_sub(1).and_then(|bend| piece.bends.get(bend));
    [before, piece.bends.get(leg)].into_iter().flatten().any(|bend| bend.turn == Turn::Down)
}

/// Whether the angle at an end of `leg` is told on the side that its width is told on.
pub fn opens_beside(piece: &Piece, leg: usize) -> bool {
    told_on_seen_side(piece, leg)
        && piece.bends.get(leg).is_some_and(|bend| bend.turn == Turn::Up && !is_right(bend.angle_deg))
}

/// Told by its square alone.
fn is_right(angle_deg: f64) -> bool {
    (angle_deg - 90.0).abs() < 0.05
}

/// `building`: lines of what the section lies on.
pub fn tell(pen: &mut Pen, finished: &Finished, building: &[[[f64; 2]; 2]]) {
    if in_a_table(finished.piece) {
        numbers(pen, finished, building);
        table(pen, finished.piece);
    } else {
        openings(pen, finished);
        widths(pen, finished);
    }
}

/// The angle each two legs leave open, told about their corner; a right one by its square.
fn openings(pen: &mut Pen, finished: &Finished) {
    let Finished { page, courses, sheet, .. } = *finished;
    for (index, bend) in sheet.bends.iter().enumerate() {
        let (Some([before_from, before]), Some([after, after_to])) = (leg(courses, index), leg(courses, index + 1))
        else {
            continue;
        };
        let corner = page.at(along(before.at, before.heading(), corner_past_leg(sheet, bend)));
        let (a, b) = (on_page(minus(before.heading())), on_page(after.heading()));
        let reach = |end: [f64; 2]| length(less(end, corner));
        let shorter = reach(page.at(before_from.at)).min(reach(page.at(after_to.at)));
        opening(pen, corner, [a, b], 180.0 - bend.through_deg, shorter);
    }
}

/// The unit vectors `a` and `b` point along the legs.
fn opening(pen: &mut Pen, corner: [f64; 2], [a, b]: [[f64; 2]; 2], angle_deg: f64, shorter: f64) {
    let (colour, width) = pen.stroke(false);
    if is_right(angle_deg) {
        let side = (pen.em * 0.75).min(shorter * 0.7);
        let inner = along(along(corner, a, side), b, side);
        pen.svg.polyline(&[along(corner, a, side), inner, along(corner, b, side)], Paint::stroke(colour, width));
        return;
    }
    let radius = (pen.em * 2.4).min(shorter * 0.8);
    let from = a[1].atan2(a[0]);
    let sweep = cross(a, b).atan2(dot(a, b));
    let arc: Vec<_> = (0..=32)
        .map(|step| from + sweep * f64::from(step) / 32.0)
        .map(|angle| along(corner, [angle.cos(), angle.sin()], radius))
        .collect();
    pen.svg.polyline(&arc, Paint::stroke(colour, width));
    let middle = from + sweep / 2.0;
    let words = [pen.value(degrees(angle_deg))];
    let toward = [middle.cos(), middle.sin()];
    // A sharp angle's words stand where the legs leave them room.
    let half = pen.row_width(&words) / 2.0;
    let apart = (half * toward[1].abs() + pen.em * 0.7) / (sweep.abs() / 2.0).sin().max(0.2);
    let out = radius.max(apart - half * toward[0].abs() - pen.em * 0.5 * toward[1].abs());
    pen.place(along(corner, toward, out), toward, pen.em * 0.3, &words);
}

/// Each leg's outside width, beside the outside of its bends, clear of all the metal.
fn widths(pen: &mut Pen, finished: &Finished) {
    let Finished { piece, page, courses, sheet } = *finished;
    let outline = page.all(&faces(courses, sheet.thickness));
    for (index, of_section) in piece.section.legs.iter().enumerate() {
        let Some([from, to]) = leg(courses, index) else { continue };
        let seen = told_on_seen_side(piece, index);
        let away = on_page(if seen { from.normal } else { minus(from.normal) });
        let clear = outline.iter().map(|&point| dot(point, away)).fold(f64::MIN, f64::max);
        let [before, after] = sheet.past_flat(index);
        let from = page.at(along(from.at, from.heading(), -before));
        let to = page.at(along(to.at, to.heading(), after));
        // Past the words of a slight angle's opening on the same side, and past the building.
        let level = clear
            + pen.em
                * if !seen {
                    BUILDING + 0.7
                } else if opens_beside(piece, index) {
                    3.9
                } else {
                    0.9
                };
        let words = [pen.value(big(&of_section.width)), pen.quiet(of_section.name.clone())];
        pen.dimension(&Dimension { from, to, away, level, words: &words, words_at: WordsAt::Beyond, now: false });
    }
}

/// Each leg's number beside it, where there is room.
fn numbers(pen: &mut Pen, finished: &Finished, building: &[[[f64; 2]; 2]]) {
    let Finished { page, courses, sheet, .. } = *finished;
    let em = pen.em;
    let centre_line: Vec<[f64; 2]> = super::points(courses).map(|point| page.at(point)).collect();
    let lines = pairs(&centre_line).chain(building.iter().copied()).collect();
    let inside = [em * 0.8, em * 2.0, pen.width - (TABLE + 0.6) * em, pen.height - em * 2.0];
    let mut spots = Spots::new(lines, inside);
    for index in 0..sheet.legs.len() {
        let Some([from, to]) = leg(courses, index) else { continue };
        let middle = page.at([f64::midpoint(from.at[0], to.at[0]), f64::midpoint(from.at[1], to.at[1])]);
        let sides = [on_page(from.normal), on_page(minus(from.normal))];
        let candidates: Vec<[f64; 2]> = [1.0, 1.5, 2.1, 2.8, 3.6]
            .into_iter()
            .flat_map(|out| {
                // Straight off the leg on either side, or leaning.
                sides.into_iter().flat_map(move |away| {
                    [0.0, 0.6, -0.6].map(|lean| along(middle, turned(away, [f64::cos(lean), f64::sin(lean)]), out * em))
                })
            })
            .collect();
        let words = [Words { weight: Weight::Bold, ..pen.quiet((index + 1).to_string()) }];
        let half = [pen.row_width(&words) / 2.0, em * 0.35];
        let Some(at) = spots.take(&candidates, half, em * 0.36) else { continue };
        let away = length(less(at, middle));
        if away > em * 1.2 {
            let toward = less(at, middle).map(|part| part / away);
            let (start, end) = (along(middle, toward, em * 0.25), along(middle, toward, away - em * 0.6));
            pen.svg.line(start, end, Paint::stroke(pen.theme.faint, pen.line() * 0.7));
        }
        pen.place(at, [0.0, 0.0], 0.0, &words);
    }
}

/// Leg by leg its number and width, and between two rows the angle that both legs leave open.
fn table(pen: &mut Pen, piece: &Piece) {
    let (em, legs) = (pen.em, piece.section.legs.len() as f64);
    let row = ((pen.height - em * 1.6) / (legs + 0.6)).min(em * 1.9);
    let left = pen.width - TABLE * em;
    let [number, width, angle] = [left + em * 1.6, left + em * 7.4, pen.width - em * 0.6];
    let top = (pen.height - row * (legs - 1.0)) / 2.0;
    let rule = [top - row * 0.6, top + row * (legs - 0.4)].map(|y| [left, y]);
    pen.svg.line(rule[0], rule[1], Paint::stroke(pen.theme.faint, pen.line() * 0.7));
    for (index, leg) in piece.section.legs.iter().enumerate() {
        let y = top + row * index as f64;
        let words = Words { weight: Weight::Bold, ..pen.quiet((index + 1).to_string()) };
        pen.set_up_to([number, y], &words);
        let words = pen.value(big(&leg.width));
        pen.set_up_to([width, y], &words);
        if let Some(bend) = piece.bends.get(index) {
            let words = pen.quiet(degrees(180.0 - bend.angle_deg));
            pen.set_up_to([angle, y + row / 2.0], &words);
        }
    }
}
