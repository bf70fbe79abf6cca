//! What a scanner read, made out: a label, the test label, a command card, or nothing of ours.
//!
//! A reading counts only when it is proved: a code by its check character, a command by being spelled whole after an
//! address. When two readings are proved, neither counts. So a scan is right or it is refused, and never another
//! piece's.

use std::fmt;

use crate::label::code::{Code, CodeError, LENGTH};
use crate::label::wedge::{self, Mix};

/// What a scan is.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Reading {
    Label(Code, How),
    /// The shop's own test label, [`TEST`](super::code::TEST).
    Test(How),
    Command(Command),
    Refused(Refusal),
}

/// How a label came.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum How {
    AsSent,
    /// Through two layouts that differ; the likeliest pair of them.
    Mended(Mix),
}

impl fmt::Display for How {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::AsSent => f.write_str("read as it was sent"),
            Self::Mended(mix) => write!(f, "read and mended: {mix}"),
        }
    }
}

/// What a command card says: a bench driven by a scanner alone.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Command {
    On,
    Back,
    Pause,
}

impl Command {
    pub const ALL: [Self; 3] = [Self::On, Self::Back, Self::Pause];

    /// As it stands in the card's address.
    pub fn word(self) -> &'static str {
        match self {
            Self::On => "ON",
            Self::Back => "BACK",
            Self::Pause => "PAUSE",
        }
    }
}

/// Why a scan is not taken. The later of two tells more.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord, thiserror::Error)]
pub enum Refusal {
    #[error("this is not one of our labels")]
    NotOurs,
    #[error("this is another trade's bar code: {digits} digits")]
    Digits { digits: usize },
    #[error("this is an address without one of our codes")]
    Address,
    #[error("there is no command card ‘{word}’")]
    Card { word: String },
    #[error("the scan was cut short after {read} of {LENGTH} characters: scan the label again")]
    Short { read: usize },
    #[error("the code was not read right: scan the label again")]
    Mistyped,
    #[error("this can be read as two codes: set the scanner to this computer's keyboard")]
    Ambiguous,
    #[error("two labels were read in one go: scan them one at a time")]
    Several,
}

/// What stands in a scan.
#[derive(Debug, Clone, PartialEq, Eq)]
enum Thing {
    Code(Code),
    Command(Command),
}

/// Makes out what a scanner typed: a label's address in any case, with any host, through any layout known here, its
/// start lost or with the remains of an interrupted scan before it; or a code alone.
pub fn read(typed: &str) -> Reading {
    let mut found: Vec<(Thing, How)> = Vec::new();
    let mut refusal = Refusal::NotOurs;
    for reading in wedge::readings(typed) {
        let mut here = Vec::new();
        for part in parts(&reading.text) {
            match look(part) {
                Ok(thing) if here.contains(&thing) => {}
                Ok(thing) => here.push(thing),
                Err(why) => refusal = refusal.max(why),
            }
        }
        match here.pop() {
            Some(_) if !here.is_empty() => return Reading::Refused(Refusal::Several),
            Some(thing) if found.iter().all(|(known, _)| *known != thing) => {
                found.push((thing, reading.mix.map_or(How::AsSent, How::Mended)));
            }
            _ => {}
        }
    }
    match (found.pop(), found.is_empty()) {
        (None, _) => Reading::Refused(refusal),
        (Some(_), false) => Reading::Refused(Refusal::Ambiguous),
        (Some((Thing::Command(command), _)), true) => Reading::Command(command),
        (Some((Thing::Code(code), how)), true) if code.is_test() => Reading::Test(how),
        (Some((Thing::Code(code), how)), true) => Reading::Label(code, how),
    }
}

/// Finds the code in what a person or a scanner put into a field. Its bare code is taken as it was typed, by
/// [`Code::parse`]: a hand slips in other ways than a layout does.
///
/// # Errors
/// [`CodeError`] when there is none, or its check character does not fit.
pub fn find_code(text: &str) -> Result<Code, CodeError> {
    let as_typed = || {
        let text = text.to_uppercase();
        match text.rsplit_once("/P/") {
            Some((_, path)) => Code::parse(before_the_rest(path)),
            None if text.contains("://") => Err(CodeError::Missing),
            None => Code::parse(&text),
        }
    };
    as_typed().or_else(|error| match read(text) {
        Reading::Label(code, _) if text.trim().chars().count() > LENGTH => Ok(code),
        Reading::Test(_) => Ok(Code::test()),
        _ => Err(error),
    })
}

/// The scans that were typed without a pause between them: an address begins one.
fn parts(text: &str) -> Vec<&str> {
    let mut starts: Vec<usize> = ["HTTP://", "HTTPS://"]
        .into_iter()
        .flat_map(|scheme| text.match_indices(scheme).map(|(at, _)| at))
        .chain([0, text.len()])
        .collect();
    starts.sort_unstable();
    starts.dedup();
    starts.windows(2).map(|part| &text[part[0]..part[1]]).collect()
}

/// What one scan says, in capitals.
fn look(text: &str) -> Result<Thing, Refusal> {
    let address = |path| text.rsplit_once(path).filter(|(head, _)| ends_an_address(head));
    if let Some((_, code)) = address("/P/") {
        let code = before_the_rest(code);
        return match spelled(code) {
            Some(code) => Ok(Thing::Code(code)),
            None if code.len() < LENGTH => Err(Refusal::Short { read: code.len() }),
            None => Err(Refusal::Mistyped),
        };
    }
    if let Some((_, word)) = address("/K/") {
        let command = Command::ALL.into_iter().find(|command| command.word() == word);
        return command.map(Thing::Command).ok_or_else(|| Refusal::Card { word: word.into() });
    }
    if text.contains("://") {
        return Err(Refusal::Address);
    }
    // Retail bar codes have 8 to 14 digits (GS1 General Specifications, GTIN-8 to GTIN-14), and one of 36 of those
    // with twelve would pass for a code. A code of digits alone is drawn once in 300 000.
    if !text.is_empty() && text.bytes().all(|byte| byte.is_ascii_digit()) {
        return Err(Refusal::Digits { digits: text.len() });
    }
    spelled(text).map(Thing::Code).ok_or(Refusal::NotOurs)
}

/// The code that stands there, letter for letter: no scanner takes an O for a 0.
fn spelled(text: &str) -> Option<Code> {
    Code::parse(text).ok().filter(|code| code.as_str() == text)
}

fn before_the_rest(path: &str) -> &str {
    path.split(['/', '?', '#']).next().unwrap_or_default()
}

/// Whether this could be the last of `HTTP://HOST:PORT`: a scanner that sleeps loses what comes first.
fn ends_an_address(head: &str) -> bool {
    let host = match head.rsplit_once("//") {
        Some((scheme, host)) if "HTTP:".ends_with(scheme) || "HTTPS:".ends_with(scheme) => host,
        Some(_) => return false,
        None => head.strip_prefix('/').unwrap_or(head),
    };
    host.bytes().all(|byte| byte.is_ascii_alphanumeric() || b".-:".contains(&byte))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::label::code::{ALPHABET, TEST, check_character};
    use proptest::prelude::*;

    const HOSTS: [&str; 3] = ["10.0.0.7:8787", "192.168.1.20:8787", "SHED-2.LAN:80"];

    fn label(code: &Code) -> Reading {
        Reading::Label(code.clone(), How::AsSent)
    }

    #[test]
    fn labels_cards_and_the_test_label_are_told_apart() {
        // By python-stdnum 2.2: 0123456789A has the check character Y.
        let code = Code::parse("0123456789AY").unwrap();
        for typed in [
            "HTTP://10.0.0.7:8787/P/0123456789AY",
            "http://kiosk.lan/p/0123456789ay\r\n",
            "https://kiosk.lan/p/0123456789AY/?from=scan",
            "10.0.0.7:8787/P/0123456789AY",
            "tp://10.0.0.7:8787/P/0123456789AY",
            "0123456789AY",
            "HTTP://10.0.0.7:8787/P/01HTTP://10.0.0.7:8787/P/0123456789AY",
            "HTTP://10.0.0.7:8787/P/0123456789AYHTTP://10.0.0.7:8787/P/0123456789AY",
        ] {
            assert_eq!(read(typed), label(&code), "{typed}");
        }
        assert_eq!(read(&format!("HTTP://10.0.0.7:8787/P/{TEST}")), Reading::Test(How::AsSent));
        for (typed, command) in [
            ("HTTP://10.0.0.7:8787/K/ON", Command::On),
            ("HTTPÑ--10.0.0.7Ñ8787-K-BACK", Command::Back),
            ("HTTPM!!&à:à:à:èM_è_è!K!PQUSE", Command::Pause),
        ] {
            assert_eq!(read(typed), Reading::Command(command), "{typed}");
        }
    }

    #[test]
    fn what_is_not_ours_is_refused_with_its_reason() {
        for (typed, why) in [
            ("4006381333931", Refusal::Digits { digits: 13 }),
            ("036000291452", Refusal::Digits { digits: 12 }),
            ("SN-88-1204-C", Refusal::NotOurs),
            ("ON", Refusal::NotOurs),
            ("", Refusal::NotOurs),
            ("https://example.com/menu", Refusal::Address),
            ("HTTP://10.0.0.7:87", Refusal::Address),
            ("HTTP://10.0.0.7:8787/P/0123456", Refusal::Short { read: 7 }),
            ("HTTPÖ--10.0.0.7Ö8787-P-012", Refusal::Short { read: 3 }),
            ("HTTP://10.0.0.7:8787/P/0123456789A0", Refusal::Mistyped),
            ("HTTP://10.0.0.7:8787/P/O123456789AY", Refusal::Mistyped),
            ("HTTP://10.0.0.7:8787/K/OFF", Refusal::Card { word: "OFF".into() }),
            ("HTTP://10.0.0.7/P/0123456789AYHTTP://10.0.0.7/P/TESTAQYZMW68", Refusal::Several),
        ] {
            assert_eq!(read(typed), Reading::Refused(why), "{typed}");
        }
    }

    #[test]
    fn a_field_takes_a_scan_and_what_a_hand_types() {
        let code = Code::parse("0123456789AY").unwrap();
        for typed in ["o1234 56789-ay", "http://x/p/OI23456789AY", "HTTPÖ--10.0.0.7Ö8787-P-0123456789AZ"] {
            assert_eq!(find_code(typed), Ok(code.clone()), "{typed}");
        }
        // Through a German keyboard this would be a code; typed by hand it is a slip.
        assert_eq!(find_code("0123456789AZ"), Err(CodeError::Mistyped));
    }

    /// Swapped case is what Caps Lock makes of letters.
    fn with_caps_lock(text: &str) -> String {
        let swapped =
            |c: char| if c.is_lowercase() { c.to_uppercase().to_string() } else { c.to_lowercase().to_string() };
        text.chars().map(swapped).collect()
    }

    /// How many scans were read back, of how many.
    #[derive(Debug, Default, Clone, Copy)]
    struct Rate {
        right: usize,
        of: usize,
    }

    /// Sends `code` as `sent` through every pair of layouts that is `wanted`, with and without Caps Lock.
    fn send(rate: &mut Rate, code: &Code, sent: &str, wanted: impl Fn(Mix) -> bool) {
        for (mix, typed) in wedge::garbled(sent).filter(|(mix, _)| wanted(*mix)) {
            for typed in [with_caps_lock(&typed), typed] {
                rate.of += 1;
                match read(&typed) {
                    Reading::Label(read, _) if read == *code => rate.right += 1,
                    Reading::Refused(_) => {}
                    other => panic!("{code} sent as {sent}, {mix}, typed as {typed}: {other:?}"),
                }
            }
        }
    }

    proptest! {
        #![proptest_config(ProptestConfig::with_cases(32))]

        /// Codes as anyone may have drawn them.
        #[test]
        fn through_any_layout_a_code_is_read_back_or_refused(
            drawn in proptest::collection::vec(0..ALPHABET.len(), LENGTH - 1),
            host in 0..HOSTS.len(),
        ) {
            let mut text: String = drawn.into_iter().map(|at| char::from(ALPHABET[at])).collect();
            text.push(check_character(&text).unwrap());
            prop_assume!(Code::parse(&text).is_ok_and(|code| code.as_str() == text));
            let code = Code::parse(&text).unwrap();
            let mut rate = Rate::default();
            send(&mut rate, &code, &text, |_| true);
            send(&mut rate, &code, &format!("HTTP://{}/P/{text}", HOSTS[host]), |_| true);
            prop_assert!(rate.right > 0);
        }
    }

    /// A Brazilian slash has no key on other keyboards: what is lost cannot be mended. A Canadian computer makes one
    /// character of two that other scanners send.
    #[test]
    fn most_mixes_are_mended() {
        let [mut factory, mut american, mut whole, mut bare] = [Rate::default(); 4];
        for (_, host) in (0..12).zip(HOSTS.iter().cycle()) {
            let code = Code::random().unwrap();
            let sent = format!("HTTP://{host}/P/{code}");
            send(&mut factory, &code, &sent, |mix| mix.scanner == "US");
            send(&mut american, &code, &sent, |mix| mix.computer == "US" && mix.scanner != "Brazilian");
            send(&mut whole, &code, &sent, |mix| mix.scanner != mix.computer);
            send(&mut bare, &code, code.as_str(), |mix| mix.scanner != mix.computer);
        }
        println!("read back from a US scanner: {factory:?}, on a US computer: {american:?}");
        println!("read back through any two layouts: addresses {whole:?}, codes alone {bare:?}");
        assert!(factory.right == factory.of && american.right == american.of, "{factory:?} {american:?}");
        assert!(whole.right * 100 >= whole.of * 85 && bare.right * 100 >= bare.of * 97, "{whole:?} {bare:?}");
    }
}
