//! Who works here, over the API: the names a bench offers, and whether a PIN fits.

use serde_json::{Value, json};

use crate::endpoint::http::{Request, Response};
use crate::endpoint::kiosk::Kiosk;
use crate::endpoint::pin::{Pin, digits};
use crate::endpoint::problem::Problem;
use crate::endpoint::{body, etag, people};
use crate::order::parse::reader::{Spot, one_of};
use crate::order::parse::text::line;

const NAME: &str = "a name of 1 to 40 characters";

/// `GET /api/people`.
///
/// # Errors
/// When the store fails.
pub fn list(kiosk: &Kiosk, request: &Request) -> Result<Response, Problem> {
    etag::tagged(kiosk, request, kiosk.store().revision()?, || {
        Ok(Response::json(&json!({ "people": kiosk.store().people()? })))
    })
}

/// `POST /api/people`: somebody new.
///
/// # Errors
/// 400 for what is not JSON, 422 with every fault, 409 for a name that is taken.
pub fn add(kiosk: &Kiosk, request: &Request) -> Result<Response, Problem> {
    let (name, pin) = body::read(&request.body, newcomer)?;
    let pin = pin.as_deref().and_then(Pin::read);
    let person = people::add(kiosk, &name, pin.as_ref())?;
    Ok(Response::json(&person).with_status(201))
}

fn newcomer(spot: &Spot) -> Option<(String, Option<String>)> {
    let body = spot.object("a person, { \"name\": … }", &["name", "pin"])?;
    let name = body.required("name", NAME, |name| line(name, people::LONGEST));
    let pin = body.or("pin", None, pin);
    Some((name?, pin?))
}

fn pin(spot: &Spot) -> Option<Option<String>> {
    match spot.value {
        Value::Null => Some(None),
        value => match value.as_str().filter(|text| Pin::read(text).is_some()) {
            Some(pin) => Some(Some(pin.to_owned())),
            None => spot.wrong(&format!("a PIN of {}, as text", digits())),
        },
    }
}

#[derive(Clone, Copy)]
enum Asked {
    Enter,
    Leave,
}

const ASKED: [(&str, Asked); 2] = [("enter", Asked::Enter), ("leave", Asked::Leave)];

/// `POST /api/people/{id}`: somebody goes to work under this name, or does not work here any more.
///
/// # Errors
/// 400 for what is not JSON, 422 with every fault, 404 without such a person; as [`people::enter`].
pub fn act(kiosk: &Kiosk, request: &Request, id: &str) -> Result<Response, Problem> {
    let id = people::number(id)?;
    let (asked, pin) = body::read(&request.body, wish)?;
    let person = match asked {
        Asked::Enter => people::enter(kiosk, id, pin.as_deref())?,
        Asked::Leave => people::leave(kiosk, id)?,
    };
    Ok(Response::json(&person))
}

fn wish(spot: &Spot) -> Option<(Asked, Option<String>)> {
    let body = spot.object("{ \"do\": \"enter\" } or { \"do\": \"leave\" }", &["do", "pin"])?;
    let asked = body.required("do", &one_of(&ASKED), |asked| asked.word(&ASKED));
    // A PIN that can be none is a wrong one, not a fault: it is counted as it was typed.
    let pin = body.or("pin", None, |pin| match pin.value {
        Value::Null => Some(None),
        _ => pin.text(&format!("a PIN of {}", digits())).map(|digits| Some(digits.to_owned())),
    });
    Some((asked?, pin?))
}

#[cfg(test)]
mod tests {
    use serde_json::{Value, json};

    use crate::endpoint::fixture::{Shop, body, post};
    use crate::endpoint::http::Response;

    fn refusal(response: &Response) -> (u16, String) {
        (response.status, body(response)["refusal"].as_str().unwrap_or_default().to_owned())
    }

    fn add(shop: &Shop, person: Value) -> Response {
        shop.keyed(post("/api/people", &person))
    }

    fn enter(shop: &Shop, id: u32, pin: Value) -> Response {
        shop.keyed(post(&format!("/api/people/{id}"), &json!({ "do": "enter", "pin": pin })))
    }

    #[test]
    fn people_come_and_go_and_nobodys_pin_is_shown() {
        let shop = Shop::new();
        let added = add(&shop, json!({ "name": " Ana ", "pin": "2468" }));
        assert_eq!((added.status, body(&added)), (201, json!({ "id": 1, "name": "Ana", "pin": true })));
        assert_eq!(add(&shop, json!({ "name": "Bo", "pin": null })).status, 201);
        assert_eq!(refusal(&add(&shop, json!({ "name": "ana" }))), (409, "name-taken".into()));
        let listed = shop.get("/api/people");
        let [ana, bo] =
            [json!({ "id": 1, "name": "Ana", "pin": true }), json!({ "id": 2, "name": "Bo", "pin": false })];
        assert_eq!(body(&listed), json!({ "people": [ana, bo] }));

        let leave = |id: &str| shop.keyed(post(&format!("/api/people/{id}"), &json!({ "do": "leave" })));
        assert_eq!(leave("1").status, 200);
        for gone in ["1", "9", "x"] {
            assert_eq!(refusal(&leave(gone)), (404, "unknown".into()), "{gone}");
        }
        assert_eq!(refusal(&enter(&shop, 1, json!("2468"))), (404, "unknown".into()));
        assert_eq!(body(&shop.get("/api/people"))["people"], json!([bo]));
        let again = body(&add(&shop, json!({ "name": "Ana" })));
        assert_eq!((&again["id"], &again["pin"]), (&json!(1), &json!(false)), "her events are hers still");
    }

    #[test]
    fn a_pin_lets_in_and_five_wrong_ones_shut_out() {
        let shop = Shop::new();
        add(&shop, json!({ "name": "Ana", "pin": "2468" }));
        add(&shop, json!({ "name": "Bo" }));
        assert_eq!(body(&enter(&shop, 1, json!("2468")))["name"], "Ana");
        assert_eq!(enter(&shop, 2, Value::Null).status, 200);
        assert_eq!(enter(&shop, 2, json!("1111")).status, 200, "he has none");
        assert_eq!(refusal(&enter(&shop, 1, Value::Null)), (403, "wrong-pin".into()));
        for wrong in ["2469", "24680", "", "abcd"] {
            assert_eq!(refusal(&enter(&shop, 1, json!(wrong))), (403, "wrong-pin".into()), "{wrong}");
        }
        assert_eq!(enter(&shop, 1, json!("2468")).status, 200, "a right one forgives the wrong ones");
        for _ in 0..5 {
            assert_eq!(enter(&shop, 1, json!("0000")).status, 403);
        }
        let shut_out = enter(&shop, 1, json!("2468"));
        assert_eq!(refusal(&shut_out), (429, "too-many-pins".into()));
        assert!(body(&shut_out)["detail"].as_str().unwrap().contains("wait 60 s"), "{}", body(&shut_out));
        assert_eq!(enter(&shop, 2, Value::Null).status, 200, "only her");
    }

    #[test]
    fn what_makes_no_person_is_faulty() {
        let shop = Shop::new();
        for (person, pointer) in [
            (json!({}), "/name"),
            (json!({ "name": " " }), "/name"),
            (json!({ "name": "A\u{202e}na" }), "/name"),
            (json!({ "name": "é".repeat(41) }), "/name"),
            (json!({ "name": "Ana", "pin": 2468 }), "/pin"),
            (json!({ "name": "Ana", "pin": "246" }), "/pin"),
            (json!({ "name": "Ana", "pin": "123456789" }), "/pin"),
            (json!({ "name": "Ana", "age": 7 }), "/age"),
        ] {
            let refused = add(&shop, person.clone());
            assert_eq!((refused.status, &body(&refused)["faults"][0]["pointer"]), (422, &json!(pointer)), "{person}");
        }
        add(&shop, json!({ "name": "Ana" }));
        for wish in [json!({}), json!({ "do": "sing" }), json!({ "do": "enter", "pin": 1 })] {
            assert_eq!(shop.keyed(post("/api/people/1", &wish)).status, 422, "{wish}");
        }
        assert_eq!(body(&shop.get("/api/people"))["people"].as_array().unwrap().len(), 1);
    }
}
