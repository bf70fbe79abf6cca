//! What a person decides about a print: all but what only the printer knows.

use rusqlite::params;

use super::super::Store;
use super::super::labels::free;
use super::PrintState::{Cancelled, Printed, Waiting};
use super::state::By;
use super::{Print, PrintError};

impl Store {
    /// Has a print sent once more that nobody can tell the end of, or that the printer gave up. If one of its labels may be out,
    /// the next has the code `new`, and says that it is a reprint: should both come out, one of them counts.
    ///
    /// # Errors
    /// [`PrintRefusal::NotNow`](super::PrintRefusal::NotNow) when it is not for a person to decide.
    pub fn print_again(&self, id: i64, new: &str, now: i64) -> Result<Print, PrintError> {
        self.change(id, |connection, print| {
            print.becomes(connection, Waiting, By::Person, "", now)?;
            if print.may_be_out && print.piece.is_some() {
                free(connection, new)?;
                connection.prepare_cached("UPDATE prints SET label = ? WHERE id = ?")?.execute(params![new, id])?;
            }
            Ok(())
        })
    }

    /// Takes a person's word that it came out.
    ///
    /// # Errors
    /// As [`print_again`](Self::print_again).
    pub fn print_came_out(&self, id: i64, now: i64) -> Result<Print, PrintError> {
        self.change(id, |connection, print| print.becomes(connection, Printed, By::Person, "a person says so", now))
    }

    /// Cancels a print. One that is at the printer, or on its way there, stays what it is and is marked as called off: only the
    /// printer knows what becomes of it.
    ///
    /// # Errors
    /// [`PrintRefusal::NotNow`](super::PrintRefusal::NotNow) when it is at its end.
    pub fn print_cancel(&self, id: i64, now: i64) -> Result<Print, PrintError> {
        self.change(id, |connection, print| {
            if print.state.is_at_printer() {
                connection
                    .prepare_cached("UPDATE prints SET called_off = TRUE, changed_at = ? WHERE id = ?")?
                    .execute(params![now, id])?;
                return Ok(());
            }
            print.becomes(connection, Cancelled, By::Person, "", now)
        })
    }
}
