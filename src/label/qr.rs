//! The QR symbol: an address as dark and light modules, by ISO/IEC 18004.
//!
//! Level Q mends a quarter of the symbol: labels are handled with gloves, rained on and scratched.

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
    /// The smallest symbol of level Q, alphanumeric mode.
    ///
    /// # Errors
    /// [`SymbolError`] when the text has other characters than the mode's, or too many.
    pub fn new(text: &str) -> Result<Self, SymbolError> {
        Self::at_level(text, EcLevel::Q)
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

    /// The dark modules as bars `(column, row, length)`, each as long as its row goes on dark.
    pub fn bars(&self) -> Vec<(usize, usize, usize)> {
        let mut bars = Vec::new();
        for (row, modules) in self.dark.chunks(self.side).enumerate() {
            let mut column = 0;
            for run in modules.chunk_by(|left, right| left == right) {
                if run[0] {
                    bars.push((column, row, run.len()));
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
    const CAPACITY: [(EcLevel, [usize; 10]); 2] = [
        (EcLevel::M, [20, 38, 61, 90, 122, 154, 178, 221, 262, 311]),
        (EcLevel::Q, [16, 29, 47, 67, 87, 108, 125, 157, 189, 221]),
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
    fn what_a_symbol_cannot_hold_is_refused() {
        assert_eq!(Symbol::new("http://"), Err(SymbolError::Character('h')));
        assert_eq!(Symbol::new(&"A".repeat(5000)), Err(SymbolError::Long(5000)));
    }
}
