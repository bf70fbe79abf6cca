//! The blank labels a shop may load, and the office paper it may print them on instead.

use std::fmt;

use crate::trade::length::Units;

/// A width and a height in hundredths of a millimetre, as IPP counts.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Size {
    pub width: u32,
    pub height: u32,
}

/// A blank label, and the dots it is drawn in.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Stock {
    /// As said on the command line and in `?stock=`.
    pub name: &'static str,
    pub size: Size,
    /// In dots.
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
    pub const INCH: Self =
        Self { name: "4x2in", size: Size { width: 10160, height: 5080 }, width: 812, height: 406, dpi: 203 };
    /// 100 × 50 mm, less the part of a dot that does not fit.
    pub const METRIC: Self =
        Self { name: "100x50mm", size: Size { width: 10000, height: 5000 }, width: 799, height: 399, dpi: 203 };

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

    /// This label as a printer has it: of this size, in dots of this fineness.
    pub fn at(self, size: Size, dpi: u32) -> Self {
        let [width, height] = size.dots(dpi);
        Self { size, width, height, dpi, ..self }
    }

    /// Width and height of its picture in points, 1/72 in.
    pub fn points(self) -> [f32; 2] {
        [self.width, self.height].map(|dots| dots as f32 * 72.0 / self.dpi as f32)
    }
}

impl Size {
    /// In points, 1/72 in.
    pub fn points(self) -> [u32; 2] {
        [self.width, self.height].map(|side| (f64::from(side) * 72.0 / 2540.0).round() as u32)
    }

    /// In whole dots: the part of a dot that does not fit is left off.
    pub fn dots(self, dpi: u32) -> [u32; 2] {
        [self.width, self.height].map(|side| side * dpi / 2540)
    }
}

impl fmt::Display for Size {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let millimetres = |side: u32| f64::from(side) / 100.0;
        write!(f, "{} × {} mm", millimetres(self.width), millimetres(self.height))
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

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn labels_are_drawn_in_whole_dots() {
        for stock in Stock::ALL {
            assert_eq!(stock.at(stock.size, stock.dpi), stock);
        }
        let fine = Stock::INCH.at(Stock::INCH.size, 600);
        assert_eq!((fine.width, fine.height, fine.points()), (2400, 1200, [288.0, 144.0]));
        assert_eq!(Stock::METRIC.at(Stock::METRIC.size, 300).width, 1181);
        assert_eq!(Stock::INCH.size.points(), [288, 144]);
    }
}
