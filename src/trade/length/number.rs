//! Numbers as a tape and a pencil list say them — `7`, `7.25`, `5/8`, `7-1/4`, `7¼`, `3¹⁵⁄₁₆` — kept exact.

use std::fmt;

/// A number that is not negative, and remembers how it was said.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub(in crate::trade) struct Number {
    whole: u64,
    part: Part,
}

#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
enum Part {
    None,
    Fraction { over: u64, under: u64 },
    Decimals { digits: u64, places: usize },
}

#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(in crate::trade) enum NumberError {
    NotANumber,
    TooBig,
    ZeroDenominator,
    /// `7-5/4`: more likely a slip than a wish.
    ImproperBesideWhole,
}

/// With these bounds a ratio times the nanometres of any unit stays within `u128`.
const MOST_WHOLE: u64 = 999_999_999;
const MOST_PLACES: usize = 18;

impl Number {
    /// Reads the number that `text` opens with; also gives what follows it. Expects [`plain`] text.
    pub fn read(text: &str) -> Result<(Self, &str), NumberError> {
        let (whole, rest) = digits(text);
        if let Some(decimals) = rest.strip_prefix('.') {
            let (digits, rest) = digits(decimals);
            let places = digits.len();
            if !(1..=MOST_PLACES).contains(&places) {
                return Err(NumberError::NotANumber);
            }
            let whole = if whole.is_empty() { 0 } else { bounded(whole)? };
            let digits = digits.parse().map_err(|_| NumberError::NotANumber)?;
            return Ok((Self { whole, part: Part::Decimals { digits, places } }, rest));
        }
        if let Some(under) = rest.strip_prefix('/') {
            let (part, rest) = fraction(whole, under)?;
            return Ok((Self { whole: 0, part }, rest));
        }
        let whole = bounded(whole)?;
        if let Some((over, under)) = fraction_beside(rest) {
            let (part, rest) = fraction(over, under)?;
            return match part {
                Part::Fraction { over, under } if over >= under => Err(NumberError::ImproperBesideWhole),
                part => Ok((Self { whole, part }, rest)),
            };
        }
        Ok((Self { whole, part: Part::None }, rest))
    }

    pub fn is_whole(self) -> bool {
        self.part == Part::None
    }

    /// Exact numerator and denominator.
    pub fn ratio(self) -> (u128, u128) {
        let whole = u128::from(self.whole);
        match self.part {
            Part::None => (whole, 1),
            Part::Fraction { over, under } => (whole * u128::from(under) + u128::from(over), u128::from(under)),
            Part::Decimals { digits, places } => {
                let under = std::iter::repeat_n(10_u128, places).product();
                (whole * under + u128::from(digits), under)
            }
        }
    }

    pub fn value(self) -> f64 {
        let (over, under) = self.ratio();
        over as f64 / under as f64
    }
}

impl fmt::Display for Number {
    fn fmt(&self, f: &mut fmt::Formatter) -> fmt::Result {
        match (self.whole, self.part) {
            (whole, Part::None) => write!(f, "{whole}"),
            (0, Part::Fraction { over, under }) => write!(f, "{over}/{under}"),
            (whole, Part::Fraction { over, under }) => write!(f, "{whole}-{over}/{under}"),
            (whole, Part::Decimals { digits, places }) => write!(f, "{whole}.{digits:0places$}"),
        }
    }
}

fn digits(text: &str) -> (&str, &str) {
    text.split_at(text.find(|c: char| !c.is_ascii_digit()).unwrap_or(text.len()))
}

fn bounded(digits: &str) -> Result<u64, NumberError> {
    if digits.is_empty() {
        return Err(NumberError::NotANumber);
    }
    match digits.parse() {
        Ok(value) if value <= MOST_WHOLE => Ok(value),
        _ => Err(NumberError::TooBig),
    }
}

/// `over` is the digits before the stroke, `rest` the text after it.
fn fraction<'a>(over: &str, rest: &'a str) -> Result<(Part, &'a str), NumberError> {
    let (under, rest) = digits(rest);
    match (bounded(over)?, bounded(under)?) {
        (_, 0) => Err(NumberError::ZeroDenominator),
        (over, under) => Ok((Part::Fraction { over, under }, rest)),
    }
}

/// A fraction set off from its whole number by spaces or a hyphen: its numerator and what follows the stroke.
fn fraction_beside(text: &str) -> Option<(&str, &str)> {
    let after_joint = text.strip_prefix('-').unwrap_or_else(|| text.trim_start());
    let (over, rest) = digits(after_joint);
    let set_off = after_joint.len() < text.len() && !over.is_empty();
    rest.strip_prefix('/').filter(|_| set_off).map(|under| (over, under))
}

/// How a digit stands. Two digits that stand differently never join into one number.
#[derive(Clone, Copy, PartialEq, Eq)]
enum Standing {
    Plain,
    Raised,
    Lowered,
    Vulgar,
}

const RAISED: [char; 10] = ['⁰', '¹', '²', '³', '⁴', '⁵', '⁶', '⁷', '⁸', '⁹'];
const LOWERED: [char; 10] = ['₀', '₁', '₂', '₃', '₄', '₅', '₆', '₇', '₈', '₉'];
const VULGAR: [(char, i64, i64); 7] =
    [('½', 1, 2), ('¼', 1, 4), ('¾', 3, 4), ('⅛', 1, 8), ('⅜', 3, 8), ('⅝', 5, 8), ('⅞', 7, 8)];

/// Typographic signs as the plain ones they stand for, in lower case and trimmed, so that one grammar reads both.
pub(in crate::trade) fn plain(text: &str) -> String {
    let mut plain = String::with_capacity(text.len());
    let mut last = None;
    for c in text.trim().chars() {
        let standing = standing(c);
        if let (Some((standing, _)), Some(last)) = (&standing, last)
            && *standing != last
        {
            plain.push(' ');
        }
        last = standing.as_ref().map(|(standing, _)| *standing);
        match (standing, c) {
            (Some((_, digits)), _) => plain.push_str(&digits),
            (None, '′' | '’' | '‘') => plain.push('\''),
            (None, '″' | '”' | '“') => plain.push('"'),
            (None, '⁄' | '∕') => plain.push('/'),
            (None, '‐' | '‑' | '–' | '−') => plain.push('-'),
            (None, c) if c.is_whitespace() => plain.push(' '),
            (None, c) => plain.extend(c.to_lowercase()),
        }
    }
    plain.replace("''", "\"")
}

fn standing(c: char) -> Option<(Standing, String)> {
    if c.is_ascii_digit() {
        return Some((Standing::Plain, c.into()));
    }
    if let Some(digit) = RAISED.iter().position(|&raised| raised == c) {
        return Some((Standing::Raised, digit.to_string()));
    }
    if let Some(digit) = LOWERED.iter().position(|&lowered| lowered == c) {
        return Some((Standing::Lowered, digit.to_string()));
    }
    let (_, over, under) = VULGAR.iter().find(|(vulgar, ..)| *vulgar == c)?;
    Some((Standing::Vulgar, format!("{over}/{under}")))
}

/// `¹⁵⁄₁₆`, `¹⁄₄`: never the ready-made `¼`, whose figures are smaller, so that all fractions read alike from afar.
/// Neither number is negative.
pub(super) fn typographic(over: i64, under: i64) -> String {
    let set = |number: i64, digits: [char; 10]| -> String {
        number.to_string().bytes().map(|digit| digits[usize::from(digit - b'0')]).collect()
    };
    format!("{}⁄{}", set(over, RAISED), set(under, LOWERED))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn numbers_are_said_back_as_they_were_said() {
        for (text, back, over, under) in [
            ("7", "7", 7, 1),
            ("007", "7", 7, 1),
            ("7.250", "7.250", 7250, 1000),
            (".5", "0.5", 5, 10),
            ("5/8", "5/8", 5, 8),
            ("2 1/2", "2-1/2", 5, 2),
            ("2½", "2-1/2", 5, 2),
            ("3¹⁵⁄₁₆", "3-15/16", 63, 16),
        ] {
            let text = plain(text);
            let (number, rest) = Number::read(&text).unwrap();
            assert_eq!((number.to_string().as_str(), number.ratio(), rest), (back, (over, under), ""));
        }
    }

    #[test]
    fn digits_that_stand_differently_never_join() {
        for text in ["½5", "¼6", "1½¼", "½½", "½⅛", "¹⁄₂5", "7²5", "²5"] {
            let text = plain(text);
            assert_ne!(Number::read(&text).map(|(_, rest)| rest), Ok(""), "{text}");
        }
    }
}
