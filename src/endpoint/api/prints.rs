//! The print queue over the API: what waits for the printer or for a person, and what may be done about it.

use serde::Serialize;

use crate::endpoint::body;
use crate::endpoint::clock::timestamp;
use crate::endpoint::http::{Request, Response};
use crate::endpoint::kiosk::Kiosk;
use crate::endpoint::printing::{PrinterState, PrinterStatus};
use crate::endpoint::problem::Problem;
use crate::label::code::{self, Code};
use crate::order::parse::reader::{Spot, one_of};
use crate::store::{Asking, Print, PrintError, PrintRefusal, PrintState, Recorded};

use super::event::{ID, by, id};

/// The most prints in one list.
const MOST: usize = 200;

/// One print, as a list shows it.
#[derive(Serialize)]
struct Told {
    print: i64,
    piece: Option<String>,
    mark: Option<String>,
    order: Option<String>,
    state: PrintState,
    said: String,
    reprint: bool,
    at: jiff::Timestamp,
}

impl From<Print> for Told {
    fn from(print: Print) -> Self {
        let Print { id, piece, mark, order, state, said, reprint, at, .. } = print;
        Self { print: id, piece, mark, order, state, said, reprint, at: timestamp(at) }
    }
}

/// `GET /api/prints`: those not out yet, oldest first, and the printer.
///
/// # Errors
/// When the store fails.
pub fn list(kiosk: &Kiosk) -> Result<Response, Problem> {
    #[derive(Serialize)]
    struct List {
        printer: PrinterStatus,
        prints: Vec<Told>,
    }
    let prints = kiosk.store().open_prints(MOST)?.into_iter().map(Told::from).collect();
    Ok(Response::json(&List { printer: kiosk.printing().status(), prints }))
}

/// `POST /api/pieces/{CODE}/print`: 202 for what was not asked for before, 200 for what was.
///
/// # Errors
/// 400 and 422 for what cannot be read, 404 and 410 for codes without a piece that stands, 409 for a label that was printed
/// before or is at the printer, or a reprint where there is no printer.
pub fn ask(kiosk: &Kiosk, request: &Request, code: &str) -> Result<Response, Problem> {
    let code = Code::parse(code)?;
    let Wanted { id, by, reprint } = body::read(&request.body, wanted)?;
    let asking = Asking { id: &id, by: by.as_deref(), now: kiosk.now() };
    // It would wait for ever, and the piece's label with it.
    if reprint && !has_printer(kiosk) {
        return Err(Problem::refused(409, "no-printer", "No printer", "no printer is set"));
    }
    let new = Code::random()?;
    let asked = match reprint {
        true => kiosk.store().ask_reprint(code.as_str(), new.as_str(), asking),
        false => kiosk.store().ask_print(code.as_str(), new.as_str(), asking),
    };
    asked_for(kiosk, asked)
}

/// `POST /api/prints` with `"test": true`: the test label.
///
/// # Errors
/// As [`ask`].
pub fn test(kiosk: &Kiosk, request: &Request) -> Result<Response, Problem> {
    let (id, by) = body::read(&request.body, test_wanted)?;
    let asking = Asking { id: &id, by: by.as_deref(), now: kiosk.now() };
    asked_for(kiosk, kiosk.store().ask_test_print(code::TEST, asking))
}

fn asked_for(kiosk: &Kiosk, asked: Result<(Recorded, Print), PrintError>) -> Result<Response, Problem> {
    let (recorded, print) = asked.map_err(|error| of_print(error, kiosk))?;
    kiosk.printing().nudge();
    let status = if recorded == Recorded::New { 202 } else { 200 };
    Ok(Response::json(&Told::from(print)).with_status(status))
}

/// What a person may do with a print.
#[derive(Debug, Clone, Copy)]
enum Deed {
    Again,
    CameOut,
    Cancel,
}

const DEEDS: [(&str, Deed); 3] = [("again", Deed::Again), ("came-out", Deed::CameOut), ("cancel", Deed::Cancel)];

/// `POST /api/prints/{n}`: sends it once more, believes that it came out, or leaves it. Where the first may be out, one sent
/// once more says that it is a reprint, and has a code of its own. One at the printer is called off there:
/// the answer says what it is now, and what becomes of it is in the list.
///
/// # Errors
/// 400 and 422 for what cannot be read, 404 for no such print, 409 for what cannot be done with it now.
pub fn act(kiosk: &Kiosk, request: &Request, number: &str) -> Result<Response, Problem> {
    let deed = body::read(&request.body, deed)?;
    let unknown = || of_print(PrintRefusal::Unknown.into(), kiosk);
    let number: i64 = number.parse().map_err(|_| unknown())?;
    let (store, now) = (kiosk.store(), kiosk.now());
    let done = match deed {
        Deed::Again => store.print_again(number, Code::random()?.as_str(), now),
        Deed::CameOut => store.print_came_out(number, now),
        Deed::Cancel => store.print_cancel(number, now).and_then(|print| match print.called_off {
            // No clerk will ever ask the printer.
            true if !has_printer(kiosk) => {
                store.print_became(number, PrintState::Unsure, "there is no printer to ask about it", now)
            }
            _ => Ok(print),
        }),
    };
    let print = done.map_err(|error| of_print(error, kiosk))?;
    kiosk.printing().nudge();
    Ok(Response::json(&Told::from(print)))
}

fn has_printer(kiosk: &Kiosk) -> bool {
    kiosk.printing().status().state != PrinterState::None
}

struct Wanted {
    id: String,
    by: Option<String>,
    reprint: bool,
}

fn wanted(spot: &Spot) -> Option<Wanted> {
    let body = spot.object("a request, { \"id\": … }", &["id", "by", "reprint"])?;
    let (id, by) = (body.required("id", ID, id), by(&body));
    let reprint = body.or("reprint", false, Spot::truth);
    Some(Wanted { id: id?, by: by?, reprint: reprint? })
}

fn test_wanted(spot: &Spot) -> Option<(String, Option<String>)> {
    const TEST: &str = "true: only the test label is printed without a piece";
    let body = spot.object("a request, { \"id\": …, \"test\": true }", &["id", "by", "test"])?;
    let (id, by) = (body.required("id", ID, id), by(&body));
    let test =
        body.required("test", TEST, |test| test.value.as_bool().filter(|test| *test).or_else(|| test.wrong(TEST)));
    test.and(Some((id?, by?)))
}

fn deed(spot: &Spot) -> Option<Deed> {
    let body = spot.object("{ \"do\": … }", &["do"])?;
    body.required("do", &one_of(&DEEDS), |deed| deed.word(&DEEDS))
}

fn of_print(error: PrintError, kiosk: &Kiosk) -> Problem {
    let refusal = match error {
        PrintError::Refused(refusal) => refusal,
        PrintError::Piece(refusal) => return Problem::of_refusal(&refusal, kiosk.clock()),
        PrintError::Store(error) => return error.into(),
    };
    let (status, word, title) = match refusal {
        PrintRefusal::PrintedBefore => (409, "printed-before", "Printed before"),
        PrintRefusal::AtPrinter => (409, "at-printer", "The label is at the printer"),
        PrintRefusal::IdReused => (409, "id-reused", "The request's id was used before"),
        PrintRefusal::NotNow { .. } => (409, "not-now", "Not as the print is now"),
        PrintRefusal::Unknown => (404, "unknown", "No such print"),
    };
    Problem::refused(status, word, title, refusal.to_string())
}

#[cfg(test)]
mod tests {
    use serde_json::{Value, json};

    use crate::endpoint::fixture::{NOW, Shop, body, order, post};
    use crate::store::PrintState;

    fn answered(shop: &Shop, path: &str, sent: Value) -> (u16, Value) {
        let answer = shop.keyed(post(path, &sent));
        (answer.status, body(&answer))
    }

    #[test]
    fn a_label_waits_in_the_list_until_a_person_decides() {
        let shop = Shop::with(&order("2041"));
        let code = shop.code("2041", "A-EW-3");
        let path = format!("/api/pieces/{code}/print");
        let (status, print) = answered(&shop, &path, json!({ "id": "print-001", "by": "Ana" }));
        let row = json!({ "print": 1, "piece": code, "mark": "A-EW-3", "order": "2041", "state": "waiting", "said": "",
                          "reprint": false, "at": "2026-11-25T14:31:00Z" });
        assert_eq!((status, &print), (202, &row));
        assert_eq!(answered(&shop, &path, json!({ "id": "print-001" })), (200, row.clone()));
        assert_eq!(answered(&shop, &path, json!({ "id": "print-002" })).1["refusal"], "printed-before");
        let printer = json!({ "address": null, "state": "none", "said": "no printer is set" });
        assert_eq!(body(&shop.get("/api/prints")), json!({ "printer": printer, "prints": [row] }));
        let reprint = answered(&shop, &path, json!({ "id": "print-003", "reprint": true }));
        assert_eq!((reprint.0, &reprint.1["refusal"]), (409, &json!("no-printer")));

        let act = |deed: &str| answered(&shop, "/api/prints/1", json!({ "do": deed }));
        let (status, refused) = act("came-out");
        assert_eq!((status, &refused["refusal"]), (409, &json!("not-now")));
        assert_eq!(refused["detail"], "this print still waits for the printer; it cannot be printed now");
        shop.kiosk.store().print_sending(1, "ipp://gone", NOW).unwrap();
        assert_eq!(act("again").1["refusal"], "not-now");
        // There is no printer to ask about it any more.
        assert_eq!(act("cancel").1["state"], "unsure");
        assert_eq!(act("came-out").1["state"], "printed");
        assert_eq!(body(&shop.get("/api/prints"))["prints"], json!([]));
    }

    #[test]
    fn a_reprint_takes_the_old_labels_place_when_it_may_be_out() {
        let shop = Shop::with(&order("2041")).with_printer();
        let code = shop.code("2041", "A-EW-3");
        let ask = |code: &str, sent: Value| answered(&shop, &format!("/api/pieces/{code}/print"), sent);
        let stands = || body(&shop.get(&format!("/api/scan/{code}")))["stands"].clone();
        let store = shop.kiosk.store();
        assert_eq!(ask(&code, json!({ "id": "print-001" })).0, 202);
        store.print_sending(1, "ipp://gone", NOW).unwrap();
        store.print_became(1, PrintState::Unsure, "", NOW).unwrap();
        store.print_came_out(1, NOW).unwrap();

        let again = ask(&code, json!({ "id": "print-002", "reprint": true }));
        assert_eq!((again.0, &again.1["reprint"], &again.1["state"]), (202, &json!(true), &json!("waiting")));
        assert_eq!(answered(&shop, "/api/prints/2", json!({ "do": "cancel" })).1["state"], "cancelled");
        assert_eq!(stands(), "current");

        assert_eq!(ask(&code, json!({ "id": "print-003", "reprint": true })).0, 202);
        let label = store.print_sending(3, "ipp://gone", NOW).unwrap().label;
        assert_eq!(stands(), "current");
        assert_eq!(ask(&code, json!({ "id": "print-004", "reprint": true })).1["refusal"], "at-printer");
        // The piece goes by its own code or its newest label's.
        let same = ask(&label, json!({ "id": "print-003", "reprint": true }));
        assert_eq!((same.0, &same.1["print"], &same.1["state"]), (200, &json!(3), &json!("sending")));
        assert_eq!(ask(&label, json!({ "id": "print-003" })).1["refusal"], "id-reused");
        store.print_sent(3, 41, NOW).unwrap();
        assert_eq!(stands(), "retired");
    }

    /// Somebody may hold the label of the first, though nobody waits for it any more.
    #[test]
    fn what_is_cancelled_and_may_be_out_is_printed_anew() {
        let shop = Shop::with(&order("2041")).with_printer();
        let path = format!("/api/pieces/{}/print", shop.code("2041", "A-EW-3"));
        let store = shop.kiosk.store();
        assert_eq!(answered(&shop, &path, json!({ "id": "print-001" })).1["reprint"], false);
        store.print_sending(1, "ipp://192.168.1.30", NOW).unwrap();
        // The clerk has it in hand: it is for the clerk to say what becomes of it.
        let cancel = || answered(&shop, "/api/prints/1", json!({ "do": "cancel" }));
        assert_eq!((cancel().0, cancel().1["state"].as_str()), (200, Some("sending")));
        assert!(store.print(1).unwrap().unwrap().called_off);
        store.print_became(1, PrintState::Unsure, "", NOW).unwrap();
        assert_eq!(cancel().1["state"], "cancelled");
        let (status, anew) = answered(&shop, &path, json!({ "id": "print-002" }));
        assert_eq!((status, &anew["reprint"]), (202, &json!(true)));
    }

    #[test]
    fn the_test_label_is_of_no_piece() {
        let shop = Shop::new();
        let (status, print) = answered(&shop, "/api/prints", json!({ "id": "print-001", "test": true }));
        assert_eq!(
            (status, &print["piece"], &print["mark"], &print["order"]),
            (202, &json!(null), &json!(null), &json!(null))
        );
        assert_eq!(answered(&shop, "/api/prints/1", json!({ "do": "cancel" })).1["state"], "cancelled");
        assert_eq!(shop.kiosk.store().print(1).unwrap().unwrap().state, PrintState::Cancelled);
    }

    #[test]
    fn what_cannot_be_read_is_faulty_and_what_is_not_there_is_not_found() {
        let shop = Shop::with(&order("2041"));
        let path = format!("/api/pieces/{}/print", shop.code("2041", "A-EW-1"));
        for (path, sent, pointer) in [
            (path.as_str(), json!({}), "/id"),
            (&path, json!({ "id": "short" }), "/id"),
            (&path, json!({ "id": "print-001", "reprint": 1 }), "/reprint"),
            (&path, json!({ "id": "print-001", "by": "" }), "/by"),
            (&path, json!({ "id": "print-001", "test": true }), "/test"),
            ("/api/prints", json!({ "id": "print-001" }), "/test"),
            ("/api/prints", json!({ "id": "print-001", "test": false }), "/test"),
            ("/api/prints/1", json!({ "do": "burn" }), "/do"),
            ("/api/prints/1", json!([]), ""),
        ] {
            let (status, problem) = answered(&shop, path, sent.clone());
            assert_eq!((status, &problem["faults"][0]["pointer"]), (422, &json!(pointer)), "{path} {sent}");
        }
        for path in ["/api/prints/1", "/api/prints/x", "/api/prints/-1"] {
            assert_eq!(answered(&shop, path, json!({ "do": "again" })).0, 404, "{path}");
        }
        assert_eq!(body(&shop.get("/api/prints"))["prints"], json!([]));
    }
}
