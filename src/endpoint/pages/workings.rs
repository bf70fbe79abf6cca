//! The working behind a number, one tap away: the rule, what went into it, what came out, and who says so.

use maud::{Markup, html};

use crate::trade::working::Working;

/// Each number by its name, its working folded away.
pub fn list<'a>(workings: impl IntoIterator<Item = &'a Working>) -> Markup {
    html! {
        @for working in workings {
            (behind(&html! { (working.what) }, working))
        }
    }
}

/// Folds a working behind `number`.
pub fn behind(number: &Markup, working: &Working) -> Markup {
    html! {
        details.why {
            summary { (number) }
            (body(working))
        }
    }
}

/// A working, unfolded.
fn body(working: &Working) -> Markup {
    html! {
        div.working {
            p.rule { (working.rule) }
            dl.facts {
                @for input in &working.inputs {
                    dt { (input.name) }
                    dd { (input.value) }
                }
                dt { "result" }
                dd { (working.result) }
            }
            p.source { "by: " (working.source) }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn nothing_of_a_working_is_left_out() {
        let inputs = [("L, <longest>", "10' 0\"".to_owned())];
        let working = Working::new("tie-downs", "1 + ⌈L / 10 ft⌉", inputs, "2".into(), "49 CFR 393.110");
        let page = list(std::slice::from_ref(&working)).into_string();
        for said in
            ["tie-downs", "1 + ⌈L / 10 ft⌉", "L, &lt;longest&gt;", "10' 0&quot;", "<dd>2</dd>", "49 CFR 393.110"]
        {
            assert!(page.contains(said), "{said}: {page}");
        }
    }
}
