//! Drawings of a piece over the API, in the size and theme asked for.

use crate::drawing::Theme;
use crate::drawing::wall::{self, WallView};
use crate::drawing::{blank, step};
use crate::endpoint::http::{Request, Response};
use crate::endpoint::kiosk::Kiosk;
use crate::endpoint::problem::Problem;
use crate::endpoint::{etag, lookup, query};
use crate::order::plan::Piece;
use crate::store::PieceRecord;

const THEMES: [(&str, Theme); 3] = [("light", Theme::LIGHT), ("dark", Theme::DARK), ("print", Theme::PRINT)];

/// The size and colours a drawing is asked for in.
struct Look {
    width: f64,
    height: f64,
    theme: Theme,
}

impl Look {
    fn asked(request: &Request, height: usize) -> Result<Self, Problem> {
        Ok(Self {
            width: query::whole(request, "width", 1100, 100..=4000)? as f64,
            height: query::whole(request, "height", height, 50..=4000)? as f64,
            theme: query::word(request, "theme", Theme::LIGHT, &THEMES)?,
        })
    }
}

/// `GET /api/pieces/{CODE}/drawing.svg`: what a step does, or, without `?step=`, the whole blank.
///
/// # Errors
/// As [`lookup::piece`]; 422 for a wrong query.
pub fn drawing(kiosk: &Kiosk, request: &Request, code: &str) -> Result<Response, Problem> {
    let PieceRecord { order, piece, .. } = lookup::piece(kiosk, code)?;
    let Look { width, height, theme } = Look::asked(request, 520)?;
    let step = match request.query_value("step") {
        Some(_) => piece.steps.get(query::whole(request, "step", 0, 0..=piece.steps.len().saturating_sub(1))?),
        None => None,
    };
    etag::tagged(kiosk, request, lookup::revision(kiosk, &order.number)?, || {
        Ok(svg(match step {
            Some(step) => step::svg(&piece, step, width, height, theme),
            None => blank::svg(&piece, None, width, height, theme),
        }))
    })
}

/// `GET /api/pieces/{CODE}/wall.svg`: the run with this piece filled in.
///
/// # Errors
/// As [`lookup::piece`]; 422 for a wrong query.
pub fn wall(kiosk: &Kiosk, request: &Request, code: &str) -> Result<Response, Problem> {
    let record = lookup::piece(kiosk, code)?;
    let Look { width, height, theme } = Look::asked(request, 260)?;
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

fn svg(drawing: String) -> Response {
    Response::bytes("image/svg+xml", drawing)
}

#[cfg(test)]
mod tests {
    use crate::endpoint::fixture::{Shop, order};
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
            "drawing.svg?step=99",
            "drawing.svg?step=x",
            "drawing.svg?width=99999",
            "wall.svg?height=0",
            "wall.svg?theme=plaid",
        ] {
            assert_eq!(get(query).status, 422, "{query}");
        }
    }
}
