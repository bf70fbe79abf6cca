//! The shop as it is set up: its brake, its widths, its habits. Every default here works unedited.
//!
//! What each setting means, its bounds and its source stand beside its name in the table of [`keys`]; [`file`] reads and
//! prints the whole as one file.

mod bend;
mod document;
pub mod entry;
pub mod file;
mod keys;
mod table;

pub use bend::Bending;

use crate::trade::bending::Rule;
use crate::trade::brake::Brake;
use crate::trade::length::{Length, Units};
use crate::trade::metal::Kind;
use crate::trade::test_bend::TestBend;

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
    pub fasteners: Fasteners,
    pub sealing: Sealing,
    pub load: Load,
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
    /// The finest step a hand at the bench sets and marks.
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

    /// The finest step a hand at the bench sets and marks.
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

/// The outside widths of each trim where a run sets none.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Profiles {
    pub end_wall: EndWall,
    pub reglet: Reglet,
    pub side_wall: SideWall,
    pub gable: Gable,
    pub eave: Eave,
    pub ridge: Ridge,
}

/// ½ in, the hem of all our trims.
const HEM: Length = Length::sixty_fourths(32);

#[derive(Debug, Clone, PartialEq)]
pub struct EndWall {
    pub wall_leg: Length,
    pub roof_leg: Length,
    pub hem: Length,
}

impl Default for EndWall {
    fn default() -> Self {
        Self { wall_leg: Length::inches(4), roof_leg: Length::inches(5), hem: HEM }
    }
}

#[derive(Debug, Clone, PartialEq)]
pub struct Reglet {
    pub wall_leg: Length,
    pub depth: Length,
    pub face: Length,
    pub hem: Length,
}

impl Default for Reglet {
    fn default() -> Self {
        Self {
            wall_leg: Length::sixty_fourths(96),
            depth: Length::sixty_fourths(40),
            face: Length::inches(3),
            hem: HEM,
        }
    }
}

#[derive(Debug, Clone, PartialEq)]
pub struct SideWall {
    pub wall_leg: Length,
    pub roof_leg: Length,
    pub hem: Length,
}

impl Default for SideWall {
    fn default() -> Self {
        Self { wall_leg: Length::inches(4), roof_leg: Length::inches(4), hem: HEM }
    }
}

#[derive(Debug, Clone, PartialEq)]
pub struct Gable {
    pub roof_leg: Length,
    pub face: Length,
    pub hem: Length,
}

impl Default for Gable {
    fn default() -> Self {
        Self { roof_leg: Length::inches(4), face: Length::inches(4), hem: HEM }
    }
}

#[derive(Debug, Clone, PartialEq)]
pub struct Eave {
    pub roof_leg: Length,
    pub face: Length,
    /// The drip at the face's lower edge.
    pub kick: Length,
    /// How far the kick leans out of the face's plane, in degrees.
    pub kick_angle_deg: f64,
    /// Behind the kick: narrower than it.
    pub hem: Length,
}

impl Default for Eave {
    fn default() -> Self {
        Self {
            roof_leg: Length::inches(4),
            face: Length::inches(3),
            kick: Length::sixty_fourths(48),
            kick_angle_deg: 45.0,
            hem: HEM,
        }
    }
}

#[derive(Debug, Clone, PartialEq)]
pub struct Ridge {
    /// Down each side.
    pub leg: Length,
    /// At both edges.
    pub hem: Length,
}

impl Default for Ridge {
    fn default() -> Self {
        Self { leg: Length::inches(6), hem: HEM }
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

/// A trim shop's leaf brake: common practice, no source.
impl Default for Brake {
    fn default() -> Self {
        Self {
            length: Length::inches(10 * 12 + 6),
            throat: Length::inches(20),
            jaw_height: Length::inches(3),
            nose_angle_deg: 45.0,
            least_flange: Length::sixty_fourths(24),
            greatest_angle_deg: 135.0,
        }
    }
}

/// About 16 ga galvanized and its like in the other metals: common practice, no source.
impl Default for ByMetal<Length> {
    fn default() -> Self {
        let ten_thousandths = |count: i64| Length::from_nm(count * 2540);
        Self {
            galvanized_steel: ten_thousandths(635),
            aluminium: ten_thousandths(808),
            copper: ten_thousandths(646),
            stainless_steel: ten_thousandths(360),
            zinc: ten_thousandths(600),
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
            zinc_ppm_per_f: None,
        }
    }
}

#[derive(Debug, Clone, PartialEq)]
pub struct Fasteners {
    /// Between fasteners on a wall leg.
    pub wall_spacing: Length,
    /// Their line from the leg's upper edge.
    pub wall_line: Length,
    /// The first and last from the piece's ends.
    pub wall_end: Length,
    /// Between lap screws on the panels' high seams.
    pub screw_spacing: Length,
    /// A screw on each side of a lap, this far from its edge.
    pub lap_side: Length,
    /// Closures and butyl tape, back from the trim's lower edge.
    pub closure_setback: Length,
    /// What one roof panel covers.
    pub panel_width: Length,
    /// In high wind, the most between any two.
    pub high_wind: Option<Length>,
}

impl Default for Fasteners {
    fn default() -> Self {
        Self {
            wall_spacing: Length::inches(12),
            wall_line: Length::inches(1),
            wall_end: Length::inches(1),
            screw_spacing: Length::inches(12),
            lap_side: Length::inches(1),
            closure_setback: Length::inches(1),
            panel_width: Length::inches(36),
            high_wind: None,
        }
    }
}

#[derive(Debug, Clone, PartialEq)]
pub struct Sealing {
    pub bead_width: Length,
    pub bead_height: Length,
    /// What a cartridge holds, in US fluid ounces.
    pub cartridge_fl_oz: f64,
    /// What a roll of butyl tape covers.
    pub butyl_roll: Length,
    /// Sealant that is bought but not laid, in percent of what is.
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

/// The van's bed, and how pieces are lifted onto it: the inputs of NIOSH's lifting equation.
#[derive(Debug, Clone, PartialEq)]
pub struct Load {
    pub bed_length: Length,
    /// Of all its pieces, tied together.
    pub bundle_width: Length,
    /// From the ankles to the hands.
    pub lift_horizontal: Length,
    /// The hands' height where the lift begins.
    pub lift_origin: Length,
    /// How far up the hands travel.
    pub lift_travel: Length,
}

impl Default for Load {
    fn default() -> Self {
        Self {
            bed_length: Length::inches(8 * 12),
            bundle_width: Length::inches(18),
            lift_horizontal: Length::inches(15),
            lift_origin: Length::inches(30),
            lift_travel: Length::inches(24),
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
}
