//! How many people lift a piece: by mass from NIOSH's revised lifting equation, and by length from the trade.
//!
//! The equation is NIOSH 94-110's, in its inch and pound form, for one person with two hands, at the start of the lift.
//! For several, each is taken to carry an equal share: common practice, no source. It does not look at wind, ladders or
//! roofs.

use super::length::{Length, Units};
use super::mass::KG_PER_LB;
use super::working::Working;

/// The load constant.
const LOAD_CONSTANT_LB: f64 = 51.0;
/// Nearer hands and shorter lifts count as this, in inches.
const LEAST_IN: f64 = 10.0;
const MOST_ASYMMETRY_DEG: f64 = 135.0;
/// The knuckles' height: below it a fair grip counts for less.
const KNUCKLES_IN: f64 = 30.0;

/// How well the hands hold the load.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Coupling {
    Good,
    /// Fingers bent about 90° under a loose object: a piece of trim.
    Fair,
    Poor,
}

/// One lift.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Lift {
    /// From the ankles to the hands.
    pub horizontal: Length,
    /// The hands' height at its start.
    pub origin: Length,
    /// How far up or down the hands travel.
    pub travel: Length,
    /// How far to the side the load lies, in degrees.
    pub asymmetry_deg: f64,
    /// FM, from table 5 of NIOSH 94-110: 1 for up to an hour of no more than a lift every five minutes.
    pub frequency: f64,
    pub coupling: Coupling,
}

/// From a stack at knuckle height onto a van, now and then: common practice, no source.
impl Default for Lift {
    fn default() -> Self {
        Self {
            horizontal: Length::inches(15),
            origin: Length::inches(30),
            travel: Length::inches(24),
            asymmetry_deg: 0.0,
            frequency: 1.0,
            coupling: Coupling::Fair,
        }
    }
}

/// A lift for which the equation recommends no load at all.
#[derive(Debug, Clone, Copy, PartialEq, Eq, thiserror::Error)]
pub enum LiftError {
    #[error("the hands are more than 25 in from the ankles; stand nearer")]
    TooFar,
    #[error("the hands are below the floor or above 70 in; start the lift within reach")]
    OutOfReach,
    #[error("the hands travel more than 70 in; lift in two stages")]
    TravelTooLong,
    #[error("the load lies more than 135° to the side; turn to it")]
    TooFarAround,
    #[error("the frequency multiplier is above 0 and at most 1 (table 5 of NIOSH 94-110)")]
    Frequency,
}

/// The recommended weight limit and its multipliers.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Limit {
    pub lift: Lift,
    pub horizontal: f64,
    pub vertical: f64,
    pub distance: f64,
    pub asymmetry: f64,
    pub frequency: f64,
    pub coupling: f64,
    pub kg: f64,
}

impl Lift {
    /// The farthest that the hands may be from the ankles.
    pub const FARTHEST: Length = Length::inches(25);
    /// The highest that they may be.
    pub const HIGHEST: Length = Length::inches(70);
    /// The most that they may travel.
    pub const MOST_TRAVEL: Length = Length::inches(70);

    /// The recommended weight limit.
    ///
    /// # Errors
    /// [`LiftError`] where the equation gives 0.
    pub fn limit(&self) -> Result<Limit, LiftError> {
        let [h, v, d] = [self.horizontal, self.origin, self.travel].map(Length::in_inches);
        if self.horizontal > Self::FARTHEST {
            return Err(LiftError::TooFar);
        }
        if !(Length::ZERO..=Self::HIGHEST).contains(&self.origin) {
            return Err(LiftError::OutOfReach);
        }
        if self.travel.max(-self.travel) > Self::MOST_TRAVEL {
            return Err(LiftError::TravelTooLong);
        }
        if !(0.0..=MOST_ASYMMETRY_DEG).contains(&self.asymmetry_deg) {
            return Err(LiftError::TooFarAround);
        }
        if !(self.frequency > 0.0 && self.frequency <= 1.0) {
            return Err(LiftError::Frequency);
        }
        let horizontal = LEAST_IN / h.max(LEAST_IN);
        let vertical = 1.0 - 0.0075 * (v - KNUCKLES_IN).abs();
        let distance = 0.82 + 1.8 / d.abs().max(LEAST_IN);
        let asymmetry = 1.0 - 0.0032 * self.asymmetry_deg;
        let coupling = match self.coupling {
            Coupling::Fair if v < KNUCKLES_IN => 0.95,
            Coupling::Good | Coupling::Fair => 1.0,
            Coupling::Poor => 0.9,
        };
        let lb = LOAD_CONSTANT_LB * horizontal * vertical * distance * asymmetry * self.frequency * coupling;
        Ok(Limit {
            lift: *self,
            horizontal,
            vertical,
            distance,
            asymmetry,
            frequency: self.frequency,
            coupling,
            kg: lb * KG_PER_LB,
        })
    }
}

impl Limit {
    /// The lifting index of a load, for one person: above 1 the lift wants changing.
    pub fn index(&self, mass_kg: f64) -> f64 {
        mass_kg / self.kg
    }

    /// The limit, shown.
    pub fn working(&self, units: Units) -> Working {
        let Lift { horizontal, origin, travel, asymmetry_deg, .. } = self.lift;
        let multiplier = |value: f64| format!("{value:.3}");
        Working::new(
            "recommended weight limit",
            "51 lb · HM · VM · DM · AM · FM · CM",
            [
                ("H, ankles to hands", horizontal.text(units)),
                ("HM = 10/H, H in inches and at least 10", multiplier(self.horizontal)),
                ("V, hands' height at the start", origin.text(units)),
                ("VM = 1 − .0075·|V − 30|", multiplier(self.vertical)),
                ("D, hands' travel", travel.text(units)),
                ("DM = .82 + 1.8/D, D at least 10", multiplier(self.distance)),
                ("A, to the side", format!("{asymmetry_deg}°")),
                ("AM = 1 − .0032·A", multiplier(self.asymmetry)),
                ("FM, how often", multiplier(self.frequency)),
                ("CM, how well held", multiplier(self.coupling)),
            ],
            weight(self.kg),
            "NIOSH 94-110",
        )
    }

    /// How many people lift a piece: enough that no share passes the limit, and two from the length `two_from` on.
    pub fn people(&self, mass_kg: f64, length: Length, two_from: Length) -> u32 {
        let by_mass = self.index(mass_kg).ceil().max(1.0) as u32;
        by_mass.max(if length >= two_from { 2 } else { 1 })
    }

    /// The working behind [`Limit::people`].
    pub fn people_working(&self, mass_kg: f64, length: Length, two_from: Length, units: Units) -> Working {
        Working::new(
            "people to lift it",
            "the greater of ⌈mass / limit⌉ and, from the set length on, 2",
            [
                ("mass", weight(mass_kg)),
                ("limit", weight(self.kg)),
                ("lifting index for one", format!("{:.2}", self.index(mass_kg))),
                ("length, with what a mitre reaches beyond", length.text(units)),
                ("two people from", two_from.text(units)),
            ],
            self.people(mass_kg, length, two_from).to_string(),
            "NIOSH 94-110; equal shares and the length are common practice, no source",
        )
    }
}

impl LiftError {
    /// What stands in the place of the limit's working.
    pub fn working(self) -> Working {
        let none: [(&str, String); 0] = [];
        Working::new(
            "recommended weight limit",
            "51 lb · HM · VM · DM · AM · FM · CM",
            none,
            self.to_string(),
            "NIOSH 94-110",
        )
    }
}

fn weight(kg: f64) -> String {
    format!("{kg:.1} kg ({:.1} lb)", kg / KG_PER_LB)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn lift(h: i64, v: i64, d: i64, coupling: Coupling) -> Lift {
        let [horizontal, origin, travel] = [h, v, d].map(Length::inches);
        Lift { horizontal, origin, travel, coupling, ..Lift::default() }
    }

    fn limit_lb(lift: Lift) -> f64 {
        lift.limit().unwrap().kg / KG_PER_LB
    }

    /// Computed from the equation of NIOSH 94-110, read in a secondary source.
    #[test]
    fn limits_of_niosh_94_110() {
        for (lift, lb) in [
            (lift(10, 30, 10, Coupling::Good), 51.0),
            (lift(10, 30, 10, Coupling::Poor), 51.0 * 0.9),
            (lift(15, 30, 24, Coupling::Fair), 30.43),
            // Nearer and shorter than 10 in count as 10.
            (lift(4, 30, 3, Coupling::Good), 51.0),
        ] {
            assert!((limit_lb(lift) - lb).abs() < 0.01, "{lift:?}");
        }
    }

    /// NIOSH 94-110, example 1 (loading punch press stock): 16.3 lb and 2.7 for 44 lb at the start, 14.5 lb and 3.0 at
    /// the end. From memory; the manual rounds each multiplier to two places first, and prints .44 for 10/23.
    #[test]
    fn the_first_example_of_niosh_94_110() {
        for (height, lb, index) in [(15, 16.3, 2.7), (63, 14.5, 3.0)] {
            let limit = lift(23, height, 48, Coupling::Fair).limit().unwrap();
            assert!((limit.kg / KG_PER_LB - lb).abs() < 0.3);
            assert!((limit.index(44.0 * KG_PER_LB) - index).abs() < 0.1);
        }
    }

    /// The multipliers at the limits of tables 1 to 4 and 7, from memory.
    #[test]
    fn multipliers_at_the_ends_of_their_tables() {
        let far = Lift { asymmetry_deg: 135.0, ..lift(25, 70, 70, Coupling::Poor) }.limit().unwrap();
        let got = [far.horizontal, far.vertical, far.distance, far.asymmetry, far.coupling];
        for (got, published) in got.into_iter().zip([0.40, 0.70, 0.85, 0.57, 0.90]) {
            assert!((got - published).abs() < 0.005, "{got} for {published}");
        }
        assert_eq!(lift(10, 29, 10, Coupling::Fair).limit().unwrap().coupling, 0.95);
    }

    #[test]
    fn no_load_where_the_equation_gives_none() {
        for (lift, error) in [
            (lift(26, 30, 10, Coupling::Good), LiftError::TooFar),
            (lift(10, 71, 10, Coupling::Good), LiftError::OutOfReach),
            (lift(10, -1, 10, Coupling::Good), LiftError::OutOfReach),
            (lift(10, 0, 71, Coupling::Good), LiftError::TravelTooLong),
            (Lift { asymmetry_deg: 136.0, ..Lift::default() }, LiftError::TooFarAround),
            (Lift { frequency: 0.0, ..Lift::default() }, LiftError::Frequency),
            (Lift { frequency: f64::NAN, ..Lift::default() }, LiftError::Frequency),
        ] {
            assert_eq!(lift.limit(), Err(error));
        }
    }

    #[test]
    fn people_by_mass_and_by_length() {
        let limit = lift(10, 30, 10, Coupling::Good).limit().unwrap();
        let people = |lb: f64, inches| limit.people(lb * KG_PER_LB, Length::inches(inches), Length::inches(96));
        assert_eq!(people(5.0, 95), 1);
        assert_eq!(people(5.0, 96), 2);
        assert_eq!(people(50.9, 40), 1);
        assert_eq!(people(51.1, 40), 2);
        assert_eq!(people(110.0, 120), 3);
    }
}
