//! 4. Flashing practice: what public texts ask of laps, legs, pieces and sheets, as far as the program claims to meet it.

use brakeside::order::shop::{Orders, Profiles};
use brakeside::trade::trim::Trim;
use serde_json::{Value as Json, json};

use super::orders::{order_of, plan_of, steel};
use super::table::Agrees::{AtLeast, AtMost, Exactly};
use super::table::Basis::{CommonPractice, Memory, Read, ReadSecondary};
use super::table::{Column, Fact, Source, Table, Value, facts};

const CREWS: Source = Source("common practice, no source", CommonPractice);
const SIDE_WALL_FLASHING: Source = Source("IRC 2018 R905.2.8.3: sidewall flashing at least 4 × 4 in", Read);
const CORNER_PIECE: Source = Source("UFGS 07600: a corner piece's legs at least 12 in", Read);

pub fn values() -> Vec<Value> {
    let laps = [LAP_UNSOLDERED, LAP_SEALED, LAP_SMACNA, LAP_OF_CREWS].map(|table| table.values());
    let metal = [SIDE_WALL.values(), ROOF_LEG.values(), facts(&PIECES), facts(&NOTICES)];
    laps.into_iter().chain(metal).flatten().collect()
}

/// What no lap goes below unasked, in inches.
const LAPS: [Column<()>; 4] = [
    Column { what: "lap by default", agrees: AtLeast, ask: |()| Orders::default().lap.in_inches() },
    Column { what: "lap by default in mm", agrees: AtLeast, ask: |()| Orders::default().lap_metric.in_inches() },
    Column { what: "shortest lap not refused", agrees: AtLeast, ask: |()| shortest_lap() },
    Column { what: "lap of a run that names none", agrees: AtLeast, ask: |()| lap_unnamed() },
];

const fn laps(source: Source, rows: &'static [((), [f64; 4])]) -> Table<(), 4> {
    Table { source, inputs: "any trim", columns: LAPS, rows }
}

const LAP_UNSOLDERED: Table<(), 4> = laps(Source("UFGS 07600, unsoldered", Read), &[((), [3.0; 4])]);
const LAP_SEALED: Table<(), 4> = laps(Source("UFGS 07412, with sealant", Read), &[((), [4.0; 4])]);
const LAP_SMACNA: Table<(), 4> = laps(Source("SMACNA manual, 5th ed., quoted", ReadSecondary), &[((), [4.0; 4])]);
const LAP_OF_CREWS: Table<(), 4> = laps(CREWS, &[((), [6.0; 4])]);

/// By eighths of an inch.
fn shortest_lap() -> f64 {
    let inches = (1..=8 * 24).map(|eighths| f64::from(eighths) / 8.0);
    let mut accepted = inches.filter(|&lap| {
        let run = json!({ "wall": "A", "trim": "end-wall", "length": 300, "pitch": "2:12", "lap": lap });
        order_of(steel(), run).is_some()
    });
    accepted.next().unwrap_or(f64::NAN)
}

fn lap_unnamed() -> f64 {
    let run = json!({ "wall": "A", "trim": "reglet", "length": 300 });
    order_of(steel(), run).map_or(f64::NAN, |order| order.runs[0].lap.in_inches())
}

const SIDE_WALL: Table<(), 2> = Table {
    source: SIDE_WALL_FLASHING,
    inputs: "side wall",
    columns: [
        Column {
            what: "wall leg in inches",
            agrees: AtLeast,
            ask: |()| Profiles::default().side_wall.wall_leg.in_inches(),
        },
        Column {
            what: "roof leg in inches",
            agrees: AtLeast,
            ask: |()| Profiles::default().side_wall.roof_leg.in_inches(),
        },
    ],
    rows: &[((), [4.0, 4.0])],
};

const ROOF_LEG: Table<Trim, 1> = Table {
    source: Source("UFGS 07600: base flashing at least 4 in under roofing", Read),
    inputs: "trim",
    columns: [Column {
        what: "roof leg in inches",
        agrees: AtLeast,
        ask: |trim| {
            let shop = Profiles::default();
            let leg = match trim {
                Trim::EndWall => shop.end_wall.roof_leg,
                Trim::Gable => shop.gable.roof_leg,
                Trim::Eave => shop.eave.roof_leg,
                _ => return f64::NAN,
            };
            leg.in_inches()
        },
    }],
    rows: &[(Trim::EndWall, [4.0]), (Trim::Gable, [4.0]), (Trim::Eave, [4.0])],
};

const PIECES: [Fact; 3] = [
    Fact {
        what: "longest blank in feet by default",
        published: 8.0,
        agrees: AtLeast,
        source: Source("UFGS 07600: pieces of 8 to 10 ft", Read),
        ask: || Orders::default().longest.in_inches() / 12.0,
    },
    Fact {
        what: "longest blank in feet by default",
        published: 10.0,
        agrees: AtMost,
        source: Source("UFGS 07600: pieces of 8 to 10 ft", Read),
        ask: || Orders::default().longest.in_inches() / 12.0,
    },
    Fact {
        what: "shortest piece in inches by default",
        published: 12.0,
        agrees: AtLeast,
        source: CORNER_PIECE,
        ask: || Orders::default().least_piece.in_inches(),
    },
];

/// Whether an order of this run can be made and nobody is told anything about what stands at `at` in it.
fn quiet(at: &str, metal: Json, run: Json) -> bool {
    plan_of(metal, run).is_some_and(|plan| plan.notices.iter().all(|notice| notice.at != at))
}

/// The first of 0, 1, 2 … in `parts` of one for which `holds`.
fn first(parts: u32, holds: impl Fn(f64) -> bool) -> f64 {
    let mut steps = (0..1000).map(|count| f64::from(count) / f64::from(parts));
    steps.find(|&step| holds(step)).unwrap_or(f64::NAN)
}

const NOTICES: [Fact; 6] = [
    Fact {
        what: "thinnest sheet without a notice, in inches",
        published: 0.019,
        agrees: Exactly,
        source: Source("IBC 2015 1503.2, IRC R903.2: metal flashing at least 0.019 in", ReadSecondary),
        ask: || {
            first(10_000, |inches| {
                let run = json!({ "wall": "A", "trim": "end-wall", "length": 100, "pitch": "2:12" });
                quiet("/metal", json!({ "kind": "aluminium", "thickness": inches }), run)
            })
        },
    },
    Fact {
        what: "lowest slope without a notice, rise in 12",
        published: 0.5,
        agrees: Exactly,
        source: Source("IRC R905.10.2: lapped panels with sealant on ½:12 at least", Memory),
        ask: || {
            first(100, |rise| {
                let pitch = format!("{rise}:12");
                let run = json!({ "wall": "A", "trim": "end-wall", "length": 100, "pitch": pitch });
                quiet("/runs/0/pitch", steel(), run)
            })
        },
    },
    Fact {
        what: "narrowest wall leg of a side wall without a notice, in inches",
        published: 4.0,
        agrees: Exactly,
        source: SIDE_WALL_FLASHING,
        ask: || first(8, |leg| quiet_side_wall(leg, 4.0)),
    },
    Fact {
        what: "narrowest roof leg of a side wall without a notice, in inches",
        published: 4.0,
        agrees: Exactly,
        source: SIDE_WALL_FLASHING,
        ask: || first(8, |leg| quiet_side_wall(4.0, leg)),
    },
    Fact {
        what: "shortest piece at a corner's left without a notice, in inches",
        published: 12.0,
        agrees: Exactly,
        source: CORNER_PIECE,
        ask: || first(8, |length| quiet_corner("left", length)),
    },
    Fact {
        what: "shortest piece at a corner's right without a notice, in inches",
        published: 12.0,
        agrees: Exactly,
        source: CORNER_PIECE,
        ask: || first(8, |length| quiet_corner("right", length)),
    },
];

fn quiet_side_wall(wall_leg: f64, roof_leg: f64) -> bool {
    let profile = json!({ "wall_leg": wall_leg, "roof_leg": roof_leg });
    let run =
        json!({ "wall": "A", "trim": "side-wall", "length": 100, "pitch": "4:12", "low": "left", "profile": profile });
    quiet("/runs/0/profile", steel(), run)
}

fn quiet_corner(side: &str, length: f64) -> bool {
    let corner = json!({ "end": "corner", "side": "outside" });
    let run = json!({ "wall": "A", "trim": "reglet", "length": length, side: corner });
    quiet(&format!("/runs/0/{side}"), steel(), run)
}
