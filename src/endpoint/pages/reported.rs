//! An order's reported pieces, for whoever decides at the shop: each may be made again; and those that were.

use maud::{Markup, html};

use super::form::Form;
use super::remade::so_far;
use super::{layout, report, signs};
use crate::endpoint::http::{Request, Response};
use crate::endpoint::kiosk::Kiosk;
use crate::endpoint::lookup;
use crate::endpoint::problem::Problem;
use crate::store::{OrderSummary, PieceRow, Refusal};

/// `GET /reported/{order}`.
///
/// # Errors
/// 404 without such an order.
pub fn page(kiosk: &Kiosk, number: &str) -> Result<Response, Problem> {
    show(kiosk, &lookup::order(kiosk, number)?, None)
}

/// `POST /reported/{order}`: has one of them made again, and shows the page with what came of it.
///
/// # Errors
/// 404 without such an order, or such a piece in it; 422 when the form asks for nothing; when the store fails.
pub fn act(kiosk: &Kiosk, request: &Request, number: &str) -> Result<Response, Problem> {
    let order = lookup::order(kiosk, number)?;
    let form = Form::of(request);
    if form.value("code").is_empty() {
        let detail = "give the code of a piece, and why it is made again";
        return Err(Problem::new(422, "nothing-asked", "Nothing was asked for", detail));
    }
    let scan = lookup::label(kiosk, form.value("code"))?;
    let record = scan.piece.filter(|record| record.order.number == order.number);
    let mark = record.ok_or_else(|| Problem::of_refusal(&Refusal::UnknownCode, kiosk.clock()))?.row.mark;
    let outcome = match report::reason(&form) {
        Err(unsaid) => Outcome::Not { mark, detail: unsaid.to_string() },
        Ok(why) => match form.remake(kiosk, &scan.code, &why)? {
            Ok(_) => Outcome::ToBeMadeAgain { mark },
            Err(refusal) => Outcome::Not { mark, detail: Problem::of_refusal(&refusal, kiosk.clock()).detail },
        },
    };
    show(kiosk, &lookup::order(kiosk, &order.number)?, Some(&outcome))
}

/// What came of a form.
enum Outcome {
    ToBeMadeAgain { mark: String },
    Not { mark: String, detail: String },
}

impl Outcome {
    fn block(&self) -> Markup {
        match self {
            Self::ToBeMadeAgain { mark } => html! {
                div.result.yes role="alert" {
                    p.big { (signs::check()) span { "TO BE MADE AGAIN " span.mark { (mark) } } }
                    p { "The bench has it in its queue. The old label leads to the new piece." }
                }
            },
            Self::Not { mark, detail } => html! {
                div.result.no role="alert" {
                    p.big { (signs::cross()) span { "NOT MADE AGAIN " span.mark { (mark) } } }
                    p dir="auto" { (detail) }
                }
            },
        }
    }
}

fn show(kiosk: &Kiosk, order: &OrderSummary, outcome: Option<&Outcome>) -> Result<Response, Problem> {
    let number = &order.number;
    let rows = kiosk.store().pieces(number, 0, usize::MAX)?;
    let reported: Vec<&PieceRow> = rows.iter().filter(|row| row.reported.is_some()).collect();
    let remakes: Vec<&PieceRow> = rows.iter().filter(|row| row.remake_of.is_some()).collect();
    let body = html! {
        @if let Some(outcome) = outcome { (outcome.block()) }
        (layout::heading("Reported pieces", number, &order.job.name, Some("/")))
        main {
            @if reported.is_empty() { p { "No piece is reported bad." } }
            @for row in &reported { (card(number, row)?) }
            @if !remakes.is_empty() {
                section {
                    h2 { "Made again: " (remakes.len()) }
                    ul.pieces {
                        @for row in &remakes {
                            li {
                                a href=(format!("/P/{}", row.label)) { strong.mark { (row.mark) } }
                                span.state { (so_far(row.state)) }
                                span { (row.length.text) }
                            }
                        }
                    }
                }
            }
            p { a href=(format!("/load/{number}")) { "Load check" } }
        }
    };
    Ok(layout::page(kiosk, &format!("Reported pieces {number}"), &body))
}

fn card(number: &str, row: &PieceRow) -> Result<Markup, Problem> {
    let why = row.reported.as_deref().unwrap_or_default();
    Ok(html! {
        section.order {
            p.what { (row.trim.name()) " · " (row.length.text) " · " (so_far(row.state)) }
            h2 { span.mark { (row.mark) } }
            p dir="auto" { strong { (why) } }
            p.links { a href=(format!("/P/{}", row.label)) { "Show the piece" } }
            details {
                summary { "Make it again" }
                form.work method="post" action=(format!("/reported/{number}")) {
                    (layout::fresh_id()?)
                    input type="hidden" name="code" value=(row.code);
                    input type="hidden" name="why" value=(why);
                    p { "A new piece with a new label is cut last. This one is not to be installed any more." }
                    button.second { "Make " span.mark { (row.mark) } " again" }
                }
            }
        }
    })
}

#[cfg(test)]
mod tests {
    use serde_json::json;

    use crate::endpoint::fixture::{Shop, form, order, text};
    use crate::endpoint::http::Response;

    fn report(shop: &Shop, mark: &str, why: &str) -> String {
        let code = shop.code("2041", mark);
        let event = json!({ "event": "reported", "why": why });
        assert_eq!(shop.report(&code, &format!("bad-{code}"), event).status, 200);
        code
    }

    fn make_again(shop: &Shop, code: &str, id: &str) -> Response {
        shop.browse(form("/reported/2041", &[("id", id), ("code", code), ("why", "too short")]))
    }

    #[test]
    fn what_was_reported_is_listed_and_made_again_once() {
        let shop = Shop::with(&order("2041"));
        assert!(text(&shop.get("/reported/2041")).contains("No piece is reported bad."));
        let old = report(&shop, "A-EW-3", "too short: <i>by 2");
        let page = text(&shop.get("/reported/2041"));
        assert!(page.contains("too short: &lt;i&gt;by 2") && page.contains(&format!("value=\"{old}\"")), "{page}");
        assert!(!page.contains("A-EW-2"), "only what was reported");
        assert!(text(&shop.get("/load/2041")).contains("<a href=\"/reported/2041\"><strong>1 reported bad</strong>"));
        assert!(text(&shop.get("/")).contains("<a href=\"/reported/2041\"><strong>1 reported bad</strong>"));

        for _ in 0..2 {
            let page = text(&make_again(&shop, &old, "again-001"));
            assert!(page.contains("TO BE MADE AGAIN <span class=\"mark\">A-EW-3") && page.contains("Made again: 1"));
            assert!(page.contains("No piece is reported bad."), "the new one is not");
        }
        let page = text(&make_again(&shop, &old, "again-002"));
        assert!(page.contains("NOT MADE AGAIN") && page.contains("(too short)"), "{page}");
        let home = text(&shop.get("/"));
        assert!(home.contains("1 made again</strong></a> (1 not bent yet)"), "{home}");
        let load = text(&shop.get("/load/2041"));
        assert!(load.contains("made again, not bent yet") && load.contains("of 10 loaded"));
        shop.bend(&shop.code("2041", "A-EW-3"));
        assert!(!text(&shop.get("/")).contains("not bent yet"));
    }

    #[test]
    fn nothing_of_another_order_and_nothing_without_a_reason() {
        let shop = Shop::with(&order("2041"));
        assert_eq!(shop.send(&order("2050")).status, 201);
        let foreign = shop.code("2050", "A-EW-1");
        assert_eq!(make_again(&shop, &foreign, "again-001").status, 404);
        assert_eq!(shop.code("2050", "A-EW-1"), foreign);
        let own = shop.code("2041", "A-EW-1");
        let empty = shop.browse(form("/reported/2041", &[("code", &own)]));
        assert!(text(&empty).contains("NOT MADE AGAIN") && shop.code("2041", "A-EW-1") == own);
        assert_eq!(shop.browse(form("/reported/2041", &[])).status, 422);
        assert_eq!(shop.get("/reported/2042").status, 404);
    }
}
