//! The label: the piece's code, its QR symbol, and one drawing of it for every printer.
//!
//! Whoever holds the piece may have no signal, so the label says in print, at arm's length, what matters: job, wall and
//! place, which end is left, length, and a drawing of the wall with this piece filled in. The symbol is for the rest.
//! A [`Face`] is drawn in the printer's dots as SVG, [`bitmap`](mod@bitmap) turns that into black and white, and [`pdf`] lays
//! the same dots on pages at true size.

pub mod bitmap;
pub mod code;
pub mod commands;
pub mod face;
pub mod facts;
pub mod layout;
pub mod pdf;
pub mod printer;
pub mod qr;
pub mod scan;
pub mod stock;
pub mod test_label;
pub mod text;
pub mod url;
mod wedge;

use crate::drawing::raster::RasterError;
use bitmap::Bitmap;
pub use facts::LabelFacts;
use qr::SymbolError;
use stock::{Paper, Stock};
pub use test_label::TestLabel;

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

/// What a label may say: drawn for any stock, in its dots.
pub trait Face {
    /// As SVG; one unit is one dot.
    ///
    /// # Errors
    /// [`LabelError`] when its address makes no symbol.
    fn draw(&self, stock: Stock) -> Result<String, LabelError>;
}

/// The label as SVG; one unit is one dot.
///
/// # Errors
/// As [`Face::draw`].
pub fn svg(face: &impl Face, stock: Stock) -> Result<String, LabelError> {
    face.draw(stock)
}

/// The label in black and white, dot for dot.
///
/// # Errors
/// As [`svg`], or when the drawing cannot be turned into dots.
pub fn bitmap(face: &impl Face, stock: Stock) -> Result<Bitmap, LabelError> {
    Bitmap::draw(&face.draw(stock)?)
}

/// The label as a PNG of one bit a dot, which knows its size in print.
///
/// # Errors
/// As [`bitmap`].
pub fn png(face: &impl Face, stock: Stock) -> Result<Vec<u8>, LabelError> {
    Ok(bitmap(face, stock)?.png(stock.dpi)?)
}

/// A PDF for the label printer: one label a page, the page as large as the label.
///
/// # Errors
/// As [`bitmap`].
pub fn pdf(labels: &[impl Face], stock: Stock) -> Result<Vec<u8>, LabelError> {
    let [width, height] = stock.points();
    pdf::write(&bitmaps(labels, stock)?, stock, Paper { width, height })
}

/// A PDF for an office printer: labels side by side at true size, with marks to cut along.
///
/// # Errors
/// As [`bitmap`], or when the paper is smaller than a label.
pub fn sheet_pdf(labels: &[impl Face], stock: Stock, paper: Paper) -> Result<Vec<u8>, LabelError> {
    pdf::write(&bitmaps(labels, stock)?, stock, paper)
}

fn bitmaps(labels: &[impl Face], stock: Stock) -> Result<Vec<Bitmap>, LabelError> {
    labels.iter().map(|face| bitmap(face, stock)).collect()
}
