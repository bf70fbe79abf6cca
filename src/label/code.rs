//! The code on a piece's label: what a scan or a person reading aloud names it by.
//!
//! A mark (`A-EW-3`) says where a piece goes and is the same on every job; the code is the piece itself. It must not be
//! guessed by a stranger on the shop's network, nor mistaken for another when one character is misread, so it is
//! eleven random characters and one check character. Each random character is one of 32, five bits: 55 bits. Drawing
//! again when the check character is not one of the 32 (one draw in nine), or when a keyboard layout could make another
//! code of it (one in a hundred), leaves 54.8.

use std::fmt;

use serde::{Deserialize, Serialize};

use crate::label::{scan, wedge};

/// Digits and capitals without I, L, O and U: what is left cannot be read as something else.
pub const ALPHABET: &[u8; 32] = b"0123456789ABCDEFGHJKMNPQRSTVWXYZ";

/// Characters in a code, the check character included.
pub const LENGTH: usize = 12;

/// The code of the test label, which is no piece's. It holds every character that keyboard layouts move about, among
/// them the two digits in which those with shifted digits differ.
pub const TEST: &str = "TESTAQYZMW68";

/// Characters between the spaces of [`Code::spaced`].
const GROUP: usize = 4;

/// The symbols of ISO 7064 MOD 37,36, each worth its position.
const SYMBOLS: &[u8; 36] = b"0123456789ABCDEFGHIJKLMNOPQRSTUVWXYZ";

/// A piece's code, checked: twelve characters of [`ALPHABET`], the last of them the check character.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
#[serde(try_from = "String", into = "String")]
pub struct Code(String);

/// Why a text is not a code.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum CodeError {
    #[error("there is no code in what was read")]
    Missing,
    #[error("a code has {LENGTH} characters, this has {0}")]
    Length(usize),
    #[error("a code has only digits and capital letters other than I, L, O and U; this has ‘{0}’")]
    Character(char),
    #[error("the code is mistyped or misread: its last character does not fit the others")]
    Mistyped,
}

impl Code {
    /// A new code from the system's random source. Serves as the shop's key too.
    ///
    /// # Errors
    /// When the system has no randomness to give.
    pub fn random() -> Result<Self, getrandom::Error> {
        loop {
            let mut bytes = [0; LENGTH - 1];
            getrandom::fill(&mut bytes)?;
            // 256 is a whole number of 32s, so every character is as likely as any other.
            let mut text: String = bytes.iter().map(|byte| char::from(ALPHABET[usize::from(byte % 32)])).collect();
            // The standard's check character may be I, L, O or U, which a code must not hold: draw again.
            if let Some(check) = check_character(&text).filter(|&check| in_alphabet(check)) {
                text.push(check);
                // What a wrongly set scanner makes of it must not pass for another code.
                if text != TEST && wedge::mistaken(&text).all(|other| Self::parse(&other).is_err()) {
                    return Ok(Self(text));
                }
            }
        }
    }

    /// Reads a code that was typed or read aloud: case, spaces and hyphens do not matter, and I and L are taken for
    /// 1, O for 0.
    ///
    /// # Errors
    /// [`CodeError`] when the text is no code, or its check character does not fit.
    pub fn parse(text: &str) -> Result<Self, CodeError> {
        let mut code = String::with_capacity(LENGTH);
        for c in text.trim().chars().filter(|c| !matches!(c, ' ' | '-')) {
            let c = match c.to_ascii_uppercase() {
                'I' | 'L' => '1',
                'O' => '0',
                c => c,
            };
            if !in_alphabet(c) {
                return Err(CodeError::Character(c));
            }
            code.push(c);
        }
        match code.len() {
            0 => Err(CodeError::Missing),
            LENGTH if code.chars().last() == check_character(&code[..LENGTH - 1]) => Ok(Self(code)),
            LENGTH => Err(CodeError::Mistyped),
            length => Err(CodeError::Length(length)),
        }
    }

    /// Finds the code in what a scanner read or typed: a label's whole address, whatever its host, port, case and the
    /// keyboard layout it was typed through, or a bare code.
    ///
    /// # Errors
    /// As [`parse`](Self::parse).
    pub fn find_in(text: &str) -> Result<Self, CodeError> {
        scan::find_code(text)
    }

    /// The test label's code.
    pub fn test() -> Self {
        Self(TEST.into())
    }

    pub fn is_test(&self) -> bool {
        self.0 == TEST
    }

    /// The twelve characters without spaces, as stored and as in the label's address.
    pub fn as_str(&self) -> &str {
        &self.0
    }

    /// In groups of four, for print and for reading aloud.
    pub fn spaced(&self) -> String {
        let groups: Vec<&str> = (0..LENGTH).step_by(GROUP).map(|at| &self.0[at..at + GROUP]).collect();
        groups.join(" ")
    }
}

/// The ISO 7064 MOD 37,36 check character of digits and capitals; `None` when `text` holds anything else.
///
/// The standard's own symbols are all 36, so the answer may be I, L, O or U.
pub fn check_character(text: &str) -> Option<char> {
    let mut product = 36;
    for byte in text.bytes() {
        let value = SYMBOLS.iter().position(|&symbol| symbol == byte)?;
        let sum = (value + product) % 36;
        product = 2 * if sum == 0 { 36 } else { sum } % 37;
    }
    Some(char::from(SYMBOLS[(37 - product) % 36]))
}

fn in_alphabet(c: char) -> bool {
    u8::try_from(c).is_ok_and(|byte| ALPHABET.contains(&byte))
}

impl fmt::Display for Code {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&self.0)
    }
}

impl TryFrom<String> for Code {
    type Error = CodeError;

    fn try_from(text: String) -> Result<Self, CodeError> {
        Self::parse(&text)
    }
}

impl From<Code> for String {
    fn from(code: Code) -> Self {
        code.0
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// The package python-stdnum 2.2, module `stdnum.iso7064.mod_37_36`: the first is in its docstring, the rest were
    /// run with it.
    const PUBLISHED: [(&str, char); 14] = [
        ("A12425GABC1234002", 'M'),
        ("0", '2'),
        ("1", 'Z'),
        ("A", 'H'),
        ("Z", '4'),
        ("00", '4'),
        ("ZZ", 'A'),
        ("12345", 'Y'),
        ("PIECE1", 'G'),
        ("ABCDEFGHIJKLMNOPQRSTUVWXYZ", '4'),
        ("0123456789", 'R'),
        ("A1B2C3D4E5", 'M'),
        ("999999999999", 'W'),
        ("TESTAQYZMW6", '8'),
    ];

    #[test]
    fn check_characters_are_those_of_the_standard() {
        for (text, check) in PUBLISHED {
            assert_eq!(check_character(text), Some(check), "{text}");
        }
        assert_eq!(check_character("a1"), None);
    }

    #[test]
    fn random_codes_read_back_and_stay_in_the_alphabet() {
        for _ in 0..2000 {
            let code = Code::random().unwrap();
            assert!(code.as_str().chars().all(in_alphabet), "{code}");
            assert_eq!(Code::parse(&code.spaced().to_lowercase()), Ok(code.clone()));
            assert_eq!(Code::find_in(&format!("HTTP://192.168.1.20:8787/P/{code}")), Ok(code));
        }
    }

    #[test]
    fn the_test_code_is_a_code_and_every_wrong_layout_shows_in_it() {
        assert_eq!(Code::parse(TEST), Ok(Code::test()));
        assert!(wedge::mistaken(TEST).count() > 5);
        assert!(wedge::mistaken(TEST).all(|other| Code::parse(&other).is_err()));
    }

    /// Single substitutions and swaps of neighbours are the faults the standard's check characters are made to catch.
    #[test]
    fn any_one_wrong_character_is_noticed() {
        let code = Code::random().unwrap();
        for at in 0..LENGTH {
            for &other in ALPHABET {
                let mut bytes = code.as_str().as_bytes().to_vec();
                let was = std::mem::replace(&mut bytes[at], other);
                let expected = if was == other { Ok(code.clone()) } else { Err(CodeError::Mistyped) };
                assert_eq!(Code::parse(&String::from_utf8(bytes).unwrap()), expected);
            }
        }
    }

    #[test]
    fn codes_are_found_in_any_address() {
        // By python-stdnum 2.2: 0123456789A has the check character Y.
        let code = Code::parse("0123456789AY").unwrap();
        for text in [
            format!("HTTP://KIOSK.LAN:8787/P/{code}"),
            format!("http://10.0.0.7/p/{}", code.as_str().to_lowercase()),
            format!("http://10.0.0.7:8787/p/{code}/?from=scan\r\n"),
            format!("HTTPÖ--10.0.0.7Ö8787-P-{}", code.as_str().replace('Y', "Z")),
            format!(" {} \n", code.spaced()),
            format!("o{}", &code.as_str()[1..]),
        ] {
            assert_eq!(Code::find_in(&text), Ok(code.clone()), "{text}");
        }
        assert_eq!(Code::find_in("HTTP://10.0.0.7/P/0123456789A0"), Err(CodeError::Mistyped));
        assert_eq!(Code::find_in("http://10.0.0.7/orders/2041"), Err(CodeError::Missing));
        assert_eq!(Code::find_in(""), Err(CodeError::Missing));
        assert_eq!(Code::find_in("2041"), Err(CodeError::Length(4)));
        assert_eq!(Code::find_in("WXYU"), Err(CodeError::Character('U')));
    }
}
