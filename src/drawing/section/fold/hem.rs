//! A hem on a strip that is still flat: its edge alone, swung up over the ghost of where it lay, and the strip broken short.

use std::f64::consts::PI;

use super::rows::Rows;
use super::{Laid, Making, UP, brake, distance, margins};
use crate::drawing::pen::{EDGE, Pen, big};
use crate::drawing::section::{Page, bent, points, thick};
use crate::drawing::svg::Paint;
use crate::trade::section::{Edge, Fold};
use crate::trade::shape::Sheet;

/// The hem's width in its own drawing, in ems, and the most its gap may be, which stands off the strip.
const HEM: f64 = 5.0;
const GAP: f64 = 0.8;
/// A wide gap is drawn as wide as this makes it, so that the hem stays to be seen.
const LEAST_HEM: f64 = 2.5;

/// The hem at an edge of the strip, swung up.
pub fn draw(pen: &mut Pen, making: &Making, whole: Sheet, edge: Edge) {
    let (Some(hem), Some(of_piece)) = (whole.hem(edge), making.hem(edge)) else { return };
    let way = making.way();
    let rows = Rows::fitted(pen, making, true);
    let mut margins = margins(making, &rows);
    let swung = if way == UP { &mut margins.top } else { &mut margins.bottom };
    *swung += rows.hem;
    // The strip runs from edge to edge: beside the fold lies the hem's ghost, the rest is metal.
    let across = pen.width / pen.em - margins.left - margins.right;
    let other = if edge == Edge::Datum { Edge::Lower } else { Edge::Datum };
    let other_hemmed = making.made.has(Fold::Hem(other));
    // The distance stands in its line, which takes what the hem leaves.
    let least = if rows.tight { LEAST_HEM - 0.5 } else { LEAST_HEM };
    let most = match (rows.beyond, rows.tight) {
        (true, _) => HEM,
        (_, tight) => (across * if tight { 0.2 } else { 0.27 }).clamp(least, HEM),
    };
    let ems = (GAP * hem.width / hem.gap).clamp(least, most);
    let true_sheet = bent::close_up(whole, edge, hem.width * (across / ems - 1.0), other_hemmed);
    let Some(Laid { before, .. }) = making.laid(&true_sheet) else { return };
    let flat = || points(&before.held).chain(points(&before.moving)).map(|[x, _]| [x, 0.0]);
    let page = Page::fit(pen, &flat().collect::<Vec<_>>(), way == UP, &margins);
    let sheet = thick(pen, &page, true_sheet);
    let Some(Laid { setup, before, after }) = making.laid(&sheet) else { return };

    let thickness = sheet.thickness * page.scale;
    pen.ghost(&page, &before.moving, sheet.thickness);
    if making.lie.is_some() {
        // No jaw: to be flattened, the hem swings past where it was.
        brake(pen, &page, &setup, None, rows.bed[1]);
    }
    pen.sheet(&page, &after.held, sheet.thickness, false);
    pen.sheet(&page, &after.moving, sheet.thickness, true);
    // Where words stand close over the strip, its break is no higher than it is.
    let over = if rows.beyond { 0.4 } else { 0.08 };
    break_strip(pen, page.at([-setup.depth() * 0.86, sheet.thickness / 2.0]), thickness / 2.0 + pen.em * over);
    making.tell_how_it_lies(pen, &rows);
    making.tell_handling(pen, &rows);

    let fold = page.at([0.0, sheet.thickness / 2.0]);
    let pivot = [fold[0], fold[1] + way * (sheet.thickness + hem.gap) * page.scale / 2.0];
    let radius = (hem.width * page.scale * 0.62).min(pen.em * rows.hem - (pivot[1] - fold[1]).abs());
    let clear = 0.3;
    pen.swing(pivot, radius, way * clear, way * (PI - 2.0 * clear));
    // Over the hem, or in a low drawing beside it, over the strip.
    let (left, level) = if rows.beyond {
        (fold[0] - radius, (pivot[1] - fold[1]).abs() + thickness + pen.em * 0.9)
    } else {
        (
            fold[0] - hem.width * page.scale,
            thickness * if other_hemmed { 1.5 } else { 0.5 } + pen.em * if rows.tight { 0.72 } else { 0.95 },
        )
    };
    let words = pen.fit(vec![pen.value(big(&of_piece.width)), pen.quiet("hem")], left - pen.em * (0.3 + EDGE));
    let over = if rows.beyond { pivot[1] } else { fold[1] } + way * level;
    pen.place([left, over], [-1.0, 0.0], pen.em * 0.3, &words);
    let kind = match &of_piece.gap {
        None => vec![pen.quiet("closed")],
        Some(gap) => vec![pen.quiet("open"), pen.value(big(gap))],
    };
    let kind = pen.fit(kind, pen.width - fold[0] - pen.em * (0.4 + EDGE));
    // On the other side of where it lay.
    pen.place([fold[0], fold[1] - way * (thickness / 2.0 + pen.em * 0.9)], [1.0, 0.0], pen.em * 0.4, &kind);
    making.tell_flattening(pen, &rows);
    distance(pen, making, &page, &setup, [&before, &after], &rows);
}

/// The double line of a break across the flat strip, so far up and down from its middle.
fn break_strip(pen: &mut Pen, [x, y]: [f64; 2], half: f64) {
    let (lean, gap) = (pen.em * 0.25, pen.em * 0.25);
    let side = |offset: f64| [[x + offset + lean, y - half], [x + offset - lean, y + half]];
    let ([a, b], [c, d]) = (side(-gap), side(gap));
    pen.svg.polygon(&[a, b, d, c], Paint::fill(pen.theme.paper));
    let paint = Paint::stroke(pen.theme.ink, pen.line());
    pen.svg.line(a, b, paint);
    pen.svg.line(c, d, paint);
}
