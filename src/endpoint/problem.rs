//! What went wrong, as one kind of answer: a problem document (RFC 9457) for programs, a page for people.
//!
//! Every error of the rooms below becomes a [`Problem`] here and nowhere else. `detail` says what would be right.

use serde::Serialize;

use super::http::{Method, Response};
use crate::label::LabelError;
use crate::label::code::CodeError;
use crate::order::fault::{Fault, Faults};
use crate::store::{AcceptError, RecordError, Refusal, StoreError};

/// One refusal or failure.
#[derive(Debug, Serialize)]
pub struct Problem {
    pub title: &'static str,
    pub status: u16,
    pub detail: String,
    /// A word for programs, where a rule of the trade refuses.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub refusal: Option<&'static str>,
    /// Every fault of what was sent.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub faults: Vec<Fault>,
    /// The methods that would be right, for 405.
    #[serde(skip)]
    allow: &'static [Method],
}

impl Problem {
    pub fn new(status: u16, title: &'static str, detail: impl Into<String>) -> Self {
        Self { title, status, detail: detail.into(), refusal: None, faults: Vec::new(), allow: &[] }
    }

    pub fn refused(status: u16, refusal: &'static str, title: &'static str, detail: impl Into<String>) -> Self {
        Self { refusal: Some(refusal), ..Self::new(status, title, detail) }
    }

    pub fn no_such_path() -> Self {
        Self::new(404, "Nothing is here", "check the address; the kiosk's orders are at /")
    }

    pub fn no_such_order(number: &str) -> Self {
        Self::refused(
            404,
            "unknown",
            "No such order",
            format!("no order {number} is stored: GET /api/orders lists them"),
        )
    }

    pub fn not_json(error: &serde_json::Error) -> Self {
        Self::new(400, "Not JSON", format!("the body must be one JSON document in UTF-8: {error}"))
    }

    /// What was sent is JSON, but not right.
    pub fn faulty(faults: Vec<Fault>) -> Self {
        let detail = match faults.as_slice() {
            [one] => one.to_string(),
            many => format!("{} faults, all listed in faults; nothing was stored", many.len()),
        };
        Self { faults, ..Self::new(422, "What was sent cannot be taken", detail) }
    }

    pub fn method(allow: &'static [Method]) -> Self {
        Self { allow, ..Self::new(405, "Not that method", format!("this address takes {}", names(allow))) }
    }

    /// As a problem document.
    pub fn document(&self) -> Response {
        #[derive(Serialize)]
        struct Document<'a> {
            /// No problem here needs a page of its own to explain it.
            r#type: &'static str,
            #[serde(flatten)]
            problem: &'a Problem,
        }
        let document = Response::json(&Document { r#type: "about:blank", problem: self });
        self.headed(document.with_header("Content-Type", "application/problem+json"))
    }

    /// Puts the status on an answer that tells of this problem, and the headers that belong to it.
    pub fn headed(&self, response: Response) -> Response {
        let response = response.with_status(self.status);
        match self.status {
            401 => response.with_header("WWW-Authenticate", "Bearer realm=\"brakeside\""),
            405 => response.with_header("Allow", names(self.allow)),
            503 => response.with_header("Retry-After", "2"),
            _ => response,
        }
    }
}

/// As in an `Allow` header.
fn names(methods: &[Method]) -> String {
    methods.iter().map(|method| method.as_str()).collect::<Vec<_>>().join(", ")
}

impl From<Faults> for Problem {
    fn from(faults: Faults) -> Self {
        Self::faulty(faults.0)
    }
}

impl From<CodeError> for Problem {
    fn from(error: CodeError) -> Self {
        let refusal = if error == CodeError::Mistyped { "mistyped" } else { "unknown" };
        Self::refused(404, refusal, "That is no piece's code", format!("{error}: check the label, or scan it again"))
    }
}

impl From<Refusal> for Problem {
    fn from(refusal: Refusal) -> Self {
        let (status, word, title) = match &refusal {
            Refusal::UnknownCode => (404, "unknown", "No such piece"),
            Refusal::Replaced { .. } => (410, "replaced", "The order was replaced"),
            Refusal::AlreadyBent { .. } => (409, "already-bent", "Already bent"),
            Refusal::NotBent => (409, "not-bent", "Not bent yet"),
            Refusal::AlreadyLoaded { .. } => (409, "already-loaded", "Already loaded"),
            Refusal::AlreadyInstalled { .. } => (409, "already-installed", "Already installed"),
            Refusal::BadStep { .. } => (409, "bad-step", "No such step"),
            Refusal::IdReused => (409, "id-reused", "The event's id was used before"),
        };
        Self::refused(status, word, title, refusal.to_string())
    }
}

impl From<RecordError> for Problem {
    fn from(error: RecordError) -> Self {
        match error {
            RecordError::Refused(refusal) => refusal.into(),
            RecordError::Store(error) => error.into(),
        }
    }
}

impl From<AcceptError> for Problem {
    fn from(error: AcceptError) -> Self {
        let detail = error.to_string();
        match error {
            AcceptError::Changed { .. } => Self::refused(409, "changed", "Another order has this number", detail),
            AcceptError::Begun { .. } => Self::refused(409, "begun", "The order is begun", detail),
            // Two random codes alike, once in a shop's lifetime at most: the same order again draws others.
            AcceptError::CodeTaken { .. } => Self::new(503, "Send the order again", detail),
            AcceptError::Codes { .. } => Self::new(500, "The kiosk made a mistake", detail),
            AcceptError::Store(error) => error.into(),
        }
    }
}

impl From<StoreError> for Problem {
    fn from(error: StoreError) -> Self {
        let (status, title) = match &error {
            StoreError::DiskFull => (507, "The disk is full"),
            StoreError::Busy => (503, "The store is busy"),
            _ => (500, "The store failed"),
        };
        Self::new(status, title, error.to_string())
    }
}

impl From<LabelError> for Problem {
    fn from(error: LabelError) -> Self {
        Self::new(500, "The label cannot be drawn", error.to_string())
    }
}

impl From<getrandom::Error> for Problem {
    fn from(error: getrandom::Error) -> Self {
        Self::new(500, "The system has no randomness to give", error.to_string())
    }
}
