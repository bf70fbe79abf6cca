//! 9. Safety and transport: what is told on the roof, lifting, tie-downs, flags.

use brakeside::order::installing::{CAUTIONS, RoofCaution};
use brakeside::trade::caution::Signal;
use brakeside::trade::length::{Length, Units};
use brakeside::trade::lifting::{Coupling, Lift, Limit};
use brakeside::trade::load::{Bed, Overhang};
use brakeside::trade::tie_downs::{TieDowns, tie_downs};

use super::table::Agrees::{Exactly, Within};
use super::table::Basis::{Computed, Read, ReadSecondary};
use super::table::{Column, Fact, Source, Table, Value, facts};
use super::words::{number_before, told};

const KG_PER_LB: f64 = 0.453_592_37;

pub fn values() -> Vec<Value> {
    let roof = [facts(&ROOF), SIGNALS.values()];
    let lifting = [MULTIPLIERS.values(), LIMIT.values(), facts(&LOAD_CONSTANT)];
    let road = [TIE_DOWNS.values(), SHORT_LOADS.values(), FLAGS.values(), facts(&FLAG_WORDS)];
    roof.into_iter().chain(lifting).chain(road).flatten().collect()
}

/// The caution on the roof page that gives `source`.
fn caution(source: &str) -> Option<&'static RoofCaution> {
    CAUTIONS.iter().find(|caution| caution.source == source)
}

fn number_in(source: &str, words: &str) -> f64 {
    caution(source).map_or(f64::NAN, |caution| number_before(caution.text, words))
}

const FALLS: &str = "29 CFR 1926.501(b)";
const LADDERS: &str = "29 CFR 1926.1053(b)(1)";

const ROOF: [Fact; 3] = [
    Fact {
        what: "height in feet from which an edge wants fall protection",
        published: 6.0,
        agrees: Exactly,
        source: Source(FALLS, Read),
        ask: || number_in(FALLS, " ft"),
    },
    Fact {
        what: "height in metres from which an edge wants fall protection",
        published: 1.8,
        agrees: Exactly,
        source: Source(FALLS, Read),
        ask: || number_in(FALLS, " m)"),
    },
    Fact {
        what: "feet of a ladder's side rails above the landing",
        published: 3.0,
        agrees: Exactly,
        source: Source(LADDERS, ReadSecondary),
        ask: || number_in(LADDERS, " ft"),
    },
];

/// WARNING could cause death or serious injury, CAUTION minor or moderate injury.
const SIGNALS: Table<&str, 2> = Table {
    source: Source("ANSI Z535", ReadSecondary),
    inputs: "source of the caution",
    columns: [
        Column { what: "says WARNING", agrees: Exactly, ask: |source| signal(source, Signal::Warning) },
        Column { what: "says CAUTION", agrees: Exactly, ask: |source| signal(source, Signal::Caution) },
    ],
    rows: &[(FALLS, [1.0, 0.0]), (LADDERS, [1.0, 0.0]), ("common practice, no source", [0.0, 1.0])],
};

fn signal(source: &str, signal: Signal) -> f64 {
    caution(source).map_or(f64::NAN, |caution| told(caution.signal == signal))
}

/// H, V, D in inches; one origin, straight ahead, now and then.
fn limit([h, v, d]: [f64; 3], coupling: Coupling, ask: fn(&Limit) -> f64) -> f64 {
    let [horizontal, origin, travel] = [h, v, d].map(Length::from_inches);
    let lift = Lift { horizontal, origin, travel, asymmetry_deg: 0.0, frequency: 1.0, coupling };
    lift.limit().as_ref().map_or(f64::NAN, ask)
}

const MULTIPLIERS: Table<[f64; 3], 3> = Table {
    source: Source("NIOSH 94-110: HM = 10/H, VM = 1 − .0075·|V − 30|, DM = .82 + 1.8/D", Computed),
    inputs: "H, V, D in inches",
    columns: [
        Column {
            what: "HM",
            agrees: Within(0.000_05, "to four places"),
            ask: |at| limit(at, Coupling::Good, |limit| limit.horizontal),
        },
        Column {
            what: "VM",
            agrees: Within(0.000_05, "to four places"),
            ask: |at| limit(at, Coupling::Good, |limit| limit.vertical),
        },
        Column {
            what: "DM",
            agrees: Within(0.000_05, "to four places"),
            ask: |at| limit(at, Coupling::Good, |limit| limit.distance),
        },
    ],
    rows: &[
        ([10.0, 30.0, 10.0], [1.0, 1.0, 1.0]),
        ([15.0, 30.0, 24.0], [0.6667, 1.0, 0.895]),
        ([20.0, 0.0, 40.0], [0.5, 0.775, 0.865]),
        ([25.0, 70.0, 70.0], [0.4, 0.7, 0.8457]),
    ],
};

/// Without the coupling, which is taken out again: CM is .95 for a fair grip below the knuckles, else 1.
const LIMIT: Table<[f64; 3], 2> = Table {
    source: Source("NIOSH 94-110, AM 1, FM 1", Computed),
    inputs: "H, V, D in inches",
    columns: [
        Column {
            what: "recommended weight in lb, CM 1",
            agrees: Within(0.005, "to two places"),
            ask: |at| limit(at, Coupling::Good, |limit| limit.kg / KG_PER_LB),
        },
        Column {
            what: "recommended weight in lb over CM, a fair grip",
            agrees: Within(0.005, "to two places"),
            ask: |at| limit(at, Coupling::Fair, |limit| limit.kg / KG_PER_LB / limit.coupling),
        },
    ],
    rows: &[([10.0, 30.0, 10.0], [51.0, 51.0]), ([15.0, 30.0, 24.0], [30.43, 30.43])],
};

const LOAD_CONSTANT: [Fact; 2] = [
    Fact {
        what: "load constant in kg",
        published: 23.0,
        agrees: Within(0.5, "printed to the whole kilogram beside 51 lb"),
        source: Source("NIOSH 94-110", ReadSecondary),
        ask: || limit([10.0, 30.0, 10.0], Coupling::Good, |limit| limit.kg),
    },
    Fact {
        what: "CM of a fair grip below the knuckles",
        published: 0.95,
        agrees: Exactly,
        source: Source("NIOSH 94-110", ReadSecondary),
        ask: || limit([10.0, 29.0, 10.0], Coupling::Fair, |limit| limit.coupling),
    },
];

fn ties([feet, lb]: [f64; 2]) -> TieDowns {
    tie_downs(Length::from_inches(feet * 12.0), lb * KG_PER_LB)
}

const TIE_DOWNS: Table<[f64; 2], 2> = Table {
    source: Source("49 CFR 393.110", Computed),
    inputs: "feet, lb",
    columns: [
        Column { what: "tie-downs", agrees: Exactly, ask: |load| f64::from(ties(load).unblocked) },
        Column { what: "tie-downs if blocked in front", agrees: Exactly, ask: |load| f64::from(ties(load).blocked) },
    ],
    rows: &[
        ([10.0, 200.0], [2.0, 1.0]),
        ([10.5, 200.0], [3.0, 2.0]),
        ([20.0, 200.0], [3.0, 2.0]),
        ([20.1, 200.0], [4.0, 3.0]),
        ([30.0, 200.0], [4.0, 3.0]),
    ],
};

const SHORT_LOADS: Table<[f64; 2], 1> = Table {
    source: Source("49 CFR 393.110: 1 up to 5 ft and 1,100 lb, 2 if heavier or up to 10 ft", ReadSecondary),
    inputs: "feet, lb",
    columns: [Column { what: "tie-downs", agrees: Exactly, ask: |load| f64::from(ties(load).unblocked) }],
    rows: &[([5.0, 1100.0], [1.0]), ([5.0, 1101.0], [2.0]), ([5.1, 10.0], [2.0]), ([10.0, 2000.0], [2.0])],
};

/// A load this far beyond the rear of an 8 ft bed, in a bundle as wide.
fn overhang([beyond, width]: [f64; 2]) -> Option<Overhang> {
    let bed = Bed { length: Length::inches(96), bundle_width: Length::from_inches(width * 12.0) };
    Overhang::of(bed.length + Length::from_inches(beyond * 12.0), bed)
}

const FLAGS: Table<[f64; 2], 1> = Table {
    source: Source("49 CFR 393.87: over 4 ft beyond the rear one if up to 2 ft wide, else two", ReadSecondary),
    inputs: "feet beyond the rear, feet wide",
    columns: [Column {
        what: "flags",
        agrees: Exactly,
        ask: |load| overhang(load).map_or(f64::NAN, |overhang| f64::from(overhang.flags)),
    }],
    rows: &[([4.0, 2.0], [0.0]), ([4.1, 2.0], [1.0]), ([4.1, 2.1], [2.0]), ([1.0, 3.0], [0.0])],
};

fn flag_words(width: f64) -> String {
    overhang([5.0, width]).map_or_else(String::new, |overhang| overhang.notice(Units::In))
}

const FLAG_WORDS: [Fact; 4] = [
    Fact {
        what: "inches square of the one flag, as the driver reads it",
        published: 18.0,
        agrees: Exactly,
        source: Source("49 CFR 393.87", ReadSecondary),
        ask: || number_before(&flag_words(2.0), " in (457 mm) square"),
    },
    Fact {
        what: "inches square of the two flags, as the driver reads it",
        published: 18.0,
        agrees: Exactly,
        source: Source("49 CFR 393.87", ReadSecondary),
        ask: || number_before(&flag_words(3.0), " in (457 mm) square"),
    },
    Fact {
        what: "the one flag is red or orange",
        published: 1.0,
        agrees: Exactly,
        source: Source("49 CFR 393.87", ReadSecondary),
        ask: || told(flag_words(2.0).contains("one red or orange flag")),
    },
    Fact {
        what: "the two flags are red or orange",
        published: 1.0,
        agrees: Exactly,
        source: Source("49 CFR 393.87", ReadSecondary),
        ask: || told(flag_words(3.0).contains("two red or orange flags")),
    },
];
