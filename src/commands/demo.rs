//! `brakeside demo`: the kiosk on a throw-away store, filled with invented jobs in the middle of their work, so that
//! the fabricator, the driver and the installer each see their screen at once.

use jiff::{ToSpan, ZonedDateTime};
use serde_json::{Value, json};

use super::args::Common;
use super::kiosk::{self, Endpoint};
use super::report::Failure;
use crate::endpoint::Kiosk;
use crate::endpoint::door::Handler;
use crate::endpoint::http::{Method, Request};
use crate::store::Event;

/// The orders, and in how many days each is due.
const ORDERS: [(&str, i64); 3] = [
    (include_str!("demo/order-2041.json"), 9),
    (include_str!("demo/order-2042.json"), 1),
    (include_str!("demo/order-2043.json"), 16),
];

/// What has happened before the demo begins: order, mark, and events in turn.
const HISTORY: [(&str, &str, &[Event]); 10] = [
    ("2041", "A-EW-1", &[Event::bent(), Event::Loaded]),
    ("2041", "A-EW-2", &[Event::bent(), Event::Loaded]),
    ("2041", "A-EW-3", &[Event::bent()]),
    ("2041", "A-EW-4", &[Event::step(3)]),
    ("2042", "N-EW-1", &[Event::bent(), Event::Loaded, Event::Installed]),
    ("2042", "N-EW-2", &[Event::bent(), Event::Loaded]),
    ("2042", "N-EW-3", &[Event::bent(), Event::Loaded]),
    ("2042", "N-RG-1", &[Event::bent(), Event::Loaded]),
    ("2042", "N-RG-2", &[Event::bent()]),
    ("2042", "N-RG-3", &[Event::bent()]),
];

pub fn run(common: &Common) -> Result<(), Failure> {
    let folder = tempfile::Builder::new()
        .prefix("brakeside-demo-")
        .tempdir()
        .map_err(|source| Failure::Write { path: std::env::temp_dir(), source })?;
    let endpoint = Endpoint::start(common, folder.path())?;
    fill(&endpoint.kiosk)?;
    endpoint.announce();
    kiosk::work(common, &endpoint, folder.path())
}

/// The orders come in as any order does; what happened to their pieces is recorded as the bench and the phones would.
fn fill(kiosk: &Kiosk) -> Result<(), Failure> {
    let today = ZonedDateTime::now().date();
    for (text, due_in) in ORDERS {
        let mut order: Value = serde_json::from_str(text).map_err(Failure::Json)?;
        order["job"]["due"] = json!(today.saturating_add(due_in.days()).to_string());
        let request = Request::new(Method::Post, "/api/orders")
            .with_header("Authorization", &format!("Bearer {}", kiosk.key()))
            .with_body("application/json", order.to_string());
        let response = kiosk.handle(&request);
        if response.status != 201 {
            return Err(Failure::Demo(String::from_utf8_lossy(&response.body).into()));
        }
    }
    for (order, mark, events) in HISTORY {
        let pieces = kiosk.store().pieces(order, 0, 500)?;
        let piece = pieces.iter().find(|piece| piece.mark == mark);
        let piece = piece.ok_or_else(|| Failure::Demo(format!("order {order} has no piece {mark}")))?;
        for (turn, event) in events.iter().enumerate() {
            let id = format!("demo-{order}-{mark}-{turn}");
            let now = ZonedDateTime::now().timestamp().as_millisecond();
            kiosk
                .store()
                .record(&piece.code, event, &id, None, now)
                .map_err(|error| Failure::Demo(error.to_string()))?;
        }
    }
    Ok(())
}
