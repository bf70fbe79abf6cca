//! How steep a roof is: so many inches of rise in 12 of run, or degrees, kept as it was said.

use std::fmt;

use serde::{Deserialize, Serialize};
use thiserror::Error;

use super::length::number::{Number, plain};

/// A roof's fall, from flat to 24:12.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Serialize, Deserialize)]
#[serde(try_from = "String", into = "String")]
pub struct Pitch(Said);

#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
enum Said {
    /// Rise in 12 of run.
    Rise(Number),
    Degrees(Number),
}

const RUN: f64 = 12.0;
/// Past this, metal is cladding.
const STEEPEST_RISE: f64 = 24.0;

/// Why a text is not a pitch, and what would be right.
#[derive(Debug, Clone, PartialEq, Eq, Error)]
pub enum PitchError {
    #[error("\"{text}\" is not a pitch: write the rise in 12, like 2:12 or 2-1/2:12, or degrees, like 9.5°")]
    NotAPitch { text: String },
    #[error("\"{text}\" is too steep: a pitch is 0:12 to 24:12, or 0° to 63.4°")]
    TooSteep { text: String },
}

impl Pitch {
    /// Reads `2:12`, `2.5:12`, `2-1/2:12`, `9.5°` or `9.5 deg`.
    pub fn parse(text: &str) -> Result<Self, PitchError> {
        let said = || text.trim().chars().take(20).collect();
        let not_a_pitch = || PitchError::NotAPitch { text: said() };
        let plain = plain(text);
        let (number, rest) = Number::read(&plain).map_err(|_| not_a_pitch())?;
        let pitch = match rest.trim_start() {
            ":12" => Self(Said::Rise(number)),
            // The ordinal sign is what Spanish keyboards have in the degree sign's place.
            "°" | "º" | "deg" => Self(Said::Degrees(number)),
            _ => return Err(not_a_pitch()),
        };
        if pitch.rise() > STEEPEST_RISE { Err(PitchError::TooSteep { text: said() }) } else { Ok(pitch) }
    }

    /// The angle between roof and level.
    pub fn degrees(&self) -> f64 {
        match self.0 {
            Said::Rise(rise) => rise.value().atan2(RUN).to_degrees(),
            Said::Degrees(degrees) => degrees.value(),
        }
    }

    /// Length along the slope over length on plan.
    pub fn slope_factor(&self) -> f64 {
        (self.rise() / RUN).hypot(1.0)
    }

    /// Rise in 12 of run. An angle past the vertical rises without end.
    fn rise(&self) -> f64 {
        match self.0 {
            Said::Rise(rise) => rise.value(),
            Said::Degrees(degrees) if degrees.value() >= 90.0 => f64::INFINITY,
            Said::Degrees(degrees) => RUN * degrees.value().to_radians().tan(),
        }
    }
}

impl fmt::Display for Pitch {
    fn fmt(&self, f: &mut fmt::Formatter) -> fmt::Result {
        match self.0 {
            Said::Rise(rise) => write!(f, "{rise}:12"),
            Said::Degrees(degrees) => write!(f, "{degrees}°"),
        }
    }
}

impl TryFrom<String> for Pitch {
    type Error = PitchError;
    fn try_from(text: String) -> Result<Self, PitchError> {
        Self::parse(&text)
    }
}

impl From<Pitch> for String {
    fn from(pitch: Pitch) -> Self {
        pitch.to_string()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_pitch_is_said_back() {
        for (text, back) in [
            ("2:12", "2:12"),
            (" 2 :12 ", "2:12"),
            ("2.50:12", "2.50:12"),
            ("2 1/2:12", "2-1/2:12"),
            ("2½:12", "2-1/2:12"),
            ("1/4:12", "1/4:12"),
            ("9.5°", "9.5°"),
            ("9.5º", "9.5°"),
            ("9.5 deg", "9.5°"),
            ("0:12", "0:12"),
            ("24:12", "24:12"),
        ] {
            let pitch = Pitch::parse(text).unwrap();
            assert_eq!(pitch.to_string(), back);
            let json = serde_json::to_string(&pitch).unwrap();
            assert_eq!(serde_json::from_str::<Pitch>(&json).unwrap(), pitch);
        }
    }

    #[test]
    fn refusals_say_what_would_be_right() {
        for text in ["", "2", "2/12", "2:10", "2:12:12", "-2:12", "1/0:12", "steep", "2:12°"] {
            let error = Pitch::parse(text).unwrap_err().to_string();
            assert!(error.contains("like 2:12"), "{text}: {error}");
        }
        for text in ["24.1:12", "64°", "90°", "135°", "400°"] {
            let error = Pitch::parse(text).unwrap_err().to_string();
            assert!(error.contains("too steep"), "{text}: {error}");
        }
    }

    #[test]
    fn an_angle_and_its_ratio_are_one_slope() {
        let (ratio, angle) = (Pitch::parse("12:12").unwrap(), Pitch::parse("45°").unwrap());
        assert!((ratio.degrees() - angle.degrees()).abs() < 1e-12);
        assert!((ratio.slope_factor() - angle.slope_factor()).abs() < 1e-12);
    }
}
