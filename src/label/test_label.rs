//! The test label: what a shop scans to learn whether its scanner and its printer are set right.
//!
//! Its symbol is as large as a piece's and its code holds what layouts move about, so what reads it reads every label.
//! It is no piece's, and its fine lines show a print head that is worn, or ink that runs.

use crate::drawing::Theme;
use crate::drawing::svg::{Anchor, Paint, Weight};
use crate::label::code::Code;
use crate::label::face::{MARGIN, Sketch};
use crate::label::stock::Stock;
use crate::label::url::Address;
use crate::label::{Face, LabelError};

/// The shop's own test label, which leads where its other labels do.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct TestLabel {
    pub address: Address,
}

/// What it says: weight, size and baseline.
const WORDS: [(&str, Weight, f64, f64); 6] = [
    ("TEST LABEL", Weight::Bold, 84.0, 84.0),
    ("ETIQUETA DE PRUEBA", Weight::Bold, 44.0, 140.0),
    ("It is no piece's. Scan it:", Weight::Regular, 30.0, 188.0),
    ("the bench says how the scanner is set.", Weight::Regular, 30.0, 220.0),
    ("No es de ninguna pieza. Al escanearla,", Weight::Regular, 30.0, 262.0),
    ("el puesto dice cómo está el escáner.", Weight::Regular, 30.0, 294.0),
];

impl Face for TestLabel {
    fn draw(&self, stock: Stock) -> Result<String, LabelError> {
        let code = Code::test();
        let mut sketch = Sketch::new(stock);
        let right = sketch.draw_symbol(&self.address.url(&code), &code)? - MARGIN * sketch.unit;
        let left = MARGIN * sketch.unit;
        for (text, weight, size, baseline) in WORDS {
            let line = sketch.fit(text, weight, right - left, [size, 0.0]);
            sketch.set(&line, weight, [left, baseline * sketch.unit], Anchor::Start);
        }
        // Lines of one to eight dots across the whole head: each must come out whole, and apart from the next.
        let (mut y, end) = (318.0 * sketch.unit, sketch.width - left);
        for dots in [1.0, 2.0, 3.0, 4.0, 6.0, 8.0] {
            sketch.svg.rect(left, y.round(), end - left, dots, Paint::fill(Theme::PRINT.ink));
            y += dots + 8.0 * sketch.unit;
        }
        Ok(sketch.svg.finish())
    }
}
