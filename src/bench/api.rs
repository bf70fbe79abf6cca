//! The endpoint as the bench sees it: what it answers, and what it is told.
//!
//! Only what the bench reads is named here; the endpoint may say more. [`client`] carries it over HTTP.

mod client;

use serde::{Deserialize, Serialize};

use crate::order::plan::{Measure, Piece};
use crate::order::{Job, Trim};
use crate::trade::length::Units;

pub use client::Client;

/// An order in the queue.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Summary {
    pub order: String,
    pub job: Job,
    pub pieces: usize,
    pub bent: usize,
    pub loaded: usize,
    /// Pieces that somebody reported bad, not yet made again.
    pub reported: usize,
}

/// A piece in an order's list.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Row {
    pub code: String,
    /// Its turn in the order of cutting; there may be gaps.
    pub seq: usize,
    pub mark: String,
    pub wall: String,
    pub trim: Trim,
    pub place: usize,
    pub of: usize,
    pub length: Measure,
    pub state: State,
    /// Steps done so far; the next card is that step.
    pub done: usize,
    pub steps: usize,
    pub reported: Option<String>,
    /// The code on its newest label; its own until a label was printed again.
    pub label: String,
    /// The first of the pieces that are cut like this one, itself included; none when it is alone.
    pub alike: Option<String>,
    /// The bench that has it on its brake.
    pub bench: Option<Bench>,
    /// The piece it was made again in place of.
    pub remake_of: Option<String>,
    /// Why that was made again.
    #[serde(default)]
    pub remake_why: Option<String>,
    /// How far its newest label is.
    pub print: Option<PrintWord>,
    /// What the printer said of that label last.
    pub said: String,
}

#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum State {
    Waiting,
    Started,
    Bent,
    Loaded,
    Installed,
}

impl State {
    pub fn is_bent(self) -> bool {
        matches!(self, Self::Bent | Self::Loaded | Self::Installed)
    }
}

/// A bench: the id that it made for itself once, and what people call it.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct Bench {
    pub id: String,
    pub name: String,
}

/// One piece, whole.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct PieceAnswer {
    #[serde(flatten)]
    pub row: Row,
    pub job: Job,
    pub units: Units,
    pub piece: Piece,
}

/// Something that happened to a piece, on its way to the endpoint. The id makes sending it twice harmless.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Mark {
    pub id: String,
    pub code: String,
    /// The piece's mark on its wall, as it was known here: to say it by.
    #[serde(skip_serializing_if = "String::is_empty", default)]
    pub piece: String,
    /// Who did it, if anybody said who is working.
    #[serde(skip_serializing_if = "Option::is_none", default)]
    pub by: Option<String>,
    /// Says only that this bench has the piece: nothing was done to it.
    #[serde(skip_serializing_if = "std::ops::Not::not", default)]
    pub claim: bool,
    pub event: MarkedEvent,
}

#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(tag = "event", rename_all = "kebab-case")]
pub enum MarkedEvent {
    /// So many steps are done. The bench that is named has the piece.
    Step {
        done: usize,
        #[serde(skip_serializing_if = "Option::is_none", default)]
        bench: Option<Bench>,
        /// Although another bench has it.
        #[serde(skip_serializing_if = "std::ops::Not::not", default)]
        take_over: bool,
        /// It has the piece no longer.
        #[serde(skip_serializing_if = "std::ops::Not::not", default)]
        let_go: bool,
    },
    /// The finished length.
    Measured {
        /// As a tape said it; none when nobody read one.
        #[serde(skip_serializing_if = "Option::is_none", default)]
        mm: Option<f64>,
        /// Out of tolerance, and taken all the same.
        accepted: bool,
        /// As it should be, by a hand's word.
        #[serde(skip_serializing_if = "std::ops::Not::not", default)]
        as_wanted: bool,
        #[serde(skip_serializing_if = "Option::is_none", default)]
        bench: Option<Bench>,
    },
    Bent {
        #[serde(skip_serializing_if = "Option::is_none", default)]
        bench: Option<Bench>,
    },
    /// Taken back to the brake.
    Reopened,
    /// To be made again, for this reason. The bench that is named has made scrap of it; when none is, the piece had been
    /// finished.
    Remake {
        why: String,
        #[serde(skip_serializing_if = "Option::is_none", default)]
        bench: Option<Bench>,
    },
    /// Its label is to be printed; `reprint`: again, under a new code.
    Print { reprint: bool },
}

/// What came of a mark.
#[derive(Debug, Clone, PartialEq)]
pub enum Taken {
    /// The piece as it now stands.
    Row(Box<Row>),
    /// The piece that is made in place of the old one.
    Remade(Box<Row>),
    Print(Box<Print>),
}

/// The printer, and the labels that are not out yet, the oldest first.
#[derive(Debug, Clone, PartialEq, Deserialize)]
pub struct Prints {
    pub printer: Printer,
    pub prints: Vec<Print>,
}

#[derive(Debug, Clone, PartialEq, Eq, Deserialize)]
pub struct Printer {
    pub state: PrinterState,
    /// Such as `out of labels`.
    pub said: String,
}

#[derive(Debug, Clone, Copy, PartialEq, Eq, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum PrinterState {
    /// No printer is set.
    None,
    Ready,
    Busy,
    Stopped,
    Away,
}

/// One label on its way through the printer.
#[derive(Debug, Clone, PartialEq, Eq, Deserialize)]
pub struct Print {
    pub print: i64,
    /// None is the test label.
    pub piece: Option<String>,
    pub mark: Option<String>,
    pub order: Option<String>,
    pub state: PrintWord,
    pub said: String,
    pub reprint: bool,
}

#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum PrintWord {
    Waiting,
    Sending,
    Sent,
    Printed,
    Stopped,
    Unsure,
    Cancelled,
}

/// What a hand does about a label that did not come out, or may not have.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum PrintDo {
    Again,
    CameOut,
    Cancel,
}

/// Whose label was scanned.
#[derive(Debug, Clone, PartialEq, Deserialize)]
pub struct Found {
    pub stands: Stands,
    pub order: String,
    /// The piece that stands now.
    pub piece: Option<Row>,
    /// A sentence.
    pub detail: String,
}

#[derive(Debug, Clone, Copy, PartialEq, Eq, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Stands {
    Current,
    /// The label was printed again: a newer one counts.
    Retired,
    /// The piece was made again.
    Remade,
    /// The order was replaced.
    Replaced,
}

/// Who can work here.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct Person {
    pub id: i64,
    pub name: String,
    /// Has a PIN.
    pub pin: bool,
}

/// Why a call brought nothing.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum CallError {
    #[error("the endpoint does not answer")]
    Away,
    #[error("the endpoint does not take this bench's key")]
    Key,
    #[error("{detail}")]
    Refused {
        /// The endpoint's word for programs, such as `held`.
        word: String,
        detail: String,
    },
    #[error("the endpoint's answer was not understood: {0}")]
    Garbled(String),
}
