//! Labels from the store: one as a picture or a page, or an order's as sheets.

use super::http::{Request, Response};
use super::kiosk::Kiosk;
use super::problem::Problem;
use super::{etag, lookup, query};
use crate::label;
use crate::label::code::Code;
use crate::label::facts::LabelFacts;
use crate::label::stock::Paper;
use crate::order::plan::Piece;
use crate::store::PieceRecord;

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
        let facts = of_run(kiosk, &row.code, |record| record.row.code == row.code)?;
        let response = match (form, facts.as_slice()) {
            (Form::Pdf, labels) => Response::bytes("application/pdf", label::pdf(labels, stock)?),
            (Form::Svg, [label]) => Response::bytes("image/svg+xml", label::svg(label, stock)?),
            (Form::Png, [label]) => Response::bytes("image/png", label::png(label, stock)?),
            (Form::Svg | Form::Png, _) => return Err(Problem::no_such_path()),
        };
        Ok(response)
    })
}

/// An order's labels on office paper, at most [`AT_ONCE`] from `?from=`.
///
/// # Errors
/// 404 without such an order; 422 for an unknown stock, or an order too large for one answer.
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
    let from = query::whole(request, "from", 0, 0..=order.pieces.saturating_sub(1))?;
    etag::tagged(kiosk, request, lookup::revision(kiosk, &order.number)?, || {
        let rows = kiosk.store().pieces(&order.number, from, AT_ONCE)?;
        let (first, last) = (from, from + rows.len());
        let mut labels = Vec::with_capacity(rows.len());
        for run in rows.chunk_by(|a, b| a.run == b.run) {
            let wanted = |record: &PieceRecord| (first..last).contains(&record.row.seq);
            labels.extend(of_run(kiosk, &run[0].code, wanted)?);
        }
        let pdf = label::sheet_pdf(&labels, stock, Paper::usual(order.units))?;
        let name = format!("inline; filename=\"labels-{}.pdf\"", order.number);
        Ok(Response::bytes("application/pdf", pdf).with_header("Content-Disposition", name))
    })
}

/// The labels of those pieces, of the run that the piece with this code belongs to, that are `wanted`.
fn of_run(kiosk: &Kiosk, code: &str, wanted: impl Fn(&PieceRecord) -> bool) -> Result<Vec<LabelFacts>, Problem> {
    let records = kiosk.store().run_of(code)?;
    let pieces: Vec<Piece> = records.iter().map(|record| record.piece.clone()).collect();
    records
        .iter()
        .filter(|record| wanted(record))
        .map(|PieceRecord { order, row, piece }| {
            let code = Code::parse(&row.code)?;
            Ok(LabelFacts::new(piece, &pieces, &order.job.name, &order.number, &code, kiosk.address()))
        })
        .collect()
}

#[cfg(test)]
mod tests {
    use crate::endpoint::fixture::{Shop, order};

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

    fn images(pdf: &[u8]) -> usize {
        String::from_utf8_lossy(pdf).matches("/Subtype /Image").count()
    }
}
