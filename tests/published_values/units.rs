//! 5. Pitch, and 6. Units.

use brakeside::trade::length::{Length, Units};
use brakeside::trade::mass::KG_PER_LB;
use brakeside::trade::metal::Metal;
use brakeside::trade::pitch::Pitch;
use brakeside::trade::sealant::{Bead, Volume};

use super::table::Agrees::{Exactly, Within};
use super::table::Basis::{Computed, ReadSecondary};
use super::table::{Column, Fact, Source, Table, Value, facts};

pub fn pitches() -> Vec<Value> {
    PITCH.values()
}

pub fn units() -> Vec<Value> {
    [INCH.values(), facts(&EXACT)].into_iter().flatten().collect()
}

fn pitch(rise: u32, ask: fn(&Pitch) -> f64) -> f64 {
    Pitch::parse(&format!("{rise}:12")).as_ref().map_or(f64::NAN, ask)
}

#[expect(clippy::approx_constant, reason = "√2 as a table prints it")]
const PITCH: Table<u32, 2> = Table {
    source: Source("exact trigonometry; a published rafter table agrees at 1 to 5", Computed),
    inputs: "rise in 12",
    columns: [
        Column {
            what: "degrees",
            agrees: Within(0.000_05, "printed to four places"),
            ask: |rise| pitch(rise, Pitch::degrees),
        },
        Column {
            what: "slope factor",
            agrees: Within(0.000_000_5, "printed to six places"),
            ask: |rise| pitch(rise, Pitch::slope_factor),
        },
    ],
    rows: &[
        (1, [4.7636, 1.003466]),
        (2, [9.4623, 1.013794]),
        (3, [14.0362, 1.030776]),
        (4, [18.4349, 1.054093]),
        (5, [22.6199, 1.083333]),
        (6, [26.5651, 1.118034]),
        (8, [33.6901, 1.201850]),
        (9, [36.8699, 1.25]),
        (12, [45.0, 1.414214]),
    ],
};

const YARD_AND_POUND: &str = "international yard and pound agreement, 1 July 1959";

const INCH: Table<&str, 1> = Table {
    source: Source(YARD_AND_POUND, ReadSecondary),
    inputs: "length",
    columns: [Column {
        what: "mm",
        agrees: Exactly,
        ask: |text| Length::parse(text, Units::In).map_or(f64::NAN, Length::mm),
    }],
    rows: &[("1", [25.4]), ("1 in", [25.4]), ("1 ft", [304.8]), ("42' 7-1/4\"", [12985.75]), ("1/64", [0.396875])],
};

const NIST: &str = "NIST SP 811";

const EXACT: [Fact; 4] = [
    Fact {
        what: "kg in 1 lb",
        published: 0.453_592_37,
        agrees: Exactly,
        source: Source(YARD_AND_POUND, ReadSecondary),
        ask: || KG_PER_LB,
    },
    Fact {
        what: "mL in 1 in³, as a bead an inch square and long",
        published: 16.387_064,
        agrees: Within(1e-12, "a double's last place"),
        source: Source(NIST, Computed),
        ask: || {
            let inch = Length::inches(1);
            Bead::Rectangle { width: inch, height: inch }.volume(inch).mm3() / 1000.0
        },
    },
    Fact {
        what: "in³ in 1 US fl oz",
        published: 1.804_687_5,
        agrees: Within(1e-12, "a double's last place"),
        source: Source(NIST, Computed),
        ask: || Volume::fluid_ounces(1.0).mm3() / 16_387.064,
    },
    Fact {
        what: "kg/m² in 1 lb/ft², as copper of 16 oz",
        published: 4.882_428,
        agrees: Within(0.000_000_5, "printed to six places"),
        source: Source(NIST, Computed),
        ask: || Metal::ounces(16).map_or(f64::NAN, |metal| metal.areal_mass),
    },
];
