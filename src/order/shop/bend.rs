//! How the shop's metal bends: as it was measured, else by the fixed K-factor, else by DIN 6935.

use super::{RuleName, Shop};
use crate::trade::bending::Rule;
use crate::trade::length::Length;
use crate::trade::metal::Metal;
use crate::trade::test_bend::{Measured, TestBend, TestBendError, measure};

/// How one metal bends, and who says so.
#[derive(Debug, Clone, PartialEq)]
pub struct Bending {
    pub rule: Rule,
    /// Inside, where measured.
    pub radius: Option<Length>,
    /// The angle got over the angle set, where measured: 1 or less.
    pub springback: Option<f64>,
    pub source: String,
}

impl Bending {
    /// The inside radius `metal` is bent to: as measured, else its thickness.
    pub fn inside_radius(&self, metal: &Metal) -> Length {
        self.radius.unwrap_or(metal.thickness)
    }
}

impl Shop {
    /// How `metal` bends here. Test bends that say nothing yet, see [`Shop::measured`], are passed over.
    pub fn bending(&self, metal: &Metal) -> Bending {
        match self.measured(metal) {
            Ok(Measured { k, radius, springback, source, .. }) => {
                Bending { rule: Rule::KFactor(k), radius: Some(radius), springback, source }
            }
            Err(_) => Bending {
                rule: self.bending.rule(),
                radius: None,
                springback: None,
                source: match self.bending.rule {
                    RuleName::Din6935 => "DIN 6935".into(),
                    RuleName::KFactor => format!("K = {}, fixed in the shop's settings", self.bending.k),
                },
            },
        }
    }

    /// What the test bends of `metal`, the same kind within 5 % of its thickness, say together.
    ///
    /// # Errors
    /// [`TestBendError`]: there are none, they do not suffice, or they cannot be.
    pub fn measured(&self, metal: &Metal) -> Result<Measured, TestBendError> {
        let tests: Vec<&TestBend> = self.test_bends.iter().filter(|test| test.tells_of(metal)).collect();
        measure(&tests)
    }
}

#[cfg(test)]
mod tests {
    use super::super::BendingSettings;
    use super::*;
    use crate::trade::bending::shortening;
    use crate::trade::metal::Kind;

    #[test]
    fn measured_before_fixed_before_din() {
        let metal = Metal::gauge(Kind::GalvanizedSteel, 24).unwrap();
        let mut shop = Shop::default();
        assert_eq!(shop.bending(&metal).rule, Rule::Din6935);
        assert_eq!(shop.bending(&metal).source, "DIN 6935");

        shop.bending = BendingSettings { rule: RuleName::KFactor, k: 0.4 };
        assert_eq!(shop.bending(&metal).rule, Rule::KFactor(0.4));
        assert_eq!(shop.bending(&metal).source, "K = 0.4, fixed in the shop's settings");

        let legs = [Length::inches(2), Length::inches(3)];
        let taken = shortening(Rule::KFactor(0.35), 90.0, 1.2, metal.thickness.mm());
        let mut test = TestBend {
            metal: metal.clone(),
            strip: Length::inches(5) - Length::from_mm(taken),
            legs,
            angle_deg: 90.0,
            radius: None,
            set_angle_deg: Some(93.0),
            on: jiff::civil::date(2026, 11, 25),
            by: "RT".into(),
        };
        shop.test_bends.push(test.clone());
        assert_eq!(shop.bending(&metal).rule, Rule::KFactor(0.4), "one bend without its radius tells nothing yet");

        test.radius = Some(Length::from_mm(1.2));
        shop.test_bends = vec![test];
        let bending = shop.bending(&metal);
        assert!(matches!(bending.rule, Rule::KFactor(k) if (k - 0.35).abs() < 1e-5), "{bending:?}");
        assert_eq!(bending.radius, Some(Length::from_mm(1.2)));
        assert_eq!(bending.springback, Some(90.0 / 93.0));
        assert_eq!(bending.source, "test bend on 2026-11-25 by RT");
        assert_eq!(shop.bending(&Metal::gauge(Kind::GalvanizedSteel, 26).unwrap()).rule, Rule::KFactor(0.4));
    }
}
