//! The hardware of an order: what to buy, and, run by run, where it goes.

use maud::{Markup, html};

use super::fasteners::{self, Line};
use super::{layout, safety, workings};
use crate::endpoint::http::{Request, Response};
use crate::endpoint::kiosk::Kiosk;
use crate::endpoint::problem::Problem;
use crate::endpoint::{lookup, query};
use crate::order::installing::DEFER;
use crate::order::sheet::{LapPlace, Need, RunSheet};
use crate::store::RunRow;

/// The most runs linked from one page, and the most laps written out of one run.
const SHOWN: usize = 100;

/// `GET /hardware/{order}`.
///
/// # Errors
/// 404 without such an order; 422 for a wrong query.
pub fn page(kiosk: &Kiosk, request: &Request, number: &str) -> Result<Response, Problem> {
    let order = lookup::order(kiosk, number)?;
    let number = &order.number;
    let sheet = kiosk.store().order_sheet(number)?;
    let count = kiosk.store().run_count(number)?;
    let from = query::whole(request, "from", 0, 0..=count.saturating_sub(1))?;
    let runs = kiosk.store().runs(number, from, SHOWN)?;
    let next = from + runs.len();
    let body = html! {
        (layout::heading("Hardware", number, &order.job.name, Some("/")))
        main {
            @match &sheet {
                None => p { (Problem::no_sheet(number).detail) }
                Some(sheet) => section {
                    h2 { "What to buy" }
                    @if sheet.buy.is_empty() { p { "Nothing." } }
                    @for need in &sheet.buy { (line(need)) }
                    p.source {
                        "Tap a line for its working. What is bought in packs is added up over the whole order and rounded up "
                        "once. " (DEFER)
                    }
                }
            }
            @if !runs.is_empty() {
                section {
                    h2 { "Where it goes" }
                    ul.runs { @for run in &runs { li { (link(number, run)) } } }
                    @if next < count {
                        @let to = (next + SHOWN).min(count);
                        p.links {
                            a href=(format!("/hardware/{number}?from={next}")) { "Runs " (next + 1) "–" (to) " of " (count) }
                        }
                    }
                }
            }
            (safety::on_roof())
        }
    };
    Ok(layout::page(kiosk, &format!("Hardware {number}"), &body))
}

fn line(need: &Need) -> Markup {
    let number = html! {
        span.need {
            strong { (need.what) }
            span { (need.count) " × " (need.unit) }
            @if need.exact != need.count.to_string() { span.exact { "exactly " (need.exact) } }
        }
    };
    workings::behind(&number, &need.working)
}

fn link(number: &str, run: &RunRow) -> Markup {
    html! {
        a href=(format!("/hardware/{number}/{}", run.run)) { "Wall " (run.wall) " · " (run.trim.name()) }
        span { (run.length.text) }
        span.quiet { (laps_words(run.laps)) }
    }
}

fn laps_words(laps: usize) -> String {
    match laps {
        0 => "no laps".into(),
        1 => "1 lap".into(),
        many => format!("{many} laps"),
    }
}

/// `GET /hardware/{order}/{run}`.
///
/// # Errors
/// As [`lookup::run`].
pub fn run(kiosk: &Kiosk, number: &str, run: &str) -> Result<Response, Problem> {
    let order = lookup::order(kiosk, number)?;
    let number = &order.number;
    let row = lookup::run(kiosk, number, run)?;
    let sheet = lookup::run_sheet(kiosk, number, row.run)?;
    let back = format!("/hardware/{number}");
    let body = html! {
        (layout::heading("Hardware", number, &order.job.name, Some("/")))
        main {
            p.links { a href=(back) { "What to buy, and the other runs" } }
            p.where { "Wall " strong { (row.wall) } " · " (row.trim.name()) }
            dl.facts {
                dt { "Length" } dd { (row.length.text) }
                dt { "Laps" } dd { (row.laps) }
            }
            (places(&sheet))
            p.source { (DEFER) }
            (safety::on_roof())
        }
    };
    Ok(layout::page(kiosk, &format!("Hardware {number} · {} {}", row.wall, row.trim.name()), &body))
}

fn places(sheet: &RunSheet) -> Markup {
    const FROM: &str = "the run's left end";
    html! {
        @if !sheet.laps.is_empty() {
            section {
                h2 { "Laps" }
                p { "From " (FROM) ":" }
                ul.notes { @for lap in sheet.laps.iter().take(SHOWN) { li { (lap_words(lap)) } } }
                @if sheet.laps.len() > SHOWN { p { "and " (sheet.laps.len() - SHOWN) " more" } }
            }
        }
        section {
            h2 { "Fasteners" }
            @for line in &sheet.fasteners {
                (Line {
                    what: &line.what,
                    leg: &line.leg,
                    off: &line.off,
                    edge: line.edge,
                    counted_from: FROM,
                    source: &line.source,
                }.written(line.at.iter().map(|at| (at, false))))
            }
            (fasteners::on_cuts(&sheet.cut_screws, FROM))
        }
        section {
            h2 { "Workings" }
            (workings::list(&sheet.working))
        }
    }
}

fn lap_words(lap: &LapPlace) -> String {
    let joint = if lap.joint { "; an expansion joint: seal it, no fastener through it" } else { "" };
    let seam = if lap.on_seam { "; a panel seam could not be avoided" } else { "" };
    format!("{} to {}{joint}{seam}", lap.from.text, lap.to.text)
}

#[cfg(test)]
mod tests {
    use serde_json::json;

    use crate::endpoint::fixture::{Shop, body, order, text};
    use crate::order::parse;
    use crate::order::planner::plan;

    #[test]
    fn it_says_what_to_buy_with_the_working_behind_every_line() {
        let shop = Shop::with(&order("2041"));
        let page = text(&shop.get("/hardware/2041"));
        let sheet = &body(&shop.get("/api/orders/2041"))["sheet"];
        let buy = sheet["buy"].as_array().unwrap();
        assert!(buy.len() >= 4, "{buy:?}");
        for need in buy {
            let [what, rule] = [&need["what"], &need["working"]["rule"]].map(|text| text.as_str().unwrap());
            assert!(page.contains(&format!("<strong>{what}</strong>")) && page.contains(rule), "{what}: {page}");
        }
        assert_eq!(page.matches("<details class=\"why\">").count(), buy.len());
        assert!(page.contains("local codes") && page.contains("WARNING") && page.contains("href=\"/hardware/2041/1\""));
        assert!(text(&shop.get("/")).contains("href=\"/hardware/2041\""));
    }

    /// Held to the plan itself: every position of every line, in order.
    #[test]
    fn a_run_says_where_each_fastener_goes() {
        let mut asked = order("2041");
        asked["metal"] = json!({ "kind": "aluminium", "thickness": 0.03 });
        let shop = Shop::with(&asked);
        let page = text(&shop.get("/hardware/2041/0"));
        let run = plan(&parse::from_json(&asked, &Default::default()).unwrap()).unwrap().runs.remove(0);
        let mut rest = page.as_str();
        for at in run.fasteners.iter().flat_map(|line| &line.at) {
            let item = format!("<li>{}</li>", at.text.replace('"', "&quot;"));
            let found = rest.find(&item).unwrap_or_else(|| panic!("{item} in {rest}"));
            rest = &rest[found + item.len()..];
        }
        assert!(rest.contains("4 screws on gable cuts"));
        assert_eq!(page.matches("expansion joint: seal it").count(), run.laps.iter().filter(|lap| lap.joint).count());
        assert_eq!(page.matches("<details class=\"why\">").count(), run.working.len());
    }

    #[test]
    fn large_orders_and_runs_make_no_large_page() {
        let mut large = order("2041");
        let walls = (0..120).map(|n| json!({ "wall": format!("W{n}"), "trim": "eave", "length": 60, "pitch": "4:12" }));
        large["runs"] = walls.collect();
        large["runs"][7]["length"] = "3000' 0\"".into();
        let shop = Shop::with(&large);
        let page = text(&shop.get("/hardware/2041"));
        assert_eq!(page.matches("href=\"/hardware/2041/").count(), 100);
        assert!(page.contains("href=\"/hardware/2041?from=100\""));
        assert_eq!(text(&shop.get("/hardware/2041?from=100")).matches("href=\"/hardware/2041/").count(), 20);
        assert_eq!(shop.get("/hardware/2041?from=120").status, 422);
        let long = text(&shop.get("/hardware/2041/7"));
        assert_eq!(long.matches("<li>").count(), 100 + 400);
        let line = &body(&shop.get("/api/orders/2041/runs/7"))["fasteners"][0]["at"];
        assert!(long.contains(&format!("and {} more", line.as_array().unwrap().len() - 400)), "{long}");
        assert_eq!(shop.get("/hardware/2041/120").status, 404);
    }

    #[test]
    fn an_older_order_says_why_there_is_nothing() {
        let page = text(&Shop::of_first_version().get("/hardware/2041"));
        assert!(page.contains("before hardware and load were planned"), "{page}");
    }
}
