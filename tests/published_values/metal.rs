//! 2. Gauge and mass: the gauge tables, copper by its ounces, densities.

use brakeside::trade::length::Length;
use brakeside::trade::metal::{Kind, Metal, MetalError};

use super::table::Agrees::{Exactly, Within};
use super::table::Basis::{Computed, Memory, Read};
use super::table::{Column, Fact, Source, Table, Value, facts};

pub fn values() -> Vec<Value> {
    let steel = [GALVANIZED.values(), BARE.values(), STATUTE_STEEL.values(), facts(&STEEL)];
    let others = [COPPER.values(), STATUTE_OUNCES.values(), DENSITY.values(), facts(&DENSITIES)];
    steel.into_iter().chain(others).flatten().collect()
}

/// kg/m² in 1 lb/ft² (NIST SP 811).
const POUND: f64 = 4.882_428;
/// What zinc adds to the bare sheet.
const ZINC_IN: f64 = 0.00375;
const ZINC_LB: f64 = 0.156;

fn thickness(metal: Result<Metal, MetalError>) -> f64 {
    metal.map_or(f64::NAN, |metal| metal.thickness.in_inches())
}

fn mass(metal: Result<Metal, MetalError>) -> f64 {
    metal.map_or(f64::NAN, |metal| metal.areal_mass)
}

fn galvanized(gauge: u32) -> Result<Metal, MetalError> {
    Metal::gauge(Kind::GalvanizedSteel, gauge)
}

/// Of a sheet 1 mm thick: kg/m³.
fn density(kind: Kind) -> f64 {
    mass(Metal::thickness(kind, Length::millimetres(1))) * 1000.0
}

const GALVANIZED: Table<u32, 3> = Table {
    source: Source("Manufacturers' Standard Gauge, galvanized sheet", Computed),
    inputs: "gauge",
    columns: [
        Column { what: "thickness in inches", agrees: Exactly, ask: |gauge| thickness(galvanized(gauge)) },
        Column {
            what: "lb/ft²",
            agrees: Within(0.0006, "printed to three places; zinc's 0.15625 as 0.156"),
            ask: |gauge| mass(galvanized(gauge)) / POUND,
        },
        Column {
            what: "kg/m²",
            agrees: Within(0.0006, "printed to three places"),
            ask: |gauge| mass(galvanized(gauge)),
        },
    ],
    rows: &[
        (16, [0.0635, 2.656, 12.969]),
        (18, [0.0516, 2.156, 10.528]),
        (20, [0.0396, 1.656, 8.087]),
        (22, [0.0336, 1.406, 6.866]),
        (24, [0.0276, 1.156, 5.645]),
        (26, [0.0217, 0.906, 4.425]),
        (28, [0.0187, 0.781, 3.814]),
        (30, [0.0157, 0.656, 3.204]),
    ],
};

/// The galvanized sheet less its zinc.
const BARE: Table<u32, 2> = Table {
    source: Source("Manufacturers' Standard Gauge, steel; zinc adds 0.00375 in and 0.156 lb/ft²", Computed),
    inputs: "gauge",
    columns: [
        Column {
            what: "thickness in inches without zinc",
            agrees: Within(0.0001, "both columns are printed to four places"),
            ask: |gauge| thickness(galvanized(gauge)) - ZINC_IN,
        },
        Column {
            what: "lb/ft² without zinc",
            agrees: Within(0.0006, "zinc's 0.15625 is printed as 0.156"),
            ask: |gauge| mass(galvanized(gauge)) / POUND - ZINC_LB,
        },
    ],
    rows: &[
        (16, [0.0598, 2.500]),
        (18, [0.0478, 2.000]),
        (20, [0.0359, 1.500]),
        (22, [0.0299, 1.250]),
        (24, [0.0239, 1.000]),
        (26, [0.0179, 0.750]),
        (28, [0.0149, 0.625]),
        (30, [0.0120, 0.500]),
    ],
};

const STEEL: [Fact; 2] = [
    Fact {
        what: "lb/ft² per inch of 16 ga without zinc",
        published: 41.82,
        agrees: Within(0.1, "the thickness is printed to four places"),
        source: Source("Manufacturers' Standard Gauge", Read),
        ask: || (mass(galvanized(16)) / POUND - ZINC_LB) / (thickness(galvanized(16)) - ZINC_IN),
    },
    Fact {
        what: "by how much the gauge table's mass of 24 ga is above that from its thickness, in percent",
        published: 2.4,
        agrees: Within(0.3, "\"about\"; zinc counts as steel"),
        source: Source("Manufacturers' Standard Gauge against 7850 kg/m³", Computed),
        ask: || {
            let by_table = galvanized(24);
            let by_density = by_table.clone().and_then(|metal| Metal::thickness(metal.kind, metal.thickness));
            (mass(by_table) / mass(by_density) - 1.0) * 100.0
        },
    },
];

/// The statute weighs bare sheet; its thicknesses are an older iron's.
const STATUTE_STEEL: Table<u32, 2> = Table {
    source: Source("15 U.S.C. 206", Read),
    inputs: "gauge",
    columns: [
        Column {
            what: "oz/ft² without zinc",
            agrees: Within(0.005, "zinc's 2.5 oz is printed as 0.156 lb"),
            ask: |gauge| (mass(galvanized(gauge)) / POUND - ZINC_LB) * 16.0,
        },
        Column {
            what: "kg/m² without zinc",
            agrees: Within(0.005, "16 ga is printed to two places"),
            ask: |gauge| mass(galvanized(gauge)) - ZINC_LB * POUND,
        },
    ],
    rows: &[(16, [40.0, 12.21]), (18, [32.0, 9.765]), (20, [24.0, 7.324])],
};

/// An ounce of copper weighs what the statute's ounce of steel does.
const STATUTE_OUNCES: Table<u32, 1> = Table {
    source: Source("15 U.S.C. 206; 16 oz: NIST SP 811", Read),
    inputs: "oz/ft²",
    columns: [Column {
        what: "kg/m² of copper",
        agrees: Within(0.0005, "printed to three places"),
        ask: |ounces| mass(Metal::ounces(ounces)),
    }],
    rows: &[(32, [9.765]), (24, [7.324]), (16, [4.882])],
};

const COPPER: Table<u32, 2> = Table {
    source: Source("ASTM B370, by the copper trade association's table 1.1.3", Read),
    inputs: "oz/ft²",
    columns: [
        Column { what: "nominal thickness in inches", agrees: Exactly, ask: |ounces| thickness(Metal::ounces(ounces)) },
        Column {
            what: "oz/ft² of a sheet as thick",
            agrees: Within(0.3, "thicknesses are to 0.0001 in, and published apart from the density"),
            ask: |ounces| {
                let sheet = Metal::ounces(ounces).and_then(|metal| Metal::thickness(metal.kind, metal.thickness));
                mass(sheet) / POUND * 16.0
            },
        },
    ],
    rows: &[
        (12, [0.0162, 12.0]),
        (16, [0.0216, 16.0]),
        (20, [0.0270, 20.0]),
        (24, [0.0323, 24.0]),
        (32, [0.0431, 32.0]),
        (48, [0.0646, 48.0]),
    ],
};

const DENSITY: Table<Kind, 1> = Table {
    source: Source("material tables", Memory),
    inputs: "metal",
    columns: [Column { what: "kg/m³", agrees: Within(0.5, "printed to the whole kilogram"), ask: density }],
    rows: &[(Kind::GalvanizedSteel, [7850.0]), (Kind::Aluminium, [2700.0])],
};

const DENSITIES: [Fact; 3] = [
    Fact {
        what: "kg/m³ of copper",
        published: 8896.0,
        agrees: Within(0.5, "0.3214 lb/in³ is printed to four places"),
        source: Source("Copper Flashings: A Manual, p. 53", Read),
        ask: || density(Kind::Copper),
    },
    Fact {
        what: "kg/m³ of zinc",
        published: 7170.0,
        agrees: Within(30.0, "7140 to 7200 by alloy"),
        source: Source("material tables", Memory),
        ask: || density(Kind::Zinc),
    },
    Fact {
        what: "kg/m³ of stainless steel",
        published: 7950.0,
        agrees: Within(50.0, "7900 to 8000 by alloy"),
        source: Source("material tables", Memory),
        ask: || density(Kind::StainlessSteel),
    },
];
