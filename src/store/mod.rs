//! What the kiosk remembers: orders as they were accepted, their pieces, runs and sheets, and what happened to each piece.
//!
//! One SQLite file in one folder. Every change is one transaction that is on the disk before the caller hears of it,
//! so the power may go at any moment. What happened is only ever added to ([`Event`]); how far a piece is ([`State`])
//! follows from it and is stored nowhere.
//!
//! A [`Store`] belongs to one kiosk, which alone may write. A [`Reader`] may stand beside it, for a backup or a look.

mod accept;
mod backup;
mod column;
mod error;
mod event;
mod labels;
mod open;
mod orders;
mod people;
mod pieces;
mod prints;
mod record;
mod refusal;
mod remake;
mod revision;
mod schema;
mod settings;
mod sheets;

#[cfg(test)]
pub(crate) mod fixture;

use std::fs::File;
use std::ops::Deref;
use std::path::PathBuf;
use std::sync::{Mutex, MutexGuard, PoisonError};

use rusqlite::{Connection, TransactionBehavior};

pub use accept::{AcceptError, Acceptance, NewOrder, Planned};
pub use backup::{BackupError, Verified};
pub use error::StoreError;
pub use event::{Bench, Event, EventRow, State};
pub use labels::{Scan, Stands};
pub use orders::{OrderHead, OrderSummary};
pub use people::{Person, PersonError};
pub use pieces::{Measured, PieceRecord, PieceRow};
pub use prints::{Asking, Print, PrintError, PrintRefusal, PrintState};
pub use record::Recorded;
pub use refusal::{RecordError, Refusal};
pub use remake::{Failed, Remade};
pub use sheets::RunRow;

/// Reads the store. Safe to share between threads, and beside a kiosk that is writing.
pub struct Reader {
    folder: PathBuf,
    connection: Mutex<Connection>,
}

/// The store of the one kiosk that writes to it. It reads through [`Reader`], on a connection of its own, so that
/// nobody waits for a long order to be written.
pub struct Store {
    reader: Reader,
    writer: Mutex<Connection>,
    /// Held as long as the store is open: no second kiosk can open the folder.
    _lock: File,
}

impl Deref for Store {
    type Target = Reader;

    fn deref(&self) -> &Reader {
        &self.reader
    }
}

impl Reader {
    fn connection(&self) -> MutexGuard<'_, Connection> {
        held(&self.connection)
    }
}

impl Store {
    /// Runs `change` in one transaction: all of it is kept, or, on an error or a panic, none.
    ///
    /// The transaction takes the write lock at once, so what it reads first is still true when it writes.
    fn write<T, E: From<StoreError>>(&self, change: impl FnOnce(&Connection) -> Result<T, E>) -> Result<T, E> {
        let mut connection = held(&self.writer);
        let transaction =
            connection.transaction_with_behavior(TransactionBehavior::Immediate).map_err(StoreError::from)?;
        let outcome = change(&transaction)?;
        transaction.commit().map_err(StoreError::from)?;
        Ok(outcome)
    }
}

/// A thread that panicked while it held the lock has had its transaction rolled back: the connection is sound.
fn held(connection: &Mutex<Connection>) -> MutexGuard<'_, Connection> {
    connection.lock().unwrap_or_else(PoisonError::into_inner)
}

#[cfg(test)]
mod tests {
    use std::panic::{AssertUnwindSafe, catch_unwind};

    use super::fixture::Kept;
    use super::{Store, StoreError};

    const fn shared_between_threads<T: Send + Sync>() {}
    const _: () = shared_between_threads::<Store>();

    #[test]
    fn a_change_cut_short_leaves_nothing() {
        let kept = Kept::new();
        let set = |connection: &rusqlite::Connection| {
            connection.execute("INSERT INTO settings (key, value) VALUES ('host', 'half')", []).unwrap();
        };
        let failed: Result<(), StoreError> = kept.write(|connection| {
            set(connection);
            Err(StoreError::Busy)
        });
        assert!(failed.is_err());
        let panicked = catch_unwind(AssertUnwindSafe(|| {
            kept.write(|connection| -> Result<(), StoreError> {
                set(connection);
                panic!("in the middle");
            })
        }));
        assert!(panicked.is_err());

        assert_eq!(kept.setting("host").unwrap(), None);
        kept.set_setting("host", "whole").unwrap();
        assert_eq!(kept.reopened().setting("host").unwrap().as_deref(), Some("whole"));
    }
}
