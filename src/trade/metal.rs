//! Metals a trim shop bends: how a sheet is named, how thick it is, and what a square metre of it weighs.
//!
//! A mass from a gauge table and one from a density differ by about 2.4 % for steel, so each metal says which it is.

use serde::{Deserialize, Serialize};
use thiserror::Error;

use super::length::Length;
use super::mass::KG_PER_LB;

#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Kind {
    GalvanizedSteel,
    Aluminium,
    Copper,
    StainlessSteel,
    Zinc,
}

impl Kind {
    pub const ALL: [Self; 5] = [Self::GalvanizedSteel, Self::Aluminium, Self::Copper, Self::StainlessSteel, Self::Zinc];

    /// The word in an order and in the settings.
    pub const fn key(self) -> &'static str {
        match self {
            Self::GalvanizedSteel => "galvanized-steel",
            Self::Aluminium => "aluminium",
            Self::Copper => "copper",
            Self::StainlessSteel => "stainless-steel",
            Self::Zinc => "zinc",
        }
    }

    pub const fn name(self) -> &'static str {
        match self {
            Self::GalvanizedSteel => "galvanized steel",
            Self::Aluminium => "aluminium",
            Self::Copper => "copper",
            Self::StainlessSteel => "stainless steel",
            Self::Zinc => "zinc",
        }
    }

    /// In kg/m³.
    const fn density(self) -> f64 {
        match self {
            Self::GalvanizedSteel => 7850.0,
            Self::Aluminium => 2700.0,
            Self::Copper => 8896.0,
            Self::StainlessSteel => 7900.0,
            Self::Zinc => 7150.0,
        }
    }
}

/// A sheet metal, as an order names it.
#[derive(Debug, Clone, PartialEq)]
pub struct Metal {
    pub kind: Kind,
    /// Nominal, with its coating.
    pub thickness: Length,
    /// In kg/m².
    pub areal_mass: f64,
    pub basis: MassBasis,
    /// As the shop says it: `24 ga galvanized steel`, `16 oz copper`, `0.032 in aluminium`.
    pub label: String,
}

/// Where a sheet's mass comes from.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum MassBasis {
    /// The galvanized sheet gauge table.
    Gauge { gauge: u32, ounces: f64 },
    /// Copper is named by its ounces per square foot.
    Ounces(u32),
    /// Density times thickness.
    Density(Kind),
}

impl MassBasis {
    /// The rule behind [`Metal::areal_mass`], in the trade's symbols: `m` mass per area, `T` thickness.
    pub fn rule(self) -> String {
        match self {
            Self::Gauge { gauge, ounces } => format!("m = {ounces} oz/ft², the table's for {gauge} ga"),
            Self::Ounces(ounces) => format!("m = {ounces} oz/ft², the sheet's name"),
            Self::Density(kind) => {
                let of = if kind == Kind::GalvanizedSteel { "steel, coating and all" } else { kind.name() };
                format!("m = {} kg/m³ · T, as {of}", kind.density())
            }
        }
    }

    /// Where the rule comes from.
    pub const fn source(self) -> &'static str {
        match self {
            Self::Gauge { gauge: 29, .. } => "Manufacturers' Standard Gauge, galvanized sheet; 29 ga from memory",
            Self::Gauge { .. } => "Manufacturers' Standard Gauge, galvanized sheet",
            Self::Ounces(_) => "ASTM B370",
            Self::Density(Kind::Copper) => "Copper Flashings: A Manual, p. 53: 0.3214 lb/in³",
            Self::Density(_) => "customary density, from memory",
        }
    }
}

/// Why a metal cannot be had so, and what would be right.
#[derive(Debug, Clone, PartialEq, Eq, Error)]
pub enum MetalError {
    #[error("{} does not go by gauge here: give its {}", kind.name(), other_names(*kind))]
    NotByGauge { kind: Kind },
    #[error("{gauge} ga galvanized steel is not in the table: give {}, or its thickness", listed(GAUGES.map(|row| row.0)))]
    UnknownGauge { gauge: u32 },
    #[error("{ounces} oz copper is not in the table: give {}, or its thickness", listed(OUNCES.map(|row| row.0)))]
    UnknownOunces { ounces: u32 },
    #[error("{} is no sheet a trim brake bends: give 0.2 to 3 mm (0.008 to 0.118 in)", sheet_text(*thickness))]
    OutOfRange { thickness: Length },
}

/// Gauge, galvanized thickness in 1/10,000 in, and the bare steel's oz/ft².
///
/// Manufacturers' Standard Gauge: the bare sheet weighs 41.82 lb/ft² per inch of its thickness; zinc adds 0.00375 in
/// and [`ZINC_OUNCES`]. The 9 oz of 29 ga are from memory.
const GAUGES: [(u32, i64, f64); 9] = [
    (16, 635, 40.0),
    (18, 516, 32.0),
    (20, 396, 24.0),
    (22, 336, 20.0),
    (24, 276, 16.0),
    (26, 217, 12.0),
    (28, 187, 10.0),
    (29, 172, 9.0),
    (30, 157, 8.0),
];

/// The gauge table's zinc, both faces, in oz/ft²: 0.15625 lb/ft², printed as 0.156.
const ZINC_OUNCES: f64 = 2.5;

/// Copper's oz/ft² and nominal thickness in 1/10,000 in: ASTM B370, by the copper trade association's table 1.1.3.
const OUNCES: [(u32, i64); 6] = [(12, 162), (16, 216), (20, 270), (24, 323), (32, 431), (48, 646)];

/// 1 oz/ft² in kg/m², exactly: a sixteenth of a pound over (0.3048 m)².
const KG_PER_M2_OF_OZ_PER_FT2: f64 = KG_PER_LB / 16.0 / (0.3048 * 0.3048);

const THINNEST: Length = Length::from_nm(200_000);
const THICKEST: Length = Length::millimetres(3);

impl Metal {
    /// Galvanized steel by its gauge.
    pub fn gauge(kind: Kind, gauge: u32) -> Result<Self, MetalError> {
        if kind != Kind::GalvanizedSteel {
            return Err(MetalError::NotByGauge { kind });
        }
        let (_, thickness, steel) =
            GAUGES.into_iter().find(|row| row.0 == gauge).ok_or(MetalError::UnknownGauge { gauge })?;
        let ounces = steel + ZINC_OUNCES;
        Ok(Self {
            kind,
            thickness: Length::ten_thousandths(thickness),
            areal_mass: ounces * KG_PER_M2_OF_OZ_PER_FT2,
            basis: MassBasis::Gauge { gauge, ounces },
            label: format!("{gauge} ga {}", kind.name()),
        })
    }

    /// Copper by its ounces per square foot.
    pub fn ounces(ounces: u32) -> Result<Self, MetalError> {
        let (_, thickness) =
            OUNCES.into_iter().find(|row| row.0 == ounces).ok_or(MetalError::UnknownOunces { ounces })?;
        Ok(Self {
            kind: Kind::Copper,
            thickness: Length::ten_thousandths(thickness),
            areal_mass: f64::from(ounces) * KG_PER_M2_OF_OZ_PER_FT2,
            basis: MassBasis::Ounces(ounces),
            label: format!("{ounces} oz {}", Kind::Copper.name()),
        })
    }

    /// Any metal by its thickness, 0.2 to 3 mm.
    pub fn thickness(kind: Kind, thickness: Length) -> Result<Self, MetalError> {
        if !(THINNEST..=THICKEST).contains(&thickness) {
            return Err(MetalError::OutOfRange { thickness });
        }
        Ok(Self {
            kind,
            thickness,
            areal_mass: kind.density() * thickness.mm() / 1000.0,
            basis: MassBasis::Density(kind),
            label: format!("{} {}", sheet_text(thickness), kind.name()),
        })
    }
}

/// A thickness as it was most likely said: sheet comes in round twentieths of a millimetre or in 1/10,000 in, and
/// below 6.35 mm no thickness is both.
fn sheet_text(thickness: Length) -> String {
    let nm = thickness.nm();
    let is_whole = |of: Length| nm % of.nm() == 0;
    if is_whole(Length::from_nm(50_000)) || !is_whole(Length::ten_thousandths(1)) {
        return thickness.text(super::length::Units::Mm);
    }
    let places = if is_whole(Length::ten_thousandths(10)) { 3 } else { 4 };
    format!("{:.places$} in", thickness.in_inches())
}

fn other_names(kind: Kind) -> &'static str {
    if kind == Kind::Copper { "ounces or thickness" } else { "thickness" }
}

/// `16, 18 or 20`.
fn listed<const N: usize>(numbers: [u32; N]) -> String {
    numbers
        .iter()
        .enumerate()
        .map(|(i, number)| match i {
            0 => number.to_string(),
            i if i + 1 == N => format!(" or {number}"),
            _ => format!(", {number}"),
        })
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    /// The rules of the Manufacturers' Standard Gauge (read), against the table, which is printed to 4 places.
    #[test]
    fn the_gauge_table_follows_its_rules() {
        for (gauge, thickness, ounces) in GAUGES {
            let by_rule = ounces / 16.0 / 41.82 + 0.00375;
            let table = Length::ten_thousandths(thickness).in_inches();
            assert!((table - by_rule).abs() <= 0.0001, "{gauge} ga: {table} in, by rule {by_rule} in");
        }
    }

    #[test]
    fn sheets_are_named_as_the_shop_says_them() {
        let by_inches = |inches| Metal::thickness(Kind::Aluminium, Length::from_inches(inches));
        assert_eq!(Metal::gauge(Kind::GalvanizedSteel, 24).unwrap().label, "24 ga galvanized steel");
        assert_eq!(Metal::ounces(16).unwrap().label, "16 oz copper");
        assert_eq!(by_inches(0.032).unwrap().label, "0.032 in aluminium");
        assert_eq!(by_inches(0.05).unwrap().label, "0.050 in aluminium");
        assert_eq!(by_inches(0.0201).unwrap().label, "0.0201 in aluminium");
        let zinc = Metal::thickness(Kind::Zinc, Length::from_mm(0.7)).unwrap();
        assert_eq!(zinc.label, "0.7 mm zinc");
        let odd = Metal::thickness(Kind::StainlessSteel, Length::from_mm(0.63)).unwrap();
        assert_eq!(odd.label, "0.63 mm stainless steel");
    }

    #[test]
    fn table_and_density_differ_and_say_so() {
        let table = Metal::gauge(Kind::GalvanizedSteel, 24).unwrap();
        let density = Metal::thickness(Kind::GalvanizedSteel, table.thickness).unwrap();
        assert!(density.areal_mass < table.areal_mass);
        assert_eq!(table.basis.rule(), "m = 18.5 oz/ft², the table's for 24 ga");
        assert_eq!(density.basis.rule(), "m = 7850 kg/m³ · T, as steel, coating and all");
    }

    #[test]
    fn refusals_say_what_would_be_right() {
        for (refused, message) in [
            (
                Metal::gauge(Kind::GalvanizedSteel, 25),
                "25 ga galvanized steel is not in the table: give 16, 18, 20, 22, 24, 26, 28, 29 or 30, or its thickness",
            ),
            (Metal::gauge(Kind::Copper, 24), "copper does not go by gauge here: give its ounces or thickness"),
            (Metal::ounces(10), "10 oz copper is not in the table: give 12, 16, 20, 24, 32 or 48, or its thickness"),
            (
                Metal::thickness(Kind::Zinc, Length::millimetres(24)),
                "24 mm is no sheet a trim brake bends: give 0.2 to 3 mm (0.008 to 0.118 in)",
            ),
        ] {
            assert_eq!(refused.unwrap_err().to_string(), message);
        }
    }
}
