//! What happened to a piece, as it goes over the wire: `{"event":"step","done":3}`.

use serde::{Deserialize, Serialize};

use crate::endpoint::clock::timestamp;
use crate::endpoint::problem::Problem;
use crate::order::fault::Fault;
use crate::store::{Event, EventRow};

/// The longest name of who did it, and the longest reason, in characters.
const LONGEST_BY: usize = 60;
pub const LONGEST_WHY: usize = 500;

#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
enum Kind {
    Step,
    Bent,
    Loaded,
    Installed,
    Reported,
}

/// An event that somebody reports.
pub struct Said {
    /// Chosen by whoever reports it.
    pub id: String,
    pub by: Option<String>,
    pub event: Event,
}

impl Said {
    /// Reads and checks an event.
    ///
    /// # Errors
    /// 400 for what is not JSON, 422 with every fault.
    pub fn read(body: &[u8]) -> Result<Self, Problem> {
        #[derive(Deserialize)]
        #[serde(deny_unknown_fields)]
        struct Body {
            id: String,
            event: Kind,
            done: Option<usize>,
            why: Option<String>,
            by: Option<String>,
        }
        let body: Body = serde_json::from_slice(body).map_err(|error| match error.classify() {
            serde_json::error::Category::Data => {
                Problem::faulty(vec![Fault { pointer: String::new(), detail: error.to_string() }])
            }
            _ => Problem::not_json(&error),
        })?;
        let mut faults = Vec::new();
        let mut fault = |pointer: &str, right: &str| {
            faults.push(Fault { pointer: pointer.into(), detail: right.into() });
        };
        if !is_id(&body.id) {
            fault("/id", "give 8 to 64 letters, digits or hyphens, new for every event");
        }
        if body.by.as_deref().is_some_and(|by| !fits(by, LONGEST_BY)) {
            fault("/by", "give a name of 1 to 60 characters, or leave it out");
        }
        let event = match (body.event, body.done, body.why) {
            (Kind::Step, Some(done), None) => Some(Event::Step { done }),
            (Kind::Bent, None, None) => Some(Event::Bent),
            (Kind::Loaded, None, None) => Some(Event::Loaded),
            (Kind::Installed, None, None) => Some(Event::Installed),
            (Kind::Reported, None, Some(why)) if fits(&why, LONGEST_WHY) => {
                Some(Event::Reported { why: why.trim().into() })
            }
            (Kind::Step, ..) => {
                fault("/done", "a step says how many steps are done now, and nothing else");
                None
            }
            (Kind::Reported, ..) => {
                fault("/why", "a report says why in 1 to 500 characters, and nothing else");
                None
            }
            (Kind::Bent | Kind::Loaded | Kind::Installed, ..) => {
                fault("/event", "only a step has done, only a report has why");
                None
            }
        };
        match event {
            Some(event) if faults.is_empty() => Ok(Self { id: body.id, by: body.by, event }),
            _ => Err(Problem::faulty(faults)),
        }
    }
}

/// Whether this may be an event's id.
pub fn is_id(id: &str) -> bool {
    (8..=64).contains(&id.len()) && id.bytes().all(|byte| byte.is_ascii_alphanumeric() || byte == b'-')
}

/// Whether it says something, in at most `longest` characters.
fn fits(text: &str, longest: usize) -> bool {
    !text.trim().is_empty() && text.chars().count() <= longest
}

/// One line of a piece's history.
#[derive(Serialize)]
pub struct Happened {
    event: Kind,
    #[serde(skip_serializing_if = "Option::is_none")]
    done: Option<usize>,
    #[serde(skip_serializing_if = "Option::is_none")]
    why: Option<String>,
    at: jiff::Timestamp,
    by: Option<String>,
}

impl From<EventRow> for Happened {
    fn from(row: EventRow) -> Self {
        let (event, done, why) = match row.event {
            Event::Step { done } => (Kind::Step, Some(done), None),
            Event::Bent => (Kind::Bent, None, None),
            Event::Loaded => (Kind::Loaded, None, None),
            Event::Installed => (Kind::Installed, None, None),
            Event::Reported { why } => (Kind::Reported, None, Some(why)),
        };
        Self { event, done, why, at: timestamp(row.at), by: row.by }
    }
}
