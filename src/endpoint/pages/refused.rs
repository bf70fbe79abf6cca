//! A problem, as a page: what it is and what to do now.

use maud::{Markup, html};

use super::{join, layout, signs};
use crate::endpoint::http::{Request, Response};
use crate::endpoint::kiosk::Kiosk;
use crate::endpoint::problem::Problem;

/// The page of this problem; without the shop's key, the form that asks for it.
pub fn page(kiosk: &Kiosk, request: &Request, problem: &Problem) -> Response {
    if problem.status == 401 {
        return problem.headed(join::form(kiosk, &request.path, false));
    }
    let (word, advice) = words(problem);
    let code = matches!(problem.refusal, Some("mistyped" | "unknown")) && is_roof(request);
    let body = html! {
        div.result.no role="alert" {
            p.big { (signs::cross()) (word) }
            p dir="auto" { (problem.detail) }
        }
        main {
            @if let Some(advice) = advice { p { (advice) } }
            @if code {
                (code_form())
            }
        }
    };
    problem.headed(layout::page(kiosk, word, &body))
}

/// To type a label's code by hand.
pub fn code_form() -> Markup {
    html! {
        form.work action="/P" {
            (layout::code_field("Type the code from the label", false))
            button { "Show the piece" }
        }
    }
}

fn is_roof(request: &Request) -> bool {
    request.path.get(..2).is_some_and(|start| start.eq_ignore_ascii_case("/p"))
}

fn words(problem: &Problem) -> (&'static str, Option<&'static str>) {
    match problem.refusal {
        Some("mistyped") => {
            ("CODE MISTYPED", Some("One character is wrong. Compare it with the label, letter by letter."))
        }
        Some("replaced") => (
            "LABEL IS VOID",
            Some("Do not install this piece. Take the label off and ask the shop which piece goes here now."),
        ),
        _ => (problem.title, None),
    }
}
