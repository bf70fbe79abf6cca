//! The pieces of an order: in light rows for lists, and whole.

use rusqlite::{OptionalExtension, Row, params};
use serde::Serialize;

use super::column::{Json, Word, count};
use super::event::FACTS;
use super::{OrderHead, Reader, State, StoreError};
use crate::order::Trim;
use crate::order::plan::{Measure, Piece};

/// What a list shows of a piece.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct PieceRow {
    pub code: String,
    /// Its turn in the order of cutting, 0 first.
    pub seq: usize,
    pub mark: String,
    pub wall: String,
    pub trim: Trim,
    pub run: usize,
    pub place: usize,
    pub of: usize,
    /// Finished length.
    pub length: Measure,
    pub mass_kg: f64,
    pub steps: usize,
    /// Steps done, as far as was said last.
    pub done: usize,
    pub state: State,
    /// Why it was reported last, if it was.
    pub reported: Option<String>,
}

/// A piece with its order and how far it is.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct PieceRecord {
    pub order: OrderHead,
    pub row: PieceRow,
    pub piece: Piece,
}

const COLUMNS: &str = "p.code, p.seq, p.mark, p.wall, p.trim, p.run, p.place, p.places, p.length, p.mass_kg, p.steps";

impl PieceRow {
    fn read(row: &Row<'_>) -> rusqlite::Result<Self> {
        let done = count(row, "done")?;
        Ok(Self {
            code: row.get("code")?,
            seq: count(row, "seq")?,
            mark: row.get("mark")?,
            wall: row.get("wall")?,
            trim: row.get::<_, Word<Trim>>("trim")?.0,
            run: count(row, "run")?,
            place: count(row, "place")?,
            of: count(row, "places")?,
            length: row.get::<_, Json<Measure>>("length")?.0,
            mass_kg: row.get("mass_kg")?,
            steps: count(row, "steps")?,
            done,
            state: State::of(done, row.get("bent")?, row.get("loaded")?, row.get("installed")?),
            reported: row.get("reported")?,
        })
    }
}

impl PieceRecord {
    fn read(row: &Row<'_>) -> rusqlite::Result<Self> {
        Ok(Self {
            order: OrderHead::read(row)?,
            row: PieceRow::read(row)?,
            piece: row.get::<_, Json<Piece>>("record")?.0,
        })
    }
}

impl Reader {
    /// Pieces of the current order of this number, in the order of cutting: at most `limit`, from turn `from`.
    /// Empty when there is no such order.
    pub fn pieces(&self, number: &str, from: usize, limit: usize) -> Result<Vec<PieceRow>, StoreError> {
        let connection = self.connection();
        let mut query = connection.prepare_cached(&format!(
            "SELECT {COLUMNS}, {FACTS} FROM pieces p JOIN orders o ON o.id = p.order_id
             WHERE o.number = ? AND o.replaced_by IS NULL AND p.seq >= ? ORDER BY p.seq LIMIT ?"
        ))?;
        let rows = query.query_map(params![number, whole(from), whole(limit)], PieceRow::read)?;
        Ok(rows.collect::<Result<_, _>>()?)
    }

    /// The piece with this code, also one of a replaced order.
    pub fn piece(&self, code: &str) -> Result<Option<PieceRecord>, StoreError> {
        Ok(self.connection().prepare_cached(&records("p.code = ?"))?.query_row([code], PieceRecord::read).optional()?)
    }

    /// All the pieces of the run that the piece with this code belongs to, from left to right. Empty for an unknown
    /// code.
    pub fn run_of(&self, code: &str) -> Result<Vec<PieceRecord>, StoreError> {
        let connection = self.connection();
        let mut query = connection.prepare_cached(&records(
            "(p.order_id, p.run) = (SELECT order_id, run FROM pieces WHERE code = ?) ORDER BY p.place",
        ))?;
        let rows = query.query_map([code], PieceRecord::read)?;
        Ok(rows.collect::<Result<_, _>>()?)
    }
}

fn records(which: &str) -> String {
    let order = OrderHead::COLUMNS;
    format!(
        "SELECT {order}, {COLUMNS}, p.record, {FACTS} FROM pieces p JOIN orders o ON o.id = p.order_id WHERE {which}"
    )
}

/// SQLite's integers are signed. No order has so many pieces that the difference matters.
pub(super) fn whole(number: usize) -> i64 {
    i64::try_from(number).unwrap_or(i64::MAX)
}

#[cfg(test)]
mod tests {
    use super::super::fixture::{Kept, Order};

    #[test]
    fn pages_through_an_order_in_the_order_of_cutting() {
        let kept = Kept::with(&["Z1", "A2", "M3"]);
        Order::new("2042", &["B1"]).accept(&kept, 0).unwrap();
        let codes = |from, limit| -> Vec<String> {
            kept.pieces("2041", from, limit).unwrap().into_iter().map(|row| row.code).collect()
        };
        assert_eq!(codes(0, 2), ["Z1", "A2"]);
        assert_eq!(codes(2, usize::MAX), ["M3"]);
        assert!(codes(3, 2).is_empty());
        assert!(kept.pieces("2043", 0, 9).unwrap().is_empty());
    }

    #[test]
    fn a_piece_is_kept_as_planned() {
        let kept = Kept::new();
        let order = Order::new("2041", &["A1", "A2", "R1"]);
        order.accept(&kept, 0).unwrap();
        let run = kept.run_of("A2").unwrap();
        let planned = |code| kept.run_of(code).unwrap().into_iter().map(|record| record.piece).collect::<Vec<_>>();
        assert_eq!([planned("A2"), planned("R1")].concat(), order.plan.pieces);
        let record = kept.piece("A2").unwrap().unwrap();
        assert_eq!(record, run[1]);
        assert_eq!((record.order.number.as_str(), &record.order.job), ("2041", &order.job));
        let (row, piece) = (record.row, record.piece);
        assert_eq!((row.code.as_str(), row.seq), ("A2", 1));
        assert_eq!((row.mark, row.wall, row.trim), (piece.mark, piece.wall, piece.trim));
        assert_eq!((row.run, row.place, row.of), (piece.run, piece.place, piece.of));
        assert_eq!((row.length, row.mass_kg, row.steps), (piece.length, piece.mass_kg, piece.steps.len()));
        assert!(kept.piece("A9").unwrap().is_none());
        assert!(kept.run_of("A9").unwrap().is_empty());
    }
}
