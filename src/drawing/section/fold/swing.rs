//! The swing of what is bent, and its angle: told between where the metal lay and where it goes, if there is room.

use super::UP;
use crate::drawing::pen::Pen;
use crate::drawing::section::{Page, points};
use crate::drawing::spots::Spots;
use crate::trade::plane::{along, length, less};
use crate::trade::shape::Course;

/// How a bend's moving leg swings on the page, from level.
pub struct Swing {
    pub corner: [f64; 2],
    /// Of the arrow.
    pub radius: f64,
    /// Radians.
    pub through: f64,
    /// [`UP`] or [`DOWN`].
    pub way: f64,
}

impl Swing {
    /// Where the arrow runs.
    pub fn arc(&self) -> Vec<[f64; 2]> {
        let angle = |step: u32| self.through * f64::from(step) / 16.0;
        (0..=16)
            .map(|step| along(self.corner, [angle(step).cos(), self.way * angle(step).sin()], self.radius))
            .collect()
    }
}

/// How far the metal reaches from a point of the page.
pub fn reach(page: &Page, courses: &[Course], from: [f64; 2]) -> f64 {
    points(courses).map(|point| length(less(page.at(point), from))).fold(0.0, f64::max)
}

/// The angle bent through, between where the leg lay and where it goes if there is room, clear of `lines` and of the rows that
/// say how the strip lies, `head` ems high.
pub fn angle_words(pen: &mut Pen, swing: &Swing, head: f64, lines: Vec<[[f64; 2]; 2]>, angle: &str) {
    let words = [pen.now(angle)];
    let half = [pen.row_width(&words) / 2.0, words[0].ems * pen.em * 0.42];
    let pad = pen.em * 0.5;
    // Far enough out along the middle that the words' corners clear both legs, and the arrow.
    let (sin, cos) = swing.through.sin_cos();
    let (to_ghost, to_leg) = (half[1] + pad, half[0] * sin.abs() + half[1] * cos.abs() + pad);
    let (sin, cos) = (swing.through / 2.0).sin_cos();
    let past_arrow = swing.radius + pad + half[0] * cos + half[1] * sin;
    let out = (to_ghost.max(to_leg) / sin).max(past_arrow);
    let centre = along(swing.corner, [cos, swing.way * sin], out);
    let (row, distance) = (head * pen.em, pen.height - pad);
    let [top, bottom] = if swing.way == UP { [row, distance] } else { [pen.height - distance, pen.height - row] };
    let mut spots = Spots::new(lines, [pad, top, pen.width - pad, bottom]);
    // Else wherever there is room, as near the arrow as can be.
    let middle = along(swing.corner, [cos, swing.way * sin], swing.radius);
    let cell = pen.em * 0.6;
    let across = |size: f64| (0..(size / cell) as u32).map(move |step| f64::from(step) * cell);
    let mut candidates: Vec<[f64; 2]> =
        across(pen.width).flat_map(|x| across(pen.height).map(move |y| [x, y])).collect();
    let away = |at: &[f64; 2]| length(less(*at, middle));
    candidates.sort_by(|a, b| away(a).total_cmp(&away(b)));
    candidates.insert(0, centre);
    if let Some(at) = spots.take(&candidates, half, pen.em * 0.3) {
        pen.place(at, [0.0, 0.0], 0.0, &words);
    }
}
