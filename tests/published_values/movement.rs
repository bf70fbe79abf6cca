//! 3. Thermal movement: coefficients, what a length moves, and where it needs a joint that lets it.

use brakeside::order::shop::{Expansion, Shop, file};
use brakeside::trade::expansion::{Coefficient, Interval, joints};
use brakeside::trade::length::Length;
use brakeside::trade::metal::Kind;
use brakeside::trade::split::{Kind as SplitKind, LaidFrom, Rules, Split};
use brakeside::trade::trim::Trim;
use serde_json::{Value as Json, json};

use super::orders::{plan_of, steel};
use super::table::Agrees::{Exactly, Within};
use super::table::Basis::{Computed, Memory, Read, ReadSecondary};
use super::table::{Column, Fact, Source, Table, Value, facts};
use super::words::told;

const UFGS: &str = "UFGS 07 60 00 (legacy 07600), expansion joints";

pub fn values() -> Vec<Value> {
    let movement = [COPPER_MANUAL.values(), RULE.values(), INCHES.values(), MILLIMETRES.values()];
    let metals = [COEFFICIENT.values(), SCALES.values(), facts(&STEEL), facts(&ZINC)];
    let joints = [
        INTERVAL.values(),
        FASCIA.values(),
        JOINTS.values(),
        STRETCHES.values(),
        PLANNED.values(),
        facts(&UNPUBLISHED),
    ];
    movement.into_iter().chain(metals).chain(joints).flatten().collect()
}

fn ppm(ppm_per_f: f64) -> Coefficient {
    Coefficient { ppm_per_f, source: "" }
}

/// What `inches` move through `fahrenheit`, in inches.
fn moved([ppm_per_f, inches, fahrenheit]: [f64; 3]) -> f64 {
    ppm(ppm_per_f).movement(Length::from_inches(inches), fahrenheit / 1.8).in_inches()
}

const INPUTS: &str = "10⁻⁶ per °F, inches, °F";
const MOVED: Column<[f64; 3]> =
    Column { what: "movement in inches", agrees: Within(5e-8, "lengths are whole nanometres"), ask: moved };

const COPPER_MANUAL: Table<[f64; 3], 1> = Table {
    source: Source("Copper Flashings: A Manual, p. 60", Read),
    inputs: INPUTS,
    columns: [MOVED],
    rows: &[([9.5, 1.0, 60.0], [0.00057])],
};

const RULE: Table<[f64; 3], 1> = Table {
    source: Source("a published rule: 10⁻⁶ per °F over 120 in and 100 °F is 0.012 in", Read),
    inputs: INPUTS,
    columns: [MOVED],
    rows: &[([1.0, 120.0, 100.0], [0.012])],
};

/// Per 10 ft per 100 °F.
const INCHES: Table<[f64; 3], 1> = Table {
    source: Source("ΔL = α·L·ΔT", Computed),
    inputs: INPUTS,
    columns: [MOVED],
    rows: &[
        ([6.5, 120.0, 100.0], [0.0780]),
        ([12.8, 120.0, 100.0], [0.1536]),
        ([9.8, 120.0, 100.0], [0.1176]),
        ([9.6, 120.0, 100.0], [0.1152]),
        ([8.9, 120.0, 100.0], [0.1068]),
    ],
};

/// Per 3 m per 50 K.
const MILLIMETRES: Table<[f64; 3], 1> = Table {
    source: Source("ΔL = α·L·ΔT", Computed),
    inputs: "10⁻⁶ per °F, mm, K",
    columns: [Column {
        what: "movement in mm",
        agrees: Within(1e-6, "lengths are whole nanometres"),
        ask: |[per_f, mm, kelvin]| ppm(per_f).movement(Length::from_mm(mm), kelvin).mm(),
    }],
    rows: &[
        ([6.5, 3000.0, 50.0], [1.755]),
        ([12.8, 3000.0, 50.0], [3.456]),
        ([9.8, 3000.0, 50.0], [2.646]),
        ([9.6, 3000.0, 50.0], [2.592]),
        ([8.9, 3000.0, 50.0], [2.403]),
    ],
};

/// Aluminium 3003, copper ETP, stainless steel 304.
const COEFFICIENT: Table<Kind, 1> = Table {
    source: Source("material tables", ReadSecondary),
    inputs: "metal",
    columns: [Column {
        what: "10⁻⁶ per °F",
        agrees: Exactly,
        ask: |kind| Coefficient::of(kind).map_or(f64::NAN, |coefficient| coefficient.ppm_per_f),
    }],
    rows: &[(Kind::Aluminium, [12.9]), (Kind::Copper, [9.4]), (Kind::StainlessSteel, [9.6])],
};

/// Aluminium 1100, 3003, 5052 and copper ETP.
const SCALES: Table<f64, 2> = Table {
    source: Source("material tables", ReadSecondary),
    inputs: "10⁻⁶ per °F as printed",
    columns: [
        Column {
            what: "10⁻⁶ per K",
            agrees: Within(0.15, "the tables round either scale for itself"),
            ask: |per_f| ppm(per_f).ppm_per_kelvin(),
        },
        Column {
            what: "mm that 10 m move in 100 K",
            agrees: Within(0.15, "the tables round either scale for itself"),
            ask: |per_f| ppm(per_f).movement(Length::millimetres(10_000), 100.0).mm(),
        },
    ],
    rows: &[(13.1, [23.6, 23.6]), (12.9, [23.2, 23.2]), (13.3, [23.8, 23.8]), (9.4, [16.8, 16.8])],
};

const STEEL: [Fact; 1] = [Fact {
    what: "10⁻⁶ per °F of steel",
    published: 6.6,
    agrees: Within(0.1 + 1e-9, "6.5 to 6.7"),
    source: Source("material tables", Memory),
    ask: || Coefficient::of(Kind::GalvanizedSteel).map_or(f64::NAN, |coefficient| coefficient.ppm_per_f),
}];

/// What the settings file makes of this coefficient of zinc, in 10⁻⁶ per °F.
fn zinc(said: &str) -> f64 {
    let shop = file::read(&format!("[expansion]\nzinc = \"{said}\"\n"));
    shop.ok().and_then(|shop| shop.expansion.zinc_ppm_per_f).unwrap_or(f64::NAN)
}

/// It varies by alloy, so the shop sets it: anything that is published must be taken, and nothing is taken for granted.
const ZINC: [Fact; 3] = [
    Fact {
        what: "10⁻⁶ per °F of the zinc that moves least, as the shop sets it",
        published: 10.8,
        agrees: Exactly,
        source: Source("material tables", Memory),
        ask: || zinc("10.8 ppm/°F"),
    },
    Fact {
        what: "10⁻⁶ per °F of the zinc that moves most, as the shop sets it",
        published: 19.3,
        agrees: Exactly,
        source: Source("material tables", Memory),
        ask: || zinc("19.3 ppm/°F"),
    },
    Fact {
        what: "zinc's coefficients that are ours",
        published: 0.0,
        agrees: Exactly,
        source: Source("material tables: varies by alloy", Memory),
        ask: || told(Coefficient::of(Kind::Zinc).is_some()),
    },
];

const INTERVAL: Table<Kind, 2> = Table {
    source: Source(UFGS, Read),
    inputs: "metal",
    columns: [
        Column {
            what: "feet between joints",
            agrees: Exactly,
            ask: |kind| Interval::of(kind).map_or(f64::NAN, |interval| feet(interval.length)),
        },
        Column {
            what: "feet between joints in a shop that sets none",
            agrees: Exactly,
            ask: |kind| Expansion::default().interval.of(kind).map_or(f64::NAN, feet),
        },
    ],
    rows: &[(Kind::Copper, [40.0, 40.0]), (Kind::StainlessSteel, [40.0, 40.0]), (Kind::Aluminium, [32.0, 32.0])],
};

/// Between joints of aluminium fascia.
const FASCIA: Table<Trim, 1> = Table {
    source: Source("UFGS 07600: aluminium gravel stop and fascia, every 12 ft", Read),
    inputs: "trim",
    columns: [Column {
        what: "feet between joints in aluminium in a shop that sets none",
        agrees: Exactly,
        ask: |trim| Shop::default().interval(Kind::Aluminium, trim).map_or(f64::NAN, |interval| feet(interval.length)),
    }],
    rows: &[(Trim::Eave, [12.0]), (Trim::Gable, [12.0])],
};

fn feet(length: Length) -> f64 {
    length.in_inches() / 12.0
}

/// Joints at every interval from one end, "an additional joint … where the distance between the last expansion joint and
/// the end of the continuous run is more than half the required interval".
const JOINTS: Table<[f64; 2], 1> = Table {
    source: Source(UFGS, Computed),
    inputs: "interval, run in feet",
    columns: [Column {
        what: "expansion joints",
        agrees: Exactly,
        ask: |[interval, run]| joints(Length::from_inches(run * 12.0), Length::from_inches(interval * 12.0)) as f64,
    }],
    rows: &[
        ([40.0, 40.0], [0.0]),
        ([40.0, 40.1], [1.0]),
        ([40.0, 60.0], [1.0]),
        ([40.0, 60.1], [2.0]),
        ([40.0, 80.0], [2.0]),
        ([40.0, 100.0], [2.0]),
        ([40.0, 100.1], [3.0]),
        ([32.0, 32.0], [0.0]),
        ([32.0, 48.0], [1.0]),
        ([32.0, 48.1], [2.0]),
    ],
};

/// "spaced evenly".
const STRETCHES: Table<[f64; 2], 2> = Table {
    source: Source(UFGS, Computed),
    inputs: "interval, run in feet",
    columns: [
        Column { what: "shortest stretch in feet", agrees: Exactly, ask: |row| stretch(row, f64::min) },
        Column { what: "longest stretch in feet", agrees: Exactly, ask: |row| stretch(row, f64::max) },
    ],
    rows: &[
        ([40.0, 60.0], [30.0, 30.0]),
        ([40.0, 90.0], [30.0, 30.0]),
        ([40.0, 100.0], [100.0 / 3.0, 100.0 / 3.0]),
        ([32.0, 48.0], [24.0, 24.0]),
        ([32.0, 60.0], [20.0, 20.0]),
    ],
};

fn stretch([interval, run]: [f64; 2], pick: fn(f64, f64) -> f64) -> f64 {
    let [interval, run] = [interval, run].map(|feet| Length::from_inches(feet * 12.0));
    // No laps, and blanks as long as the run: each piece is a stretch.
    let split = Split {
        run,
        lap: Length::ZERO,
        longest: run,
        least: Length::ZERO,
        beyond: [Length::ZERO; 2],
        laid_from: LaidFrom::Left,
        kind: SplitKind::Even,
        step: Length::sixty_fourths(1),
    };
    let division = split.divide(&Rules { interval: Some(interval), ..Rules::default() });
    division.map_or(f64::NAN, |division| division.lengths.into_iter().map(feet).reduce(pick).unwrap_or(f64::NAN))
}

/// The same from an order's plan: its laps that are joints.
const PLANNED: Table<(&str, f64), 1> = Table {
    source: Source(UFGS, Computed),
    inputs: "metal, run in feet",
    columns: [Column {
        what: "joints in the plan of an end wall",
        agrees: Exactly,
        ask: |(metal, feet)| {
            let metal = match metal {
                "copper" => json!({ "kind": "copper", "ounces": 16 }),
                "aluminium" => json!({ "kind": "aluminium", "thickness": 0.032 }),
                "stainless-steel" => json!({ "kind": "stainless-steel", "thickness": 0.02 }),
                _ => Json::Null,
            };
            let run = json!({ "wall": "A", "trim": "end-wall", "length": feet * 12.0, "pitch": "2:12" });
            plan_of(metal, run).map_or(f64::NAN, |plan| plan.runs[0].laps.iter().filter(|lap| lap.joint).count() as f64)
        },
    }],
    rows: &[
        (("copper", 40.0), [0.0]),
        (("copper", 60.0), [1.0]),
        (("copper", 61.0), [2.0]),
        (("stainless-steel", 100.0), [2.0]),
        (("stainless-steel", 101.0), [3.0]),
        (("aluminium", 32.0), [0.0]),
        (("aluminium", 48.0), [1.0]),
        (("aluminium", 49.0), [2.0]),
    ],
};

/// No interval is published for galvanized steel: a run longer than the longest that is has a notice.
const UNPUBLISHED: [Fact; 1] = [Fact {
    what: "longest run of galvanized steel without a notice, in feet",
    published: 40.0,
    agrees: Exactly,
    source: Source("UFGS 07 60 00 (legacy 07600), of copper and stainless steel", Read),
    ask: || {
        let runs = (300..500).map(|tenths| f64::from(tenths) / 10.0).take_while(|feet| {
            let run = json!({ "wall": "A", "trim": "reglet", "length": format!("{} in", feet * 12.0) });
            plan_of(steel(), run).is_some_and(|plan| plan.notices.is_empty())
        });
        runs.last().unwrap_or(f64::NAN)
    },
}];
