//! What the endpoint said last of the work that is open, kept beside the bench's memory.
//!
//! A bench that starts while the endpoint is away stands at its card again with it. It is only ever as good as the last
//! time it was heard: a file that is missing or cannot be read is no loss, and once the endpoint answers all of it is
//! asked for anew.

use std::fs;
use std::path::{Path, PathBuf};

use serde::{Deserialize, Serialize};

use super::api::{PieceAnswer, Row, Summary};
use super::memory::{MemoryError, replace};

#[derive(Debug, Clone, Default, PartialEq, Serialize, Deserialize)]
pub struct LastHeard {
    pub orders: Option<Vec<Summary>>,
    /// The order that is open, or was open last.
    pub order: String,
    /// Its pieces, as they stand with what was done here since.
    pub rows: Option<Vec<Row>>,
    /// The records of the pieces at the card, one for all that are cut alike.
    pub records: Vec<PieceAnswer>,
}

impl LastHeard {
    /// Its file beside the memory at `memory`: `bench-open.json` beside `bench.json`.
    pub fn beside(memory: &Path) -> PathBuf {
        let name = memory.file_stem().unwrap_or_default().to_string_lossy();
        memory.with_file_name(format!("{name}-open.json"))
    }

    /// What was kept at `path`; nothing where it cannot be read.
    pub fn load(path: &Path) -> Self {
        fs::read(path).ok().and_then(|bytes| serde_json::from_slice(&bytes).ok()).unwrap_or_default()
    }

    /// # Errors
    /// [`MemoryError`]
    pub fn save(&self, path: &Path) -> Result<(), MemoryError> {
        replace(path, self)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_missing_or_damaged_file_is_as_without() {
        let folder = tempfile::tempdir().unwrap();
        let path = LastHeard::beside(&folder.path().join("bench.json"));
        assert!(path.ends_with("bench-open.json"));
        assert_eq!(LastHeard::load(&path), LastHeard::default());
        let heard = LastHeard { order: "7".into(), rows: Some(Vec::new()), ..LastHeard::default() };
        heard.save(&path).unwrap();
        assert_eq!(LastHeard::load(&path), heard);
        fs::write(&path, b"{\"orders\":[").unwrap();
        assert_eq!(LastHeard::load(&path), LastHeard::default());
    }
}
