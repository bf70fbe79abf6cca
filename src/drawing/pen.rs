//! The draughtsman's hand: words, dimension lines, arrows and hatching, all sized from the drawing.
//!
//! One em is the least size any word is set in. At a step it is a ninth of the height, or a sixteenth of the width where
//! that is less, and no less than asked for where there is room: only who shows it knows how large a pixel is.

use super::svg::{Anchor, Paint, Svg, Type, Weight};
use super::{Look, Theme, raster};
use crate::order::plan::Measure;
use crate::trade::length::{Length, Units};
use crate::trade::plane::{along, dot, length, less};
use crate::words;

/// A drawing in the making.
pub struct Pen {
    pub svg: Svg,
    pub theme: Theme,
    /// Into the drawing's language.
    translation: words::Words,
    /// The size of the smallest words, in user units.
    pub em: f64,
    pub width: f64,
    pub height: f64,
}

/// A few words set alike. Several in a row share a baseline.
#[derive(Debug, Clone)]
pub struct Words {
    pub text: String,
    /// Their size, in the pen's ems.
    pub ems: f64,
    pub weight: Weight,
    pub colour: &'static str,
}

/// Half of a capital's height, in ems: from a line's middle down to its baseline.
pub const HALF_CAPITAL: f64 = 0.33;

/// How far a line runs on past its arrows where they point at each other, and from there to the words, in ems.
pub const TAIL: f64 = 0.75;
pub const PAST: f64 = 0.4;

/// Between words and the drawing's edge, in ems.
pub const EDGE: f64 = 0.3;

/// Between two words of a row, in the pen's ems.
const SPACE: f64 = 0.32;

/// A dimension: a line with arrows between two points, beside the part, with its words.
pub struct Dimension<'a> {
    pub from: [f64; 2],
    pub to: [f64; 2],
    /// Unit vector from the part to the line.
    pub away: [f64; 2],
    /// Where the line lies, counted along `away`.
    pub level: f64,
    pub words: &'a [Words],
    pub words_at: WordsAt,
    pub now: bool,
}

#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum WordsAt {
    /// Beyond the line, at its middle.
    Beyond,
    /// In the line, which makes way for them.
    Inside,
    /// In line with it, past its `to`.
    PastTo,
}

fn usual_em(width: f64, height: f64) -> f64 {
    (height / 9.0).min(width / 16.0)
}

/// The em asked for, as far as the drawing is so many wide and high; no less than usual.
fn asked_em([width, height]: [f64; 2], ems: [f64; 2], look: Look) -> f64 {
    let (usual, most) = (usual_em(width, height), (width / ems[0]).min(height / ems[1]));
    look.em.map_or(usual, |em| em.min(most).max(usual))
}

impl Pen {
    /// For one step's drawing, read at arm's length, that takes at least so many ems.
    pub fn at_arms_length([width, height]: [f64; 2], ems: [f64; 2], look: Look) -> Self {
        Self::new(width, height, asked_em([width, height], ems, look), look)
    }

    /// What words at a step are set in where nothing larger is asked for.
    pub fn usual_em(&self) -> f64 {
        usual_em(self.width, self.height)
    }

    /// For all there is to know in one drawing, read in the hand: words half as large.
    pub fn in_the_hand(width: f64, height: f64, look: Look) -> Self {
        Self::new(width, height, (height / 18.0).min(width / 32.0), look)
    }

    fn new(width: f64, height: f64, em: f64, Look { theme, language, .. }: Look) -> Self {
        let mut svg = Svg::new(width, height);
        svg.rect(0.0, 0.0, width, height, Paint::fill(theme.paper));
        Self { svg, theme, translation: words::Words::of(language), em, width, height }
    }

    pub fn finish(self) -> String {
        self.svg.finish()
    }

    /// The width of an ordinary outline.
    pub fn line(&self) -> f64 {
        self.em / 16.0
    }

    /// English `text`, in the drawing's language.
    pub fn quiet(&self, text: impl AsRef<str>) -> Words {
        let text = self.translation.say(text.as_ref());
        Words { text, ems: 1.0, weight: Weight::Regular, colour: self.theme.ink }
    }

    pub fn value(&self, text: impl AsRef<str>) -> Words {
        Words { ems: 1.15, weight: Weight::SemiBold, ..self.quiet(text) }
    }

    /// The one number the hands need now.
    pub fn now(&self, text: impl AsRef<str>) -> Words {
        Words { ems: 1.5, weight: Weight::Bold, colour: self.theme.now, ..self.quiet(text) }
    }

    /// A value, or the one number the hands need.
    pub fn number(&self, text: impl AsRef<str>, now: bool) -> Words {
        if now { self.now(text) } else { self.value(text) }
    }

    /// Width of `words` in a row, in user units.
    pub fn row_width(&self, words: &[Words]) -> f64 {
        let words_only: f64 = words.iter().map(|words| self.width_of(words)).sum();
        words_only + SPACE * self.em * words.len().saturating_sub(1) as f64
    }

    /// `words`, or their numbers alone where there is no room for more.
    pub fn fit(&self, mut words: Vec<Words>, room: f64) -> Vec<Words> {
        if self.row_width(&words) > room {
            words.retain(|words| words.weight != Weight::Regular);
        }
        words
    }

    fn width_of(&self, words: &Words) -> f64 {
        raster::measure(&words.text, words.weight).ems * words.ems * self.em
    }

    /// Sets `words` in a row, level, clear of `at` by `gap` in the direction of the unit vector `toward`, and inside the
    /// drawing.
    pub fn place(&mut self, at: [f64; 2], toward: [f64; 2], gap: f64, words: &[Words]) {
        let tallest = words.iter().map(|words| words.ems).fold(0.0, f64::max) * self.em;
        let half = [self.row_width(words) / 2.0, tallest * 0.42];
        let centre = along(at, toward, gap + toward[0].abs() * half[0] + toward[1].abs() * half[1]);
        let inside = |value: f64, half: f64, edge: f64, size: f64| value.min(size - edge - half).max(edge + half);
        let mut x = inside(centre[0], half[0], self.em * EDGE, self.width) - half[0];
        // Letters that reach down do so by half of their capitals' height and more.
        let baseline = inside(centre[1], tallest * 0.54, 0.0, self.height) + HALF_CAPITAL * tallest;
        for words in words {
            let set =
                Type { size: words.ems * self.em, weight: words.weight, anchor: Anchor::Start, colour: words.colour };
            self.svg.text([x, baseline], &words.text, set);
            x += self.width_of(words) + SPACE * self.em;
        }
    }

    /// Sets one word up to a point: its right edge, half way up its capitals. So rows of numbers line up.
    pub fn set_up_to(&mut self, [right, middle]: [f64; 2], words: &Words) {
        let set = Type { size: words.ems * self.em, weight: words.weight, anchor: Anchor::Start, colour: words.colour };
        let at = [right - self.width_of(words), middle + HALF_CAPITAL * set.size];
        self.svg.text(at, &words.text, set);
    }

    pub fn dimension(&mut self, dimension: &Dimension) {
        let Dimension { from, to, away, level, words, words_at, now } = *dimension;
        let (colour, width) = self.stroke(now);
        let [a, b] = [from, to].map(|point| along(point, away, level - dot(point, away)));
        for (point, end) in [(from, a), (to, b)] {
            let start = along(point, away, self.em * 0.15);
            self.svg.line(start, along(end, away, self.em * 0.25), Paint::stroke(self.theme.faint, self.line() * 0.7));
        }

        let span = length(less(b, a));
        if span <= 0.0 {
            return;
        }
        let toward = less(b, a).map(|part| part / span);
        let back = [-toward[0], -toward[1]];
        let inside = span > self.em * 1.4;
        let tail = if inside { 0.0 } else { TAIL * self.em };
        let (heads, line) = if inside { ([back, toward], self.em * 0.3) } else { ([toward, back], 0.0) };
        // The line stops inside its arrows' bodies, so that their points stay sharp.
        self.svg.line(along(a, toward, line), along(b, back, line), Paint::stroke(colour, width));
        for ((point, head), out) in [a, b].into_iter().zip(heads).zip([back, toward]) {
            if !inside {
                self.svg.line(along(point, out, self.em * 0.3), along(point, out, tail), Paint::stroke(colour, width));
            }
            self.arrow(point, head, colour);
        }
        match words_at {
            WordsAt::Beyond => {
                self.place([f64::midpoint(a[0], b[0]), f64::midpoint(a[1], b[1])], away, self.em * 0.55, words)
            }
            WordsAt::Inside => {
                let middle = [f64::midpoint(a[0], b[0]), f64::midpoint(a[1], b[1])];
                let half = self.row_width(words) / 2.0 + self.em * 0.25;
                let [from, to] = [-half, half].map(|off| along(middle, toward, off));
                self.svg.line(from, to, Paint::stroke(self.theme.paper, width * 2.0));
                self.place(middle, [0.0, 0.0], 0.0, words);
            }
            WordsAt::PastTo => self.place(b, toward, tail + PAST * self.em, words),
        }
    }

    /// Colour and width of a line, quiet or for what is done now.
    pub fn stroke(&self, now: bool) -> (&'static str, f64) {
        if now { (self.theme.now, self.line() * 1.8) } else { (self.theme.faint, self.line()) }
    }

    /// An arrow's head with its point at `tip`, in the direction of the unit vector `toward`.
    pub fn arrow(&mut self, tip: [f64; 2], toward: [f64; 2], colour: &str) {
        let base = along(tip, toward, -self.em * 0.5);
        let across = [-toward[1], toward[0]];
        let half = self.em * 0.19;
        self.svg.polygon(&[tip, along(base, across, half), along(base, across, -half)], Paint::fill(colour));
    }

    /// Slanted lines over a polygon, `spacing` ems apart.
    pub fn hatch(&mut self, polygon: &[[f64; 2]], spacing: f64, colour: &str, width: f64) {
        for [from, to] in hatching(polygon, spacing * self.em) {
            self.svg.line(from, to, Paint::stroke(colour, width));
        }
    }
}

/// Where lines of constant x + y, `spacing` apart, lie inside `polygon`.
fn hatching(polygon: &[[f64; 2]], spacing: f64) -> Vec<[[f64; 2]; 2]> {
    let sums = || polygon.iter().map(|[x, y]| x + y);
    let (least, most) = (sums().fold(f64::MAX, f64::min), sums().fold(f64::MIN, f64::max));
    let step = spacing * std::f64::consts::SQRT_2;
    let mut lines = Vec::new();
    // Half a step off the corners, where a line would only touch.
    let mut sum = least + step / 2.0;
    while sum < most {
        let edges = polygon.iter().zip(polygon.iter().cycle().skip(1));
        let mut crossings: Vec<[f64; 2]> = edges
            .filter_map(|(a, b)| {
                let (from, to) = (a[0] + a[1] - sum, b[0] + b[1] - sum);
                let part = from / (from - to);
                ((from < 0.0) != (to < 0.0)).then(|| along(*a, less(*b, *a), part))
            })
            .collect();
        crossings.sort_by(|a, b| a[0].total_cmp(&b[0]));
        lines.extend(crossings.chunks_exact(2).map(|pair| [pair[0], pair[1]]));
        sum += step;
    }
    lines
}

/// A measure set for reading across the shop.
pub fn big(measure: &Measure) -> String {
    measure.big()
}

/// A length taken from the drawing itself, in the units of `like`.
pub fn big_mm(mm: f64, like: &Measure) -> String {
    Length::from_mm(mm).big(units(like))
}

fn units(measure: &Measure) -> Units {
    if measure.text.ends_with("mm") { Units::Mm } else { Units::In }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn hatching_stays_inside_and_covers_a_square() {
        let lines = hatching(&[[0.0, 0.0], [10.0, 0.0], [10.0, 10.0], [0.0, 10.0]], 0.1);
        assert!(lines.iter().flatten().flatten().all(|v| (-1e-9..=10.0 + 1e-9).contains(v)));
        let inked: f64 = lines.iter().map(|&[a, b]| length(less(b, a))).sum();
        assert!((inked * 0.1 - 100.0).abs() < 0.5);
    }

    #[test]
    fn a_measure_is_set_as_fine_as_its_own_words() {
        let exact = |sixty_fourths| Measure::exact(Length::sixty_fourths(sixty_fourths), Units::In);
        assert_eq!(big(&exact(64 * 5 + 32)), "5¹⁄₂″");
        assert_eq!(big(&exact(64 * 5 + 1)), "5¹⁄₆₄″");
        assert_eq!(big(&Measure::reading(Length::from_mm(99.6), Units::Mm)), "100 mm");
    }
}
