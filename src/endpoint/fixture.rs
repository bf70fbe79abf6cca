//! A kiosk for tests: a store of its own, a clock that stands still, and orders to send it.

use std::sync::Arc;

use jiff::tz::TimeZone;
use serde_json::{Value, json};
use tempfile::TempDir;

use super::clock::Clock;
use super::door::Handler;
use super::http::{Method, Request, Response};
use super::kiosk::Kiosk;
use super::printing::Printing;
use crate::label::code::Code;
use crate::label::printer;
use crate::label::url::Address;
use crate::store::{self, Store};

/// 2026-11-25T14:31:00Z.
pub const NOW: i64 = 1_795_617_060_000;

/// A kiosk, and the folder that goes with it.
pub struct Shop {
    pub kiosk: Kiosk,
    _folder: TempDir,
}

impl Shop {
    pub fn new() -> Self {
        let folder = tempfile::tempdir().unwrap();
        let store = Store::open(folder.path()).unwrap();
        Self { kiosk: Self::kiosk(store), _folder: folder }
    }

    /// A shop whose store an older brakeside filled: order `2041`, of one piece, `C-EW-1`.
    pub fn of_first_version() -> Self {
        let (store, folder) = store::fixture::of_first_version(Code::random().unwrap().as_str()).apart();
        Self { kiosk: Self::kiosk(store), _folder: folder }
    }

    fn kiosk(store: Store) -> Kiosk {
        let clock = Clock { now: || NOW, zone: TimeZone::UTC };
        Kiosk::new(store, Address::new("192.168.1.20", 8787).unwrap(), clock, Arc::default()).unwrap()
    }

    /// A shop that has taken this order.
    pub fn with(order: &Value) -> Self {
        let shop = Self::new();
        assert_eq!(shop.send(order).status, 201);
        shop
    }

    /// With a label printer, and nobody to take labels to it.
    pub fn with_printer(self) -> Self {
        let printer = printer::Address::parse("ipp://192.168.1.30").unwrap();
        Self { kiosk: self.kiosk.with_printing(Printing::to(printer, None)), ..self }
    }

    pub fn ask(&self, request: &Request) -> Response {
        self.kiosk.handle(request)
    }

    /// With the shop's key, as a program sends it.
    pub fn keyed(&self, request: Request) -> Response {
        self.ask(&request.with_header("Authorization", &format!("Bearer {}", self.kiosk.key())))
    }

    /// With the shop's key, as a browser sends it.
    pub fn browse(&self, request: Request) -> Response {
        let cookie = format!("key={}", self.kiosk.key());
        self.ask(&request.with_header("Host", "192.168.1.20:8787").with_header("Cookie", &cookie))
    }

    pub fn get(&self, target: &str) -> Response {
        self.keyed(Request::new(Method::Get, target))
    }

    pub fn send(&self, order: &Value) -> Response {
        self.keyed(post("/api/orders", order))
    }

    /// The code of the piece with this mark.
    pub fn code(&self, order: &str, mark: &str) -> String {
        let rows = self.kiosk.store().pieces(order, 0, 500).unwrap();
        rows.into_iter().find(|row| row.mark == mark).unwrap().code
    }

    /// Reports an event of a piece, under this id, as a bench does.
    pub fn report(&self, code: &str, id: &str, event: Value) -> Response {
        let mut body = event;
        body["id"] = id.into();
        self.keyed(post(&format!("/api/pieces/{code}/events"), &body))
    }

    /// Has a piece made again; the new one's code.
    pub fn remake(&self, code: &str, why: &str) -> String {
        let asked = json!({ "id": format!("remade-{code}"), "why": why });
        let made = self.keyed(post(&format!("/api/pieces/{code}/remake"), &asked));
        assert_eq!(made.status, 201);
        body(&made)["code"].as_str().unwrap().to_owned()
    }

    /// Gives a piece's label a new code, as printing it again does.
    pub fn relabel(&self, code: &str) -> String {
        let label = Code::random().unwrap();
        let id = format!("label-{label}");
        self.kiosk.store().reprint(code, label.as_str(), &id, None, NOW).unwrap();
        label.to_string()
    }

    /// Reports a piece bent.
    pub fn bend(&self, code: &str) {
        assert_eq!(self.report(code, &format!("bent-{code}"), json!({ "event": "bent" })).status, 200);
    }
}

pub fn post(path: &str, body: &Value) -> Request {
    Request::new(Method::Post, path).with_body("application/json", body.to_string())
}

/// What a page's form sends.
pub fn form(path: &str, fields: &[(&str, &str)]) -> Request {
    let encode =
        |text: &str| percent_encoding::utf8_percent_encode(text, percent_encoding::NON_ALPHANUMERIC).to_string();
    let body: Vec<String> = fields.iter().map(|(name, value)| format!("{name}={}", encode(value))).collect();
    Request::new(Method::Post, path).with_body("application/x-www-form-urlencoded", body.join("&"))
}

/// An end wall of five pieces between two gables and the reglet above it.
pub fn order(number: &str) -> Value {
    json!({
        "format": "brakeside-order/1",
        "order": number,
        "job": { "name": "Ridge Road barn", "site": "north wall", "due": "2026-12-04" },
        "units": "in",
        "metal": { "kind": "galvanized-steel", "gauge": 24, "painted": "out" },
        "longest": "10' 0\"",
        "runs": [
            { "wall": "A", "trim": "end-wall", "length": "42' 7-1/4\"", "measured": "outside", "pitch": "2:12", "lap": 6,
              "left": { "end": "gable", "width": 4 }, "right": { "end": "gable", "width": 4 } },
            { "wall": "A", "trim": "reglet", "length": "42' 7-1/4\"",
              "left": { "end": "return", "depth": "1-1/2" }, "right": { "end": "return", "depth": "1-1/2" } }
        ]
    })
}

/// The body, read.
pub fn body(response: &Response) -> Value {
    serde_json::from_slice(&response.body).unwrap()
}

/// The page, read.
pub fn text(response: &Response) -> String {
    String::from_utf8(response.body.clone()).unwrap()
}
