//! Reads the order's lengths, in the order's units.

use serde_json::Value;

use super::reader::{Spot, shown};
use crate::trade::length::{Length, Units};

/// `units` are `None` where the order's own cannot be read.
pub(super) struct Tape {
    pub(super) units: Option<Units>,
}

impl Tape {
    /// A length from 0.
    pub(super) fn read(&self, spot: &Spot) -> Option<Length> {
        let read = |units| match spot.value {
            // A JSON number that `f64` cannot hold is no length either.
            Value::Number(number) => Some(Length::from_number(number.as_f64().unwrap_or(f64::NAN), units)),
            Value::String(text) => Some(Length::parse(text, units)),
            _ => None,
        };
        let Some(length) = read(self.units.unwrap_or(Units::In)) else {
            return spot.wrong(r#"a length: a number, or text like "511 1/4""#);
        };
        // The fault in `units` is noted already: a length that hangs on them can be neither read nor faulted.
        if self.units.is_none() && read(Units::Mm).as_ref() != Some(&length) {
            return None;
        }
        length.map_err(|error| spot.fault::<()>(error.to_string())).ok()
    }

    /// A length above 0.
    pub(super) fn positive(&self, spot: &Spot) -> Option<Length> {
        match self.read(spot)? {
            Length::ZERO => spot.fault("0 is no length here; give more than 0"),
            length => Some(length),
        }
    }

    /// A length no shorter than the bench can set. Where the units cannot be read, the shorter of theirs will do.
    pub(super) fn settable(&self, spot: &Spot) -> Option<Length> {
        let length = self.read(spot)?;
        let least = self.units.unwrap_or(Units::Mm).reading();
        if length >= least {
            return Some(length);
        }
        spot.fault(format!("{} is too small for the bench; give {} or more", shown(spot.value), self.say(least)))
    }

    /// A length from `least` to `most`, both included.
    pub(super) fn within(&self, spot: &Spot, least: Length, most: Length) -> Option<Length> {
        let length = self.read(spot)?;
        let size = if length < least {
            "small"
        } else if length > most {
            "large"
        } else {
            return Some(length);
        };
        let (given, least, most) = (shown(spot.value), self.say(least), self.say(most));
        spot.fault(format!("{given} is too {size}; give {least} to {most}"))
    }

    /// A length in the order's units.
    pub(super) fn say(&self, length: Length) -> String {
        length.text(self.units.unwrap_or(Units::In))
    }
}
