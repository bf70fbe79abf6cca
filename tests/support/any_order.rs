//! Any order that format 1 can express, sound or not: every trim, end, hem and metal, both units, sizes from a shop's to absurd
//! ones; and any such order mangled on its way.
//!
//! Most of a shop's own sizes and the trims' own ends, so that about half of the orders can be made: what is refused at the
//! first key tests little.

use proptest::prelude::*;
use serde_json::{Map, Value, json};

/// A length between these many sixteenths of an inch, said in one of the ways the format knows; now and then an absurd one.
fn length(least: i64, most: i64) -> BoxedStrategy<Value> {
    prop_oneof![
        6 => (least..=most).prop_map(|n| json!(format!("{} in", n as f64 / 16.0))),
        4 => (least..=most).prop_map(|n| json!(format!("{}' {} {}/16", n / 192, n / 16 % 12, n % 16))),
        4 => (least..=most).prop_map(|n| json!(format!("{} mm", (n as f64 * 1.5875).round()))),
        2 => (least * 4..=most * 4, 0i64..25_400_000).prop_map(|(n, nm)| json!(format!("{} mm", n as f64 * 0.396875 + nm as f64 * 1e-9))),
        // In whatever units the order has.
        1 => (least..=most).prop_map(|n| json!(n as f64 / 16.0)),
        1 => prop::sample::select(vec![json!(0), json!(-1), json!("1/64"), json!("0.001 mm"), json!("1000 m"), json!(1e12)]),
    ]
    .boxed()
}

fn inches(least: i64, most: i64) -> BoxedStrategy<Value> {
    length(least * 16, most * 16)
}

fn word(words: &[&str]) -> BoxedStrategy<Value> {
    let words: Vec<Value> = words.iter().map(|&word| json!(word)).collect();
    prop::sample::select(words).boxed()
}

/// Each key with its value, or left out.
fn object(keys: Vec<(&'static str, f64, BoxedStrategy<Value>)>) -> BoxedStrategy<Value> {
    let entry = |(key, there, value): (&'static str, f64, BoxedStrategy<Value>)| {
        let value =
            if there < 1.0 { prop::option::weighted(there, value).boxed() } else { value.prop_map(Some).boxed() };
        value.prop_map(move |value| value.map(|value| (key.to_owned(), value)))
    };
    let entries: Vec<_> = keys.into_iter().map(entry).collect();
    entries.prop_map(|entries| Value::Object(entries.into_iter().flatten().collect::<Map<_, _>>())).boxed()
}

fn metal() -> BoxedStrategy<Value> {
    let by = |kind: &'static str, key: &'static str, value: BoxedStrategy<Value>| {
        object(vec![
            ("kind", 1.0, Just(json!(kind)).boxed()),
            (key, 1.0, value),
            ("finish", 0.5, word(&["slate grey", "white", "patina"])),
            ("painted", 0.5, word(&["out", "in", "both", "none"])),
        ])
    };
    let numbers = |numbers: Vec<i64>| prop::sample::select(numbers).prop_map(|n| json!(n)).boxed();
    let thickness =
        |least: i64, most: i64| (least..=most).prop_map(|t| json!(format!("{} mm", t as f64 / 100.0))).boxed();
    prop_oneof![
        4 => by("galvanized-steel", "gauge", numbers(vec![16, 20, 22, 24, 26, 29, 30])),
        2 => by("copper", "ounces", numbers(vec![12, 16, 20, 32, 48])),
        2 => by("aluminium", "thickness", thickness(40, 210)),
        1 => by("stainless-steel", "thickness", thickness(30, 95)),
        1 => by("zinc", "thickness", thickness(50, 155)),
        1 => by("galvanized-steel", "thickness", thickness(1, 400)),
    ]
    .boxed()
}

fn pitch() -> BoxedStrategy<Value> {
    prop_oneof![
        6 => (1i64..=12).prop_map(|n| json!(format!("{n}:12"))),
        2 => (0i64..=96).prop_map(|n| json!(format!("{}:12", n as f64 / 4.0))),
        1 => (0i64..=63).prop_map(|d| json!(format!("{d}°"))),
    ]
    .boxed()
}

fn hem() -> BoxedStrategy<Value> {
    prop_oneof![
        4 => length(5, 12),
        1 => Just(json!("none")),
        2 => object(vec![("width", 1.0, length(6, 16)), ("gap", 0.8, length(1, 4))]),
    ]
    .boxed()
}

fn legs() -> BoxedStrategy<Value> {
    let bend = || prop_oneof![3 => Just(json!(90)), 4 => (1i64..=130).prop_map(|d| json!(d)), 1 => (1.0..150.0).prop_map(|d: f64| json!(d))];
    let first = object(vec![("width", 1.0, length(8, 100))]);
    let leg = object(vec![
        ("width", 1.0, length(10, 90)),
        ("bend", 0.9, bend().boxed()),
        ("turn", 1.0, word(&["up", "down"])),
    ]);
    let count = prop_oneof![20 => 0usize..=4, 4 => 5usize..=7, 1 => 8usize..=12];
    (first, count)
        .prop_flat_map(move |(first, count)| {
            prop::collection::vec(leg.clone(), count)
                .prop_map(move |rest| Value::Array(std::iter::once(first.clone()).chain(rest).collect()))
        })
        .boxed()
}

fn profile(trim: &str) -> BoxedStrategy<Value> {
    let mut keys = match trim {
        "end-wall" | "side-wall" => vec![("wall_leg", 0.7, inches(1, 8)), ("roof_leg", 0.7, inches(1, 10))],
        "reglet" => vec![("wall_leg", 0.7, inches(1, 3)), ("depth", 0.7, length(7, 32)), ("face", 0.7, inches(2, 6))],
        "gable" => vec![("roof_leg", 0.7, inches(1, 8)), ("face", 0.7, inches(1, 8))],
        "eave" => vec![
            ("roof_leg", 0.7, inches(2, 8)),
            ("face", 0.7, inches(1, 8)),
            ("kick", 0.7, length(9, 32)),
            ("kick_angle", 0.5, (1i64..=150).prop_map(|d| json!(d)).boxed()),
        ],
        "ridge" => vec![("far_leg", 0.7, inches(2, 10)), ("near_leg", 0.7, inches(2, 10))],
        _ => vec![("legs", 1.0, legs())],
    };
    keys.extend([("hem", 0.3, hem()), ("datum_hem", 0.3, hem()), ("inside_radius", 0.1, length(0, 6))]);
    object(keys)
}

fn end(trim: &str) -> BoxedStrategy<Value> {
    let of = |kind: &'static str, rest: Vec<(&'static str, f64, BoxedStrategy<Value>)>| {
        let kind = vec![("end", 1.0, Just(json!(kind)).boxed())];
        object(kind.into_iter().chain(rest).collect())
    };
    let turn = prop_oneof![3 => Just(json!(90)), 2 => (1.0..150.0).prop_map(|d: f64| json!(d))].boxed();
    let corner = || of("corner", vec![("side", 1.0, word(&["outside", "inside"])), ("turn", 0.5, turn.clone())]);
    let (square, gable) = (of("square", vec![]), of("gable", vec![("width", 1.0, length(1, 12 * 16))]));
    let tab = prop_oneof![6 => length(1, 64), 1 => inches(4, 120)].boxed();
    let (back, dam) = (of("return", vec![("depth", 1.0, tab.clone())]), of("dam", vec![("height", 1.0, tab)]));
    let transition = || of("transition", vec![("to", 1.0, pitch()), ("falls", 0.5, word(&["on", "back"]))]);
    let own = match trim {
        "end-wall" => prop_oneof![square, gable, dam, corner()].boxed(),
        "reglet" => prop_oneof![square, back, corner()].boxed(),
        "side-wall" => prop_oneof![square, dam, transition()].boxed(),
        "gable" => prop_oneof![square, transition()].boxed(),
        _ => prop_oneof![square, corner()].boxed(),
    };
    let other = prop_oneof![of("gable", vec![("width", 1.0, length(1, 64))]), corner(), transition()];
    prop_oneof![30 => own, 1 => other].boxed()
}

pub const TRIMS: [&str; 7] = ["end-wall", "reglet", "side-wall", "gable", "eave", "ridge", "custom"];

/// A run of a trim on one of few walls.
fn run(trim: &'static str) -> BoxedStrategy<Value> {
    let sloped = matches!(trim, "side-wall" | "gable");
    let pitched = !matches!(trim, "reglet" | "custom");
    let measured = if sloped { word(&["outside", "level"]) } else { word(&["outside", "between"]) };
    let panels = object(vec![("first", 0.8, length(0, 400)), ("every", 1.0, length(6 * 16, 24 * 16))]);
    // The first few feet, a wall, a street of houses.
    let long = prop_oneof![4 => length(2, 16 * 96), 6 => inches(96, 720), 1 => inches(720, 6000)].boxed();
    let keys = vec![
        ("wall", 1.0, word(&["A", "A", "B", "C", "D", "E", "F", "a", "Nord2"])),
        ("trim", 1.0, Just(json!(trim)).boxed()),
        ("length", 1.0, long),
        ("measured", 0.3, measured),
        ("pitch", if pitched { 0.99 } else { 0.05 }, pitch()),
        ("far_pitch", if trim == "ridge" { 0.5 } else { 0.01 }, pitch()),
        ("at", 0.2, length(0, 12 * 16)),
        ("low", if sloped { 0.99 } else { 0.01 }, word(&["left", "right"])),
        ("lap", 0.4, length(5 * 16, 14 * 16)),
        ("lay_from", if sloped { 0.02 } else { 0.4 }, word(&["left", "right"])),
        ("split", 0.4, word(&["even", "longest-first"])),
        ("stagger", 0.2, length(0, 40 * 16)),
        ("panels", 0.3, panels),
        ("left", 0.7, end(trim)),
        ("right", 0.7, end(trim)),
        ("profile", if trim == "custom" { 1.0 } else { 0.4 }, profile(trim)),
    ];
    object(keys)
}

/// An order of one to five runs.
pub fn any_order() -> BoxedStrategy<Value> {
    let run = proptest::strategy::Union::new(TRIMS.map(run));
    let longest = prop::option::weighted(0.3, inches(20, 130));
    (word(&["in", "mm"]), metal(), longest, prop::collection::vec(run, 1..=5))
        .prop_map(|(units, metal, longest, runs)| {
            let mut order = json!({ "format": "brakeside-order/1", "order": "F-1", "job": { "name": "any" }, "units": units,
                                    "metal": metal, "runs": runs });
            if let Some(longest) = longest {
                order["longest"] = longest;
            }
            order
        })
        .boxed()
}

/// Some value of any type, near what an order holds or far from it.
pub fn any_value() -> impl Strategy<Value = Value> {
    let words = [
        "gable",
        "return",
        "square",
        "dam",
        "corner",
        "transition",
        "lap",
        "reglet",
        "end-wall",
        "ridge",
        "custom",
        "zinc",
    ];
    let words = words.into_iter().chain(["copper", "mm", "up", "left", "none", "level", "6:12", "outside", "back"]);
    let leaf = prop_oneof![
        Just(Value::Null),
        any::<bool>().prop_map(Value::from),
        any::<i64>().prop_map(Value::from),
        any::<f64>().prop_map(Value::from),
        (-10.0..2000.0).prop_map(Value::from),
        "\\PC{0,12}".prop_map(Value::from),
        "[0-9]{1,6}[ '/.:-]{0,2}[0-9]{0,3}(\"|mm|m|ft|:12|°)?".prop_map(Value::from),
        prop::sample::select(words.map(Value::from).collect::<Vec<_>>()),
    ];
    leaf.prop_recursive(3, 12, 4, |inner| {
        prop_oneof![
            prop::collection::vec(inner.clone(), 0..4).prop_map(Value::from),
            prop::collection::hash_map("end|width|depth|hem|gap|legs|turn|face|every|\\PC{0,3}", inner, 0..4)
                .prop_map(|map| Value::Object(map.into_iter().collect())),
        ]
    })
}

/// The order with some of its values replaced.
pub fn mangle(order: &mut Value, mangled: Vec<(prop::sample::Index, Value)>) {
    for (place, value) in mangled {
        let mut all = Vec::new();
        places(order, "", &mut all);
        // Keys that hold `/` or `~` are mangled no further.
        if let Some(spot) = order.pointer_mut(place.get::<String>(&all)) {
            *spot = value;
        }
    }
}

/// Every value inside `value`, by its pointer.
fn places(value: &Value, pointer: &str, places: &mut Vec<String>) {
    places.push(pointer.to_owned());
    let mut down = |key: &str, value| self::places(value, &format!("{pointer}/{key}"), places);
    match value {
        Value::Object(map) => map.iter().for_each(|(key, value)| down(key, value)),
        Value::Array(list) => list.iter().enumerate().for_each(|(i, value)| down(&i.to_string(), value)),
        _ => {}
    }
}

/// At a value, or at where a missing one belongs; the shop's own profile and its legs stand where the order gives none.
pub fn points_into(order: &Value, pointer: &str) -> bool {
    let parent = pointer.rsplit_once('/').map_or("", |(parent, _)| parent);
    let parent = parent.strip_suffix("/profile").unwrap_or(parent);
    order.pointer(pointer).or_else(|| order.pointer(parent)).is_some()
}
