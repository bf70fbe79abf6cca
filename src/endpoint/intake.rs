//! Taking an order in: read, checked, planned, given codes and kept — or refused, with nothing stored.

use serde::de::IgnoredAny;

use super::kiosk::Kiosk;
use super::problem::Problem;
use crate::label::code::Code;
use crate::order::{parse, planner};
use crate::store::{Acceptance, NewOrder};

/// What became of an order, and its number.
///
/// # Errors
/// 400 for what is not JSON, 422 with every fault, 409 for a number that is taken.
pub fn take_in(kiosk: &Kiosk, body: &[u8]) -> Result<(Acceptance, String), Problem> {
    serde_json::from_slice::<IgnoredAny>(body).map_err(|error| Problem::not_json(&error))?;
    let (order, document) = parse::parse(body)?;
    let plan = planner::plan(&order)?;
    let codes = plan.pieces.iter().map(|_| Code::random().map(String::from)).collect::<Result<Vec<_>, _>>()?;
    let new = NewOrder { document: &document, job: &order.job, plan: &plan, replaces: order.replaces, codes: &codes };
    let acceptance = kiosk.store().accept(&new, kiosk.now())?;
    Ok((acceptance, order.number))
}
