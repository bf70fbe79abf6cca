//! What the hands do with the strip before it lies in the brake: a sign and a few words over the drawing of a fold, where the
//! drawing is tall enough. The card's text says it in any case.

use super::{Making, UP};
use crate::drawing::pen::{Pen, Words};
use crate::drawing::svg::{Paint, Weight};
use crate::trade::bend_order::Handling;

/// What such a row takes, in ems.
pub(super) const ROW: f64 = 1.6;

/// From this height on there is room for it, in ems.
const TALL: f64 = 10.4;

/// A sign's width and half of its height, in ems.
const WIDE: f64 = 2.3;
const HIGH: f64 = 0.62;

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
    /// What is kept free on the side the metal swings to, for the rows that say how the strip lies, in ems.
    pub(super) fn head(&self, pen: &Pen) -> f64 {
        let handled = self.tells_handling(pen) && !self.handling.is_empty();
        super::ROW + if handled { ROW } else { 0.0 }
    }

    /// Whether there is room for what the hands do.
    pub(super) fn tells_handling(&self, pen: &Pen) -> bool {
        self.lie.is_some() && self.way() == UP && pen.height >= TALL * pen.em
    }

    /// Over all else.
    pub(super) fn tell_handling(&self, pen: &mut Pen) {
        if let Some((sign, words)) = Sign::of(self.handling).filter(|_| self.tells_handling(pen)) {
            pen.handled(sign, pen.em * 0.9, words);
        }
    }

    /// Of a hem, under all else: it is turned to be flattened.
    pub(super) fn tell_flattening(&self, pen: &mut Pen) {
        if self.tells_handling(pen) {
            pen.handled(Sign::Turn, pen.height - pen.em * 0.9, "then turn it, and flatten");
        }
    }
}

impl Pen {
    /// A sign at the left edge, with its words.
    fn handled(&mut self, sign: Sign, y: f64, words: &str) {
        let em = self.em;
        let (left, middle) = (em * super::BESIDE, em * (super::BESIDE + WIDE / 2.0));
        let (ink, high) = (self.theme.ink, em * HIGH);
        let strip = Paint::stroke(ink, self.line() * 2.4);
        let quarter = std::f64::consts::FRAC_PI_2;
        match sign {
            Sign::Flip | Sign::FlipEnds => {
                let half = if matches!(sign, Sign::Flip) { em * 0.9 } else { em * WIDE / 2.0 };
                let foot = y + high;
                self.svg.line([middle - half, foot], [middle + half, foot], strip);
                let radius = half.min(em * 0.95);
                // From the right over to the left.
                self.swing([middle, foot - em * 0.18], radius, -0.25, -2.0 * quarter + 0.5);
            }
            Sign::Turn => {
                self.svg.line([left, y], [left + em * WIDE, y], strip);
                self.swing([middle, y], high, -quarter * 0.7, -quarter * 1.1);
                self.swing([middle, y], high, quarter * 1.3, -quarter * 1.1);
            }
        }
        let words = [Words { weight: Weight::SemiBold, colour: self.theme.now, ..self.quiet(words) }];
        self.place([left + em * WIDE, y], [1.0, 0.0], em * 0.45, &words);
    }
}
