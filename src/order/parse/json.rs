//! Strict JSON: as `serde_json` reads it, except that a key given twice is a fault instead of silently the last one.

use std::fmt;

use serde::de::{DeserializeSeed, Deserializer, MapAccess, SeqAccess, Visitor};
use serde_json::{Map, Value};
use thiserror::Error;

use crate::order::fault::{self, Fault, Faults};

/// Why a text is not read.
#[derive(Debug, Error)]
pub enum Unread {
    /// The first syntax error, by line and column. Bad UTF-8 and nesting too deep to be meant are such errors.
    #[error("not JSON: {0}; give one JSON object in UTF-8")]
    NotJson(#[from] serde_json::Error),
    #[error("nothing was sent: give one JSON object in UTF-8")]
    Empty,
    #[error("not JSON: a byte order mark stands at line 1 column 1; save it without a byte order mark")]
    ByteOrderMark,
    /// Every key that stands twice in its object.
    #[error(transparent)]
    Twice(Faults),
}

impl From<Unread> for Faults {
    fn from(unread: Unread) -> Self {
        match unread {
            Unread::Twice(faults) => faults,
            not_json => Self(vec![Fault { pointer: String::new(), detail: not_json.to_string() }]),
        }
    }
}

/// Reads one JSON text, UTF-8.
///
/// # Errors
/// [`Unread`] tells a text that is not JSON from one that is, but says something twice.
pub fn read(text: &[u8]) -> Result<Value, Unread> {
    if text.starts_with(b"\xef\xbb\xbf") {
        return Err(Unread::ByteOrderMark);
    }
    if text.trim_ascii().is_empty() {
        return Err(Unread::Empty);
    }
    let mut seen = Seen::default();
    let mut deserializer = serde_json::Deserializer::from_slice(text);
    let value = seen.deserialize(&mut deserializer)?;
    deserializer.end()?;
    if seen.twice.is_empty() { Ok(value) } else { Err(Unread::Twice(Faults(seen.twice))) }
}

/// Where the reader stands, and the keys it has met twice.
#[derive(Default)]
struct Seen {
    pointer: String,
    twice: Vec<Fault>,
}

impl Seen {
    /// Does `visit` one step further down, and comes back up.
    fn under<T>(&mut self, token: &str, visit: impl FnOnce(&mut Self) -> T) -> T {
        let here = self.pointer.len();
        fault::push(&mut self.pointer, token);
        let visited = visit(self);
        self.pointer.truncate(here);
        visited
    }
}

impl<'de> DeserializeSeed<'de> for &mut Seen {
    type Value = Value;

    fn deserialize<D: Deserializer<'de>>(self, deserializer: D) -> Result<Value, D::Error> {
        deserializer.deserialize_any(self)
    }
}

impl<'de> Visitor<'de> for &mut Seen {
    type Value = Value;

    fn expecting(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str("a JSON value")
    }

    fn visit_unit<E>(self) -> Result<Value, E> {
        Ok(Value::Null)
    }

    fn visit_bool<E>(self, value: bool) -> Result<Value, E> {
        Ok(Value::Bool(value))
    }

    fn visit_u64<E>(self, value: u64) -> Result<Value, E> {
        Ok(Value::from(value))
    }

    fn visit_i64<E>(self, value: i64) -> Result<Value, E> {
        Ok(Value::from(value))
    }

    fn visit_f64<E>(self, value: f64) -> Result<Value, E> {
        Ok(Value::from(value))
    }

    fn visit_str<E>(self, value: &str) -> Result<Value, E> {
        Ok(Value::from(value))
    }

    fn visit_string<E>(self, value: String) -> Result<Value, E> {
        Ok(Value::String(value))
    }

    fn visit_seq<A: SeqAccess<'de>>(self, mut items: A) -> Result<Value, A::Error> {
        let mut list = Vec::new();
        while let Some(item) = self.under(&list.len().to_string(), |seen| items.next_element_seed(seen))? {
            list.push(item);
        }
        Ok(Value::Array(list))
    }

    fn visit_map<A: MapAccess<'de>>(self, mut entries: A) -> Result<Value, A::Error> {
        let mut map = Map::new();
        while let Some(key) = entries.next_key::<String>()? {
            self.under(&key, |seen| {
                let value = entries.next_value_seed(&mut *seen)?;
                if map.insert(key.clone(), value).is_some() {
                    seen.twice.push(Fault {
                        pointer: seen.pointer.clone(),
                        detail: "given twice; give each key once".into(),
                    });
                }
                Ok(())
            })?;
        }
        Ok(Value::Object(map))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn reads_what_serde_json_reads() {
        let text = r#" { "a": [1, -2, 2.5e3, 18446744073709551615, true, null, "é\u00e9"], "b": { "": {} } } "#;
        assert_eq!(read(text.as_bytes()).unwrap(), serde_json::from_str::<Value>(text).unwrap());
    }

    #[test]
    fn every_doubled_key_is_pointed_at() {
        let text = br#"{ "a": 1, "runs": [{}, { "x/y": 1, "x/y": 1, "x/y": 2 }], "a": 1 }"#;
        let pointers: Vec<_> = Faults::from(read(text).unwrap_err()).0.into_iter().map(|fault| fault.pointer).collect();
        assert_eq!(pointers, ["/runs/1/x~1y", "/runs/1/x~1y", "/a"]);
    }

    #[test]
    fn syntax_errors_give_line_and_column() {
        for (text, place) in [
            (&b"{\n  \"a\": NaN }"[..], "line 2 column 8"),
            (b"{\"a\": 1e400}", "line 1 column 11"),
            (b"{} {}", "line 1 column 4"),
            (b"\"\xff\"", "line 1 column 2"),
            ("[".repeat(2_000_000).as_bytes(), "line 1 column 128"),
        ] {
            let unread = read(text).unwrap_err();
            assert!(matches!(unread, Unread::NotJson(_)) && unread.to_string().contains(place), "{unread}");
        }
    }
}
