//! Sealant: beads by shape and path, their exact volume, and the cartridges that hold it.
//!
//! A volume is a whole number of cubic nanometres, so that a cartridge more is bought exactly when one more is begun.

use super::hardware::needs::Need;
use super::length::{Length, Units};
use super::working::Working;

/// An exact volume.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub struct Volume(i128);

const NM3_PER_MM3: i128 = 1_000_000_000_000_000_000;
/// 1 US fl oz = 1.8046875 in³ of 16 387.064 mm³ each: exact definitions, NIST SP 811.
const NM3_PER_FL_OZ: i128 = 29_573_529_562_500_000_000_000;
/// The same in millilitres.
pub const ML_PER_FL_OZ: f64 = NM3_PER_FL_OZ as f64 / (1000 * NM3_PER_MM3) as f64;

impl Volume {
    pub const fn millilitres(ml: i128) -> Self {
        Self(ml * 1000 * NM3_PER_MM3)
    }

    /// To the nearest thousandth of a US fluid ounce. `fl_oz` is finite.
    pub fn fluid_ounces(fl_oz: f64) -> Self {
        Self((fl_oz * 1000.0).round() as i128 * (NM3_PER_FL_OZ / 1000))
    }

    pub fn mm3(self) -> f64 {
        self.0 as f64 / NM3_PER_MM3 as f64
    }

    fn text(self, units: Units) -> String {
        match units {
            Units::In => format!("{:.2} fl oz", self.0 as f64 / NM3_PER_FL_OZ as f64),
            Units::Mm => format!("{:.1} mL", self.mm3() / 1000.0),
        }
    }
}

/// A bead's cross-section.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Bead {
    Rectangle { width: Length, height: Length },
    Round { diameter: Length },
}

impl Bead {
    /// In nm²; a round one to the nearest.
    fn area(self) -> i128 {
        match self {
            Self::Rectangle { width, height } => i128::from(width.nm()) * i128::from(height.nm()),
            Self::Round { diameter } => (std::f64::consts::PI / 4.0 * (diameter.nm() as f64).powi(2)).round() as i128,
        }
    }

    /// What a path of this bead takes.
    pub fn volume(self, path: Length) -> Volume {
        Volume(self.area() * i128::from(path.nm()))
    }

    fn text(self, units: Units) -> String {
        match self {
            Self::Rectangle { width, height } => format!("{} × {}", width.text(units), height.text(units)),
            Self::Round { diameter } => format!("{} round", diameter.text(units)),
        }
    }
}

/// How the shop seals. Bead and cartridge are not empty.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Sealing {
    pub bead: Bead,
    pub cartridge: Volume,
    /// What is bought beyond the bead, for what stays in nozzles and is wiped off, in hundredths of a percent.
    pub waste_hundredths: u32,
}

/// A whole, in hundredths of a percent.
const WHOLE: i128 = 10_000;

impl Sealing {
    /// Cartridges for the paths of a whole order, rounded up.
    pub fn cartridges(&self, path: Length) -> u64 {
        let (bought, cartridge) = (self.bead.volume(path).0 * self.with_waste(), self.cartridge.0 * WHOLE);
        // A path is not negative and a cartridge not empty.
        ((bought + cartridge - 1) / cartridge) as u64
    }

    /// How far one cartridge goes, its waste taken off.
    pub fn path_per_cartridge(&self) -> Length {
        Length::from_nm((self.cartridge.0 * WHOLE / (self.bead.area() * self.with_waste())) as i64)
    }

    fn with_waste(&self) -> i128 {
        WHOLE + i128::from(self.waste_hundredths)
    }

    /// The line of the buying list for the paths of a whole order.
    pub fn need(&self, path: Length, units: Units) -> Need {
        let count = self.cartridges(path);
        let cartridge = self.cartridge.text(units);
        let exact = self.bead.volume(path).text(units);
        let working = Working::new(
            "cartridges of sealant",
            "⌈L·A·(1 + waste) / V⌉",
            [
                ("L, path of all beads", path.text(units)),
                ("A, bead", self.bead.text(units)),
                ("waste", format!("{} %", f64::from(self.waste_hundredths) / 100.0)),
                ("V, cartridge", cartridge.clone()),
                ("one cartridge goes", self.path_per_cartridge().text(units)),
            ],
            count.to_string(),
            "1 US fl oz = 1.8046875 in³ exactly (NIST SP 811)",
        );
        Need { what: "sealant".into(), count, unit: format!("cartridge of {cartridge}"), exact, working }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    fn rectangle(width: Length, height: Length) -> Bead {
        Bead::Rectangle { width, height }
    }

    fn metres(bead: Bead, cartridge: Volume) -> f64 {
        Sealing { bead, cartridge, waste_hundredths: 0 }.path_per_cartridge().mm() / 1000.0
    }

    /// Computed from the exact definitions of the units in NIST SP 811. A widely copied table gives 50 to 55 ft for
    /// ¼ × ¼ in, which is wrong by two.
    #[test]
    fn feet_of_bead_per_cartridge() {
        let eighths = |count: i64| Length::sixty_fourths(count * 8);
        for (bead, feet) in [
            (rectangle(eighths(2), eighths(2)), 24.30),
            (rectangle(eighths(3), eighths(2)), 16.20),
            (rectangle(eighths(4), eighths(2)), 12.15),
            (rectangle(eighths(4), eighths(3)), 8.10),
            (Bead::Round { diameter: eighths(2) }, 30.94),
        ] {
            let got = metres(bead, Volume::fluid_ounces(10.1)) / 0.3048;
            assert!((got - feet).abs() < 0.005, "{bead:?}: {got} ft");
        }
        let six = Length::millimetres(6);
        assert!((metres(rectangle(six, six), Volume::millilitres(300)) - 8.33).abs() < 0.005);
    }

    /// NIST SP 811: 1 in³ = 16.387064 mL exactly.
    #[test]
    fn a_cartridge_is_exact() {
        let cartridge = Volume::fluid_ounces(10.1);
        assert!((cartridge.mm3() / 1000.0 - 298.69).abs() < 0.005);
        // 10.1 · 1.8046875 in³ in units of 10⁻⁸ in³.
        let inch = i128::from(Length::inches(1).nm());
        assert_eq!(cartridge.0, 1_822_734_375 * (inch * inch * inch / 100_000_000));
    }

    #[test]
    fn a_full_cartridge_is_enough_and_a_nanometre_more_is_not() {
        let six = Length::millimetres(6);
        let sealing = Sealing { bead: rectangle(six, six), cartridge: Volume::millilitres(360), waste_hundredths: 0 };
        let path = Length::millimetres(10_000);
        assert_eq!((sealing.cartridges(path), sealing.cartridges(path + Length::from_nm(1))), (1, 2));
        assert_eq!(Sealing { waste_hundredths: 1, ..sealing }.cartridges(path), 2);
        assert_eq!(sealing.cartridges(Length::ZERO), 0);
    }

    proptest! {
        /// Bought is never less than needed, and never a whole cartridge more.
        #[test]
        fn bought_covers_the_beads(path in 1i64..1_000_000_000_000_000, waste_hundredths in 0u32..=10_000) {
            let quarter = Length::sixty_fourths(16);
            let sealing =
                Sealing { bead: rectangle(quarter, quarter), cartridge: Volume::fluid_ounces(10.1), waste_hundredths };
            let bought = sealing.cartridges(Length::from_nm(path)) as i128 * sealing.cartridge.0 * 10_000;
            let needed = sealing.bead.volume(Length::from_nm(path)).0 * i128::from(10_000 + waste_hundredths);
            prop_assert!(bought >= needed && bought - needed < sealing.cartridge.0 * 10_000);
        }
    }
}
