//! The pieces of an order: in light rows for lists, and whole.

use rusqlite::{Connection, OptionalExtension, Row, params};
use serde::{Deserialize, Serialize};

use super::column::{InTurn, Json, Word};
use super::event::{FACTS, STANDS};
use super::{Bench, OrderHead, PrintState, Reader, Remade, State, StoreError};
use crate::order::Trim;
use crate::order::plan::{Measure, Piece};

/// What a list shows of a piece.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct PieceRow {
    pub code: String,
    /// The code on its newest label: its own, unless that was printed again.
    pub label: String,
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
    /// The code of the first of the pieces that are cut alike, this one among them. None for a piece without a twin.
    pub alike: Option<String>,
    /// Who is making it.
    pub bench: Option<Bench>,
    /// Its finished length as it was measured last.
    pub measured: Option<Measured>,
    /// The code of the piece it is made in place of.
    pub remake_of: Option<String>,
    /// Why that was made again.
    pub remake_why: Option<String>,
    /// The state of its label's newest print, cancelled ones apart.
    pub print: Option<PrintState>,
    /// What the printer said of it.
    pub said: String,
}

/// A finished length, by tape.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Measured {
    pub mm: f64,
    /// Taken though it is out of tolerance.
    pub accepted: bool,
    /// Said to be as it should be; no reading was taken.
    #[serde(skip_serializing_if = "std::ops::Not::not")]
    pub as_wanted: bool,
    pub by: Option<String>,
}

/// A piece with its order and how far it is.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct PieceRecord {
    pub order: OrderHead,
    pub row: PieceRow,
    /// What became of it, if another piece was made in its place.
    pub remade: Option<Remade>,
    pub piece: Piece,
}

const COLUMNS: &str = "p.code, p.seq, p.mark, p.wall, p.trim, p.run, p.place, p.places, p.length, p.mass_kg, p.steps";

/// What a row says beside [`FACTS`].
const MORE: &str = "
    IFNULL((SELECT event ->> '$.label' FROM events WHERE code = p.code AND kind = 'reprinted'
            ORDER BY seq DESC LIMIT 1), p.code) AS label,
    (SELECT first FROM twins WHERE code = p.code) AS alike,
    again.code AS remake_of, again.event ->> '$.why' AS remake_why,
    tape.event, tape.by, print.state, print.said";

/// A piece, its order, and the latest of what is told of it in more than one column. The `+` lets the index `remakes` be
/// used: its column has no type to convert to.
const SOURCES: &str = "
    pieces p JOIN orders o ON o.id = p.order_id
    LEFT JOIN events tape ON tape.seq = (SELECT MAX(seq) FROM events WHERE code = p.code AND kind = 'measured')
    LEFT JOIN events again ON again.kind = 'remade' AND again.event ->> '$.as' = +p.code
    LEFT JOIN prints print ON print.id = (SELECT id FROM prints WHERE piece = p.code AND state <> 'cancelled'
                                          ORDER BY id DESC LIMIT 1)";

/// As much of a step's event as a row says.
#[derive(Default, Deserialize)]
struct Step {
    done: usize,
    bench: Option<Bench>,
    #[serde(default)]
    let_go: bool,
}

/// As much of a measuring's event.
#[derive(Deserialize)]
struct Tape {
    mm: f64,
    accepted: bool,
    #[serde(default)]
    as_wanted: bool,
}

impl PieceRow {
    /// From [`COLUMNS`], [`FACTS`] and [`MORE`], in this order, before any others.
    fn read(row: &Row<'_>) -> rusqlite::Result<Self> {
        let mut columns = InTurn::of(row);
        let (code, seq) = (columns.take()?, columns.count()?);
        let (mark, wall, Word(trim)) = (columns.take()?, columns.take()?, columns.take()?);
        let (run, place, of) = (columns.count()?, columns.count()?, columns.count()?);
        let (Json(length), mass_kg, steps) = (columns.take()?, columns.take()?, columns.count()?);

        let (bent, loaded, installed) = (columns.take()?, columns.take()?, columns.take()?);
        let Step { done, bench, let_go } =
            columns.take::<Option<Json<Step>>>()?.map(|Json(step)| step).unwrap_or_default();
        let reported = columns.take()?;

        let (label, alike) = (columns.take()?, columns.take()?);
        let (remake_of, remake_why) = (columns.take()?, columns.take()?);
        let (tape, by): (Option<Json<Tape>>, _) = (columns.take()?, columns.take()?);
        let (print, said): (Option<Word<PrintState>>, Option<String>) = (columns.take()?, columns.take()?);

        Ok(Self {
            code,
            label,
            seq,
            mark,
            wall,
            trim,
            run,
            place,
            of,
            length,
            mass_kg,
            steps,
            done,
            state: State::of(done, bent, loaded, installed),
            reported,
            alike,
            bench: bench.filter(|_| !bent && !let_go),
            measured: tape.map(|Json(Tape { mm, accepted, as_wanted })| Measured { mm, accepted, as_wanted, by }),
            remake_of,
            remake_why,
            print: print.map(|Word(state)| state),
            said: said.unwrap_or_default(),
        })
    }
}

impl PieceRecord {
    fn read(row: &Row<'_>) -> rusqlite::Result<Self> {
        Ok(Self {
            order: OrderHead::read(row)?,
            row: PieceRow::read(row)?,
            remade: row.get::<_, Option<Json<Remade>>>("remade")?.map(|Json(remade)| remade),
            piece: row.get::<_, Json<Piece>>("record")?.0,
        })
    }

    /// The piece with this code of its own, whatever became of it.
    pub(super) fn find(connection: &Connection, code: &str) -> rusqlite::Result<Option<Self>> {
        connection.prepare_cached(&records("p.code = ?"))?.query_row([code], Self::read).optional()
    }
}

impl Reader {
    /// Pieces of the current order of this number that stand, in the order of cutting: at most `limit`, from turn `from`.
    /// A piece that was made again leaves a gap in the turns. Empty when there is no such order.
    pub fn pieces(&self, number: &str, from: usize, limit: usize) -> Result<Vec<PieceRow>, StoreError> {
        let connection = self.connection();
        let mut query = connection.prepare_cached(&format!(
            "SELECT {COLUMNS}, {FACTS}, {MORE} FROM {SOURCES}
             WHERE o.number = ? AND o.replaced_by IS NULL AND p.seq >= ? AND {STANDS} ORDER BY p.seq LIMIT ?"
        ))?;
        let rows = query.query_map(params![number, whole(from), whole(limit)], PieceRow::read)?;
        Ok(rows.collect::<Result<_, _>>()?)
    }

    /// The piece with this code of its own, also one of a replaced order, or one that was made again.
    pub fn piece(&self, code: &str) -> Result<Option<PieceRecord>, StoreError> {
        Ok(PieceRecord::find(&self.connection(), code)?)
    }

    /// All the pieces that stand of the run that the piece with this code belongs to, from left to right. Empty for an
    /// unknown code.
    pub fn run_of(&self, code: &str) -> Result<Vec<PieceRecord>, StoreError> {
        let connection = self.connection();
        let mut query = connection.prepare_cached(&records(&format!(
            "(p.order_id, p.run) = (SELECT order_id, run FROM pieces WHERE code = ?) AND {STANDS} ORDER BY p.place"
        )))?;
        let rows = query.query_map([code], PieceRecord::read)?;
        Ok(rows.collect::<Result<_, _>>()?)
    }
}

fn records(which: &str) -> String {
    let (order, remade) = (OrderHead::COLUMNS, Remade::COLUMN);
    format!("SELECT {COLUMNS}, {FACTS}, {MORE}, {order}, {remade}, p.record FROM {SOURCES} WHERE {which}")
}

/// SQLite's integers are signed. No order has so many pieces that the difference matters.
pub(super) fn whole(number: usize) -> i64 {
    i64::try_from(number).unwrap_or(i64::MAX)
}

#[cfg(test)]
mod tests {
    use super::super::fixture::{Kept, Order};
    use super::super::{Asking, PrintState};

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
    fn a_row_tells_of_the_newest_print_that_was_not_given_up() {
        let kept = Kept::with(&["A1"]);
        let row = || kept.piece("A1").unwrap().unwrap().row;
        let print = |id| kept.ask_print("A1", "L1", Asking { id, by: None, now: 1 }).unwrap().1;
        assert_eq!((row().print, row().said.as_str()), (None, ""));
        kept.print_became(print("1").id, PrintState::Cancelled, "not wanted", 2).unwrap();
        assert_eq!((row().print, row().said.as_str()), (None, ""));
        kept.print_said(&print("2"), "out of labels", 3).unwrap();
        assert_eq!((row().print, row().said.as_str()), (Some(PrintState::Waiting), "out of labels"));
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
