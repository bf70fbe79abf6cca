//! What a program sent: one JSON value, read whole or refused with every fault.

use super::problem::Problem;
use crate::order::parse::json;
use crate::order::parse::reader::{Found, Spot};

/// What `read` makes of the value.
///
/// # Errors
/// 400 for what is not JSON, 422 with every fault that `read` noted.
pub fn read<T>(body: &[u8], read: impl FnOnce(&Spot) -> Option<T>) -> Result<T, Problem> {
    let value = json::read(body)?;
    let found = Found::default();
    match read(&Spot::root(&value, &found)) {
        Some(told) if found.is_empty() => Ok(told),
        _ => Err(Problem::faulty(found.into_faults())),
    }
}
