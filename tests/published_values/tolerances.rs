//! 11. Tolerances.

use brakeside::trade::length::Length;
use brakeside::trade::tolerance::{Class, HOOK_ERROR, tape_error};

use super::table::Agrees::Exactly;
use super::table::Basis::{Read, ReadSecondary};
use super::table::{Column, Fact, Source, Table, Value, facts};

pub fn values() -> Vec<Value> {
    [FINE.values(), MEDIUM.values(), COARSE.values(), VERY_COARSE.values(), facts(&TAPES)]
        .into_iter()
        .flatten()
        .collect()
}

/// In mm, of a size in mm at a column's end; where the table has a dash, there is no answer.
fn allowed(class: Class, size: i64) -> f64 {
    let deviation = class.deviation(Length::millimetres(size));
    if deviation.in_table { deviation.allowed.mm() } else { f64::NAN }
}

const fn table(column: Column<i64>, rows: &'static [(i64, [f64; 1])]) -> Table<i64, 1> {
    Table { source: Source("ISO 2768-1, table 1", ReadSecondary), inputs: "size up to, mm", columns: [column], rows }
}

const FINE: Table<i64, 1> = table(
    Column { what: "± mm, class f", agrees: Exactly, ask: |size| allowed(Class::Fine, size) },
    &[(3, [0.05]), (6, [0.05]), (30, [0.1]), (120, [0.15]), (400, [0.2]), (1000, [0.3]), (2000, [0.5])],
);

const MEDIUM: Table<i64, 1> = table(
    Column { what: "± mm, class m", agrees: Exactly, ask: |size| allowed(Class::Medium, size) },
    &[(3, [0.1]), (6, [0.1]), (30, [0.2]), (120, [0.3]), (400, [0.5]), (1000, [0.8]), (2000, [1.2]), (4000, [2.0])],
);

const COARSE: Table<i64, 1> = table(
    Column { what: "± mm, class c", agrees: Exactly, ask: |size| allowed(Class::Coarse, size) },
    &[(3, [0.2]), (6, [0.3]), (30, [0.5]), (120, [0.8]), (400, [1.2]), (1000, [2.0]), (2000, [3.0]), (4000, [4.0])],
);

const VERY_COARSE: Table<i64, 1> = table(
    Column { what: "± mm, class v", agrees: Exactly, ask: |size| allowed(Class::VeryCoarse, size) },
    &[(6, [0.5]), (30, [1.0]), (120, [1.5]), (400, [2.5]), (1000, [4.0]), (2000, [6.0]), (4000, [8.0])],
);

const CLASS_2: Source = Source("UK SI 2016/1153, schedule 1I, class II", Read);

const TAPES: [Fact; 4] = [
    Fact { what: "tape, ± mm over 3 m", published: 0.9, agrees: Exactly, source: CLASS_2, ask: || tape(3) },
    Fact { what: "tape, ± mm over 5 m", published: 1.3, agrees: Exactly, source: CLASS_2, ask: || tape(5) },
    Fact {
        what: "tape, ± mm over 5 m from its hook",
        published: 1.5,
        agrees: Exactly,
        source: CLASS_2,
        ask: || (tape_error(Length::millimetres(5000)) + HOOK_ERROR).mm(),
    },
    Fact { what: "tape, ± mm over 8 m", published: 1.9, agrees: Exactly, source: CLASS_2, ask: || tape(8) },
];

/// Over any part of the last metre it is off as over all of it.
fn tape(metres: i64) -> f64 {
    let whole = tape_error(Length::millimetres(metres * 1000));
    let begun = tape_error(Length::millimetres(metres * 1000 - 999));
    if begun == whole { whole.mm() } else { f64::NAN }
}
