//! Orders good and bad, as they arrive: what is accepted, and that every fault is told at once and in its place.

#[path = "support/example.rs"]
mod example;

use std::sync::Arc;

use brakeside::order::Painted;
use brakeside::order::shop::Shop;
use brakeside::order::{End, Job, Measured, Order, Run, Side, Trim, planner};
use brakeside::trade::length::{Length, Units};
use brakeside::trade::metal::{Kind, Metal};
use brakeside::trade::pitch::Pitch;
use brakeside::trade::profile::{Profile, Roof, Shape};
use brakeside::trade::section::Hem;
use brakeside::trade::split;
use example::{accepted, example, parse, parse_value, pointers, refused};
use serde_json::{Value, json};

fn inches(inches: f64) -> Length {
    Length::from_inches(inches)
}

#[test]
fn the_example_says_what_it_says() {
    let run = Run {
        wall: "A".into(),
        trim: Trim::EndWall,
        length: inches(511.25),
        measured: Measured::Outside,
        roof: Roof { pitch: Some(Pitch::parse("2:12").unwrap()), far_pitch: None },
        at: Length::ZERO,
        lap: inches(6.0),
        lay_from: Side::Left,
        split: split::Kind::Even,
        stagger: inches(4.0),
        panels: None,
        profile: Profile {
            shape: Shape::EndWall { wall_leg: inches(4.0), roof_leg: inches(5.0) },
            datum_hem: None,
            lower_hem: Some(Hem::closed(inches(0.5))),
            inside_radius: None,
        },
        left: End::Gable { width: inches(4.0) },
        right: End::Gable { width: inches(4.0) },
        meets: [None, None],
    };
    let reglet = Run {
        trim: Trim::Reglet,
        roof: Roof::default(),
        profile: Profile {
            shape: Shape::Reglet { wall_leg: inches(1.5), depth: inches(0.625), face: inches(3.0) },
            ..run.profile.clone()
        },
        left: End::Return { depth: inches(1.5) },
        right: End::Return { depth: inches(1.5) },
        ..run.clone()
    };
    let order = Order {
        number: "2041".into(),
        job: Job {
            name: "Boathouse awning".into(),
            site: Some("Lakeside, north gate".into()),
            due: Some(jiff::civil::date(2026, 12, 4)),
        },
        units: Units::In,
        metal: Metal::gauge(Kind::GalvanizedSteel, 24).unwrap(),
        finish: Some("slate grey".into()),
        painted: Painted::Out,
        longest: inches(120.0),
        runs: vec![run, reglet],
        replaces: false,
        shop: Arc::new(Shop::default()),
    };
    assert_eq!(accepted(&[]), order);
}

#[test]
fn the_least_that_can_be_said() {
    let order = parse_value(&json!({
        "format": "brakeside-order/1", "order": "1", "job": { "name": "x" }, "units": "mm",
        "metal": { "kind": "zinc", "thickness": 0.7 },
        "runs": [{ "wall": "B", "trim": "end-wall", "length": 2500, "pitch": "9.5°" }]
    }))
    .unwrap();
    let run = &order.runs[0];
    assert_eq!((order.longest, run.lap), (inches(120.0), Length::millimetres(155)));
    assert_eq!((run.length, run.left, run.right), (Length::millimetres(2500), End::Square, End::Square));
    assert_eq!((order.finish, order.painted, order.replaces), (None, Painted::None, false));
}

#[test]
fn what_may_be_said_otherwise() {
    let name = |name: &str| accepted(&[("/job/name", Some(json!(name)))]).job.name;
    for text in ["🏠 Ñandú & Søn", "بيت السقف 7", "הסדנה", "屋根工房", &"é".repeat(120)] {
        assert_eq!(name(text), text);
    }
    assert!(accepted(&[("/replaces", Some(json!(true)))]).replaces);
    assert_eq!(accepted(&[("/runs/0/length", Some(json!(511.25)))]), accepted(&[]));
    assert_eq!(accepted(&[("/runs/0/length", Some(json!("12985.75 mm")))]), accepted(&[]));
    assert_eq!(accepted(&[("/metal/gauge", Some(json!("24")))]), accepted(&[]));
    accepted(&[("/longest", Some(json!("10' 6\"")))]);
    accepted(&[("/runs/0/pitch", Some(json!("0:12")))]);
    accepted(&[("/runs/0/pitch", Some(json!("24:12")))]);
    // A reglet is bent the same at every pitch: said in a notice, not a fault.
    let order = accepted(&[("/runs/1/pitch", Some(json!("3:12")))]);
    assert!(planner::plan(&order).unwrap().notices.iter().any(|notice| notice.at == "/runs/1/pitch"));
    let own = accepted(&[
        ("/runs/0/profile", Some(json!({ "wall_leg": 3, "roof_leg": "4 1/2", "hem": 0.75, "inside_radius": 0 }))),
        ("/runs/0/measured", Some(json!("between"))),
        ("/runs/0/lay_from", Some(json!("right"))),
    ]);
    let profile = &own.runs[0].profile;
    assert_eq!(profile.shape, Shape::EndWall { wall_leg: inches(3.0), roof_leg: inches(4.5) });
    assert_eq!(profile.lower_hem, Some(Hem::closed(inches(0.75))));
    assert_eq!(profile.inside_radius, Some(Length::ZERO));
    assert_eq!((own.runs[0].measured, own.runs[0].lay_from), (Measured::Between, Side::Right));
}

/// One wrong value each, and the one place it is told at.
#[test]
fn one_fault_one_pointer() {
    for (at, value) in [
        ("/format", json!("brakeside-order/2")),
        ("/order", json!(2041)),
        ("/order", json!("a/b")),
        ("/order", json!("..")),
        ("/order", json!("1".repeat(33))),
        ("/job", json!("Boathouse")),
        ("/job/name", json!("")),
        ("/job/name", json!("é".repeat(121))),
        ("/job/name", json!("a\u{0}b")),
        ("/job/name", json!("a\u{202E}b")),
        ("/job/name", json!("a\u{2066}b")),
        ("/job/site", json!("\u{7}")),
        ("/job/due", json!("2026-02-30")),
        ("/job/due", json!("12/04/2026")),
        ("/job/due", json!("2026-12-04T10:00")),
        ("/job/due", json!(20261204)),
        ("/job/due", Value::Null),
        ("/metal/kind", json!("lead")),
        ("/metal/gauge", json!(23)),
        ("/metal/gauge", json!(-24)),
        ("/metal/gauge", json!("24 ga")),
        ("/metal/finish", json!(7)),
        ("/metal/painted", json!("outside")),
        ("/longest", json!("11")),
        ("/longest", json!("10' 6-1/16\"")),
        ("/longest", json!(-120)),
        ("/longest", json!(1e300)),
        ("/replaces", json!("yes")),
        ("/runs", json!([])),
        ("/runs", json!({})),
        ("/runs/1", json!("reglet")),
        ("/runs/0/wall", json!("")),
        ("/runs/0/wall", json!("A-1")),
        ("/runs/0/wall", json!("ABCDEFGHI")),
        ("/runs/0/length", json!(0)),
        ("/runs/0/length", json!(-42)),
        ("/runs/0/length", json!("-42'")),
        ("/runs/0/length", json!("forty two")),
        ("/runs/0/length", json!("1000.1 m")),
        ("/runs/0/length", json!(1e308)),
        ("/runs/0/length", json!(u64::MAX)),
        ("/runs/0/length", json!(true)),
        ("/runs/0/measured", json!("inside")),
        ("/runs/0/pitch", json!("25:12")),
        ("/runs/0/pitch", json!("-2:12")),
        ("/runs/0/pitch", json!(2)),
        ("/runs/1/pitch", json!("steep")),
        ("/runs/0/lap", json!(5.99)),
        ("/runs/0/lap", json!("5-63/64")),
        ("/runs/0/lay_from", json!("top")),
        ("/runs/0/split", json!("full")),
        ("/runs/0/left", json!("gable")),
        ("/runs/0/left", json!([])),
        ("/runs/0/left/width", json!(0)),
        ("/runs/0/left/end", json!("lap")),
        ("/runs/0/left/end", json!("return")),
        ("/runs/0/left", json!({ "end": "return", "depth": 2 })),
        ("/runs/1/right", json!({ "end": "gable", "width": 2 })),
        ("/runs/1/right/depth", json!("1 km")),
        ("/runs/0/profile", json!(4)),
    ] {
        let at_value = match (at, value.get("end")) {
            ("/runs/0/left" | "/runs/1/right", Some(_)) => format!("{at}/end"),
            _ => at.to_owned(),
        };
        refused(&[(at, Some(value))], &[&at_value]);
    }
}

#[test]
fn missing_keys_are_pointed_at_where_they_belong() {
    for at in [
        "/format",
        "/order",
        "/job",
        "/job/name",
        "/units",
        "/metal",
        "/metal/kind",
        "/metal/gauge",
        "/runs",
        "/runs/0/wall",
        "/runs/1/trim",
        "/runs/0/length",
        "/runs/0/pitch",
        "/runs/0/left/end",
        "/runs/0/left/width",
        "/runs/1/left/depth",
    ] {
        let faults = refused(&[(at, None)], &[at]);
        assert!(faults.0[0].detail.contains("give "), "{faults}");
    }
}

#[test]
fn unknown_keys_are_told_at_every_depth_with_what_was_meant() {
    let faults = refused(
        &[
            ("/unit", Some(json!("in"))),
            ("/job/names", Some(json!("x"))),
            ("/metal/gage", Some(json!(24))),
            ("/runs/1/lay-from", Some(json!("left"))),
            ("/runs/1/left/dept", Some(json!(1))),
            ("/runs/1/right", Some(json!({ "end": "square", "depth": 1 }))),
            ("/runs/0/profile", Some(json!({ "face": 3, "roofLeg": 5 }))),
            ("/runs/0/a~1b", Some(json!({ "deep": [[[]]] }))),
        ],
        &[
            "/unit",
            "/job/names",
            "/metal/gage",
            "/runs/1/lay-from",
            "/runs/1/left/dept",
            "/runs/1/right/depth",
            "/runs/0/profile/face",
            "/runs/0/profile/roofLeg",
            "/runs/0/a~1b",
        ],
    );
    let said = faults.to_string();
    for meant in ["`units`", "`name`", "`gauge`", "`lay_from`", "`depth`", "`roof_leg`"] {
        assert!(said.contains(&format!("did you mean {meant}?")), "{meant}\n{said}");
    }
    assert!(said.contains("known here: wall, trim,"), "{said}");
}

#[test]
fn a_trim_that_is_none_is_told_all_that_are() {
    let faults = refused(&[("/runs/0/trim", Some(json!("fascia")))], &["/runs/0/trim"]);
    for trim in Trim::ALL {
        assert!(faults.to_string().contains(&format!("\"{}\"", trim.key())), "{faults}");
    }
}

/// Faults of different kinds and places, geometry among them, in one answer.
#[test]
fn every_fault_at_once() {
    refused(&[("/order", Some(json!(""))), ("/runs/0/lap", Some(json!(3)))], &["/order", "/runs/0/lap"]);
    refused(
        &[
            ("/order", Some(json!(7))),
            ("/job/due", Some(json!("soon"))),
            ("/longest", Some(json!("10 ft"))),
            ("/runs/0/pitch", Some(json!("25:12"))),
            ("/runs/0/right", Some(json!({ "end": "gable", "widht": 4 }))),
            // Cannot be made, and told though the order's number is at fault as well.
            ("/runs/1/profile", Some(json!({ "depth": "1/16", "hem": "1/32" }))),
        ],
        &[
            "/order",
            "/job/due",
            "/runs/0/pitch",
            "/runs/0/right/width",
            "/runs/0/right/widht",
            "/runs/1/profile/depth",
            "/runs/1/profile/hem",
        ],
    );
}

#[test]
fn wrong_types_everywhere() {
    let order = json!({
        "format": 1, "order": [], "job": null, "units": 25.4, "metal": "steel", "longest": {}, "replaces": 0,
        "runs": [null, [], 3, { "wall": {}, "trim": 1, "length": [], "measured": 0, "pitch": [], "lap": false,
            "lay_from": null, "split": 2, "left": 0, "right": { "end": null }, "profile": {} }]
    });
    let faults = parse_value(&order).unwrap_err();
    let mut expected: Vec<String> =
        ["format", "order", "job", "units", "metal", "longest", "replaces", "runs/0", "runs/1", "runs/2"]
            .map(|key| format!("/{key}"))
            .into();
    expected.extend(
        ["wall", "trim", "length", "measured", "pitch", "lap", "lay_from", "split", "left", "right/end"]
            .map(|key| format!("/runs/3/{key}")),
    );
    expected.sort_unstable();
    assert_eq!(pointers(&faults), expected);
    for root in [json!(null), json!([]), json!("order"), json!(1)] {
        assert_eq!(pointers(&parse_value(&root).unwrap_err()), [""]);
    }
}

/// Without units a bare number means nothing, but the fault is the units' alone.
#[test]
fn unknown_units_raise_no_false_faults() {
    refused(&[("/units", Some(json!("cm"))), ("/longest", Some(json!(3000)))], &["/units"]);
    refused(&[("/units", None), ("/runs/0/lap", Some(json!("3 in")))], &["/units", "/runs/0/lap"]);
}

#[test]
fn a_wall_has_each_trim_once() {
    let faults = refused(
        &[("/runs/1", Some(json!({ "wall": "a", "trim": "end-wall", "length": 100, "pitch": "2:12" })))],
        &["/runs/1/wall"],
    );
    assert!(faults.to_string().contains("/runs/0"), "{faults}");
}

#[test]
fn metal_is_told_in_its_own_way_and_light_enough() {
    for (metal, at) in [
        (json!({ "kind": "copper", "gauge": 24 }), "/metal/gauge"),
        (json!({ "kind": "aluminium", "thickness": "1/4" }), "/metal/thickness"),
        (json!({ "kind": "stainless-steel", "thickness": "1.5 mm" }), "/metal/thickness"),
        (json!({ "kind": "galvanized-steel", "thickness": -1 }), "/metal/thickness"),
        (json!({ "kind": "galvanized-steel", "gauge": 24, "thickness": 0.0276 }), "/metal/thickness"),
    ] {
        refused(&[("/metal", Some(metal))], &[at]);
    }
}

/// Where an object should stand, the fault says of what.
#[test]
fn an_object_is_asked_for_by_what_it_is() {
    let said = |at: &str| match at {
        "" => parse(b"[]").unwrap_err().to_string(),
        at => refused(&[(at, Some(json!([])))], &[at]).to_string(),
    };
    for (at, wanted) in [
        ("", r#"a list is wrong here; give an order: { "format": "brakeside-order/1", … }"#),
        ("/job", r#"give the job, like { "name": "#),
        ("/metal", r#"give the metal, like { "kind": "galvanized-steel", "gauge": 24 }"#),
        ("/runs/0", "give a run: an object with `wall`, `trim`, `length` and, for most trims, `pitch`"),
        ("/runs/0/left", r#"give an end, { "end": … }, which is "square", "gable", "dam" or "corner""#),
        ("/runs/1/left", r#"give an end, { "end": … }, which is "square", "return" or "corner""#),
        ("/runs/0/profile", r#"give an end wall's profile, like { "wall_leg": "#),
        ("/runs/1/profile", r#"give a reglet's profile, like { "wall_leg": "#),
    ] {
        assert!(said(at).contains(wanted), "{at}: {}", said(at));
    }
}

#[test]
fn not_json_is_one_fault_with_its_place() {
    for text in [
        &b"{"[..],
        b"{\"format\": NaN}",
        b"{\"order\": 1e999}",
        b"{} {}",
        b"{'order': 1}",
        b"{\"order\": \"\xff\"}",
        b"{\"order\": \"\\ud800\"}",
        b"\xef\xbb\xbf{}",
    ] {
        let faults = parse(text).unwrap_err();
        assert_eq!(pointers(&faults), [""]);
        let detail = &faults.0[0].detail;
        assert!(detail.contains("line ") && detail.contains(" column "), "{detail}");
    }
}

#[test]
fn an_empty_body_is_told_as_that() {
    for text in [&b""[..], b" \n"] {
        assert_eq!(parse(text).unwrap_err().to_string(), "nothing was sent: give one JSON object in UTF-8");
    }
}

#[test]
fn a_key_given_twice_is_refused() {
    let text = serde_json::to_string(&example()).unwrap();
    let doubled = text.replacen("\"lap\":6", "\"lap\":6,\"lap\":60", 1);
    assert_ne!(text, doubled);
    assert_eq!(pointers(&parse(doubled.as_bytes()).unwrap_err()), ["/runs/0/lap"]);
}
