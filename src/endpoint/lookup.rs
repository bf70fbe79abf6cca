//! Finding what a path names: an order by its number, a piece by its code.

use super::kiosk::Kiosk;
use super::problem::Problem;
use crate::label::code::Code;
use crate::order::sheet::RunSheet;
use crate::store::{OrderSummary, PieceRecord, Refusal, Remade, RunRow, Scan, Stands};

/// The current order of this number; in another case too, if there is none in this one.
///
/// # Errors
/// 404 when there is none.
pub fn order(kiosk: &Kiosk, number: &str) -> Result<OrderSummary, Problem> {
    if let Some(order) = kiosk.store().order(number)? {
        return Ok(order);
    }
    let mut orders = kiosk.store().orders()?.into_iter();
    orders.find(|order| order.number.eq_ignore_ascii_case(number)).ok_or_else(|| Problem::no_such_order(number))
}

/// What has become of the label with this code.
///
/// # Errors
/// 404 when the code is mistyped, or never was on a label of this kiosk.
pub fn label(kiosk: &Kiosk, code: &str) -> Result<Scan, Problem> {
    let code = Code::parse(code)?;
    if code.is_test() {
        return Err(Problem::test_label());
    }
    let unknown = || Problem::of_refusal(&Refusal::UnknownCode, kiosk.clock());
    kiosk.store().scan(code.as_str())?.ok_or_else(unknown)
}

/// Why this label is not to be gone by, if it is not.
pub fn refusal(scan: &Scan) -> Option<Refusal> {
    let now = scan.now().unwrap_or_default().to_owned();
    match scan.stands {
        Stands::Current => None,
        Stands::Retired => Some(Refusal::LabelRetired { now }),
        Stands::Remade => {
            scan.remade.as_ref().map(|Remade { why, at, .. }| Refusal::Remade { why: why.clone(), at: *at, now })
        }
        Stands::Replaced => Some(Refusal::Replaced { number: scan.order.clone() }),
    }
}

/// The piece with this code, its own or its newest label's.
///
/// # Errors
/// As [`label`]; 410 when the piece's order was replaced, it was made again, or a newer label was printed for it than the
/// one with this code.
pub fn piece(kiosk: &Kiosk, code: &str) -> Result<PieceRecord, Problem> {
    let scan = label(kiosk, code)?;
    let refusal = match refusal(&scan) {
        // The piece's own code is its identity, whatever is on its labels.
        Some(Refusal::LabelRetired { .. }) if Code::parse(code)?.as_str() == scan.code => None,
        refusal => refusal,
    };
    match (refusal, scan.piece) {
        (None, Some(record)) => Ok(record),
        (refusal, _) => Err(Problem::of_refusal(&refusal.unwrap_or(Refusal::UnknownCode), kiosk.clock())),
    }
}

/// The run that a path names by its place in the current order of this number, 0 first.
///
/// # Errors
/// 404 when there is none, or the order was accepted before runs were planned.
pub fn run(kiosk: &Kiosk, number: &str, run: &str) -> Result<RunRow, Problem> {
    let runs = kiosk.store().run_count(number)?;
    if runs == 0 {
        return Err(Problem::no_sheet(number));
    }
    let index = run.parse().ok().filter(|index| (0..runs).contains(index));
    let row = index.map(|index| kiosk.store().runs(number, index, 1)).transpose()?.and_then(|mut rows| rows.pop());
    row.ok_or_else(|| Problem::no_such_run(number, runs))
}

/// This run of the current order of this number, as it will lie.
///
/// # Errors
/// 404 when there is none.
pub fn run_sheet(kiosk: &Kiosk, number: &str, run: usize) -> Result<RunSheet, Problem> {
    kiosk.store().run_sheet(number, run)?.ok_or_else(|| Problem::no_sheet(number))
}

/// Where a piece's order stands, for an ETag.
///
/// # Errors
/// When the store fails.
pub fn revision(kiosk: &Kiosk, number: &str) -> Result<i64, Problem> {
    Ok(kiosk.store().order_revision(number)?.unwrap_or_default())
}
