//! All orders, and how far each is.

use jiff::civil::Date;
use maud::{Markup, html};

use super::layout;
use crate::endpoint::http::Response;
use crate::endpoint::kiosk::Kiosk;
use crate::endpoint::labels;
use crate::endpoint::problem::Problem;
use crate::store::OrderSummary;

/// The most finished orders shown: what was done lately.
const FINISHED_SHOWN: usize = 50;

/// `GET /`.
///
/// # Errors
/// When the store fails.
pub fn page(kiosk: &Kiosk) -> Result<Response, Problem> {
    let today = kiosk.clock().today();
    let (finished, mut open): (Vec<_>, Vec<_>) =
        kiosk.store().orders()?.into_iter().partition(|order| order.installed == order.pieces && order.reported == 0);
    open.sort_by_key(|order| (order.job.due.is_none(), order.job.due));
    let body = html! {
        header {
            p.what { "brakeside" }
            h1 { "Orders" }
        }
        main {
            @if open.is_empty() && finished.is_empty() {
                p { "No orders yet. Send one to " code { "/api/orders" } "." }
            }
            @for order in &open { (card(order, today)) }
            @if !finished.is_empty() {
                details {
                    summary { "Installed: " (finished.len()) }
                    @for order in finished.iter().take(FINISHED_SHOWN) { (card(order, today)) }
                    @if finished.len() > FINISHED_SHOWN {
                        p.quiet { "and " (finished.len() - FINISHED_SHOWN) " older ones" }
                    }
                }
            }
        }
    };
    Ok(layout::page(kiosk, "Orders", &body))
}

fn card(order: &OrderSummary, today: Date) -> Markup {
    let number = &order.number;
    html! {
        section.order {
            p.what { "order " strong { (number) } @if let Some(due) = order.job.due { " · " (due_words(due, today)) } }
            h2 dir="auto" { (order.job.name) }
            @if let Some(site) = &order.job.site { p.quiet dir="auto" { (site) } }
            dl.bars {
                (bar("bent", order.bent, order.pieces))
                (bar("loaded", order.loaded, order.pieces))
                (bar("installed", order.installed, order.pieces))
            }
            @if order.reported > 0 {
                p { strong { (order.reported) " reported bad" } }
            }
            p.links {
                a.go href=(format!("/load/{number}")) { "Load check" }
                " " a href=(format!("/hardware/{number}")) { "What to buy" }
                @for (from, words) in sheets(order.pieces) {
                    " " a href=(format!("/api/orders/{number}/labels.pdf?from={from}")) { (words) }
                }
            }
        }
    }
}

fn bar(what: &str, done: usize, of: usize) -> Markup {
    html! {
        dt { (what) }
        dd { progress value=(done) max=(of) aria-label=(what) {} span { (done) " of " (of) } }
    }
}

fn due_words(due: Date, today: Date) -> String {
    let day = due.strftime("%a %-d %b %Y");
    match due.cmp(&today) {
        std::cmp::Ordering::Less => format!("was due {day}"),
        std::cmp::Ordering::Equal => "due today".into(),
        std::cmp::Ordering::Greater => format!("due {day}"),
    }
}

/// Where each PDF of an order's labels starts, and what its link says.
fn sheets(pieces: usize) -> impl Iterator<Item = (usize, String)> {
    (0..pieces).step_by(labels::AT_ONCE).map(move |from| {
        let to = (from + labels::AT_ONCE).min(pieces);
        (
            from,
            if pieces <= labels::AT_ONCE { "Labels (PDF)".into() } else { format!("Labels {}–{to} (PDF)", from + 1) },
        )
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::endpoint::fixture::{Shop, order, text};

    #[test]
    fn orders_are_listed_soonest_due_first_and_their_names_cannot_be_markup() {
        let shop = Shop::new();
        for (number, name, due) in [("1", "later", "2026-12-24"), ("2", "<script>alert(1)</script>", "2026-11-25")] {
            let mut order = order(number);
            order["job"] = serde_json::json!({ "name": name, "site": "\"><b>", "due": due });
            assert_eq!(shop.send(&order).status, 201);
        }
        shop.bend(&shop.code("2", "A-EW-1"));
        let page = text(&shop.get("/"));
        assert!(
            page.contains("&lt;script&gt;alert(1)&lt;/script&gt;")
                && !page.contains("<script")
                && !page.contains("<b>")
        );
        assert!(page.find("due today").unwrap() < page.find("due Thu 24 Dec 2026").unwrap());
        assert!(page.contains("1 of 10"), "{page}");
    }

    #[test]
    fn labels_of_a_large_order_come_in_parts() {
        let links: Vec<_> = sheets(450).collect();
        assert_eq!(links[2], (400, "Labels 401–450 (PDF)".into()));
        assert_eq!(sheets(200).collect::<Vec<_>>(), [(0, "Labels (PDF)".into())]);
    }
}
