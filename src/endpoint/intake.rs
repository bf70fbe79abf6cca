//! Taking an order in: read, checked, planned, given codes and kept — or refused, with nothing stored.

use super::kiosk::Kiosk;
use super::problem::Problem;
use crate::label::code::Code;
use crate::order::parse::{self, json};
use crate::order::planner::Makeable;
use crate::store::{Acceptance, NewOrder, Planned};

/// What became of an order, and its number.
///
/// # Errors
/// 400 for what is not JSON, 422 with every fault, 409 for a number that is taken.
pub fn take_in(kiosk: &Kiosk, body: &[u8]) -> Result<(Acceptance, String), Problem> {
    let document = json::read(body)?;
    let order = parse::from_json(&document, kiosk.shop())?;
    let makeable = Makeable::new(&order)?;
    let codes = (0..makeable.count()).map(|_| Code::random().map(String::from)).collect::<Result<Vec<_>, _>>()?;
    let new = NewOrder {
        number: &order.number,
        document: &document,
        job: &order.job,
        units: order.units,
        notices: &makeable.notices(),
        replaces: order.replaces,
    };
    let planned =
        Planned { pieces: codes.into_iter().zip(makeable.pieces()), runs: makeable.runs(), sheet: || makeable.sheet() };
    let acceptance = kiosk.store().accept(&new, planned, kiosk.now())?;
    Ok((acceptance, order.number))
}
