//! What may fill a slot of a form, and how it is found at the start of a text.

/// A kind of slot, named in the catalogue by its word in braces: `{length}`, `{side}`. Digits after the word tell slots of
/// one kind apart: `{length}`, `{length2}`.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Kind {
    /// `{n}`: `3`, `0.0276`, `-4`.
    Number,
    /// `{length}`: `42' 7-1/4"`, `8′ 10⁵⁄₈″`, `0.0276 in`, `12985.875 mm`.
    Length,
    /// `{lengths}`: `3"`, `3" and 4"`.
    Lengths,
    /// `{angle}`: `80.5°`.
    Angle,
    /// `{pitch}`: `2:12`, `9.5°`.
    Pitch,
    /// `{any}`: what somebody named; it stays as it is.
    Any,
    /// `{text}`: what the catalogue can say.
    Text,
    /// `{list}`: one or several such, with commas between them.
    List,
    /// `{items}`: at least two of them.
    Items,
    /// A word of the set of this name.
    Word(String),
}

impl Kind {
    /// The kind of the slot with this name.
    pub fn of(slot: &str) -> Self {
        match slot.trim_end_matches(|c: char| c.is_ascii_digit()) {
            "n" => Self::Number,
            "length" => Self::Length,
            "lengths" => Self::Lengths,
            "angle" => Self::Angle,
            "pitch" => Self::Pitch,
            "any" => Self::Any,
            "text" => Self::Text,
            "list" => Self::List,
            "items" => Self::Items,
            word => Self::Word(word.to_owned()),
        }
    }
}

/// How far a number reaches.
pub fn number(text: &str) -> Option<usize> {
    let sign = usize::from(text.starts_with('-'));
    let digits = |text: &str| text.len() - text.trim_start_matches(|c: char| c.is_ascii_digit()).len();
    let whole = digits(&text[sign..]);
    let end = sign + whole;
    let decimals = text[end..].strip_prefix('.').map_or(0, digits);
    (whole > 0).then_some(if decimals > 0 { end + 1 + decimals } else { end })
}

/// How far an angle reaches.
pub fn angle(text: &str) -> Option<usize> {
    let end = number(text)?;
    text[end..].starts_with('°').then_some(end + '°'.len_utf8())
}

/// How far a pitch reaches.
pub fn pitch(text: &str) -> Option<usize> {
    let end = number(text)?;
    text[end..].starts_with(":12").then_some(end + 3).or_else(|| angle(text))
}

/// The signs that feet, inches and their fractions are written with.
const SIGNS: &str = " '\"-/.′″⁄⁰¹²³⁴⁵⁶⁷⁸⁹₀₁₂₃₄₅₆₇₈₉";

/// How far a length reaches. One without a unit or a sign of feet or inches is none.
pub fn length(text: &str) -> Option<usize> {
    let part = |c: char| c.is_ascii_digit() || SIGNS.contains(c);
    let signs = &text[..text.len() - text.trim_start_matches(part).len()];
    if !signs.starts_with(|c: char| c == '-' || c != ' ' && part(c)) {
        return None;
    }
    // A stop that ends the sentence is none of the length's.
    if let Some(last) = signs.rfind(['\'', '"', '′', '″']) {
        return signs[last..].chars().next().map(|sign| last + sign.len_utf8());
    }
    let end = number(text)?;
    [" mm", " in"].into_iter().find(|unit| ends_a_word(&text[end..], unit)).map(|unit| end + unit.len())
}

/// How far several lengths with `and` between them reach.
pub fn lengths(text: &str) -> Option<usize> {
    let mut end = length(text)?;
    while let Some(next) = text[end..].strip_prefix(AND).and_then(length) {
        end += AND.len() + next;
    }
    Some(end)
}

/// What stands between several lengths.
pub const AND: &str = " and ";

fn ends_a_word(text: &str, word: &str) -> bool {
    text.strip_prefix(word).is_some_and(|rest| !rest.starts_with(char::is_alphanumeric))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn lengths_end_where_they_end() {
        for (text, length) in [
            ("6\" along", "6\""),
            ("4\" in along the fold", "4\""),
            ("42' 7-1/4\", and", "42' 7-1/4\""),
            ("10' 0\". Next", "10' 0\""),
            ("8′ 10⁵⁄₈″", "8′ 10⁵⁄₈″"),
            ("-3/4\" up", "-3/4\""),
            ("0.0276 in.", "0.0276 in"),
            ("225 mm. Stop", "225 mm"),
            ("4 inside", ""),
            ("12", ""),
            (" 6\"", ""),
        ] {
            assert_eq!(super::length(text).map_or("", |end| &text[..end]), length, "{text}");
        }
        assert_eq!(lengths("3\" and 4\" and so on"), Some("3\" and 4\"".len()));
        assert_eq!(pitch("80.5° or"), Some("80.5°".len()));
        assert_eq!(number("-1.5."), Some(4));
    }
}
