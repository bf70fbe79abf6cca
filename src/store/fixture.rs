//! Stores and orders to test with.

use std::ops::Deref;
use std::path::Path;
use std::sync::Arc;

use rusqlite::{Connection, params_from_iter};
use serde_json::{Value, json};
use tempfile::TempDir;

use super::labels::standing;
use super::record::keep_event;
use super::{AcceptError, Acceptance, Event, NewOrder, Planned, RecordError, Store, schema};
use crate::order::Job;
use crate::order::parse::parse;
use crate::order::plan::Plan;
use crate::order::planner::plan;

/// A store in a folder that goes when it goes.
pub struct Kept {
    pub store: Store,
    folder: TempDir,
}

impl Kept {
    pub fn new() -> Self {
        let folder = TempDir::new().unwrap();
        Self { store: Store::open(folder.path()).unwrap(), folder }
    }

    /// With one order, `2041`, of these codes.
    pub fn with(codes: &[&str]) -> Self {
        let kept = Self::new();
        assert_eq!(Order::new("2041", codes).accept(&kept, 0).unwrap(), Acceptance::New);
        kept
    }

    pub fn apart(self) -> (Store, TempDir) {
        (self.store, self.folder)
    }

    pub fn folder(&self) -> &Path {
        self.folder.path()
    }

    /// What the kiosk finds after the power was off.
    pub fn reopened(self) -> Self {
        let Self { store, folder } = self;
        drop(store);
        Self { store: Store::open(folder.path()).unwrap(), folder }
    }
}

impl Store {
    /// Gives a piece's label the code `label`, as a reprint on its way does.
    pub fn reprint(&self, code: &str, label: &str, id: &str, by: Option<&str>, now: i64) -> Result<(), RecordError> {
        self.write(|connection| {
            let piece = standing(connection, code)?.row.code;
            keep_event(connection, &piece, &Event::Reprinted { label: label.into() }, id, by, now)
        })
    }
}

/// A kiosk's store with the tables that were released first. Its one piece is as the program of that day planned
/// it: wall C of the demo's order 2041.
pub fn of_first_version(code: &str) -> Kept {
    of_version(1, code, &[])
}

/// The same with the tables of this version, and events of its piece as a program of that day wrote them.
pub fn of_version(version: usize, code: &str, events: &[&str]) -> Kept {
    let folder = TempDir::new().unwrap();
    let mut connection = Connection::open(folder.path().join("brakeside.db")).unwrap();
    connection.pragma_update(None, "application_id", schema::APPLICATION_ID).unwrap();
    schema::of_version(version).to_latest(&mut connection).unwrap();
    let add = |sql: &str, values: &[&str]| connection.execute(sql, params_from_iter(values)).unwrap();
    add(
        r#"INSERT INTO orders (number, document, job, units, notices, received_at)
           VALUES ('2041', '{"runs":[{}]}', '{"name":"Larch Lane workshop"}', 'in', '[]', 0)"#,
        &[],
    );
    let piece = include_str!("first_piece.json");
    add("INSERT INTO pieces (code, order_id, seq, record) VALUES (?, 1, 0, ?)", &[code, piece]);
    for (n, event) in events.iter().enumerate() {
        let id = format!("event-{n}");
        add("INSERT INTO events (id, code, at, by, event) VALUES (?, ?, 7, 'Ana', ?)", &[&id, code, event]);
    }
    drop(connection);
    Kept { store: Store::open(folder.path()).unwrap(), folder }
}

impl Deref for Kept {
    type Target = Store;

    fn deref(&self) -> &Store {
        &self.store
    }
}

/// An order for one wall, as it comes from the planner.
pub struct Order {
    pub document: Value,
    pub job: Job,
    pub plan: Plan,
    pub replaces: bool,
    pub codes: Vec<String>,
}

impl Order {
    /// The last code goes to a reglet of one piece of 2 m, the others, if any, to an end wall's pieces of 3 m.
    pub fn new(number: &str, codes: &[&str]) -> Self {
        let (longest, lap) = (3000, 200);
        let mut runs = vec![json!({ "wall": "A", "trim": "reglet", "length": 2000 })];
        if codes.len() > 1 {
            let length = longest + (codes.len() - 2) * (longest - lap);
            runs.insert(0, json!({ "wall": "A", "trim": "end-wall", "pitch": "2:12", "lap": lap, "length": length }));
        }
        let document = json!({
            "format": "brakeside-order/1", "order": number, "units": "mm", "longest": longest,
            "job": { "name": "Barn", "site": "Mill Lane", "due": "2026-12-04" },
            "metal": { "kind": "galvanized-steel", "gauge": 24 }, "runs": runs
        });
        let (order, document) = parse(document.to_string().as_bytes(), &Arc::default()).unwrap();
        let plan = plan(&order).unwrap();
        assert_eq!(plan.pieces.len(), codes.len());
        let codes = codes.iter().map(|&code| code.into()).collect();
        Self { document, job: order.job, plan, replaces: false, codes }
    }

    pub fn replacing(mut self) -> Self {
        self.replaces = true;
        self.document["replaces"] = true.into();
        self
    }

    pub fn accept(&self, store: &Store, now: i64) -> Result<Acceptance, AcceptError> {
        let Self { document, job, plan, replaces, codes } = self;
        let (number, units, notices) = (plan.order.as_str(), plan.units, plan.notices.as_slice());
        let new = NewOrder { number, document, job, units, notices, replaces: *replaces };
        let pieces = codes.iter().cloned().zip(plan.pieces.iter().cloned());
        let (runs, sheet) = (plan.runs.iter().cloned(), || plan.sheet.clone().unwrap());
        store.accept(&new, Planned { pieces, runs, sheet }, now)
    }
}
