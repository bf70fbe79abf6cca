//! Labels on their way through the printer: asked for once, printed once, and none forgotten.
//!
//! A print is `waiting`, then `sending` while the printer is being given it, `sent` when the printer has a number for it, and
//! `printed` when the printer says it came out. Whoever sends writes `sending` before and the number after, so that what a
//! power cut leaves behind is known for what it is. What nobody can tell is `unsure`, and waits for a person.
//!
//! Here is what the clerk writes, who takes labels to the printer; in [`ask`] what those write who want one, and in
//! [`decide`] what a person does about one.

mod ask;
mod decide;
mod state;

use rusqlite::{Connection, OptionalExtension, Row, params};
use thiserror::Error;

pub use ask::Asking;
pub use state::PrintState;
use state::PrintState::{Cancelled, Sending, Sent, Stopped, Waiting};
use state::{By, cannot};

use super::column::Word;
use super::labels::was_out;
use super::pieces::whole;
use super::record::keep_event;
use super::{Event, Reader, RecordError, Refusal, Store, StoreError};

/// One label to be printed.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Print {
    pub id: i64,
    /// Chosen by whoever asked for it.
    pub request: String,
    /// The piece's own code; none for the test label.
    pub piece: Option<String>,
    pub mark: Option<String>,
    /// The number of the piece's order.
    pub order: Option<String>,
    /// The code on the label.
    pub label: String,
    /// Asked for as a reprint.
    pub once_more: bool,
    /// It says that it is a reprint: every label but a piece's first does, however it was asked for.
    pub reprint: bool,
    pub by: Option<String>,
    /// When it was asked for, milliseconds UTC.
    pub at: i64,
    pub state: PrintState,
    /// A person no longer wants what is at the printer.
    pub called_off: bool,
    /// Somebody may hold what came of it, whatever became of it since.
    pub may_be_out: bool,
    /// Where it was sent last.
    pub printer: Option<String>,
    /// That printer's number for it.
    pub job: Option<i32>,
    /// What the job is called at the printer. Every time a print is sent it has a new name, known before the printer is
    /// given it.
    pub job_name: Option<String>,
    /// What was last to be said of it.
    pub said: String,
    /// Milliseconds UTC.
    pub changed_at: i64,
}

/// What cannot be done with a print. Nothing is changed.
#[derive(Debug, Clone, PartialEq, Eq, Error)]
pub enum PrintRefusal {
    #[error("this piece's label was printed before: ask for a reprint, which gives it a new code")]
    PrintedBefore,
    #[error("this piece's label is at the printer: wait until it is out, or cancel it")]
    AtPrinter,
    #[error("this request's id was used for something else: give every request an id of its own")]
    IdReused,
    #[error("there is no such print")]
    Unknown,
    #[error("{}", cannot(*.from, *.to))]
    NotNow { from: PrintState, to: PrintState },
}

/// Why a print is not as it was to be.
#[derive(Debug, Error)]
pub enum PrintError {
    #[error(transparent)]
    Refused(#[from] PrintRefusal),
    /// Of the piece.
    #[error(transparent)]
    Piece(#[from] Refusal),
    #[error(transparent)]
    Store(#[from] StoreError),
}

impl From<rusqlite::Error> for PrintError {
    fn from(error: rusqlite::Error) -> Self {
        Self::Store(error.into())
    }
}

impl From<RecordError> for PrintError {
    fn from(error: RecordError) -> Self {
        match error {
            RecordError::Refused(refusal) => Self::Piece(refusal),
            RecordError::Store(error) => Self::Store(error),
        }
    }
}

const COLUMNS: &str = "
    r.id, r.request, r.piece, p.mark, o.number, r.label, r.once_more, r.by, r.at, r.state, r.called_off, r.may_be_out, r.printer,
    r.job, r.job_name, r.said, r.changed_at
    FROM prints r LEFT JOIN pieces p ON p.code = r.piece LEFT JOIN orders o ON o.id = p.order_id";

/// As the index of open prints says it.
const OPEN: &str = "r.state NOT IN ('printed', 'cancelled')";

impl Print {
    fn read(row: &Row<'_>) -> rusqlite::Result<Self> {
        let (piece, label): (Option<String>, String) = (row.get("piece")?, row.get("label")?);
        Ok(Self {
            id: row.get("id")?,
            request: row.get("request")?,
            reprint: piece.as_ref().is_some_and(|piece| *piece != label),
            piece,
            mark: row.get("mark")?,
            order: row.get("number")?,
            label,
            once_more: row.get("once_more")?,
            by: row.get("by")?,
            at: row.get("at")?,
            state: row.get::<_, Word<PrintState>>("state")?.0,
            called_off: row.get("called_off")?,
            may_be_out: row.get("may_be_out")?,
            printer: row.get("printer")?,
            job: row.get("job")?,
            job_name: row.get("job_name")?,
            said: row.get("said")?,
            changed_at: row.get("changed_at")?,
        })
    }

    fn find(connection: &Connection, id: i64) -> rusqlite::Result<Option<Self>> {
        connection.prepare_cached(&format!("SELECT {COLUMNS} WHERE r.id = ?"))?.query_row([id], Self::read).optional()
    }

    fn of_request(connection: &Connection, request: &str) -> rusqlite::Result<Option<Self>> {
        connection
            .prepare_cached(&format!("SELECT {COLUMNS} WHERE r.request = ?"))?
            .query_row([request], Self::read)
            .optional()
    }

    /// The newest first.
    fn of_piece(connection: &Connection, piece: &str) -> rusqlite::Result<Vec<Self>> {
        connection
            .prepare_cached(&format!("SELECT {COLUMNS} WHERE r.piece = ? ORDER BY r.id DESC"))?
            .query_map([piece], Self::read)?
            .collect()
    }

    /// # Errors
    /// [`PrintRefusal::NotNow`] when it cannot become that by their word.
    fn becomes(&self, connection: &Connection, to: PrintState, by: By, said: &str, now: i64) -> Result<(), PrintError> {
        if !self.state.may_become(to, by) {
            return Err(PrintRefusal::NotNow { from: self.state, to }.into());
        }
        self.write(connection, to, said, now)?;
        if to.may_be_out() {
            self.came_out_perhaps(connection, now)?;
        }
        Ok(())
    }

    fn write(&self, connection: &Connection, state: PrintState, said: &str, now: i64) -> rusqlite::Result<()> {
        connection
            .prepare_cached(
                "UPDATE prints SET state = ?2, said = ?3, changed_at = ?4, called_off = called_off AND ?5 WHERE id = ?1",
            )?
            .execute(params![self.id, state.word(), said, now, state.is_at_printer()])?;
        Ok(())
    }

    /// From now on its label is its piece's newest, unless it is or was that already: somebody may hold it. Not before: one
    /// that never comes out must not retire one that somebody does hold.
    fn came_out_perhaps(&self, connection: &Connection, now: i64) -> Result<(), PrintError> {
        connection
            .prepare_cached("UPDATE prints SET may_be_out = TRUE WHERE id = ? AND NOT may_be_out")?
            .execute([self.id])?;
        if let Self { id, piece: Some(piece), label, by, .. } = self
            && !was_out(connection, label)?
        {
            // Nobody who reports an event can choose such an id.
            let event = Event::Reprinted { label: label.clone() };
            keep_event(connection, piece, &event, &format!("print:{id}:{label}"), by.as_deref(), now)?;
        }
        Ok(())
    }
}

impl Reader {
    pub fn print(&self, id: i64) -> Result<Option<Print>, StoreError> {
        Ok(Print::find(&self.connection(), id)?)
    }

    /// Prints that are neither out nor cancelled, oldest first.
    pub fn open_prints(&self, limit: usize) -> Result<Vec<Print>, StoreError> {
        let connection = self.connection();
        let mut query = connection.prepare_cached(&format!("SELECT {COLUMNS} WHERE {OPEN} ORDER BY r.id LIMIT ?"))?;
        let rows = query.query_map([whole(limit)], Print::read)?;
        Ok(rows.collect::<Result<_, _>>()?)
    }

    /// What the printer has, or may have: `sending` or `sent`, oldest first. After a power cut, what it left behind.
    pub fn prints_under_way(&self) -> Result<Vec<Print>, StoreError> {
        let connection = self.connection();
        let mut query = connection.prepare_cached(&format!(
            "SELECT {COLUMNS} WHERE {OPEN} AND r.state IN ('sending', 'sent') ORDER BY r.id"
        ))?;
        let rows = query.query_map([], Print::read)?;
        Ok(rows.collect::<Result<_, _>>()?)
    }

    /// The print that has waited longest.
    pub fn next_print(&self) -> Result<Option<Print>, StoreError> {
        Ok(self
            .connection()
            .prepare_cached(&format!("SELECT {COLUMNS} WHERE {OPEN} AND r.state = 'waiting' ORDER BY r.id LIMIT 1"))?
            .query_row([], Print::read)
            .optional()?)
    }
}

impl Store {
    /// Writes that the printer at this address is about to be given a waiting print.
    ///
    /// # Errors
    /// [`PrintRefusal::NotNow`] when it does not wait (any more).
    pub fn print_sending(&self, id: i64, printer: &str, now: i64) -> Result<Print, PrintError> {
        self.change(id, |connection, print| {
            print.becomes(connection, Sending, By::Clerk, "", now)?;
            connection
                .prepare_cached(
                    "UPDATE prints SET printer = ?1, job = NULL,
                            job_name = printf('brakeside-%d-%012d-%s', ?2, (SELECT count FROM changes), request)
                     WHERE id = ?3",
                )?
                .execute(params![printer, now, id])?;
            Ok(())
        })
    }

    /// Writes the printer's number for a print that was being sent.
    ///
    /// # Errors
    /// [`PrintRefusal::NotNow`] when it was not.
    pub fn print_sent(&self, id: i64, job: i32, now: i64) -> Result<Print, PrintError> {
        self.change(id, |connection, print| {
            print.becomes(connection, Sent, By::Clerk, "", now)?;
            connection.prepare_cached("UPDATE prints SET job = ? WHERE id = ?")?.execute(params![job, id])?;
            Ok(())
        })
    }

    /// Writes that nobody heard whether the printer took a print that was being sent: it may come out at any time.
    ///
    /// # Errors
    /// [`PrintRefusal::Unknown`].
    pub fn print_perhaps_out(&self, id: i64, now: i64) -> Result<Print, PrintError> {
        self.change(id, |connection, print| print.came_out_perhaps(connection, now))
    }

    /// Writes what became of a print, and what is said of it. One that was called off, and would wait for the printer or for a
    /// person now, is cancelled: nobody wants it.
    ///
    /// # Errors
    /// [`PrintRefusal::NotNow`] when it cannot become that from what it is.
    pub fn print_became(&self, id: i64, to: PrintState, said: &str, now: i64) -> Result<Print, PrintError> {
        self.change(id, |connection, print| {
            let to = if print.called_off && matches!(to, Waiting | Stopped) { Cancelled } else { to };
            print.becomes(connection, to, By::Clerk, said, now)
        })
    }

    /// Writes what is said of a print that stays as it is. `of` is what it was when that was learnt: of what it has become
    /// since, it need not hold, and is not written.
    ///
    /// # Errors
    /// When the store fails.
    pub fn print_said(&self, of: &Print, said: &str, now: i64) -> Result<(), PrintError> {
        self.change(of.id, |connection, print| {
            if print.state == of.state && print.said != said {
                print.write(connection, print.state, said, now)?;
            }
            Ok(())
        })
        .map(drop)
    }

    /// Changes a print, and gives what it is then.
    fn change(
        &self,
        id: i64,
        change: impl FnOnce(&Connection, &Print) -> Result<(), PrintError>,
    ) -> Result<Print, PrintError> {
        self.write(|connection| {
            change(connection, &Print::find(connection, id)?.ok_or(PrintRefusal::Unknown)?)?;
            Ok(Print::find(connection, id)?.ok_or(PrintRefusal::Unknown)?)
        })
    }
}

#[cfg(test)]
mod tests;
