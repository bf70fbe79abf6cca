//! The load check: what the driver goes by at the van, so that all of this order goes along and nothing of another.

use maud::{Markup, html};

use super::form::Form;
use super::load_list::LoadList;
use super::outcome::Outcome;
use super::{layout, load_parts};
use crate::endpoint::http::{Request, Response};
use crate::endpoint::kiosk::Kiosk;
use crate::endpoint::lookup;
use crate::endpoint::problem::Problem;
use crate::order::explain;
use crate::order::plan::Piece;
use crate::store::OrderSummary;

/// The cookie that says which order this phone is loading, so that a label's own page can help.
pub const LOADING: &str = "loading";

/// `GET /load/{order}`.
///
/// # Errors
/// 404 without such an order.
pub fn page(kiosk: &Kiosk, number: &str) -> Result<Response, Problem> {
    let order = lookup::order(kiosk, number)?;
    show(kiosk, &order, None)
}

/// `POST /load/{order}`: counts one code, and shows the page again with what came of it.
///
/// # Errors
/// 404 without such an order; when the store fails.
pub fn count(kiosk: &Kiosk, request: &Request, number: &str) -> Result<Response, Problem> {
    let order = lookup::order(kiosk, number)?;
    let outcome = Outcome::of(kiosk, &order.number, &Form::of(request))?;
    show(kiosk, &order, Some(&outcome))
}

fn show(kiosk: &Kiosk, order: &OrderSummary, outcome: Option<&Outcome>) -> Result<Response, Problem> {
    let number = &order.number;
    let rows = kiosk.store().pieces(number, 0, usize::MAX)?;
    let list = LoadList::new(&rows);
    let reported = rows.iter().filter(|row| row.reported.is_some()).count();
    let load = kiosk.store().order_sheet(number)?.and_then(|sheet| sheet.load);
    let mass_by = match rows.first() {
        Some(row) => kiosk.store().piece(&row.code)?.and_then(|record| mass_source(&record.piece)),
        None => None,
    };
    let body = html! {
        @if let Some(outcome) = outcome { (outcome.block(kiosk, number)) }
        (layout::heading("Load check", number, &order.job.name, Some("/")))
        main {
            (tally(list.on_van, rows.len()))
            form.work method="post" action=(format!("/load/{number}")) {
                (layout::fresh_id()?)
                (layout::code_field("Scan a label, or type its code", true))
                button { "Count it" }
            }
            p { a href="#the-load" { "Mass, longest piece, tie-downs, stacking" } }
            @if reported > 0 {
                p { a href=(format!("/reported/{number}")) { strong { (reported) " reported bad" } } }
            }
            (list.missing())
            (list.ticked())
            (load_parts::facts(order, &list, mass_by.as_deref(), load.as_ref()))
        }
    };
    let title = format!("{} {number}", outcome.map_or("Load check", Outcome::title));
    let loading = format!("{LOADING}={number}; Path=/; HttpOnly; SameSite=Strict; Max-Age={}", 12 * 60 * 60);
    Ok(layout::page(kiosk, &title, &body).with_header("Set-Cookie", loading))
}

fn tally(on_van: usize, of: usize) -> Markup {
    html! {
        div.tally {
            p { span.count { (on_van) } " of " (of) " loaded" }
            progress value=(on_van) max=(of) aria-label="loaded" {}
            @if on_van == of { p.all { "All of this order is on the van." } }
        }
    }
}

/// Which table the pieces' mass comes from.
fn mass_source(piece: &Piece) -> Option<String> {
    piece.working.iter().find(|working| working.what == explain::MASS).map(|working| working.source.clone())
}

#[cfg(test)]
mod tests {
    use serde_json::json;

    use crate::endpoint::fixture::{Shop, form, order, text};
    use crate::label::code::{Code, TEST};

    fn count(shop: &Shop, code: &str, id: &str) -> String {
        let response = shop.browse(form("/load/2041", &[("code", code), ("id", id)]));
        assert_eq!(response.status, 200);
        text(&response)
    }

    /// What stands between tags, without the tags.
    fn words(page: &str) -> String {
        let mut words = String::new();
        let mut within = false;
        for c in page.chars() {
            match c {
                '<' => within = true,
                '>' => within = false,
                c if !within => words.push(c),
                _ => {}
            }
        }
        words
    }

    #[test]
    fn a_piece_is_counted_once_however_often_it_is_sent() {
        let shop = Shop::with(&order("2041"));
        let code = shop.code("2041", "A-EW-3");
        shop.bend(&code);
        for (scanned, id, said) in [
            (format!("HTTP://10.0.0.9:8787/P/{code}\r\n"), "load-0001", "LOADED A-EW-3"),
            (code.to_lowercase(), "load-0001", "LOADED A-EW-3"),
            (code.clone(), "load-0002", "ALREADY LOADED A-EW-3"),
            (code.clone(), "", "ALREADY LOADED A-EW-3"),
        ] {
            let page = words(&count(&shop, &scanned, id));
            assert!(page.contains(said), "{page}");
            assert!(page.contains("1 of 10 loaded"), "{page}");
            assert!(!page.contains("NOT LOADED"));
        }
        assert!(words(&count(&shop, &code, "load-0003")).contains("Counted at 14:31"));
    }

    #[test]
    fn a_piece_is_counted_by_its_newest_label() {
        let shop = Shop::with(&order("2041"));
        let code = shop.code("2041", "A-EW-3");
        shop.bend(&code);
        let newest = shop.relabel(&code);
        assert!(words(&count(&shop, &code, "load-0001")).contains("0 of 10 loaded"));
        assert!(words(&count(&shop, &newest, "load-0002")).contains("LOADED A-EW-3"));
        assert!(words(&count(&shop, &newest, "load-0002")).contains("1 of 10 loaded"));
    }

    /// The browser's way back brings up a form whose id is spent.
    #[test]
    fn another_piece_under_a_spent_id_is_counted_too() {
        let shop = Shop::with(&order("2041"));
        for mark in ["A-EW-1", "A-EW-2"] {
            let code = shop.code("2041", mark);
            shop.bend(&code);
            assert!(words(&count(&shop, &code, "load-0001")).contains(&format!("LOADED {mark}")));
        }
    }

    #[test]
    fn every_refusal_says_first_that_nothing_was_loaded() {
        let shop = Shop::with(&order("2041"));
        assert_eq!(shop.send(&order("2050")).status, 201);
        let void = shop.code("2041", "A-EW-1");
        let mut replacing = order("2041");
        replacing["replaces"] = true.into();
        replacing["runs"][0]["pitch"] = "4:12".into();
        assert_eq!(shop.send(&replacing).status, 200);
        let foreign = shop.code("2050", "A-EW-2");
        shop.bend(&foreign);
        let remade = shop.code("2041", "A-EW-1");
        shop.bend(&remade);
        let new = Code::parse(&shop.remake(&remade, "too short")).unwrap().spaced();
        let old_label = shop.code("2041", "A-EW-2");
        shop.bend(&old_label);
        let newest = Code::parse(&shop.relabel(&old_label)).unwrap().spaced();
        let waiting = shop.code("2041", "A-EW-4");
        let other = if waiting.starts_with('A') { "B" } else { "A" };
        let mistyped = format!("{other}{}", &waiting[1..]);
        let unknown = Code::random().unwrap();
        for (code, said) in [
            (waiting.as_str(), "A-EW-4 NOT BENT YET"),
            (&foreign, "NOT THIS ORDER"),
            (&foreign, "A-EW-2 belongs to order 2050"),
            (&void, "LABEL IS VOID"),
            (&remade, "A-EW-1 WAS MADE AGAIN"),
            (&remade, &format!("has the label {new} and is not bent yet")),
            (&old_label, "OLD LABEL"),
            (&old_label, &format!("Scan its newest: {newest}")),
            (TEST, "TEST LABEL"),
            (unknown.as_str(), "NO SUCH PIECE"),
            (&mistyped, "CODE MISTYPED"),
            ("<script>", "CODE NOT READ"),
            ("", "CODE NOT READ"),
        ] {
            let page = count(&shop, code, "load-0001");
            let words = words(&page);
            assert!(words.find("NOT LOADED").unwrap() < words.find(said).unwrap(), "{code}: {words}");
            assert!(page.contains("0</span> of 10 loaded") && !page.contains("<script"), "{page}");
        }
    }

    #[test]
    fn the_list_says_what_is_missing_and_what_the_van_carries() {
        let shop = Shop::with(&order("2041"));
        for mark in ["A-EW-1", "A-EW-2"] {
            shop.bend(&shop.code("2041", mark));
        }
        let reported = shop.code("2041", "A-EW-2");
        assert_eq!(shop.report(&reported, "bad-00001", json!({ "event": "reported", "why": "<i>short" })).status, 200);
        count(&shop, &shop.code("2041", "A-EW-1"), "load-0001");
        let page = text(&shop.get("/load/2041"));
        let said = words(&page);
        assert!(said.contains("Still to load: 9") && said.contains("On the van: 1"), "{said}");
        assert!(page.find(">A-EW-2</strong>").unwrap() < page.find(">A-EW-1</strong>").unwrap(), "missing ones first");
        assert!(said.contains("not bent yet") && page.contains("reported bad: &lt;i&gt;short"));
        // Pieces of up to 10 ft: two tie-downs, or one where the load is blocked (49 CFR 393.110).
        assert!(said.contains("2, or 1 if blocked in front"), "{said}");
        assert!(said.contains("lb)") && said.contains("WARNING") && said.contains("local codes"));
    }

    #[test]
    fn a_large_order_makes_no_large_page() {
        let mut large = order("2041");
        for wall in ["B", "C", "D"] {
            let mut run = large["runs"][0].clone();
            run["wall"] = wall.into();
            run["length"] = "2000' 0\"".into();
            large["runs"].as_array_mut().unwrap().push(run);
        }
        let shop = Shop::with(&large);
        let response = shop.get("/load/2041");
        let page = words(&text(&response));
        assert_eq!(text(&response).matches("<li>").count(), 300);
        assert!(page.contains("of 643 loaded") && page.contains("and 343 more"), "{}", &page[..400]);
    }
}
