//! The QR symbol: an address as dark and light modules, by ISO/IEC 18004.
//!
//! Level Q mends a quarter of the symbol: labels are handled with gloves, rained on and scratched. Where a symbol of the
//! same size has room for level H, which mends three tenths, it is that.

use qrcode::bits::Bits;
use qrcode::types::QrError;
use qrcode::{Color, EcLevel, QrCode, Version};

/// Light modules the standard wants on every side.
pub const QUIET: usize = 4;

/// A symbol without its quiet zone.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Symbol {
    /// Modules on a side: 17 + 4 × version.
    pub side: usize,
    dark: Vec<bool>,
}

/// Why a text cannot be made a symbol.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum SymbolError {
    #[error("‘{0}’ cannot stand in a QR symbol's alphanumeric mode")]
    Character(char),
    #[error("{0} characters are more than a QR symbol holds")]
    Long(usize),
    #[error("the QR symbol cannot be drawn: {0}")]
    Encoder(QrError),
}

impl Symbol {
    /// The smallest symbol of level Q, or the same size at level H, in alphanumeric mode.
    ///
    /// # Errors
    /// [`SymbolError`] when the text has other characters than the mode's, or too many.
    pub fn new(text: &str) -> Result<Self, SymbolError> {
        let symbol = Self::at_level(text, EcLevel::Q)?;
        match Self::at_level(text, EcLevel::H) {
            Ok(stronger) if stronger.side == symbol.side => Ok(stronger),
            _ => Ok(symbol),
        }
    }

    fn at_level(text: &str, level: EcLevel) -> Result<Self, SymbolError> {
        if let Some(c) = text.chars().find(|&c| !is_alphanumeric(c)) {
            return Err(SymbolError::Character(c));
        }
        for version in 1..=40 {
            let mut bits = Bits::new(Version::Normal(version));
            match bits.push_alphanumeric_data(text.as_bytes()).and_then(|()| bits.push_terminator(level)) {
                Err(QrError::DataTooLong) => {}
                Err(error) => return Err(SymbolError::Encoder(error)),
                Ok(()) => {
                    let code = QrCode::with_bits(bits, level).map_err(SymbolError::Encoder)?;
                    let side = code.width();
                    let dark = code.into_colors().into_iter().map(|colour| colour == Color::Dark).collect();
                    return Ok(Self { side, dark });
                }
            }
        }
        Err(SymbolError::Long(text.len()))
    }

    /// The dark modules as bars `[x, y, width, height]`, each as long as its row goes on dark; `at` is the upper left
    /// corner of the symbol, without its quiet zone, and `module` the width of one module.
    pub fn bars(&self, at: [f64; 2], module: f64) -> Vec<[f64; 4]> {
        let mut bars = Vec::new();
        for (row, modules) in self.dark.chunks(self.side).enumerate() {
            let mut column = 0;
            for run in modules.chunk_by(|left, right| left == right) {
                if run[0] {
                    let [x, y] = [at[0] + column as f64 * module, at[1] + row as f64 * module];
                    bars.push([x, y, run.len() as f64 * module, module]);
                }
                column += run.len();
            }
        }
        bars
    }
}

/// The 45 characters of the alphanumeric mode.
pub fn is_alphanumeric(c: char) -> bool {
    c.is_ascii_digit() || c.is_ascii_uppercase() || " $%*+-./:".contains(c)
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Alphanumeric capacity of versions 1 to 10, ISO/IEC 18004 (computed from the standard's bit table in the package
    /// segno 1.6.6).
    const CAPACITY: [(EcLevel, [usize; 10]); 3] = [
        (EcLevel::M, [20, 38, 61, 90, 122, 154, 178, 221, 262, 311]),
        (EcLevel::Q, [16, 29, 47, 67, 87, 108, 125, 157, 189, 221]),
        (EcLevel::H, [10, 20, 35, 50, 64, 84, 93, 122, 143, 174]),
    ];

    #[test]
    fn each_version_holds_what_the_standard_says() {
        for (level, capacities) in CAPACITY {
            for (version, capacity) in (1..).zip(capacities) {
                let side = |length| Symbol::at_level(&"A".repeat(length), level).unwrap().side;
                assert_eq!(side(capacity), 17 + 4 * version, "version {version} at {level:?}");
                assert_eq!(side(capacity + 1), 17 + 4 * (version + 1), "version {version} at {level:?}");
            }
        }
    }

    #[test]
    fn a_symbol_is_as_strong_as_its_size_allows() {
        let new = |length| Symbol::new(&"A".repeat(length)).unwrap();
        let at = |length, level| Symbol::at_level(&"A".repeat(length), level).unwrap();
        // Version 3 holds 35 at level H and 47 at level Q.
        assert!(new(35) == at(35, EcLevel::H) && new(36) == at(36, EcLevel::Q) && new(47).side == new(35).side);
    }

    #[test]
    fn what_a_symbol_cannot_hold_is_refused() {
        assert_eq!(Symbol::new("http://"), Err(SymbolError::Character('h')));
        assert_eq!(Symbol::new(&"A".repeat(5000)), Err(SymbolError::Long(5000)));
    }
}
