//! What can go wrong between the kiosk and its printer.

use ipp::model::StatusCode;
use ipp::parser::IppParseError;
use thiserror::Error;

/// Why the printer did not do what it was asked.
#[derive(Debug, Error)]
pub enum PrinterError {
    /// There was no connection: nothing was sent.
    #[error("the printer does not answer")]
    Away(String),
    /// The connection ended, or time ran out, after something may have been sent.
    #[error("the printer was lost in the middle")]
    Lost(String),
    #[error("{}", of_http(*.0))]
    Http(u16),
    /// It answered, and does not do it.
    #[error("the printer refused: {}", of_status(*.status, .said))]
    Refused { status: StatusCode, said: String },
    #[error("the printer's answer cannot be read: {0}")]
    Unreadable(String),
    #[error("this cannot be written for a printer: {0}")]
    Unwritable(#[from] IppParseError),
}

/// What a request that failed means for the job it carried.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Arrival {
    /// The printer has no such job, and will take it another time.
    Later,
    /// The printer has no such job, and will not take it.
    Never,
    /// The printer may have the job.
    Perhaps,
}

impl PrinterError {
    /// Whether the job that was sent has arrived, as far as this can tell.
    pub fn arrival(&self) -> Arrival {
        match self {
            Self::Away(_) | Self::Http(503) => Arrival::Later,
            Self::Unwritable(_) | Self::Http(300..=499) => Arrival::Never,
            Self::Lost(_) | Self::Http(_) | Self::Unreadable(_) => Arrival::Perhaps,
            Self::Refused { status, .. } => of_refused(*status),
        }
    }
}

/// RFC 8011 appendix B.1: some failures of the printer itself come after the job was made.
fn of_refused(status: StatusCode) -> Arrival {
    use StatusCode as S;
    match status {
        S::ServerErrorBusy
        | S::ServerErrorTemporaryError
        | S::ServerErrorNotAcceptingJobs
        | S::ServerErrorServiceUnavailable => Arrival::Later,
        S::ServerErrorInternalError | S::ServerErrorDeviceError | S::ServerErrorJobCanceled | S::UnknownStatusCode => {
            Arrival::Perhaps
        }
        _ => Arrival::Never,
    }
}

fn of_http(status: u16) -> String {
    match status {
        401 | 403 => "the printer wants a password, and the kiosk has none".into(),
        404 => "there is no printer at this address".into(),
        426 => "the printer wants an encrypted connection, which the kiosk does not speak".into(),
        other => format!("the printer answers with HTTP {other}"),
    }
}

fn of_status(status: StatusCode, said: &str) -> String {
    if said.is_empty() { status.to_string().to_lowercase() } else { said.to_owned() }
}
