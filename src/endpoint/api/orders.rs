//! Orders over the API: sent in, listed, and their pieces.

use jiff::Timestamp;
use percent_encoding::{NON_ALPHANUMERIC, utf8_percent_encode};
use serde::Serialize;
use serde_json::{Value, json};

use crate::endpoint::clock::timestamp;
use crate::endpoint::http::{Request, Response};
use crate::endpoint::kiosk::Kiosk;
use crate::endpoint::problem::Problem;
use crate::endpoint::{etag, intake, lookup, query};
use crate::order::Job;
use crate::order::plan::{Measure, Notice};
use crate::order::sheet::OrderSheet;
use crate::store::{Acceptance, OrderSummary, PieceRow};
use crate::trade::length::Units;

/// The most pieces in one answer.
const PAGE: usize = 500;

/// An order and how far it is.
#[derive(Serialize)]
struct Summary {
    order: String,
    job: Job,
    units: Units,
    received_at: Timestamp,
    pieces: usize,
    started: usize,
    bent: usize,
    loaded: usize,
    installed: usize,
    reported: usize,
    /// To the gram.
    mass_kg: f64,
    longest: Measure,
}

impl From<OrderSummary> for Summary {
    fn from(order: OrderSummary) -> Self {
        Self {
            order: order.number,
            job: order.job,
            units: order.units,
            received_at: timestamp(order.received_at),
            pieces: order.pieces,
            started: order.started,
            bent: order.bent,
            loaded: order.loaded,
            installed: order.installed,
            reported: order.reported,
            mass_kg: (order.mass_kg * 1000.0).round() / 1000.0,
            longest: order.longest,
        }
    }
}

/// `POST /api/orders`.
///
/// # Errors
/// As [`intake::take_in`].
pub fn post(kiosk: &Kiosk, request: &Request) -> Result<Response, Problem> {
    #[derive(Serialize)]
    struct Accepted {
        #[serde(flatten)]
        summary: Summary,
        accepted: &'static str,
        notices: Vec<Notice>,
    }
    let (acceptance, number) = intake::take_in(kiosk, &request.body)?;
    let (status, accepted) = match acceptance {
        Acceptance::New => (201, "new"),
        Acceptance::Same => (200, "same"),
        Acceptance::Replaced => (200, "replaced"),
    };
    let summary = lookup::order(kiosk, &number)?.into();
    let notices = kiosk.store().notices(&number)?.unwrap_or_default();
    let location = format!("/api/orders/{}", utf8_percent_encode(&number, NON_ALPHANUMERIC));
    Ok(Response::json(&Accepted { summary, accepted, notices }).with_status(status).with_header("Location", location))
}

/// `GET /api/orders`.
///
/// # Errors
/// When the store fails.
pub fn list(kiosk: &Kiosk, request: &Request) -> Result<Response, Problem> {
    etag::tagged(kiosk, request, kiosk.store().revision()?, || {
        let orders: Vec<Summary> = kiosk.store().orders()?.into_iter().map(Summary::from).collect();
        Ok(Response::json(&json!({ "orders": orders })))
    })
}

/// `GET /api/orders/{n}`.
///
/// # Errors
/// 404 without such an order.
pub fn one(kiosk: &Kiosk, request: &Request, number: &str) -> Result<Response, Problem> {
    #[derive(Serialize)]
    struct Whole {
        #[serde(flatten)]
        summary: Summary,
        notices: Vec<Notice>,
        /// How many can be asked for.
        runs: usize,
        /// None of an order that was accepted before there were any.
        sheet: Option<OrderSheet>,
        document: Option<Value>,
    }
    let (number, revision) = lookup::tag(kiosk, number)?;
    etag::tagged(kiosk, request, revision, || {
        let whole = Whole {
            summary: lookup::order(kiosk, &number)?.into(),
            notices: kiosk.store().notices(&number)?.unwrap_or_default(),
            runs: kiosk.store().run_count(&number)?,
            sheet: kiosk.store().order_sheet(&number)?,
            document: kiosk.store().order_document(&number)?,
        };
        Ok(Response::json(&whole))
    })
}

/// `GET /api/orders/{n}/pieces`.
///
/// # Errors
/// 404 without such an order; 422 for a wrong query.
pub fn pieces(kiosk: &Kiosk, request: &Request, number: &str) -> Result<Response, Problem> {
    #[derive(Serialize)]
    struct Page {
        order: String,
        total: usize,
        from: usize,
        pieces: Vec<PieceRow>,
    }
    let (number, revision) = lookup::tag(kiosk, number)?;
    let from = query::whole(request, "from", 0, 0..=usize::MAX)?;
    let limit = query::whole(request, "limit", PAGE, 1..=PAGE)?;
    etag::tagged(kiosk, request, revision, || {
        let order = lookup::order(kiosk, &number)?;
        let pieces = kiosk.store().pieces(&order.number, from, limit)?;
        Ok(Response::json(&Page { order: order.number, total: order.pieces, from, pieces }))
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::endpoint::fixture::{Shop, body, order, post};
    use crate::endpoint::http::{Method, Request};

    #[test]
    fn numbers_that_differ_only_in_capitals_are_refused() {
        let shop = Shop::with(&order("2041A"));
        let refused = shop.send(&order("2041a"));
        assert_eq!((refused.status, &body(&refused)["refusal"]), (409, &json!("changed")));
        assert!(body(&refused)["detail"].as_str().unwrap().contains("send it as 2041A"));
    }

    #[test]
    fn an_order_is_new_then_the_same_then_changed_then_replaced() {
        let shop = Shop::new();
        let response = shop.send(&order("2041"));
        assert_eq!((response.status, response.header("Location")), (201, Some("/api/orders/2041")));
        let accepted = body(&response);
        assert_eq!(accepted["accepted"], "new");
        assert_eq!(accepted["order"], "2041");
        assert_eq!(accepted["received_at"], "2026-11-25T14:31:00Z");
        assert_eq!(accepted["pieces"], 10);

        let code = shop.code("2041", "A-EW-1");
        let response = shop.send(&order("2041"));
        assert_eq!((response.status, body(&response)["accepted"].as_str()), (200, Some("same")));
        assert_eq!(shop.code("2041", "A-EW-1"), code);

        let mut changed = order("2041");
        changed["runs"][0]["pitch"] = "4:12".into();
        let response = shop.send(&changed);
        assert_eq!((response.status, body(&response)["refusal"].as_str()), (409, Some("changed")));

        changed["replaces"] = true.into();
        let response = shop.send(&changed);
        assert_eq!((response.status, body(&response)["accepted"].as_str()), (200, Some("replaced")));
        assert_ne!(shop.code("2041", "A-EW-1"), code);
        let void = shop.get(&format!("/api/pieces/{code}"));
        assert_eq!((void.status, body(&void)["refusal"].as_str()), (410, Some("replaced")));

        shop.bend(&shop.code("2041", "A-EW-1"));
        changed["runs"][0]["pitch"] = "6:12".into();
        let response = shop.send(&changed);
        assert_eq!((response.status, body(&response)["refusal"].as_str()), (409, Some("begun")));
    }

    #[test]
    fn a_refused_order_leaves_nothing_and_names_every_fault() {
        let shop = Shop::new();
        for text in ["", "{", "nonsense", "\u{0}"] {
            let request = Request::new(Method::Post, "/api/orders").with_body("application/json", text);
            assert_eq!(shop.keyed(request).status, 400, "{text}");
        }
        let deep = "[".repeat(200) + &"]".repeat(200);
        let marked = format!("\u{feff}{}", order("2041"));
        for (text, right) in [
            (deep.as_bytes(), "recursion"),
            (b"{\"order\":\"\xff\"}", "UTF-8"),
            (marked.as_bytes(), "save it without a byte order mark"),
        ] {
            let response = shop.keyed(Request::new(Method::Post, "/api/orders").with_body("application/json", text));
            assert_eq!(response.status, 400);
            assert!(body(&response)["detail"].as_str().unwrap().contains(right), "{}", body(&response));
        }
        let twice = shop.keyed(Request::new(Method::Post, "/api/orders").with_body("", r#"{"order":1,"order":2}"#));
        assert_eq!(twice.status, 422);
        let mut faulty = order("2041");
        faulty["units"] = "furlong".into();
        faulty["colour"] = "blue".into();
        faulty["runs"][1]["left"]["depth"] = "two".into();
        let response = shop.send(&faulty);
        assert_eq!(response.status, 422);
        let problem = body(&response);
        let pointers: Vec<&str> =
            problem["faults"].as_array().unwrap().iter().map(|fault| fault["pointer"].as_str().unwrap()).collect();
        for pointer in ["/units", "/colour"] {
            assert!(pointers.contains(&pointer), "{problem}");
        }
        assert_eq!(body(&shop.get("/api/orders"))["orders"].as_array().unwrap().len(), 0);
    }

    /// RFC 9110 §13.1.2: 304 when the tag is known, and the tag with it.
    #[test]
    fn polling_is_answered_only_when_something_happened() {
        let shop = Shop::with(&order("2041"));
        let code = shop.code("2041", "A-EW-1");
        for path in ["/api/orders", "/api/orders/2041", "/api/orders/2041/pieces", &format!("/api/pieces/{code}")] {
            let tag = shop.get(path).header("ETag").unwrap().to_owned();
            let again = |tag: &str| shop.keyed(Request::new(Method::Get, path).with_header("If-None-Match", tag));
            let unchanged = again(&format!("\"x\", W/{tag}"));
            assert_eq!((unchanged.status, unchanged.header("ETag")), (304, Some(tag.as_str())), "{path}");
            assert!(unchanged.body.is_empty());
            let id = format!("polled-{}", path.len());
            assert_eq!(shop.report(&code, &id, json!({ "event": "step", "done": 1 })).status, 200);
            assert_eq!(again(&tag).status, 200, "{path}");
        }
    }

    #[test]
    fn a_number_in_another_case_has_the_same_tag() {
        let shop = Shop::with(&order("A-7b"));
        for path in ["/api/orders/A-7b", "/api/orders/A-7b/pieces"] {
            let tag = shop.get(path).header("ETag").unwrap().to_owned();
            let other = Request::new(Method::Get, &path.to_lowercase()).with_header("If-None-Match", &tag);
            assert_eq!(shop.keyed(other).status, 304, "{path}");
            assert_eq!(body(&shop.get(&path.to_lowercase()))["order"], "A-7b");
        }
        assert_eq!(shop.get("/api/orders/A-7/pieces").status, 404);
    }

    #[test]
    fn a_remake_and_a_print_are_something_that_happened() {
        let shop = Shop::with(&order("2041"));
        let tag = || shop.get("/api/orders/2041/pieces").header("ETag").unwrap().to_owned();
        let planned = tag();
        let new = shop.remake(&shop.code("2041", "A-EW-1"), "too short");
        let remade = tag();
        let asked = shop.keyed(post(&format!("/api/pieces/{new}/print"), &json!({ "id": "print-001" })));
        assert_eq!(asked.status, 202);
        assert!(planned != remade && remade != tag());
        assert_eq!(body(&shop.get(&format!("/api/pieces/{new}")))["print"], "waiting");
    }

    #[test]
    fn an_order_is_given_back_as_it_was_sent() {
        let shop = Shop::with(&order("2041"));
        let whole = body(&shop.get("/api/orders/2041"));
        assert_eq!(whole["document"], order("2041"));
        assert_eq!(whole["job"]["due"], "2026-12-04");
        assert!(whole["notices"].is_array());
        assert_eq!(shop.get("/api/orders/2042").status, 404);
    }

    #[test]
    fn pieces_come_in_pages() {
        let shop = Shop::with(&order("2041"));
        let page = body(&shop.get("/api/orders/2041/pieces?from=4&limit=2"));
        assert_eq!((&page["total"], &page["from"]), (&10.into(), &4.into()));
        let marks: Vec<&str> =
            page["pieces"].as_array().unwrap().iter().map(|row| row["mark"].as_str().unwrap()).collect();
        assert_eq!(marks, ["A-EW-5", "A-RG-1"]);
        assert_eq!(page["pieces"][0]["state"], "waiting");
        assert_eq!(body(&shop.get("/api/orders/2041/pieces?from=99"))["pieces"].as_array().unwrap().len(), 0);
        for query in ["limit=0", "limit=501", "from=-1", "from=x", "limit="] {
            assert_eq!(shop.get(&format!("/api/orders/2041/pieces?{query}")).status, 422, "{query}");
        }
    }

    #[test]
    fn a_body_that_is_json_but_no_order_is_faulty() {
        assert_eq!(Shop::new().keyed(post("/api/orders", &json!(["order"]))).status, 422);
    }
}
