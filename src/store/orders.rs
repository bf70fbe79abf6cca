//! The orders the kiosk has, and how far each is.

use rusqlite::{OptionalExtension, Row};
use serde::Serialize;
use serde::de::DeserializeOwned;
use serde_json::Value;

use super::column::{Json, Word, count};
use super::event::{FACTS, STANDS};
use super::{Reader, StoreError};
use crate::order::Job;
use crate::order::plan::{Measure, Notice};
use crate::trade::length::Units;

/// Which order a piece belongs to.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct OrderHead {
    pub number: String,
    pub job: Job,
    pub units: Units,
    /// Milliseconds UTC.
    pub received_at: i64,
    /// Another order took its place, and its number: its labels are void.
    pub replaced: bool,
}

/// A current order and how far its pieces are.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct OrderSummary {
    pub number: String,
    pub job: Job,
    pub units: Units,
    /// Milliseconds UTC.
    pub received_at: i64,
    pub pieces: usize,
    /// Pieces with some steps done that are not bent yet.
    pub started: usize,
    /// Pieces that are bent, wherever they are now.
    pub bent: usize,
    /// Pieces that were counted onto the van, wherever they are now.
    pub loaded: usize,
    pub installed: usize,
    /// Pieces that somebody reported.
    pub reported: usize,
    /// Of all pieces together.
    pub mass_kg: f64,
    /// Finished length of the longest piece.
    pub longest: Measure,
}

impl OrderHead {
    /// From columns that [`OrderHead::COLUMNS`] names.
    pub(super) fn read(row: &Row<'_>) -> rusqlite::Result<Self> {
        Ok(Self {
            number: row.get("number")?,
            job: row.get::<_, Json<Job>>("job")?.0,
            units: row.get::<_, Word<Units>>("units")?.0,
            received_at: row.get("received_at")?,
            replaced: row.get("replaced")?,
        })
    }

    pub(super) const COLUMNS: &str = "o.number, o.job, o.units, o.received_at, o.replaced_by IS NOT NULL AS replaced";
}

impl OrderSummary {
    fn read(row: &Row<'_>) -> rusqlite::Result<Self> {
        Ok(Self {
            number: row.get("number")?,
            job: row.get::<_, Json<Job>>("job")?.0,
            units: row.get::<_, Word<Units>>("units")?.0,
            received_at: row.get("received_at")?,
            pieces: count(row, "pieces")?,
            started: count(row, "started")?,
            bent: count(row, "bent")?,
            loaded: count(row, "loaded")?,
            installed: count(row, "installed")?,
            reported: count(row, "reported")?,
            mass_kg: row.get("mass_kg")?,
            longest: row.get::<_, Json<Measure>>("longest")?.0,
        })
    }
}

impl Reader {
    /// The current orders, latest first. Replaced ones are not among them.
    pub fn orders(&self) -> Result<Vec<OrderSummary>, StoreError> {
        self.summaries(None)
    }

    /// The current order of this number.
    pub fn order(&self, number: &str) -> Result<Option<OrderSummary>, StoreError> {
        Ok(self.summaries(Some(number))?.pop())
    }

    fn summaries(&self, number: Option<&str>) -> Result<Vec<OrderSummary>, StoreError> {
        let connection = self.connection();
        let mut query = connection.prepare_cached(&format!(
            "SELECT o.number, o.job, o.units, o.received_at, COUNT(*) AS pieces,
                    COUNT(*) FILTER (WHERE NOT bent AND step ->> '$.done' > 0) AS started, SUM(bent) AS bent,
                    SUM(loaded) AS loaded, SUM(installed) AS installed, COUNT(reported) AS reported, SUM(mass_kg) AS mass_kg,
                    (SELECT length FROM pieces WHERE order_id = o.id ORDER BY length_mm DESC LIMIT 1) AS longest
             FROM orders o JOIN (SELECT p.order_id, p.mass_kg, {FACTS} FROM pieces p WHERE {STANDS}) ON order_id = o.id
             WHERE o.replaced_by IS NULL AND (?1 IS NULL OR o.number = ?1)
             GROUP BY o.id ORDER BY o.id DESC"
        ))?;
        let rows = query.query_map([number], OrderSummary::read)?;
        Ok(rows.collect::<Result<_, _>>()?)
    }

    /// The current order of this number as it was received.
    pub fn order_document(&self, number: &str) -> Result<Option<Value>, StoreError> {
        self.of_order(number, "document")
    }

    /// What a person should know before cutting this order.
    pub fn notices(&self, number: &str) -> Result<Option<Vec<Notice>>, StoreError> {
        self.of_order(number, "notices")
    }

    fn of_order<T: DeserializeOwned>(&self, number: &str, column: &str) -> Result<Option<T>, StoreError> {
        let found = self
            .connection()
            .prepare_cached(&format!("SELECT {column} FROM orders WHERE number = ? AND replaced_by IS NULL"))?
            .query_row([number], |row| row.get::<_, Json<T>>(0))
            .optional()?;
        Ok(found.map(|Json(value)| value))
    }
}

#[cfg(test)]
mod tests {
    use super::super::Event;
    use super::super::fixture::{Kept, Order};

    #[test]
    fn says_how_far_each_order_is() {
        let kept = Kept::new();
        let first = Order::new("2041", &["A1", "A2", "A3", "A4"]);
        first.accept(&kept, 6).unwrap();
        let second = Order::new("2042", &["B1"]);
        second.accept(&kept, 7).unwrap();
        let tell = |code: &str, event: Event| {
            let id = format!("{code}{event:?}");
            kept.record(code, &event, &id, None, 8).unwrap();
        };
        tell("A1", Event::step(2));
        tell("A2", Event::step(2));
        tell("A2", Event::step(0));
        tell("A3", Event::step(3));
        tell("A3", Event::bent());
        tell("A4", Event::bent());
        tell("A4", Event::Loaded);
        tell("A4", Event::Installed);
        tell("A4", Event::Reported { why: "scratched".into() });
        tell("A4", Event::Reported { why: "dented".into() });

        let orders = kept.orders().unwrap();
        let numbers: Vec<&str> = orders.iter().map(|order| order.number.as_str()).collect();
        assert_eq!(numbers, ["2042", "2041"]);
        let order = &orders[1];
        assert_eq!(
            [order.pieces, order.started, order.bent, order.loaded, order.installed, order.reported],
            [4, 1, 2, 1, 1, 1]
        );
        let mass: f64 = first.plan.pieces.iter().map(|piece| piece.mass_kg).sum();
        assert!((order.mass_kg - mass).abs() < 1e-9 && mass > 0.0);
        assert_eq!((order.longest.mm, &orders[0].longest.mm), (3000.0, &2000.0));
        assert_eq!((&orders[0].job, orders[0].received_at), (&second.job, 7));
        assert_eq!(kept.order("2041").unwrap().as_ref(), Some(order));
    }

    #[test]
    fn gives_back_what_was_received() {
        let kept = Kept::new();
        let order = Order::new("2041", &["A1"]);
        order.accept(&kept, 0).unwrap();
        let kept = kept.reopened();
        assert_eq!(kept.order_document("2041").unwrap(), Some(order.document));
        assert_eq!(kept.notices("2041").unwrap(), Some(order.plan.notices));
        assert_eq!(kept.order_document("2042").unwrap(), None);
        assert!(kept.order("2042").unwrap().is_none());
    }
}
