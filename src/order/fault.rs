//! What is wrong with an order: every fault at once, each with where it stands and what would be right.
//!
//! A measurer on a roof should have to send an order twice at most, so reading never stops at the first fault.

use std::fmt;

use serde::Serialize;

/// One thing wrong with an order; a member of `faults` in an RFC 9457 problem.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct Fault {
    /// Where, as an RFC 6901 JSON pointer: `/runs/0/pitch`; empty for the order as a whole.
    pub pointer: String,
    /// What is wrong and what would be right.
    pub detail: String,
}

impl fmt::Display for Fault {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        if !self.pointer.is_empty() {
            write!(f, "{}: ", visible(&self.pointer))?;
        }
        f.write_str(&visible(&self.detail))
    }
}

/// Why an order is refused; never empty. Prints one fault per line.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
#[serde(transparent)]
pub struct Faults(pub Vec<Fault>);

impl std::error::Error for Faults {}

impl fmt::Display for Faults {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        for (line, fault) in self.0.iter().enumerate() {
            if line > 0 {
                writeln!(f)?;
            }
            write!(f, "{fault}")?;
        }
        Ok(())
    }
}

/// Whether a character cannot be seen, or turns the order of those around it: such a text does not read as it is.
pub(crate) fn misleads(c: char) -> bool {
    let turns_text = matches!(c, '\u{202A}'..='\u{202E}' | '\u{2066}'..='\u{2069}');
    let ends_line = matches!(c, '\u{2028}' | '\u{2029}');
    c.is_control() || turns_text || ends_line
}

/// `text` with what [`misleads`] escaped.
pub(crate) fn visible(text: &str) -> String {
    let mut visible = String::with_capacity(text.len());
    for c in text.chars() {
        if misleads(c) {
            visible.extend(c.escape_unicode());
        } else {
            visible.push(c);
        }
    }
    visible
}

/// Adds one step to a JSON pointer, escaped as RFC 6901 §3 says.
pub(super) fn push(pointer: &mut String, token: &str) {
    pointer.push('/');
    for c in token.chars() {
        match c {
            '~' => pointer.push_str("~0"),
            '/' => pointer.push_str("~1"),
            c => pointer.push(c),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn pointers_escape_as_rfc_6901_section_5_shows() {
        let document = serde_json::json!({ "a/b": 1, "m~n": 8, "": 0, "~1": 3 });
        for (key, pointer) in [("a/b", "/a~1b"), ("m~n", "/m~0n"), ("", "/"), ("~1", "/~01")] {
            let mut pushed = String::new();
            push(&mut pushed, key);
            assert_eq!(pushed, pointer);
            assert_eq!(document.pointer(&pushed), document.get(key));
        }
    }

    #[test]
    fn a_fault_prints_on_its_own_line_and_as_it_is() {
        let fault = Fault { pointer: "/a\n/b".into(), detail: "\u{202e}é🏠".into() };
        assert_eq!(fault.to_string(), "/a\\u{a}/b: \\u{202e}é🏠");
    }

    #[test]
    fn prints_a_line_a_fault_and_serializes_as_the_problem_member() {
        let faults = Faults(vec![
            Fault { pointer: String::new(), detail: "empty".into() },
            Fault { pointer: "/runs".into(), detail: "missing".into() },
        ]);
        assert_eq!(faults.to_string(), "empty\n/runs: missing");
        assert_eq!(
            serde_json::json!({ "faults": faults }),
            serde_json::json!({ "faults": [
                { "pointer": "", "detail": "empty" }, { "pointer": "/runs", "detail": "missing" }
            ] })
        );
    }
}
