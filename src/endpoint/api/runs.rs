//! An order's runs over the API: as a list, each as it will lie, and what of it falls on one piece.

use serde::Serialize;

use crate::endpoint::http::{Request, Response};
use crate::endpoint::kiosk::Kiosk;
use crate::endpoint::on_piece::OnPiece;
use crate::endpoint::problem::Problem;
use crate::endpoint::{etag, lookup, query};
use crate::store::RunRow;

/// The most runs in one answer.
const PAGE: usize = 500;

/// `GET /api/orders/{n}/runs`.
///
/// # Errors
/// 404 without such an order; 422 for a wrong query.
pub fn list(kiosk: &Kiosk, request: &Request, number: &str) -> Result<Response, Problem> {
    #[derive(Serialize)]
    struct Page {
        order: String,
        total: usize,
        from: usize,
        runs: Vec<RunRow>,
    }
    let order = lookup::order(kiosk, number)?.number;
    let from = query::whole(request, "from", 0, 0..=usize::MAX)?;
    let limit = query::whole(request, "limit", PAGE, 1..=PAGE)?;
    etag::tagged(kiosk, request, lookup::revision(kiosk, &order)?, || {
        let total = kiosk.store().run_count(&order)?;
        let runs = kiosk.store().runs(&order, from, limit)?;
        Ok(Response::json(&Page { order, total, from, runs }))
    })
}

/// `GET /api/orders/{n}/runs/{i}`.
///
/// # Errors
/// As [`lookup::run`].
pub fn one(kiosk: &Kiosk, request: &Request, number: &str, run: &str) -> Result<Response, Problem> {
    let order = lookup::order(kiosk, number)?.number;
    let run = lookup::run(kiosk, &order, run)?.run;
    etag::tagged(kiosk, request, lookup::revision(kiosk, &order)?, || {
        Ok(Response::json(&lookup::run_sheet(kiosk, &order, run)?))
    })
}

/// `GET /api/pieces/{CODE}/hardware`: where this piece's fasteners go. Like the piece itself, it needs only the code.
///
/// # Errors
/// As [`lookup::piece`]; 404 for a piece that was planned without.
pub fn of_piece(kiosk: &Kiosk, request: &Request, code: &str) -> Result<Response, Problem> {
    let record = lookup::piece(kiosk, code)?;
    let number = &record.order.number;
    etag::tagged(kiosk, request, lookup::revision(kiosk, number)?, || {
        let run = kiosk.store().run_sheet_of(&record.row.code)?.ok_or_else(|| Problem::no_sheet(number))?;
        Ok(Response::json(&OnPiece::of(run, &record.piece, record.order.units)))
    })
}

#[cfg(test)]
mod tests {
    use serde_json::json;

    use crate::endpoint::door::Limits;
    use crate::endpoint::fixture::{Shop, body, order};
    use crate::endpoint::http::{Method, Request, Response};
    use crate::order::parse;
    use crate::order::planner::Makeable;
    use crate::order::shop::Shop as OrderShop;
    use crate::trade::length::Length;

    #[test]
    fn runs_are_listed_and_each_is_whole() {
        let shop = Shop::with(&order("2041"));
        let list = body(&shop.get("/api/orders/2041/runs?from=1"));
        assert_eq!((&list["total"], &list["from"]), (&json!(2), &json!(1)));
        let row = json!({ "run": 1, "wall": "A", "trim": "reglet", "length": { "mm": 12985.75, "text": "42' 7-1/4\"" }, "laps": 4 });
        assert_eq!(list["runs"], json!([row]));
        let run = body(&shop.get("/api/orders/2041/runs/0"));
        assert_eq!((&run["trim"], run["laps"].as_array().unwrap().len()), (&json!("end-wall"), 4));
        assert_eq!(run["fasteners"][0]["what"], "wall fasteners");
        assert_eq!(run["cut_screws"].as_array().unwrap().len(), 4);
        for path in ["/api/orders/2041/runs/2", "/api/orders/2041/runs/x", "/api/orders/2042/runs"] {
            assert_eq!(shop.get(path).status, 404, "{path}");
        }
        assert_eq!(shop.get("/api/orders/2041/runs?limit=501").status, 422);
        assert_eq!(shop.ask(&Request::new(Method::Get, "/api/orders/2041/runs/0")).status, 401);
    }

    #[test]
    fn an_orders_detail_says_what_to_buy_and_how_it_travels() {
        let shop = Shop::with(&order("2041"));
        let whole = body(&shop.get("/api/orders/2041"));
        assert_eq!(whole["runs"], 2);
        let buy = whole["sheet"]["buy"].as_array().unwrap();
        assert!(buy.iter().any(|need| need["what"] == "butyl tape" && need["count"] == 1), "{buy:?}");
        assert_eq!(whole["sheet"]["load"]["stack"].as_array().unwrap().len(), 10);
    }

    #[test]
    fn a_piece_leads_to_its_own_hardware_without_the_key() {
        let shop = Shop::with(&order("2041"));
        let code = shop.code("2041", "A-EW-1");
        let ask = |path: &str| body(&shop.ask(&Request::new(Method::Get, path)));
        let link = format!("/api/pieces/{code}/hardware");
        assert_eq!(ask(&format!("/api/pieces/{code}"))["hardware"], link);
        let hardware = ask(&link);
        assert_eq!(hardware["lines"][0]["at"][0]["text"], "1\"");
        assert_eq!(hardware["cut_screws"].as_array().unwrap().len(), 2);
        let whole = ask(&format!("/api/pieces/{code}"))["piece"]["length"]["mm"].as_f64().unwrap();
        assert!(hardware["lines"][0]["at"].as_array().unwrap().iter().all(|at| at["mm"].as_f64().unwrap() <= whole));
    }

    #[test]
    fn an_older_order_has_neither() {
        let shop = Shop::of_first_version();
        let code = shop.code("2041", "C-EW-1");
        let whole = body(&shop.get("/api/orders/2041"));
        assert_eq!((&whole["runs"], &whole["sheet"]), (&json!(0), &json!(null)));
        assert_eq!(body(&shop.get("/api/orders/2041/runs"))["total"], 0);
        assert_eq!(body(&shop.get(&format!("/api/pieces/{code}")))["hardware"], json!(null));
        for path in ["/api/orders/2041/runs/0".to_owned(), format!("/api/pieces/{code}/hardware")] {
            let refused = shop.get(&path);
            assert_eq!(refused.status, 404);
            assert!(body(&refused)["detail"].as_str().unwrap().contains("send it again"), "{}", body(&refused));
        }
    }

    /// The longest run an order may have, fastened as closely as a shop may set: one answer, well within the door's cap.
    #[test]
    fn the_largest_run_goes_out_whole() {
        let mut shop = OrderShop::default();
        shop.fasteners.high_wind = Some(Length::inches(1));
        let mut long = order("2041");
        long["runs"] = json!([{ "wall": "A", "trim": "ridge", "length": "3280' 0\"", "pitch": "2:12" }]);
        let long = parse::from_json(&long, &shop.into()).unwrap();
        let run = Makeable::new(&long).unwrap().runs().next().unwrap();
        assert!(run.fasteners.iter().map(|line| line.at.len()).sum::<usize>() > 70_000);
        assert!(Response::json(&run).body.len() < Limits::default().answer_bytes * 3 / 4);
    }
}
