//! Thermal movement: how much a run grows and shrinks, and where it needs a joint that lets it.
//!
//! An expansion joint in lapped trim is a lap that is sealed but not fastened, so that it can slide.

use super::length::{Length, Units};
use super::metal::Kind;
use super::working::Working;

/// How much a metal grows per degree, and who says so.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Coefficient {
    /// In 10⁻⁶ per °F.
    pub ppm_per_f: f64,
    pub source: &'static str,
}

/// The longest stretch of a run without an expansion joint, and who says so.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Interval {
    pub length: Length,
    pub source: &'static str,
}

/// Who says so where the shop set the value.
const SET_BY_THE_SHOP: &str = "set by the shop";

const UFGS: &str = "UFGS 07 60 00 (legacy 07600), expansion joints";

/// Steps of either scale; where zero lies is another matter.
pub const FAHRENHEIT_PER_KELVIN: f64 = 1.8;

impl Coefficient {
    /// A metal's own; none for zinc, whose alloys differ by nearly two to one (10.8 to 19.3 × 10⁻⁶ per °F, from memory):
    /// the shop sets it from its mill's sheet.
    pub const fn of(kind: Kind) -> Option<Self> {
        let (ppm_per_f, source) = match kind {
            // 6.5 to 6.7 is said of steel; the larger leaves more room.
            Kind::GalvanizedSteel => (6.7, "steel, from memory"),
            Kind::Aluminium => (12.9, "material tables, aluminium 3003"),
            Kind::Copper => (9.4, "material tables, copper ETP"),
            Kind::StainlessSteel => (9.6, "material tables, stainless steel 304"),
            Kind::Zinc => return None,
        };
        Some(Self { ppm_per_f, source })
    }

    /// The shop's own figure, in 10⁻⁶ per °F.
    pub const fn set(ppm_per_f: f64) -> Self {
        Self { ppm_per_f, source: SET_BY_THE_SHOP }
    }

    pub const fn ppm_per_kelvin(self) -> f64 {
        self.ppm_per_f * FAHRENHEIT_PER_KELVIN
    }

    /// What `length` grows when warmed by `kelvin`: ΔL = α·L·ΔT.
    pub fn movement(self, length: Length, kelvin: f64) -> Length {
        Length::from_mm(length.mm() * self.ppm_per_kelvin() * 1e-6 * kelvin)
    }

    /// The working behind [`Coefficient::movement`]: inches with degrees Fahrenheit, millimetres with kelvin.
    pub fn working(self, length: Length, kelvin: f64, units: Units) -> Working {
        let (alpha, rise) = match units {
            Units::In => {
                (format!("{:.1} × 10⁻⁶ per °F", self.ppm_per_f), format!("{:.0} °F", kelvin * FAHRENHEIT_PER_KELVIN))
            }
            Units::Mm => (format!("{:.1} × 10⁻⁶ per K", self.ppm_per_kelvin()), format!("{kelvin:.0} K")),
        };
        Working::new(
            "thermal movement",
            "ΔL = α·L·ΔT",
            [
                ("α, coefficient of expansion", alpha),
                ("L, longest stretch that moves as one", length.text(units)),
                ("ΔT, coldest to hottest", rise),
            ],
            self.movement(length, kelvin).decimal(units),
            &format!("arithmetic; α: {}", self.source),
        )
    }
}

impl Interval {
    /// The published interval of a metal; none is published for galvanized steel and zinc, so those runs have joints
    /// only where the shop sets an interval.
    pub const fn of(kind: Kind) -> Option<Self> {
        let feet = match kind {
            Kind::Copper | Kind::StainlessSteel => 40,
            Kind::Aluminium => 32,
            Kind::GalvanizedSteel | Kind::Zinc => return None,
        };
        Some(Self { length: Length::inches(feet * 12), source: UFGS })
    }

    /// The shop's own.
    pub const fn set(length: Length) -> Self {
        Self { length, source: SET_BY_THE_SHOP }
    }

    /// The working behind [`joints`].
    pub fn working(self, run: Length, units: Units) -> Working {
        Working::new(
            "expansion joints",
            "none where R ≤ I; else one at every I from one end, and one more where what is left past the last is over \
             I/2; then spaced evenly",
            [
                ("R, finished run".to_owned(), run.text(units)),
                ("I, joint interval".to_owned(), self.length.text(units)),
            ],
            joints(run, self.length).to_string(),
            self.source,
        )
    }
}

/// How many expansion joints a run needs.
///
/// None where one interval covers the run. Else the rule of UFGS 07 60 00: joints at every interval from one end, and "an
/// additional joint … where the distance between the last expansion joint and the end of the continuous run is more than
/// half the required interval"; then all are spaced evenly. A joint at the run's very end is none, so a run of exactly two
/// intervals has its last joint a whole interval from the end and takes another. `interval` is positive.
pub fn joints(run: Length, interval: Length) -> usize {
    if run <= interval {
        return 0;
    }
    // Of a whole number of intervals, the joint counted at the very end stands for the one more.
    let stepped = run.nm() / interval.nm();
    let rest = run - interval * stepped;
    (stepped + i64::from(rest * 2 > interval)) as usize
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    const fn kelvin(fahrenheit: f64) -> f64 {
        fahrenheit / FAHRENHEIT_PER_KELVIN
    }

    fn ppm(ppm_per_f: f64) -> Coefficient {
        Coefficient { ppm_per_f, source: "" }
    }

    #[test]
    fn movement_is_as_published() {
        // Copper Flashings: A Manual, p. 60 (read): 1 in of copper through 60 °F at 9.5e-6.
        assert_eq!(ppm(9.5).movement(Length::inches(1), kelvin(60.0)), Length::from_inches(0.00057));
        // A published rule (read): 1e-6 per °F over 120 in and 100 °F is 0.012 in.
        assert_eq!(ppm(1.0).movement(Length::inches(120), kelvin(100.0)), Length::from_inches(0.012));
        // Per 10 ft per 100 °F and per 3 m per 50 K, computed from coefficients in material tables.
        for (coefficient, inches, mm) in [
            (6.5, 0.0780, 1.755),
            (12.8, 0.1536, 3.456),
            (9.8, 0.1176, 2.646),
            (9.6, 0.1152, 2.592),
            (8.9, 0.1068, 2.403),
        ] {
            let per_10_ft = ppm(coefficient).movement(Length::inches(120), kelvin(100.0));
            assert_eq!(per_10_ft, Length::from_inches(inches), "{coefficient}");
            assert_eq!(
                ppm(coefficient).movement(Length::millimetres(3000), 50.0),
                Length::from_mm(mm),
                "{coefficient}"
            );
        }
    }

    /// Material tables (read, secondary) print both scales, each rounded on its own.
    #[test]
    fn both_scales_agree_with_the_tables() {
        for (kind, per_f, per_c) in [(Kind::Aluminium, 12.9, 23.2), (Kind::Copper, 9.4, 16.8)] {
            let coefficient = Coefficient::of(kind).unwrap();
            assert_eq!(coefficient.ppm_per_f, per_f);
            assert!((coefficient.ppm_per_kelvin() - per_c).abs() < 0.15, "{kind:?}");
        }
        assert_eq!(Coefficient::of(Kind::Zinc), None);
        let zinc = Coefficient::set(22.0 / FAHRENHEIT_PER_KELVIN);
        assert_eq!(zinc.movement(Length::millimetres(8000), 100.0), Length::from_mm(17.6));
    }

    /// UFGS 07 60 00 (legacy 07600; read): the intervals, and the rule at the places where it turns.
    #[test]
    fn joints_are_those_of_ufgs_07_60_00() {
        let foot = Length::inches(12);
        let copper = Interval::of(Kind::Copper).unwrap().length;
        assert_eq!(copper, foot * 40);
        assert_eq!(Interval::of(Kind::Aluminium).unwrap().length, foot * 32);
        let hair = Length::from_nm(1);
        for (run, count) in [
            (foot * 39, 0),
            (foot * 40, 0),
            (foot * 40 + hair, 1),
            (foot * 60, 1),
            (foot * 60 + hair, 2),
            (foot * 80, 2),
            (foot * 80 + hair, 2),
            (foot * 100, 2),
            (foot * 100 + hair, 3),
        ] {
            assert_eq!(joints(run, copper), count, "{run:?}");
        }
    }

    #[test]
    fn the_working_carries_rule_inputs_and_source() {
        let copper = Coefficient::of(Kind::Copper).unwrap();
        let working = copper.working(Length::inches(480), kelvin(100.0), Units::In);
        assert_eq!(working.result, "0.4512 in");
        assert_eq!(working.inputs[0].value, "9.4 × 10⁻⁶ per °F");
        assert_eq!(working.inputs[2].value, "100 °F");
        assert_eq!(Interval::of(Kind::Copper).unwrap().working(Length::inches(720), Units::In).result, "1");
    }

    proptest! {
        /// Stepping along the run with a rule, joint by joint, as a measurer would.
        #[test]
        fn the_count_is_that_of_stepping_along(run in 1i64..100_000, interval in 1i64..5_000) {
            let mut stepped = 0;
            while (stepped + 1) * interval < run { stepped += 1; }
            // In whole numbers, over half is over the half rounded down.
            if stepped > 0 && run - stepped * interval > interval / 2 {
                stepped += 1;
            }
            prop_assert_eq!(joints(Length::from_nm(run), Length::from_nm(interval)) as i64, stepped);
        }

        /// Spaced evenly, no stretch passes the interval, and none is shorter than half of it.
        #[test]
        fn no_stretch_passes_the_interval(run in 1i64..2_000_000_000, interval in 1_000_000i64..500_000_000) {
            let stretches = joints(Length::from_nm(run), Length::from_nm(interval)) as i64 + 1;
            prop_assert!(run <= interval * stretches);
            if stretches > 1 { prop_assert!(run * 2 > interval * stretches); }
        }
    }
}
