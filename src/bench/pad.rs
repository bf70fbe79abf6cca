//! The keypad's sum: what the keys pressed so far come to, exactly, and how that is read back.
//!
//! A tape is read in feet, inches and the marks between them; a sixteenth is eight keys less than its decimals. So the
//! halves, quarters, eighths and sixteenths are put in by hand, each once, and add up.

use super::screen::PadKey;
use crate::order::bounds::LONGEST_MEASURED;
use crate::trade::length::{Length, Units};

/// The keys pressed, the last of them last.
#[derive(Debug, Clone, PartialEq)]
pub struct Pad {
    units: Units,
    keys: Vec<PadKey>,
}

/// As many digits as [`LONGEST_MEASURED`] has, in feet, inches, and millimetres.
const MOST_FEET: usize = 3;
const MOST_INCHES: usize = 4;
const MOST_MILLIMETRES: usize = 6;
const MOST_DECIMALS: usize = 3;

/// Why the keys are no length.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum NoLength {
    /// Nothing, or more than [`LONGEST_MEASURED`].
    OutOfBounds,
    /// A foot's worth of inches or more.
    InchesBesideFeet,
}

/// What the keys come to, part by part.
#[derive(Debug, Default, PartialEq)]
struct Parts {
    feet: Option<i64>,
    /// Digits of whole inches or millimetres.
    whole: String,
    /// Digits after the decimal sign.
    decimals: Option<String>,
    fractions: [bool; 4],
}

impl Pad {
    pub fn new(units: Units) -> Self {
        Self { units, keys: Vec::new() }
    }

    pub fn units(&self) -> Units {
        self.units
    }

    /// A key that cannot follow the others changes nothing.
    pub fn press(&mut self, key: PadKey) {
        let parts = self.parts();
        let takes = match (self.units, key) {
            (_, PadKey::Erase) => {
                self.keys.pop();
                false
            }
            (Units::In, PadKey::Digit(digit)) => {
                let most = if parts.feet.is_some() { 2 } else { MOST_INCHES };
                digit <= 9 && parts.whole.len() < most
            }
            (Units::In, PadKey::Feet) => parts.feet.is_none() && (1..=MOST_FEET).contains(&parts.whole.len()),
            (Units::In, PadKey::Fraction(part)) => {
                let there = self.keys.iter().position(|pressed| *pressed == key);
                there.map(|at| self.keys.remove(at));
                part < 4 && there.is_none()
            }
            (Units::Mm, PadKey::Digit(digit)) => {
                let room = match &parts.decimals {
                    Some(decimals) => decimals.len() < MOST_DECIMALS,
                    None => parts.whole.len() < MOST_MILLIMETRES,
                };
                digit <= 9 && room
            }
            (Units::Mm, PadKey::Point) => parts.decimals.is_none() && !parts.whole.is_empty(),
            (Units::In, PadKey::Point) | (Units::Mm, PadKey::Feet | PadKey::Fraction(_)) => false,
        };
        if takes {
            self.keys.push(key);
        }
    }

    fn parts(&self) -> Parts {
        let mut parts = Parts::default();
        for key in &self.keys {
            match *key {
                PadKey::Digit(digit) => {
                    let digit = char::from(b'0' + digit);
                    parts.decimals.as_mut().unwrap_or(&mut parts.whole).push(digit);
                }
                PadKey::Feet => parts.feet = std::mem::take(&mut parts.whole).parse().ok(),
                PadKey::Fraction(part) => parts.fractions[usize::from(part)] = true,
                PadKey::Point => parts.decimals = Some(String::new()),
                PadKey::Erase => {}
            }
        }
        parts
    }

    /// Which halves, quarters, eighths and sixteenths are in.
    pub fn fractions(&self) -> [bool; 4] {
        self.parts().fractions
    }

    /// The keys as a length.
    ///
    /// # Errors
    /// What keeps them from being one.
    pub fn length(&self) -> Result<Length, NoLength> {
        let parts = self.parts();
        let length = match self.units {
            Units::In => {
                let inches = if parts.whole.is_empty() { Ok(0) } else { parts.whole.parse::<i64>() };
                let inches = inches.map_err(|_| NoLength::OutOfBounds)?;
                // Twelve inches beside feet are more likely a slip than a wish.
                if parts.feet.is_some() && inches >= 12 {
                    return Err(NoLength::InchesBesideFeet);
                }
                Length::inches(12 * parts.feet.unwrap_or(0) + inches) + parts.fraction()
            }
            Units::Mm => {
                let decimals = parts.decimals.as_ref().filter(|decimals| !decimals.is_empty());
                let text =
                    decimals.map_or_else(|| parts.whole.clone(), |decimals| format!("{}.{decimals}", parts.whole));
                Length::parse(&text, Units::Mm).map_err(|_| NoLength::OutOfBounds)?
            }
        };
        if length > Length::ZERO && length <= LONGEST_MEASURED { Ok(length) } else { Err(NoLength::OutOfBounds) }
    }

    /// What was typed, set for reading: `8′ 10⁵⁄₈″`; empty at first.
    pub fn typed(&self) -> String {
        if self.keys.is_empty() {
            return String::new();
        }
        let parts = self.parts();
        match self.units {
            Units::Mm => {
                let decimals = parts.decimals.map(|decimals| format!(".{decimals}")).unwrap_or_default();
                format!("{}{decimals} mm", parts.whole)
            }
            Units::In => {
                let fraction = parts.fraction();
                let fraction = if fraction > Length::ZERO { fraction.big(Units::In) } else { "″".into() };
                match parts.feet {
                    None => format!("{}{fraction}", parts.whole),
                    Some(feet) if parts.whole.is_empty() && fraction == "″" => format!("{feet}′"),
                    Some(feet) if parts.whole.is_empty() => format!("{feet}′ 0{fraction}"),
                    Some(feet) => format!("{feet}′ {}{fraction}", parts.whole),
                }
            }
        }
    }
}

impl Parts {
    fn fraction(&self) -> Length {
        let sixteenths = [8, 4, 2, 1].iter().zip(self.fractions).filter(|(_, is_in)| *is_in).map(|(part, _)| part);
        Length::sixty_fourths(4 * sixteenths.sum::<i64>())
    }
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::*;

    fn press(units: Units, keys: &str) -> Pad {
        let mut pad = Pad::new(units);
        for key in keys.chars() {
            pad.press(match key {
                '\'' => PadKey::Feet,
                '.' => PadKey::Point,
                '<' => PadKey::Erase,
                'h' => PadKey::Fraction(0),
                'q' => PadKey::Fraction(1),
                'e' => PadKey::Fraction(2),
                's' => PadKey::Fraction(3),
                digit => PadKey::Digit(digit as u8 - b'0'),
            });
        }
        pad
    }

    #[test]
    fn keys_are_read_back_as_they_were_pressed() {
        for (units, keys, typed, length) in [
            (Units::In, "", "", None),
            (Units::In, "8", "8″", Some("8 in")),
            (Units::In, "8'", "8′", Some("8'")),
            (Units::In, "8'10he", "8′ 10⁵⁄₈″", Some("8' 10-5/8\"")),
            (Units::In, "8'he", "8′ 0⁵⁄₈″", Some("8' 0-5/8\"")),
            (Units::In, "106he", "106⁵⁄₈″", Some("106-5/8 in")),
            (Units::In, "hqes", "¹⁵⁄₁₆″", Some("15/16 in")),
            (Units::In, "106hh", "106″", Some("106 in")),
            (Units::In, "8'12", "8′ 12″", None),
            (Units::In, "8'12<1", "8′ 11″", Some("8' 11\"")),
            (Units::In, "'.5", "5″", Some("5 in")),
            (Units::In, "0", "0″", None),
            (Units::Mm, "2705.5", "2705.5 mm", Some("2705.5 mm")),
            (Units::Mm, "2705.", "2705. mm", Some("2705 mm")),
            (Units::Mm, "2705..'h", "2705. mm", Some("2705 mm")),
            (Units::Mm, "12345678", "123456 mm", None),
            // As the endpoint has it: 100 m, which is 328' 1", and no more.
            (Units::Mm, "100000", "100000 mm", Some("100000 mm")),
            (Units::Mm, "100000.001", "100000.001 mm", None),
            (Units::In, "328'1", "328′ 1″", Some("328' 1\"")),
            (Units::In, "328'1s", "328′ 1¹⁄₁₆″", None),
            (Units::In, "3937", "3937″", Some("3937 in")),
        ] {
            let pad = press(units, keys);
            let length = length.map(|length| Length::parse(length, units).unwrap());
            assert_eq!((pad.typed().as_str(), pad.length().ok()), (typed, length), "{keys}");
        }
    }

    proptest! {
        /// Whatever is pressed and is a length, is the length that its own reading says.
        #[test]
        fn what_is_read_is_what_is_meant(keys in "[0-9'hqes.<]{0,12}", mm in any::<bool>()) {
            let units = if mm { Units::Mm } else { Units::In };
            let pad = press(units, &keys);
            if let Ok(length) = pad.length() {
                let typed = pad.typed().replace(". mm", " mm");
                prop_assert_eq!(Length::parse(&typed, units), Ok(length), "{}", typed);
            }
        }
    }
}
