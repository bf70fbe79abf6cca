//! Handing the shop's key to a browser, once.

use maud::html;

use super::form::Form;
use super::{layout, signs};
use crate::endpoint::auth::{self, COOKIE};
use crate::endpoint::http::{Request, Response};
use crate::endpoint::kiosk::Kiosk;

/// Thirty days.
const MAX_AGE: u32 = 30 * 24 * 60 * 60;

/// `GET /join`: the form, or, with the `?key=` of the address that the kiosk prints, straight in.
pub fn page(kiosk: &Kiosk, request: &Request) -> Response {
    match request.query_value("key") {
        Some(key) => join(kiosk, key, request.query_value("next")),
        None => form(kiosk, "/", false),
    }
}

/// `GET /join/{key}`: straight in. It is what the symbol on the bench's screen says, whose letters have no `?` and `=`.
pub fn with(kiosk: &Kiosk, key: &str) -> Response {
    join(kiosk, key, None)
}

/// `POST /join`.
pub fn take_key(kiosk: &Kiosk, request: &Request) -> Response {
    let form = Form::of(request);
    join(kiosk, form.value("key"), Some(form.value("next")))
}

fn join(kiosk: &Kiosk, key: &str, next: Option<&str>) -> Response {
    let next = next.filter(|next| is_own_path(next)).unwrap_or("/");
    if !auth::opens(kiosk, key) {
        return form(kiosk, next, true).with_status(403);
    }
    let cookie = format!("{COOKIE}={}; Path=/; HttpOnly; SameSite=Strict; Max-Age={MAX_AGE}", kiosk.key());
    Response::new(303).with_header("Location", next).with_header("Set-Cookie", cookie)
}

/// The form that asks for the key and leads on to `next`.
pub fn form(kiosk: &Kiosk, next: &str, refused: bool) -> Response {
    let body = html! {
        header { h1 { "This phone is not known yet" } }
        @if refused {
            div.result.no role="alert" {
                p.big { (signs::cross()) "WRONG KEY" }
                p { "Compare it with what the kiosk printed and type it again." }
            }
        }
        main {
            p { "Type the shop's key. The kiosk prints it when it starts." }
            form.work method="post" action="/join" {
                input type="hidden" name="next" value=(next);
                label for="key" { "Shop key" }
                input #key.code name="key" required autofocus autocomplete="off" autocapitalize="characters"
                    autocorrect="off" spellcheck="false" enterkeyhint="go" maxlength="40";
                button { "Join" }
            }
            p.quiet { "This phone then stays known for 30 days. The roof page of a scanned label needs no key." }
        }
    };
    layout::page(kiosk, "Join the shop", &body)
}

/// Whether this leads to the kiosk itself and nowhere else.
fn is_own_path(next: &str) -> bool {
    next.starts_with('/') && !next.starts_with("//") && !next.contains('\\')
}

#[cfg(test)]
mod tests {
    use super::is_own_path;
    use crate::endpoint::fixture::{Shop, form, text};
    use crate::endpoint::http::{Method, Request};

    #[test]
    fn the_right_key_sets_the_cookie_and_a_wrong_one_does_not() {
        let shop = Shop::new();
        let key = shop.kiosk.key().spaced().to_lowercase();
        let joined = shop.ask(&form("/join", &[("key", &key), ("next", "/load/2041")]));
        assert_eq!((joined.status, joined.header("Location")), (303, Some("/load/2041")));
        let cookie = joined.header("Set-Cookie").unwrap().to_owned();
        assert_eq!(cookie, format!("key={}; Path=/; HttpOnly; SameSite=Strict; Max-Age=2592000", shop.kiosk.key()));

        for path in [format!("/join?key={}", shop.kiosk.key()), format!("/JOIN/{}", shop.kiosk.key())] {
            let joined = shop.ask(&Request::new(Method::Get, &path));
            assert_eq!((joined.header("Location"), joined.header("Set-Cookie")), (Some("/"), Some(cookie.as_str())));
        }
        assert_eq!(shop.ask(&Request::new(Method::Get, "/join/0000")).status, 403);

        for wrong in ["", "0000 0000 0000", "\"><script>"] {
            let refused = shop.ask(&form("/join", &[("key", wrong), ("next", "//evil.example")]));
            assert_eq!((refused.status, refused.header("Set-Cookie")), (403, None));
            assert!(text(&refused).contains("WRONG KEY") && !text(&refused).contains("evil"));
        }
    }

    #[test]
    fn nobody_is_led_elsewhere() {
        assert!(is_own_path("/load/2041"));
        for path in ["//evil.example", "/\\evil.example", "http://evil.example", "", "load"] {
            assert!(!is_own_path(path), "{path}");
        }
    }
}
