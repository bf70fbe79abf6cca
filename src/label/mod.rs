//! The label: the piece's code, its QR symbol, and one drawing of it for every printer.
//!
//! Whoever holds the piece may have no signal, so the label says in print, at arm's length, what matters: job, wall and
//! place, which end is left, length, and a drawing of the wall with this piece filled in. The symbol is for the rest.
//! [`face`] draws it in the printer's dots as SVG, [`bitmap`] turns that into black and white, and [`pdf`] lays
//! the same dots on pages at true size.

pub mod bitmap;
pub mod code;
pub mod face;
pub mod facts;
pub mod pdf;
pub mod qr;
pub mod stock;
pub mod text;
pub mod url;
mod wedge;

use crate::drawing::raster::RasterError;
use bitmap::Bitmap;
pub use facts::LabelFacts;
use qr::SymbolError;
use stock::{Paper, Stock};

/// Why a label could not be made.
#[derive(Debug, thiserror::Error)]
pub enum LabelError {
    #[error(transparent)]
    Symbol(#[from] SymbolError),
    #[error(transparent)]
    Raster(#[from] RasterError),
    #[error("the label's picture cannot be written: {0}")]
    Png(#[from] png::EncodingError),
    #[error("the labels do not fit on the paper")]
    Paper,
}

/// The label as SVG; one unit is one dot.
///
/// # Errors
/// [`LabelError`] when its address makes no symbol.
pub fn svg(facts: &LabelFacts, stock: Stock) -> Result<String, LabelError> {
    face::draw(facts, stock)
}

/// The label in black and white, dot for dot.
///
/// # Errors
/// As [`svg`], or when the drawing cannot be turned into dots.
pub fn bitmap(facts: &LabelFacts, stock: Stock) -> Result<Bitmap, LabelError> {
    Bitmap::draw(&face::draw(facts, stock)?)
}

/// The label as a PNG of one bit a dot, which knows its size in print.
///
/// # Errors
/// As [`bitmap`].
pub fn png(facts: &LabelFacts, stock: Stock) -> Result<Vec<u8>, LabelError> {
    Ok(bitmap(facts, stock)?.png(stock.dpi)?)
}

/// A PDF for the label printer: one label a page, the page as large as the label.
///
/// # Errors
/// As [`bitmap`].
pub fn pdf(labels: &[LabelFacts], stock: Stock) -> Result<Vec<u8>, LabelError> {
    let [width, height] = stock.points();
    pdf::write(&bitmaps(labels, stock)?, stock, Paper { width, height })
}

/// A PDF for an office printer: labels side by side at true size, with marks to cut along.
///
/// # Errors
/// As [`bitmap`], or when the paper is smaller than a label.
pub fn sheet_pdf(labels: &[LabelFacts], stock: Stock, paper: Paper) -> Result<Vec<u8>, LabelError> {
    pdf::write(&bitmaps(labels, stock)?, stock, paper)
}

fn bitmaps(labels: &[LabelFacts], stock: Stock) -> Result<Vec<Bitmap>, LabelError> {
    labels.iter().map(|facts| bitmap(facts, stock)).collect()
}
