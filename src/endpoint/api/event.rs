//! What happened to a piece, as it goes over the wire: `{"event":"step","done":3}`.

use serde::Serialize;

use crate::endpoint::clock::timestamp;
use crate::endpoint::problem::Problem;
use crate::order::parse::json;
use crate::order::parse::reader::{Found, Spot, one_of};
use crate::order::parse::text::line;
use crate::store::{Event, EventRow};

/// The longest name of who did it, and the longest reason, in characters.
pub const LONGEST: usize = 200;

const ID: &str = "8 to 64 letters A-Z, a-z, digits or hyphens, new for every event";
const DONE: &str = "how many steps are done, a whole number from 0";
const WHY: &str = "why, text of 1 to 200 characters";

#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
enum Kind {
    Step,
    Bent,
    Loaded,
    Installed,
    Reported,
}

const KINDS: [(&str, Kind); 5] = [
    ("step", Kind::Step),
    ("bent", Kind::Bent),
    ("loaded", Kind::Loaded),
    ("installed", Kind::Installed),
    ("reported", Kind::Reported),
];

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
        let value = json::read(body)?;
        let found = Found::default();
        match said(&Spot::root(&value, &found)) {
            Some(said) if found.is_empty() => Ok(said),
            _ => Err(Problem::faulty(found.into_faults())),
        }
    }
}

fn said(spot: &Spot) -> Option<Said> {
    let body = spot.any_object("an event, { \"id\": …, \"event\": … }")?;
    let kind = body.required("event", &one_of(&KINDS), |event| event.word(&KINDS));
    body.known(match kind {
        Some(Kind::Step) => &["id", "event", "by", "done"],
        Some(Kind::Reported) => &["id", "event", "by", "why"],
        Some(Kind::Bent | Kind::Loaded | Kind::Installed) => &["id", "event", "by"],
        None => &["id", "event", "by", "done", "why"],
    });
    let id = body.required("id", ID, id);
    let by = body.or("by", None, |by| line(by, LONGEST).map(Some));
    let event = match kind {
        Some(Kind::Step) => body.required("done", DONE, done).map(|done| Event::Step { done }),
        Some(Kind::Bent) => Some(Event::Bent),
        Some(Kind::Loaded) => Some(Event::Loaded),
        Some(Kind::Installed) => Some(Event::Installed),
        Some(Kind::Reported) => body.required("why", WHY, why).map(|why| Event::Reported { why }),
        None => {
            // Which of them belongs to the event is not known, but whether it can be read is.
            body.get("done").and_then(|spot| done(&spot));
            body.get("why").and_then(|spot| why(&spot));
            None
        }
    };
    Some(Said { id: id?, by: by?, event: event? })
}

fn id(spot: &Spot) -> Option<String> {
    spot.value.as_str().filter(|id| is_id(id)).map(str::to_owned).or_else(|| spot.wrong(ID))
}

fn done(spot: &Spot) -> Option<usize> {
    spot.value.as_u64().and_then(|done| done.try_into().ok()).or_else(|| spot.wrong(DONE))
}

fn why(spot: &Spot) -> Option<String> {
    line(spot, LONGEST)
}

/// Whether this may be an event's id.
pub fn is_id(id: &str) -> bool {
    (8..=64).contains(&id.len()) && id.bytes().all(|byte| byte.is_ascii_alphanumeric() || byte == b'-')
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
