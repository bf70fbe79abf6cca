//! What programs are answered: JSON, drawings, and what a bench reports.

pub mod event;
pub mod happened;
pub mod orders;
pub mod people;
pub mod phones;
pub mod pictures;
pub mod pieces;
pub mod prints;
pub mod remake;
pub mod runs;
pub mod scan;

use super::http::Response;
use super::kiosk::VERSION;

/// That the kiosk is up, and which version.
pub fn health() -> Response {
    Response::json(&serde_json::json!({ "ok": true, "version": VERSION }))
}
