//! The machine's troubles, as against what the trade refuses.

use std::io;
use std::path::PathBuf;

use rusqlite::ErrorCode;
use thiserror::Error;

/// Why the store could not be opened, read or written.
#[derive(Debug, Error)]
pub enum StoreError {
    #[error("cannot use the folder {}: {source}", folder.display())]
    Folder { folder: PathBuf, source: io::Error },
    #[error("another kiosk is using {}: stop that one first, or give this one a folder of its own", folder.display())]
    InUse { folder: PathBuf },
    #[error("there is no store in {} yet: start the kiosk on it once, or name another folder", folder.display())]
    Missing { folder: PathBuf },
    #[error("{} was not made by brakeside and is left alone: move it away, or name another folder", file.display())]
    Foreign { file: PathBuf },
    #[error("{} was written by a newer brakeside (store version {found}; this one knows {known}): use the newer program", file.display())]
    Newer { file: PathBuf, found: u32, known: u32 },
    #[error("{} was written by an older brakeside (store version {found}; this one needs {known}): start the kiosk on it once", file.display())]
    Older { file: PathBuf, found: u32, known: u32 },
    #[error("the store is damaged ({what}): put the latest backup in its place")]
    Damaged { what: String },
    #[error("the disk is full: nothing of this was stored; make room and try again")]
    DiskFull,
    #[error("the store is busy: nothing of this was stored; try again")]
    Busy,
    #[error("the store's file cannot be read or written: {0}")]
    Sql(#[source] rusqlite::Error),
    #[error("cannot be written as JSON: {0}")]
    Json(#[from] serde_json::Error),
    #[error("the store's tables cannot be brought up to date: {0}")]
    Migration(#[from] rusqlite_migration::Error),
}

impl From<rusqlite::Error> for StoreError {
    fn from(error: rusqlite::Error) -> Self {
        match &error {
            rusqlite::Error::FromSqlConversionFailure(..) => Self::Damaged { what: error.to_string() },
            _ => match error.sqlite_error_code() {
                Some(ErrorCode::DiskFull) => Self::DiskFull,
                Some(ErrorCode::DatabaseBusy | ErrorCode::DatabaseLocked) => Self::Busy,
                Some(ErrorCode::DatabaseCorrupt | ErrorCode::NotADatabase) => Self::Damaged { what: error.to_string() },
                _ => Self::Sql(error),
            },
        }
    }
}
