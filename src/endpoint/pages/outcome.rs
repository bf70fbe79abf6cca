//! What came of a code at the van, and how loudly it is said.

use maud::{Markup, html};

use super::form::Form;
use super::remade::{so_far, spaced};
use super::signs;
use crate::endpoint::kiosk::Kiosk;
use crate::endpoint::problem::Problem;
use crate::label::code::{Code, CodeError};
use crate::store::{Event, PieceRecord, Refusal, Stands};

/// What came of one code.
#[derive(Debug)]
pub enum Outcome {
    Loaded(PieceRecord),
    AlreadyLoaded {
        record: PieceRecord,
        at: i64,
    },
    NotBent(PieceRecord),
    OtherOrder(PieceRecord),
    /// The piece was made again: that one stands now.
    MadeAgain(PieceRecord),
    /// A newer label was printed.
    OldLabel(PieceRecord),
    Replaced {
        number: String,
    },
    TestLabel,
    Unknown,
    NotRead(CodeError),
}

impl Outcome {
    /// Counts the piece whose code the form's field holds onto the van of order `number`, if it belongs there.
    ///
    /// # Errors
    /// When the store fails: then nothing was counted.
    pub fn of(kiosk: &Kiosk, number: &str, form: &Form) -> Result<Self, Problem> {
        let code = match Code::find_in(form.value("code")) {
            Ok(code) => code,
            Err(error) => return Ok(Self::NotRead(error)),
        };
        if code.is_test() {
            return Ok(Self::TestLabel);
        }
        let Some(scan) = kiosk.store().scan(code.as_str())? else { return Ok(Self::Unknown) };
        let Some(record) = scan.piece else { return Ok(Self::Replaced { number: scan.order }) };
        if record.order.number != number {
            return Ok(Self::OtherOrder(record));
        }
        match scan.stands {
            Stands::Current => {}
            Stands::Retired => return Ok(Self::OldLabel(record)),
            Stands::Remade => return Ok(Self::MadeAgain(record)),
            Stands::Replaced => return Ok(Self::Replaced { number: scan.order }),
        }
        match form.record(kiosk, code.as_str(), &Event::Loaded)? {
            Ok(_) => Ok(Self::Loaded(record)),
            Err(Refusal::AlreadyLoaded { at, .. }) => Ok(Self::AlreadyLoaded { record, at }),
            Err(Refusal::NotBent) => Ok(Self::NotBent(record)),
            Err(refusal) => Err(Problem::of_refusal(&refusal, kiosk.clock())),
        }
    }

    /// For the tab: it is read aloud first.
    pub fn title(&self) -> &'static str {
        match self {
            Self::Loaded(_) => "Loaded",
            Self::AlreadyLoaded { .. } => "Already loaded",
            _ => "NOT LOADED",
        }
    }

    /// The block on top of the page.
    pub fn block(&self, kiosk: &Kiosk, number: &str) -> Markup {
        match self {
            Self::Loaded(record) => html! {
                div.result.yes role="alert" {
                    p.big { (signs::check()) span { "LOADED " span.mark { (record.row.mark) } } }
                    p { (record.piece.trim.name()) " · " (record.row.length.text) }
                    @if let Some(why) = &record.row.reported {
                        p dir="auto" { strong { "But somebody reported it bad: " } (why) }
                    }
                }
            },
            Self::AlreadyLoaded { record, at } => html! {
                div.result.same role="alert" {
                    p.big { (signs::equals()) span { "ALREADY LOADED " span.mark { (record.row.mark) } } }
                    p { "Counted at " (kiosk.clock().said(*at)) ", and not a second time." }
                }
            },
            Self::NotBent(record) => refusal(
                &html! { span.mark { (record.row.mark) } " NOT BENT YET" },
                &html! { "The bench has not finished this piece. Ask there before you load it." },
            ),
            Self::OtherOrder(record) => refusal(
                &html! { "NOT THIS ORDER" },
                &html! {
                    span.mark { (record.row.mark) } " belongs to order " strong { (record.order.number) } ", "
                    bdi { (record.order.job.name) } ". This is order " strong { (number) } ": put it back."
                },
            ),
            Self::MadeAgain(record) => refusal(
                &html! { span.mark { (record.row.mark) } " WAS MADE AGAIN" },
                &html! {
                    "Leave this piece here. The one in its place has the label " code { (spaced(&record.row.label)) } " and is "
                    (so_far(record.row.state)) "."
                },
            ),
            Self::OldLabel(record) => refusal(
                &html! { "OLD LABEL" },
                &html! {
                    "The label of " span.mark { (record.row.mark) } " was printed again. Scan its newest: "
                    code { (spaced(&record.row.label)) } "."
                },
            ),
            Self::TestLabel => refusal(
                &html! { "TEST LABEL" },
                &html! { "The scanner reads well, and this label belongs to no piece." },
            ),
            Self::Replaced { number } => refusal(
                &html! { "LABEL IS VOID" },
                &html! { "Order " (number) " was replaced after this label was made. Ask the shop." },
            ),
            Self::Unknown => refusal(
                &html! { "NO SUCH PIECE" },
                &html! { "The code is whole, but this shop has no piece with it. Is it this shop's label?" },
            ),
            Self::NotRead(CodeError::Mistyped) => refusal(
                &html! { "CODE MISTYPED" },
                &html! { "One character is wrong. Scan again, or compare it with the label and type it again." },
            ),
            Self::NotRead(error) => {
                refusal(&html! { "CODE NOT READ" }, &html! { (error) ". Scan again, or type the code from the label." })
            }
        }
    }
}

/// Every refusal says first what did not happen.
fn refusal(why: &Markup, detail: &Markup) -> Markup {
    html! {
        div.result.no role="alert" {
            p.not { "NOT LOADED" }
            p.big { (signs::cross()) span { (why) } }
            p { (detail) }
        }
    }
}
