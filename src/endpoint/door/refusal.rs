//! What the door says when it does not let a request in: each reason, its status, and what would be right.

use thiserror::Error;

use super::socket::ReadFault;
use crate::endpoint::http::{Method, Response};

/// A reason to refuse. None repeats what the client sent.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Error)]
pub(super) enum Refusal {
    #[error("This port speaks plain HTTP/1.1. Open the address with http://, not https://.")]
    NotHttp,
    #[error("End every line of the request's head with CR LF, not with LF alone.")]
    BareLineFeed,
    #[error("The head does not parse: {0}. Send `METHOD /path HTTP/1.1`, `Name: value` lines, then an empty line.")]
    Malformed(httparse::Error),
    #[error("Send HTTP/1.1 or HTTP/1.0.")]
    Version,
    #[error("Send one of: GET, HEAD, POST, PUT, DELETE, OPTIONS.")]
    UnknownMethod,
    #[error("Ask for a path that starts with `/`, in printable ASCII (percent-encode the rest) and without `#`.")]
    Target,
    #[error("Keep the request line and headers within {limit} bytes together.")]
    HeadTooLarge { limit: usize },
    #[error("Send at most {limit} header fields.")]
    TooManyHeaders { limit: usize },
    #[error("Send the whole head within {seconds} s of connecting.")]
    HeadTooSlow { seconds: u64 },
    #[error("Send the whole request within {seconds} s of connecting.")]
    BodyTooSlow { seconds: u64 },
    #[error("Send one Host header; there is none.")]
    HostMissing,
    #[error("Send one Host header; there are several.")]
    HostRepeated,
    #[error("Send a Host header of the form `host` or `host:port`.")]
    HostInvalid,
    #[error("Send one Content-Length; there are several.")]
    LengthRepeated,
    #[error("Send a Content-Length of decimal digits alone.")]
    LengthInvalid,
    #[error("Send Content-Length without Transfer-Encoding.")]
    LengthAndCoding,
    #[error("Transfer codings are not taken. Send the body whole, with a Content-Length.")]
    TransferCoding,
    #[error("Keep the body within {limit} bytes.")]
    BodyTooLarge { limit: usize },
    #[error("The only expectation met is `100-continue`.")]
    Expectation,
    #[error("Too many connections are open. Try again in a few seconds.")]
    Full,
    #[error("Too much is being sent or fetched at once. Try again in a few seconds.")]
    NoRoom,
    #[error("The answer did not come in time. Look whether it was done, then try again.")]
    NoAnswer,
    #[error("The answer is larger than {limit} bytes. Ask for less at once.")]
    AnswerTooLarge { limit: usize },
}

impl Refusal {
    fn status(self) -> u16 {
        use Refusal::*;
        match self {
            NotHttp | BareLineFeed | Malformed(_) | Target => 400,
            HostMissing | HostRepeated | HostInvalid => 400,
            LengthRepeated | LengthInvalid | LengthAndCoding => 400,
            HeadTooSlow { .. } | BodyTooSlow { .. } => 408,
            TransferCoding => 411,
            BodyTooLarge { .. } => 413,
            Expectation => 417,
            HeadTooLarge { .. } | TooManyHeaders { .. } => 431,
            AnswerTooLarge { .. } => 500,
            UnknownMethod => 501,
            Full | NoRoom | NoAnswer => 503,
            Version => 505,
        }
    }

    /// The answer to the client: a problem document (RFC 9457).
    pub fn response(self) -> Response {
        let status = self.status();
        let response = Response::problem(status, &self.to_string());
        match status {
            501 => response.with_header("Allow", Method::ALL.map(Method::as_str).join(", ")),
            503 => response.with_header("Retry-After", "3"),
            _ => response,
        }
    }
}

impl From<httparse::Error> for Refusal {
    fn from(error: httparse::Error) -> Refusal {
        match error {
            httparse::Error::Version => Refusal::Version,
            other => Refusal::Malformed(other),
        }
    }
}

/// How an exchange ends early.
#[derive(Debug)]
pub(super) enum Ending {
    /// Nobody is there to answer.
    Gone,
    Refused(Refusal),
}

impl From<Refusal> for Ending {
    fn from(refusal: Refusal) -> Ending {
        Ending::Refused(refusal)
    }
}

impl ReadFault {
    /// The ending this fault makes; `late` and `large` say it in the words of what was being read.
    pub fn ending(self, late: Refusal, large: Refusal) -> Ending {
        match self {
            // A browser opens spare connections and lets them lie: an error there would answer its next request.
            ReadFault::Gone | ReadFault::TooSlow { silent: true } => Ending::Gone,
            ReadFault::TooSlow { silent: false } => late.into(),
            ReadFault::BareLineFeed => Refusal::BareLineFeed.into(),
            ReadFault::NotHttp => Refusal::NotHttp.into(),
            ReadFault::HeadTooLarge => large.into(),
            ReadFault::NoRoom => Refusal::NoRoom.into(),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_refusal_is_a_problem_that_says_what_would_be_right() {
        let response = Refusal::BodyTooLarge { limit: 8 }.response();
        assert_eq!(response.status, 413);
        let document: serde_json::Value = serde_json::from_slice(&response.body).unwrap();
        assert_eq!(document["title"], "Content Too Large");
        assert_eq!(document["detail"], "Keep the body within 8 bytes.");
        assert!(Refusal::Full.response().header("retry-after").is_some());
    }

    #[test]
    fn the_methods_named_are_the_methods_known() {
        let named = Method::ALL.map(Method::as_str).join(", ");
        assert!(Refusal::UnknownMethod.to_string().contains(&named));
    }
}
