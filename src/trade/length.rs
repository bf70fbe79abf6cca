//! Lengths: exact, and in the words of a tape measure.
//!
//! A length is a whole number of nanometres, because 1/64 in and 1 mm are both whole numbers of them: no sum of
//! shop dimensions is ever rounded, and a run's pieces add up to the run.

pub(in crate::trade) mod number;
mod parse;

use std::iter::Sum;
use std::ops::{Add, AddAssign, Mul, Neg, Sub, SubAssign};

use serde::{Deserialize, Serialize};

pub use parse::LengthError;

/// A length, in nanometres. Differences may be negative; what people write may not.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Default)]
pub struct Length(i64);

const NM_PER_MM: i64 = 1_000_000;
const NM_PER_MICROMETRE: i64 = 1_000;
/// 1 in = 25.4 mm exactly: international yard and pound agreement, 1959.
const NM_PER_INCH: i64 = 25_400_000;
const INCHES_PER_FOOT: i64 = 12;

impl Length {
    pub const ZERO: Self = Self(0);

    pub const fn from_nm(nm: i64) -> Self {
        Self(nm)
    }

    pub const fn nm(self) -> i64 {
        self.0
    }

    pub const fn inches(inches: i64) -> Self {
        Self(inches * NM_PER_INCH)
    }

    pub const fn sixty_fourths(count: i64) -> Self {
        Self(count * (NM_PER_INCH / 64))
    }

    /// In 1/10,000 in, as sheet is listed.
    pub const fn ten_thousandths(count: i64) -> Self {
        Self(count * (NM_PER_INCH / 10_000))
    }

    pub const fn millimetres(mm: i64) -> Self {
        Self(mm * NM_PER_MM)
    }

    /// A computed length, rounded to the nanometre here and nowhere else. `mm` is finite.
    pub fn from_mm(mm: f64) -> Self {
        Self((mm * NM_PER_MM as f64).round() as i64)
    }

    /// As [`Length::from_mm`], from inches.
    pub fn from_inches(inches: f64) -> Self {
        Self((inches * NM_PER_INCH as f64).round() as i64)
    }

    pub fn mm(self) -> f64 {
        self.0 as f64 / NM_PER_MM as f64
    }

    pub fn in_inches(self) -> f64 {
        self.0 as f64 / NM_PER_INCH as f64
    }

    /// The nearest whole number of `step`s, halves away from zero. `step` is positive.
    pub const fn nearest(self, step: Self) -> Self {
        let steps = (self.0.abs() + step.0 / 2) / step.0;
        Self(self.0.signum() * steps * step.0)
    }

    /// To the nearest 1/64 in, `42' 7-1/4"`, or the nearest 0.001 mm, `12985.875 mm`. What it says of a length that
    /// is a whole number of these, [`Length::parse`] reads back exactly.
    pub fn text(self, units: Units) -> String {
        match units {
            Units::In => self.feet_and_inches(Self::sixty_fourths(1), &PLAIN),
            Units::Mm => self.metric(Self(NM_PER_MICROMETRE)),
        }
    }

    /// To what a hand can set and mark, [`Units::reading`], in the words of [`Length::text`].
    pub fn reading(self, units: Units) -> String {
        match units {
            Units::In => self.feet_and_inches(units.reading(), &PLAIN),
            Units::Mm => self.metric(units.reading()),
        }
    }

    /// [`Length::reading`] set for reading across the shop: `42′ 7¹⁄₄″`, `3¹⁵⁄₁₆″`.
    pub fn big(self, units: Units) -> String {
        match units {
            Units::In => self.feet_and_inches(units.reading(), &TYPOGRAPHIC),
            Units::Mm => self.metric(units.reading()),
        }
    }

    /// [`Length::text`] set likewise.
    pub fn big_exact(self, units: Units) -> String {
        match units {
            Units::In => self.feet_and_inches(Self::sixty_fourths(1), &TYPOGRAPHIC),
            Units::Mm => self.text(units),
        }
    }

    /// A decimal finer than any tape reads, for thicknesses and for sums that are to be followed: `0.0276 in`, `0.701 mm`.
    pub fn decimal(self, units: Units) -> String {
        match units {
            Units::In => format!("{:.4} in", self.in_inches()),
            Units::Mm => format!("{:.3} mm", self.mm()),
        }
    }

    /// `step` divides an inch.
    fn feet_and_inches(self, step: Self, signs: &Signs) -> String {
        let rounded = self.nearest(step);
        let sign = if rounded < Self::ZERO { "-" } else { "" };
        let steps_per_inch = NM_PER_INCH / step.0;
        let steps = rounded.0.abs() / step.0;
        let (inches, part) = (steps / steps_per_inch, steps % steps_per_inch);
        let (feet, inches) = (inches / INCHES_PER_FOOT, inches % INCHES_PER_FOOT);

        let feet = if feet > 0 { format!("{feet}{} ", signs.feet) } else { String::new() };
        let fraction = if part > 0 {
            // `part` is below a power of two: halving both is the whole reduction.
            let halvings = part.trailing_zeros();
            (signs.fraction)(part >> halvings, steps_per_inch >> halvings)
        } else {
            String::new()
        };
        // A whole number stands beside feet even when it is 0, as on drawings: `10' 0-1/4"`.
        let inches = match (feet.is_empty(), inches, part) {
            (true, 0, 1..) => fraction,
            (_, _, 0) => inches.to_string(),
            _ => format!("{inches}{}{fraction}", signs.joint),
        };
        format!("{sign}{feet}{inches}{}", signs.inches)
    }

    /// `step` is a whole number of micrometres.
    fn metric(self, step: Self) -> String {
        let rounded = self.nearest(step);
        let sign = if rounded < Self::ZERO { "-" } else { "" };
        let micrometres = rounded.0.abs() / NM_PER_MICROMETRE;
        let decimals = format!("{}.{:03}", micrometres / 1000, micrometres % 1000);
        let trimmed = decimals.trim_end_matches('0').trim_end_matches('.');
        format!("{sign}{trimmed} mm")
    }
}

/// The two systems a shop may measure in.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Units {
    In,
    Mm,
}

impl Units {
    /// The finest step a hand at the bench sets and marks: 1/16 in or 1 mm.
    pub const fn reading(self) -> Length {
        match self {
            Self::In => Length::sixty_fourths(4),
            Self::Mm => Length::millimetres(1),
        }
    }
}

/// How feet and inches are written.
struct Signs {
    feet: &'static str,
    inches: &'static str,
    /// Between a whole number and its fraction.
    joint: &'static str,
    fraction: fn(i64, i64) -> String,
}

const PLAIN: Signs = Signs { feet: "'", inches: "\"", joint: "-", fraction: |over, under| format!("{over}/{under}") };

const TYPOGRAPHIC: Signs = Signs { feet: "′", inches: "″", joint: "", fraction: number::typographic };

impl Add for Length {
    type Output = Self;
    fn add(self, other: Self) -> Self {
        Self(self.0 + other.0)
    }
}

impl Sub for Length {
    type Output = Self;
    fn sub(self, other: Self) -> Self {
        Self(self.0 - other.0)
    }
}

impl Neg for Length {
    type Output = Self;
    fn neg(self) -> Self {
        Self(-self.0)
    }
}

impl Mul<i64> for Length {
    type Output = Self;
    fn mul(self, times: i64) -> Self {
        Self(self.0 * times)
    }
}

impl AddAssign for Length {
    fn add_assign(&mut self, other: Self) {
        *self = *self + other;
    }
}

impl SubAssign for Length {
    fn sub_assign(&mut self, other: Self) {
        *self = *self - other;
    }
}

impl Sum for Length {
    fn sum<I: Iterator<Item = Self>>(lengths: I) -> Self {
        lengths.fold(Self::ZERO, Add::add)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    /// 1 km, the longest length that parses.
    const LONGEST_MM: i64 = 1_000_000;

    #[test]
    fn inches_are_said_as_on_a_tape() {
        for (sixty_fourths, text) in [
            (0, "0\""),
            (16, "1/4\""),
            (7 * 64 + 16, "7-1/4\""),
            (64 * 12, "1' 0\""),
            (64 * 120 + 1, "10' 0-1/64\""),
            (64 * 511 + 16, "42' 7-1/4\""),
            (-(64 * 7 + 32), "-7-1/2\""),
        ] {
            assert_eq!(Length::sixty_fourths(sixty_fourths).text(Units::In), text);
        }
    }

    #[test]
    fn rounding_carries_into_inches_and_feet() {
        let just_short = Length::inches(12) - Length::from_nm(1);
        assert_eq!(just_short.text(Units::In), "1' 0\"");
        assert_eq!((Length::inches(1) - Length::sixty_fourths(1)).reading(Units::In), "1\"");
        assert_eq!((-Length::from_nm(1)).text(Units::In), "0\"");
    }

    #[test]
    fn millimetres_drop_the_zeros_they_do_not_need() {
        assert_eq!(Length::sixty_fourths(64 * 511 + 16).text(Units::Mm), "12985.75 mm");
        assert_eq!(Length::millimetres(100).text(Units::Mm), "100 mm");
        assert_eq!(Length::ZERO.text(Units::Mm), "0 mm");
        assert_eq!(Length::from_mm(2.5).reading(Units::Mm), "3 mm");
    }

    #[test]
    fn the_bench_screen_sets_fractions() {
        assert_eq!(Length::sixty_fourths(64 * 511 + 16).big(Units::In), "42′ 7¹⁄₄″");
        assert_eq!(Length::sixty_fourths(64 * 3 + 60).big(Units::In), "3¹⁵⁄₁₆″");
        assert_eq!(Length::sixty_fourths(56).big(Units::In), "⁷⁄₈″");
        assert_eq!(Length::millimetres(12986).big(Units::Mm), "12986 mm");
    }

    proptest! {
        #[test]
        fn every_64th_is_read_back(count in 0..=LONGEST_MM * 640 / 254) {
            let length = Length::sixty_fourths(count);
            prop_assert_eq!(Length::parse(&length.text(Units::In), Units::In), Ok(length));
            prop_assert_eq!(Length::parse(&length.text(Units::In), Units::Mm), Ok(length));
        }

        #[test]
        fn every_micrometre_is_read_back(count in 0..=LONGEST_MM * 1000) {
            let length = Length::from_nm(count * 1000);
            prop_assert_eq!(Length::parse(&length.text(Units::Mm), Units::Mm), Ok(length));
        }

        #[test]
        fn readings_are_read_back_and_are_the_nearest(nm in 0..=LONGEST_MM * 999_000) {
            let length = Length::from_nm(nm);
            for units in [Units::In, Units::Mm] {
                let reading = Length::parse(&length.reading(units), units).unwrap();
                prop_assert!((reading - length).nm().abs() * 2 <= units.reading().nm());
                prop_assert_eq!(Length::parse(&length.big(units), units), Ok(reading));
            }
        }

        #[test]
        fn floats_round_once(nm in -LONGEST_MM * 1_000_000..=LONGEST_MM * 1_000_000) {
            let length = Length::from_nm(nm);
            prop_assert_eq!(Length::from_mm(length.mm()), length);
            prop_assert_eq!(Length::from_inches(length.in_inches()), length);
        }
    }
}
