//! What happened to a piece, told in the words it was reported in.

use serde::Serialize;

use crate::endpoint::clock::timestamp;
use crate::store::{Bench, Event, EventRow};

/// One line of a piece's history.
#[derive(Serialize)]
pub struct Happened {
    #[serde(flatten, with = "Told")]
    event: Event,
    at: jiff::Timestamp,
    by: Option<String>,
}

/// An event as it is told: in the words it was reported in.
#[derive(Serialize)]
#[serde(remote = "Event", tag = "event", rename_all = "kebab-case")]
enum Told {
    Step {
        done: usize,
        #[serde(skip_serializing_if = "Option::is_none")]
        bench: Option<Bench>,
        #[serde(skip_serializing_if = "std::ops::Not::not")]
        take_over: bool,
        #[serde(skip_serializing_if = "std::ops::Not::not")]
        let_go: bool,
    },
    Measured {
        mm: f64,
        accepted: bool,
        #[serde(skip_serializing_if = "std::ops::Not::not")]
        as_wanted: bool,
        #[serde(skip_serializing_if = "Option::is_none")]
        bench: Option<Bench>,
    },
    Bent {
        #[serde(skip_serializing_if = "Option::is_none")]
        bench: Option<Bench>,
    },
    Reopened,
    Loaded,
    Installed,
    Reported {
        why: String,
    },
    Remade {
        why: String,
        r#as: String,
    },
    Reprinted {
        label: String,
    },
}

impl From<EventRow> for Happened {
    fn from(row: EventRow) -> Self {
        Self { event: row.event, at: timestamp(row.at), by: row.by }
    }
}
