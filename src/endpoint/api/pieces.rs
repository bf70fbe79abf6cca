//! A piece over the API, and what happens to it.

use serde::Serialize;

use super::event::{Said, What};
use super::happened::Happened;
use crate::endpoint::http::{Request, Response};
use crate::endpoint::kiosk::Kiosk;
use crate::endpoint::problem::Problem;
use crate::endpoint::{auth, etag, lookup};
use crate::label::code::Code;
use crate::order::Job;
use crate::order::plan::Piece;
use crate::store::{Event, PieceRecord, PieceRow, Recorded};
use crate::trade::length::Units;

/// `GET /api/pieces/{CODE}`.
///
/// # Errors
/// As [`lookup::piece`].
pub fn one(kiosk: &Kiosk, request: &Request, code: &str) -> Result<Response, Problem> {
    #[derive(Serialize)]
    struct Whole {
        #[serde(flatten)]
        row: PieceRow,
        order: String,
        job: Job,
        units: Units,
        piece: Piece,
        /// Where its fasteners are told, if they were planned.
        hardware: Option<String>,
        history: Vec<Happened>,
    }
    let number = lookup::piece(kiosk, code)?.order.number;
    let whole = || {
        let PieceRecord { order, row, piece, .. } = lookup::piece(kiosk, code)?;
        let row = told(kiosk, request, row);
        let history = kiosk.store().history(&row.code)?.into_iter().map(Happened::from).collect();
        let planned = !kiosk.store().runs(&order.number, row.run, 1)?.is_empty();
        let hardware = planned.then(|| format!("/api/pieces/{}/hardware", row.code));
        let (order, job, units) = (order.number, order.job, order.units);
        Ok(Response::json(&Whole { row, order, job, units, piece, hardware, history }))
    };
    let answer = etag::tagged(kiosk, request, lookup::revision(kiosk, &number)?, whole)?;
    // Of one tag, whoever holds the key is told more.
    Ok(answer.with_header("Vary", "Authorization, Cookie"))
}

/// `POST /api/pieces/{CODE}/events`. Without the shop's key only what the piece's roof page offers to anybody.
///
/// # Errors
/// 401 and 403 as [`auth::admit`], 400 and 422 for what cannot be read, 404 and 410 as [`lookup::piece`], 409 for what the trade's rules refuse.
pub fn record(kiosk: &Kiosk, request: &Request, code: &str) -> Result<Response, Problem> {
    #[derive(Serialize)]
    struct Now {
        #[serde(flatten)]
        row: PieceRow,
        /// The event had been recorded before, under the same id.
        #[serde(skip_serializing_if = "std::ops::Not::not")]
        again: bool,
    }
    let said = Said::read(&request.body);
    if !said.as_ref().is_ok_and(offered_to_anybody) {
        auth::admit(kiosk, request)?;
    }
    let Said { id, by, what } = said?;
    let code = Code::parse(code)?;
    let event = match what {
        What::Event(event) => event,
        What::AsWanted { bench } => {
            let mm = lookup::piece_as_it_is(kiosk, code.as_str())?.piece.length.mm;
            Event::Measured { mm, accepted: false, as_wanted: true, bench }
        }
    };
    let recorded = kiosk
        .store()
        .record(code.as_str(), &event, &id, by.as_deref(), kiosk.now())
        .map_err(|error| Problem::of_record(error, kiosk.clock()))?;
    // Recorded is recorded, also where the piece was made again or its label printed again since.
    let row = told(kiosk, request, lookup::piece_as_it_is(kiosk, code.as_str())?.row);
    Ok(Response::json(&Now { row, again: recorded == Recorded::Again }))
}

/// Whoever stands on the roof with the piece says that it is installed, or bad. What is done at the bench, and in whose
/// name, is the shop's to say: a label can be photographed.
fn offered_to_anybody(said: &Said) -> bool {
    matches!(said, Said { by: None, what: What::Event(Event::Installed | Event::Reported { .. }), .. })
}

/// A piece's code opens that piece alone: only a holder of the shop's key is told the code of the first of its twins.
pub fn told(kiosk: &Kiosk, request: &Request, row: PieceRow) -> PieceRow {
    let alike = row.alike.filter(|_| auth::admit(kiosk, request).is_ok());
    PieceRow { alike, ..row }
}

#[cfg(test)]
mod tests {
    use serde_json::{Value, json};

    use crate::endpoint::fixture::{Shop, body, order, post};
    use crate::endpoint::http::{Method, Request};

    fn refusal(response: &crate::endpoint::http::Response) -> (u16, String) {
        (response.status, body(response)["refusal"].as_str().unwrap_or_default().to_owned())
    }

    #[test]
    fn a_piece_is_whole_and_needs_only_its_code() {
        let shop = Shop::with(&order("2041"));
        let code = shop.code("2041", "A-EW-3");
        shop.bend(&code);
        let whole = body(&shop.ask(&Request::new(Method::Get, &format!("/api/pieces/{code}"))));
        assert_eq!((&whole["code"], &whole["order"], &whole["units"]), (&json!(code), &json!("2041"), &json!("in")));
        assert_eq!((&whole["place"], &whole["of"], &whole["state"]), (&json!(3), &json!(5), &json!("bent")));
        assert_eq!(whole["piece"]["right"]["goes"], "under");
        assert_eq!(whole["history"][0], json!({ "event": "bent", "at": "2026-11-25T14:31:00Z", "by": null }));
    }

    #[test]
    fn twins_are_named_to_the_shop_alone() {
        let shop = Shop::with(&order("2041"));
        let [first, twin] = ["A-EW-2", "A-EW-3"].map(|mark| shop.code("2041", mark));
        let request = || Request::new(Method::Get, &format!("/api/pieces/{twin}"));
        assert_eq!(body(&shop.keyed(request()))["alike"], json!(first));
        let answer = shop.ask(&request());
        assert_eq!(answer.header("Vary"), Some("Authorization, Cookie"));
        let known = shop.ask(&request().with_header("If-None-Match", answer.header("ETag").unwrap()));
        assert_eq!((known.status, known.header("Vary")), (304, Some("Authorization, Cookie")));
        assert_eq!(body(&shop.ask(&request()))["alike"], Value::Null);
        let step = shop.report(&twin, "step-0001", json!({ "event": "step", "done": 1 }));
        assert_eq!(body(&step)["alike"], json!(first));
        let event = json!({ "id": "bad-00001", "event": "reported", "why": "too short" });
        let reported = shop.ask(&post(&format!("/api/pieces/{twin}/events"), &event));
        assert_eq!((reported.status, &body(&reported)["alike"]), (200, &Value::Null));
        assert_eq!(body(&shop.get("/api/orders/2041/pieces"))["pieces"][2]["alike"], json!(first));
    }

    /// As on the roof page, which asks for no name either.
    #[test]
    fn a_label_alone_reports_and_installs_and_no_more() {
        let shop = Shop::with(&order("2041"));
        let code = shop.code("2041", "A-EW-3");
        let send = |id: &str, event: &Value| {
            let mut body = event.clone();
            body["id"] = id.into();
            post(&format!("/api/pieces/{code}/events"), &body)
        };
        let bench = json!({ "id": "bench-009", "name": "Nobody's" });
        for event in [
            json!({ "event": "step", "done": 1, "bench": bench, "take_over": true }),
            json!({ "event": "measured", "mm": 1, "accepted": true, "by": "Ana" }),
            json!({ "event": "measured", "as_wanted": true }),
            json!({ "event": "bent" }),
            json!({ "event": "reopened" }),
            json!({ "event": "loaded" }),
            json!({ "event": "reported", "why": "too short", "by": "Ana" }),
            json!({ "event": "lost" }),
        ] {
            assert_eq!(shop.ask(&send("stranger-1", &event)).status, 401, "{event}");
        }
        assert!(shop.kiosk.store().history(&code).unwrap().is_empty());
        shop.bend(&code);
        let offered = [json!({ "event": "installed" }), json!({ "event": "reported", "why": "too short" })];
        for (id, event) in ["stranger-1", "stranger-2"].iter().zip(&offered) {
            assert_eq!(shop.ask(&send(id, event)).status, 200, "{event}");
        }
        // Another site's page may lead the browser of somebody who knows the shop to it, and gets no further.
        let bent = send("stranger-3", &json!({ "event": "bent" })).with_header("Origin", "http://evil.example");
        assert_eq!(shop.browse(bent).status, 403);
    }

    #[test]
    fn a_piece_goes_its_way_once() {
        let shop = Shop::with(&order("2041"));
        let code = shop.code("2041", "A-EW-3");
        let report = |id: &str, event: Value| shop.report(&code, id, event);
        assert_eq!(refusal(&report("load-0001", json!({ "event": "loaded" }))), (409, "not-bent".into()));
        let row = body(&report("step-0001", json!({ "event": "step", "done": 3, "by": "Ana" })));
        assert_eq!((&row["state"], &row["done"], row.get("again")), (&json!("started"), &json!(3), None));
        assert_eq!(refusal(&report("step-0002", json!({ "event": "step", "done": 999 }))), (409, "bad-step".into()));
        assert_eq!(body(&report("step-0003", json!({ "event": "step", "done": 2 })))["done"], 2);
        assert_eq!(body(&report("bent-0001", json!({ "event": "bent" })))["state"], "bent");
        assert_eq!(body(&report("bent-0001", json!({ "event": "bent" })))["again"], true);
        assert_eq!(refusal(&report("bent-0001", json!({ "event": "loaded" }))), (409, "id-reused".into()));
        assert_eq!(body(&report("load-0001", json!({ "event": "loaded" })))["state"], "loaded");
        assert_eq!(refusal(&report("load-0002", json!({ "event": "loaded" }))), (409, "already-loaded".into()));
        assert_eq!(body(&report("inst-0001", json!({ "event": "installed" })))["state"], "installed");
        assert_eq!(refusal(&report("inst-0002", json!({ "event": "installed" }))), (409, "already-installed".into()));
        let row = body(&report("bad-00001", json!({ "event": "reported", "why": " too short " })));
        assert_eq!((&row["state"], &row["reported"]), (&json!("installed"), &json!("too short")));
    }

    /// A bench whose answer was lost sends the same again, whatever happened to the piece in between.
    #[test]
    fn what_was_recorded_is_answered_again() {
        let shop = Shop::with(&order("2041"));
        let own = shop.code("2041", "A-EW-3");
        let label = shop.relabel(&own);
        let step = || shop.report(&label, "step-0001", json!({ "event": "step", "done": 1 }));
        let bent = || shop.report(&own, "bent-0001", json!({ "event": "bent" }));
        assert_eq!((step().status, bent().status), (200, 200));
        shop.relabel(&own);
        assert_eq!((step().status, &body(&step())["again"], &body(&step())["code"]), (200, &json!(true), &json!(own)));
        shop.remake(&own, "too short");
        for again in [step(), bent()] {
            let row = body(&again);
            assert_eq!((again.status, &row["again"], &row["state"]), (200, &json!(true), &json!("bent")));
        }
        let new = shop.report(&own, "bent-0002", json!({ "event": "bent" }));
        assert_eq!(refusal(&new), (410, "remade".into()));
    }

    /// Two benches finish the same piece at the same moment: one of them is told to set its piece aside.
    #[test]
    fn of_two_benches_one_finishes_the_piece() {
        let shop = Shop::with(&order("2041"));
        let code = shop.code("2041", "A-EW-1");
        let outcomes: Vec<(u16, String)> = std::thread::scope(|scope| {
            let bench = |id: &'static str| {
                let (shop, code) = (&shop, &code);
                scope.spawn(move || refusal(&shop.report(code, id, json!({ "event": "bent" }))))
            };
            [bench("bench-1-x"), bench("bench-2-x")].map(|bench| bench.join().unwrap()).into()
        });
        assert!(outcomes.contains(&(200, String::new())), "{outcomes:?}");
        assert!(outcomes.contains(&(409, "already-bent".into())), "{outcomes:?}");
    }

    #[test]
    fn codes_that_name_no_piece_are_told_apart() {
        let shop = Shop::with(&order("2041"));
        let code = shop.code("2041", "A-EW-1");
        let other = if code.starts_with('A') { "B" } else { "A" };
        let mistyped = format!("{other}{}", &code[1..]);
        let unknown = crate::label::code::Code::random().unwrap();
        for (code, word) in [(mistyped.as_str(), "mistyped"), (unknown.as_str(), "unknown"), ("X", "unknown")] {
            for path in ["", "/drawing.svg", "/wall.svg", "/label.svg", "/label.png", "/label.pdf"] {
                let response = shop.get(&format!("/api/pieces/{code}{path}"));
                assert_eq!(refusal(&response), (404, word.into()), "{code}{path}");
            }
            assert_eq!(refusal(&shop.report(code, "bent-0001", json!({ "event": "bent" }))), (404, word.into()));
        }
    }

    #[test]
    fn every_fault_of_an_event_is_said_in_the_trades_words() {
        let shop = Shop::with(&order("2041"));
        let code = shop.code("2041", "A-EW-1");
        let event = json!({ "event": "step", "done": "3", "by": 7, "whom": "Ana" });
        let problem = body(&shop.report(&code, "short", event));
        let faults: Vec<(&str, &str)> = problem["faults"]
            .as_array()
            .unwrap()
            .iter()
            .map(|fault| (fault["pointer"].as_str().unwrap(), fault["detail"].as_str().unwrap()))
            .collect();
        let said = |pointer: &str| faults.iter().find(|(at, _)| *at == pointer).unwrap().1;
        assert_eq!(faults.len(), 4, "{faults:?}");
        assert_eq!(said("/done"), "\"3\" is wrong here; give how many steps are done, a whole number from 0");
        assert_eq!(said("/by"), "7 is wrong here; give text of 1 to 200 characters");
        assert!(said("/id").contains("8 to 64 letters A-Z, a-z, digits or hyphens"));
        assert!(said("/whom").contains("id, event, by, done"));
        let problem = body(&shop.report(&code, "12345678", json!({ "event": "lost", "done": -1 })));
        assert_eq!(problem["faults"].as_array().unwrap().len(), 2, "{problem}");
        assert!(problem["faults"][0]["detail"].as_str().unwrap().contains("\"installed\" or \"reported\""));
    }

    #[test]
    fn events_that_make_no_sense_are_faulty() {
        let shop = Shop::with(&order("2041"));
        let code = shop.code("2041", "A-EW-1");
        for (event, pointer) in [
            (json!({ "event": "step" }), "/done"),
            (json!({ "event": "step", "done": 1, "why": "x" }), "/why"),
            (json!({ "event": "bent", "done": 1 }), "/done"),
            (json!({ "event": "reported" }), "/why"),
            (json!({ "event": "reported", "why": " " }), "/why"),
            (json!({ "event": "reported", "why": "é".repeat(201) }), "/why"),
            (json!({ "event": "reported", "why": "too \u{202e}short" }), "/why"),
            (json!({ "event": "reported", "why": "too\nshort" }), "/why"),
            (json!({ "event": "bent", "by": "" }), "/by"),
            (json!({ "event": "bent", "by": "A\u{202e}na" }), "/by"),
            (json!({ "event": "bent", "by": "é".repeat(201) }), "/by"),
            (json!({ "event": "lost" }), "/event"),
            (json!({ "event": "step", "done": -1 }), "/done"),
            (json!({ "event": "bent", "at": 0 }), "/at"),
        ] {
            let response = shop.report(&code, "12345678", event.clone());
            assert_eq!(response.status, 422, "{event}");
            assert_eq!(body(&response)["faults"][0]["pointer"], pointer, "{event}");
        }
        for id in ["1234567", "with space", "ünicode-id", &"x".repeat(65)] {
            let response = shop.report(&code, id, json!({ "event": "bent" }));
            assert_eq!(body(&response)["faults"][0]["pointer"], "/id", "{id}");
        }
        let send = |text: &[u8]| {
            shop.keyed(Request::new(Method::Post, &format!("/api/pieces/{code}/events")).with_body("text/plain", text))
        };
        for text in [&b"bent"[..], b"\xef\xbb\xbf{}", b"{\"by\":\"\xff\"}"] {
            assert_eq!(send(text).status, 400);
        }
        assert_eq!(body(&send(br#"{"id":"12345678","event":"bent","id":"12345679"}"#))["faults"][0]["pointer"], "/id");
        assert_eq!(body(&send(b"[]"))["faults"][0]["pointer"], "");
        assert!(shop.kiosk.store().history(&code).unwrap().is_empty());
    }
}
