//! Who may ask for what.
//!
//! The shop's key opens everything: programs send it as a bearer token (RFC 6750), browsers as a cookie they were given
//! for it. A piece's own code, which nobody can guess, opens that piece alone, so those routes are not asked here; but of
//! what can be said of the piece, it is enough only for what its roof page offers.

use super::http::{Method, Request};
use super::kiosk::Kiosk;
use super::problem::Problem;
use crate::label::code::Code;

/// The cookie that the join page sets.
pub const COOKIE: &str = "key";

/// Lets in whoever holds the shop's key.
///
/// # Errors
/// 401 without it; 403 when another site's page makes the browser send it along with a change.
pub fn admit(kiosk: &Kiosk, request: &Request) -> Result<(), Problem> {
    if bearer(request).is_some_and(|token| opens(kiosk, token)) {
        return Ok(());
    }
    if !knows_shop(kiosk, request) {
        return Err(Problem::new(
            401,
            "key-needed",
            "The shop's key is needed",
            "send the header Authorization: Bearer <key>, or open /join in a browser; the kiosk prints its key when it starts",
        ));
    }
    let changes = !matches!(request.method, Method::Get | Method::Head);
    if changes && !is_own_page(request) {
        let detail = "a change is taken only from the kiosk's own pages: open the kiosk's address itself";
        return Err(Problem::new(403, "other-site", "Asked from another site's page", detail));
    }
    Ok(())
}

/// Whether this browser holds the shop's key.
pub fn knows_shop(kiosk: &Kiosk, request: &Request) -> bool {
    request.cookie(COOKIE).is_some_and(|key| opens(kiosk, key))
}

/// Whether `text` is the shop's key, in whatever spacing and case. Takes the same time wherever it differs.
pub fn opens(kiosk: &Kiosk, text: &str) -> bool {
    Code::parse(text).is_ok_and(|given| {
        let pairs = given.as_str().bytes().zip(kiosk.key().as_str().bytes());
        pairs.fold(0, |differing, (given, right)| differing | (given ^ right)) == 0
    })
}

fn bearer(request: &Request) -> Option<&str> {
    let (scheme, token) = request.headers.get("Authorization")?.trim().split_once(' ')?;
    scheme.eq_ignore_ascii_case("Bearer").then_some(token)
}

/// Browsers name the page a change comes from; programs name none.
fn is_own_page(request: &Request) -> bool {
    let host = request.headers.get("Host").unwrap_or_default();
    request.headers.get("Origin").is_none_or(|origin| {
        origin.split_once("://").is_some_and(|(_, origin_host)| origin_host.eq_ignore_ascii_case(host))
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::endpoint::fixture::{Shop, order, post};

    const KEYED: [&str; 20] = [
        "/",
        "/people",
        "/load/2041",
        "/reported/2041",
        "/hardware/2041",
        "/hardware/2041/0",
        "/api/address",
        "/api/qr.svg?to=join",
        "/api/people",
        "/api/prints",
        "/api/test-label.svg",
        "/api/test-label.png",
        "/api/test-label.pdf",
        "/api/command-cards.pdf",
        "/api/orders",
        "/api/orders/2041",
        "/api/orders/2041/pieces",
        "/api/orders/2041/runs",
        "/api/orders/2041/runs/0",
        "/api/orders/2041/labels.pdf",
    ];

    #[test]
    fn the_shops_key_opens_and_nothing_else_does() {
        let shop = Shop::with(&order("2041"));
        let key = shop.kiosk.key();
        let code = shop.code("2041", "A-EW-1");
        let get = |path| Request::new(Method::Get, path);
        for path in KEYED {
            assert_eq!(shop.ask(&get(path)).status, 401, "{path}");
            for header in [format!("Bearer {key}"), format!("bearer {}", key.spaced().to_lowercase())] {
                assert_eq!(shop.ask(&get(path).with_header("Authorization", &header)).status, 200, "{path} {header}");
            }
            let basic = format!("Basic {key}");
            for header in [basic.as_str(), "Bearer", "Bearer ", &format!("Bearer {code}")] {
                assert_eq!(shop.ask(&get(path).with_header("Authorization", header)).status, 401, "{path} {header}");
            }
            assert_eq!(shop.ask(&get(path).with_header("Cookie", &format!("a=b; key={key}"))).status, 200);
            assert_eq!(shop.ask(&get(path).with_header("Cookie", &format!("key={code}"))).status, 401);
        }
        assert_eq!(shop.ask(&get(&format!("/api/scan/{code}"))).status, 401);
        for path in [
            "/api/orders",
            "/api/people",
            "/api/people/1",
            "/api/prints",
            "/api/prints/1",
            &format!("/api/pieces/{code}/print"),
            &format!("/api/pieces/{code}/remake"),
            &format!("/api/pieces/{code}/events"),
            "/people",
            "/reported/2041",
        ] {
            assert_eq!(shop.ask(&post(path, &order("7"))).status, 401, "{path}");
        }
        assert_eq!(shop.kiosk.store().orders().unwrap().len(), 1);
    }

    /// RFC 6750 §3: a 401 names the scheme.
    #[test]
    fn a_program_is_told_how_and_a_person_is_shown_the_form() {
        let shop = Shop::new();
        let response = shop.ask(&Request::new(Method::Get, "/api/orders"));
        assert!(response.header("WWW-Authenticate").unwrap().starts_with("Bearer"));
        let response = shop.ask(&Request::new(Method::Get, "/load/2041"));
        let page = String::from_utf8(response.body).unwrap();
        assert!(page.contains("Shop key") && page.contains(r#"name="next" value="/load/2041""#), "{page}");
    }

    #[test]
    fn a_pieces_own_code_opens_that_piece_without_the_key() {
        let shop = Shop::with(&order("2041"));
        let code = shop.code("2041", "A-EW-1");
        for path in [format!("/P/{code}"), format!("/api/pieces/{code}"), "/healthz".into(), "/join".into()] {
            assert_eq!(shop.ask(&Request::new(Method::Get, &path)).status, 200, "{path}");
        }
    }

    #[test]
    fn another_sites_page_changes_nothing() {
        let shop = Shop::new();
        for (origin, status) in [
            (None, 201),
            (Some("http://192.168.1.20:8787"), 200),
            (Some("http://evil.example"), 403),
            (Some("http://192.168.1.20"), 403),
            (Some("null"), 403),
        ] {
            let request = post("/api/orders", &order("2041"));
            let request = origin.iter().fold(request, |request, origin| request.with_header("Origin", origin));
            assert_eq!(shop.browse(request).status, status, "{origin:?}");
        }
    }

    #[test]
    fn the_key_is_made_once() {
        let folder = tempfile::tempdir().unwrap();
        let key = || {
            let store = crate::store::Store::open(folder.path()).unwrap();
            let address = crate::label::url::Address::new("192.168.1.20", 8787).unwrap();
            let kiosk =
                Kiosk::new(store, address, crate::endpoint::clock::Clock::system(), Default::default()).unwrap();
            kiosk.key().clone()
        };
        assert_eq!(key(), key());
    }
}
