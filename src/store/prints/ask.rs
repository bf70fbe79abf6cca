//! Asking for a print: once under each id, and under a new code where an earlier label of the piece may be out.

use rusqlite::{Connection, params};

use super::super::labels::{free, piece_of, standing};
use super::super::{PieceRow, Recorded, Store};
use super::PrintState::{Cancelled, Sending, Sent, Stopped, Unsure, Waiting};
use super::state::By;
use super::{Print, PrintError, PrintRefusal};

/// Who asks for a print, and under which id. `now` is milliseconds UTC.
#[derive(Debug, Clone, Copy)]
pub struct Asking<'a> {
    /// The same request under the same id is taken once, however often it is sent.
    pub id: &'a str,
    pub by: Option<&'a str>,
    pub now: i64,
}

/// What is asked for.
#[derive(Clone, Copy)]
struct Wanted<'a> {
    /// By a code of the piece; none for the test label.
    piece: Option<&'a str>,
    once_more: bool,
}

/// What is said of a request that found its label waiting: the print it found is its answer.
const WAITED_ALREADY: &str = "it was waiting already";

impl Store {
    /// Asks for the label of the piece that `code` names. If one may be out all the same, because it was being sent when
    /// somebody cancelled it or the printer gave it up, the new one is a reprint as of [`ask_reprint`](Self::ask_reprint).
    ///
    /// # Errors
    /// When the piece does not stand, or its label was printed before.
    pub fn ask_print(&self, code: &str, new: &str, asking: Asking) -> Result<(Recorded, Print), PrintError> {
        let wanted = Wanted { piece: Some(code), once_more: false };
        self.write(|connection| {
            if let Some(known) = known(connection, wanted, asking.id)? {
                return Ok((Recorded::Again, known));
            }
            let PieceRow { code: piece, label, .. } = standing(connection, code)?.row;
            let earlier = Print::of_piece(connection, &piece)?;
            if earlier.iter().any(|print| !matches!(print.state, Cancelled | Stopped)) {
                return Err(PrintRefusal::PrintedBefore.into());
            }
            let label = in_place_of(connection, &earlier, &label, new, asking.now)?;
            Ok((Recorded::New, keep(connection, Wanted { piece: Some(&piece), ..wanted }, label, asking)?))
        })
    }

    /// Asks for the label of the piece once more. If one may be out already, the new one gets the code `new`, says that
    /// it is a reprint, and retires the old one when it may be out itself: one that never gets so far leaves the old one as
    /// good as it was. One that still waits is as good, and is the answer.
    ///
    /// # Errors
    /// When the piece does not stand, or its label is at the printer.
    pub fn ask_reprint(&self, code: &str, new: &str, asking: Asking) -> Result<(Recorded, Print), PrintError> {
        let wanted = Wanted { piece: Some(code), once_more: true };
        self.write(|connection| {
            if let Some(known) = known(connection, wanted, asking.id)? {
                return Ok((Recorded::Again, known));
            }
            let PieceRow { code: piece, label, .. } = standing(connection, code)?.row;
            let wanted = Wanted { piece: Some(&piece), ..wanted };
            let earlier = Print::of_piece(connection, &piece)?;
            if earlier.iter().any(|print| matches!(print.state, Sending | Sent)) {
                return Err(PrintRefusal::AtPrinter.into());
            }
            if let Some(waiting) = earlier.iter().find(|print| print.state == Waiting) {
                // Kept for its id alone: asked again under it, when the waiting one is out, there is still no other.
                let same = keep(connection, wanted, &label, asking)?;
                same.becomes(connection, Cancelled, By::Person, WAITED_ALREADY, asking.now)?;
                return Ok((Recorded::Again, waiting.clone()));
            }
            let label = in_place_of(connection, &earlier, &label, new, asking.now)?;
            Ok((Recorded::New, keep(connection, wanted, label, asking)?))
        })
    }

    /// Asks for the test label, whose code is `label`.
    ///
    /// # Errors
    /// When the id was used for something else.
    pub fn ask_test_print(&self, label: &str, asking: Asking) -> Result<(Recorded, Print), PrintError> {
        let wanted = Wanted { piece: None, once_more: false };
        self.write(|connection| match known(connection, wanted, asking.id)? {
            Some(known) => Ok((Recorded::Again, known)),
            None => Ok((Recorded::New, keep(connection, wanted, label, asking)?)),
        })
    }
}

/// The print that was asked for under this id before, if it was.
fn known(connection: &Connection, wanted: Wanted, request: &str) -> Result<Option<Print>, PrintError> {
    let Some(print) = Print::of_request(connection, request)? else { return Ok(None) };
    // By whichever of the piece's labels it was named.
    let piece = wanted.piece.map(|code| piece_of(connection, code)).transpose()?.flatten();
    if print.piece != piece || print.once_more != wanted.once_more {
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

/// Puts earlier prints of a piece away that a person would otherwise still be asked about, and gives the code of the one that
/// is made in their place: `label` as before, or `new` if one of them may be out.
fn in_place_of<'a>(
    connection: &Connection,
    earlier: &[Print],
    label: &'a str,
    new: &'a str,
    now: i64,
) -> Result<&'a str, PrintError> {
    for print in earlier.iter().filter(|print| matches!(print.state, Stopped | Unsure)) {
        print.becomes(connection, Cancelled, By::Person, "asked for anew", now)?;
    }
    if !earlier.iter().any(|print| print.may_be_out) {
        return Ok(label);
    }
    free(connection, new)?;
    Ok(new)
}

fn keep(
    connection: &Connection,
    Wanted { piece, once_more }: Wanted,
    label: &str,
    Asking { id, by, now }: Asking,
) -> Result<Print, PrintError> {
    connection
        .prepare_cached(
            "INSERT INTO prints (request, piece, label, once_more, by, at, state, changed_at)
             VALUES (?1, ?2, ?3, ?4, ?5, ?6, 'waiting', ?6)",
        )?
        .execute(params![id, piece, label, once_more, by, now])?;
    Ok(Print::find(connection, connection.last_insert_rowid())?.ok_or(PrintRefusal::Unknown)?)
}
