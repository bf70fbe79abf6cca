//! What the hands do with the strip: a sign and a few words over the drawing of a fold, under that of a hem. The section
//! takes the room they leave.

use super::rows::Rows;
use super::{Making, UP};
use crate::drawing::pen::{EDGE, Pen, Words};
use crate::drawing::svg::{Paint, Weight};
use crate::trade::bend_order::Handling;

/// A sign's width and half of its height, in ems.
const WIDE: f64 = 2.3;
const HIGH: f64 = 0.62;

/// From the drawing's lower edge to a sign's middle, at least, in ems.
const LOWEST: f64 = 0.85;

/// A sign's width in a narrow drawing, in ems.
const NARROW: f64 = 1.7;

/// Between a sign and its words, and at least, in ems.
const GAP: f64 = 0.45;
const LEAST_GAP: f64 = 0.2;

/// A way to move the strip, as one sees it being moved.
#[derive(Clone, Copy)]
enum Sign {
    /// From the side, as the drawing: the front edge goes over to the back.
    Flip,
    /// From above: about its middle.
    Turn,
    /// From the front: one end goes over to the other.
    FlipEnds,
}

impl Sign {
    fn of(handling: &[Handling]) -> Option<(Self, &'static str)> {
        match handling {
            [] => None,
            [Handling::Flip] => Some((Self::Flip, "flip it, front to back")),
            [Handling::Turn] => Some((Self::Turn, "turn it end for end")),
            _ => Some((Self::FlipEnds, "flip it end for end")),
        }
    }
}

impl Making<'_> {
    /// A strip without a lie is swung the way it lies on the page, in no brake.
    pub(super) fn tells_handling(&self) -> bool {
        self.lie.is_some() && self.way() == UP
    }

    /// Whether a row says what the hands do before the fold.
    pub(super) fn is_handled(&self) -> bool {
        self.tells_handling() && !self.handling.is_empty()
    }

    /// Over all else.
    pub(super) fn tell_handling(&self, pen: &mut Pen, rows: &Rows) {
        if let Some((sign, words)) = Sign::of(self.handling).filter(|_| self.tells_handling()) {
            pen.handled(sign, pen.em * rows.first, words);
        }
    }

    /// Of a hem, under all else: it is turned to be flattened.
    pub(super) fn tell_flattening(&self, pen: &mut Pen, rows: &Rows) {
        if self.tells_handling() {
            pen.handled(Sign::Turn, pen.height - pen.em * rows.first.max(LOWEST), "then turn and flatten");
        }
    }
}

impl Pen {
    /// A sign at the left edge, with its words; in a narrow drawing closer together, then the sign alone.
    fn handled(&mut self, sign: Sign, y: f64, words: &str) {
        let em = self.em;
        let words = [Words { weight: Weight::SemiBold, colour: self.theme.now, ..self.quiet(words) }];
        let row = self.row_width(&words) / em + EDGE;
        let spaced = [(super::BESIDE, WIDE, GAP), (EDGE, NARROW, LEAST_GAP)];
        let fits = spaced.into_iter().find(|(beside, wide, gap)| (beside + wide + gap + row) * em <= self.width);
        let (beside, wide, gap) = fits.unwrap_or(spaced[0]);
        let (left, middle) = (em * beside, em * (beside + wide / 2.0));
        let (ink, high) = (self.theme.ink, em * HIGH);
        let strip = Paint::stroke(ink, self.line() * 2.4);
        let quarter = std::f64::consts::FRAC_PI_2;
        match sign {
            Sign::Flip | Sign::FlipEnds => {
                let half = if matches!(sign, Sign::Flip) { em * 0.9 } else { em * wide / 2.0 };
                let foot = y + high;
                self.svg.line([middle - half, foot], [middle + half, foot], strip);
                let radius = half.min(em * 0.95);
                // From the right over to the left.
                self.swing([middle, foot - em * 0.18], radius, -0.25, -2.0 * quarter + 0.5);
            }
            Sign::Turn => {
                self.svg.line([left, y], [left + em * wide, y], strip);
                self.swing([middle, y], high, -quarter * 0.7, -quarter * 1.1);
                self.swing([middle, y], high, quarter * 1.3, -quarter * 1.1);
            }
        }
        if fits.is_some() {
            self.place([left + em * wide, y], [1.0, 0.0], em * gap, &words);
        }
    }
}
