//! Strict JSON: as `serde_json` reads it, except that a key given twice is a fault instead of silently the last one.

use std::fmt;

use serde::de::{DeserializeSeed, Deserializer, MapAccess, SeqAccess, Visitor};
use serde_json::{Map, Value};

use crate::order::fault::{self, Fault, Faults};

/// Reads one JSON text, UTF-8.
///
/// # Errors
/// The first syntax error, by line and column, as the only fault; or every key that stands twice in its object.
pub(super) fn read(text: &[u8]) -> Result<Value, Faults> {
    let mut seen = Seen::default();
    let mut deserializer = serde_json::Deserializer::from_slice(text);
    let read = seen.deserialize(&mut deserializer).and_then(|value| deserializer.end().map(|()| value));
    match read {
        Ok(value) if seen.twice.is_empty() => Ok(value),
        Ok(_) => Err(Faults(seen.twice)),
        Err(error) => Err(Faults(vec![Fault {
            pointer: String::new(),
            detail: format!("not JSON: {error}; an order is one JSON object in UTF-8"),
        }])),
    }
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
        let pointers: Vec<_> = read(text).unwrap_err().0.into_iter().map(|fault| fault.pointer).collect();
        assert_eq!(pointers, ["/runs/1/x~1y", "/runs/1/x~1y", "/a"]);
    }

    #[test]
    fn syntax_errors_give_line_and_column() {
        for (text, place) in [
            (&b""[..], "line 1 column 0"),
            (b"{\n  \"a\": NaN }", "line 2 column 8"),
            (b"{\"a\": 1e400}", "line 1 column 11"),
            (b"{} {}", "line 1 column 4"),
            (b"\"\xff\"", "line 1 column 2"),
            ("[".repeat(2_000_000).as_bytes(), "line 1 column 128"),
        ] {
            let faults = read(text).unwrap_err();
            assert_eq!(faults.0.len(), 1);
            assert!(faults.to_string().contains(place), "{faults}");
        }
    }
}
