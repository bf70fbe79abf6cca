//! How far a print is, and what it may become: by the clerk's word, who knows what the printer has, and by a person's, who does not.

use serde::{Deserialize, Serialize};

/// How far a print is.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum PrintState {
    Waiting,
    /// The printer is being given it, or was when the power went.
    Sending,
    /// At the printer, under the printer's number.
    Sent,
    Printed,
    /// The printer gave it up, or it cannot be drawn.
    Stopped,
    /// Nobody can tell whether it came out.
    Unsure,
    Cancelled,
}

use PrintState::{Cancelled, Printed, Sending, Sent, Stopped, Unsure, Waiting};

/// By whose word a print changes.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum By {
    Clerk,
    Person,
}

impl PrintState {
    /// Whether a print that is this may become that.
    pub(super) fn may_become(self, to: Self, by: By) -> bool {
        match by {
            By::Clerk => matches!(
                (self, to),
                // Stopped or cancelled at once when it cannot be drawn, or nobody will look for it.
                (Waiting, Sending | Stopped | Cancelled)
                    // Waiting, stopped or cancelled when the printer surely does not have it.
                    | (Sending, Sent | Waiting | Stopped | Unsure | Cancelled)
                    | (Sent, Printed | Stopped | Unsure | Cancelled)
            ),
            By::Person => {
                matches!((self, to), (Waiting, Cancelled) | (Stopped | Unsure, Waiting | Printed | Cancelled))
            }
        }
    }

    /// Whether only the printer knows what becomes of it.
    pub(super) fn is_at_printer(self) -> bool {
        matches!(self, Sending | Sent)
    }

    /// Whether somebody may hold the label of a print that has become this. One that is being sent may be out too, but that
    /// may yet turn out not to be so.
    pub(super) fn may_be_out(self) -> bool {
        matches!(self, Sent | Printed | Unsure)
    }

    pub(super) fn word(self) -> &'static str {
        match self {
            Waiting => "waiting",
            Sending => "sending",
            Sent => "sent",
            Printed => "printed",
            Stopped => "stopped",
            Unsure => "unsure",
            Cancelled => "cancelled",
        }
    }
}

/// Why a print that is `from` cannot become `to`, in words.
pub(super) fn cannot(from: PrintState, to: PrintState) -> String {
    let is = match from {
        Waiting => "still waits for the printer",
        Sending => "is being sent to the printer: wait a moment",
        Sent => "is at the printer",
        Printed => "came out",
        Stopped => "was given up by the printer",
        Unsure => "may have come out or not",
        Cancelled => "was cancelled",
    };
    format!("this print {is}; it cannot be {} now", to.word())
}
