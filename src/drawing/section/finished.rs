//! The finished section as it stands on the wall: what it covers, each leg's outside width, the angles it leaves open.

use super::bent::{Course, Made, Part, Sheet, Station, faces};
use super::{Margins, Page, leg, minus, split, thick};
use crate::drawing::pen::{Dimension, Pen, WordsAt, along, big, dot};
use crate::drawing::svg::Paint;
use crate::order::Painted;
use crate::order::Trim;
use crate::order::plan::Piece;
use crate::trade::section::Turn;
use crate::trade::section::degrees;

pub fn draw(pen: &mut Pen, piece: &Piece) {
    let true_sheet = Sheet::of(piece);
    let made = Made { hem: true, bends: piece.bends.len() };
    let courses = true_sheet.shape(made);
    // The wall leg stands, its datum edge on top: what points right on the page is its seen side.
    let Some([first, _]) = leg(&courses, 0) else { return };
    // Widths are told outside of the bends: above and beside a Z, below an end wall.
    let folds_down = piece.bends.iter().any(|bend| bend.turn == Turn::Down);
    let (top, bottom) = if folds_down { (4.0, 1.4) } else { (2.2, 3.2) };
    let margins = Margins { top, right: 6.0, bottom, left: 8.0 };
    let page = Page::fit(pen, &[&courses], first.normal, &margins);
    let sheet = thick(pen, &page, true_sheet);
    let thickness = sheet.thickness();
    let courses = sheet.shape(made);

    let wall = wall_and_roof(pen, piece, &page, &courses, thickness);
    pen.sheet(&page, &courses, thickness, false);
    painted(pen, piece, &page, &courses, thickness);
    for (bend, drawn) in piece.bends.iter().enumerate() {
        let (Some([_, before]), Some([after, _])) = (leg(&courses, bend), leg(&courses, bend + 1)) else { continue };
        let corner = page.at(along(before.at, before.heading(), sheet.corner_past_leg(bend)));
        opening(
            pen,
            corner,
            minus(page.toward(before.heading())),
            page.toward(after.heading()),
            180.0 - drawn.angle_deg,
        );
    }
    leg_widths(pen, piece, &page, &sheet, &courses, wall);
}

/// The wall behind the wall leg and, under an end wall, the roof; gives the wall's thickness on the page.
fn wall_and_roof(pen: &mut Pen, piece: &Piece, page: &Page, courses: &[Course], thickness: f64) -> f64 {
    let deep = pen.em * 1.2;
    let (faint, line) = (pen.theme.faint, pen.line());
    let Some([first, last]) = leg(courses, 0) else { return deep };
    let face = page.at(first.off(-thickness / 2.0))[0] - line;
    let top = page.at(first.at)[1] - pen.em * 0.7;
    let lowest =
        courses.iter().flat_map(|course| &course.stations).map(|station| page.at(station.at)[1]).fold(0.0, f64::max);
    let roof = (piece.trim == Trim::EndWall).then(|| leg(courses, piece.bends.len())).flatten();
    let bottom = if roof.is_some() { page.at(last.at)[1] + pen.em * 1.4 } else { lowest + pen.em * 0.7 };
    let wall = [[face - deep, top], [face, top], [face, bottom], [face - deep, bottom]];
    pen.hatch(&wall, 0.55, faint, line * 0.6);
    pen.svg.line([face, top], [face, bottom], Paint::stroke(faint, line * 1.4));
    if let Some([from, to]) = roof {
        // Under the folded hem, from the wall to a little past the edge.
        let under = |station: Station| page.at(station.off(-thickness * 1.7));
        let toward = page.toward(from.heading());
        let [a, b] = [under(from), along(under(to), toward, pen.em * 2.0)];
        let start = along(a, toward, (face - a[0]) / toward[0].max(0.1));
        pen.svg.line(start, b, Paint::stroke(faint, line * 1.4));
    }
    deep
}

/// A line along the painted face, or the face that is seen where none is, and what it means.
fn painted(pen: &mut Pen, piece: &Piece, page: &Page, courses: &[Course], thickness: f64) {
    let (words, sides): (_, &[f64]) = match piece.section.painted {
        Painted::Out => ("painted side", &[1.0]),
        Painted::In => ("painted side", &[-1.0]),
        Painted::Both => ("painted, both sides", &[1.0, -1.0]),
        Painted::None => ("side that is seen", &[1.0]),
    };
    let paint = Paint::stroke(pen.theme.now, pen.line() * 2.4);
    let (legs, _) = split(courses, Part::HemFold);
    for side in sides {
        let stations = legs.iter().flat_map(|course| &course.stations);
        let face: Vec<_> = stations.map(|station| page.at(station.off(side * thickness / 2.0))).collect();
        pen.svg.polyline(&face, paint);
    }
    let words = [pen.quiet(words)];
    let (y, end) = (pen.em * 0.95, pen.width - pen.em * 0.6 - pen.row_width(&words));
    pen.svg.line([end - pen.em * 2.2, y], [end - pen.em * 0.4, y], paint);
    pen.place([end, y], [1.0, 0.0], 0.0, &words);
}

/// The angle two legs leave open, told about their corner; a right one by its square. `a` and `b` point along the legs.
fn opening(pen: &mut Pen, corner: [f64; 2], a: [f64; 2], b: [f64; 2], angle_deg: f64) {
    let (colour, width) = pen.stroke(false);
    if (angle_deg - 90.0).abs() < 0.05 {
        let side = pen.em * 0.75;
        let inner = along(along(corner, a, side), b, side);
        pen.svg.polyline(&[along(corner, a, side), inner, along(corner, b, side)], Paint::stroke(colour, width));
        return;
    }
    let radius = pen.em * 2.4;
    let from = a[1].atan2(a[0]);
    let sweep = (a[0] * b[1] - a[1] * b[0]).atan2(dot(a, b));
    let arc: Vec<_> = (0..=32)
        .map(|step| from + sweep * f64::from(step) / 32.0)
        .map(|angle| along(corner, [angle.cos(), angle.sin()], radius))
        .collect();
    pen.svg.polyline(&arc, Paint::stroke(colour, width));
    let middle = from + sweep / 2.0;
    let words = [pen.value(degrees(angle_deg))];
    pen.place(along(corner, [middle.cos(), middle.sin()], radius), [middle.cos(), middle.sin()], pen.em * 0.3, &words);
}

/// Each leg's outside width, beside the outside of its bend, clear of all the metal.
fn leg_widths(pen: &mut Pen, piece: &Piece, page: &Page, sheet: &Sheet, courses: &[Course], wall: f64) {
    let outline = page.all(&faces(courses, sheet.thickness()));
    for (index, of_section) in piece.section.legs.iter().enumerate() {
        let Some([from, to]) = leg(courses, index) else { continue };
        let bend = piece.bends.get(index).or(piece.bends.last());
        let outward = if bend.is_some_and(|bend| bend.turn == Turn::Down) { from.normal } else { minus(from.normal) };
        let away = page.toward(outward);
        let clear = outline.iter().map(|&point| dot(point, away)).fold(f64::MIN, f64::max);
        let [before, after] = sheet.past_flat(index);
        let from = page.at(along(from.at, from.heading(), -before));
        let to = page.at(along(to.at, to.heading(), after));
        let level = clear + if index == 0 { wall + pen.em * 0.6 } else { pen.em * 0.9 };
        let words = [pen.value(big(&of_section.width)), pen.quiet(of_section.name.clone())];
        pen.dimension(&Dimension { from, to, away, level, words: &words, words_at: WordsAt::Beyond, now: false });
    }
}
