//! What the trade's rules refuse.

use thiserror::Error;

use super::{Bench, StoreError};
use crate::order::plan::Measure;

/// Why something cannot have happened. Nothing is changed. Times are milliseconds UTC: whoever has a clock says them.
#[derive(Debug, Clone, PartialEq, Error)]
pub enum Refusal {
    #[error("no piece has this code: check the label, or scan it again")]
    UnknownCode,
    #[error("this label is of an order {number} that was replaced: use the label of the order as it is now")]
    Replaced { number: String },
    /// `now` is the label of the piece that stands in its place.
    #[error("this piece was made again ({why}): look for the label {now}")]
    Remade { why: String, at: i64, now: String },
    /// `now` is the piece's newest label.
    #[error("this label was printed again: the piece's newest label is {now}")]
    LabelRetired { now: String },
    #[error("{} is making this piece: take another, or take it over", .bench.name)]
    Held { bench: Bench },
    /// Whoever takes a piece takes it as it is, not as it was last heard of.
    #[error("this piece was gone on with elsewhere: it stands at step {}", .done + 1)]
    GoneOn { done: usize },
    #[error("this piece is already bent: set it aside and take the next one")]
    AlreadyBent { at: i64, by: Option<String> },
    #[error("this piece is not bent yet: bend it first")]
    NotBent,
    #[error("this piece is not bent yet: there is nothing to take back")]
    NotBentYet,
    #[error("this piece is already loaded")]
    AlreadyLoaded { at: i64, by: Option<String> },
    #[error("this piece is already installed")]
    AlreadyInstalled { at: i64, by: Option<String> },
    #[error("{done} steps cannot be done: this piece has {steps}")]
    BadStep { done: usize, steps: usize },
    #[error(
        "measured {}, wanted {} ± {}: measure again, make it again, or accept it by name",
        measured.text, wanted.text, tolerance.text
    )]
    OutOfTolerance { measured: Measure, wanted: Measure, tolerance: Measure },
    #[error("a length out of tolerance is accepted by somebody: say by whom")]
    NameNeeded,
    #[error("this event's id was used for something else: give every event an id of its own")]
    IdReused,
    /// Two random codes alike, once in a shop's lifetime at most.
    #[error("the code {code} is taken: choose another")]
    CodeTaken { code: String },
    #[error("a remake and a reprint are asked for by themselves, not reported as events")]
    NotReported,
}

/// Why something was not recorded.
#[derive(Debug, Error)]
pub enum RecordError {
    #[error(transparent)]
    Refused(#[from] Refusal),
    #[error(transparent)]
    Store(#[from] StoreError),
}

impl From<rusqlite::Error> for RecordError {
    fn from(error: rusqlite::Error) -> Self {
        Self::Store(error.into())
    }
}

impl From<serde_json::Error> for RecordError {
    fn from(error: serde_json::Error) -> Self {
        Self::Store(error.into())
    }
}
