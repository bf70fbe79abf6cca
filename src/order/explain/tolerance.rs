//! How far off a finished length may be, as part of the length's own working: one tap tells both.

use super::Inputs;
use crate::order::cutting::Cutting;
use crate::trade::length::{Length, Units};
use crate::trade::tolerance::{HOOK_ERROR, Tolerance, tape_error};

/// Who says so.
pub const SOURCE: &str = "tolerance by ISO 2768-1, a tape's own by UK SI 2016/1153 sch. 1I";

/// What is allowed, what a tape may be off by itself, and what comes of it at the bench.
pub fn inputs(cutting: &Cutting) -> Inputs {
    let (units, length) = (cutting.order.units, cutting.length());
    let tolerance = cutting.order.shop.check.length;
    let allowed = match tolerance {
        Tolerance::Class(class) => {
            let deviation = class.deviation(length);
            let [over, to] = deviation.sizes.map(|size| size.text(Units::Mm));
            let size = match deviation.in_table {
                true => format!("over {over} to {to}"),
                false => format!("which has no value for it: the nearest, over {over} to {to}"),
            };
            (format!("allowed by ISO 2768-1 {}, {size}", class.name()), plus_minus(deviation.allowed, units))
        }
        Tolerance::Own(allowed) => ("allowed by the shop's settings".into(), plus_minus(allowed, units)),
    };
    let tape = tape_error(length) + HOOK_ERROR;
    vec![
        allowed,
        (
            "what a tape of EU class II is off by itself, from its hook: 0.5 mm and 0.2 mm for each metre begun; not added"
                .into(),
            plus_minus(tape, units),
        ),
        (
            format!("tolerance: what is allowed, in whole steps of {}, and at least one", units.reading().text(units)),
            format!("± {}", tolerance.of(length, units).text(units)),
        ),
    ]
}

/// In the table's own millimetres, and in the order's units.
fn plus_minus(length: Length, units: Units) -> String {
    let metric = length.text(Units::Mm);
    match units {
        Units::Mm => format!("± {metric}"),
        Units::In => format!("± {metric} ({})", length.decimal(Units::In)),
    }
}
