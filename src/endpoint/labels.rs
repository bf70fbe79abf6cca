//! Labels from the store: one as a picture or a page, or an order's as sheets. And those of no piece: for trying the
//! scanner, and for driving the bench with it.

use std::slice;

use super::http::{Request, Response};
use super::kiosk::Kiosk;
use super::problem::Problem;
use super::{etag, lookup, query};
use crate::label::code::Code;
use crate::label::stock::{Paper, Stock};
use crate::label::{self, Face, LabelFacts, TestLabel, commands};
use crate::order::plan::Piece;
use crate::store::PieceRecord;
use crate::trade::length::Units;

/// The most labels in one PDF: drawing more would keep a worker, and the person, waiting too long.
pub const AT_ONCE: usize = 200;

/// What a label is asked for as.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Form {
    Svg,
    Png,
    Pdf,
}

/// The label of the piece with this code.
///
/// # Errors
/// As [`lookup::piece`]; 422 for an unknown stock.
pub fn one(kiosk: &Kiosk, request: &Request, code: &str, form: Form) -> Result<Response, Problem> {
    let PieceRecord { order, row, .. } = lookup::piece(kiosk, code)?;
    let stock = query::stock(request, order.units)?;
    etag::tagged(kiosk, request, lookup::revision(kiosk, &order.number)?, || {
        let label = of_run(kiosk, &row.code, |record| record.row.code == row.code)?.pop();
        drawn(&label.ok_or_else(Problem::no_such_path)?, form, stock)
    })
}

/// An order's labels on office paper: all, or, of an order with more than [`AT_ONCE`], those of so many turns from `?from=`.
///
/// # Errors
/// 404 without such an order; 422 for an unknown stock, an order too large for one answer, or turns that no piece has.
pub fn sheet(kiosk: &Kiosk, request: &Request, number: &str) -> Result<Response, Problem> {
    let order = lookup::order(kiosk, number)?;
    if order.pieces > AT_ONCE && request.query_value("from").is_none() {
        let detail = format!(
            "the order has {} labels and one PDF holds {AT_ONCE}: ask for ?from=0, ?from={AT_ONCE} and so on",
            order.pieces
        );
        return Err(Problem::new(422, "too-many-labels", "Too many labels for one PDF", detail));
    }
    let stock = query::stock(request, order.units)?;
    let from = query::whole(request, "from", 0, 0..=usize::MAX)?;
    // Of a small order everything fits, however late the turns of pieces that were made again.
    let past = if request.query_value("from").is_some() { from.saturating_add(AT_ONCE) } else { usize::MAX };
    etag::tagged(kiosk, request, lookup::revision(kiosk, &order.number)?, || {
        let mut rows = kiosk.store().pieces(&order.number, from, AT_ONCE)?;
        rows.retain(|row| row.seq < past);
        if rows.is_empty() {
            let detail = format!("no piece of order {} has a turn from {from} on in this PDF", order.number);
            return Err(Problem::new(422, "no-labels", "No labels there", detail));
        }
        let mut labels = Vec::with_capacity(rows.len());
        for run in rows.chunk_by(|a, b| a.run == b.run) {
            let wanted = |record: &PieceRecord| run.iter().any(|row| row.code == record.row.code);
            labels.extend(of_run(kiosk, &run[0].code, wanted)?);
        }
        let pdf = label::sheet_pdf(&labels, stock, Paper::usual(order.units))?;
        let name = format!("inline; filename=\"labels-{}.pdf\"", order.number);
        Ok(Response::bytes("application/pdf", pdf).with_header("Content-Disposition", name))
    })
}

/// The test label: for trying a scanner, and a printer.
///
/// # Errors
/// 422 for an unknown stock.
pub fn test(kiosk: &Kiosk, request: &Request, form: Form) -> Result<Response, Problem> {
    drawn(&TestLabel { address: kiosk.address().clone() }, form, query::stock(request, Units::In)?)
}

/// The cards that drive a bench by its scanner alone, on one sheet of office paper.
///
/// # Errors
/// When they cannot be drawn.
pub fn command_cards(kiosk: &Kiosk) -> Result<Response, Problem> {
    let pdf = commands::sheet(kiosk.address(), Paper::usual(Units::In))?;
    let name = "inline; filename=\"command-cards.pdf\"";
    Ok(Response::bytes("application/pdf", pdf).with_header("Content-Disposition", name))
}

fn drawn(face: &impl Face, form: Form, stock: Stock) -> Result<Response, Problem> {
    Ok(match form {
        Form::Svg => Response::bytes("image/svg+xml", label::svg(face, stock)?),
        Form::Png => Response::bytes("image/png", label::png(face, stock)?),
        Form::Pdf => Response::bytes("application/pdf", label::pdf(slice::from_ref(face), stock)?),
    })
}

/// The labels of those pieces, of the run that the piece with this code belongs to, that are `wanted`: each with its newest
/// code.
fn of_run(kiosk: &Kiosk, code: &str, wanted: impl Fn(&PieceRecord) -> bool) -> Result<Vec<LabelFacts>, Problem> {
    let records = kiosk.store().run_of(code)?;
    let pieces: Vec<Piece> = records.iter().map(|record| record.piece.clone()).collect();
    records
        .iter()
        .filter(|record| wanted(record))
        .map(|PieceRecord { order, row, piece, .. }| {
            let label = Code::parse(&row.label)?;
            let facts = LabelFacts::new(piece, &pieces, &order.job.name, &order.number, &label, kiosk.address());
            Ok(LabelFacts { reprint: row.label != row.code, ..facts })
        })
        .collect()
}

#[cfg(test)]
mod tests {
    use crate::endpoint::fixture::{Shop, order, text};
    use crate::label::code::Code;

    #[test]
    fn a_label_comes_in_every_form() {
        let shop = Shop::with(&order("2041"));
        let code = shop.code("2041", "A-EW-3");
        for (form, media_type, start) in [
            ("svg", "image/svg+xml", b"<svg".as_slice()),
            ("png", "image/png", b"\x89PNG"),
            ("pdf", "application/pdf", b"%PDF-"),
        ] {
            let response = shop.get(&format!("/api/pieces/{code}/label.{form}?stock=100x50mm"));
            assert_eq!(response.header("Content-Type"), Some(media_type));
            assert!(response.body.starts_with(start), "{form}");
            assert_eq!(shop.get(&format!("/api/pieces/{code}/label.{form}?stock=round")).status, 422);
        }
    }

    #[test]
    fn an_orders_labels_are_one_pdf_or_several() {
        let shop = Shop::with(&order("2041"));
        let response = shop.get("/api/orders/2041/labels.pdf?stock=4x2in");
        assert!(response.body.starts_with(b"%PDF-"));
        assert_eq!(images(&response.body), 10);
        assert_eq!(images(&shop.get("/api/orders/2041/labels.pdf?from=7").body), 3);
        assert_eq!(shop.get("/api/orders/2041/labels.pdf?from=10").status, 422);

        let mut large = order("2042");
        large["runs"][0]["length"] = "2000' 0\"".into();
        assert_eq!(shop.send(&large).status, 201);
        assert_eq!(shop.get("/api/orders/2042/labels.pdf").status, 422);
        assert_eq!(images(&shop.get("/api/orders/2042/labels.pdf?from=205").body), 11);
    }

    #[test]
    fn a_reprinted_label_bears_its_newest_code_and_says_so() {
        let shop = Shop::with(&order("2041"));
        let own = shop.code("2041", "A-EW-3");
        let svg = |code: &str| text(&shop.get(&format!("/api/pieces/{code}/label.svg")));
        let spaced = |code: &str| Code::parse(code).unwrap().spaced();
        assert!(svg(&own).contains(&spaced(&own)) && !svg(&own).contains("REPRINT"));
        let newest = shop.relabel(&own);
        for code in [&own, &newest] {
            let svg = svg(code);
            assert!(svg.contains(&spaced(&newest)) && !svg.contains(&spaced(&own)) && svg.contains("REPRINT"), "{svg}");
        }
    }

    #[test]
    fn labels_of_pieces_made_again_come_with_the_others_and_those_of_old_ones_do_not() {
        let shop = Shop::with(&order("2041"));
        shop.remake(&shop.code("2041", "A-EW-3"), "too short");
        assert_eq!(images(&shop.get("/api/orders/2041/labels.pdf").body), 10);
        assert_eq!(images(&shop.get("/api/orders/2041/labels.pdf?from=10").body), 1);
        assert_eq!(shop.get("/api/orders/2041/labels.pdf?from=11").status, 422);
        let mut large = order("2042");
        large["runs"][0]["length"] = "2000' 0\"".into();
        assert_eq!(shop.send(&large).status, 201);
        shop.remake(&shop.code("2042", "A-EW-3"), "too short");
        let count = |from: usize| images(&shop.get(&format!("/api/orders/2042/labels.pdf?from={from}")).body);
        assert_eq!([count(0), count(200)], [199, 17], "each once");
    }

    #[test]
    fn test_label_and_command_cards_can_be_printed() {
        let shop = Shop::new();
        for (path, start) in [
            ("test-label.svg", b"<svg".as_slice()),
            ("test-label.png?stock=100x50mm", b"\x89PNG"),
            ("test-label.pdf", b"%PDF-"),
            ("command-cards.pdf", b"%PDF-"),
        ] {
            assert!(shop.get(&format!("/api/{path}")).body.starts_with(start), "{path}");
        }
        assert_eq!(shop.get("/api/test-label.svg?stock=round").status, 422);
    }

    fn images(pdf: &[u8]) -> usize {
        String::from_utf8_lossy(pdf).matches("/Subtype /Image").count()
    }
}
