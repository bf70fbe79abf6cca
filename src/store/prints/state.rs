//! How far a print is, and what it may become.

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
    /// The printer gave it up.
    Stopped,
    /// Nobody can tell whether it came out.
    Unsure,
    Cancelled,
}

use PrintState::{Cancelled, Printed, Sending, Sent, Stopped, Unsure, Waiting};

impl PrintState {
    /// Whether a print that is this may become that.
    pub(super) fn may_become(self, to: Self) -> bool {
        matches!(
            (self, to),
            // Stopped at once when it cannot be drawn.
            (Waiting, Sending | Stopped | Cancelled)
                // Back to waiting, or called off, when the printer surely does not have it.
                | (Sending, Sent | Waiting | Stopped | Unsure | Cancelled)
                | (Sent, Printed | Stopped | Unsure | Cancelled)
                // A person decides.
                | (Stopped | Unsure, Waiting | Printed | Cancelled)
        )
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
