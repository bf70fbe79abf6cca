//! What a label shows that is not to be gone by any more: its piece was made again, or it was itself printed again.

use maud::{Markup, html};

use super::{layout, signs};
use crate::endpoint::http::Response;
use crate::endpoint::kiosk::Kiosk;
use crate::label::code::Code;
use crate::store::{PieceRow, Remade, Scan, State};

/// The page of a piece that was made again: why, since when, and which piece stands now. `just_now` is whether that was
/// asked for here: then it is what was wanted, not a refusal.
pub fn page(kiosk: &Kiosk, scan: &Scan, just_now: bool) -> Response {
    let now = scan.piece.as_ref();
    let mark = now.map_or("", |record| record.row.mark.as_str());
    let job = now.map_or("", |record| record.order.job.name.as_str());
    let body = html! {
        @if just_now {
            div.result.yes role="alert" {
                p.big { (signs::check()) span { "TO BE MADE AGAIN " span.mark { (mark) } } }
                p { "The bench has it in its queue. Do not install this piece." }
            }
        } @else {
            div.result.no role="alert" {
                p.big { (signs::cross()) span { "REPLACED " span.mark { (mark) } } }
                p { "This piece was made again: do not install it." }
            }
        }
        (layout::heading("Roof page", &scan.order, job, None))
        main {
            @if let Some(Remade { why, at, by, .. }) = &scan.remade {
                dl.facts {
                    dt { "Why" } dd dir="auto" { (why) }
                    dt { "Since" } dd { (kiosk.clock().said(*at)) @if let Some(by) = by { " by " bdi { (by) } } }
                }
            }
            @if let Some(record) = now { (in_its_place(&record.row)) }
        }
    };
    let page = layout::page(kiosk, &format!("{mark} was made again"), &body);
    if just_now { page } else { page.with_status(410) }
}

fn in_its_place(row: &PieceRow) -> Markup {
    html! {
        section {
            h2 { "In its place" }
            dl.facts {
                dt { "Mark" } dd { (row.mark) }
                dt { "Label" } dd { code { (spaced(&row.label)) } }
                dt { "Now" } dd { (so_far(row.state)) }
            }
            p.links { a.go href=(format!("/P/{}", row.label)) { "Show that piece" } }
        }
    }
}

/// Over the page of a piece whose label was printed again after this one.
pub fn newer_label(newer: &str) -> Markup {
    html! {
        div.result.no role="alert" {
            p.big { (signs::cross()) "OLD LABEL" }
            p { "This label was printed again: the piece's newest label is " a href=(format!("/P/{newer}")) { code { (spaced(newer)) } } "." }
        }
    }
}

/// How far a piece is, in words.
pub fn so_far(state: State) -> &'static str {
    match state {
        State::Waiting => "not bent yet",
        State::Started => "being bent",
        State::Bent => "ready",
        State::Loaded => "on the van",
        State::Installed => "installed",
    }
}

/// As it stands on the label. What the store holds are codes.
pub fn spaced(code: &str) -> String {
    Code::parse(code).map_or_else(|_| code.to_owned(), |code| code.spaced())
}

#[cfg(test)]
mod tests {
    use serde_json::json;

    use crate::endpoint::fixture::{Shop, body, form, order, post, text};
    use crate::endpoint::http::{Method, Request, Response};
    use crate::label::code::Code;
    use crate::store::Event;

    fn open(shop: &Shop, label: &str) -> Response {
        shop.ask(&Request::new(Method::Get, &format!("/P/{label}")))
    }

    fn act(shop: &Shop, label: &str, fields: &[(&str, &str)]) -> Response {
        shop.ask(&form(&format!("/P/{label}"), fields))
    }

    fn spaced(code: &str) -> String {
        Code::parse(code).unwrap().spaced()
    }

    #[test]
    fn a_remade_pieces_label_leads_on_and_marks_nothing() {
        let shop = Shop::with(&order("2041"));
        let old = shop.code("2041", "A-EW-3");
        shop.bend(&old);
        let printed_again = shop.relabel(&old);
        let new = shop.remake(&old, "<b>hem split");
        for label in [&old, &printed_again] {
            for response in [open(&shop, label), act(&shop, label, &[("do", "installed")])] {
                let page = text(&response);
                assert_eq!(response.status, 410);
                assert!(page.contains(">REPLACED <span class=\"mark\">A-EW-3</span>"), "{page}");
                assert!(page.contains("&lt;b&gt;hem split") && page.contains("14:31") && page.contains("not bent yet"));
                assert!(page.contains(&format!("href=\"/P/{new}\"")) && page.contains(&spaced(&new)));
                assert!(!page.contains("<form"), "{page}");
            }
        }
        assert_eq!(act(&shop, &old, &[("do", "report"), ("why", "too short")]).status, 410);
        assert_eq!(open(&shop, &new).status, 200);
        assert_eq!(shop.kiosk.store().history(&new).unwrap(), []);
    }

    #[test]
    fn a_report_may_have_the_piece_made_again_at_once() {
        let shop = Shop::with(&order("2041"));
        let old = shop.code("2041", "A-EW-3");
        shop.bend(&old);
        let page = text(&shop.browse(Request::new(Method::Get, &format!("/P/{old}"))));
        assert!(page.contains("It must be made again"));
        let asked =
            |id, why| form(&format!("/P/{old}"), &[("id", id), ("do", "report"), ("why", why), ("again", "yes")]);
        let report = |id, why| shop.browse(asked(id, why));
        assert!(text(&report("roof-0001", "")).contains("NOT REPORTED"));
        for _ in 0..2 {
            let response = report("roof-0001", "too short");
            let page = text(&response);
            assert_eq!(response.status, 200);
            assert!(
                page.contains(">TO BE MADE AGAIN <span class=\"mark\">A-EW-3</span>") && page.contains("too short")
            );
        }
        let new = shop.code("2041", "A-EW-3");
        assert_ne!(new, old);
        let late = report("roof-0002", "too long");
        assert!(late.status == 410 && text(&late).contains("too short"), "somebody was faster");
        assert_eq!(shop.code("2041", "A-EW-3"), new);
    }

    /// Whoever photographed one label would otherwise void pieces without end.
    #[test]
    fn who_does_not_know_the_shop_reports_and_voids_nothing() {
        let shop = Shop::with(&order("2041"));
        let code = shop.code("2041", "A-EW-3");
        assert!(!text(&open(&shop, &code)).contains("made again"));
        let asked = |id| {
            let fields = [("id", id), ("do", "report"), ("why", "too short"), ("again", "yes")];
            form(&format!("/P/{code}"), &fields)
        };
        let other_site = asked("roof-0002").with_header("Origin", "http://evil.example");
        for response in [shop.ask(&asked("roof-0001")), shop.browse(other_site)] {
            assert!(text(&response).contains(">REPORTED <span class=\"mark\">A-EW-3"), "{}", text(&response));
        }
        let made_again = json!({ "id": "remake-01", "why": "too short" });
        assert_eq!(shop.ask(&post(&format!("/api/pieces/{code}/remake"), &made_again)).status, 401);
        let why = "too short".to_owned();
        let history = shop.kiosk.store().history(&code).unwrap();
        assert!(history.len() == 2 && history.iter().all(|row| row.event == Event::Reported { why: why.clone() }));
        assert_eq!(shop.code("2041", "A-EW-3"), code);
    }

    #[test]
    fn an_older_label_leads_the_eye_to_its_piece_and_marks_nothing() {
        let shop = Shop::with(&order("2041"));
        let own = shop.code("2041", "A-EW-3");
        shop.bend(&own);
        let newest = shop.relabel(&own);
        let page = text(&open(&shop, &own));
        assert!(page.contains("OLD LABEL") && page.contains(&spaced(&newest)) && page.contains("3 of 5"));
        assert!(page.contains("scan its newest label") && !page.contains("Mark installed"), "{page}");
        let refused = act(&shop, &own, &[("do", "installed")]);
        assert!(refused.status == 410 && text(&refused).contains("NOT RECORDED"));
        assert!(text(&act(&shop, &own, &[("do", "report"), ("why", "scratched or dented")])).contains(">REPORTED "));

        let page = text(&open(&shop, &newest));
        assert!(!page.contains("OLD LABEL") && page.contains(&format!("action=\"/P/{newest}\"")), "{page}");
        assert!(text(&act(&shop, &newest, &[("do", "installed"), ("told", "yes")])).contains(">INSTALLED "));
        assert_eq!(body(&shop.get(&format!("/api/pieces/{own}")))["state"], "installed");
    }

    #[test]
    fn a_phone_that_loads_counts_by_the_newest_label_alone() {
        let shop = Shop::with(&order("2041"));
        let own = shop.code("2041", "A-EW-3");
        shop.bend(&own);
        let newest = shop.relabel(&own);
        let cookies = format!("key={}; loading=2041", shop.kiosk.key());
        let page = |label: &str| {
            text(&shop.ask(&Request::new(Method::Get, &format!("/P/{label}")).with_header("Cookie", &cookies)))
        };
        assert!(!page(&own).contains("onto the van"));
        assert!(page(&newest).contains(&format!("name=\"code\" value=\"{newest}\"")));
    }
}
