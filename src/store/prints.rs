//! Labels on their way through the printer: asked for once, printed once, and none forgotten.
//!
//! A print is `waiting`, then `sending` while the printer is being given it, `sent` when the printer has a number for it, and
//! `printed` when the printer says it came out. Whoever sends writes `sending` before and the number after, so that what a
//! power cut leaves behind is known for what it is. What nobody can tell is `unsure`, and waits for a person.

mod state;

use rusqlite::{Connection, OptionalExtension, Row, params};
use thiserror::Error;

pub use state::PrintState;
use state::PrintState::{Cancelled, Sending, Sent, Stopped, Unsure, Waiting};
use state::cannot;

use super::column::Word;
use super::labels::{free, piece_of, standing};
use super::pieces::whole;
use super::record::keep_event;
use super::{Event, PieceRow, Reader, RecordError, Recorded, Refusal, Store, StoreError};

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
    pub reprint: bool,
    pub by: Option<String>,
    /// When it was asked for, milliseconds UTC.
    pub at: i64,
    pub state: PrintState,
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

/// Who asks for a print, and under which id. `now` is milliseconds UTC.
#[derive(Debug, Clone, Copy)]
pub struct Asking<'a> {
    /// The same request under the same id is taken once, however often it is sent.
    pub id: &'a str,
    pub by: Option<&'a str>,
    pub now: i64,
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
    r.id, r.request, r.piece, p.mark, o.number, r.label, r.reprint, r.by, r.at, r.state, r.printer, r.job, r.job_name, r.said,
    r.changed_at
    FROM prints r LEFT JOIN pieces p ON p.code = r.piece LEFT JOIN orders o ON o.id = p.order_id";

/// What is said of a request that found its label waiting: the print it found is its answer.
const WAITED_ALREADY: &str = "it was waiting already";

/// As the index of open prints says it.
const OPEN: &str = "r.state NOT IN ('printed', 'cancelled')";

impl Print {
    fn read(row: &Row<'_>) -> rusqlite::Result<Self> {
        Ok(Self {
            id: row.get("id")?,
            request: row.get("request")?,
            piece: row.get("piece")?,
            mark: row.get("mark")?,
            order: row.get("number")?,
            label: row.get("label")?,
            reprint: row.get("reprint")?,
            by: row.get("by")?,
            at: row.get("at")?,
            state: row.get::<_, Word<PrintState>>("state")?.0,
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
    /// Asks for the label of the piece that `code` names.
    ///
    /// # Errors
    /// When the piece does not stand, or its label was printed before.
    pub fn ask_print(&self, code: &str, asking: Asking) -> Result<(Recorded, Print), PrintError> {
        self.write(|connection| {
            if let Some(known) = known(connection, asking.id, Some(code))? {
                return Ok((Recorded::Again, known));
            }
            let PieceRow { code: piece, label, .. } = standing(connection, code)?.row;
            let earlier = Print::of_piece(connection, &piece)?;
            if earlier.iter().any(|print| !matches!(print.state, Cancelled | Stopped)) {
                return Err(PrintRefusal::PrintedBefore.into());
            }
            close(connection, &earlier, asking.now)?;
            // A label that is not the first says so, however it is asked for.
            let reprint = label != piece;
            Ok((Recorded::New, keep(connection, Some(&piece), &label, reprint, asking)?))
        })
    }

    /// Asks for the label of the piece once more. If one may be out already, the new one gets the code `new`, says that
    /// it is a reprint, and retires the old one when it is sent: one that is cancelled before leaves the old one as good as it
    /// was. One that still waits is as good, and is the answer.
    ///
    /// # Errors
    /// When the piece does not stand, or its label is at the printer.
    pub fn ask_reprint(&self, code: &str, new: &str, asking: Asking) -> Result<(Recorded, Print), PrintError> {
        self.write(|connection| {
            if let Some(known) = known(connection, asking.id, Some(code))? {
                return Ok((Recorded::Again, known));
            }
            let PieceRow { code: piece, label, .. } = standing(connection, code)?.row;
            let earlier = Print::of_piece(connection, &piece)?;
            if earlier.iter().any(|print| matches!(print.state, Sending | Sent)) {
                return Err(PrintRefusal::AtPrinter.into());
            }
            if let Some(waiting) = earlier.iter().find(|print| print.state == Waiting) {
                // Kept for its id alone: asked again under it, when the waiting one is out, there is still no other.
                let same = keep(connection, Some(&piece), &label, waiting.reprint, asking)?;
                become_now(connection, &same, Cancelled, WAITED_ALREADY, asking.now)?;
                return Ok((Recorded::Again, waiting.clone()));
            }
            close(connection, &earlier, asking.now)?;
            let label = match earlier.iter().any(|print| print.printer.is_some()) {
                true => {
                    free(connection, new)?;
                    new.to_owned()
                }
                false => label,
            };
            let reprint = label != piece;
            Ok((Recorded::New, keep(connection, Some(&piece), &label, reprint, asking)?))
        })
    }

    /// Asks for the test label, whose code is `label`.
    ///
    /// # Errors
    /// When the id was used for something else.
    pub fn ask_test_print(&self, label: &str, asking: Asking) -> Result<(Recorded, Print), PrintError> {
        self.write(|connection| match known(connection, asking.id, None)? {
            Some(known) => Ok((Recorded::Again, known)),
            None => Ok((Recorded::New, keep(connection, None, label, false, asking)?)),
        })
    }

    /// Writes that the printer at this address is about to be given a waiting print. A new label stands from now on.
    ///
    /// # Errors
    /// [`PrintRefusal::NotNow`] when it does not wait (any more).
    pub fn print_sending(&self, id: i64, printer: &str, now: i64) -> Result<Print, PrintError> {
        self.change(id, Sending, now, |connection, print| {
            retire_older(connection, print, now)?;
            connection
                .prepare_cached(
                    "UPDATE prints SET printer = ?1, job = NULL, said = '',
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
        self.change(id, Sent, now, |connection, _| {
            connection
                .prepare_cached("UPDATE prints SET job = ?, said = '' WHERE id = ?")?
                .execute(params![job, id])?;
            Ok(())
        })
    }

    /// Writes what became of a print, and what is said of it.
    ///
    /// # Errors
    /// [`PrintRefusal::NotNow`] when it cannot become that from what it is.
    pub fn print_became(&self, id: i64, to: PrintState, said: &str, now: i64) -> Result<Print, PrintError> {
        self.change(id, to, now, |connection, _| {
            connection.prepare_cached("UPDATE prints SET said = ? WHERE id = ?")?.execute(params![said, id])?;
            Ok(())
        })
    }

    /// Has a piece's label of which nobody knows whether it came out sent once more: under the code `new`, as a reprint, so
    /// that should both come out, one of them counts.
    ///
    /// # Errors
    /// [`PrintRefusal::NotNow`] when that is known.
    pub fn print_anew(&self, id: i64, new: &str, now: i64) -> Result<Print, PrintError> {
        self.change(id, Waiting, now, |connection, print| {
            if print.state != Unsure {
                return Err(PrintRefusal::NotNow { from: print.state, to: Waiting }.into());
            }
            free(connection, new)?;
            connection
                .prepare_cached("UPDATE prints SET label = ?, reprint = TRUE, said = '' WHERE id = ?")?
                .execute(params![new, print.id])?;
            Ok(())
        })
    }

    /// Writes what is said of a print that stays as it is. `of` is what it was when that was learnt: of what it has become
    /// since, it need not hold, and is not written.
    ///
    /// # Errors
    /// When the store fails.
    pub fn print_said(&self, of: &Print, said: &str, now: i64) -> Result<(), PrintError> {
        self.write(|connection| {
            let print = Print::find(connection, of.id)?.ok_or(PrintRefusal::Unknown)?;
            if print.state == of.state && print.said != said {
                become_now(connection, &print, print.state, said, now)?;
            }
            Ok(())
        })
    }

    /// Changes the state where that may be, and what else goes with it.
    fn change(
        &self,
        id: i64,
        to: PrintState,
        now: i64,
        also: impl FnOnce(&Connection, &Print) -> Result<(), PrintError>,
    ) -> Result<Print, PrintError> {
        self.write(|connection| {
            let print = Print::find(connection, id)?.ok_or(PrintRefusal::Unknown)?;
            if !print.state.may_become(to) {
                return Err(PrintRefusal::NotNow { from: print.state, to }.into());
            }
            become_now(connection, &print, to, &print.said, now)?;
            also(connection, &print)?;
            Ok(Print::find(connection, id)?.ok_or(PrintRefusal::Unknown)?)
        })
    }
}

/// The print that was asked for under this id before, if it was. `piece` is the code it is asked for with now.
fn known(connection: &Connection, request: &str, piece: Option<&str>) -> Result<Option<Print>, PrintError> {
    let Some(print) = Print::of_request(connection, request)? else { return Ok(None) };
    // By whichever of the piece's labels it was named.
    let piece = piece.map(|code| piece_of(connection, code)).transpose()?.flatten();
    if print.piece != piece {
        return Err(PrintRefusal::IdReused.into());
    }
    let stands_for_another = print.state == Cancelled && print.said == WAITED_ALREADY;
    match piece.filter(|_| stands_for_another) {
        Some(piece) => {
            let newest = Print::of_piece(connection, &piece)?.into_iter().find(|print| print.state != Cancelled);
            Ok(newest.or(Some(print)))
        }
        None => Ok(Some(print)),
    }
}

/// Makes the label of a print its piece's newest, unless it is or was that already.
fn retire_older(connection: &Connection, print: &Print, now: i64) -> Result<(), PrintError> {
    let Print { id, piece: Some(piece), label, by, .. } = print else { return Ok(()) };
    if piece_of(connection, label)?.is_none() {
        // Nobody who reports an event can choose such an id.
        let event = Event::Reprinted { label: label.clone() };
        keep_event(connection, piece, &event, &format!("print:{id}:{label}"), by.as_deref(), now)?;
    }
    Ok(())
}

/// Puts earlier prints of a piece away that a person would otherwise still be asked about: another is made in their place.
fn close(connection: &Connection, earlier: &[Print], now: i64) -> Result<(), PrintError> {
    for print in earlier.iter().filter(|print| matches!(print.state, Stopped | Unsure)) {
        become_now(connection, print, Cancelled, "asked for anew", now)?;
    }
    Ok(())
}

fn keep(
    connection: &Connection,
    piece: Option<&str>,
    label: &str,
    reprint: bool,
    Asking { id, by, now }: Asking,
) -> Result<Print, PrintError> {
    connection
        .prepare_cached(
            "INSERT INTO prints (request, piece, label, reprint, by, at, state, changed_at)
             VALUES (?1, ?2, ?3, ?4, ?5, ?6, 'waiting', ?6)",
        )?
        .execute(params![id, piece, label, reprint, by, now])?;
    Ok(Print::find(connection, connection.last_insert_rowid())?.ok_or(PrintRefusal::Unknown)?)
}

fn become_now(connection: &Connection, print: &Print, state: PrintState, said: &str, now: i64) -> rusqlite::Result<()> {
    connection
        .prepare_cached("UPDATE prints SET state = ?, said = ?, changed_at = ? WHERE id = ?")?
        .execute(params![state.word(), said, now, print.id])?;
    Ok(())
}

#[cfg(test)]
mod tests;
