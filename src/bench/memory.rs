//! What the bench must still know after the power went: where it stood, and the marks the endpoint has not taken.
//!
//! One small file, replaced whole by rename, so that it is always either the old or the new one.

use std::fs::{self, File};
use std::io::{self, Write};
use std::path::Path;

use serde::{Deserialize, Serialize};

use super::api::Mark;

#[derive(Debug, Clone, Default, PartialEq, Eq, Serialize, Deserialize)]
pub struct Memory {
    pub place: Place,
    pub unsent: Vec<Mark>,
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
        code: String,
    },
}

/// Why the file could not be used.
#[derive(Debug, thiserror::Error)]
pub enum MemoryError {
    #[error("the bench's memory {path} cannot be read or written: {source}")]
    File { path: String, source: io::Error },
    #[error("the bench's memory {path} is damaged ({source}); move it away to start at the queue")]
    Damaged { path: String, source: serde_json::Error },
}

impl Memory {
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
        self.write(path).map_err(|source| MemoryError::File { path: path.display().to_string(), source })
    }

    fn write(&self, path: &Path) -> io::Result<()> {
        let new = path.with_extension("new");
        let mut file = File::create(&new)?;
        file.write_all(&serde_json::to_vec(self)?)?;
        file.sync_all()?;
        fs::rename(&new, path)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::bench::api::MarkedEvent;

    #[test]
    fn remembers_over_a_restart_and_names_a_damaged_file() {
        let folder = tempfile::tempdir().unwrap();
        let path = folder.path().join("bench.json");
        assert_eq!(Memory::load(&path).unwrap(), Memory::default());
        let memory = Memory {
            place: Place::Piece { order: "2041".into(), code: "C".into() },
            unsent: vec![Mark { id: "1".into(), code: "C".into(), event: MarkedEvent::Step { done: 3 } }],
        };
        memory.save(&path).unwrap();
        assert_eq!(Memory::load(&path).unwrap(), memory);
        fs::write(&path, b"{").unwrap();
        assert!(Memory::load(&path).unwrap_err().to_string().contains("is damaged"));
    }
}
