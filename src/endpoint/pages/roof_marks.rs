//! What can be marked from the roof page: a piece installed, or counted onto the van; and what came of it.

use maud::{Markup, html};

use super::form::Form;
use super::load::LOADING;
use super::report::Unsaid;
use super::roof::{Opened, WAIT};
use super::{layout, signs};
use crate::endpoint::auth;
use crate::endpoint::http::Request;
use crate::endpoint::kiosk::Kiosk;
use crate::endpoint::problem::Problem;
use crate::store::{Event, PieceRecord, PieceRow, Refusal, State};

/// What came of a form.
pub enum Outcome {
    Installed,
    AlreadyInstalled {
        at: i64,
    },
    NotBent,
    ReportedMeanwhile,
    /// The label is not the newest.
    Retired,
    Reported,
    NotReported(Unsaid),
}

/// Marks the piece installed, if it may be. The inner error is what the trade's rules refuse otherwise.
///
/// # Errors
/// When the store fails: then nothing was recorded.
pub fn installed(kiosk: &Kiosk, form: &Form, opened: &Opened) -> Result<Result<Outcome, Refusal>, Problem> {
    let PieceRow { code, reported, .. } = &opened.record.row;
    if opened.newer.is_some() {
        return Ok(Ok(Outcome::Retired));
    }
    // From a page that was opened before somebody reported the piece.
    if reported.is_some() && form.value("told") != "yes" {
        return Ok(Ok(Outcome::ReportedMeanwhile));
    }
    Ok(match form.record(kiosk, code, &Event::Installed)? {
        Ok(_) => Ok(Outcome::Installed),
        Err(Refusal::AlreadyInstalled { at, .. }) => Ok(Outcome::AlreadyInstalled { at }),
        Err(Refusal::NotBent) => Ok(Outcome::NotBent),
        Err(refusal) => Err(refusal),
    })
}

impl Outcome {
    /// The block on top of the page.
    pub fn block(&self, kiosk: &Kiosk, mark: &str) -> Markup {
        let (class, sign, word, detail) = match self {
            Self::Installed => ("result yes", signs::check(), "INSTALLED", "Recorded. The shop sees it.".to_owned()),
            Self::AlreadyInstalled { at } => (
                "result same",
                signs::equals(),
                "ALREADY INSTALLED",
                format!("Recorded at {}, and not a second time.", kiosk.clock().said(*at)),
            ),
            Self::NotBent => (
                "result no",
                signs::cross(),
                "NOT RECORDED",
                "The bench has not finished this piece. Ask the shop: is this the right label?".to_owned(),
            ),
            Self::ReportedMeanwhile => (
                "result no",
                signs::cross(),
                "NOT RECORDED",
                format!("Somebody reported this piece as bad after you opened its page. {WAIT}"),
            ),
            Self::Retired => {
                ("result no", signs::cross(), "NOT RECORDED", "Scan the piece's newest label instead.".to_owned())
            }
            Self::Reported => ("result yes", signs::check(), "REPORTED", format!("The shop sees it. {WAIT}")),
            Self::NotReported(unsaid) => ("result no", signs::cross(), "NOT REPORTED", unsaid.to_string()),
        };
        html! {
            div class=(class) role="alert" {
                p.big { (sign) span { (word) " " span.mark { (mark) } } }
                p { (detail) }
            }
        }
    }
}

/// One touch to mark the piece installed; or why that cannot be.
///
/// # Errors
/// When the system has no randomness for the form's id.
pub fn installed_form(opened: &Opened) -> Result<Markup, Problem> {
    let row = &opened.record.row;
    let reported = row.reported.is_some();
    let form = html! {
        form.work method="post" action=(format!("/P/{}", opened.label)) {
            (layout::fresh_id()?)
            @if reported { input type="hidden" name="told" value="yes"; }
            button name="do" value="installed" { "Mark installed" }
        }
    };
    Ok(match row.state {
        State::Installed => html! { p.done { (signs::check()) "Installed" } },
        State::Waiting | State::Started => {
            html! { p.notyet { "Not bent yet: the bench has not finished this piece." } }
        }
        State::Bent | State::Loaded if opened.newer.is_some() => {
            html! { p.notyet { "To mark it installed, scan its newest label." } }
        }
        State::Bent | State::Loaded if reported => html! {
            p.notyet { (WAIT) }
            details {
                summary { "The shop says it may be used" }
                (form)
            }
        },
        State::Bent | State::Loaded => form,
    })
}

/// On a phone that is loading an order: whether this piece goes along, and one touch to count it.
///
/// # Errors
/// When the system has no randomness for the form's id.
pub fn van(kiosk: &Kiosk, request: &Request, opened: &Opened) -> Result<Markup, Problem> {
    let loading = request.cookie(LOADING).filter(|_| auth::knows_shop(kiosk, request));
    let Some(number) = loading else { return Ok(html! {}) };
    let PieceRecord { order, row, .. } = opened.record;
    let list = format!("/load/{number}");
    Ok(html! {
        @if order.number != number {
            div.result.no role="alert" {
                p.not { "DO NOT LOAD" }
                p.big { (signs::cross()) span { "NOT ORDER " (number) } }
                p { span.mark { (row.mark) } " belongs to order " strong { (order.number) } ". " a href=(list) { "Back to the load check" } }
            }
        } @else if row.state == State::Bent && opened.newer.is_none() {
            form.van method="post" action=(list) {
                (layout::fresh_id()?)
                input type="hidden" name="code" value=(opened.label);
                p { "Loading order " strong { (number) } ": this piece goes along." }
                button { "Count " span.mark { (row.mark) } " onto the van" }
            }
        } @else {
            div.van { p { "Loading order " strong { (number) } " · " a href=(list) { "Back to the load check" } } }
        }
    })
}
