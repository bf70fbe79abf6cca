//! How many tie-downs a load of trim needs on a public road, by 49 CFR 393.110.
//!
//! The least numbers of the rule for one article of cargo, here the bundle: as long as its longest piece, as heavy as all
//! of it. Each tie-down's strength (393.106) is not looked at: that is the driver's to see to.

use super::length::Length;
use super::mass::KG_PER_LB;

/// The least number of tie-downs.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct TieDowns {
    /// Where nothing in front keeps the load from sliding forward.
    pub unblocked: u32,
    /// Where a headboard, a bulkhead or other cargo does.
    pub blocked: u32,
}

/// A load no longer than this and no heavier than [`LIGHT_LB`] is held by one.
const SHORT: Length = Length::inches(5 * 12);
const LIGHT_LB: f64 = 1100.0;
/// One more for each further such stretch or part of it.
const STRETCH: Length = Length::inches(10 * 12);

/// The least tie-downs for a bundle of this length and mass.
pub fn tie_downs(length: Length, mass_kg: f64) -> TieDowns {
    let stretches = (length.mm() / STRETCH.mm()).ceil().max(1.0) as u32;
    let light = length <= SHORT && mass_kg <= LIGHT_LB * KG_PER_LB;
    TieDowns { unblocked: if light { 1 } else { stretches + 1 }, blocked: stretches }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn of(feet: f64, lb: f64) -> (u32, u32) {
        let TieDowns { unblocked, blocked } = tie_downs(Length::from_inches(feet * 12.0), lb * KG_PER_LB);
        (unblocked, blocked)
    }

    /// Computed from the rule's text in 49 CFR 393.110 (b) and (c), read in a secondary source.
    #[test]
    fn numbers_are_those_of_49_cfr_393_110() {
        for (feet, unblocked, blocked) in [(10.0, 2, 1), (10.5, 3, 2), (20.0, 3, 2), (20.1, 4, 3), (30.0, 4, 3)] {
            assert_eq!(of(feet, 200.0), (unblocked, blocked), "{feet} ft");
        }
        assert_eq!(of(5.0, 1100.0), (1, 1));
        assert_eq!(of(5.0, 1101.0), (2, 1));
        assert_eq!(of(5.1, 10.0), (2, 1));
    }
}
