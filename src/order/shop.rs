//! The shop as it is set up: its brake, its widths, its habits. Every default here works unedited.
//!
//! What each setting means, its bounds and its source stand beside its name in the table of [`keys`]; [`file`] reads and
//! prints the whole as one file.

mod bend;
mod document;
pub mod entry;
pub mod file;
mod keys;
mod printer;
mod profiles;
mod relations;
mod table;

pub use bend::Bending;
pub use printer::Printer;
pub use profiles::{Eave, EndWall, Gable, Profiles, Reglet, Ridge, SideWall};

use crate::trade::bending::Rule;
use crate::trade::brake::Brake;
use crate::trade::expansion::Interval;
use crate::trade::hardware::Spacings;
use crate::trade::length::{Length, Units};
use crate::trade::lifting::Lift;
use crate::trade::metal::Kind;
use crate::trade::sealant::{self, Bead, Volume};
use crate::trade::test_bend::TestBend;
use crate::trade::tolerance::Tolerance;
use crate::trade::trim::Trim;

/// Everything a shop sets once.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Shop {
    pub orders: Orders,
    pub profiles: Profiles,
    pub brake: Brake,
    /// The thickest sheet the brake bends.
    pub capacity: ByMetal<Length>,
    pub bending: BendingSettings,
    pub test_bends: Vec<TestBend>,
    pub splits: Splits,
    pub expansion: Expansion,
    pub fasteners: Spacings,
    pub sealing: Sealing,
    pub load: Load,
    pub check: Check,
    pub printer: Printer,
}

/// What an order may leave out, and what it may not go below.
#[derive(Debug, Clone, PartialEq)]
pub struct Orders {
    pub least_lap: Length,
    /// The lap of a run that names none, in an order in inches.
    pub lap: Length,
    /// The same in an order in millimetres.
    pub lap_metric: Length,
    /// The longest blank.
    pub longest: Length,
    /// The shortest piece, and the shortest stub a split may leave.
    pub least_piece: Length,
    /// What pieces are whole multiples of, wherever the run allows.
    pub grid_in: Length,
    pub grid_mm: Length,
}

impl Orders {
    /// The lap of a run that names none.
    pub fn lap(&self, units: Units) -> Length {
        match units {
            Units::In => self.lap,
            Units::Mm => self.lap_metric,
        }
    }

    /// What pieces are whole multiples of, wherever the run allows.
    pub fn grid(&self, units: Units) -> Length {
        match units {
            Units::In => self.grid_in,
            Units::Mm => self.grid_mm,
        }
    }
}

impl Default for Orders {
    fn default() -> Self {
        Self {
            least_lap: Length::inches(6),
            lap: Length::inches(6),
            lap_metric: Length::millimetres(155),
            longest: Length::inches(10 * 12),
            least_piece: Length::inches(12),
            grid_in: Units::In.reading(),
            grid_mm: Units::Mm.reading(),
        }
    }
}

/// One value for each metal.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct ByMetal<T> {
    pub galvanized_steel: T,
    pub aluminium: T,
    pub copper: T,
    pub stainless_steel: T,
    pub zinc: T,
}

impl<T: Copy> ByMetal<T> {
    pub const fn of(&self, kind: Kind) -> T {
        match kind {
            Kind::GalvanizedSteel => self.galvanized_steel,
            Kind::Aluminium => self.aluminium,
            Kind::Copper => self.copper,
            Kind::StainlessSteel => self.stainless_steel,
            Kind::Zinc => self.zinc,
        }
    }
}

/// About 16 ga galvanized and its like in the other metals: common practice, no source.
impl Default for ByMetal<Length> {
    fn default() -> Self {
        Self {
            galvanized_steel: Length::ten_thousandths(635),
            aluminium: Length::ten_thousandths(808),
            copper: Length::ten_thousandths(646),
            stainless_steel: Length::ten_thousandths(360),
            zinc: Length::ten_thousandths(600),
        }
    }
}

/// How bends are reckoned where no test bend says otherwise.
#[derive(Debug, Clone, PartialEq)]
pub struct BendingSettings {
    pub rule: RuleName,
    /// Used where `rule` is [`RuleName::KFactor`].
    pub k: f64,
}

#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum RuleName {
    Din6935,
    KFactor,
}

impl BendingSettings {
    pub const fn rule(&self) -> Rule {
        match self.rule {
            RuleName::Din6935 => Rule::Din6935,
            RuleName::KFactor => Rule::KFactor(self.k),
        }
    }
}

impl Default for BendingSettings {
    fn default() -> Self {
        Self { rule: RuleName::Din6935, k: 0.447 }
    }
}

/// Where a run is cut into pieces.
#[derive(Debug, Clone, PartialEq)]
pub struct Splits {
    /// The least distance along a wall between the laps of two of its trims.
    pub stagger: Length,
    /// The least distance of a lap from a set position, such as a panel seam.
    pub seam_clearance: Length,
}

impl Default for Splits {
    fn default() -> Self {
        Self { stagger: Length::inches(4), seam_clearance: Length::inches(1) }
    }
}

/// What the metal moves between the coldest night and the hottest noon.
#[derive(Debug, Clone, PartialEq)]
pub struct Expansion {
    /// The metal's own temperature, in °F.
    pub coldest_f: f64,
    pub hottest_f: f64,
    /// The greatest length between expansion joints; `None` asks for none.
    pub interval: ByMetal<Option<Length>>,
    /// The same of a fascia in aluminium, an eave or a gable.
    pub aluminium_fascia: Option<Length>,
    /// Zinc's coefficient in millionths per °F; it varies by alloy, so there is no default.
    pub zinc_ppm_per_f: Option<f64>,
}

impl Default for Expansion {
    fn default() -> Self {
        let feet = |feet: i64| Some(Length::inches(feet * 12));
        Self {
            coldest_f: -20.0,
            hottest_f: 150.0,
            interval: ByMetal {
                galvanized_steel: None,
                aluminium: feet(32),
                copper: feet(40),
                stainless_steel: feet(40),
                zinc: None,
            },
            aluminium_fascia: Some(ALUMINIUM_FASCIA.length),
            zinc_ppm_per_f: None,
        }
    }
}

/// A joint "every 12 ft" of aluminium gravel stop and fascia.
const ALUMINIUM_FASCIA: Interval =
    Interval { length: Length::inches(12 * 12), source: "UFGS 07 60 00 (legacy 07600), aluminium fascia" };

impl Shop {
    /// The longest stretch of `trim` without an expansion joint; `None` asks for none.
    pub fn interval(&self, kind: Kind, trim: Trim) -> Option<Interval> {
        let (set, published) = match kind {
            Kind::Aluminium if trim.is_fascia() => (self.expansion.aluminium_fascia, Some(ALUMINIUM_FASCIA)),
            _ => (self.expansion.interval.of(kind), Interval::of(kind)),
        };
        let set = set.map(Interval::set)?;
        Some(published.filter(|published| published.length == set.length).unwrap_or(set))
    }
}

/// What seals, and how it is sold: ¼ × ¼ in from 10.1 fl oz cartridges by default; common practice, no source.
#[derive(Debug, Clone, PartialEq)]
pub struct Sealing {
    pub bead_width: Length,
    pub bead_height: Length,
    /// What a cartridge holds, in US fluid ounces.
    pub cartridge_fl_oz: f64,
    /// What a roll of butyl tape covers.
    pub butyl_roll: Length,
    /// Sealant that is bought but not laid, in percent of what is: a whole number of hundredths.
    pub waste_percent: f64,
}

impl Default for Sealing {
    fn default() -> Self {
        Self {
            bead_width: Length::sixty_fourths(16),
            bead_height: Length::sixty_fourths(16),
            cartridge_fl_oz: 10.1,
            butyl_roll: Length::inches(50 * 12),
            waste_percent: 0.0,
        }
    }
}

impl Sealing {
    /// The beads and what holds them.
    pub fn beads(&self) -> sealant::Sealing {
        sealant::Sealing {
            bead: Bead::Rectangle { width: self.bead_width, height: self.bead_height },
            cartridge: Volume::fluid_ounces(self.cartridge_fl_oz),
            waste_hundredths: (self.waste_percent * 100.0).round() as u32,
        }
    }
}

/// How a finished piece is measured.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Check {
    /// How far off its length may be.
    pub length: Tolerance,
}

/// The van's bed, and how pieces are lifted onto it.
#[derive(Debug, Clone, PartialEq)]
pub struct Load {
    pub bed_length: Length,
    /// Of all its pieces, tied together.
    pub bundle_width: Length,
    pub lift: Lift,
    /// From this length on two people carry a piece, whatever its mass.
    pub two_people_from: Length,
}

impl Default for Load {
    fn default() -> Self {
        Self {
            bed_length: Length::inches(8 * 12),
            bundle_width: Length::inches(18),
            lift: Lift::default(),
            two_people_from: Length::inches(8 * 12),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::trade::metal::Metal;

    #[test]
    fn the_brake_takes_every_gauge_and_weight_in_the_tables() {
        let capacity = Shop::default().capacity;
        let gauges = [16, 18, 20, 22, 24, 26, 28, 29, 30].map(|gauge| Metal::gauge(Kind::GalvanizedSteel, gauge));
        let coppers = [12, 16, 20, 24, 32, 48].map(Metal::ounces);
        for metal in gauges.into_iter().chain(coppers).map(Result::unwrap) {
            assert!(metal.thickness <= capacity.of(metal.kind), "{}", metal.label);
        }
    }

    /// UFGS 07600: every 12 ft of aluminium fascia, every 32 ft of other aluminium.
    #[test]
    fn aluminium_fascia_has_an_interval_of_its_own() {
        let mut shop = Shop::default();
        let feet =
            |shop: &Shop, kind, trim| shop.interval(kind, trim).map(|interval| interval.length.in_inches() / 12.0);
        assert_eq!(feet(&shop, Kind::Aluminium, Trim::Eave), Some(12.0));
        assert_eq!(feet(&shop, Kind::Aluminium, Trim::EndWall), Some(32.0));
        assert_eq!(feet(&shop, Kind::Copper, Trim::Gable), Some(40.0));
        shop.expansion.aluminium_fascia = None;
        assert_eq!(shop.interval(Kind::Aluminium, Trim::Gable), None);
    }
}
