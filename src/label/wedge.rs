//! What a wedge scanner may have meant by what it typed.
//!
//! A scanner that types as a keyboard is set for one layout and the computer for another more often than not. Each pair
//! of layouts turns an address into other characters; each is undone here, and whoever reads the result decides which
//! of them makes sense. Case is no part of it: Caps Lock turns it over, and our addresses are case-blind.

use std::fmt;
use std::sync::LazyLock;

use crate::label::code::ALPHABET;
use crate::label::layout::{LAYOUTS, Layout};

/// A scanner set for one layout on a computer set for another.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Mix {
    pub scanner: &'static str,
    pub computer: &'static str,
}

impl fmt::Display for Mix {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "the scanner is set for a {} keyboard and this computer for a {} one", self.scanner, self.computer)
    }
}

/// One way to read what was typed, in capitals.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Typed {
    pub text: String,
    /// None when it is read as it is.
    pub mix: Option<Mix>,
}

/// Undoes one mix, or several that do the same to an address.
struct Undo {
    /// The likeliest of them.
    mix: Mix,
    /// What arrives and what was sent, in capitals, for all that an address may hold.
    pairs: Vec<(char, char)>,
}

impl Undo {
    fn sent(&self, typed: char) -> Option<char> {
        self.pairs.iter().find(|pair| pair.0 == typed).map(|pair| pair.1)
    }

    fn typed(&self, sent: char) -> Option<char> {
        self.pairs.iter().find(|pair| pair.1 == sent).map(|pair| pair.0)
    }
}

/// Every pair of layouts that changes an address, scanners as they leave the factory (US) first.
static UNDOS: LazyLock<Vec<Undo>> = LazyLock::new(|| {
    let mut undos: Vec<Undo> = Vec::new();
    for (scanner, computer) in
        LAYOUTS.iter().flat_map(|scanner| LAYOUTS.iter().map(move |computer| (scanner, computer)))
    {
        let pairs = pairs(scanner, computer);
        let changes = pairs.iter().any(|(typed, sent)| typed != sent);
        if changes && undos.iter().all(|undo| undo.pairs != pairs) {
            undos.push(Undo { mix: Mix { scanner: scanner.name, computer: computer.name }, pairs });
        }
    }
    undos
});

/// What arrives of each of an address's characters that a scanner set for `scanner` sends to `computer`.
fn pairs(scanner: &Layout, computer: &Layout) -> Vec<(char, char)> {
    let mut pairs: Vec<(char, char)> = scanner
        .keys()
        .zip(computer.keys())
        .filter(|&(sent, typed)| in_address(sent) && typed != ' ')
        .map(|(sent, typed)| (capital(typed), capital(sent)))
        .collect();
    pairs.sort_unstable();
    pairs.dedup();
    pairs
}

/// What an address on a label or a card is spelled with.
fn in_address(c: char) -> bool {
    c.is_ascii_alphanumeric() || matches!(c, ':' | '/' | '.' | '-')
}

/// In capitals where the capital is one character: Caps Lock makes no two of one, as `ß` would become.
fn capital(c: char) -> char {
    let mut capitals = c.to_uppercase();
    match (capitals.next(), capitals.next()) {
        (Some(capital), None) => capital,
        _ => c,
    }
}

/// Every way to read `text`, as it is first. What holds a character that a mix could not have made is no reading of it.
pub fn readings(text: &str) -> impl Iterator<Item = Typed> {
    let text: String = text.trim().chars().map(capital).collect();
    let undone = UNDOS.iter().filter_map({
        let text = text.clone();
        move |undo| {
            let sent: Option<String> = text.chars().map(|typed| undo.sent(typed)).collect();
            Some(Typed { text: sent?, mix: Some(undo.mix) })
        }
    });
    std::iter::once(Typed { text, mix: None }).chain(undone)
}

/// `text` as it arrives through every pair of layouts, equal ones too; a character that no key makes there is lost.
#[cfg(test)]
pub fn garbled(text: &str) -> impl Iterator<Item = (Mix, String)> {
    let every = LAYOUTS.iter().flat_map(|scanner| LAYOUTS.iter().map(move |computer| (scanner, computer)));
    every.map(move |(scanner, computer)| {
        let key = |sent| scanner.keys().position(|c| c == sent);
        let typed = text.chars().filter_map(|sent| computer.keys().nth(key(sent)?).filter(|&typed| typed != ' '));
        (Mix { scanner: scanner.name, computer: computer.name }, typed.collect())
    })
}

/// What becomes of each character of a code that goes through one mix and is read by undoing another: every way, once,
/// in which a code changes.
static CONFUSIONS: LazyLock<Vec<Vec<Option<char>>>> = LazyLock::new(|| {
    let alphabet = || ALPHABET.iter().map(|&byte| char::from(byte));
    let mut sorts: Vec<Vec<Option<char>>> = vec![alphabet().map(Some).collect()];
    for undo in UNDOS.iter() {
        let sort = alphabet().map(|sent| undo.typed(sent)).collect();
        if !sorts.contains(&sort) {
            sorts.push(sort);
        }
    }
    let undone = |by: &[Option<char>], typed| {
        by.iter().position(|&other| other == Some(typed)).map(|at| char::from(ALPHABET[at]))
    };
    let mut confusions = Vec::new();
    for (through, by) in sorts.iter().flat_map(|through| sorts.iter().map(move |by| (through, by))) {
        let confusion: Vec<_> = through.iter().map(|typed| undone(by, (*typed)?)).collect();
        if confusion != sorts[0] && !confusions.contains(&confusion) {
            confusions.push(confusion);
        }
    }
    confusions
});

/// Every other text that a code of [`ALPHABET`] may be taken for when it went through some mix.
pub fn mistaken(code: &str) -> impl Iterator<Item = String> {
    CONFUSIONS.iter().filter_map(move |confusion| {
        let meant = |byte| confusion[ALPHABET.iter().position(|&other| other == byte)?];
        code.bytes().map(meant).collect::<Option<String>>().filter(|other| other != code)
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Typed out by hand from the keyboards' pictures in the X keyboard database: `HTTP://10.0.0.7:8787/P/7YZM4AQW61K2`.
    #[test]
    fn layouts_are_undone() {
        for (typed, scanner, computer) in [
            ("HTTPÑ--10.0.0.7Ñ8787-P-7YZM4AQW61K2", "US", "Spanish"),
            ("httpñ--10.0.0.7ñ8787-p-7yzm4aqw61k2", "US", "Spanish"),
            ("HTTPÖ--10.0.0.7Ö8787-P-7ZYM4AQW61K2", "US", "German"),
            ("HTTPM!!&à:à:à:èM_è_è!P!èYW?'QAZ-&Ké", "US", "French"),
            ("HTTP>&&10.0.0.7>8787&P&7YZM4AQW61K2", "Spanish", "US"),
            ("HTTP.>>!)<)<)<&.*&*&>P>&YW:$QAZ^!K@", "French", "US"),
        ] {
            let reading = readings(typed).find(|reading| reading.text == "HTTP://10.0.0.7:8787/P/7YZM4AQW61K2");
            assert_eq!(reading.and_then(|reading| reading.mix), Some(Mix { scanner, computer }), "{typed}");
        }
        assert_eq!(readings(" ¿? \r\n").count(), 1, "as it is, and no other way");
    }
}
