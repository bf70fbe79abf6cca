//! Drawings of a piece over the API, in the size, theme and language asked for.

use std::ops::RangeInclusive;

use crate::drawing::wall::{self, WallView};
use crate::drawing::{Look, Theme, blank, step};
use crate::endpoint::http::{Request, Response};
use crate::endpoint::kiosk::Kiosk;
use crate::endpoint::problem::Problem;
use crate::endpoint::{etag, lookup, query};
use crate::order::plan::Piece;
use crate::store::PieceRecord;
use crate::words::Language;

const THEMES: [(&str, Theme); 3] = [("light", Theme::LIGHT), ("dark", Theme::DARK), ("print", Theme::PRINT)];

/// The least size of words that may be asked for, in the drawing's units.
const EM: RangeInclusive<usize> = 4..=400;

/// The size and colours a drawing is asked for in.
pub struct Canvas {
    pub width: f64,
    pub height: f64,
    pub theme: Theme,
}

impl Canvas {
    /// As the query says, or of this width and height.
    ///
    /// # Errors
    /// 422 for a wrong query.
    pub fn asked(request: &Request, [width, height]: [usize; 2]) -> Result<Self, Problem> {
        Ok(Self {
            width: query::whole(request, "width", width, 100..=4000)? as f64,
            height: query::whole(request, "height", height, 50..=4000)? as f64,
            theme: query::word(request, "theme", Theme::LIGHT, &THEMES)?,
        })
    }
}

/// `GET /api/pieces/{CODE}/drawing.svg`: what a step does, or, without `?step=`, the whole blank. At a step, words are no
/// smaller than `?em=` as far as there is room: who shows it knows how large a pixel is.
///
/// # Errors
/// As [`lookup::piece`]; 422 for a wrong query.
pub fn drawing(kiosk: &Kiosk, request: &Request, code: &str) -> Result<Response, Problem> {
    let PieceRecord { order, piece, .. } = lookup::piece(kiosk, code)?;
    let Canvas { width, height, theme } = Canvas::asked(request, [1100, 520])?;
    let languages = Language::ALL.map(|language| (language.code(), language));
    let language = query::word(request, "lang", Language::English, &languages)?;
    let em = request.query_value("em").map(|_| query::whole(request, "em", 0, EM)).transpose()?;
    let look = Look { theme, language, em: em.map(|em| em as f64) };
    let step = match request.query_value("step") {
        Some(_) => piece.steps.get(query::whole(request, "step", 0, 0..=piece.steps.len().saturating_sub(1))?),
        None => None,
    };
    etag::tagged(kiosk, request, lookup::revision(kiosk, &order.number)?, || {
        Ok(svg(match step {
            Some(step) => step::svg(&piece, step, width, height, look),
            None => blank::svg(&piece, None, width, height, look),
        }))
    })
}

/// `GET /api/pieces/{CODE}/wall.svg`: the run with this piece filled in.
///
/// # Errors
/// As [`lookup::piece`]; 422 for a wrong query.
pub fn wall(kiosk: &Kiosk, request: &Request, code: &str) -> Result<Response, Problem> {
    let record = lookup::piece(kiosk, code)?;
    let Canvas { width, height, theme } = Canvas::asked(request, [1100, 260])?;
    etag::tagged(kiosk, request, lookup::revision(kiosk, &record.order.number)?, || {
        Ok(svg(wall::svg(&view(kiosk, &record)?, width, height, theme)))
    })
}

/// The run that a piece belongs to, the piece picked out.
///
/// # Errors
/// When the store fails.
pub fn view(kiosk: &Kiosk, record: &PieceRecord) -> Result<WallView, Problem> {
    let run: Vec<Piece> = kiosk.store().run_of(&record.row.code)?.into_iter().map(|record| record.piece).collect();
    Ok(WallView::of(&record.piece, &run))
}

/// The answer that a drawing is.
pub fn svg(drawing: String) -> Response {
    Response::bytes("image/svg+xml", drawing)
}

#[cfg(test)]
mod tests {
    use crate::endpoint::fixture::{Shop, order, text};
    use crate::endpoint::http::Response;
    use resvg::usvg;

    fn size(response: &Response) -> (f32, f32) {
        assert_eq!(response.header("Content-Type"), Some("image/svg+xml"));
        let size = usvg::Tree::from_data(&response.body, &usvg::Options::default()).unwrap().size();
        (size.width(), size.height())
    }

    /// Read back by usvg, which draws nothing of ours.
    #[test]
    fn drawings_have_the_size_asked_for() {
        let shop = Shop::with(&order("2041"));
        let code = shop.code("2041", "A-EW-3");
        let get = |query: &str| shop.get(&format!("/api/pieces/{code}/{query}"));
        assert_eq!(size(&get("drawing.svg")), (1100.0, 520.0));
        assert_eq!(size(&get("drawing.svg?step=0&width=700&height=300&theme=dark")), (700.0, 300.0));
        assert_eq!(size(&get("wall.svg?width=640&height=160&theme=print")), (640.0, 160.0));
        for query in [
            "drawing.svg?lang=de",
            "drawing.svg?step=99",
            "drawing.svg?step=x",
            "drawing.svg?width=99999",
            "drawing.svg?step=0&em=3",
            "drawing.svg?step=0&em=wide",
            "wall.svg?height=0",
            "wall.svg?theme=plaid",
        ] {
            assert_eq!(get(query).status, 422, "{query}");
        }
    }

    /// Read back by usvg: a bend's drawing on a low card, its smallest words as large as asked for.
    #[test]
    fn words_are_as_large_as_asked_for() {
        let shop = Shop::with(&order("2041"));
        let code = shop.code("2041", "A-EW-3");
        let least = |em: &str| {
            let drawing = text(&shop.get(&format!("/api/pieces/{code}/drawing.svg?step=1&width=752&height=300{em}")));
            let sizes = drawing.split("font-size=\"").skip(1).filter_map(|rest| rest.split('"').next()?.parse().ok());
            sizes.fold(f64::MAX, f64::min)
        };
        assert!(least("&em=37") > least("") + 1.0 && least("&em=37") <= 37.0, "{} {}", least("&em=37"), least(""));
        assert_eq!(least("&em=4"), least(""));
    }

    #[test]
    fn drawings_speak_the_language_asked_for() {
        let shop = Shop::with(&order("2041"));
        let code = shop.code("2041", "A-EW-3");
        let says = |lang: &str, word: &str| {
            let drawing = shop.get(&format!("/api/pieces/{code}/drawing.svg?step=0{lang}"));
            text(&drawing).contains(word)
        };
        let spoken = ["", "&lang=en", "&lang=es"].map(|lang| (says(lang, ">LEFT<"), says(lang, ">IZQ<")));
        assert_eq!(spoken, [(true, false), (true, false), (false, true)]);
    }
}
