//! What the bench must still know after the power went: where it stood, what the endpoint has not taken, who it is.
//!
//! One small file, replaced whole by rename, so that it is always either the old or the new one. Whatever an earlier
//! version did not write reads as not said. One program has it at a time: of two, the last to write would drop what the
//! other has not sent yet, and to the endpoint both would be one bench.

use std::fs::{self, File, TryLockError};
use std::io::{self, Write};
use std::path::Path;

use serde::{Deserialize, Serialize};

use super::api::{Mark, Person};
use super::screen::Looks;

#[derive(Debug, Clone, Default, PartialEq, Serialize, Deserialize)]
pub struct Memory {
    pub place: Place,
    /// How far each piece at the card is, by its code: what the endpoint has taken is not in `unsent` any more.
    #[serde(default)]
    pub done: Vec<(String, usize)>,
    pub unsent: Vec<Mark>,
    #[serde(default)]
    pub disputes: Vec<Dispute>,
    /// This bench's id, made once.
    #[serde(default)]
    pub bench: Option<String>,
    /// As a hand set them here.
    #[serde(default)]
    pub looks: Option<Looks>,
    /// Whether a label closes its piece by being scanned; not known before a label was scanned or a hand has set it.
    #[serde(default)]
    pub scan_labels: Option<bool>,
    #[serde(default)]
    pub person: Option<Person>,
    #[serde(default)]
    pub finished: Option<Finished>,
}

/// Where the bench stands. Which card of a piece is known to the endpoint.
#[derive(Debug, Clone, Default, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Place {
    #[default]
    Queue,
    Order(String),
    Piece {
        order: String,
        /// The piece that was opened.
        code: String,
        /// The pieces cut alike that go through the brake together, itself included; empty while it is being opened.
        #[serde(default)]
        batch: Vec<String>,
    },
}

/// What was done here to a piece that another bench has: refused, and kept until a hand decides.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Dispute {
    pub code: String,
    /// The order whose list had the piece last; empty before any had.
    #[serde(default)]
    pub order: String,
    /// The endpoint's words.
    pub detail: String,
    pub marks: Vec<Mark>,
    /// A hand has read it.
    pub told: bool,
}

/// The piece that was finished last at this bench.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct Finished {
    pub order: String,
    pub code: String,
}

/// No other program has the memory as long as this lives, nor after it went in whatever way: the system takes the lock
/// back.
#[derive(Debug)]
pub struct Hold {
    _lock: File,
}

/// Why the file could not be used.
#[derive(Debug, thiserror::Error)]
pub enum MemoryError {
    #[error("another bench is using {path}: end that one first, or give this one a folder of its own with --data")]
    InUse { path: String },
    #[error("the bench's memory {path} cannot be read or written: {source}")]
    File { path: String, source: io::Error },
    #[error("the bench's memory {path} is damaged ({source}); move it away to start at the queue")]
    Damaged { path: String, source: serde_json::Error },
}

impl Memory {
    /// Keeps other programs from the memory at `path`, by a lock on a file beside it, for the memory's own is replaced.
    ///
    /// # Errors
    /// [`MemoryError::InUse`] when another has it; when there can be no such file.
    pub fn hold(path: &Path) -> Result<Hold, MemoryError> {
        let trouble = |source| MemoryError::File { path: path.display().to_string(), source };
        let beside = path.with_extension("lock");
        let lock = File::options().create(true).truncate(false).write(true).open(beside).map_err(trouble)?;
        match lock.try_lock() {
            Ok(()) => Ok(Hold { _lock: lock }),
            Err(TryLockError::WouldBlock) => Err(MemoryError::InUse { path: path.display().to_string() }),
            Err(TryLockError::Error(source)) => Err(trouble(source)),
        }
    }

    /// What was remembered at `path`; nothing when there is no such file.
    ///
    /// # Errors
    /// [`MemoryError`]
    pub fn load(path: &Path) -> Result<Self, MemoryError> {
        match fs::read(path) {
            Ok(bytes) => serde_json::from_slice(&bytes)
                .map_err(|source| MemoryError::Damaged { path: path.display().to_string(), source }),
            Err(error) if error.kind() == io::ErrorKind::NotFound => Ok(Self::default()),
            Err(source) => Err(MemoryError::File { path: path.display().to_string(), source }),
        }
    }

    /// # Errors
    /// [`MemoryError`]
    pub fn save(&self, path: &Path) -> Result<(), MemoryError> {
        replace(path, self)
    }
}

/// Writes the file at `path` anew, whole: it is always either the old or the new one.
pub(super) fn replace(path: &Path, what: &impl Serialize) -> Result<(), MemoryError> {
    write(path, what).map_err(|source| MemoryError::File { path: path.display().to_string(), source })
}

fn write(path: &Path, what: &impl Serialize) -> io::Result<()> {
    let new = path.with_extension("new");
    let mut file = File::create(&new)?;
    file.write_all(&serde_json::to_vec(what)?)?;
    file.sync_all()?;
    fs::rename(&new, path)?;
    // That it has the old one's name now is on the disk only with its folder.
    let folder = path.parent().filter(|folder| !folder.as_os_str().is_empty()).unwrap_or(Path::new("."));
    File::open(folder)?.sync_all()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::bench::api::{Bench, MarkedEvent};
    use crate::bench::screen::Language;

    fn mark(id: &str, event: MarkedEvent) -> Mark {
        Mark { id: id.into(), code: "C".into(), piece: "A-EW-1".into(), by: Some("Ana".into()), claim: false, event }
    }

    #[test]
    fn remembers_over_a_restart_and_names_a_damaged_file() {
        let folder = tempfile::tempdir().unwrap();
        let path = folder.path().join("bench.json");
        assert_eq!(Memory::load(&path).unwrap(), Memory::default());
        let bench = Some(Bench { id: "bench-id".into(), name: "Brake 1".into() });
        let unsent = vec![
            mark("1", MarkedEvent::Step { done: 3, bench: bench.clone(), take_over: true, let_go: true }),
            mark(
                "2",
                MarkedEvent::Measured { mm: Some(2705.1), accepted: true, as_wanted: false, bench: bench.clone() },
            ),
            mark("3", MarkedEvent::Bent { bench: bench.clone() }),
            mark("4", MarkedEvent::Reopened),
            mark("5", MarkedEvent::Remake { why: "too short".into(), bench }),
            mark("6", MarkedEvent::Print { reprint: true }),
        ];
        let memory = Memory {
            place: Place::Piece { order: "2041".into(), code: "C".into(), batch: vec!["C".into(), "D".into()] },
            done: vec![("C".into(), 3)],
            disputes: vec![Dispute {
                code: "C".into(),
                order: "2041".into(),
                detail: "it is elsewhere".into(),
                marks: unsent.clone(),
                told: false,
            }],
            unsent,
            bench: Some("bench-id".into()),
            looks: Some(Looks { language: Language::Spanish, dark: true }),
            scan_labels: Some(true),
            person: Some(Person { id: 1, name: "Ana".into(), pin: true }),
            finished: Some(Finished { order: "2041".into(), code: "D".into() }),
        };
        memory.save(&path).unwrap();
        assert_eq!(Memory::load(&path).unwrap(), memory);
        fs::write(&path, b"{").unwrap();
        assert!(Memory::load(&path).unwrap_err().to_string().contains("is damaged"));
    }

    /// As brakeside 0.1 wrote it before benches shared an order.
    #[test]
    fn an_earlier_memory_is_still_read() {
        let folder = tempfile::tempdir().unwrap();
        let path = folder.path().join("bench.json");
        fs::write(
            &path,
            br#"{"place":{"piece":{"order":"2041","code":"C"}},"unsent":[
                {"id":"S-1","code":"C","event":{"event":"step","done":3}},{"id":"S-2","code":"C","event":{"event":"bent"}}]}"#,
        )
        .unwrap();
        let memory = Memory::load(&path).unwrap();
        assert_eq!(memory.place, Place::Piece { order: "2041".into(), code: "C".into(), batch: Vec::new() });
        assert_eq!(memory.unsent[0].event, MarkedEvent::Step { done: 3, bench: None, take_over: false, let_go: false });
        assert_eq!(memory.unsent[1].event, MarkedEvent::Bent { bench: None });
        assert_eq!(memory.bench, None);
    }
}
