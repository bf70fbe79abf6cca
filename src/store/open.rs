//! Opening the store's file: whose it is, whether it is sound, and who else has it open.

use std::fs::{self, DirBuilder, File, TryLockError};
use std::io;
use std::path::Path;
use std::sync::Mutex;
use std::time::Duration;

use rusqlite::{Connection, OpenFlags};

use super::schema::{self, APPLICATION_ID, VERSION};
use super::{Reader, Store, StoreError};

const FILE: &str = "brakeside.db";
const LOCK: &str = "brakeside.lock";

/// Long enough for a backup beside the kiosk to let go; a person waits no longer.
const BUSY: Duration = Duration::from_secs(5);

impl Store {
    /// Opens the store in `folder`, or creates both. Nothing is changed in a file that is not brakeside's.
    ///
    /// # Errors
    /// When another kiosk has it open, or the file is another program's, a newer brakeside's, or damaged.
    pub fn open(folder: &Path) -> Result<Self, StoreError> {
        let trouble = |source| StoreError::Folder { folder: folder.into(), source };
        create(folder).map_err(trouble)?;
        let lock = File::options().create(true).truncate(false).write(true).open(folder.join(LOCK)).map_err(trouble)?;
        lock.try_lock().map_err(|error| match error {
            TryLockError::WouldBlock => StoreError::InUse { folder: folder.into() },
            TryLockError::Error(source) => trouble(source),
        })?;

        let file = folder.join(FILE);
        let mut writer = connect(&file, OpenFlags::SQLITE_OPEN_CREATE)?;
        let found = version(&writer, &file)?;
        if found > VERSION {
            return Err(StoreError::Newer { file, found, known: VERSION });
        }
        // Before the first table, so that no moment leaves tables that nobody knows the owner of.
        writer.pragma_update(None, "application_id", APPLICATION_ID)?;
        writer.pragma_update(None, "journal_mode", "WAL")?;
        writer.pragma_update(None, "synchronous", "FULL")?;
        // After a very large order, the log gives its room back.
        writer.pragma_update(None, "journal_size_limit", 16 << 20)?;
        schema::migrations().to_latest(&mut writer)?;
        check(&writer, "quick_check")?;
        Ok(Self { reader: Reader::open(folder)?, writer: Mutex::new(writer), _lock: lock })
    }
}

impl Reader {
    /// Opens the store in `folder` to read it, whether or not a kiosk has it open.
    ///
    /// # Errors
    /// When there is none, or it is not of this version.
    pub fn open(folder: &Path) -> Result<Self, StoreError> {
        Ok(Self { folder: folder.into(), connection: Mutex::new(read_only(folder)?) })
    }

    /// A connection of its own for what takes long, so that other readers need not wait.
    pub(super) fn another(&self) -> Result<Connection, StoreError> {
        read_only(&self.folder)
    }
}

fn read_only(folder: &Path) -> Result<Connection, StoreError> {
    let file = folder.join(FILE);
    if !file.exists() {
        return Err(StoreError::Missing { folder: folder.into() });
    }
    // Readers of a write-ahead log need the right to write beside it, so it is the connection that is held to reading.
    let connection = connect(&file, OpenFlags::empty())?;
    match version(&connection, &file)? {
        VERSION => {}
        found if found < VERSION => return Err(StoreError::Older { file, found, known: VERSION }),
        found => return Err(StoreError::Newer { file, found, known: VERSION }),
    }
    connection.pragma_update(None, "query_only", true)?;
    Ok(connection)
}

/// Only the owner's account may look into a new folder; one that is there already is left as it is.
fn create(folder: &Path) -> io::Result<()> {
    if folder.is_dir() {
        return Ok(());
    }
    if let Some(parent) = folder.parent() {
        fs::create_dir_all(parent)?;
    }
    let mut builder = DirBuilder::new();
    #[cfg(unix)]
    std::os::unix::fs::DirBuilderExt::mode(&mut builder, 0o700);
    builder.create(folder)
}

fn connect(file: &Path, more: OpenFlags) -> Result<Connection, StoreError> {
    let flags = OpenFlags::SQLITE_OPEN_READ_WRITE | OpenFlags::SQLITE_OPEN_NO_MUTEX | more;
    let connection = Connection::open_with_flags(file, flags)?;
    connection.busy_timeout(BUSY)?;
    connection.pragma_update(None, "foreign_keys", true)?;
    connection.pragma_update(None, "trusted_schema", false)?;
    Ok(connection)
}

/// The version of the tables in `file`, 0 for an empty file; an error if it is another program's.
fn version(connection: &Connection, file: &Path) -> Result<u32, StoreError> {
    let foreign = || StoreError::Foreign { file: file.into() };
    let header = |name| connection.pragma_query_value(None, name, |row| row.get::<_, i32>(0));
    let application = match header("application_id") {
        Ok(id) => id,
        Err(error) if error.sqlite_error_code() == Some(rusqlite::ErrorCode::NotADatabase) => return Err(foreign()),
        Err(error) => return Err(error.into()),
    };
    let empty = connection.query_row("SELECT NOT EXISTS (SELECT 1 FROM sqlite_schema)", [], |row| row.get(0))?;
    match (application, empty) {
        (APPLICATION_ID, _) | (0, true) => u32::try_from(header("user_version")?).map_err(|_| foreign()),
        _ => Err(foreign()),
    }
}

/// `quick_check` or `integrity_check`: SQLite's own look at its pages.
pub(super) fn check(connection: &Connection, pragma: &str) -> Result<(), StoreError> {
    let mut found = Vec::new();
    connection.pragma_query(None, pragma, |row| {
        found.push(row.get::<_, String>(0)?);
        Ok(())
    })?;
    if found == ["ok"] { Ok(()) } else { Err(StoreError::Damaged { what: found.join("; ") }) }
}

#[cfg(test)]
mod tests {
    use rusqlite::Connection;
    use tempfile::TempDir;

    use super::super::fixture::Kept;
    use super::*;

    #[test]
    fn one_kiosk_at_a_time_and_readers_beside_it() {
        let kept = Kept::with(&["A1"]);
        assert!(matches!(Store::open(kept.folder()), Err(StoreError::InUse { .. })));
        let beside = Reader::open(kept.folder()).unwrap();
        assert_eq!(beside.orders().unwrap(), kept.orders().unwrap());
        assert!(beside.connection().execute("DELETE FROM settings", []).is_err());
        kept.reopened();
    }

    #[test]
    fn creates_a_folder_for_its_owner_alone() {
        let above = TempDir::new().unwrap();
        let folder = above.path().join("new/store");
        assert!(matches!(Reader::open(&folder), Err(StoreError::Missing { .. })));
        assert!(!folder.exists());
        Store::open(&folder).unwrap();
        #[cfg(unix)]
        {
            use std::os::unix::fs::PermissionsExt;
            assert_eq!(fs::metadata(&folder).unwrap().permissions().mode() & 0o777, 0o700);
        }
    }

    #[test]
    fn keeps_on_the_disk_what_it_says_it_keeps() {
        let kept = Kept::new();
        let writer = kept.writer.lock().unwrap();
        let pragma = |name| writer.pragma_query_value(None, name, |row| row.get::<_, i64>(0)).unwrap();
        // Numbers from SQLite's documentation of PRAGMA synchronous: 2 is FULL.
        assert_eq!([pragma("synchronous"), pragma("foreign_keys"), pragma("trusted_schema")], [2, 1, 0]);
        let mode: String = writer.pragma_query_value(None, "journal_mode", |row| row.get(0)).unwrap();
        assert_eq!(mode, "wal");
    }

    /// What opening says to a file that `make` prepared, and that the file is left as it was.
    fn refused(make: impl Fn(&Path)) -> StoreError {
        let folder = TempDir::new().unwrap();
        let file = folder.path().join(FILE);
        make(&file);
        let before = fs::read(&file).unwrap();
        let error = Store::open(folder.path()).err().unwrap();
        assert_eq!(fs::read(&file).unwrap(), before);
        assert!(Reader::open(folder.path()).is_err());
        error
    }

    #[test]
    fn leaves_other_programs_files_alone() {
        for sql in [
            "CREATE TABLE theirs (x)",
            "PRAGMA application_id = 7",
            "CREATE TABLE theirs (x); PRAGMA application_id = 7; PRAGMA user_version = 1",
        ] {
            let error = refused(|file| Connection::open(file).unwrap().execute_batch(sql).unwrap());
            assert!(matches!(error, StoreError::Foreign { .. }), "{error}");
        }
        let error = refused(|file| fs::write(file, "no database, however long it may be".repeat(99)).unwrap());
        assert!(matches!(error, StoreError::Foreign { .. }), "{error}");
    }

    #[test]
    fn leaves_a_newer_file_to_the_newer_program() {
        let newer = format!("PRAGMA application_id = {APPLICATION_ID}; PRAGMA user_version = {}", VERSION + 1);
        let error = refused(|file| Connection::open(file).unwrap().execute_batch(&newer).unwrap());
        assert!(matches!(error, StoreError::Newer { found, .. } if found == VERSION + 1), "{error}");
    }

    #[test]
    fn finds_damage() {
        let kept = Kept::with(&["A1"]);
        kept.writer.lock().unwrap().pragma_update(None, "wal_checkpoint", "TRUNCATE").unwrap();
        let folder = TempDir::new().unwrap();
        let mut bytes = fs::read(kept.folder().join(FILE)).unwrap();
        // The page after the header's: its cells no longer make sense.
        bytes[4096..4200].fill(0x5a);
        fs::write(folder.path().join(FILE), bytes).unwrap();
        assert!(matches!(Store::open(folder.path()), Err(StoreError::Damaged { .. })));
    }
}
