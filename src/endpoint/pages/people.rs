//! Who works here, for the owner: names added, PINs set, people gone.

use maud::{Markup, html};

use super::form::Form;
use super::{layout, signs};
use crate::endpoint::http::{Request, Response};
use crate::endpoint::kiosk::Kiosk;
use crate::endpoint::people::{self, LONGEST};
use crate::endpoint::pin::{DIGITS, Pin, digits};
use crate::endpoint::problem::Problem;
use crate::store::Person;

/// `GET /people`.
///
/// # Errors
/// When the store fails.
pub fn page(kiosk: &Kiosk) -> Result<Response, Problem> {
    show(kiosk, None)
}

/// `POST /people`: what a form asks for, and the page again with what came of it.
///
/// # Errors
/// 404 without such a person; 422 when the form asks for nothing; when the store fails.
pub fn act(kiosk: &Kiosk, request: &Request) -> Result<Response, Problem> {
    let form = Form::of(request);
    let outcome = match form.value("do") {
        "add" => add(kiosk, &form)?,
        "pin" => set_pin(kiosk, &form)?,
        "leave" => {
            let person = people::leave(kiosk, people::number(form.value("person"))?)?;
            Outcome::Done { what: "GONE", who: person.name }
        }
        _ => {
            let detail = "give do=add with name, do=pin with person, or do=leave with person";
            return Err(Problem::new(422, "nothing-asked", "Nothing was asked for", detail));
        }
    };
    show(kiosk, Some(&outcome))
}

fn add(kiosk: &Kiosk, form: &Form) -> Result<Outcome, Problem> {
    let (Some(name), Ok(pin)) = (people::name(form.value("name")), wanted_pin(form)) else {
        let detail =
            format!("Give a name of 1 to {LONGEST} characters and, if they should have one, a PIN of {}.", digits());
        return Ok(Outcome::Refused { what: "NOT ADDED", detail });
    };
    match people::add(kiosk, &name, pin.as_ref()) {
        Ok(person) => Ok(Outcome::Done { what: "ADDED", who: person.name }),
        Err(Problem { refusal: Some(_), detail, .. }) => Ok(Outcome::Refused { what: "NOT ADDED", detail }),
        Err(problem) => Err(problem),
    }
}

fn set_pin(kiosk: &Kiosk, form: &Form) -> Result<Outcome, Problem> {
    let Ok(pin) = wanted_pin(form) else {
        return Ok(Outcome::Refused { what: "PIN NOT SET", detail: format!("Give a PIN of {}, or none.", digits()) });
    };
    let person = people::set_pin(kiosk, people::number(form.value("person"))?, pin.as_ref())?;
    let what = if pin.is_some() { "PIN SET" } else { "NO PIN ANY MORE" };
    Ok(Outcome::Done { what, who: person.name })
}

/// The PIN in the form: none when its field is empty, an error when it holds something else.
fn wanted_pin(form: &Form) -> Result<Option<Pin<'_>>, ()> {
    match form.value("pin") {
        "" => Ok(None),
        typed => Pin::read(typed).map(Some).ok_or(()),
    }
}

/// What came of a form.
enum Outcome {
    Done { what: &'static str, who: String },
    Refused { what: &'static str, detail: String },
}

impl Outcome {
    fn block(&self) -> Markup {
        match self {
            Self::Done { what, who } => html! {
                div.result.yes role="alert" {
                    p.big { (signs::check()) span { (what) " · " bdi { (who) } } }
                }
            },
            Self::Refused { what, detail } => html! {
                div.result.no role="alert" {
                    p.big { (signs::cross()) (what) }
                    p dir="auto" { (detail) }
                }
            },
        }
    }
}

fn show(kiosk: &Kiosk, outcome: Option<&Outcome>) -> Result<Response, Problem> {
    let people = kiosk.store().people()?;
    let body = html! {
        @if let Some(outcome) = outcome { (outcome.block()) }
        header {
            p.what { a href="/" { "All orders" } }
            h1 { "Who works here" }
        }
        main {
            p {
                "A bench shows these names to choose from; what is done there then carries the name. Where a name has a "
                "PIN, the bench asks for it first."
            }
            @if people.is_empty() { p.quiet { "Nobody yet: a bench then works without names." } }
            @for person in &people { (line(person)) }
            section {
                h2 { "Somebody new" }
                form.work method="post" action="/people" {
                    label for="name" { "Name" }
                    input #name.line name="name" required maxlength=(LONGEST) autocomplete="off" dir="auto";
                    (pin_field("pin", &format!("PIN, {}, or none", digits())))
                    button name="do" value="add" { "Add" }
                }
            }
        }
    };
    Ok(layout::page(kiosk, "Who works here", &body))
}

fn line(person: &Person) -> Markup {
    let Person { id, name, pin } = person;
    html! {
        details.person {
            summary { bdi { (name) } span.quiet { @if *pin { "has a PIN" } @else { "no PIN" } } }
            form.work method="post" action="/people" {
                input type="hidden" name="person" value=(id);
                (pin_field(&format!("pin-{id}"), &if *pin { "Another PIN, or none".into() } else { format!("PIN, {}", digits()) }))
                button.second name="do" value="pin" { "Set the PIN" }
            }
            form.work.apart method="post" action="/people" {
                input type="hidden" name="person" value=(id);
                p { "Events keep the name; it can be added again." }
                button.second name="do" value="leave" { "Does not work here any more" }
            }
        }
    }
}

/// Digits that nobody reads over a shoulder, and that no browser keeps.
fn pin_field(id: &str, label: &str) -> Markup {
    let (least, most) = (DIGITS.start(), DIGITS.end());
    let pattern = format!("[0-9]{{{least},{most}}}");
    html! {
        label for=(id) { (label) }
        input.line id=(id) name="pin" type="password" inputmode="numeric" pattern=(pattern) maxlength=(most) autocomplete="new-password";
    }
}

#[cfg(test)]
mod tests {
    use serde_json::json;

    use crate::endpoint::fixture::{Shop, form, post, text};

    fn send(shop: &Shop, fields: &[(&str, &str)]) -> String {
        text(&shop.browse(form("/people", fields)))
    }

    fn enters(shop: &Shop, pin: &str) -> u16 {
        shop.keyed(post("/api/people/1", &json!({ "do": "enter", "pin": pin }))).status
    }

    #[test]
    fn the_owner_adds_people_sets_pins_and_lets_people_go() {
        let shop = Shop::new();
        let page = text(&shop.get("/people"));
        assert!(page.contains("Nobody yet") && page.contains("PIN, 4 to 8 digits, or none"));
        assert!(page.contains(r#"pattern="[0-9]{4,8}" maxlength="8""#), "{page}");
        let page = send(&shop, &[("do", "add"), ("name", "<b>Ana"), ("pin", "2468")]);
        assert!(page.contains("ADDED · <bdi>&lt;b&gt;Ana") && page.contains("has a PIN") && !page.contains("<b>Ana"));
        assert!(!page.contains("argon2") && !page.contains("2468"));
        assert!(send(&shop, &[("do", "add"), ("name", "<B>ana")]).contains("works here already"));
        assert_eq!([enters(&shop, "2468"), enters(&shop, "1357")], [200, 403]);
        assert!(send(&shop, &[("do", "pin"), ("person", "1"), ("pin", "1357")]).contains("PIN SET"));
        assert_eq!([enters(&shop, "2468"), enters(&shop, "1357")], [403, 200]);
        assert!(send(&shop, &[("do", "pin"), ("person", "1"), ("pin", "13")]).contains("PIN NOT SET"));
        assert!(send(&shop, &[("do", "pin"), ("person", "1"), ("pin", "")]).contains("NO PIN ANY MORE"));
        assert_eq!(enters(&shop, "9999"), 200);
        assert!(send(&shop, &[("do", "leave"), ("person", "1")]).contains("GONE"));
        assert!(text(&shop.get("/people")).contains("Nobody yet"));
    }

    #[test]
    fn another_pin_ends_the_wait_after_wrong_ones() {
        let shop = Shop::new();
        send(&shop, &[("do", "add"), ("name", "Ana"), ("pin", "2468")]);
        for _ in 0..5 {
            assert_eq!(enters(&shop, "1111"), 403);
        }
        assert_eq!(enters(&shop, "2468"), 429);
        send(&shop, &[("do", "pin"), ("person", "1"), ("pin", "1357")]);
        assert_eq!(enters(&shop, "1357"), 200);
    }

    #[test]
    fn what_cannot_be_is_refused() {
        let shop = Shop::new();
        for fields in
            [[("name", " "), ("pin", "")], [("name", "Ana"), ("pin", "12")], [("name", "A\u{202e}na"), ("pin", "")]]
        {
            assert!(send(&shop, &[&[("do", "add")], fields.as_slice()].concat()).contains("NOT ADDED"), "{fields:?}");
        }
        let status = |fields: &[(&str, &str)]| shop.browse(form("/people", fields)).status;
        assert_eq!(status(&[("do", "leave"), ("person", "1")]), 404);
        assert_eq!(status(&[("do", "pin"), ("person", "x"), ("pin", "1234")]), 404);
        assert_eq!(status(&[("do", "sing")]), 422);
        assert_eq!(shop.kiosk.store().people().unwrap(), []);
        let foreign = form("/people", &[("do", "add"), ("name", "Ana")]).with_header("Origin", "http://evil.example");
        assert_eq!(shop.browse(foreign).status, 403);
    }
}
