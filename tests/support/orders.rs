//! Orders of one run that can be made, of every kind the format knows: both units, whole and fractional; every metal;
//! own profiles; short single pieces with a cut at either end; returns so deep that they bind their piece's length.
//!
//! The bounds below leave every piece room for its ends; they are not the program's own checks.

use proptest::prelude::*;
use serde_json::{Value, json};

/// In nanometres.
const INCH: i64 = 25_400_000;

/// How an order's lengths are written.
#[derive(Debug, Clone, Copy)]
struct Scale {
    units: &'static str,
    /// Every length is a whole number of these, in nanometres.
    grain: i64,
}

const SCALES: [Scale; 4] = [
    Scale { units: "in", grain: INCH / 16 },
    Scale { units: "in", grain: INCH / 64 },
    Scale { units: "mm", grain: 1_000_000 },
    Scale { units: "mm", grain: 1_000 },
];

impl Scale {
    fn number(self, nm: i64) -> Value {
        let unit = if self.units == "in" { INCH } else { 1_000_000 };
        // Up, so that no least value is undercut.
        let nm = (nm + self.grain - 1) / self.grain * self.grain;
        json!(nm as f64 / unit as f64)
    }
}

/// An order with this metal, longest blank and run.
fn order(units: &str, metal: Value, longest: Value, run: Value) -> Value {
    json!({
        "format": "brakeside-order/1", "order": "1", "job": { "name": "test" }, "units": units, "metal": metal,
        "longest": longest, "runs": [run]
    })
}

/// In sixteenths of an inch, as nanometres.
fn sixteenths(least: i64, most: i64) -> impl Strategy<Value = i64> + Clone {
    least * INCH / 16..=most * INCH / 16
}

fn inches(least: i64, most: i64) -> impl Strategy<Value = i64> + Clone {
    sixteenths(least * 16, most * 16)
}

fn side() -> impl Strategy<Value = &'static str> + Clone {
    prop::sample::select(vec!["left", "right"])
}

fn metal() -> impl Strategy<Value = Value> {
    let by_thickness = |kind: &'static str, hundredths_mm: std::ops::RangeInclusive<i64>| {
        hundredths_mm.prop_map(move |t| json!({ "kind": kind, "thickness": format!("{}.{:02} mm", t / 100, t % 100) }))
    };
    prop_oneof![
        prop::sample::select(vec![16, 18, 20, 22, 24, 26, 28, 29, 30])
            .prop_map(|gauge| json!({ "kind": "galvanized-steel", "gauge": gauge })),
        prop::sample::select(vec![12, 16, 20, 24, 32, 48]).prop_map(|oz| json!({ "kind": "copper", "ounces": oz })),
        (16i64..=80).prop_map(|mils| json!({ "kind": "aluminium", "thickness": format!("0.{mils:03} in") })),
        by_thickness("galvanized-steel", 40..=160),
        by_thickness("aluminium", 50..=200),
        by_thickness("copper", 40..=150),
        by_thickness("stainless-steel", 30..=90),
        by_thickness("zinc", 50..=150),
    ]
}

/// A closed hem and an inside radius of one's own.
fn edge() -> impl Strategy<Value = (Option<i64>, Option<i64>)> {
    // 4 thicknesses of the heaviest sheet are 0.323 in.
    (prop::option::of(sixteenths(6, 16)), prop::option::of(sixteenths(0, 4)))
}

/// An end wall's run.
fn end_wall(scale: Scale) -> impl Strategy<Value = Value> {
    // Half the longest less the lap is 14 in at least: a gable's cut and a lap fit into any piece.
    let width = || prop::option::of(sixteenths(1, 12 * 16));
    let beyond = prop_oneof![sixteenths(2, 64), inches(4, 1500)];
    let pitch = prop_oneof![
        (0i64..=96).prop_map(|n| format!("{}:12", n as f64 / 4.0)),
        (0i64..=63).prop_map(|d| format!("{d}°"))
    ];
    let legs = (prop::option::of(inches(1, 8)), prop::option::of(inches(3, 12)), edge());
    let measured = prop::sample::select(vec!["outside", "between"]);
    (beyond, inches(6, 12), side(), pitch, measured, width(), width(), legs).prop_map(
        move |(beyond, lap, lay_from, pitch, measured, left, right, (wall_leg, roof_leg, edge))| {
            // Rounding the widths up can take two grains.
            let length = beyond + left.unwrap_or(0) + right.unwrap_or(0) + 2 * scale.grain;
            let end = |width: Option<i64>| match width {
                Some(width) => json!({ "end": "gable", "width": scale.number(width) }),
                None => json!({ "end": "square" }),
            };
            let profile = profile(scale, &[("wall_leg", wall_leg), ("roof_leg", roof_leg)], edge);
            json!({ "wall": "A", "trim": "end-wall", "length": scale.number(length), "measured": measured,
                    "pitch": pitch, "lap": scale.number(lap), "lay_from": lay_from,
                    "left": end(left), "right": end(right), "profile": profile })
        },
    )
}

/// How deep a return is: as a shop makes it, or so deep that little more than the lap is left of the longest blank, and
/// yet no piece is shorter than the shop's least, a foot.
#[derive(Debug, Clone, Copy)]
enum Depth {
    Square,
    Shop(i64),
    Binding { left_over: i64 },
}

fn depth() -> impl Strategy<Value = Depth> {
    prop_oneof![
        Just(Depth::Square),
        sixteenths(7, 80).prop_map(Depth::Shop),
        sixteenths(7 * 16, 26 * 16).prop_map(|left_over| Depth::Binding { left_over }),
    ]
}

/// A reglet's run on blanks of at most `longest`.
fn reglet(scale: Scale, longest: i64) -> impl Strategy<Value = Value> {
    let beyond = prop_oneof![sixteenths(2, 64), inches(4, 1500)];
    // Two setbacks, each of ¼ in radius and the heaviest sheet, are 0.66 in, and the brake wants 3/8 in between; the shop's
    // own ⅝ in are too few for the heaviest.
    let legs = (prop::option::of(inches(1, 3)), sixteenths(17, 32), prop::option::of(inches(2, 6)), edge());
    (beyond, inches(6, 12), side(), depth(), depth(), legs).prop_map(
        move |(beyond, lap, lay_from, left, right, (wall_leg, depth, face, (hem, radius)))| {
            let nm = |end| match end {
                Depth::Square => None,
                Depth::Shop(depth) => Some(depth),
                Depth::Binding { left_over } => Some(longest - lap - left_over),
            };
            // What lies between two deep returns has room for its laps.
            let room = |end| if let Depth::Binding { left_over } = end { left_over + 40 * INCH } else { 0 };
            let end = |depth: Option<i64>| match depth {
                Some(depth) => json!({ "end": "return", "depth": scale.number(depth) }),
                None => json!({ "end": "square" }),
            };
            let profile =
                profile(scale, &[("wall_leg", wall_leg), ("depth", Some(depth)), ("face", face)], (hem, radius));
            json!({ "wall": "A", "trim": "reglet", "length": scale.number(beyond + room(left) + room(right)),
                    "lap": scale.number(lap), "lay_from": lay_from, "left": end(nm(left)), "right": end(nm(right)),
                    "profile": profile })
        },
    )
}

fn profile(scale: Scale, legs: &[(&str, Option<i64>)], (hem, radius): (Option<i64>, Option<i64>)) -> Value {
    let edge = [("hem", hem), ("inside_radius", radius)];
    let said = legs.iter().copied().chain(edge).filter_map(|(key, nm)| Some((key.to_owned(), scale.number(nm?))));
    Value::Object(said.collect())
}

/// Any order of one run that can be made.
pub fn makeable() -> impl Strategy<Value = Value> {
    (prop::sample::select(SCALES.to_vec()), metal(), inches(40, 125)).prop_flat_map(|(scale, metal, longest)| {
        let run = prop_oneof![end_wall(scale).boxed(), reglet(scale, longest).boxed()];
        run.prop_map(move |run| order(scale.units, metal.clone(), scale.number(longest), run))
    })
}
