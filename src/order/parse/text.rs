//! Reads the order's texts: those people read, and those that become part of a mark or an address.

use super::reader::{Spot, quoted};
use crate::order::fault;

const LONGEST_NUMBER: usize = 32;
pub(super) const NUMBER: &str = r#"text of 1 to 32 of A-Z, a-z, 0-9, ".", "_", "-", like "2041""#;

/// An order's number: it travels in addresses, where `.` and `..` have a meaning of their own.
pub(super) fn number(spot: &Spot) -> Option<String> {
    let fits = |text: &&str| {
        let plain = |c: char| c.is_ascii_alphanumeric() || matches!(c, '.' | '_' | '-');
        (1..=LONGEST_NUMBER).contains(&text.len()) && text.chars().all(plain) && !matches!(*text, "." | "..")
    };
    spot.value.as_str().filter(fits).map(str::to_owned).or_else(|| spot.wrong(NUMBER))
}

const LONGEST_WALL: usize = 8;
pub(super) const WALL: &str = r#"text of 1 to 8 letters A-Z, a-z or digits, like "A""#;

/// A wall's name: it stands in every mark.
pub(super) fn wall(spot: &Spot) -> Option<String> {
    let fits =
        |text: &&str| (1..=LONGEST_WALL).contains(&text.len()) && text.chars().all(|c| c.is_ascii_alphanumeric());
    spot.value.as_str().filter(fits).map(str::to_owned).or_else(|| spot.wrong(WALL))
}

/// One line of any script for people to read, at most `most` characters; space around it is dropped.
pub(crate) fn line(spot: &Spot, most: usize) -> Option<String> {
    let wanted = || format!("text of 1 to {most} characters");
    let text = spot.value.as_str().or_else(|| spot.wrong(&wanted()))?;
    if let Some(c) = text.chars().find(|&c| fault::misleads(c)) {
        return spot.fault(format!("U+{:04X} in it cannot be read on a label; leave it out", u32::from(c)));
    }
    let line = text.trim();
    let count = line.chars().count();
    if count > most {
        return spot.fault(format!("{} is {count} characters long; give {}", quoted(line), wanted()));
    }
    if line.chars().all(blank) {
        return spot.wrong(&wanted());
    }
    Some(line.to_owned())
}

/// Leaves no ink: white space, and marks of no width that stand between others.
pub(crate) fn blank(c: char) -> bool {
    c.is_whitespace() || matches!(c, '\u{200B}'..='\u{200F}' | '\u{2060}' | '\u{FEFF}' | '\u{FE00}'..='\u{FE0F}')
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::order::parse::reader::Found;
    use serde_json::{Value, json};

    fn reads(read: impl Fn(&Spot) -> Option<String>, value: Value) -> Option<String> {
        let found = Found::default();
        let text = read(&Spot::root(&value, &found));
        assert_eq!(text.is_none(), found.into_faults().len() == 1, "{value}");
        text
    }

    #[test]
    fn texts_for_people_may_be_in_any_script() {
        let line = |text: &str| reads(|spot| line(spot, 12), json!(text));
        for text in ["Casa Ñandú", "🏠👷🏽‍♀️", "بيت السقف", "דוד \u{200f}7", "e\u{301}", "a\u{200d}b"]
        {
            assert_eq!(line(text).as_deref(), Some(text));
        }
        assert_eq!(line("  north  "), Some("north".into()));
        for text in [
            "",
            " \u{3000}",
            "\u{200b}\u{feff}",
            "a\nb",
            "a\0",
            "a\u{7f}",
            "x\u{202e}y",
            "x\u{2066}y",
            "x\u{2028}",
            "x\n",
        ] {
            assert_eq!(line(text), None, "{text:?}");
        }
        assert_eq!(line(&"é".repeat(12)), Some("é".repeat(12)));
        assert_eq!(line(&"é".repeat(13)), None);
    }

    #[test]
    fn numbers_and_walls_are_plain() {
        for text in ["2041", "a.b_c-D", "...", &"9".repeat(32)] {
            assert!(reads(number, json!(text)).is_some(), "{text}");
        }
        for value in [json!(2041), json!(""), json!("."), json!(".."), json!("a/b"), json!("é"), json!("9".repeat(33))]
        {
            assert!(reads(number, value).is_none());
        }
        for (value, right) in [
            (json!("A"), true),
            (json!("North12b"), true),
            (json!("A-1"), false),
            (json!("Ñ"), false),
            (json!("a23456789"), false),
            (json!(1), false),
        ] {
            assert_eq!(reads(wall, value).is_some(), right);
        }
    }
}
