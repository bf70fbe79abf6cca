//! How a phone finds the kiosk's pages: its address, and any page's address as a QR symbol to point a camera at.

use percent_encoding::{AsciiSet, NON_ALPHANUMERIC, utf8_percent_encode};
use serde_json::json;

use super::pictures::{self, Canvas};
use crate::drawing::Theme;
use crate::drawing::svg::{Paint, Svg};
use crate::endpoint::http::{Request, Response};
use crate::endpoint::kiosk::Kiosk;
use crate::endpoint::lookup;
use crate::endpoint::problem::Problem;
use crate::label::LabelError;
use crate::label::qr::{QUIET, Symbol};

/// What an order's number may hold and a symbol's alphanumeric mode may not becomes `%5F` and the like, which it may.
const ENCODED: &AsciiSet = &NON_ALPHANUMERIC.remove(b'-').remove(b'.');

/// `GET /api/address`: where the kiosk's own labels lead, in lower case as people type it.
pub fn address(kiosk: &Kiosk) -> Response {
    Response::json(&json!({ "base": kiosk.address().base() }))
}

/// `GET /api/qr.svg?to=`: the address of a page as a symbol. That of `join` carries the shop's key.
///
/// # Errors
/// 404 without such a page; 422 for a wrong query.
pub fn symbol(kiosk: &Kiosk, request: &Request) -> Result<Response, Problem> {
    let canvas = Canvas::asked(request, [400, 400])?;
    let path = page(kiosk, request.query_value("to").unwrap_or_default())?;
    // In capitals it fits the alphanumeric mode; the kiosk's paths are case-blind.
    let address = format!("{}{path}", kiosk.address().base()).to_ascii_uppercase();
    Ok(pictures::svg(draw(&Symbol::new(&address).map_err(LabelError::from)?, &canvas)))
}

/// The path of the page that `to` names.
fn page(kiosk: &Kiosk, to: &str) -> Result<String, Problem> {
    let parts: Vec<&str> = to.split('/').filter(|part| !part.is_empty()).collect();
    Ok(match parts.as_slice() {
        [] => "/".into(),
        ["join"] => format!("/join/{}", kiosk.key()),
        ["people"] => "/people".into(),
        [page @ ("load" | "hardware" | "reported"), number] => {
            let number = lookup::order(kiosk, number)?.number;
            format!("/{page}/{}", utf8_percent_encode(&number, ENCODED))
        }
        _ => {
            let detail = "give to=join, people, load/<order>, hardware/<order> or reported/<order>";
            return Err(Problem::new(404, "no-such-page", "No such page", detail));
        }
    })
}

/// As large as fits, each module a whole number of pixels wide. Cameras read dark on light alone, so in the dark too the
/// symbol stands on white.
fn draw(symbol: &Symbol, canvas: &Canvas) -> String {
    let modules = (symbol.side + 2 * QUIET) as f64;
    let fits = canvas.width.min(canvas.height) / modules;
    let module = if fits < 1.0 { fits } else { fits.floor() };
    let plate = module * modules;
    let [left, top] = [canvas.width, canvas.height].map(|room| ((room - plate) / 2.0).floor());
    let mut svg = Svg::new(canvas.width, canvas.height);
    svg.rect(0.0, 0.0, canvas.width, canvas.height, Paint::fill(canvas.theme.paper));
    svg.rect(left, top, plate, plate, Paint::fill(Theme::PRINT.paper));
    let inside = [left, top].map(|edge| edge + QUIET as f64 * module);
    svg.cells(symbol.bars(inside, module), Theme::PRINT.ink);
    svg.finish()
}

#[cfg(test)]
mod tests {
    use crate::drawing::raster;
    use crate::endpoint::fixture::{Shop, body, order, text};

    /// The symbol in pixels, as rqrr, which shares no code with whoever drew it, reads it.
    fn read(shop: &Shop, query: &str) -> String {
        let response = shop.get(&format!("/api/qr.svg?{query}"));
        assert_eq!((response.status, response.header("Content-Type")), (200, Some("image/svg+xml")), "{query}");
        let pixels = raster::draw(&text(&response), 1.0).unwrap();
        let grey = |x: usize, y: usize| pixels.pixel(x as u32, y as u32).unwrap().green();
        let (width, height) = (pixels.width() as usize, pixels.height() as usize);
        let mut picture = rqrr::PreparedImage::prepare_from_greyscale(width, height, grey);
        let grids = picture.detect_grids();
        let [grid] = grids.as_slice() else { panic!("{query}: {} symbols", grids.len()) };
        grid.decode().unwrap().1
    }

    #[test]
    fn a_camera_is_led_to_the_page_that_was_asked_for() {
        let shop = Shop::with(&order("20_41.b-1"));
        let key = shop.kiosk.key();
        for (to, path) in [
            ("", "/"),
            ("join", &*format!("/JOIN/{key}")),
            ("people", "/PEOPLE"),
            ("load/20_41.b-1", "/LOAD/20%5F41.B-1"),
            ("hardware/20_41.B-1", "/HARDWARE/20%5F41.B-1"),
            ("reported/20_41.b-1", "/REPORTED/20%5F41.B-1"),
        ] {
            for look in ["", "&theme=dark&width=700&height=300", "&width=100&height=100"] {
                let led = read(&shop, &format!("to={to}{look}"));
                assert_eq!(led, format!("HTTP://192.168.1.20:8787{path}"), "{look}");
            }
            let opened = shop.get(path).status;
            assert!(matches!(opened, 200 | 303), "{path}: {opened}");
        }
    }

    #[test]
    fn no_symbol_leads_to_what_is_no_page() {
        let shop = Shop::with(&order("2041"));
        for to in ["load", "load/2042", "P/X", "healthz", "join/x", "http://192.168.1.21", "load/2041/x"] {
            assert_eq!(shop.get(&format!("/api/qr.svg?to={to}")).status, 404, "{to}");
        }
        assert_eq!(shop.get("/api/qr.svg?to=join&width=9999").status, 422);
        assert_eq!(body(&shop.get("/api/address"))["base"], "http://192.168.1.20:8787");
    }
}
