//! What went wrong, as one kind of answer: a problem document (RFC 9457) for programs, a page for people.
//!
//! Every error of the rooms below becomes a [`Problem`] here and nowhere else. `detail` says what would be right.

use serde::Serialize;

use super::clock::Clock;
use super::http::{Method, Request, Response};
use super::pin::PinError;
use crate::label::LabelError;
use crate::label::code::CodeError;
use crate::order::fault::{self, Fault, Faults};
use crate::order::parse::json::Unread;
use crate::store::{AcceptError, PersonError, RecordError, Refusal, StoreError};

/// One refusal or failure.
#[derive(Debug, Serialize)]
pub struct Problem {
    /// One word for each kind of problem, which `type` ends with.
    #[serde(skip)]
    pub kind: &'static str,
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
    pub fn new(status: u16, kind: &'static str, title: &'static str, detail: impl Into<String>) -> Self {
        Self { kind, title, status, detail: detail.into(), refusal: None, faults: Vec::new(), allow: &[] }
    }

    pub fn refused(status: u16, refusal: &'static str, title: &'static str, detail: impl Into<String>) -> Self {
        Self { refusal: Some(refusal), ..Self::new(status, refusal, title, detail) }
    }

    pub fn no_such_path() -> Self {
        Self::new(404, "nothing-here", "Nothing is here", "check the address; the kiosk's orders are at /")
    }

    pub fn no_such_order(number: &str) -> Self {
        Self::refused(
            404,
            "unknown",
            "No such order",
            format!("no order {number} is stored: GET /api/orders lists them"),
        )
    }

    pub fn no_such_run(number: &str, runs: usize) -> Self {
        let detail = format!("order {number} has runs 0 to {}", runs.saturating_sub(1));
        Self::refused(404, "unknown", "No such run", detail)
    }

    /// Of an order that an older brakeside accepted.
    pub fn no_sheet(number: &str) -> Self {
        let detail = format!(
            "order {number} was accepted before hardware and load were planned: to have them, send it again under another \
             number"
        );
        Self::refused(404, "not-planned", "Not planned", detail)
    }

    pub fn nobody(detail: String) -> Self {
        Self::refused(404, "unknown", "No such person", detail)
    }

    /// Where a piece's code is asked for.
    pub fn test_label() -> Self {
        Self::refused(404, "test-label", "That is the test label", "it belongs to no piece: scan a piece's own label")
    }

    /// What was sent is JSON, but not right.
    pub fn faulty(faults: Vec<Fault>) -> Self {
        let detail = match faults.as_slice() {
            [one] => one.to_string(),
            many => format!("{} faults, all listed in faults; nothing was stored", many.len()),
        };
        Self { faults, ..Self::new(422, "faulty", "What was sent cannot be taken", detail) }
    }

    pub fn method(allow: &'static [Method]) -> Self {
        let detail = format!("this address takes {}", names(allow));
        Self { allow, ..Self::new(405, "wrong-method", "Not that method", detail) }
    }

    /// What the trade's rules refuse, in the time of the clock on the shop's wall.
    pub fn of_refusal(refusal: &Refusal, clock: &Clock) -> Self {
        let (status, word, title) = match refusal {
            Refusal::UnknownCode => (404, "unknown", "No such piece"),
            Refusal::Replaced { .. } => (410, "replaced", "The order was replaced"),
            Refusal::Remade { .. } => (410, "remade", "The piece was made again"),
            Refusal::LabelRetired { .. } => (410, "label-retired", "The label was printed again"),
            Refusal::Held { .. } => (409, "held", "Another bench is making it"),
            Refusal::GoneOn { .. } => (409, "gone-on", "It was gone on with elsewhere"),
            Refusal::AlreadyBent { .. } => (409, "already-bent", "Already bent"),
            Refusal::NotBent | Refusal::NotBentYet => (409, "not-bent", "Not bent yet"),
            Refusal::AlreadyLoaded { .. } => (409, "already-loaded", "Already loaded"),
            Refusal::AlreadyInstalled { .. } => (409, "already-installed", "Already installed"),
            Refusal::BadStep { .. } => (409, "bad-step", "No such step"),
            Refusal::OutOfTolerance { .. } => (409, "out-of-tolerance", "Out of tolerance"),
            Refusal::NameNeeded => (409, "name-needed", "By whom?"),
            Refusal::IdReused => (409, "id-reused", "The event's id was used before"),
            // Two random codes alike, once in a shop's lifetime at most: asked again, another is drawn.
            Refusal::CodeTaken { .. } => (503, "code-taken", "Ask for it again"),
            Refusal::NotReported => (422, "not-reported", "Not to be reported"),
        };
        let when = |at: &i64, by: &Option<String>| {
            let by = by.as_ref().map(|by| format!(" by {by}")).unwrap_or_default();
            format!("at {}{by}", clock.said(*at))
        };
        let detail = match refusal {
            Refusal::AlreadyBent { at, by } => {
                format!("already bent {}: set this piece aside and take the next one", when(at, by))
            }
            Refusal::AlreadyLoaded { at, by } => format!("already loaded {}", when(at, by)),
            Refusal::AlreadyInstalled { at, by } => format!("already installed {}", when(at, by)),
            Refusal::Remade { why, at, now } => {
                format!("this piece was made again at {} ({why}): look for the label {now}", clock.said(*at))
            }
            other => other.to_string(),
        };
        Self::refused(status, word, title, detail)
    }

    /// Why an event was not recorded.
    pub fn of_record(error: RecordError, clock: &Clock) -> Self {
        match error {
            RecordError::Refused(refusal) => Self::of_refusal(&refusal, clock),
            RecordError::Store(error) => error.into(),
        }
    }

    /// The line for whoever looks after the kiosk, where the fault is the kiosk's own. A piece's code opens that piece,
    /// so no log holds one.
    pub fn log_line(&self, request: &Request) -> Option<String> {
        if self.status < 500 {
            return None;
        }
        let mut path = String::new();
        let mut before = String::new();
        for part in request.parts() {
            let is_code = ["p", "pieces", "scan", "join"].iter().any(|word| before.eq_ignore_ascii_case(word));
            path = path + "/" + if is_code { "<code>" } else { &part };
            before = part;
        }
        let Self { status, detail, .. } = self;
        Some(fault::visible(&format!("{status} {} {path} for {}: {detail}", request.method, request.peer)))
    }

    /// As a problem document.
    pub fn document(&self) -> Response {
        #[derive(Serialize)]
        struct Document<'a> {
            /// Not `about:blank`, whose title could only be the status's phrase (RFC 9457 §4.2.1).
            r#type: String,
            #[serde(flatten)]
            problem: &'a Problem,
        }
        let document = Response::json(&Document { r#type: format!("/problems/{}", self.kind), problem: self });
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

impl From<Unread> for Problem {
    fn from(unread: Unread) -> Self {
        match unread {
            Unread::Twice(faults) => faults.into(),
            not_json => Self::new(400, "not-json", "Not JSON", not_json.to_string()),
        }
    }
}

impl From<AcceptError> for Problem {
    fn from(error: AcceptError) -> Self {
        let detail = error.to_string();
        match error {
            AcceptError::Changed { .. } | AcceptError::Alike { .. } => {
                Self::refused(409, "changed", "Another order has this number", detail)
            }
            AcceptError::Begun { .. } => Self::refused(409, "begun", "The order is begun", detail),
            // Two random codes alike, once in a shop's lifetime at most: the same order again draws others.
            AcceptError::CodeTaken { .. } => Self::new(503, "code-taken", "Send the order again", detail),
            AcceptError::Store(error) => error.into(),
        }
    }
}

impl From<StoreError> for Problem {
    fn from(error: StoreError) -> Self {
        let (status, kind, title) = match &error {
            StoreError::DiskFull => (507, "disk-full", "The disk is full"),
            StoreError::Busy => (503, "store-busy", "The store is busy"),
            _ => (500, "store-failed", "The store failed"),
        };
        Self::new(status, kind, title, error.to_string())
    }
}

impl From<LabelError> for Problem {
    fn from(error: LabelError) -> Self {
        Self::new(500, "no-label", "The label cannot be drawn", error.to_string())
    }
}

impl From<PersonError> for Problem {
    fn from(error: PersonError) -> Self {
        let detail = error.to_string();
        match error {
            PersonError::Known { .. } => Self::refused(409, "name-taken", "The name is taken", detail),
            PersonError::Unknown { .. } => Self::nobody(detail),
            PersonError::Store(error) => error.into(),
        }
    }
}

impl From<PinError> for Problem {
    fn from(error: PinError) -> Self {
        Self::new(500, "no-pin", "The PIN cannot be checked", error.to_string())
    }
}

impl From<getrandom::Error> for Problem {
    fn from(error: getrandom::Error) -> Self {
        Self::new(500, "no-randomness", "The system has no randomness to give", error.to_string())
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::endpoint::fixture::{Shop, body, order};
    use serde_json::json;

    #[test]
    fn what_is_done_already_is_said_in_the_shops_clock() {
        let shop = Shop::with(&order("2041"));
        let code = shop.code("2041", "A-EW-1");
        let mut said = Vec::new();
        for (n, event) in ["bent", "loaded", "installed"].iter().enumerate() {
            let report = |id: &str| shop.report(&code, id, json!({ "event": event, "by": "Ana" }));
            assert_eq!(report(&format!("first-{n}-x")).status, 200);
            let refused = report(&format!("second-{n}-x"));
            assert_eq!(refused.status, 409);
            said.push(body(&refused)["detail"].as_str().unwrap().to_owned());
        }
        assert_eq!(said[0], "already bent at 14:31 by Ana: set this piece aside and take the next one");
        assert_eq!(said[1..], ["already loaded at 14:31 by Ana", "already installed at 14:31 by Ana"]);
    }

    /// RFC 9457 §4.2.1: `about:blank` says no more than the status; a title of its own has a type of its own.
    #[test]
    fn every_problem_has_a_type_of_its_own() {
        let shop = Shop::with(&order("2041"));
        let mut changed = order("2041");
        changed["runs"][0]["pitch"] = "4:12".into();
        for (response, kind) in [
            (shop.send(&changed), "changed"),
            (shop.send(&json!({})), "faulty"),
            (shop.get("/api/nothing"), "nothing-here"),
            (shop.get("/api/pieces/X/events"), "wrong-method"),
        ] {
            assert_eq!(body(&response)["type"], format!("/problems/{kind}"));
        }
    }

    #[test]
    fn the_kiosks_own_faults_are_logged_in_one_line_without_codes() {
        let line = |path: &str, problem: &Problem| problem.log_line(&Request::new(Method::Get, path));
        let problem = Problem::new(500, "store-failed", "The store failed", "it is\ngone");
        for (path, shown) in [
            ("/P/0123ABCD?key=1", "/P/<code>"),
            ("//%70//0123%41BCD/", "/p/<code>"),
            ("/api/PIECES/0123ABCD/label.svg", "/api/PIECES/<code>/label.svg"),
            ("/join/0123ABCD", "/join/<code>"),
            ("/api/orders/2041/pieces", "/api/orders/2041/pieces"),
        ] {
            assert_eq!(line(path, &problem).unwrap(), format!("500 GET {shown} for 127.0.0.1: it is\\u{{a}}gone"));
        }
        assert_eq!(line("/", &Problem::no_such_path()), None);
    }
}
