//! Finding what a path names: an order by its number, a piece by its code.

use super::kiosk::Kiosk;
use super::problem::Problem;
use crate::label::code::Code;
use crate::order::sheet::RunSheet;
use crate::store::{OrderSummary, PieceRecord, Refusal, RunRow, Scan};

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

/// The number of the current order that is meant, as it is written there, and where that order stands, for an ETag: its
/// sums, which cost more, are not asked for.
///
/// # Errors
/// As [`order`].
pub fn tag(kiosk: &Kiosk, number: &str) -> Result<(String, i64), Problem> {
    if let Some(revision) = kiosk.store().order_revision(number)? {
        return Ok((number.to_owned(), revision));
    }
    let number = order(kiosk, number)?.number;
    let revision = revision(kiosk, &number)?;
    Ok((number, revision))
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

/// The piece with this code, its own or its newest label's.
///
/// # Errors
/// As [`label`]; 410 when the piece's order was replaced, it was made again, or a newer label was printed for it than the
/// one with this code.
pub fn piece(kiosk: &Kiosk, code: &str) -> Result<PieceRecord, Problem> {
    let scan = label(kiosk, code)?;
    scan.into_piece(Code::parse(code)?.as_str()).map_err(|refusal| Problem::of_refusal(&refusal, kiosk.clock()))
}

/// The piece that a label with this code was ever printed for, whatever became of it and of the label.
///
/// # Errors
/// As [`label`].
pub fn piece_as_it_is(kiosk: &Kiosk, code: &str) -> Result<PieceRecord, Problem> {
    let own = label(kiosk, code)?.code;
    let unknown = || Problem::of_refusal(&Refusal::UnknownCode, kiosk.clock());
    kiosk.store().piece(&own)?.ok_or_else(unknown)
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
