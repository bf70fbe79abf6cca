//! The blank labels a shop may load, and the office paper it may print them on instead.

use crate::trade::length::Units;

/// A blank label. Sizes are the printer's dots.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Stock {
    /// As said on the command line and in `?stock=`.
    pub name: &'static str,
    pub width: u32,
    pub height: u32,
    /// Dots per inch.
    pub dpi: u32,
}

/// No stock goes by this name.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
#[error("no label stock is called ‘{0}’; there are 4x2in and 100x50mm")]
pub struct UnknownStock(String);

impl Stock {
    /// 4 × 2 in exactly.
    pub const INCH: Self = Self { name: "4x2in", width: 812, height: 406, dpi: 203 };
    /// 100 × 50 mm, less the part of a dot that does not fit.
    pub const METRIC: Self = Self { name: "100x50mm", width: 799, height: 399, dpi: 203 };

    pub const ALL: [Self; 2] = [Self::INCH, Self::METRIC];

    /// What a shop working in these units most likely loads.
    pub fn usual(units: Units) -> Self {
        match units {
            Units::In => Self::INCH,
            Units::Mm => Self::METRIC,
        }
    }

    /// # Errors
    /// [`UnknownStock`] when no stock has this name.
    pub fn named(name: &str) -> Result<Self, UnknownStock> {
        Self::ALL.into_iter().find(|stock| stock.name == name).ok_or_else(|| UnknownStock(name.into()))
    }

    /// Width and height of its picture in points, 1/72 in.
    pub fn points(self) -> [f32; 2] {
        [self.width, self.height].map(|dots| dots as f32 * 72.0 / self.dpi as f32)
    }
}

/// Office paper, upright. Sizes are points, 1/72 in.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Paper {
    pub width: f32,
    pub height: f32,
}

impl Paper {
    /// 8½ × 11 in.
    pub const LETTER: Self = Self { width: 612.0, height: 792.0 };
    /// 210 × 297 mm.
    pub const A4: Self = Self { width: 210.0 * 72.0 / 25.4, height: 297.0 * 72.0 / 25.4 };

    /// What an office working in these units most likely has.
    pub fn usual(units: Units) -> Self {
        match units {
            Units::In => Self::LETTER,
            Units::Mm => Self::A4,
        }
    }
}
