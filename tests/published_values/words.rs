//! Numbers out of what the program tells people.

/// The number that stands before the first `words` in `text`: 6 before ` ft` in `an edge 6 ft (1.8 m) up`.
pub fn number_before(text: &str, words: &str) -> f64 {
    let before = text.split_once(words).map(|(before, _)| before);
    let number = before.and_then(|before| before.rsplit([' ', '(']).next());
    number.and_then(|number| number.parse().ok()).unwrap_or(f64::NAN)
}

/// 1 for yes, 0 for no.
pub fn told(yes: bool) -> f64 {
    f64::from(u8::from(yes))
}
