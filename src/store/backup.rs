//! A copy of the store that can be trusted, and a thorough look at the store itself.

use std::fs::{self, File};
use std::io;
use std::path::{Path, PathBuf};

use rusqlite::{Connection, OpenFlags};
use serde::de::DeserializeOwned;
use thiserror::Error;

use super::column::{Json, count};
use super::open::check;
use super::{Event, Reader, StoreError};
use crate::order::plan::Piece;
use crate::order::sheet::{OrderSheet, RunSheet};

/// What a thorough look has found sound.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Verified {
    /// Replaced ones too.
    pub orders: usize,
    pub pieces: usize,
    pub events: usize,
}

/// Why there is no backup. No half-written file is left under its name.
#[derive(Debug, Error)]
pub enum BackupError {
    #[error("{} is there already: choose a new name", to.display())]
    Exists { to: PathBuf },
    #[error("{} does not name a file", to.display())]
    NoName { to: PathBuf },
    #[error("cannot write the backup {}: {source}", to.display())]
    File { to: PathBuf, source: io::Error },
    #[error(transparent)]
    Store(#[from] StoreError),
}

impl Reader {
    /// Writes a copy of the store, as it is at one moment, to a new file. The kiosk may go on working.
    ///
    /// The copy is written under another name, checked, and on the disk before it gets its own name: whatever bears
    /// that name is a whole backup. To restore it, put it in an empty folder as `brakeside.db`.
    ///
    /// # Errors
    /// When `to` exists, cannot be written, or the copy turns out damaged.
    pub fn backup(&self, to: &Path) -> Result<(), BackupError> {
        if to.symlink_metadata().is_ok() {
            return Err(BackupError::Exists { to: to.into() });
        }
        let name = to.file_name().ok_or_else(|| BackupError::NoName { to: to.into() })?;
        let part = to.with_file_name(format!(".{}.{}.part", name.to_string_lossy(), std::process::id()));
        let written = self
            .copy_to(&part)
            .and_then(|()| publish(&part, to).map_err(|source| BackupError::File { to: to.into(), source }));
        if written.is_err() {
            // What counts is why there is no backup; a leftover that cannot be removed either is a hidden file.
            let _ = fs::remove_file(&part);
        }
        written
    }

    fn copy_to(&self, part: &Path) -> Result<(), BackupError> {
        let source = self.another()?;
        // Copying counts as writing, though nothing of the store itself is written.
        source.pragma_update(None, "query_only", false).map_err(StoreError::from)?;
        let name = part.to_str().ok_or_else(|| BackupError::NoName { to: part.into() })?;
        source.execute("VACUUM INTO ?", [name]).map_err(StoreError::from)?;
        let copy = Connection::open_with_flags(part, OpenFlags::SQLITE_OPEN_READ_ONLY).map_err(StoreError::from)?;
        Ok(check(&copy, "integrity_check")?)
    }

    /// Looks at every page, every reference, every piece, run and event.
    ///
    /// # Errors
    /// [`StoreError::Damaged`] with the first damage found.
    pub fn verify(&self) -> Result<Verified, StoreError> {
        let mut connection = self.another()?;
        // One moment, though a kiosk may be writing.
        let moment = connection.transaction()?;
        check(&moment, "integrity_check")?;
        let dangling = |query| moment.prepare(query)?.exists([]);
        let lost = "SELECT 1 FROM events WHERE kind = 'remade' AND event ->> '$.as' NOT IN (SELECT code FROM pieces)";
        if dangling("PRAGMA foreign_key_check")? || dangling(lost)? {
            return Err(StoreError::Damaged { what: "a row refers to one that is missing".into() });
        }
        readable::<Piece>(&moment, "SELECT 'piece ' || code, record FROM pieces")?;
        readable::<Event>(&moment, "SELECT 'piece ' || code, event FROM events")?;
        let of_order = "SELECT 'order ' || number,";
        readable::<RunSheet>(&moment, &format!("{of_order} record FROM runs JOIN orders ON id = order_id"))?;
        readable::<OrderSheet>(&moment, &format!("{of_order} sheet FROM orders WHERE sheet IS NOT NULL"))?;
        complete(&moment)?;
        Ok(moment.query_row(
            "SELECT (SELECT COUNT(*) FROM orders) AS orders, (SELECT COUNT(*) FROM pieces) AS pieces,
                    (SELECT COUNT(*) FROM events) AS events",
            [],
            |row| {
                Ok(Verified {
                    orders: count(row, "orders")?,
                    pieces: count(row, "pieces")?,
                    events: count(row, "events")?,
                })
            },
        )?)
    }
}

/// Gives a finished file its name, and sees both onto the disk.
fn publish(part: &Path, to: &Path) -> io::Result<()> {
    File::open(part)?.sync_all()?;
    fs::rename(part, to)?;
    let folder = to.parent().filter(|folder| !folder.as_os_str().is_empty()).unwrap_or(Path::new("."));
    File::open(folder)?.sync_all()
}

fn readable<T: DeserializeOwned>(connection: &Connection, query: &str) -> Result<(), StoreError> {
    let mut query = connection.prepare(query)?;
    let mut rows = query.query([])?;
    while let Some(row) = rows.next()? {
        let whose: String = row.get(0)?;
        row.get::<_, Json<T>>(1).map_err(|error| StoreError::Damaged { what: format!("{whose}: {error}") })?;
    }
    Ok(())
}

/// Every run of every order has all its pieces; all have a sheet, where the order has one.
fn complete(connection: &Connection) -> Result<(), StoreError> {
    let mut query = connection.prepare(
        "SELECT number FROM orders o
         WHERE json_array_length(document, '$.runs')
               <> (SELECT COUNT(*) FROM (SELECT 1 FROM pieces WHERE order_id = o.id GROUP BY run
                                         HAVING COUNT(DISTINCT place) = MAX(places)))
            OR IIF(sheet IS NULL, 0, json_array_length(document, '$.runs'))
               <> (SELECT COUNT(*) FROM runs WHERE order_id = o.id)",
    )?;
    let mut numbers = query.query_map([], |row| row.get::<_, String>(0))?;
    match numbers.next().transpose()? {
        Some(number) => Err(StoreError::Damaged { what: format!("order {number} lacks pieces or runs") }),
        None => Ok(()),
    }
}

#[cfg(test)]
mod tests {
    use tempfile::TempDir;

    use super::super::Store;
    use super::super::fixture::{Kept, Order};
    use super::*;

    fn everything(store: &Reader) -> impl PartialEq + std::fmt::Debug + use<> {
        (
            store.orders().unwrap(),
            ["A1", "A2", "B1", "B3", "C1"].map(|code| store.run_of(code).unwrap()).concat(),
            ["A1", "B2", "L1", "C1", "C2"].map(|code| store.scan(code).unwrap()),
            store.history("B2").unwrap(),
            (store.setting("host").unwrap(), store.people().unwrap()),
            store.verify().unwrap(),
        )
    }

    fn used() -> Kept {
        let kept = Kept::with(&["A1", "A2"]);
        Order::new("2041", &["B1", "B2", "B3"]).replacing().accept(&kept, 1).unwrap();
        kept.record("B2", &Event::step(2), "1", Some("Ana"), 2).unwrap();
        kept.record("B2", &Event::bent(), "2", None, 3).unwrap();
        kept.reprint("B2", "L1", "3", None, 4).unwrap();
        Order::new("2042", &["C1"]).accept(&kept, 5).unwrap();
        kept.remake("C1", "too short", "C2", "4", None, 6).unwrap();
        kept.set_setting("host", "10.0.0.2").unwrap();
        kept.add_person("Ana", Some("a hash")).unwrap();
        kept
    }

    #[test]
    fn a_restored_backup_is_the_same_store() {
        let kept = used();
        assert_eq!(kept.verify().unwrap(), Verified { orders: 3, pieces: 7, events: 4 });
        let elsewhere = TempDir::new().unwrap();
        let to = elsewhere.path().join("brakeside.db");
        // As the command does it, beside a kiosk that has the store open.
        Reader::open(kept.folder()).unwrap().backup(&to).unwrap();
        let before = everything(&kept);
        assert!(matches!(kept.backup(&to), Err(BackupError::Exists { .. })));
        assert_eq!(fs::read_dir(elsewhere.path()).unwrap().count(), 1);

        let restored = Store::open(elsewhere.path()).unwrap();
        assert_eq!(everything(&restored), before);
        restored.record("L1", &Event::Loaded, "5", None, 7).unwrap();
        assert_eq!(everything(&kept), before);
    }

    #[test]
    fn a_backup_that_cannot_be_written_leaves_nothing() {
        let kept = used();
        assert!(kept.backup(&kept.folder().join("missing/copy.db")).is_err());
        assert!(matches!(kept.backup(Path::new("/")), Err(BackupError::Exists { .. })));
        let blocked = TempDir::new().unwrap();
        let part = blocked.path().join(format!(".copy.db.{}.part", std::process::id()));
        fs::write(&part, "something else").unwrap();
        assert!(kept.backup(&blocked.path().join("copy.db")).is_err());
        assert_eq!(fs::read_dir(blocked.path()).unwrap().count(), 0);
    }

    #[test]
    fn verify_misses_what_is_missing() {
        let damage = |sql: &str| {
            let kept = used();
            kept.verify().unwrap();
            let writer = kept.writer.lock().unwrap();
            writer
                .execute_batch(
                    "DROP TRIGGER pieces_stay; DROP TRIGGER pieces_stand; DROP TRIGGER events_stand;
                     DROP TRIGGER runs_stay; DROP TRIGGER runs_stand;",
                )
                .unwrap();
            writer.execute_batch("PRAGMA foreign_keys = OFF").unwrap();
            writer.execute_batch(sql).unwrap();
            drop(writer);
            kept.verify().unwrap_err().to_string()
        };
        assert!(damage("DELETE FROM pieces WHERE code = 'B1'").contains("order 2041 lacks pieces"));
        assert!(damage("DELETE FROM pieces WHERE code = 'B3'").contains("order 2041 lacks pieces"));
        assert!(damage("DELETE FROM pieces WHERE order_id = 2").contains("missing"));
        assert!(damage("DELETE FROM pieces WHERE code = 'C2'").contains("missing"));
        assert!(damage("UPDATE pieces SET record = json_remove(record, '$.bends')").contains("piece A1"));
        assert!(damage(r#"UPDATE events SET event = '{"kind":"step"}' WHERE id = 1"#).contains("piece B2"));
        assert!(damage("DELETE FROM runs WHERE order_id = 2 AND run = 1").contains("order 2041 lacks"));
        for sql in ["UPDATE runs SET record = json_remove(record, '$.fasteners')", "UPDATE orders SET sheet = '{}'"] {
            let said = damage(sql);
            assert!(said.contains("order 2041") && said.contains("missing field"), "{said}");
        }
        assert!(damage("UPDATE orders SET sheet = NULL WHERE id = 2").contains("order 2041 lacks"));
    }
}
