//! All orders, and how far each is.

use jiff::civil::Date;
use maud::{Markup, html};

use super::layout;
use crate::endpoint::http::Response;
use crate::endpoint::kiosk::Kiosk;
use crate::endpoint::labels;
use crate::endpoint::problem::Problem;
use crate::store::{OrderSummary, PieceRow, Print, PrintState, State};

/// The most finished orders shown: what was done lately.
const FINISHED_SHOWN: usize = 50;

/// The most labels shown that are not out yet.
const PRINTS_SHOWN: usize = 50;

/// `GET /`.
///
/// # Errors
/// When the store fails.
pub fn page(kiosk: &Kiosk) -> Result<Response, Problem> {
    let today = kiosk.clock().today();
    let (finished, mut open): (Vec<_>, Vec<_>) =
        kiosk.store().orders()?.into_iter().partition(|order| order.installed == order.pieces && order.reported == 0);
    open.sort_by_key(|order| (order.job.due.is_none(), order.job.due));
    let remakes: Vec<Vec<PieceRow>> = open.iter().map(|order| remakes(kiosk, order)).collect::<Result<_, _>>()?;
    let labels = kiosk.store().open_prints(PRINTS_SHOWN)?;
    let body = html! {
        header {
            p.what { "brakeside" }
            h1 { "Orders" }
        }
        main {
            @if !labels.is_empty() { (labels_waiting(&labels)) }
            @if open.is_empty() && finished.is_empty() {
                p { "No orders yet. Send one to " code { "/api/orders" } "." }
            }
            @for (order, remakes) in open.iter().zip(&remakes) { (card(order, remakes, today)) }
            @if !finished.is_empty() {
                details {
                    summary { "Installed: " (finished.len()) }
                    @for order in finished.iter().take(FINISHED_SHOWN) { (card(order, &[], today)) }
                    @if finished.len() > FINISHED_SHOWN {
                        p.quiet { "and " (finished.len() - FINISHED_SHOWN) " older ones" }
                    }
                }
            }
            p { a href="/people" { "Who works here" } }
        }
    };
    Ok(layout::page(kiosk, "Orders", &body))
}

/// An order's pieces that were made again and stand now: their turns come after all that were planned, and it has as many
/// pieces as ever.
fn remakes(kiosk: &Kiosk, order: &OrderSummary) -> Result<Vec<PieceRow>, Problem> {
    Ok(kiosk.store().pieces(&order.number, order.pieces, usize::MAX)?)
}

/// What the printer has not put out yet, or nobody knows.
fn labels_waiting(prints: &[Print]) -> Markup {
    let count = match prints.len() {
        1 => "1 label is not out yet".to_owned(),
        PRINTS_SHOWN => format!("{PRINTS_SHOWN} labels or more are not out yet"),
        many => format!("{many} labels are not out yet"),
    };
    html! {
        details.labels {
            summary { (count) }
            ul.pieces {
                @for print in prints {
                    li {
                        strong.mark { (print.mark.as_deref().unwrap_or("test label")) }
                        span.state { (print_so_far(print.state)) @if print.reprint { ", a reprint" } }
                        span { @if let Some(order) = &print.order { "order " (order) } }
                        @if !print.said.is_empty() { span.why dir="auto" { (print.said) } }
                    }
                }
            }
            p.quiet { "The bench sends them again, or leaves them." }
        }
    }
}

fn print_so_far(state: PrintState) -> &'static str {
    match state {
        PrintState::Waiting => "waits for the printer",
        PrintState::Sending | PrintState::Sent => "at the printer",
        PrintState::Printed => "printed",
        PrintState::Stopped => "given up by the printer",
        PrintState::Unsure => "out or not, look",
        PrintState::Cancelled => "left",
    }
}

fn card(order: &OrderSummary, remakes: &[PieceRow], today: Date) -> Markup {
    let number = &order.number;
    let unfinished = remakes.iter().filter(|row| row.state < State::Bent).count();
    let turns = remakes.last().map_or(order.pieces, |row| row.seq + 1);
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
            @if order.reported > 0 || !remakes.is_empty() {
                p {
                    a href=(format!("/reported/{number}")) {
                        @if order.reported > 0 { strong { (order.reported) " reported bad" } }
                        @if order.reported > 0 && !remakes.is_empty() { ", " }
                        @if !remakes.is_empty() { strong { (remakes.len()) " made again" } }
                    }
                    @if unfinished > 0 { " (" (unfinished) " not bent yet)" }
                }
            }
            p.links {
                a.go href=(format!("/load/{number}")) { "Load check" }
                " " a href=(format!("/hardware/{number}")) { "What to buy" }
                @for (query, words) in sheets(order.pieces, turns) {
                    " " a href=(format!("/api/orders/{number}/labels.pdf{query}")) { (words) }
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

/// What asks for each PDF of an order's labels, and what its link says. Its pieces have the turns before `turns`.
fn sheets(pieces: usize, turns: usize) -> Vec<(String, String)> {
    if pieces <= labels::AT_ONCE {
        return vec![(String::new(), "Labels (PDF)".into())];
    }
    let sheet = |from: usize| {
        let to = (from + labels::AT_ONCE).min(turns);
        (format!("?from={from}"), format!("Labels {}–{to} (PDF)", from + 1))
    };
    (0..turns).step_by(labels::AT_ONCE).map(sheet).collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::endpoint::fixture::{Shop, order, post, text};

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
    fn labels_that_are_not_out_are_listed() {
        let shop = Shop::with(&order("2041"));
        assert!(!text(&shop.get("/")).contains("not out yet"));
        let code = shop.code("2041", "A-EW-3");
        let asked = serde_json::json!({ "id": "print-001" });
        assert_eq!(shop.keyed(post(&format!("/api/pieces/{code}/print"), &asked)).status, 202);
        let page = text(&shop.get("/"));
        assert!(page.contains("1 label is not out yet") && page.contains("waits for the printer"), "{page}");
        assert!(page.contains(">A-EW-3</strong>") && !page.contains(&code));
    }

    #[test]
    fn labels_of_a_large_order_come_in_parts() {
        let link = |query: &str, words: &str| (query.to_owned(), words.to_owned());
        assert_eq!(sheets(450, 453)[2..], [link("?from=400", "Labels 401–453 (PDF)")]);
        assert_eq!(sheets(200, 203), [link("", "Labels (PDF)")]);
    }
}
