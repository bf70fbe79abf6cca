//! A piece made again, over the API.

use super::event::{ID, WHY, by, id, named_bench, why};
use crate::endpoint::http::{Request, Response};
use crate::endpoint::kiosk::Kiosk;
use crate::endpoint::problem::Problem;
use crate::endpoint::{body, lookup};
use crate::label::code::Code;
use crate::order::parse::reader::Spot;
use crate::store::{Bench, Failed, Recorded};

/// `POST /api/pieces/{CODE}/remake`: the new piece, as a list shows it. It uses up metal and voids a label, so the
/// piece's code alone does not do.
///
/// # Errors
/// 400 and 422 for what cannot be read; 404 and 410 as [`lookup::piece`]; 409 where a bench says that its own strip failed,
/// and it does not have the piece.
pub fn post(kiosk: &Kiosk, request: &Request, code: &str) -> Result<Response, Problem> {
    let code = Code::parse(code)?;
    let Asked { id, why, by, bench } = body::read(&request.body, asked)?;
    let drawn = Code::random()?;
    let (recorded, new) = kiosk
        .store()
        .remake(
            code.as_str(),
            Failed { why: &why, bench: bench.as_ref() },
            drawn.as_str(),
            &id,
            by.as_deref(),
            kiosk.now(),
        )
        .map_err(|error| Problem::of_record(error, kiosk.clock()))?;
    let status = if recorded == Recorded::New { 201 } else { 200 };
    // Asked for again, the new piece may have been made again itself.
    let row = lookup::piece_as_it_is(kiosk, &new)?.row;
    let location = format!("/api/pieces/{new}");
    Ok(Response::json(&row).with_status(status).with_header("Location", location))
}

struct Asked {
    id: String,
    why: String,
    by: Option<String>,
    bench: Option<Bench>,
}

fn asked(spot: &Spot) -> Option<Asked> {
    let body = spot.object("{ \"id\": …, \"why\": … }", &["id", "why", "by", "bench"])?;
    let id = body.required("id", ID, id);
    let why = body.required("why", WHY, why);
    let (by, bench) = (by(&body), named_bench(&body));
    Some(Asked { id: id?, why: why?, by: by?, bench: bench? })
}

#[cfg(test)]
mod tests {
    use serde_json::{Value, json};

    use crate::endpoint::fixture::{Shop, body, order, post};
    use crate::endpoint::http::{Method, Request, Response};
    use crate::label::code::TEST;

    fn ask(shop: &Shop, code: &str, asked: Value) -> Response {
        shop.keyed(post(&format!("/api/pieces/{code}/remake"), &asked))
    }

    #[test]
    fn a_piece_is_made_again_once_for_each_request() {
        let shop = Shop::with(&order("2041"));
        let old = shop.code("2041", "A-EW-3");
        shop.bend(&old);
        let asked = json!({ "id": "remake-01", "why": "hem split", "by": "Ana" });
        let made = ask(&shop, &old, asked.clone());
        let row = body(&made);
        assert_eq!((made.status, &row["mark"], &row["seq"]), (201, &json!("A-EW-3"), &json!(10)));
        assert_eq!((&row["state"], &row["remake_of"], &row["alike"]), (&json!("waiting"), &json!(old), &Value::Null));
        let new = row["code"].as_str().unwrap();
        assert_eq!(made.header("Location"), Some(format!("/api/pieces/{new}").as_str()));

        let again = ask(&shop, &old, asked);
        assert_eq!((again.status, body(&again)), (200, row.clone()));
        let other_id = ask(&shop, &old, json!({ "id": "remake-02", "why": "hem split" }));
        assert_eq!((other_id.status, &body(&other_id)["refusal"]), (410, &json!("remade")));
        let other_piece = ask(&shop, &shop.code("2041", "A-EW-4"), json!({ "id": "remake-01", "why": "hem split" }));
        assert_eq!((other_piece.status, &body(&other_piece)["refusal"]), (409, &json!("id-reused")));

        let listed = body(&shop.get("/api/orders/2041/pieces"));
        let rows = listed["pieces"].as_array().unwrap();
        assert_eq!((rows.len(), &listed["total"], &rows[9]), (10, &json!(10), &row));
        assert!(rows.iter().all(|row| row["code"] != old.as_str()));
        let from = body(&shop.get("/api/orders/2041/pieces?from=10"));
        assert_eq!(from["pieces"], json!([row]), "its turn comes last");
    }

    #[test]
    fn a_strip_that_failed_at_one_bench_is_not_the_piece_that_another_has() {
        let shop = Shop::with(&order("2041"));
        let code = shop.code("2041", "A-EW-3");
        let bench = |n: u8| json!({ "id": format!("bench-00{n}"), "name": format!("Bench {n}") });
        let failed = |n| ask(&shop, &code, json!({ "id": "remake-01", "why": "dented", "bench": bench(n) }));
        shop.report(&code, "taken-by-2", json!({ "event": "step", "done": 0, "bench": bench(2) }));
        let late = failed(1);
        assert_eq!((late.status, &body(&late)["refusal"]), (409, &json!("held")));
        assert_eq!(failed(2).status, 201);
    }

    #[test]
    fn the_old_code_says_everywhere_that_the_piece_was_made_again() {
        let shop = Shop::with(&order("2041"));
        let old = shop.code("2041", "A-EW-3");
        let new = shop.remake(&old, "wrong hand");
        let detail = format!("this piece was made again at 14:31 (wrong hand): look for the label {new}");
        for path in ["", "/hardware", "/drawing.svg", "/wall.svg", "/label.svg", "/label.png", "/label.pdf"] {
            let gone = shop.get(&format!("/api/pieces/{old}{path}"));
            assert_eq!((gone.status, &body(&gone)["refusal"]), (410, &json!("remade")), "{path}");
            assert_eq!(body(&gone)["detail"], detail);
            assert_eq!(shop.get(&format!("/api/pieces/{new}{path}")).status, 200, "{path}");
        }
        for event in ["bent", "loaded", "installed", "reopened"] {
            let gone = shop.report(&old, &format!("late-{event}"), json!({ "event": event }));
            assert_eq!((gone.status, &body(&gone)["refusal"]), (410, &json!("remade")), "{event}");
        }
        let second = shop.remake(&new, "again");
        let gone = body(&shop.get(&format!("/api/pieces/{old}")));
        assert!(gone["detail"].as_str().unwrap().ends_with(&format!("look for the label {second}")), "{gone}");
        assert_eq!(shop.ask(&Request::new(Method::Get, &format!("/P/{old}"))).status, 410);
        // The first request, whose answer was lost.
        let again = ask(&shop, &old, json!({ "id": format!("remade-{old}"), "why": "wrong hand" }));
        assert_eq!((again.status, &body(&again)["code"]), (200, &json!(new)));
    }

    #[test]
    fn what_asks_for_nothing_remakes_nothing() {
        let shop = Shop::with(&order("2041"));
        let code = shop.code("2041", "A-EW-3");
        for (asked, pointer) in [
            (json!({ "why": "x" }), "/id"),
            (json!({ "id": "short", "why": "x" }), "/id"),
            (json!({ "id": "remake-01" }), "/why"),
            (json!({ "id": "remake-01", "why": "" }), "/why"),
            (json!({ "id": "remake-01", "why": "x", "by": 1 }), "/by"),
            (json!({ "id": "remake-01", "why": "x", "bench": "bench-001" }), "/bench"),
            (json!({ "id": "remake-01", "why": "x", "as": "0123456789AY" }), "/as"),
        ] {
            let refused = ask(&shop, &code, asked.clone());
            assert_eq!((refused.status, &body(&refused)["faults"][0]["pointer"]), (422, &json!(pointer)), "{asked}");
        }
        assert_eq!(ask(&shop, TEST, json!({ "id": "remake-01", "why": "x" })).status, 404);
        assert_eq!(shop.code("2041", "A-EW-3"), code);
    }
}
