//! The label's face: one drawing in the printer's dots.
//!
//! Every edge of the symbol falls between two dots. Place and length are the largest things on it, then the mark;
//! the symbol's own quiet zone is the margin at the right. Below, the run across the whole label, and under it what
//! happens at the piece's left end on the left and at its right end on the right.

use crate::drawing::Theme;
use crate::drawing::svg::{Anchor, Paint, Svg, Type, Weight};
use crate::drawing::wall::{draw_run, draw_tag};
use crate::label::LabelError;
use crate::label::facts::LabelFacts;
use crate::label::qr::{QUIET, Symbol};
use crate::label::stock::Stock;
use crate::label::text::{Fitted, fit};
use crate::order::Side;

/// The layout is drawn for a label this many units high, whatever its dots.
const HEIGHT: f64 = 406.0;
const MARGIN: f64 = 16.0;
/// The square for the symbol with its quiet zone.
const SYMBOL: f64 = 236.0;
/// GS1 General Specifications §5.12.3.1 want modules of 0.396 to 0.990 mm: at 203 dpi, at most seven dots. Four is
/// what the longest address a label takes comes down to.
const LARGEST_MODULE: usize = 7;

const THEME: Theme = Theme::PRINT;

/// Draws the label; one unit is one dot.
pub fn draw(facts: &LabelFacts, stock: Stock) -> Result<String, LabelError> {
    let (width, height) = (f64::from(stock.width), f64::from(stock.height));
    let mut face = Face { svg: Svg::new(width, height), unit: height / HEIGHT };
    face.svg.rect(0.0, 0.0, width, height, Paint::fill(THEME.paper));
    let unit = face.unit;

    let symbol_left = face.draw_symbol(facts, width)?;
    face.draw_words(facts, symbol_left - MARGIN * unit);
    draw_run(
        &mut face.svg,
        &facts.view,
        [MARGIN * unit, 254.0 * unit],
        [width - 2.0 * MARGIN * unit, 72.0 * unit],
        THEME,
    );
    face.draw_ends(facts, width);
    Ok(face.svg.finish())
}

struct Face {
    svg: Svg,
    /// Dots to a unit of the layout.
    unit: f64,
}

impl Face {
    /// The symbol in the upper right corner and its code under it. Returns the left edge of its quiet zone.
    fn draw_symbol(&mut self, facts: &LabelFacts, width: f64) -> Result<f64, LabelError> {
        let symbol = Symbol::new(&facts.url)?;
        let modules = symbol.side + 2 * QUIET;
        let dots = ((SYMBOL * self.unit) as usize / modules).clamp(1, LARGEST_MODULE);
        let (module, quiet) = (dots as f64, (dots * QUIET) as f64);
        let left = width - (dots * modules) as f64;
        let cells = symbol.bars().into_iter().map(|(column, row, length)| {
            let (x, y) = (left + quiet + column as f64 * module, quiet + row as f64 * module);
            [x, y, length as f64 * module, module]
        });
        self.svg.cells(cells, THEME.ink);

        let across = (symbol.side * dots) as f64 + 2.0 * (quiet - MARGIN * self.unit).max(0.0);
        let code = fit(&facts.code.spaced(), Weight::SemiBold, across, 30.0 * self.unit, 0.0);
        let baseline = ((dots * modules) as f64 + code.size * 0.62).max(240.0 * self.unit);
        self.set(&code, Weight::SemiBold, [left + (dots * modules) as f64 / 2.0, baseline], Anchor::Middle);
        Ok(left)
    }

    /// Job, wall and place, length, mark and order, from the top.
    fn draw_words(&mut self, facts: &LabelFacts, right: f64) {
        let left = MARGIN * self.unit;
        let across = right - left;
        let job = self.fit(&facts.job, Weight::Regular, across, [34.0, 24.0]);
        self.set(&job, Weight::Regular, [left, 40.0 * self.unit], Anchor::Start);

        let place = self.fit(&format!("{} · {}", facts.wall, facts.place), Weight::Bold, across, [58.0, 0.0]);
        self.set(&place, Weight::Bold, [left, 98.0 * self.unit], Anchor::Start);

        let length = self.fit(&facts.length, Weight::Bold, across, [96.0, 0.0]);
        self.set(&length, Weight::Bold, [left, 180.0 * self.unit], Anchor::Start);

        let mark = self.fit(&facts.mark, Weight::Bold, across * 0.62, [46.0, 0.0]);
        let after = self.width(&mark, Weight::Bold) + 10.0 * self.unit;
        let order = format!("· order {}", facts.order);
        let order = self.fit(&order, Weight::Regular, across - after, [36.0, 22.0]);
        self.set(&mark, Weight::Bold, [left, 238.0 * self.unit], Anchor::Start);
        self.set(&order, Weight::Regular, [left + after, 238.0 * self.unit], Anchor::Start);
    }

    fn draw_ends(&mut self, facts: &LabelFacts, width: f64) {
        let (margin, top, tall) = (MARGIN * self.unit, 344.0 * self.unit, 48.0 * self.unit);
        let left = draw_tag(&mut self.svg, Side::Left, [margin, top], tall, THEME);
        let right = draw_tag(&mut self.svg, Side::Right, [width - margin, top], tall, THEME);
        let gap = 12.0 * self.unit;
        let room = width - 2.0 * margin - left - right - 4.0 * gap;
        // Both ends in one size, as large as the two together allow.
        let both = self.fit(&format!("{}{}", facts.left, facts.right), Weight::SemiBold, room, [36.0, 0.0]);
        let baseline = top + 35.0 * self.unit;
        let (at_left, at_right) = (margin + left + gap, width - margin - right - gap);
        for (text, x, anchor) in [(&facts.left, at_left, Anchor::Start), (&facts.right, at_right, Anchor::End)] {
            let text = Fitted { text: text.clone(), size: both.size };
            self.set(&text, Weight::SemiBold, [x, baseline], anchor);
        }
    }

    fn fit(&self, text: &str, weight: Weight, width: f64, [largest, least]: [f64; 2]) -> Fitted {
        fit(text, weight, width, largest * self.unit, least * self.unit)
    }

    fn width(&self, line: &Fitted, weight: Weight) -> f64 {
        crate::drawing::raster::measure(&line.text, weight).ems * line.size
    }

    fn set(&mut self, line: &Fitted, weight: Weight, at: [f64; 2], anchor: Anchor) {
        self.svg.text(at, &line.text, Type { size: line.size, weight, anchor, colour: THEME.ink });
    }
}
