//! What was planned beside the pieces: each run as it will lie, and what to buy and how to load for the whole order.
//!
//! Orders accepted before brakeside planned these have none.

use rusqlite::{OptionalExtension, Row, params};
use serde::Serialize;

use super::column::{Json, Word, count};
use super::pieces::whole;
use super::{Reader, StoreError};
use crate::order::Trim;
use crate::order::plan::Measure;
use crate::order::sheet::{OrderSheet, RunSheet};

/// What a list shows of a run.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct RunRow {
    /// Which run of the order, 0 first.
    pub run: usize,
    pub wall: String,
    pub trim: Trim,
    /// Finished.
    pub length: Measure,
    pub laps: usize,
}

impl RunRow {
    fn read(row: &Row<'_>) -> rusqlite::Result<Self> {
        Ok(Self {
            run: count(row, "run")?,
            wall: row.get("wall")?,
            trim: row.get::<_, Word<Trim>>("trim")?.0,
            length: row.get::<_, Json<Measure>>("length")?.0,
            laps: count(row, "laps")?,
        })
    }
}

impl Reader {
    /// What to buy for the current order of this number, and how it travels.
    pub fn order_sheet(&self, number: &str) -> Result<Option<OrderSheet>, StoreError> {
        let found = self
            .connection()
            .prepare_cached("SELECT sheet FROM orders WHERE number = ? AND replaced_by IS NULL")?
            .query_row([number], |row| row.get::<_, Option<Json<OrderSheet>>>(0))
            .optional()?;
        Ok(found.flatten().map(|Json(sheet)| sheet))
    }

    /// How many runs of the current order of this number have a sheet: all or none.
    pub fn run_count(&self, number: &str) -> Result<usize, StoreError> {
        Ok(self
            .connection()
            .prepare_cached(
                "SELECT COUNT(*) AS runs FROM runs r JOIN orders o ON o.id = r.order_id
                 WHERE o.number = ? AND o.replaced_by IS NULL",
            )?
            .query_row([number], |row| count(row, "runs"))?)
    }

    /// Runs of the current order of this number, in its own order: at most `limit`, from run `from`. Empty when there is
    /// no such order, or it has no sheets.
    pub fn runs(&self, number: &str, from: usize, limit: usize) -> Result<Vec<RunRow>, StoreError> {
        let connection = self.connection();
        let mut query = connection.prepare_cached(
            "SELECT r.run, r.wall, r.trim, r.length, r.laps FROM runs r JOIN orders o ON o.id = r.order_id
             WHERE o.number = ? AND o.replaced_by IS NULL AND r.run >= ? ORDER BY r.run LIMIT ?",
        )?;
        let rows = query.query_map(params![number, whole(from), whole(limit)], RunRow::read)?;
        Ok(rows.collect::<Result<_, _>>()?)
    }

    /// This run of the current order of this number, as it will lie.
    pub fn run_sheet(&self, number: &str, run: usize) -> Result<Option<RunSheet>, StoreError> {
        let found = self
            .connection()
            .prepare_cached(
                "SELECT r.record FROM runs r JOIN orders o ON o.id = r.order_id
                 WHERE o.number = ? AND o.replaced_by IS NULL AND r.run = ?",
            )?
            .query_row(params![number, whole(run)], |row| row.get::<_, Json<RunSheet>>(0))
            .optional()?;
        Ok(found.map(|Json(sheet)| sheet))
    }

    /// The run that the piece with this code belongs to, as it will lie.
    pub fn run_sheet_of(&self, code: &str) -> Result<Option<RunSheet>, StoreError> {
        let found = self
            .connection()
            .prepare_cached(
                "SELECT r.record FROM pieces p JOIN runs r ON (r.order_id, r.run) = (p.order_id, p.run) WHERE p.code = ?",
            )?
            .query_row([code], |row| row.get::<_, Json<RunSheet>>(0))
            .optional()?;
        Ok(found.map(|Json(sheet)| sheet))
    }
}

#[cfg(test)]
mod tests {
    use super::super::fixture::{self, Kept, Order};
    use crate::order::Trim;
    use crate::order::plan::PieceEnd;

    #[test]
    fn runs_and_sheet_are_kept_as_planned() {
        let kept = Kept::new();
        let order = Order::new("2041", &["A1", "A2", "R1"]);
        order.accept(&kept, 0).unwrap();
        let kept = kept.reopened();
        assert_eq!(kept.order_sheet("2041").unwrap(), order.plan.sheet);
        let [end_wall, reglet] = order.plan.runs.as_slice() else { panic!("{:?}", order.plan.runs) };
        assert_eq!(kept.run_sheet("2041", 1).unwrap().as_ref(), Some(reglet));
        assert_eq!(kept.run_sheet_of("A2").unwrap().as_ref(), Some(end_wall));
        assert_eq!(kept.run_sheet_of("R1").unwrap().as_ref(), Some(reglet));
        assert_eq!(kept.run_count("2041").unwrap(), 2);
        let rows = kept.runs("2041", 0, 9).unwrap();
        let row = &rows[0];
        assert_eq!(
            (row.run, &row.wall, row.trim, &row.length, row.laps),
            (0, &end_wall.wall, end_wall.trim, &end_wall.length, 1)
        );
        assert_eq!(kept.runs("2041", 1, 9).unwrap(), rows[1..]);
        assert!(kept.run_sheet("2041", 2).unwrap().is_none() && kept.order_sheet("2042").unwrap().is_none());
        kept.verify().unwrap();
    }

    #[test]
    fn a_replaced_orders_sheets_go_with_it() {
        let kept = Kept::with(&["A1", "A2"]);
        Order::new("2041", &["B1"]).replacing().accept(&kept, 1).unwrap();
        assert_eq!(kept.runs("2041", 0, 9).unwrap().len(), 1);
        // Of two orders' first runs, each label still leads to its own.
        let trim = |code| kept.run_sheet_of(code).unwrap().map(|run| run.trim);
        assert_eq!([trim("A1"), trim("B1")], [Some(Trim::EndWall), Some(Trim::Reglet)]);
        kept.verify().unwrap();
    }

    #[test]
    fn runs_stay_as_accepted() {
        let kept = Kept::with(&["A1"]);
        let writer = kept.store.writer.lock().unwrap();
        for change in ["UPDATE runs SET record = record", "DELETE FROM runs"] {
            let refused = writer.execute(change, []).unwrap_err().to_string();
            assert!(refused.contains("runs stay as accepted"), "{refused}");
        }
    }

    /// A store that the first released tables were made for, with a piece as the program of that day planned it.
    #[test]
    fn an_older_store_is_read_and_has_no_sheets() {
        let kept = fixture::of_first_version("A1");
        let record = kept.piece("A1").unwrap().unwrap();
        let (row, piece) = (record.row, record.piece);
        assert_eq!((row.mark.as_str(), row.steps, piece.steps.len()), ("C-EW-1", 8, 8));
        assert_eq!(piece.hem.map(|hem| (hem.width.text, hem.gap)), Some(("5/8\"".to_owned(), None)));
        assert_eq!((piece.section.heading_deg, piece.datum_hem), (-90.0, None));
        let bend = &piece.steps[5];
        assert_eq!((bend.bend, bend.lie, bend.stop, bend.handling.len()), (Some(0), None, None, 0));
        let lap: PieceEnd = serde_json::from_str(
            r#"{"end":"lap","lap":{"mm":152.4,"text":"6\""},"goes":"under","neighbour":"A-EW-2"}"#,
        )
        .unwrap();
        assert!(matches!(lap, PieceEnd::Lap { joint: false, .. }));
        assert!(kept.order_sheet("2041").unwrap().is_none() && kept.runs("2041", 0, 9).unwrap().is_empty());
        assert!(kept.run_sheet_of("A1").unwrap().is_none());
        kept.verify().unwrap();
        Order::new("2042", &["B1"]).accept(&kept, 1).unwrap();
        assert_eq!(kept.run_count("2042").unwrap(), 1);
    }
}
