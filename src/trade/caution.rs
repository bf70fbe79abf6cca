//! Cautions where the work can hurt, in the words of ANSI Z535.

use serde::{Deserialize, Serialize};

/// How bad it could be.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "UPPERCASE")]
pub enum Signal {
    /// Could cause death or serious injury.
    Warning,
    /// Could cause minor or moderate injury.
    Caution,
}

/// One caution: the signal word, and what to do.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct Caution {
    pub signal: Signal,
    pub text: String,
}

impl Caution {
    pub fn new(signal: Signal, text: &str) -> Self {
        Self { signal, text: text.into() }
    }
}
