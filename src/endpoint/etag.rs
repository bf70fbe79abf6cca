//! Answers that a client need not fetch again while nothing has changed (RFC 9110 §8.8, §13.1.2).
//!
//! Benches ask every few seconds, and phones on a weak signal should not be sent what they have.

use super::http::{Request, Response};
use super::kiosk::Kiosk;
use super::problem::Problem;

/// What `body` answers, or 304 when the client has the answer of this revision.
///
/// The caller reads the revision before the body: a change in between makes the tag too old, never too new.
pub fn tagged(
    kiosk: &Kiosk,
    request: &Request,
    revision: i64,
    body: impl FnOnce() -> Result<Response, Problem>,
) -> Result<Response, Problem> {
    let tag = format!("\"{}-{revision}\"", kiosk.start());
    let response = if has(request, &tag) { Response::new(304) } else { body()? };
    Ok(response.with_header("ETag", tag))
}

/// Whether `If-None-Match` names this tag; it compares weakly.
fn has(request: &Request, tag: &str) -> bool {
    let mut known = request.headers.get_all("If-None-Match").flat_map(|line| line.split(',')).map(str::trim);
    known.any(|known| known == "*" || known.trim_start_matches("W/") == tag)
}
