//! What a phone shows that was pointed at one of the shop's own codes: the test label, a command card. Neither names a
//! piece, and neither is an error.

use maud::html;

use super::{layout, signs};
use crate::endpoint::http::Response;
use crate::endpoint::kiosk::Kiosk;
use crate::endpoint::problem::Problem;
use crate::label::scan::Command;

/// The test label was read as it should be.
pub fn test_label(kiosk: &Kiosk) -> Response {
    let body = html! {
        header { h1 { "Test label" } }
        div.result.yes {
            p.big { (signs::check()) "IT CAN BE READ" }
            p { "The symbol is good and this phone reached the kiosk." }
        }
        main { p { "It belongs to no piece: it is for trying scanners and the label printer." } }
    };
    layout::page(kiosk, "Test label", &body)
}

/// `GET /K/{word}`: a card that drives the bench, which a phone cannot.
///
/// # Errors
/// 404 for a word that is on no card.
pub fn card(kiosk: &Kiosk, word: &str) -> Result<Response, Problem> {
    let command = Command::ALL.into_iter().find(|command| command.word().eq_ignore_ascii_case(word));
    let does = match command.ok_or_else(Problem::no_such_path)? {
        Command::On => "goes on: the step is done",
        Command::Back => "goes back",
        Command::Pause => "leaves the piece as it is",
    };
    let body = html! {
        header { h1 { "Command card" } }
        main {
            p { "Read by the scanner at the bench, this card " (does) "." }
            p.quiet { "A phone cannot drive the bench." }
        }
    };
    Ok(layout::page(kiosk, "Command card", &body))
}

#[cfg(test)]
mod tests {
    use crate::endpoint::fixture::{Shop, form, order, text};
    use crate::endpoint::http::{Method, Request};
    use crate::label::code::TEST;

    #[test]
    fn what_names_no_piece_says_what_it_is() {
        let shop = Shop::with(&order("2041"));
        let open = |path: &str| shop.ask(&Request::new(Method::Get, path));
        let test = open(&format!("/p/{}", TEST.to_lowercase()));
        assert!(test.status == 200 && text(&test).contains("IT CAN BE READ"));
        let marked = shop.ask(&form(&format!("/P/{TEST}"), &[("do", "installed")]));
        assert!(marked.status == 404 && text(&marked).contains("That is the test label"));
        let counted = text(&shop.browse(form("/load/2041", &[("code", &format!("HTTP://10.0.0.7:8787/P/{TEST}"))])));
        assert!(counted.contains("NOT LOADED") && counted.contains("TEST LABEL"));
        for (card, does) in [("ON", "goes on"), ("back", "goes back"), ("Pause", "leaves the piece")] {
            assert!(text(&open(&format!("/K/{card}"))).contains(does), "{card}");
        }
        assert_eq!(open("/K/STOP").status, 404);
    }
}
