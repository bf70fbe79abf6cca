//! What a setting is: its name, what it means, its bounds, its source, and how it is read and written.
//!
//! The [`table`](super::table) is made of these, and it alone drives reading, checking, the printed file and its comments.

use std::ops::RangeInclusive;

use serde_json::Value;

use super::{RuleName, Shop};
use crate::order::parse::reader::{Spot, one_of, shown};
use crate::trade::expansion::FAHRENHEIT_PER_KELVIN;
use crate::trade::length::{Length, Units};
use crate::trade::sealant::ML_PER_FL_OZ;
use crate::trade::tolerance::{Class, Tolerance};

/// Keys that stand together under one heading.
pub(super) struct Section {
    /// `profiles.eave`.
    pub path: &'static str,
    pub about: &'static str,
    pub keys: &'static [Key],
}

/// One setting.
#[derive(Clone, Copy)]
pub(super) struct Key {
    pub name: &'static str,
    pub about: &'static str,
    pub source: &'static str,
    pub setting: Setting,
}

/// Where a setting stands in the shop.
type At<T> = fn(&mut Shop) -> &mut T;

/// What a setting holds and where; `least` and `most` are included.
#[derive(Clone, Copy)]
pub(super) enum Setting {
    Length {
        least: Length,
        most: Length,
        at: At<Length>,
    },
    /// `"none"` where there is none.
    LengthOrNone {
        least: Length,
        most: Length,
        at: At<Option<Length>>,
    },
    Number {
        unit: Unit,
        least: f64,
        most: f64,
        at: At<f64>,
    },
    NumberOrNone {
        unit: Unit,
        least: f64,
        most: f64,
        at: At<Option<f64>>,
    },
    Rule {
        at: At<RuleName>,
    },
    /// A class's word, or a length.
    Tolerance {
        least: Length,
        most: Length,
        at: At<Tolerance>,
    },
    /// `""` where there is none.
    Text {
        wanted: &'static str,
        fits: fn(&str) -> bool,
        at: At<Option<String>>,
    },
}

const NONE: &str = "none";
const RULES: [(&str, RuleName); 2] = [("din-6935", RuleName::Din6935), ("k-factor", RuleName::KFactor)];
const CLASSES: [(&str, Class); 4] =
    [("fine", Class::Fine), ("medium", Class::Medium), ("coarse", Class::Coarse), ("very-coarse", Class::VeryCoarse)];

impl Key {
    pub const fn new(name: &'static str, setting: Setting) -> Self {
        Self { name, about: "", source: "", setting }
    }

    pub const fn means(self, about: &'static str, source: &'static str) -> Self {
        Self { about, source, ..self }
    }

    /// Sets what stands at `spot` in `shop`; `None` where a fault is noted.
    pub fn read(&self, spot: &Spot, shop: &mut Shop) -> Option<()> {
        let none = spot.value.as_str() == Some(NONE);
        let wanted = self.wanted();
        match self.setting {
            Setting::LengthOrNone { at, .. } if none => *at(shop) = None,
            Setting::NumberOrNone { at, .. } if none => *at(shop) = None,
            Setting::Length { least, most, at } => *at(shop) = length(spot, least..=most, &wanted)?,
            Setting::LengthOrNone { least, most, at } => *at(shop) = Some(length(spot, least..=most, &wanted)?),
            Setting::Number { unit, least, most, at } => *at(shop) = number(spot, unit, least..=most, &wanted)?,
            Setting::NumberOrNone { unit, least, most, at } => {
                *at(shop) = Some(number(spot, unit, least..=most, &wanted)?);
            }
            Setting::Rule { at } => *at(shop) = spot.word(&RULES)?,
            Setting::Tolerance { least, most, at } => {
                let class = CLASSES.iter().find(|(word, _)| spot.value.as_str() == Some(word));
                *at(shop) = match class {
                    Some(&(_, class)) => Tolerance::Class(class),
                    None => Tolerance::Own(length(spot, least..=most, &wanted)?),
                };
            }
            Setting::Text { fits, at, .. } => {
                let text = spot.text(&wanted)?;
                if !text.is_empty() && !fits(text) {
                    return spot.wrong(&wanted);
                }
                *at(shop) = Some(text.to_owned()).filter(|text| !text.is_empty());
            }
        }
        Some(())
    }

    /// The setting's value in `shop`, as the file says it.
    pub fn write(&self, shop: &Shop) -> String {
        // One way in serves reading and writing, and a shop is small.
        let shop = &mut shop.clone();
        match self.setting {
            Setting::Length { at, .. } => quoted(&said(*at(shop))),
            Setting::LengthOrNone { at, .. } => at(shop).map_or(quoted(NONE), |length| quoted(&said(length))),
            Setting::Number { unit, at, .. } => unit.write(*at(shop)),
            Setting::NumberOrNone { unit, at, .. } => at(shop).map_or(quoted(NONE), |number| unit.write(number)),
            Setting::Rule { at } => quoted(word_of(&RULES, *at(shop))),
            Setting::Tolerance { at, .. } => match *at(shop) {
                Tolerance::Class(class) => quoted(word_of(&CLASSES, class)),
                Tolerance::Own(length) => quoted(&said(length)),
            },
            Setting::Text { at, .. } => quoted(at(shop).as_deref().unwrap_or_default()),
        }
    }

    /// What may stand here: `1 in to 24 in`.
    pub fn wanted(&self) -> String {
        match self.setting {
            Setting::Length { least, most, .. } => between(least, most),
            Setting::LengthOrNone { least, most, .. } => format!("{}, or \"{NONE}\"", between(least, most)),
            Setting::Number { unit, least, most, .. } => unit.between(least, most),
            Setting::NumberOrNone { unit, least, most, .. } => format!("{}, or \"{NONE}\"", unit.between(least, most)),
            Setting::Rule { .. } => one_of(&RULES),
            Setting::Tolerance { least, most, .. } => {
                let words = CLASSES.map(|(word, _)| quoted(word)).join(", ");
                format!("{words}, or {}", between(least, most))
            }
            Setting::Text { wanted, .. } => format!("{wanted}, or \"\""),
        }
    }
}

/// What a plain number means, and the signs that may follow one in text.
#[derive(Clone, Copy, PartialEq)]
pub(super) enum Unit {
    /// A number without unit.
    Plain,
    Degrees,
    Fahrenheit,
    FluidOunces,
    PpmPerF,
}

impl Unit {
    /// Each sign with the value of its step in the unit, and of its zero; the unit's own first.
    const fn signs(self) -> &'static [(&'static str, f64, f64)] {
        match self {
            Self::Plain => &[],
            Self::Degrees => &[("°", 1.0, 0.0)],
            Self::Fahrenheit => &[("°F", 1.0, 0.0), ("°C", FAHRENHEIT_PER_KELVIN, 32.0)],
            Self::FluidOunces => {
                &[("fl oz", 1.0, 0.0), ("mL", 1.0 / ML_PER_FL_OZ, 0.0), ("ml", 1.0 / ML_PER_FL_OZ, 0.0)]
            }
            Self::PpmPerF => &[("ppm/°F", 1.0, 0.0), ("ppm/°C", 1.0 / FAHRENHEIT_PER_KELVIN, 0.0)],
        }
    }

    /// Whether a number may stand alone. What a bare temperature or volume means differs from shop to shop.
    fn alone(self) -> bool {
        matches!(self, Self::Plain | Self::Degrees)
    }

    /// The value of a text such as `65 °C`, in the unit.
    fn parse(self, text: &str) -> Option<f64> {
        // The ordinal sign is what Spanish keyboards have in the degree sign's place.
        let text = text.trim().replace('º', "°").replace('−', "-");
        let signed = self.signs().iter().find_map(|(sign, step, zero)| {
            let number: f64 = text.strip_suffix(sign)?.trim_end().parse().ok()?;
            Some(number * step + zero)
        });
        signed.or_else(|| text.parse().ok().filter(|_| self.alone()))
    }

    pub fn write(self, number: f64) -> String {
        if self.alone() { number.to_string() } else { quoted(&self.say(number)) }
    }

    fn say(self, number: f64) -> String {
        match self.signs().first() {
            Some(("°", ..)) => format!("{number}°"),
            Some((sign, ..)) => format!("{number} {sign}"),
            None => number.to_string(),
        }
    }

    fn between(self, least: f64, most: f64) -> String {
        let mut between = format!("{} to {}", self.say(least), self.say(most));
        let others: Vec<_> = self.signs().iter().skip(1).map(|(sign, ..)| *sign).filter(|sign| *sign != "ml").collect();
        if !others.is_empty() {
            between += &format!(", or in {}", others.join(", "));
        }
        between
    }
}

/// A length in `range`: a bare number is inches. `wanted` says what would be right.
pub(super) fn length(spot: &Spot, range: RangeInclusive<Length>, wanted: &str) -> Option<Length> {
    let read = match spot.value {
        Value::Number(number) => Length::from_number(number.as_f64().unwrap_or(f64::NAN), Units::In),
        Value::String(text) => Length::parse(text, Units::In),
        _ => return spot.wrong(wanted),
    };
    match read {
        Ok(length) if range.contains(&length) => Some(length),
        Ok(_) => out_of_range(spot, wanted),
        Err(error) => spot.fault(format!("{error}; give {wanted}")),
    }
}

/// A number of `unit` in `range`. `wanted` says what would be right.
pub(super) fn number(spot: &Spot, unit: Unit, range: RangeInclusive<f64>, wanted: &str) -> Option<f64> {
    let read = match spot.value {
        Value::Number(number) if unit.alone() => number.as_f64(),
        Value::String(text) => unit.parse(text),
        _ => None,
    };
    match read {
        Some(number) if range.contains(&number) => Some(number),
        Some(_) => out_of_range(spot, wanted),
        None => spot.wrong(wanted),
    }
}

fn out_of_range<T>(spot: &Spot, wanted: &str) -> Option<T> {
    spot.fault(format!("{} is out of range; give {wanted}", shown(spot.value)))
}

fn word_of<T: PartialEq>(words: &[(&'static str, T)], of: T) -> &'static str {
    words.iter().find(|(_, meaning)| *meaning == of).map_or("", |(word, _)| word)
}

fn between(least: Length, most: Length) -> String {
    format!("{} to {}", said(least), said(most))
}

pub(super) fn quoted(text: &str) -> String {
    format!("\"{text}\"")
}

/// A length in words that need no escape in the file, and that [`Length::parse`] reads back exactly.
///
/// In inches where it is a whole number of 1/64 or 1/10,000 in, else in millimetres.
pub(super) fn said(length: Length) -> String {
    const WHOLE_FEET_FROM: Length = Length::inches(48);
    const FEET_FROM: Length = Length::inches(96);
    const SHEET_STEP_NM: i64 = 50_000;
    const TEN_THOUSANDTH_NM: i64 = 2_540;

    let nm = length.nm();
    if nm % Length::sixty_fourths(1).nm() == 0 {
        let foot = Length::inches(12).nm();
        let in_feet = length >= FEET_FROM || (length >= WHOLE_FEET_FROM && nm % foot == 0);
        let feet = if in_feet { nm / foot } else { 0 };
        // Below a foot, the tape's own words less the sign.
        let inches = Length::from_nm(nm - feet * foot);
        let inches_text = || {
            let whole = inches.nm() / Length::inches(1).nm();
            let part = (inches - Length::inches(whole)).text(Units::In);
            let part = part.trim_end_matches('"');
            match (whole, part) {
                (whole, "0") => format!("{whole} in"),
                (0, part) => format!("{part} in"),
                (whole, part) => format!("{whole}-{part} in"),
            }
        };
        return match (feet, inches) {
            (0, _) => inches_text(),
            (feet, Length::ZERO) => format!("{feet} ft"),
            (feet, _) => format!("{feet} ft {}", inches_text()),
        };
    }
    let (decimals, unit) = if nm % SHEET_STEP_NM != 0 && nm % TEN_THOUSANDTH_NM == 0 {
        let count = nm / TEN_THOUSANDTH_NM;
        (format!("{}.{:04}", count / 10_000, count % 10_000), "in")
    } else {
        (format!("{}.{:06}", nm / 1_000_000, nm % 1_000_000), "mm")
    };
    format!("{} {unit}", decimals.trim_end_matches('0').trim_end_matches('.'))
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    #[test]
    fn lengths_are_said_as_the_trade_says_them() {
        for (length, text) in [
            (Length::inches(126), "10 ft 6 in"),
            (Length::inches(120), "10 ft"),
            (Length::inches(60), "5 ft"),
            (Length::inches(70), "70 in"),
            (Length::inches(36), "36 in"),
            (Length::from_inches(0.036), "0.036 in"),
            (Length::sixty_fourths(96), "1-1/2 in"),
            (Length::sixty_fourths(40), "5/8 in"),
            (Length::ZERO, "0 in"),
            (Length::sixty_fourths(120 * 64 + 1), "10 ft 1/64 in"),
            (Length::millimetres(155), "155 mm"),
            (Length::from_mm(0.7), "0.7 mm"),
            (Length::from_inches(0.0276), "0.0276 in"),
            (Length::from_nm(1_234_567), "1.234567 mm"),
        ] {
            assert_eq!(said(length), text);
        }
    }

    proptest! {
        #[test]
        fn every_length_said_is_read_back(nm in 0_i64..40_000_000_000, sixty_fourths in 0_i64..40_000) {
            for length in [Length::from_nm(nm), Length::sixty_fourths(sixty_fourths)] {
                prop_assert_eq!(Length::parse(&said(length), Units::Mm), Ok(length));
            }
        }
    }

    #[test]
    fn temperatures_and_volumes_in_either_system() {
        assert_eq!(Unit::Fahrenheit.parse("65 °C"), Some(149.0));
        assert_eq!(Unit::Fahrenheit.parse("−20ºF"), Some(-20.0));
        // NIST SP 811: 10.1 fl oz = 298.69 mL.
        let ounces = Unit::FluidOunces.parse("298.69 mL").unwrap();
        assert!((ounces - 10.1).abs() < 1e-3, "{ounces}");
        assert_eq!(Unit::Fahrenheit.parse("65"), None);
    }
}
