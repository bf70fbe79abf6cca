//! What the van has to carry, how it is stacked, held and lifted, and how each number comes about.

use maud::{Markup, html};

use super::load_list::LoadList;
use super::{safety, workings};
use crate::order::installing::DEFER;
use crate::order::sheet::{Heavy, Load};
use crate::store::OrderSummary;
use crate::trade::caution::Signal;
use crate::trade::length::Length;
use crate::trade::mass::KG_PER_LB;
use crate::trade::tie_downs::{TieDowns, tie_downs};
use crate::trade::working::COMMON_PRACTICE;

/// The most pieces of the stack written out.
const SHOWN: usize = 300;

/// What the driver has to know. `mass_by` is the table that the mass comes from; `load` is none of an order that was
/// accepted before loads were planned.
pub fn facts(order: &OrderSummary, list: &LoadList, mass_by: Option<&str>, load: Option<&Load>) -> Markup {
    let TieDowns { unblocked, blocked } = match load {
        Some(load) => TieDowns { unblocked: load.tie_downs_unblocked, blocked: load.tie_downs_blocked },
        None => tie_downs(Length::from_mm(order.longest.mm), order.mass_kg),
    };
    html! {
        section #the-load {
            h2 { "The load" }
            dl.facts {
                dt { "Whole order" } dd { (mass(order.mass_kg)) }
                dt { "Still to load" } dd { (mass(list.mass_to_load_kg)) }
                dt { "Longest piece" } dd { (load.map_or(&order.longest, |load| &load.longest).text) }
                dt { "Tie-downs at least" } dd { (unblocked) ", or " (blocked) " if blocked in front" }
                @for heavy in load.iter().flat_map(|load| &load.lifts) {
                    dt { "Lift with " (heavy.people) } dd { (lift_words(heavy)) }
                }
            }
            p.source {
                @if let Some(source) = mass_by { "Mass of the sheet by: " (source) ". " }
                "Tie-downs by 49 CFR 393.110, for one bundle of this mass and length; fewer where a headboard or other cargo "
                "keeps it from sliding forward. Each must be strong enough for its share. "
                (DEFER)
            }
            (safety::panel(
                Signal::Warning,
                "Tie the load down before you drive. Sheet metal that slides off the van can kill.",
                "49 CFR 393.110",
            ))
            (behind(load))
            (safety::panel(Signal::Caution, "Edges are sharp: gloves. Two people on long pieces.", COMMON_PRACTICE))
            @if let Some(load) = load {
                (stack(&load.stack))
                h3 { "How these numbers come about" }
                (workings::list(&load.working))
                @for heavy in &load.lifts { (workings::list(&heavy.working)) }
            }
        }
    }
}

/// What sticks out behind.
fn behind(load: Option<&Load>) -> Markup {
    match load.map(|load| &load.overhang) {
        Some(None) => html! {},
        Some(Some(overhang)) => {
            let signal = if overhang.flags == 0 { Signal::Caution } else { Signal::Warning };
            safety::panel(signal, &overhang.text, "bed and bundle as the shop set them")
        }
        None => safety::panel(
            Signal::Caution,
            "A flag where the load stands out more than 4 ft behind.",
            "flag: 49 CFR 393.87",
        ),
    }
}

fn lift_words(heavy: &Heavy) -> String {
    match heavy.pieces {
        1 => heavy.hardest.clone(),
        many => format!("{many} pieces, such as {}", heavy.hardest),
    }
}

/// The bundle from its lowest piece up.
fn stack(marks: &[String]) -> Markup {
    html! {
        details {
            summary { "Stack the bundle in this order" }
            p { "The lowest first: what is installed last. Then nobody digs on the roof." }
            ol.stack { @for mark in marks.iter().take(SHOWN) { li.mark { (mark) } } }
            @if marks.len() > SHOWN { p { "and " (marks.len() - SHOWN) " more" } }
        }
    }
}

fn mass(kg: f64) -> String {
    format!("{kg:.1} kg ({:.0} lb)", kg / KG_PER_LB)
}

#[cfg(test)]
mod tests {
    use serde_json::json;

    use crate::endpoint::fixture::{Shop, body, order, text};

    #[test]
    fn every_number_of_the_load_has_its_working() {
        let shop = Shop::with(&order("2041"));
        let page = text(&shop.get("/load/2041"));
        let load = &body(&shop.get("/api/orders/2041"))["sheet"]["load"];
        let workings = load["working"].as_array().unwrap();
        for working in workings {
            let [what, rule, source] = ["what", "rule", "source"].map(|key| working[key].as_str().unwrap());
            let folded = format!("<details class=\"why\"><summary>{what}</summary>");
            assert!(page.contains(&folded) && page.contains(rule) && page.contains(source), "{what}: {page}");
        }
        assert!(page.contains("Standard Gauge"), "the mass's basis");
        assert!(page.matches("<details class=\"why\">").count() >= workings.len());
    }

    /// The reglets are installed last and lie lowest, the end walls on them.
    #[test]
    fn the_bundle_is_stacked_bottom_up() {
        let shop = Shop::with(&order("2041"));
        let page = text(&shop.get("/load/2041"));
        let stack = page.split_once("Stack the bundle").unwrap().1;
        let at = |mark: &str| stack.find(&format!(">{mark}</li>")).unwrap_or_else(|| panic!("{mark} in {stack}"));
        assert!((1..=5).all(|place| at(&format!("A-RG-{place}")) < at("A-EW-1")));
        assert!(stack.contains("49 CFR 393.110"));
    }

    #[test]
    fn what_sticks_out_and_what_is_heavy_is_said() {
        let shop = Shop::with(&order("2041"));
        let load = &body(&shop.get("/api/orders/2041"))["sheet"]["load"];
        let page = text(&shop.get("/load/2041"));
        // A reglet of nearly 9 ft on a bed of 8 ft: out, but by less than 4 ft.
        let said = load["overhang"]["text"].as_str().unwrap();
        assert!(page.contains(&said.replace('"', "&quot;")), "{said}: {page}");
        // End walls of nearly 9 ft: two people from 8 ft on, whatever the mass.
        assert_eq!(load["lifts"][0]["people"], 2);
        assert!(page.contains("<dt>Lift with 2</dt>") && page.contains("NIOSH 94-110"), "{page}");
        let short = json!([{ "wall": "B", "trim": "eave", "length": 60, "pitch": "2:12" }]);
        let mut light = order("2042");
        light["runs"] = short;
        assert_eq!(shop.send(&light).status, 201);
        let page = text(&shop.get("/load/2042"));
        assert!(!page.contains("Lift with") && !page.contains("sticks out") && page.contains("tie-downs"));
    }

    #[test]
    fn an_older_order_is_loaded_as_before() {
        let page = text(&Shop::of_first_version().get("/load/2041"));
        assert!(page.contains("2, or 1 if blocked in front") && page.contains("more than 4 ft behind"));
        assert!(!page.contains("Stack the bundle"));
    }
}
