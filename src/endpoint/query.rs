//! What a query says, checked.

use std::ops::RangeInclusive;

use super::http::Request;
use super::problem::Problem;
use crate::label::stock::Stock;
use crate::trade::length::Units;

/// A whole number, or `default` where none is given.
///
/// # Errors
/// 422 when it is no number of `range`.
pub fn whole(request: &Request, name: &str, default: usize, range: RangeInclusive<usize>) -> Result<usize, Problem> {
    let Some(text) = request.query_value(name) else { return Ok(default) };
    text.parse().ok().filter(|number| range.contains(number)).ok_or_else(|| {
        let (from, to) = range.into_inner();
        wrong(name, text, &format!("a whole number from {from} to {to}"))
    })
}

/// One of a few words, or `default` where none is given.
///
/// # Errors
/// 422 when it is none of them.
pub fn word<T: Copy>(request: &Request, name: &str, default: T, words: &[(&str, T)]) -> Result<T, Problem> {
    let Some(text) = request.query_value(name) else { return Ok(default) };
    let found = words.iter().find(|(word, _)| word.eq_ignore_ascii_case(text));
    found.map(|(_, meaning)| *meaning).ok_or_else(|| {
        let words: Vec<&str> = words.iter().map(|(word, _)| *word).collect();
        wrong(name, text, &words.join(" or "))
    })
}

/// The label stock asked for, or the usual one.
///
/// # Errors
/// 422 when no stock has this name.
pub fn stock(request: &Request, units: Units) -> Result<Stock, Problem> {
    let known = Stock::ALL.map(|stock| (stock.name, stock));
    word(request, "stock", Stock::usual(units), &known)
}

fn wrong(name: &str, text: &str, right: &str) -> Problem {
    let shown: String = text.chars().take(40).collect();
    Problem::new(422, "wrong-query", "The query is wrong", format!("{name}={shown} is wrong here; give {right}"))
}
