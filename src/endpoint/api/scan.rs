//! What a label is, whichever it is: its piece's newest, one that was printed again, or one whose piece is made again.

use serde::Serialize;

use crate::endpoint::http::Response;
use crate::endpoint::kiosk::Kiosk;
use crate::endpoint::lookup;
use crate::endpoint::problem::Problem;
use crate::store::{PieceRow, Scan, Stands};

/// `GET /api/scan/{code}`.
///
/// # Errors
/// 404 for a code that never was on a label of this kiosk.
pub fn one(kiosk: &Kiosk, code: &str) -> Result<Response, Problem> {
    #[derive(Serialize)]
    struct Answer {
        stands: Stands,
        order: String,
        piece: Option<PieceRow>,
        /// The label that stands now.
        now: Option<String>,
        detail: String,
    }
    let scan = lookup::label(kiosk, code)?;
    let detail = match (scan.refusal(), &scan.piece) {
        (Some(refusal), _) => Problem::of_refusal(&refusal, kiosk.clock()).detail,
        (None, Some(record)) => format!("this is the newest label of {} of order {}", record.row.mark, scan.order),
        (None, None) => String::new(),
    };
    let now = scan.now().map(str::to_owned);
    let Scan { stands, order, piece, .. } = scan;
    Ok(Response::json(&Answer { stands, order, piece: piece.map(|record| record.row), now, detail }))
}

#[cfg(test)]
mod tests {
    use serde_json::{Value, json};

    use crate::endpoint::fixture::{Shop, body, order};
    use crate::label::code::{Code, TEST};

    fn scan(shop: &Shop, code: &str) -> Value {
        body(&shop.get(&format!("/api/scan/{}", code.to_lowercase())))
    }

    #[test]
    fn every_label_is_told_for_what_it_is() {
        let shop = Shop::with(&order("2041"));
        let own = shop.code("2041", "A-EW-3");
        let said = |code: &str| {
            let scan = scan(&shop, code);
            let piece = &scan["piece"]["code"];
            [&scan["stands"], piece, &scan["now"]].map(|value| value.as_str().unwrap_or_default().to_owned())
        };
        assert_eq!(said(&own), ["current", &own, &own]);
        assert_eq!(scan(&shop, &own)["detail"], "this is the newest label of A-EW-3 of order 2041");

        let [first, second] = [shop.relabel(&own), shop.relabel(&own)];
        assert_eq!(said(&own), ["retired", &own, &second]);
        assert_eq!(said(&first), ["retired", &own, &second]);
        assert_eq!(said(&second), ["current", &own, &second]);
        assert!(scan(&shop, &first)["detail"].as_str().unwrap().ends_with(&format!("newest label is {second}")));

        let new = shop.remake(&own, "too short");
        for label in [&own, &first, &second] {
            assert_eq!(said(label), ["remade", &new, &new]);
        }
        let newest = shop.relabel(&new);
        assert_eq!(said(&own), ["remade", &new, &newest]);
        assert!(scan(&shop, &own)["detail"].as_str().unwrap().contains("(too short)"));
    }

    #[test]
    fn a_replaced_order_has_no_piece_that_stands() {
        let shop = Shop::with(&order("2041"));
        let void = shop.code("2041", "A-EW-3");
        let mut replacing = order("2041");
        replacing["replaces"] = true.into();
        replacing["runs"][0]["pitch"] = "4:12".into();
        assert_eq!(shop.send(&replacing).status, 200);
        let scan = scan(&shop, &void);
        assert_eq!([&scan["stands"], &scan["order"]], ["replaced", "2041"]);
        assert_eq!([&scan["piece"], &scan["now"]], [&Value::Null; 2]);
    }

    #[test]
    fn what_is_no_label_of_a_piece_is_said_apart() {
        let shop = Shop::with(&order("2041"));
        let unknown = Code::random().unwrap();
        for (code, word) in [(unknown.as_str(), "unknown"), ("0123456789A0", "mistyped"), (TEST, "test-label")] {
            let scan = scan(&shop, code);
            assert_eq!((&scan["status"], &scan["refusal"]), (&json!(404), &json!(word)), "{code}");
        }
    }
}
