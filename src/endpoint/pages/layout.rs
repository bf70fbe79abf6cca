//! The shell around every page.

use maud::{DOCTYPE, Markup, html};

use crate::endpoint::http::Response;
use crate::endpoint::kiosk::Kiosk;
use crate::label::code::Code;

/// A bend and a hem, in the browser's tab.
const ICON: &str = "data:image/svg+xml,%3Csvg xmlns='http://www.w3.org/2000/svg' viewBox='0 0 16 16'%3E\
                    %3Cpath d='M4 1v10h9v2h-4' fill='none' stroke='%2314202b' stroke-width='2'/%3E%3C/svg%3E";

/// A page. The title stands in the tab; the body is all there is to see.
pub fn page(kiosk: &Kiosk, title: &str, body: &Markup) -> Response {
    // The address changes with each start, so a browser may keep what it leads to for good.
    let style = format!("/style.css?{}", kiosk.start());
    let page = html! {
        (DOCTYPE)
        html lang="en" {
            head {
                meta charset="utf-8";
                meta name="viewport" content="width=device-width, initial-scale=1";
                meta name="format-detection" content="telephone=no";
                title { (title) }
                link rel="icon" href=(ICON);
                link rel="stylesheet" href=(style);
            }
            body { (body) }
        }
    };
    Response::html(page.into_string())
}

/// The one style sheet.
pub fn style() -> Response {
    Response::bytes("text/css; charset=utf-8", include_str!("style.css"))
        .with_header("Cache-Control", "max-age=31536000, immutable")
}

/// Who an order is for, as every page starts. `back` leads out of it.
pub fn heading(what: &str, order: &str, job: &str, back: Option<&str>) -> Markup {
    html! {
        header {
            p.what {
                @if let Some(back) = back { a href=(back) { "All orders" } " · " }
                (what) " · order " strong { (order) }
            }
            h1 dir="auto" { (job) }
        }
    }
}

/// A field for a label's code, which a scanner types into and ends with Enter, as its only button does.
pub fn code_field(label: &str, focused: bool) -> Markup {
    html! {
        label for="code" { (label) }
        input #code.code name="code" required autofocus[focused] autocomplete="off" autocapitalize="characters"
            autocorrect="off" spellcheck="false" inputmode="text" enterkeyhint="go" maxlength="300";
    }
}

/// A new id for what a form will report: loading its answer again is then no second report.
pub fn fresh_id() -> Result<Markup, getrandom::Error> {
    let id = Code::random()?;
    Ok(html! { input type="hidden" name="id" value=(id.as_str()); })
}
