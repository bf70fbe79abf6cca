//! Reading a length as people write one: `42' 7-1/4"`, `511 1/4`, `12.985 m`.
//!
//! What could be a slip is refused rather than guessed: a misread digit costs a piece of metal.

use thiserror::Error;

use super::number::{Number, NumberError, plain};
use super::{INCHES_PER_FOOT, Length, NM_PER_INCH, NM_PER_MM, Units};

/// Nothing on a roof is longer: 1 km.
const LONGEST: Length = Length::millimetres(1_000_000);

const HOW: &str = r#"write feet and inches (42' 7-1/4"), inches (511 1/4), or metric (12.985 m, 12985 mm)"#;

/// Why a text or number is not a length, and what would be right.
#[derive(Debug, Clone, PartialEq, Eq, Error)]
pub enum LengthError {
    #[error("no length was given: {}", HOW)]
    Empty,
    #[error("\"{text}\" is not a length: {}", HOW)]
    NotALength { text: String },
    #[error("\"{text}\" is negative: a length is 0 or more")]
    Negative { text: String },
    #[error("\"{text}\" divides by zero: write a fraction like 1/4")]
    ZeroDenominator { text: String },
    #[error("\"{text}\" has a fraction of 1 or more beside a whole number: write one like 7-1/4")]
    ImproperFraction { text: String },
    #[error(
        "\"{text}\" has 12 inches or more beside feet: if it is right, write {}",
        meant.text(Units::In)
    )]
    InchesBesideFeet { text: String, meant: Length },
    #[error("\"{text}\" has part of a foot beside inches: write whole feet, like 42' 7-1/4\"")]
    PartFootBesideInches { text: String },
    #[error("\"{text}\" is longer than 1 km: check the number and its unit")]
    TooLong { text: String },
}

impl Length {
    /// Reads a length; a number without a unit is in `units`. Decimals are exact; one that is not a whole number of
    /// nanometres is rounded once.
    pub fn parse(text: &str, units: Units) -> Result<Self, LengthError> {
        let said = || shortened(text);
        let refuse = |error| match error {
            NumberError::NotANumber => LengthError::NotALength { text: said() },
            NumberError::TooBig => LengthError::TooLong { text: said() },
            NumberError::ZeroDenominator => LengthError::ZeroDenominator { text: said() },
            NumberError::ImproperBesideWhole => LengthError::ImproperFraction { text: said() },
        };
        let not_a_length = || LengthError::NotALength { text: said() };

        let plain = plain(text);
        if plain.is_empty() {
            return Err(LengthError::Empty);
        }
        if plain.starts_with('-') {
            return Err(LengthError::Negative { text: said() });
        }
        let (number, rest) = Number::read(&plain).map_err(refuse)?;
        let (unit, rest) = Unit::read(rest);
        let length = match (unit, rest) {
            (_, "") => unit.unwrap_or(units.into()).times(number),
            (Some(Unit::Foot), rest) => {
                let rest = rest.strip_prefix('-').unwrap_or(rest).trim_start();
                let (inches, rest) = Number::read(rest).map_err(refuse)?;
                let (Unit::Inch, "") = Unit::read_or(rest, Unit::Inch) else {
                    return Err(not_a_length());
                };
                if !number.is_whole() {
                    return Err(LengthError::PartFootBesideInches { text: said() });
                }
                let inches = Unit::Inch.times(inches);
                let meant = Unit::Foot.times(number) + inches;
                if inches >= Self::inches(INCHES_PER_FOOT) {
                    return Err(LengthError::InchesBesideFeet { text: said(), meant });
                }
                meant
            }
            _ => return Err(not_a_length()),
        };
        if length > LONGEST {
            return Err(LengthError::TooLong { text: said() });
        }
        Ok(length)
    }

    /// A bare number in `units`, rounded once to the nanometre.
    pub fn from_number(number: f64, units: Units) -> Result<Self, LengthError> {
        let text = || shortened(&number.to_string());
        if number.is_nan() {
            return Err(LengthError::NotALength { text: text() });
        }
        if number < 0.0 {
            return Err(LengthError::Negative { text: text() });
        }
        // Compared before it is rounded: a float may lie far beyond any nanometre count.
        let unit = Unit::from(units).nm() as f64;
        if number * unit > LONGEST.nm() as f64 {
            return Err(LengthError::TooLong { text: text() });
        }
        Ok(Self::from_nm((number * unit).round() as i64))
    }
}

#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Unit {
    Millimetre,
    Centimetre,
    Metre,
    Inch,
    Foot,
}

/// Each before any that it begins with.
const SIGNS: [(&str, Unit); 13] = [
    ("mm", Unit::Millimetre),
    ("cm", Unit::Centimetre),
    ("m", Unit::Metre),
    ("inches", Unit::Inch),
    ("inch", Unit::Inch),
    ("in.", Unit::Inch),
    ("in", Unit::Inch),
    ("\"", Unit::Inch),
    ("feet", Unit::Foot),
    ("foot", Unit::Foot),
    ("ft.", Unit::Foot),
    ("ft", Unit::Foot),
    ("'", Unit::Foot),
];

impl Unit {
    /// Reads the unit that `text` opens with, if any; also gives what follows it. Spaces around it mean nothing.
    fn read(text: &str) -> (Option<Self>, &str) {
        let text = text.trim_start();
        SIGNS
            .iter()
            .find_map(|&(sign, unit)| Some((Some(unit), text.strip_prefix(sign)?.trim_start())))
            .unwrap_or((None, text))
    }

    fn read_or(text: &str, unit: Self) -> (Self, &str) {
        let (read, rest) = Self::read(text);
        (read.unwrap_or(unit), rest)
    }

    const fn nm(self) -> i64 {
        match self {
            Self::Millimetre => NM_PER_MM,
            Self::Centimetre => NM_PER_MM * 10,
            Self::Metre => NM_PER_MM * 1000,
            Self::Inch => NM_PER_INCH,
            Self::Foot => NM_PER_INCH * INCHES_PER_FOOT,
        }
    }

    /// Rounded once, halves up.
    fn times(self, number: Number) -> Length {
        let (over, under) = number.ratio();
        let nm = (over * u128::from(self.nm().unsigned_abs()) * 2 + under) / (under * 2);
        // Both bounds of `Number` are 10^9, so this is at most 10^18 nm.
        Length::from_nm(i64::try_from(nm).unwrap_or(i64::MAX))
    }
}

impl From<Units> for Unit {
    fn from(units: Units) -> Self {
        match units {
            Units::In => Self::Inch,
            Units::Mm => Self::Millimetre,
        }
    }
}

/// Enough of a text to know it by in a message.
fn shortened(text: &str) -> String {
    const MOST: usize = 40;
    let text = text.trim();
    match text.char_indices().nth(MOST) {
        Some((end, _)) => format!("{}…", &text[..end]),
        None => text.into(),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    #[test]
    fn one_length_said_many_ways() {
        let length = Length::sixty_fourths(64 * 511 + 16);
        for text in [
            "42' 7-1/4\"",
            "42'7 1/4\"",
            "42'-7 1/4\"",
            "42' - 7 1/4\"",
            "42' 7-1/4''",
            "42′ 7¼″",
            "42′\u{2009}7\u{202f}¹⁄₄″",
            "42’ 7¼”",
            "42 ft 7 1/4 in",
            "42 ft. 7.25 in.",
            "42FT 7¼IN",
            "42 feet 7 1/4 inches",
            "42' 7 1/4",
            "511 1/4",
            "511-1/4",
            "511.25",
            "511.25\"",
            " 511¼ in ",
            "12985.75 mm",
            "1298.575 cm",
            "12.98575 m",
        ] {
            assert_eq!(Length::parse(text, Units::In), Ok(length), "{text}");
        }
    }

    #[test]
    fn a_bare_number_is_in_the_orders_units() {
        assert_eq!(Length::parse("6", Units::In), Ok(Length::inches(6)));
        assert_eq!(Length::parse("6", Units::Mm), Ok(Length::millimetres(6)));
        assert_eq!(Length::parse("6 in", Units::Mm), Ok(Length::inches(6)));
        assert_eq!(Length::parse("42 1/2 ft", Units::Mm), Ok(Length::inches(510)));
        assert_eq!(Length::parse("42'", Units::In), Ok(Length::inches(504)));
    }

    #[test]
    fn decimals_are_exact_and_rounded_once() {
        assert_eq!(Length::parse("7.1 in", Units::Mm), Ok(Length::from_nm(180_340_000)));
        assert_eq!(Length::parse("1/3 in", Units::In), Ok(Length::from_nm(8_466_667)));
        assert_eq!(Length::parse("0.0000005 mm", Units::In), Ok(Length::from_nm(1)));
        assert_eq!(Length::from_number(7.1, Units::In), Ok(Length::from_nm(180_340_000)));
    }

    #[test]
    fn what_is_not_a_length_is_refused_with_what_would_be_right() {
        for (text, message) in [
            ("  ", "no length was given"),
            ("42' 7-1/4x", "\"42' 7-1/4x\" is not a length: write feet and inches (42' 7-1/4\")"),
            ("NaN", "is not a length"),
            ("inf", "is not a length"),
            ("1e3", "is not a length"),
            ("7.", "is not a length"),
            ("12,985 m", "is not a length"),
            ("7.5 1/4", "is not a length"),
            ("7 - 1/4", "is not a length"),
            ("7 3", "is not a length"),
            ("7\" 3'", "is not a length"),
            ("42' 7 mm", "is not a length"),
            ("42' 7' 3\"", "is not a length"),
            ("7 min", "is not a length"),
            ("-7", "is negative"),
            ("−7", "is negative"),
            ("7-1/0", "divides by zero"),
            ("7-4/4", "fraction of 1 or more"),
            ("5' 12\"", "write 6' 0\""),
            ("5' 14\"", "write 6' 2\""),
            ("42.5' 3\"", "write whole feet"),
            ("1000.001 m", "longer than 1 km"),
            ("99999999999999999999999999999", "longer than 1 km"),
        ] {
            let error = Length::parse(text, Units::In).unwrap_err().to_string();
            assert!(error.contains(message), "{text}: {error}");
        }
        for (number, message) in
            [(f64::NAN, "not a length"), (-0.5, "negative"), (f64::INFINITY, "1 km"), (1e300, "1 km")]
        {
            let error = Length::from_number(number, Units::Mm).unwrap_err().to_string();
            assert!(error.contains(message), "{number}: {error}");
        }
    }

    #[test]
    fn a_long_text_is_not_thrown_back_whole() {
        let error = Length::parse(&"¼x".repeat(100_000), Units::In).unwrap_err();
        assert!(error.to_string().len() < 250);
    }

    proptest! {
        #[test]
        fn decimal_inches_are_exact(thousandths in 0_i64..30_000_000) {
            let text = format!("{}.{:03} in", thousandths / 1000, thousandths % 1000);
            prop_assert_eq!(Length::parse(&text, Units::Mm), Ok(Length::from_nm(thousandths * 25_400)));
        }

        #[test]
        fn any_text_is_read_or_refused(text in r#"([0-9]{0,20}|[ ./'"¼⁄-]|[¹₂]|mm|ft|\PC){0,12}"#) {
            if let Ok(length) = Length::parse(&text, Units::In) {
                prop_assert!((Length::ZERO..=LONGEST).contains(&length));
            }
        }
    }
}
