//! Taking an order in: read, checked, planned, given codes and kept — or refused, with nothing stored.

use super::kiosk::Kiosk;
use super::problem::Problem;
use crate::label::code::Code;
use crate::order::parse::{self, json};
use crate::order::planner;
use crate::store::{Acceptance, NewOrder};

/// What became of an order, and its number.
///
/// # Errors
/// 400 for what is not JSON, 422 with every fault, 409 for a number that is taken.
pub fn take_in(kiosk: &Kiosk, body: &[u8]) -> Result<(Acceptance, String), Problem> {
    let document = json::read(body)?;
    let order = parse::from_json(&document)?;
    let plan = planner::plan(&order)?;
    let codes = plan.pieces.iter().map(|_| Code::random().map(String::from)).collect::<Result<Vec<_>, _>>()?;
    let new = NewOrder { document: &document, job: &order.job, plan: &plan, replaces: order.replaces, codes: &codes };
    let acceptance = kiosk.store().accept(&new, kiosk.now())?;
    Ok((acceptance, order.number))
}
