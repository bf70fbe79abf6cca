//! A walk over JSON that does not stop at faults: it notes each with its place and hands on what could be read.
//!
//! `None` from any of these functions means "a fault is noted", so a caller only has to pass it on.

use std::cell::RefCell;

use serde_json::{Map, Value};

use crate::order::fault::{self, Fault};

/// The faults found so far.
#[derive(Default)]
pub(crate) struct Found(RefCell<Vec<Fault>>);

impl Found {
    fn note(&self, pointer: String, detail: &str) {
        self.0.borrow_mut().push(Fault { pointer, detail: fault::visible(detail) });
    }

    pub(crate) fn into_faults(self) -> Vec<Fault> {
        self.0.into_inner()
    }

    pub(crate) fn is_empty(&self) -> bool {
        self.0.borrow().is_empty()
    }
}

/// One value of the order and where it stands.
#[derive(Clone)]
pub(crate) struct Spot<'a> {
    pub(crate) value: &'a Value,
    pub(crate) pointer: String,
    found: &'a Found,
}

impl<'a> Spot<'a> {
    pub(crate) fn root(value: &'a Value, found: &'a Found) -> Self {
        Self { value, pointer: String::new(), found }
    }

    fn at(&self, token: &str, value: &'a Value) -> Self {
        Self { value, pointer: pointer(&self.pointer, token), found: self.found }
    }

    /// Notes a fault at this value. Always `None`, of whatever type the caller reads.
    pub(crate) fn fault<T>(&self, detail: impl AsRef<str>) -> Option<T> {
        self.fault_below("", detail)
    }

    /// Notes a fault further down from this value, at `below` (`/left/width`).
    pub(crate) fn fault_below<T>(&self, below: &str, detail: impl AsRef<str>) -> Option<T> {
        self.found.note(format!("{}{below}", self.pointer), detail.as_ref());
        None
    }

    /// Notes that something else should stand here; `wanted` is what would be right: `true or false`.
    pub(crate) fn wrong<T>(&self, wanted: &str) -> Option<T> {
        self.fault(format!("{} is wrong here; give {wanted}", shown(self.value)))
    }

    pub(crate) fn text(&self, wanted: &str) -> Option<&'a str> {
        self.value.as_str().or_else(|| self.wrong(wanted))
    }

    pub(crate) fn truth(&self) -> Option<bool> {
        self.value.as_bool().or_else(|| self.wrong("true or false"))
    }

    /// A gauge or a weight: `24` or `"24"`.
    pub(crate) fn count(&self) -> Option<u32> {
        let count = match self.value.as_str() {
            Some(text) => text.trim().parse().ok(),
            None => self.value.as_u64().and_then(|count| count.try_into().ok()),
        };
        count.or_else(|| self.wrong("a whole number, like 24"))
    }

    /// One word out of a short list.
    pub(crate) fn word<T: Copy>(&self, words: &[(&str, T)]) -> Option<T> {
        let found = self.value.as_str().and_then(|text| words.iter().find(|(word, _)| *word == text));
        found.map(|(_, meaning)| *meaning).or_else(|| self.wrong(&one_of(words)))
    }

    pub(crate) fn list(&self, wanted: &str) -> Option<Vec<Spot<'a>>> {
        let items = self.value.as_array().or_else(|| self.wrong(wanted))?;
        Some(items.iter().enumerate().map(|(index, item)| self.at(&index.to_string(), item)).collect())
    }

    /// An object of which no key is unknown; unknown ones are noted and passed over.
    pub(crate) fn object(&self, wanted: &str, known: &[&str]) -> Option<Object<'a>> {
        let object = self.any_object(wanted)?;
        object.known(known);
        Some(object)
    }

    /// An object of which it is not yet known what it may hold.
    pub(crate) fn any_object(&self, wanted: &str) -> Option<Object<'a>> {
        let map = self.value.as_object().or_else(|| self.wrong(wanted))?;
        Some(Object { spot: self.clone(), map })
    }
}

/// An object of the order and where it stands.
pub(crate) struct Object<'a> {
    pub(crate) spot: Spot<'a>,
    map: &'a Map<String, Value>,
}

impl<'a> Object<'a> {
    /// Notes each key that is not among `known`.
    pub(crate) fn known(&self, known: &[&str]) {
        for key in self.map.keys().filter(|key| !known.contains(&key.as_str())) {
            let detail = match nearest(key, known) {
                Some(near) => format!("unknown key; did you mean `{near}`?"),
                None => format!("unknown key; known here: {}", known.join(", ")),
            };
            self.spot.fault_below::<()>(&pointer("", key), detail);
        }
    }

    pub(crate) fn has(&self, key: &str) -> bool {
        self.map.contains_key(key)
    }

    /// The value of `key`, if it is there.
    pub(crate) fn get(&self, key: &str) -> Option<Spot<'a>> {
        self.map.get(key).map(|value| self.spot.at(key, value))
    }

    /// What `read` makes of a key that must be there; `wanted` says what would be right.
    pub(crate) fn required<T>(&self, key: &str, wanted: &str, read: impl FnOnce(&Spot<'a>) -> Option<T>) -> Option<T> {
        match self.get(key) {
            Some(spot) => read(&spot),
            None => self.spot.fault_below(&pointer("", key), format!("missing; give {wanted}")),
        }
    }

    /// What `read` makes of a key that may be left out, and `default` where it is.
    pub(crate) fn or<T>(&self, key: &str, default: T, read: impl FnOnce(&Spot<'a>) -> Option<T>) -> Option<T> {
        self.get(key).map_or(Some(default), |spot| read(&spot))
    }
}

fn pointer(base: &str, token: &str) -> String {
    let mut pointer = base.to_owned();
    fault::push(&mut pointer, token);
    pointer
}

/// `"a", "b" or "c"`.
pub(crate) fn one_of<T>(words: &[(&str, T)]) -> String {
    let words: Vec<_> = words.iter().map(|(word, _)| format!("\"{word}\"")).collect();
    match words.split_last() {
        Some((last, rest)) if !rest.is_empty() => format!("{} or {last}", rest.join(", ")),
        _ => words.concat(),
    }
}

/// A value read back in a fault: short.
pub(crate) fn shown(value: &Value) -> String {
    match value {
        Value::Null => "null".into(),
        Value::Bool(truth) => truth.to_string(),
        Value::Number(number) => number.to_string(),
        Value::String(text) => quoted(text),
        Value::Array(_) => "a list".into(),
        Value::Object(_) => "an object".into(),
    }
}

/// Text read back in a fault, quoted and cut short.
pub(crate) fn quoted(text: &str) -> String {
    const MOST: usize = 40;
    match text.char_indices().nth(MOST) {
        Some((cut, _)) => format!("\"{}…\"", &text[..cut]),
        None => format!("\"{text}\""),
    }
}

/// The known key a mistyped one was most likely meant to be: at most two slips away, and fewer than half its letters.
fn nearest<'k>(key: &str, known: &[&'k str]) -> Option<&'k str> {
    const MOST_SLIPS: usize = 2;
    let near = |name: &&'k str| key.len().abs_diff(name.len()) <= MOST_SLIPS;
    known
        .iter()
        .copied()
        .filter(near)
        .map(|name| (slips(key, name), name))
        .filter(|(slips, name)| *slips <= MOST_SLIPS && slips * 2 < name.len())
        .min_by_key(|(slips, _)| *slips)
        .map(|(_, name)| name)
}

/// Letters to add, drop or change to make `a` into `b`, letter case aside (Levenshtein 1966).
fn slips(a: &str, b: &str) -> usize {
    let b: Vec<char> = b.chars().collect();
    let mut row: Vec<usize> = (0..=b.len()).collect();
    for (i, from) in a.chars().enumerate() {
        let mut diagonal = std::mem::replace(&mut row[0], i + 1);
        for (j, to) in b.iter().enumerate() {
            let change = diagonal + usize::from(!from.eq_ignore_ascii_case(to));
            diagonal = row[j + 1];
            row[j + 1] = change.min(diagonal + 1).min(row[j] + 1);
        }
    }
    row[b.len()]
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn near_misses_are_recognized() {
        let known = ["wall", "lay_from", "left", "lap", "length"];
        for (key, meant) in [
            ("layFrom", Some("lay_from")),
            ("lay-from", Some("lay_from")),
            ("lenght", Some("length")),
            ("Wall", Some("wall")),
            ("lapp", Some("lap")),
            ("pitch", None),
            ("hop", None),
            ("x", None),
            ("", None),
        ] {
            assert_eq!(nearest(key, &known), meant, "{key}");
        }
    }

    #[test]
    fn slips_are_levenshtein_distances() {
        // The textbook pair: kitten → sitting is 3.
        assert_eq!(slips("kitten", "sitting"), 3);
        assert_eq!(slips("", "lap"), 3);
        assert_eq!(slips("hem", "hem"), 0);
    }

    #[test]
    fn what_is_read_back_is_short_and_cannot_reorder_a_line() {
        let value = Value::from(format!("a\u{202e}\n{}", "é".repeat(100)));
        let found = Found::default();
        Spot::root(&value, &found).wrong::<()>("less");
        let detail = &found.into_faults()[0].detail;
        assert!(detail.starts_with("\"a\\u{202e}\\u{a}éé"), "{detail}");
        assert!(detail.ends_with("é…\" is wrong here; give less"), "{detail}");
        assert!(detail.chars().count() < 100);
    }
}
