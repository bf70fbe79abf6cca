//! The catalogue is complete, and stays so: whatever the plan, the desk and the endpoint can say, it says.

use std::cell::RefCell;
use std::collections::{BTreeMap, BTreeSet};
use std::path::PathBuf;
use std::sync::Arc;
use std::{fs, iter};

use proptest::prelude::*;
use serde_json::Value;
use toml::de::DeTable;

use super::said::sentences;
use super::slot::Kind as Slot;
use super::{Language, SPANISH, Words};
use crate::order::plan::{Piece, Plan};
use crate::order::shop::{RuleName, Shop};
use crate::order::{parse, planner};
use crate::trade::length::Length;
use crate::trade::metal::{Kind, Metal};
use crate::trade::test_bend::TestBend;
use crate::trade::tolerance::Tolerance;
use crate::trade::trim::Trim;
use crate::trade::working::Working;

mod sources;

#[path = "../../tests/support/any_order.rs"]
#[allow(dead_code)]
mod any_order;

fn spanish(english: &str) -> String {
    Words::of(Language::Spanish).say(english)
}

/// Every text of a piece that the bench may show.
fn texts_of(piece: &Piece) -> impl Iterator<Item = &str> {
    fn of_working(working: &Working) -> impl Iterator<Item = &str> {
        let Working { what, rule, inputs, result, source } = working;
        let inputs = inputs.iter().flat_map(|input| [input.name.as_str(), input.value.as_str()]);
        [what, rule, result, source].into_iter().map(String::as_str).chain(inputs)
    }
    let on_cards = piece.steps.iter().flat_map(|step| {
        iter::once(step.text.as_str()).chain(step.caution.iter().map(|caution| caution.text.as_str()))
    });
    on_cards.chain(piece.workings().flat_map(of_working)).chain([piece.metal.as_str()])
}

fn texts(plan: &Plan) -> impl Iterator<Item = &str> {
    plan.pieces.iter().flat_map(texts_of)
}

/// The plan of an order, if it can be made.
fn plan(order: &Value, shop: &Arc<Shop>) -> Option<Plan> {
    let (order, _) = parse::parse(order.to_string().as_bytes(), shop).ok()?;
    planner::plan(&order).ok()
}

/// A shop that bends by a factor, springs back as it measured in 24 ga, and holds its pieces closer than the standard.
fn measuring_shop() -> Arc<Shop> {
    let bent = |by: &str, angle_deg| TestBend {
        metal: Metal::gauge(Kind::GalvanizedSteel, 24).unwrap(),
        strip: Length::from_inches(4.9397),
        legs: [Length::inches(2), Length::inches(3)],
        angle_deg,
        radius: Some(Length::from_mm(1.2)),
        set_angle_deg: Some(93.0),
        on: jiff::civil::date(2026, 11, 25),
        by: by.into(),
    };
    let mut shop = Shop { test_bends: vec![bent("RT", 90.0), bent("Ana", 90.5)], ..Shop::default() };
    shop.bending.rule = RuleName::KFactor;
    shop.check.length = Tolerance::Own(Length::sixty_fourths(2));
    Arc::new(shop)
}

/// The example orders, each in both units and with every side painted.
fn orders() -> Vec<Value> {
    /// Bare numbers get the unit that they were written in.
    fn say_unit(value: &mut Value, unit: &str) {
        const ANGLES_AND_NAMES: [&str; 5] = ["gauge", "ounces", "bend", "turn", "kick_angle"];
        match value {
            Value::Object(map) => {
                let lengths = map.iter_mut().filter(|(key, _)| !ANGLES_AND_NAMES.contains(&key.as_str()));
                lengths.for_each(|(_, value)| say_unit(value, unit));
            }
            Value::Array(list) => list.iter_mut().for_each(|value| say_unit(value, unit)),
            Value::Number(number) => *value = format!("{number} {unit}").into(),
            Value::String(text) if !text.is_empty() && text.chars().all(|c| "0123456789-/ ".contains(c)) => {
                *text += " ";
                *text += unit;
            }
            _ => {}
        }
    }
    let files = fs::read_dir(root().join("tests/orders")).unwrap().map(|file| file.unwrap().path());
    let orders = files.map(|file| serde_json::from_str::<Value>(&fs::read_to_string(file).unwrap()).unwrap());
    orders
        .flat_map(|mut order| {
            let unit = order["units"].as_str().unwrap().to_owned();
            ["runs", "metal"].into_iter().for_each(|key| say_unit(&mut order[key], &unit));
            let of_units = |units| ["out", "in", "both", "none"].map(|painted| (units, painted));
            ["in", "mm"].into_iter().flat_map(of_units).map(move |(units, painted)| {
                let mut order = order.clone();
                order["units"] = units.into();
                order["metal"]["painted"] = painted.into();
                order
            })
        })
        .collect()
}

fn root() -> PathBuf {
    PathBuf::from(env!("CARGO_MANIFEST_DIR"))
}

/// Each number as it is written, in no order: Spanish may turn a sentence round.
fn numbers(text: &str) -> Vec<&str> {
    let figure = |c: char| c.is_numeric();
    let mut numbers: Vec<_> = text.split(|c| !figure(c)).filter(|number| !number.is_empty()).collect();
    numbers.sort_unstable();
    numbers
}

/// Words that no Spanish text has. What names a book or a button in English is left out of it first.
fn english_in(spanish: &str) -> Option<String> {
    const NAMES: [&str; 5] = [
        "Machinery's Handbook",
        "Manufacturers' Standard Gauge",
        "Copper Flashings: A Manual",
        "lb/in³",
        "Labels (PDF)",
    ];
    const WORDS: &[&str] = &[
        "the", "of", "and", "with", "from", "at", "in", "to", "up", "down", "on", "it", "its", "is", "are", "this",
        "that", "left", "right", "edge", "end", "hem", "fold", "bend", "lap", "notch", "cut", "piece", "strip",
        "blank", "sheet", "length", "wide", "long", "under", "over", "stop", "leg", "wall", "roof", "mark", "label",
        "order", "bench", "printer", "step", "done", "scan", "made", "another",
    ];
    let rest = NAMES.iter().fold(spanish.to_lowercase(), |rest, name| rest.replace(&name.to_lowercase(), ""));
    rest.split(|c: char| !c.is_alphabetic()).find(|word| WORDS.contains(word)).map(str::to_owned)
}

#[track_caller]
fn is_said(english: &str) -> String {
    let said = SPANISH.say(english);
    assert_eq!(said.left, 0, "no Spanish for {english:?}, only {:?}", said.text);
    assert_eq!(numbers(english), numbers(&said.text), "{english:?} = {:?}", said.text);
    // A metal's finish is as its maker and the order call it.
    let own =
        said.text.split_once(", slate grey").map_or(said.text.clone(), |(before, after)| format!("{before}{after}"));
    assert_eq!(english_in(&own), None, "{english:?} = {:?}", said.text);
    assert_no_second_meaning(english);
    said.text
}

/// Of all forms that a sentence has, the one that is taken is more specific than those that say something else.
#[track_caller]
fn assert_no_second_meaning(english: &str) {
    sentences(english, |phrase| {
        let meanings = SPANISH.meanings(phrase);
        let (taken, weight) = meanings.first()?;
        let rival = meanings.iter().find(|(said, of)| of == weight && said != taken);
        assert_eq!(rival, None, "{phrase:?} is {taken:?} as well");
        Some(taken.clone())
    });
}

#[test]
fn english_stays_as_it_is() {
    assert_eq!(Words::of(Language::English).say("Bend 1"), "Bend 1");
}

#[test]
fn cards_are_said_in_spanish() {
    for (english, other) in [
        ("Shear the strip to 8' 10-5/8\".", "Cortar la tira a 8' 10-5/8\"."),
        ("Notch the lap, left end", "Muesca de traslape, extremo izquierdo"),
        ("A · end wall · 3 of 5", "A · pared frontal · 3 de 5"),
        ("Fri 4 Dec", "vie 4 dic"),
        ("end wall", "pared frontal"),
        ("0.0276 in", "0.0276 pulg"),
        ("8′ 10⁵⁄₈″", "8′ 10⁵⁄₈″"),
        ("3251.5 mm", "3251.5 mm"),
        (
            "Write LEFT on the left end. From the datum edge mark the datum edge's hem at 1/2\", the bend lines at 1-1/2\" and 4\".",
            "Escribir IZQ en el extremo izquierdo. Trazar desde el borde base: dobladillo del borde base a 1/2\", líneas de \
             doblez a 1-1/2\" y 4\".",
        ),
        // What somebody typed stays, and so does what it was said with.
        ("The painter was here. Take the blank", "The painter was here. Tomar la tira"),
    ] {
        assert_eq!(spanish(english), other);
    }
}

#[test]
fn every_text_of_every_example_order_is_said() {
    let shops = [Arc::default(), measuring_shop()];
    let made = |order| shops.iter().map(move |shop| plan(order, shop).unwrap_or_else(|| panic!("{order}")));
    let orders = orders();
    let plans: Vec<Plan> = orders.iter().flat_map(made).collect();
    let said: BTreeMap<&str, String> = plans.iter().flat_map(texts).map(|text| (text, is_said(text))).collect();
    for rare in ["springs back", "K = 0.447, fixed", "on 2026-11-25 by Ana; hems", "allowed by the shop"] {
        assert!(said.keys().any(|english| english.contains(rare)), "{rare}");
    }
    let length = |texts: &mut dyn Iterator<Item = &str>| texts.map(|text| text.chars().count()).sum::<usize>() as f64;
    let longer = length(&mut said.values().map(String::as_str)) / length(&mut said.keys().copied());
    println!("{} texts; Spanish is {longer:.2} times as long", said.len());
    assert!(longer < 1.1, "Spanish is {longer:.2} times as long");
}

#[test]
fn every_text_of_any_order_is_said() {
    let (shop, said) = (Arc::default(), RefCell::new(BTreeSet::new()));
    let config = ProptestConfig { failure_persistence: None, ..ProptestConfig::with_cases(600) };
    let mut runner = proptest::test_runner::TestRunner::new(config);
    runner
        .run(&any_order::any_order(), |order| {
            for text in plan(&order, &shop).iter().flat_map(texts) {
                // A kilometre of run has ten thousand pieces.
                if said.borrow().len() < 200_000 && said.borrow_mut().insert(text.to_owned()) {
                    is_said(text);
                }
            }
            Ok(())
        })
        .unwrap_or_else(|error| panic!("{error}"));
    let said = said.borrow().len();
    println!("{said} texts of any order");
    assert!(said > 10_000);
}

/// A piece as the first version planned it; old pieces stay in the store.
#[test]
fn every_text_of_the_first_piece_is_said() {
    let piece: Piece = serde_json::from_str(include_str!("../store/first_piece.json")).unwrap();
    texts_of(&piece).for_each(|text| drop(is_said(text)));
}

proptest! {
    #![proptest_config(ProptestConfig { failure_persistence: None, ..ProptestConfig::with_cases(2000) })]

    /// Whatever people typed and printers said: a text with no form in it comes out as it is, but for the space between its
    /// sentences.
    #[test]
    fn what_nobody_can_say_stays(words in prop::collection::vec("[qxz]{2,5}[.,:;?!]?|\\PC{1,6}|[0-9]{1,3}['\"° .:/-]{0,2}", 1..12)) {
        let text = format!("qx {}", words.join(" "));
        let said = SPANISH.say(&text);
        prop_assert_eq!(numbers(&said.text), numbers(&text));
        let solid = |text: &str| text.split_whitespace().collect::<String>();
        prop_assert_eq!(solid(&said.text), solid(&text));
    }
}

#[test]
fn every_day_and_trim_has_its_words() {
    for trim in Trim::ALL {
        is_said(trim.name());
        is_said(&format!("B2 · {} · 12 of 40", trim.name()));
    }
    let days = iter::successors(Some(jiff::civil::date(2026, 1, 1)), |day| day.tomorrow().ok());
    let days: BTreeSet<String> = days.take(366).map(|day| is_said(&day.strftime("%a %-d %b").to_string())).collect();
    assert!(days.contains("mié 9 sep"));
}

/// What is put together from parts, as the desk, the store and the endpoint put it together.
#[test]
fn what_is_put_together_from_parts_is_said() {
    for (english, other) in [
        (
            "A-EW-3 measures 8′ 10¹⁄₂″. It should be 8′ 10⁵⁄₈″ ± ¹⁄₁₆″.",
            "A-EW-3 mide 8′ 10¹⁄₂″. Debe dar 8′ 10⁵⁄₈″ ± ¹⁄₁₆″.",
        ),
        (
            "Wrong label: it belongs to A-EW-4. Take it off. This piece is A-EW-3.",
            "Etiqueta equivocada: es de A-EW-4. Quitarla. Esta pieza es A-EW-3.",
        ),
        (
            "Wrong label: it belongs to A-EW-4 of order 2042. Take it off. This piece is A-EW-3.",
            "Etiqueta equivocada: es de A-EW-4, pedido 2042. Quitarla. Esta pieza es A-EW-3.",
        ),
        ("A-EW-3 is on the van. It was reported: too short", "A-EW-3 está en la camioneta. Se reportó: muy corta"),
        (
            "A-EW-3 is finished. It was reported: wrong hand: notched at the wrong end: ask Ana. She cut it",
            "A-EW-3 está terminada. Se reportó: al revés: muesca en el otro extremo: ask Ana. She cut it",
        ),
        ("A-EW-3 is installed. It was reported: leaks", "A-EW-3 está instalada. Se reportó: leaks"),
        (
            "Make A-EW-3 again, because: wrong hand? This piece is scrap then.",
            "¿Hacer A-EW-3 otra vez, por: al revés: mano equivocada? Esta pieza queda como desecho.",
        ),
        (
            "Already bent at 14:31 by Ana: set this piece aside and take the next one",
            "Ya la dobló Ana, 14:31: apartarla y tomar la siguiente",
        ),
        (
            "already bent at 25 Nov 9:05: set this piece aside and take the next one",
            "ya se dobló, 25 nov 9:05: apartarla y tomar la siguiente",
        ),
        (
            "This piece was made again at 14:31 (does not fit): look for the label 7YZM4AQW61K2.",
            "Esta pieza se hizo otra vez, 14:31 (no encaja): buscar la etiqueta 7YZM4AQW61K2.",
        ),
        (
            "Bench 2 is making this piece: take another, or take it over. The same goes for 3 more pieces.",
            "Bench 2 está haciendo esta pieza: tomar otra, o tomarla aquí. Lo mismo otras 3 piezas.",
        ),
        ("from the stop", "del tope"),
        ("from what is farthest in", "de lo que más entra"),
        ("from the datum hem", "del dobladillo base"),
        ("from the lower hem", "del dobladillo inferior"),
        ("from the datum edge", "desde el borde base"),
        ("from the lower edge", "desde el borde inferior"),
        ("datum hem", "dobladillo base"),
        ("datum edge (wall side)", "borde base (lado de la pared)"),
        ("bare side up", "sin pintar arriba"),
        ("out of labels, its cover is open, paused", "sin etiquetas, tapa abierta, en pausa"),
        ("this print came out; it cannot be waiting now", "esta impresión salió; ahora no puede quedar en espera"),
        (
            "The test label was read: the scanner is set for a US keyboard and this computer for a Spanish one",
            "Se leyó la etiqueta de prueba: el escáner está en teclado de EE. UU. y esta computadora en español",
        ),
    ] {
        assert_eq!(spanish(english), other);
    }
}

#[test]
fn forms_have_the_same_numbers_in_both_languages() {
    for (english, other) in forms() {
        assert_eq!(numbers(&without_slots(&english)), numbers(&without_slots(&other)), "{english:?} = {other:?}");
        // Two lengths that change places make sense still, and scrap.
        assert_eq!(measures(&english), measures(&other), "{english:?} = {other:?}");
        assert_eq!(english_in(&without_slots(&other)), None, "{other:?}");
        assert!(!other.contains("  ") && other.trim() == other, "{other:?}");
        let ends = |text: &str| text.chars().last().filter(|c| ".:?!".contains(*c));
        assert_eq!(ends(&english), ends(&other), "{english:?} = {other:?}");
    }
}

/// What the catalogue holds: English, Spanish.
fn forms() -> Vec<(String, String)> {
    let text = fs::read_to_string(root().join("ui/lang/es/bench.toml")).unwrap();
    let file = DeTable::parse(&text).unwrap();
    let places = file.get_ref()["forms"].get_ref().as_table().unwrap();
    let tables = places.values().map(|place| place.get_ref().as_table().unwrap());
    let pairs = tables.flat_map(|table| table.iter());
    pairs
        .map(|(english, other)| (english.get_ref().to_string(), other.get_ref().as_str().unwrap().to_owned()))
        .collect()
}

/// The words that fill slots.
fn words() -> Vec<String> {
    let text = fs::read_to_string(root().join("ui/lang/es/bench.toml")).unwrap();
    let file = DeTable::parse(&text).unwrap();
    let sets = file.get_ref()["words"].get_ref().as_table().unwrap();
    let words = sets.values().flat_map(|set| set.get_ref().as_table().unwrap().keys());
    words.map(|word| word.get_ref().to_string()).collect()
}

/// The slots of a form that numbers fill, in the order they stand in.
fn measures(form: &str) -> Vec<&str> {
    let slots = form.split('{').skip(1).filter_map(|rest| Some(rest.split_once('}')?.0));
    slots.filter(|slot| !matches!(Slot::of(slot), Slot::Any | Slot::Text | Slot::Word(_))).collect()
}

/// `{side}`, `{}` and `{n:.2}` alike become `{}`.
fn without_names(text: &str) -> String {
    let mut parts = text.split('{');
    let first = parts.next().unwrap_or_default().to_owned();
    parts.fold(first, |before, part| before + "{}" + part.split_once('}').map_or(part, |(_, after)| after))
}

fn without_slots(text: &str) -> String {
    without_names(text).replace("{}", "")
}
