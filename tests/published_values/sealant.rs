//! 10. Sealant: what a cartridge holds, and how far it goes.

use brakeside::order::shop;
use brakeside::trade::length::Length;
use brakeside::trade::sealant::{Bead, Sealing, Volume};

use super::table::Agrees::{Exactly, FartherOffThan, Within};
use super::table::Basis::Computed;
use super::table::{Column, Fact, Source, Table, Value, facts};

const EXACT: &str = "exact definitions, NIST SP 811";

pub fn values() -> Vec<Value> {
    [RECTANGULAR.values(), COUNT.values(), facts(&CARTRIDGE)].into_iter().flatten().collect()
}

fn sealing(bead: Bead) -> Sealing {
    Sealing { bead, cartridge: Volume::fluid_ounces(10.1), waste_hundredths: 0 }
}

/// Inches.
fn rectangle([width, height]: [f64; 2]) -> Bead {
    Bead::Rectangle { width: Length::from_inches(width), height: Length::from_inches(height) }
}

fn feet(sealing: Sealing) -> f64 {
    sealing.path_per_cartridge().in_inches() / 12.0
}

const RECTANGULAR: Table<[f64; 2], 1> = Table {
    source: Source(EXACT, Computed),
    inputs: "bead in inches",
    columns: [Column {
        what: "feet from a cartridge of 10.1 fl oz",
        agrees: Within(0.005, "to two places"),
        ask: |bead| feet(sealing(rectangle(bead))),
    }],
    rows: &[([0.25, 0.25], [24.30]), ([0.375, 0.25], [16.20]), ([0.5, 0.25], [12.15]), ([0.5, 0.375], [8.10])],
};

/// Feet of ¼ × ¼ in, as ordered: a cartridge is bought when it is begun.
const COUNT: Table<f64, 1> = Table {
    source: Source(EXACT, Computed),
    inputs: "feet of ¼ × ¼ in",
    columns: [Column {
        what: "cartridges of 10.1 fl oz",
        agrees: Exactly,
        ask: |feet| shop::Sealing::default().beads().cartridges(Length::from_inches(feet * 12.0)) as f64,
    }],
    rows: &[(0.0, [0.0]), (24.30, [1.0]), (24.31, [2.0]), (48.60, [2.0]), (48.61, [3.0]), (100.0, [5.0])],
};

const CARTRIDGE: [Fact; 5] = [
    Fact {
        what: "feet of ¼ in round bead from a cartridge of 10.1 fl oz",
        published: 30.94,
        agrees: Within(0.005, "to two places"),
        source: Source(EXACT, Computed),
        ask: || feet(sealing(Bead::Round { diameter: Length::from_inches(0.25) })),
    },
    Fact {
        what: "metres of 6 × 6 mm bead from a cartridge of 300 mL",
        published: 8.33,
        agrees: Within(0.005, "to two places"),
        source: Source(EXACT, Computed),
        ask: || {
            let [width, height] = [Length::millimetres(6); 2];
            let cartridge = Volume::millilitres(300);
            let sealing = Sealing { cartridge, ..sealing(Bead::Rectangle { width, height }) };
            sealing.path_per_cartridge().mm() / 1000.0
        },
    },
    Fact {
        what: "in³ in a cartridge of 10.1 fl oz",
        published: 18.2273,
        agrees: Within(0.000_05, "to four places"),
        source: Source(EXACT, Computed),
        ask: || Volume::fluid_ounces(10.1).mm3() / 16_387.064,
    },
    Fact {
        what: "mL in a cartridge of 10.1 fl oz",
        published: 298.69,
        agrees: Within(0.005, "to two places"),
        source: Source(EXACT, Computed),
        ask: || Volume::fluid_ounces(10.1).mm3() / 1000.0,
    },
    Fact {
        what: "feet of ¼ × ¼ in bead from a cartridge of 10.1 fl oz",
        published: 52.5,
        agrees: FartherOffThan(2.5, "50 to 55 ft is wrong by two"),
        source: Source("one widely copied table", Computed),
        ask: || feet(shop::Sealing::default().beads()),
    },
];
