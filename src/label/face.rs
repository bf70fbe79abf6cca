//! The label's face: one drawing in the printer's dots.
//!
//! Every edge of the symbol falls between two dots. Place and length are the largest things on it, then the mark;
//! the symbol's own quiet zone is the margin at the right. Below, the run across the whole label, and under it what
//! happens at the piece's left end on the left and at its right end on the right. A label that stands for an earlier
//! one says so first of all.

use crate::drawing::Theme;
use crate::drawing::svg::{Anchor, Paint, Svg, Type, Weight};
use crate::drawing::wall::{draw_run, draw_tag};
use crate::label::code::Code;
use crate::label::facts::LabelFacts;
use crate::label::qr::{QUIET, Symbol};
use crate::label::stock::Stock;
use crate::label::text::{Fitted, fit};
use crate::label::{Face, LabelError};
use crate::order::Side;

/// The layout is drawn for a label this many units high, whatever its dots.
const HEIGHT: f64 = 406.0;
pub(super) const MARGIN: f64 = 16.0;
/// The square for the symbol with its quiet zone.
const SYMBOL: f64 = 236.0;
/// GS1 General Specifications §5.12.3.1 want modules of 0.396 to 0.990 mm. Half a millimetre is what the longest address
/// a label takes comes down to.
const LARGEST_MODULE: f64 = 0.990;

const THEME: Theme = Theme::PRINT;

impl Face for LabelFacts {
    fn draw(&self, stock: Stock) -> Result<String, LabelError> {
        let mut sketch = Sketch::new(stock);
        let symbol_left = sketch.draw_symbol(&self.url, &self.code)?;
        let unit = sketch.unit;
        sketch.draw_words(self, symbol_left - MARGIN * unit);
        let (at, size) = ([MARGIN * unit, 254.0 * unit], [sketch.width - 2.0 * MARGIN * unit, 72.0 * unit]);
        draw_run(&mut sketch.svg, &self.view, at, size, THEME);
        sketch.draw_ends(self);
        Ok(sketch.svg.finish())
    }
}

/// A label being drawn.
pub(super) struct Sketch {
    pub svg: Svg,
    /// In dots.
    pub width: f64,
    /// Dots to a unit of the layout.
    pub unit: f64,
    dpi: u32,
}

impl Sketch {
    /// Bare paper.
    pub fn new(stock: Stock) -> Self {
        let (width, height) = (f64::from(stock.width), f64::from(stock.height));
        let mut svg = Svg::new(width, height);
        svg.rect(0.0, 0.0, width, height, Paint::fill(THEME.paper));
        Self { svg, width, unit: height / HEIGHT, dpi: stock.dpi }
    }

    /// The symbol in the upper right corner and its code under it. Returns the left edge of its quiet zone.
    pub fn draw_symbol(&mut self, url: &str, code: &Code) -> Result<f64, LabelError> {
        let symbol = Symbol::new(url)?;
        let modules = symbol.side + 2 * QUIET;
        let largest = (LARGEST_MODULE / 25.4 * f64::from(self.dpi)) as usize;
        let dots = ((SYMBOL * self.unit) as usize / modules).min(largest).max(1);
        let (module, quiet) = (dots as f64, (dots * QUIET) as f64);
        let left = self.width - (dots * modules) as f64;
        self.svg.cells(symbol.bars([left + quiet, quiet], module), THEME.ink);

        let across = (symbol.side * dots) as f64 + 2.0 * (quiet - MARGIN * self.unit).max(0.0);
        let code = fit(&code.spaced(), Weight::SemiBold, across, 30.0 * self.unit, 0.0);
        let baseline = ((dots * modules) as f64 + code.size * 0.62).max(240.0 * self.unit);
        self.set(&code, Weight::SemiBold, [left + (dots * modules) as f64 / 2.0, baseline], Anchor::Middle);
        Ok(left)
    }

    /// Job, wall and place, length, mark and order, from the top.
    fn draw_words(&mut self, facts: &LabelFacts, right: f64) {
        let left = MARGIN * self.unit;
        let across = right - left;
        let said = if facts.reprint { self.draw_reprint(left) } else { 0.0 };
        let job = self.fit(&facts.job, Weight::Regular, across - said, [34.0, 24.0]);
        self.set(&job, Weight::Regular, [left + said, 40.0 * self.unit], Anchor::Start);

        let place = self.fit(&format!("{} · {}", facts.wall, facts.place), Weight::Bold, across, [58.0, 0.0]);
        self.set(&place, Weight::Bold, [left, 98.0 * self.unit], Anchor::Start);

        let length = self.fit(&facts.length, Weight::Bold, across, [96.0, 0.0]);
        self.set(&length, Weight::Bold, [left, 180.0 * self.unit], Anchor::Start);

        let mark = self.fit(&facts.mark, Weight::Bold, across * 0.62, [46.0, 0.0]);
        let after = self.width_of(&mark, Weight::Bold) + 10.0 * self.unit;
        let order = format!("· order {}", facts.order);
        let order = self.fit(&order, Weight::Regular, across - after, [36.0, 22.0]);
        self.set(&mark, Weight::Bold, [left, 238.0 * self.unit], Anchor::Start);
        self.set(&order, Weight::Regular, [left + after, 238.0 * self.unit], Anchor::Start);
    }

    /// White on black, before the job. Returns how much of the line it takes.
    fn draw_reprint(&mut self, left: f64) -> f64 {
        let word = self.fit("REPRINT", Weight::Bold, f64::INFINITY, [30.0, 0.0]);
        let (pad, top, tall) = (10.0 * self.unit, MARGIN * self.unit, 34.0 * self.unit);
        let width = self.width_of(&word, Weight::Bold) + 2.0 * pad;
        self.svg.rect(left, top, width, tall, Paint::fill(THEME.ink));
        let set = Type { size: word.size, weight: Weight::Bold, anchor: Anchor::Start, colour: THEME.paper };
        self.svg.text([left + pad, top + tall - 7.0 * self.unit], &word.text, set);
        width + pad
    }

    fn draw_ends(&mut self, facts: &LabelFacts) {
        let width = self.width;
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

    pub fn fit(&self, text: &str, weight: Weight, width: f64, [largest, least]: [f64; 2]) -> Fitted {
        fit(text, weight, width, largest * self.unit, least * self.unit)
    }

    fn width_of(&self, line: &Fitted, weight: Weight) -> f64 {
        crate::drawing::raster::measure(&line.text, weight).ems * line.size
    }

    pub fn set(&mut self, line: &Fitted, weight: Weight, at: [f64; 2], anchor: Anchor) {
        self.svg.text(at, &line.text, Type { size: line.size, weight, anchor, colour: THEME.ink });
    }
}
