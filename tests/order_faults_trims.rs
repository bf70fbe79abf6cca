//! What each trim and end asks for, and what they cannot be: every fault where it stands, what it says would be right, and
//! that the order passes once that is done.

use std::sync::Arc;

use brakeside::order::fault::Faults;
use brakeside::order::parse::parse;
use brakeside::order::planner;
use brakeside::order::shop::Shop;
use serde_json::{Value, json};

fn checked(run: &Value) -> Result<(), Faults> {
    let order = json!({
        "format": "brakeside-order/1", "order": "1", "job": { "name": "test" }, "units": "in",
        "metal": { "kind": "galvanized-steel", "gauge": 24 }, "runs": [run]
    });
    checked_order(&order)
}

fn checked_order(order: &Value) -> Result<(), Faults> {
    let (order, _) = parse(order.to_string().as_bytes(), &Arc::new(Shop::default()))?;
    assert!(planner::plan(&order).is_ok());
    Ok(())
}

fn run(trim: &str) -> Value {
    let (wall, length) = ("A", 200);
    match trim {
        "end-wall" | "eave" => json!({ "wall": wall, "trim": trim, "length": length, "pitch": "3:12" }),
        "side-wall" | "gable" => {
            json!({ "wall": wall, "trim": trim, "length": length, "pitch": "6:12", "low": "left" })
        }
        "ridge" => json!({ "wall": wall, "trim": trim, "length": length, "pitch": "3:12", "far_pitch": "6:12" }),
        "custom" => json!({ "wall": wall, "trim": trim, "length": length, "profile": { "legs": [
            { "width": 3 }, { "width": 2, "bend": 85, "turn": "up" }, { "width": 1, "turn": "down" }
        ] } }),
        _ => json!({ "wall": wall, "trim": trim, "length": length }),
    }
}

/// The run with these keys put in, or taken out where null.
fn with(mut run: Value, keys: &Value) -> Value {
    let map = run.as_object_mut().unwrap();
    for (key, value) in keys.as_object().unwrap() {
        match value {
            Value::Null => drop(map.remove(key)),
            value => drop(map.insert(key.clone(), value.clone())),
        }
    }
    run
}

/// With `wrong` there is one fault, at `at` from the run, that says all of `words`; with `right` there is none.
#[track_caller]
fn told(trim: &str, wrong: Value, at: &str, words: &[&str], right: Value) {
    let faults = checked(&with(run(trim), &wrong)).expect_err("a bad order was accepted");
    assert_eq!(faults.0.len(), 1, "{faults}");
    assert_eq!(faults.0[0].pointer, format!("/runs/0{at}"), "{faults}");
    for word in words {
        assert!(faults.0[0].detail.contains(word), "{word}\n{faults}");
    }
    if let Err(faults) = checked(&with(run(trim), &right)) {
        panic!("what was told to be right is refused:\n{faults}");
    }
}

#[test]
fn every_trim_can_be_said_in_few_words() {
    for trim in ["end-wall", "reglet", "side-wall", "gable", "eave", "ridge", "custom"] {
        checked(&run(trim)).unwrap_or_else(|faults| panic!("{trim}: {faults}"));
    }
}

#[test]
fn a_sloped_run_is_laid_from_its_low_end() {
    for trim in ["side-wall", "gable"] {
        told(
            trim,
            json!({ "low": null }),
            "/low",
            &["missing", "lower on the roof", "\"left\" or \"right\""],
            json!({ "low": "right" }),
        );
        told(trim, json!({ "low": "down" }), "/low", &["give \"left\" or \"right\""], json!({}));
        told(trim, json!({ "lay_from": "right" }), "/lay_from", &["from its low end", "leave it out"], json!({}));
        told(
            trim,
            json!({ "measured": "between" }),
            "/measured",
            &["\"outside\" or \"level\""],
            json!({ "measured": "level" }),
        );
    }
    told("eave", json!({ "low": "left" }), "/low", &["runs level", "leave it out"], json!({}));
    told(
        "end-wall",
        json!({ "measured": "level" }),
        "/measured",
        &["\"outside\" or \"between\""],
        json!({ "measured": "between" }),
    );
}

#[test]
fn pitches_are_asked_for_where_they_bear() {
    for trim in ["end-wall", "side-wall", "gable", "eave", "ridge"] {
        told(trim, json!({ "pitch": null }), "/pitch", &["missing", "like \"2:12\""], json!({ "pitch": "2:12" }));
    }
    for trim in ["end-wall", "reglet", "side-wall", "gable", "eave", "custom"] {
        told(trim, json!({ "far_pitch": "3:12" }), "/far_pitch", &["only a ridge", "leave it out"], json!({}));
    }
    told(
        "ridge",
        json!({ "far_pitch": "30:12" }),
        "/far_pitch",
        &["too steep", "0:12 to 24:12"],
        json!({ "far_pitch": "24:12", "pitch": "1:12" }),
    );
    // Both slopes as good as flat: no bend is left. 1° is 0.21:12.
    let flat = json!({ "pitch": "0:12", "far_pitch": "0:12" });
    told(
        "ridge",
        flat,
        "/pitch",
        &["less than 1°", "nothing to bend"],
        json!({ "pitch": "0:12", "far_pitch": "0.22:12" }),
    );
}

#[test]
fn a_trim_has_its_own_ends() {
    let ends = [
        ("gable", json!({ "end": "gable", "width": 4 })),
        ("return", json!({ "end": "return", "depth": 1.5 })),
        ("dam", json!({ "end": "dam", "height": 3 })),
        ("corner", json!({ "end": "corner", "side": "outside" })),
        ("transition", json!({ "end": "transition", "to": "8:12" })),
        ("square", json!({ "end": "square" })),
    ];
    for (trim, own) in [
        ("end-wall", &["square", "gable", "dam", "corner"][..]),
        ("reglet", &["square", "return", "corner"]),
        ("side-wall", &["square", "dam", "transition"]),
        ("gable", &["square", "transition"]),
        ("eave", &["square", "corner"]),
        ("ridge", &["square", "corner"]),
        ("custom", &["square", "corner"]),
    ] {
        for side in ["left", "right"] {
            for (kind, end) in &ends {
                if own.contains(kind) {
                    checked(&with(run(trim), &json!({ side: end }))).unwrap_or_else(|faults| panic!("{trim} {faults}"));
                    continue;
                }
                let faults = checked(&with(run(trim), &json!({ side: end }))).unwrap_err();
                let at_end = format!("/runs/0/{side}/end");
                let fault = faults.0.iter().find(|fault| fault.pointer == at_end).unwrap_or_else(|| panic!("{faults}"));
                assert!(own.iter().all(|own| fault.detail.contains(&format!("\"{own}\""))), "{fault}");
            }
        }
    }
}

#[test]
fn an_end_is_told_what_it_lacks() {
    let corner = |rest: Value| json!({ "right": with(json!({ "end": "corner", "side": "inside" }), &rest) });
    told("eave", corner(json!({ "side": null })), "/right/side", &["\"outside\" or \"inside\""], corner(json!({})));
    for turn in [json!(0), json!(151), json!("90"), json!(-90)] {
        told("eave", corner(json!({ "turn": turn })), "/right/turn", &["1 to 150"], corner(json!({ "turn": 150 })));
    }
    let dam = |height: Value| json!({ "left": { "end": "dam", "height": height } });
    told("side-wall", dam(json!("1/32")), "/left/height", &["too small for the bench", "1/16\""], dam(json!("3/8")));
    told("side-wall", dam(json!(125)), "/left/height", &["nothing of the longest blank", "lower"], dam(json!(100)));
    let to = |rest: Value| json!({ "right": with(json!({ "end": "transition", "to": "8:12" }), &rest) });
    told("gable", to(json!({ "to": null })), "/right/to", &["missing", "6:12"], to(json!({})));
    told(
        "gable",
        to(json!({ "falls": "up" })),
        "/right/falls",
        &["\"on\" or \"back\""],
        to(json!({ "falls": "back" })),
    );
    told("gable", to(json!({ "turn": 90 })), "/right/turn", &["unknown key"], to(json!({})));
}

#[test]
fn ends_that_meet_are_refused() {
    // A gable of 30 in and an inside corner of 5·cos 14° = 4.85 in leave nothing of 30 in; of 36 in they do.
    let meet = |length: i64| json!({ "length": length, "left": { "end": "gable", "width": 30 }, "right": { "end": "corner", "side": "inside" } });
    told(
        "end-wall",
        meet(30),
        "/right",
        &["too short for its ends", "a gable of 2' 6\"", "an inside corner", "make the run longer"],
        meet(36),
    );
}

#[test]
fn splits_and_what_laps_keep_clear_of() {
    told(
        "end-wall",
        json!({ "split": "longest" }),
        "/split",
        &["\"even\" or \"longest-first\""],
        json!({ "split": "longest-first" }),
    );
    told("end-wall", json!({ "at": -1 }), "/at", &[], json!({ "at": 0 }));
    told("end-wall", json!({ "stagger": "far" }), "/stagger", &[], json!({ "stagger": 0 }));
    let panels = |rest: Value| json!({ "panels": with(json!({ "first": 4, "every": 16 }), &rest) });
    told(
        "end-wall",
        panels(json!({ "every": null })),
        "/panels/every",
        &["missing", "seam to seam"],
        panels(json!({})),
    );
    told("end-wall", panels(json!({ "every": 1 })), "/panels/every", &["2\" to 5' 0\""], panels(json!({ "every": 2 })));
    told(
        "end-wall",
        panels(json!({ "width": 16 })),
        "/panels/width",
        &["unknown key"],
        panels(json!({ "first": null })),
    );
}

/// What is told of two runs on one wall whose laps cannot keep apart is a distance they can keep.
#[test]
fn a_stagger_that_cannot_be_kept_is_told_what_can() {
    let order = |stagger: Value| {
        json!({ "format": "brakeside-order/1", "order": "1", "job": { "name": "test" }, "units": "in",
                "metal": { "kind": "galvanized-steel", "gauge": 24 },
                "runs": [with(run("end-wall"), &json!({ "length": 1000 })),
                         with(run("reglet"), &json!({ "length": 1000, "stagger": stagger }))] })
    };
    let faults = checked_order(&order(json!(100))).unwrap_err();
    assert_eq!(faults.0.len(), 1);
    assert_eq!(faults.0[0].pointer, "/runs/1/stagger");
    let said = &faults.0[0].detail;
    let keeps = said.split("; ").nth(1).unwrap().split(" can be kept").next().unwrap();
    checked_order(&order(json!(keeps))).unwrap_or_else(|faults| panic!("{said}\n{faults}"));
    let over = brakeside::trade::length::Length::parse(keeps, brakeside::trade::length::Units::In).unwrap();
    let over = format!("{} mm", over.mm() + 25.4);
    checked_order(&order(json!(over))).expect_err("what was told is the most");
}

#[test]
fn hems_are_a_width_an_open_one_or_none() {
    let hem = |key: &str, hem: Value| json!({ "profile": { key: hem } });
    for key in ["hem", "datum_hem"] {
        for right in [json!("none"), json!("1/2"), json!({ "width": "1/2", "gap": "1/8" }), json!({ "width": "1/2" })] {
            checked(&with(run("ridge"), &hem(key, right))).unwrap();
        }
        let at = format!("/profile/{key}");
        told(
            "ridge",
            hem(key, json!({ "gap": "1/8" })),
            &format!("{at}/width"),
            &["missing"],
            hem(key, json!({ "gap": "1/8", "width": "1/2" })),
        );
        told(
            "ridge",
            hem(key, json!({ "width": "1/2", "gap": 1 })),
            &format!("{at}/gap"),
            &["too large", "1/2\""],
            hem(key, json!({ "width": "3/4", "gap": "3/8" })),
        );
        told(
            "ridge",
            hem(key, json!({ "width": "1/2", "open": true })),
            &format!("{at}/open"),
            &["unknown key"],
            hem(key, json!({ "width": "1/2" })),
        );
        told("ridge", hem(key, json!("no")), &at, &[], hem(key, json!("none")));
        // An open hem must be grippable past its gap: 4 · 0.0276 in and ¼ in are 0.3604 in, 23.07/64.
        told(
            "ridge",
            hem(key, json!({ "width": "5/16", "gap": "1/4" })),
            &at,
            &["narrow", "3/8\""],
            hem(key, json!({ "width": "3/8", "gap": "1/4" })),
        );
        told("ridge", hem(key, json!(6)), &at, &["does not fit behind", "less than"], hem(key, json!(2)));
    }
    told(
        "eave",
        json!({ "profile": { "kick": "1/2", "hem": "1/2" } }),
        "/profile/hem",
        &["behind the kick"],
        json!({ "profile": { "kick": "3/4", "hem": "1/2" } }),
    );
}

#[test]
fn profiles_have_their_own_keys() {
    for (trim, key, meant) in [
        ("side-wall", "roofleg", "roof_leg"),
        ("gable", "faces", "face"),
        ("eave", "kickangle", "kick_angle"),
        ("ridge", "near", "near_leg"),
        ("custom", "leg", "legs"),
    ] {
        let mut wrong = run(trim);
        wrong["profile"][key] = json!(4);
        let faults = checked(&wrong).unwrap_err();
        assert_eq!(faults.0[0].pointer, format!("/runs/0/profile/{key}"));
        assert!(faults.0[0].detail.contains(meant), "{faults}");
    }
    let kick = |angle: Value| json!({ "profile": { "kick_angle": angle } });
    told("eave", kick(json!(151)), "/profile/kick_angle", &["1 to 150"], kick(json!(60)));
}

#[test]
fn custom_legs_are_told_one_by_one() {
    let legs = |legs: Value| json!({ "profile": { "legs": legs } });
    let good = || legs(json!([{ "width": 3 }, { "width": 2, "turn": "up" }]));
    told("custom", json!({ "profile": null }), "/profile", &["missing", "\"legs\""], good());
    told("custom", json!({ "profile": {} }), "/profile/legs", &["missing", "1 to 12 legs"], good());
    told("custom", legs(json!([])), "/profile/legs", &["0 legs", "1 to 12"], legs(json!([{ "width": 3 }])));
    told("custom", legs(json!(vec![json!({ "width": 1, "turn": "up" }); 13])), "/profile/legs", &["13 legs"], good());
    told("custom", legs(json!([{ "width": 3, "turn": "up" }])), "/profile/legs/0/turn", &["unknown key"], good());
    told(
        "custom",
        legs(json!([{ "width": 3 }, { "width": 2 }])),
        "/profile/legs/1/turn",
        &["\"up\" or \"down\""],
        good(),
    );
    told(
        "custom",
        legs(json!([{ "width": 3 }, { "width": 2, "turn": "left" }])),
        "/profile/legs/1/turn",
        &["give \"up\" or \"down\""],
        good(),
    );
    told(
        "custom",
        legs(json!([{ "width": 3 }, { "width": 49, "turn": "up" }])),
        "/profile/legs/1/width",
        &["too large", "4' 0\""],
        good(),
    );
    told(
        "custom",
        legs(json!([{ "width": 3 }, { "width": 2, "turn": "up", "bend": 180 }])),
        "/profile/legs/1/bend",
        &["1 to 150"],
        good(),
    );
    // Between two bends of 90°, 2·(r + s) = 2·(0.0276 + 0.0276) = 0.1104 in: 7/64 in is 0.1094.
    let narrow =
        |width: &str| legs(json!([{ "width": 3 }, { "width": width, "turn": "up" }, { "width": 2, "turn": "down" }]));
    told(
        "custom",
        narrow("7/64"),
        "/profile/legs/1/width",
        &["leg 2 leaves no flat", "more than 1/8\""],
        narrow("5/8"),
    );
}

/// A section the brake cannot fold names the fold, the leg in the way and how wide that may be; so wide, it is folded.
#[test]
fn what_the_brake_cannot_fold_is_told_with_its_leg() {
    let channel = |first: &str| json!({ "profile": { "legs": [{ "width": first }, { "width": "1-1/2", "turn": "up" }, { "width": 2, "turn": "up" }] } });
    let faults = checked(&with(run("custom"), &channel("4"))).unwrap_err();
    assert_eq!(faults.0.len(), 1, "{faults}");
    assert_eq!(faults.0[0].pointer, "/runs/0/profile");
    let said = &faults.0[0].detail;
    assert!(said.contains("bend 2 cannot be") && said.contains("leg 1") && said.contains("the jaw"), "{said}");
    let (_, right) = said.rsplit_once("make leg 1 ").unwrap();
    checked(&with(run("custom"), &channel(right.split(" or").next().unwrap())))
        .unwrap_or_else(|faults| panic!("{said}\n{faults}"));

    // The leaf goes to 135°.
    let sharp =
        |bend: i64| json!({ "profile": { "legs": [{ "width": 3 }, { "width": 3, "turn": "up", "bend": bend }] } });
    told("custom", sharp(140), "/profile", &["goes to 135°", "bend it through less"], sharp(135));
    // The throat is 20 in deep.
    let wide = |width: i64| json!({ "profile": { "legs": [{ "width": width }, { "width": width, "turn": "up" }] } });
    told("custom", wide(24), "/profile", &["the throat is 1' 8\" deep", "make the strip narrower"], wide(18));
}

#[test]
fn the_longest_is_what_the_brake_bends() {
    let order = |longest: &str| {
        json!({ "format": "brakeside-order/1", "order": "1", "job": { "name": "test" }, "units": "in", "longest": longest,
                "metal": { "kind": "galvanized-steel", "gauge": 24 }, "runs": [run("gable")] })
    };
    let faults = checked_order(&order("12'")).unwrap_err();
    assert_eq!(faults.0[0].pointer, "/longest");
    assert!(faults.0[0].detail.contains("give 1' 0\" to 10' 6\""), "{faults}");
    checked_order(&order("10' 6\"")).unwrap();
}

/// Two ends that say they meet are one mitre, or the order says which of them is not.
#[test]
fn mitres_that_say_they_meet_do() {
    let corner = |wall: &str, turn: f64| json!({ "end": "corner", "side": "outside", "turn": turn, "meets": wall });
    let pair = |a: Value, b: Value| {
        let order = json!({ "format": "brakeside-order/1", "order": "1", "job": { "name": "test" }, "units": "in",
            "metal": { "kind": "galvanized-steel", "gauge": 24 },
            "runs": [with(run("end-wall"), &a), with(with(run("end-wall"), &json!({ "wall": "B" })), &b)] });
        let faults = checked_order(&order).err().map(|faults| faults.0).unwrap_or_default();
        faults.iter().map(ToString::to_string).collect::<Vec<_>>()
    };
    let left = |end: Value| json!({ "left": end });
    let right = |end: Value| json!({ "right": end });
    assert_eq!(pair(right(corner("b", 90.0)), left(corner("A", 90.0))), [""; 0]);
    let said = pair(right(corner("B", 90.0)), left(corner("A", 45.0)));
    assert_eq!(said.len(), 2, "{said:?}");
    assert!(
        said[0].starts_with("/runs/0/right/meets: the left end of wall B's end wall is another corner"),
        "{said:?}"
    );
    let said = pair(right(corner("B", 90.0)), json!({}));
    assert!(said.len() == 1 && said[0].contains("is no such mitre"), "{said:?}");
    let said = pair(right(corner("C", 90.0)), json!({}));
    assert!(said.len() == 1 && said[0].contains("wall C has no end wall"), "{said:?}");
    let steeper = json!({ "pitch": "4:12", "left": corner("A", 90.0) });
    let said = pair(right(corner("B", 90.0)), steeper);
    assert!(said.len() == 2 && said[0].contains("another section"), "{said:?}");

    let slope = |wall: &str, pitch: &str, end: Value| {
        with(run("gable"), &json!({ "wall": wall, "pitch": pitch }))
            .as_object()
            .unwrap()
            .clone()
            .into_iter()
            .chain(end.as_object().unwrap().clone())
            .collect::<serde_json::Map<_, _>>()
    };
    let meeting = |back: &str| {
        let order = json!({ "format": "brakeside-order/1", "order": "1", "job": { "name": "test" }, "units": "in",
            "metal": { "kind": "galvanized-steel", "gauge": 24 }, "runs": [
                slope("A", "3:12", right(json!({ "end": "transition", "to": "6:12", "meets": "B" }))),
                slope("B", "6:12", left(json!({ "end": "transition", "to": back, "meets": "A" }))) ] });
        checked_order(&order).err().map_or(0, |faults| faults.0.len())
    };
    assert_eq!((meeting("3:12"), meeting("4:12")), (0, 2));

    // Over a ridge both climb toward where they meet; a ridge's end and a valley's do not.
    let over = |low: &str| {
        let back = |wall: &str| json!({ "end": "transition", "to": "6:12", "falls": "back", "meets": wall });
        let order = json!({ "format": "brakeside-order/1", "order": "1", "job": { "name": "test" }, "units": "in",
            "metal": { "kind": "galvanized-steel", "gauge": 24 }, "runs": [
                slope("A", "6:12", right(back("B"))),
                slope("B", "6:12", json!({ "left": back("A"), "low": low })) ] });
        checked_order(&order).err().map_or(0, |faults| faults.0.len())
    };
    assert_eq!((over("right"), over("left")), (0, 2));
    assert_eq!(pair(right(corner("A", 90.0)), json!({})).len(), 1, "a wall does not meet itself");
}

/// The trims of one wall agree on which way it falls and where it turns.
#[test]
fn the_trims_of_a_wall_go_together() {
    let both = |first: Value, second: Value| {
        let order = json!({ "format": "brakeside-order/1", "order": "1", "job": { "name": "test" }, "units": "in",
            "metal": { "kind": "galvanized-steel", "gauge": 24 }, "runs": [first, second] });
        let faults = checked_order(&order).err().map(|faults| faults.0).unwrap_or_default();
        faults.iter().map(ToString::to_string).collect::<Vec<_>>()
    };
    // Laid from the left, its laps would face up a wall that is low at the right.
    let sloped = with(run("side-wall"), &json!({ "low": "right" }));
    let said = both(sloped.clone(), run("reglet"));
    assert!(
        said.len() == 1 && said[0].starts_with("/runs/1/lay_from: ") && said[0].ends_with("give \"right\""),
        "{said:?}"
    );
    assert_eq!(both(sloped, with(run("reglet"), &json!({ "lay_from": "right" }))), [""; 0]);

    let corner = |trim: &str, side: &str| with(run(trim), &json!({ "right": { "end": "corner", "side": side } }));
    let said = both(corner("end-wall", "outside"), corner("reglet", "inside"));
    assert!(
        said.len() == 1 && said[0].starts_with("/runs/1/right: wall A's end wall turns another corner"),
        "{said:?}"
    );
    assert_eq!(both(corner("end-wall", "outside"), corner("reglet", "outside")), [""; 0]);
}

/// A tab narrower than the brake's least flange, 3/8 in, cannot be folded.
#[test]
fn a_tab_is_wide_enough_to_fold() {
    let dam = |height: &str| json!({ "left": { "end": "dam", "height": height } });
    told("end-wall", dam("1/8"), "/left/height", &["too small to fold", "3/8\" or more"], dam("3/8"));
    let back = |depth: &str| json!({ "left": { "end": "return", "depth": depth } });
    told("reglet", back("1/4"), "/left/depth", &["too small to fold", "3/8\" or more"], back("3/8"));
}
