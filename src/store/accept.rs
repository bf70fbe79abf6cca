//! Taking an order in: all of it, once, or none.

use std::collections::HashMap;
use std::collections::hash_map::Entry;

use rusqlite::ffi::SQLITE_CONSTRAINT_PRIMARYKEY;
use rusqlite::{Connection, OptionalExtension, Statement, params};
use serde_json::Value;
use thiserror::Error;

use super::column::Json;
use super::{Store, StoreError, labels};
use crate::order::Job;
use crate::order::plan::{Notice, Piece};
use crate::order::sheet::{OrderSheet, RunSheet};
use crate::trade::length::Units;

/// An order that passed every check, ready to be kept.
#[derive(Debug, Clone, Copy)]
pub struct NewOrder<'a> {
    pub number: &'a str,
    /// The order as it was received.
    pub document: &'a Value,
    pub job: &'a Job,
    pub units: Units,
    pub notices: &'a [Notice],
    /// Whether it says that it takes the place of the one stored under its number.
    pub replaces: bool,
}

/// What an order was planned into, each part made only when it is asked for: an order may have fifty thousand pieces.
pub struct Planned<Pieces, Runs, Sheet> {
    /// In the order they are cut, each with its label's code.
    pub pieces: Pieces,
    /// In the order's own order.
    pub runs: Runs,
    pub sheet: Sheet,
}

/// What became of an order that was not refused.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Acceptance {
    New,
    /// It is stored already; its plan and codes stay as they are.
    Same,
    /// It took the place of another that nobody had begun.
    Replaced,
}

/// Why an order was not taken in. Nothing is changed.
#[derive(Debug, Error)]
pub enum AcceptError {
    #[error("order {number} is stored already and this one differs: give it another number, or say \"replaces\": true")]
    Changed { number: String },
    #[error(
        "order {stored} is stored, and {number} differs from it only in capitals: send it as {stored}, or give it another number"
    )]
    Alike { number: String, stored: String },
    #[error("order {number} cannot be replaced, its piece {mark} is begun: send what changed as an order of its own")]
    Begun { number: String, mark: String },
    #[error("the code {code} is taken: choose codes anew")]
    CodeTaken { code: String },
    #[error(transparent)]
    Store(#[from] StoreError),
}

impl From<rusqlite::Error> for AcceptError {
    fn from(error: rusqlite::Error) -> Self {
        Self::Store(error.into())
    }
}

impl From<serde_json::Error> for AcceptError {
    fn from(error: serde_json::Error) -> Self {
        Self::Store(error.into())
    }
}

impl Store {
    /// Keeps an order and what it was planned into. Pieces and runs are taken one at a time, and only when the order is to
    /// be kept. `now` is milliseconds UTC.
    ///
    /// # Errors
    /// When the number stands for another order that it does not, or may not, replace; or a code is taken.
    pub fn accept<Pieces, Runs, Sheet>(
        &self,
        order: &NewOrder,
        planned: Planned<Pieces, Runs, Sheet>,
        now: i64,
    ) -> Result<Acceptance, AcceptError>
    where
        Pieces: IntoIterator<Item = (String, Piece)>,
        Runs: IntoIterator<Item = RunSheet>,
        Sheet: FnOnce() -> OrderSheet,
    {
        let document = order.document.to_string();
        self.write(|connection| {
            let number = order.number;
            let acceptance = match stored(connection, number)? {
                None => Acceptance::New,
                Some(known) if known.number != number => {
                    return Err(AcceptError::Alike { number: number.into(), stored: known.number });
                }
                Some(known) if same(&known.document, serde_json::from_str(&document)?) => return Ok(Acceptance::Same),
                Some(_) if !order.replaces => return Err(AcceptError::Changed { number: number.into() }),
                Some(known) => match begun(connection, known.id)? {
                    Some(mark) => return Err(AcceptError::Begun { number: number.into(), mark }),
                    None => Acceptance::Replaced,
                },
            };
            keep(connection, order, &document, planned, now)?;
            Ok(acceptance)
        })
    }
}

/// An order as it is stored.
struct Stored {
    id: i64,
    number: String,
    document: Value,
}

/// The current order of this number; one whose number differs in capitals alone, if there is none. Addresses are
/// case-blind, so the two would be one.
fn stored(connection: &Connection, number: &str) -> rusqlite::Result<Option<Stored>> {
    connection
        .query_row(
            "SELECT id, number, document FROM orders WHERE number = ?1 COLLATE NOCASE AND replaced_by IS NULL
             ORDER BY number = ?1 DESC LIMIT 1",
            [number],
            |row| {
                Ok(Stored {
                    id: row.get("id")?,
                    number: row.get("number")?,
                    document: row.get::<_, Json<Value>>("document")?.0,
                })
            },
        )
        .optional()
}

/// Whether two orders ask for the same. `replaces` says what to do with an order, not what is in it. Both have been
/// through text once: a number read from text and written may come back a last digit off.
fn same(known: &Value, mut received: Value) -> bool {
    let mut known = known.clone();
    for order in [&mut known, &mut received] {
        order.as_object_mut().map(|order| order.remove("replaces"));
    }
    known == received
}

/// The first piece of an order that anything happened to.
fn begun(connection: &Connection, order: i64) -> rusqlite::Result<Option<String>> {
    connection
        .query_row(
            "SELECT mark FROM pieces p WHERE order_id = ? AND EXISTS (SELECT 1 FROM events WHERE code = p.code)
             ORDER BY seq LIMIT 1",
            [order],
            |row| row.get("mark"),
        )
        .optional()
}

/// Writes the order, its pieces and its runs. The one it replaces, if any, gives up its number first.
fn keep<Pieces, Runs, Sheet>(
    connection: &Connection,
    order: &NewOrder,
    document: &str,
    planned: Planned<Pieces, Runs, Sheet>,
    now: i64,
) -> Result<(), AcceptError>
where
    Pieces: IntoIterator<Item = (String, Piece)>,
    Runs: IntoIterator<Item = RunSheet>,
    Sheet: FnOnce() -> OrderSheet,
{
    let number = order.number;
    let id: i64 = connection.query_row("SELECT IFNULL(MAX(id), 0) + 1 FROM orders", [], |row| row.get(0))?;
    connection
        .execute("UPDATE orders SET replaced_by = ? WHERE number = ? AND replaced_by IS NULL", params![id, number])?;
    labels::recall(connection, now)?;
    connection.execute(
        "INSERT INTO orders (id, number, document, job, units, notices, received_at, sheet)
         VALUES (?, ?, ?, ?, ? ->> '$', ?, ?, ?)",
        params![
            id,
            number,
            document,
            serde_json::to_string(order.job)?,
            serde_json::to_string(&order.units)?,
            serde_json::to_string(order.notices)?,
            now,
            serde_json::to_string(&(planned.sheet)())?
        ],
    )?;
    let mut insert = connection.prepare("INSERT INTO pieces (code, order_id, seq, record) VALUES (?, ?, ?, ?)")?;
    let mut twins = Twins::new(connection)?;
    for (seq, (code, piece)) in (0_i64..).zip(planned.pieces) {
        insert.execute(params![code, id, seq, serde_json::to_string(&piece)?]).map_err(|error| {
            match error.sqlite_extended_error_code() {
                Some(SQLITE_CONSTRAINT_PRIMARYKEY) => AcceptError::CodeTaken { code: code.clone() },
                _ => error.into(),
            }
        })?;
        twins.keep(code, piece.batch)?;
    }
    let mut insert = connection.prepare("INSERT INTO runs (order_id, record) VALUES (?, ?)")?;
    for run in planned.runs {
        insert.execute(params![id, serde_json::to_string(&run)?])?;
    }
    Ok(())
}

/// Writes down which pieces are cut alike, as they come.
struct Twins<'c> {
    insert: Statement<'c>,
    /// The first piece of each batch.
    first: HashMap<usize, First>,
}

struct First {
    code: String,
    /// It has a twin.
    kept: bool,
}

impl<'c> Twins<'c> {
    fn new(connection: &'c Connection) -> rusqlite::Result<Self> {
        let insert = connection.prepare("INSERT INTO twins (code, first) VALUES (?, ?)")?;
        Ok(Self { insert, first: HashMap::new() })
    }

    /// Batch 0 is none.
    fn keep(&mut self, code: String, batch: usize) -> rusqlite::Result<()> {
        if batch == 0 {
            return Ok(());
        }
        match self.first.entry(batch) {
            Entry::Vacant(entry) => {
                entry.insert(First { code, kept: false });
            }
            Entry::Occupied(mut entry) => {
                let first = entry.get_mut();
                if !first.kept {
                    self.insert.execute([&first.code, &first.code])?;
                    first.kept = true;
                }
                self.insert.execute([&code, &first.code])?;
            }
        }
        Ok(())
    }
}

#[cfg(test)]
mod tests {
    use serde_json::json;

    use super::super::fixture::{Kept, Order};
    use super::super::{Event, StoreError};
    use super::*;

    #[test]
    fn the_same_order_is_kept_once() {
        let kept = Kept::with(&["A1", "A2"]);
        let before = (kept.revision().unwrap(), kept.pieces("2041", 0, 9).unwrap());
        let again = Order::new("2041", &["X1", "X2"]);
        assert_eq!(again.accept(&kept, 1).unwrap(), Acceptance::Same);
        assert_eq!(again.replacing().accept(&kept, 1).unwrap(), Acceptance::Same);
        assert_eq!((kept.revision().unwrap(), kept.pieces("2041", 0, 9).unwrap()), before);
    }

    #[test]
    fn the_order_of_keys_and_the_last_digit_do_not_matter() {
        let kept = Kept::new();
        // Numbers that a fast reading of the text may get wrong in the last digit.
        let hard: Vec<f64> = (1..999).map(|n| f64::from(n).sqrt() * 1e-7).collect();
        let mut order = Order::new("2041", &["A1"]);
        order.document = json!({ "a": hard, "b": 1 });
        order.accept(&kept, 0).unwrap();
        order.document = json!({ "b": 1, "a": hard });
        assert_eq!(order.accept(&kept, 1).unwrap(), Acceptance::Same);
    }

    #[test]
    fn another_order_takes_a_number_only_when_it_says_so_and_nothing_is_begun() {
        let kept = Kept::with(&["A1"]);
        let other = Order::new("2041", &["B1", "B2"]);
        assert!(matches!(other.accept(&kept, 1), Err(AcceptError::Changed { .. })));
        assert_eq!(other.replacing().accept(&kept, 2).unwrap(), Acceptance::Replaced);
        assert_eq!(kept.orders().unwrap().len(), 1);
        assert_eq!(kept.order("2041").unwrap().unwrap().received_at, 2);
        assert!(kept.piece("A1").unwrap().unwrap().order.replaced);
        assert!(!kept.piece("B1").unwrap().unwrap().order.replaced);

        kept.record("B2", &Event::Reported { why: "why so short?".into() }, "1", None, 3).unwrap();
        let third = Order::new("2041", &["C1"]).replacing();
        let refused = third.accept(&kept, 4);
        assert!(matches!(&refused, Err(AcceptError::Begun { mark, .. }) if mark == "A-RG-1"), "{refused:?}");
        // Sent again, the one that is stored is still the one that is stored.
        assert_eq!(Order::new("2041", &["B1", "B2"]).replacing().accept(&kept, 5).unwrap(), Acceptance::Same);
        kept.verify().unwrap();
    }

    #[test]
    fn numbers_that_differ_only_in_capitals_are_one_number() {
        let kept = Kept::new();
        Order::new("2041A", &["A1"]).accept(&kept, 0).unwrap();
        for other in [Order::new("2041a", &["B1"]), Order::new("2041a", &["B1"]).replacing()] {
            let refused = other.accept(&kept, 1).unwrap_err();
            assert!(matches!(&refused, AcceptError::Alike { stored, .. } if stored == "2041A"), "{refused}");
        }
        assert_eq!(kept.orders().unwrap().len(), 1);
        assert_eq!(Order::new("2041A", &["B1"]).accept(&kept, 2).unwrap(), Acceptance::Same);
        // SQLite's NOCASE, like a number's letters, is ASCII; `_` and `%` are themselves.
        assert_eq!(Order::new("2041_", &["B1"]).accept(&kept, 3).unwrap(), Acceptance::New);
    }

    #[test]
    fn an_order_is_kept_whole_or_not_at_all() {
        let kept = Kept::with(&["A1"]);
        let revision = kept.revision().unwrap();
        let taken = Order::new("2042", &["B1", "A1"]).accept(&kept, 1);
        assert!(matches!(&taken, Err(AcceptError::CodeTaken { code }) if code == "A1"), "{taken:?}");
        let replacing = Order::new("2041", &["B1", "A1"]).replacing().accept(&kept, 1);
        assert!(matches!(replacing, Err(AcceptError::CodeTaken { .. })));

        assert!(kept.order("2042").unwrap().is_none());
        assert!(kept.piece("B1").unwrap().is_none());
        assert_eq!(kept.order("2041").unwrap().unwrap().pieces, 1);
        assert_eq!(kept.revision().unwrap(), revision);
    }

    #[test]
    fn twins_know_the_first_of_them() {
        let kept = Kept::new();
        let mut order = Order::new("2041", &["A1", "A2", "A3", "A4", "A5", "R1"]);
        for (piece, batch) in order.plan.pieces.iter_mut().zip([1, 0, 2, 1, 3, 1]) {
            piece.batch = batch;
        }
        order.accept(&kept, 0).unwrap();
        let alike = |store: &Store| -> Vec<_> {
            store.pieces("2041", 0, 9).unwrap().into_iter().map(|row| row.alike).collect()
        };
        let a1 = Some("A1".to_owned());
        // A batch of one is nobody's twin.
        assert_eq!(alike(&kept), [a1.clone(), None, None, a1.clone(), None, a1.clone()]);
        kept.remake("A4", "dented", "X1", "1", None, 1).unwrap();
        assert_eq!(alike(&kept), [a1.clone(), None, None, None, a1, None]);
        assert_eq!(kept.piece("X1").unwrap().unwrap().piece.batch, 0);
    }

    #[test]
    fn a_full_disk_refuses_the_order_and_harms_nothing() {
        let kept = Kept::with(&["A1"]);
        // As full as can be had without a disk: the file may not grow.
        let pages = |pages: i64| kept.writer.lock().unwrap().pragma_update(None, "max_page_count", pages).unwrap();
        pages(1);
        let codes: Vec<String> = (0..99).map(|n| format!("B{n}")).collect();
        let codes: Vec<&str> = codes.iter().map(String::as_str).collect();
        let order = Order::new("2042", &codes);
        let full = order.accept(&kept, 1);
        assert!(matches!(full, Err(AcceptError::Store(StoreError::DiskFull))), "{full:?}");
        pages(i64::from(u32::MAX) - 1);
        assert_eq!(order.accept(&kept, 2).unwrap(), Acceptance::New);
        assert_eq!(kept.verify().unwrap().pieces, 100);
    }
}
