//! A `[[test_bend]]` entry of the settings file: read, checked, and written.

use jiff::civil::Date;
use serde_json::Value;

use super::keys::{Unit, length, number, quoted, said};
use crate::order::fault::Faults;
use crate::order::parse::reader::{Found, Object, Spot, one_of};
use crate::order::parse::text;
use crate::trade::length::Length;
use crate::trade::metal::{Kind, MassBasis, Metal};
use crate::trade::test_bend::TestBend;

/// The name of the section.
pub(super) const TEST_BEND: &str = "test_bend";

pub(super) const ABOUT: [&str; 2] = [
    "Strips of the shop's own metal, bent and measured. They count before the rule above, for the same metal within 5 %",
    "of its thickness. `brakeside test-bend --add` writes one; its keys, each with an example:",
];

/// Each key, what it means, and an example.
pub(super) const KEYS: [(&str, &str, &str); 11] = [
    ("metal", "\"galvanized-steel\"", "The metal's kind."),
    ("gauge", "24", "How thick galvanized steel is; or its thickness."),
    ("ounces", "16", "How thick copper is; or its thickness."),
    ("thickness", "\"0.032 in\"", "How thick any metal is, 0.2 mm to 3 mm."),
    ("strip", "\"5.865 in\"", "The flat strip's length across the bend, before; 1/2 in to 4 ft."),
    (
        "legs",
        "[\"3 in\", \"2.92 in\"]",
        "Both legs after, outside: to the mould line; past 90°, to the bend's outside.",
    ),
    ("angle", "90", "Degrees bent through once it has sprung back: 180 less the opening angle; 15 to 165."),
    ("radius", "\"1/32 in\"", "Inside, by a radius gauge, 0 to 1 in. May be left out where strips differ in angle."),
    ("set_angle", "93", "Degrees that the leaf was set to, 15 to 180. May be left out."),
    ("on", "2026-11-25", "The day it was bent."),
    ("by", "\"RT\"", "Who bent and measured it; initials will do."),
];

const HALF_INCH: Length = Length::sixty_fourths(32);
const FOUR_FEET: Length = Length::inches(48);
const THINNEST: Length = Length::from_nm(200_000);
const THICKEST: Length = Length::millimetres(3);
const LONGEST_NAME: usize = 40;

// What would be right.
const STRIP: &str = "the flat strip's length, 1/2 in to 4 ft";
const LEG: &str = "1/8 in to 4 ft";
const ANGLE: &str = "the degrees bent through, 15 to 165";
const RADIUS: &str = "the inside radius, 0 to 1 in";
const SET: &str = "the degrees set, 15 to 180";
const THICK: &str = "0.2 mm to 3 mm (0.008 in to 0.118 in)";
const THIS_THICK: &str = "`gauge`, `ounces` or `thickness`";

/// Reads a test bend said in the entry's keys, from wherever.
///
/// # Errors
/// All faults, each with its key and what would be right.
pub fn from_value(value: &Value) -> Result<TestBend, Faults> {
    let found = Found::default();
    let test = read(&Spot::root(value, &found));
    // `None` means that a fault is noted.
    test.ok_or_else(|| Faults(found.into_faults()))
}

pub(super) fn read(spot: &Spot) -> Option<TestBend> {
    let entry = spot.object("a test bend: a section [[test_bend]]", &KEYS.map(|(name, ..)| name))?;
    let metal = metal(&entry);
    let strip = entry.required("strip", STRIP, |spot| length(spot, HALF_INCH..=FOUR_FEET, STRIP));
    let legs = entry.required("legs", LEGS, legs);
    let angle = entry.required("angle", ANGLE, |spot| number(spot, Unit::Degrees, 15.0..=165.0, ANGLE));
    let radius = entry.or("radius", None, |spot| length(spot, Length::ZERO..=Length::inches(1), RADIUS).map(Some));
    let set_angle = entry.or("set_angle", None, |spot| number(spot, Unit::Degrees, 15.0..=180.0, SET).map(Some));
    let on = entry.required("on", DAY, day);
    let by = entry.required("by", "who bent it, like \"RT\"", |spot| text::line(spot, LONGEST_NAME));
    Some(TestBend {
        metal: metal?,
        strip: strip?,
        legs: legs?,
        angle_deg: angle?,
        radius: radius?,
        set_angle_deg: set_angle?,
        on: on?,
        by: by?,
    })
}

fn metal(entry: &Object) -> Option<Metal> {
    let kinds = Kind::ALL.map(|kind| (kind.key(), kind));
    let kind = entry.required("metal", &one_of(&kinds), |spot| spot.word(&kinds));
    let mut said = ["gauge", "ounces", "thickness"].into_iter().filter(|key| entry.has(key));
    let Some(key) = said.next() else {
        return entry.spot.fault(format!("how thick is missing; give {THIS_THICK}"));
    };
    let spot = entry.get(key)?;
    if let Some(second) = said.next() {
        return entry.get(second)?.fault(format!("`{key}` says how thick it is already; give one of them"));
    }
    let metal = match key {
        "gauge" => Metal::gauge(kind?, spot.count()?),
        "ounces" if kind? != Kind::Copper => {
            return spot.fault(format!("{} does not go by ounces here; give another of {THIS_THICK}", kind?.name()));
        }
        "ounces" => Metal::ounces(spot.count()?),
        _ => Metal::thickness(kind?, length(&spot, THINNEST..=THICKEST, THICK)?),
    };
    metal.map_err(|error| spot.fault::<()>(error.to_string())).ok()
}

const LEGS: &str = r#"both legs, like ["3 in", "2.92 in"]"#;

fn legs(spot: &Spot) -> Option<[Length; 2]> {
    match &spot.list(LEGS)?[..] {
        [a, b] => {
            let leg = |spot| length(spot, Length::sixty_fourths(8)..=FOUR_FEET, LEG);
            let (a, b) = (leg(a), leg(b));
            Some([a?, b?])
        }
        legs => spot.fault(format!("{} legs are given; give {LEGS}", legs.len())),
    }
}

const DAY: &str = "the day, like 2026-11-25";

fn day(spot: &Spot) -> Option<Date> {
    spot.value.as_str().and_then(|text| text.parse().ok()).or_else(|| spot.wrong(DAY))
}

/// The entry as the file holds it, its heading first.
pub fn write(test: &TestBend) -> String {
    let mut lines = vec![format!("[[{TEST_BEND}]]"), format!("metal = {}", quoted(test.metal.kind.key()))];
    lines.push(match test.metal.basis {
        MassBasis::Gauge { gauge, .. } => format!("gauge = {gauge}"),
        MassBasis::Ounces(ounces) => format!("ounces = {ounces}"),
        MassBasis::Density(_) => format!("thickness = {}", quoted(&said(test.metal.thickness))),
    });
    let [a, b] = test.legs.map(|leg| quoted(&said(leg)));
    lines.push(format!("strip = {}", quoted(&said(test.strip))));
    lines.push(format!("legs = [{a}, {b}]"));
    lines.push(format!("angle = {}", test.angle_deg));
    lines.extend(test.radius.map(|radius| format!("radius = {}", quoted(&said(radius)))));
    lines.extend(test.set_angle_deg.map(|angle| format!("set_angle = {angle}")));
    lines.push(format!("on = {}", test.on));
    lines.push(format!("by = {}", quoted(&test.by.replace('\\', r"\\").replace('"', r#"\""#))));
    lines.join("\n") + "\n"
}

#[cfg(test)]
mod tests {
    use super::*;
    use serde_json::json;

    fn faults(value: Value) -> Vec<String> {
        from_value(&value).err().map(|faults| faults.0.iter().map(ToString::to_string).collect()).unwrap_or_default()
    }

    #[test]
    fn each_wrong_key_is_named_with_what_is_right() {
        let wrong = json!({
            "metal": "copper", "ounces": 16, "strip": "9 ft", "legs": ["3 in"], "angle": 200, "radius": -1,
            "set_angel": 93, "on": "yesterday", "by": ""
        });
        let found = faults(wrong);
        for (fault, said) in found.iter().zip([
            "/set_angel: unknown key; did you mean `set_angle`?",
            "/strip: \"9 ft\" is out of range; give the flat strip's length, 1/2 in to 4 ft",
            "/legs: 1 legs are given; give both legs, like [\"3 in\", \"2.92 in\"]",
            "/angle: 200 is out of range; give the degrees bent through, 15 to 165",
            "/radius: \"-1\" is negative: a length is 0 or more; give the inside radius, 0 to 1 in",
            "/on: \"yesterday\" is wrong here; give the day, like 2026-11-25",
            "/by: \"\" is wrong here; give text of 1 to 40 characters",
        ]) {
            assert_eq!(fault, said);
        }
        assert_eq!(found.len(), 7);
        assert_eq!(faults(json!({})).len(), 7, "metal, how thick, strip, legs, angle, on, by");
    }

    #[test]
    fn how_thick_is_said_once_and_in_the_metals_own_way() {
        let thick = |rest: Value| {
            let mut entry = json!({ "strip": "4 in", "legs": [2, 2.04], "angle": 90, "on": "2026-11-25", "by": "RT" });
            entry.as_object_mut().unwrap().extend(rest.as_object().unwrap().clone());
            faults(entry)
        };
        assert_eq!(thick(json!({ "metal": "copper", "ounces": 16 })), [""; 0]);
        assert_eq!(thick(json!({ "metal": "zinc", "thickness": "0.7 mm" })), [""; 0]);
        for (metal, fault) in [
            (json!({ "metal": "zinc", "ounces": 16 }), "/ounces: zinc does not go by ounces here; give"),
            (json!({ "metal": "zinc", "gauge": 24 }), "/gauge: zinc does not go by gauge here: give its thickness"),
            (json!({ "metal": "copper", "ounces": 16, "thickness": 0.02 }), "/thickness: `ounces` says how thick"),
            (json!({ "metal": "copper", "thickness": "1 in" }), "/thickness: \"1 in\" is out of range; give 0.2 mm"),
            (json!({ "metal": "tin", "gauge": 24 }), "/metal: \"tin\" is wrong here; give \"galvanized-steel\", "),
        ] {
            let found = thick(metal);
            assert!(found.len() == 1 && found[0].starts_with(fault), "{found:?}");
        }
    }
}
