//! Reporting a bad piece from the roof: what is asked, and whether the answer says anything.

use maud::{Markup, html};
use thiserror::Error;

use super::form::Form;
use super::layout;
use crate::endpoint::api::event::LONGEST;
use crate::endpoint::auth;
use crate::endpoint::http::Request;
use crate::endpoint::kiosk::Kiosk;
use crate::endpoint::problem::Problem;
use crate::label::code::Code;
use crate::order::fault::misleads;
use crate::order::parse::text::blank;

/// The longest text beside a reason, in characters: with the longest of them it makes one that is taken.
const MORE: usize = 150;

/// What is usually wrong with a piece.
const REASONS: [&str; 7] = [
    "too short",
    "too long",
    "wrong hand: notched at the wrong end",
    "bent for another pitch",
    "does not fit its neighbour",
    "scratched or dented",
    "something else",
];

/// The form, folded away until it is needed. Only who knows the shop is asked whether the piece must be made again.
///
/// # Errors
/// When the system has no randomness for its id.
pub fn form(label: &Code, knows_shop: bool) -> Result<Markup, Problem> {
    Ok(html! {
        details {
            summary { "Report a bad piece" }
            form.work method="post" action=(format!("/P/{label}")) {
                (layout::fresh_id()?)
                fieldset {
                    legend { "What is wrong?" }
                    @for reason in REASONS {
                        label.choice { input type="radio" name="why" value=(reason) required; (reason) }
                    }
                }
                label for="more" { "More, in your words" }
                textarea #more name="more" rows="2" maxlength=(MORE) dir="auto" {}
                @if knows_shop {
                    label.choice { input type="checkbox" name="again" value="yes"; "It must be made again" }
                }
                button.second name="do" value="report" { "Report it" }
            }
        }
    })
}

/// Whether somebody who may decide that says that the piece must be made again.
pub fn again(kiosk: &Kiosk, request: &Request, form: &Form) -> bool {
    form.value("again") == "yes" && auth::admit(kiosk, request).is_ok()
}

/// Why a form makes no report.
#[derive(Debug, Error)]
pub enum Unsaid {
    #[error("Say what is wrong: choose a reason or write one.")]
    Nothing,
    #[error("The reason is {characters} characters long. Say it in {LONGEST} at most.")]
    TooLong { characters: usize },
}

/// The chosen reason and what was written beside it, in one line that reads as it is.
///
/// # Errors
/// When it says nothing, or too much.
pub fn reason(form: &Form) -> Result<String, Unsaid> {
    let parts: Vec<&str> =
        [form.value("why"), form.value("more")].into_iter().filter(|part| !part.is_empty()).collect();
    let why: String = parts.join(": ").chars().map(|c| if misleads(c) { ' ' } else { c }).collect();
    let why = why.trim();
    match why.chars().count() {
        _ if why.chars().all(blank) => Err(Unsaid::Nothing),
        0..=LONGEST => Ok(why.to_owned()),
        characters => Err(Unsaid::TooLong { characters }),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_the_form_lets_in_is_taken() {
        assert!(REASONS.iter().all(|reason| format!("{reason}: ").chars().count() + MORE <= LONGEST));
    }
}
