//! Pictures of the work: the flat blank, the cross-section at each bend, the wall with its pieces.
//!
//! Each is a pure function from planned pieces to an SVG text, so that the bench, the phone pages and the label all
//! show the same geometry. Only [`raster`] turns SVG into pixels.

pub mod blank;
mod pen;
pub mod raster;
pub mod section;
pub mod sheet;
mod side_up;
mod spots;
pub mod step;
pub mod svg;
pub mod wall;

use crate::words::Language;

/// How a drawing of a step looks and speaks.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Look {
    pub theme: Theme,
    pub language: Language,
    /// The least size of words at a step, in the drawing's own units, as far as there is room.
    pub em: Option<f64>,
}

/// The colours of a drawing. Yellow, orange and red are kept for cautions and never appear here.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Theme {
    pub paper: &'static str,
    pub ink: &'static str,
    /// Quiet lines: dimensions, neighbours.
    pub faint: &'static str,
    /// Fill of the sheet metal.
    pub metal: &'static str,
    /// What is cut away.
    pub waste: &'static str,
    /// The thing to do now.
    pub now: &'static str,
}

impl Theme {
    pub const LIGHT: Self =
        Self { paper: "#ffffff", ink: "#14202b", faint: "#3f4b57", metal: "#d5dee6", waste: "#f2f4f6", now: "#0b4f9e" };
    pub const DARK: Self =
        Self { paper: "#10171e", ink: "#f1f5f8", faint: "#a9b7c4", metal: "#3c4c5a", waste: "#1b252e", now: "#8cc4ff" };
    /// For thermal labels and black-and-white print: two tones only.
    pub const PRINT: Self =
        Self { paper: "#ffffff", ink: "#000000", faint: "#000000", metal: "#ffffff", waste: "#ffffff", now: "#000000" };

    /// As on paper and on the phones' pages.
    pub const fn in_english(self) -> Look {
        Look { theme: self, language: Language::English, em: None }
    }
}
