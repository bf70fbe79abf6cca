//! Reads an order's `metal`: each kind with its own way to say how thick it is.

use super::reader::{Object, Spot, one_of};
use super::tape::Tape;
use super::text;
use crate::order::Painted;
use crate::order::shop::Shop;
use crate::trade::metal::{Kind, Metal, MetalError};

const PAINTED: [(&str, Painted); 4] =
    [("out", Painted::Out), ("in", Painted::In), ("both", Painted::Both), ("none", Painted::None)];

const LONGEST_FINISH: usize = 60;

/// A metal and its finish, as ordered.
pub(super) struct Finished {
    pub(super) metal: Metal,
    pub(super) finish: Option<String>,
    pub(super) painted: Painted,
}

pub(super) const METAL: &str = r#"the metal, like { "kind": "galvanized-steel", "gauge": 24 }"#;

/// Finish and paint have no part in what can be bent: where they cannot be read, which is noted, the metal goes without.
pub(super) fn read(spot: &Spot, tape: &Tape, shop: &Shop) -> Option<Finished> {
    let object = spot.object(METAL, &["kind", "gauge", "ounces", "thickness", "finish", "painted"])?;
    let kinds = Kind::ALL.map(|kind| (kind.key(), kind));
    let kind = object.required("kind", &one_of(&kinds), |kind| kind.word(&kinds));
    let metal = kind.and_then(|kind| thickness(&object, kind, tape, shop));
    let finish = object.or("finish", None, |finish| text::line(finish, LONGEST_FINISH).map(Some));
    // Only a named finish has a side to it.
    let unsaid = if object.has("finish") { Painted::Out } else { Painted::None };
    let painted = object.or("painted", unsaid, |painted| painted.word(&PAINTED));
    Some(Finished { metal: metal?, finish: finish.flatten(), painted: painted.unwrap_or(unsaid) })
}

/// A way to say how thick a sheet is, by its key.
type Way = &'static str;

const GAUGE: Way = "gauge";
const OUNCES: Way = "ounces";
const THICKNESS: Way = "thickness";

/// The ways `kind` may be told by, the customary one first.
fn ways(kind: Kind) -> &'static [Way] {
    match kind {
        Kind::GalvanizedSteel => &[GAUGE, THICKNESS],
        Kind::Copper => &[OUNCES, THICKNESS],
        Kind::Aluminium | Kind::StainlessSteel | Kind::Zinc => &[THICKNESS],
    }
}

fn thickness(object: &Object, kind: Kind, tape: &Tape, shop: &Shop) -> Option<Metal> {
    let right = ways(kind).iter().map(|way| format!("`{way}`")).collect::<Vec<_>>().join(" or ");
    let (own, foreign): (Vec<Way>, Vec<Way>) =
        [GAUGE, OUNCES, THICKNESS].into_iter().filter(|way| object.has(way)).partition(|way| ways(kind).contains(way));
    for way in &foreign {
        let detail = format!("{} does not go by {way} here; give {right}", kind.name());
        object.spot.fault_below::<()>(&format!("/{way}"), detail);
    }
    match own[..] {
        [way] if foreign.is_empty() => {
            let spot = object.get(way)?;
            let metal = match way {
                GAUGE => Metal::gauge(kind, spot.count()?),
                OUNCES => Metal::ounces(spot.count()?),
                _ => Metal::thickness(kind, tape.positive(&spot)?),
            };
            light_enough(&spot, metal, shop)
        }
        [first, second, ..] => object
            .spot
            .fault_below(&format!("/{second}"), format!("`{first}` says the thickness already; give one of them")),
        [] if foreign.is_empty() => {
            object.spot.fault_below(&format!("/{}", ways(kind)[0]), format!("how thick is missing; give {right}"))
        }
        _ => None,
    }
}

/// A metal that exists and that the brake can bend.
fn light_enough(spot: &Spot, metal: Result<Metal, MetalError>, shop: &Shop) -> Option<Metal> {
    let metal = match metal {
        Ok(metal) => metal,
        Err(error) => return spot.fault(error.to_string()),
    };
    let most = shop.capacity.of(metal.kind);
    if metal.thickness <= most {
        return Some(metal);
    }
    spot.fault(format!(
        "{} is {:.2} mm thick, too heavy for the brake; give at most {:.2} mm ({:.4} in)",
        metal.label,
        metal.thickness.mm(),
        most.mm(),
        most.in_inches()
    ))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::order::parse::reader::Found;
    use crate::trade::length::{Length, Units};
    use serde_json::{Value, json};

    fn read_value(value: &Value) -> Result<Finished, Vec<String>> {
        let found = Found::default();
        let finished = read(&Spot::root(value, &found), &Tape { units: Some(Units::In) }, &Shop::default());
        let faults: Vec<String> = found.into_faults().iter().map(ToString::to_string).collect();
        finished.filter(|_| faults.is_empty()).ok_or(faults)
    }

    #[test]
    fn each_kind_by_its_own_ways() {
        for (metal, mils) in [
            // Manufacturers' Standard Gauge, galvanized; ASTM B370.
            (json!({ "kind": "galvanized-steel", "gauge": 24 }), 27.6),
            (json!({ "kind": "galvanized-steel", "gauge": "24" }), 27.6),
            (json!({ "kind": "copper", "ounces": 16 }), 21.6),
            (json!({ "kind": "copper", "thickness": 0.02 }), 20.0),
            (json!({ "kind": "aluminium", "thickness": 0.032 }), 32.0),
            (json!({ "kind": "zinc", "thickness": "0.7 mm" }), 0.7 / 0.0254),
        ] {
            let finished = read_value(&metal).unwrap_or_else(|faults| panic!("{metal}: {faults:?}"));
            assert_eq!(finished.metal.thickness, Length::from_inches(mils / 1000.0), "{metal}");
        }
    }

    #[test]
    fn any_other_way_is_a_fault() {
        for (metal, faults) in [
            (json!({ "kind": "aluminium", "gauge": 24 }), &["/gauge: aluminium does not go by gauge here"][..]),
            (json!({ "kind": "zinc", "ounces": 16, "gauge": 24 }), &["/gauge: zinc", "/ounces: zinc"]),
            (json!({ "kind": "copper", "ounces": 16, "thickness": 0.02 }), &["/thickness: `ounces` says"]),
            (json!({ "kind": "stainless-steel" }), &["/thickness: how thick is missing"]),
            (json!({ "kind": "galvanized-steel", "gauge": 25 }), &["/gauge: 25 ga galvanized steel is not"]),
            (json!({ "kind": "galvanized-steel", "gauge": 24.5 }), &["/gauge: 24.5 is wrong here"]),
            (
                json!({ "kind": "stainless-steel", "thickness": 0.1 }),
                &["/thickness: 0.100 in stainless steel is 2.54 mm thick, too heavy"],
            ),
            (json!({ "kind": "aluminium", "thickness": 0 }), &["/thickness: 0 is no length"]),
        ] {
            let found = read_value(&metal).err().unwrap_or_default();
            assert_eq!(found.len(), faults.len(), "{metal}: {found:?}");
            for (found, fault) in found.iter().zip(faults) {
                assert!(found.starts_with(fault), "{metal}: {found}");
            }
        }
    }

    #[test]
    fn only_a_named_finish_is_out_by_default() {
        let painted = |value| read_value(&value).map(|finished| finished.painted).ok();
        assert_eq!(painted(json!({ "kind": "copper", "ounces": 16 })), Some(Painted::None));
        assert_eq!(painted(json!({ "kind": "copper", "ounces": 16, "finish": "clear" })), Some(Painted::Out));
        assert_eq!(painted(json!({ "kind": "copper", "ounces": 16, "painted": "both" })), Some(Painted::Both));
    }
}
