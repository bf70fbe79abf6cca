//! The settings file's TOML as the values that the order's reader walks, and the line each of them stands on.

use std::collections::BTreeMap;

use serde_json::{Map, Value};
use toml::Spanned;
use toml::de::{DeTable, DeValue};

use crate::order::fault::{self, Fault, Faults};

/// A settings file that is TOML.
pub(super) struct Document {
    pub value: Value,
    /// Lines by JSON pointer.
    lines: BTreeMap<String, usize>,
}

impl Document {
    /// # Errors
    /// Every syntax error, by line and column.
    pub fn parse(text: &str) -> Result<Self, Faults> {
        let (table, mut errors) = DeTable::parse_recoverable(text);
        if !errors.is_empty() {
            errors.sort_by_key(|error| error.span().map(|span| span.start));
            return Err(Faults(errors.iter().map(|error| syntax(text, error)).collect()));
        }
        let mut lines = BTreeMap::new();
        let value = read_table(table.get_ref(), &mut String::new(), &mut |pointer, at| {
            lines.insert(pointer.to_owned(), line(text, at));
        });
        Ok(Self { value, lines })
    }

    /// The faults with their lines, in the file's order. What is missing stands where its section does.
    pub fn place(&self, faults: Vec<Fault>) -> Faults {
        let mut placed: Vec<(Option<usize>, Fault)> = faults.into_iter().map(|fault| self.line_of(fault)).collect();
        placed.sort_by_key(|(line, _)| *line);
        Faults(placed.into_iter().map(|(_, fault)| fault).collect())
    }

    fn line_of(&self, fault: Fault) -> (Option<usize>, Fault) {
        let mut pointer = fault.pointer.as_str();
        loop {
            if let Some(&line) = self.lines.get(pointer) {
                return (Some(line), Fault { detail: format!("line {line}: {}", fault.detail), ..fault });
            }
            match pointer.rsplit_once('/') {
                Some((above, _)) => pointer = above,
                None => return (None, fault),
            }
        }
    }
}

fn syntax(text: &str, error: &toml::de::Error) -> Fault {
    let at = error.span().map_or(0, |span| span.start);
    let start = text[..at].rfind('\n').map_or(0, |newline| newline + 1);
    let column = text[start..at].chars().count() + 1;
    let what = error.message().trim().replace('\n', ", ");
    let detail = format!("line {}, column {column}: {what}; write keys as in `brakeside settings`", line(text, at));
    Fault { pointer: String::new(), detail: fault::visible(&detail) }
}

/// `at` is where a value begins, so between two characters.
fn line(text: &str, at: usize) -> usize {
    text[..at].bytes().filter(|&byte| byte == b'\n').count() + 1
}

fn read_table(table: &DeTable, pointer: &mut String, met: &mut impl FnMut(&str, usize)) -> Value {
    let mut map = Map::new();
    for (key, value) in table {
        let above = pointer.len();
        fault::push(pointer, key.get_ref());
        met(pointer, key.span().start);
        map.insert(key.get_ref().to_string(), read(value, pointer, met));
        pointer.truncate(above);
    }
    Value::Object(map)
}

fn read(value: &Spanned<DeValue>, pointer: &mut String, met: &mut impl FnMut(&str, usize)) -> Value {
    match value.get_ref() {
        DeValue::String(text) => Value::from(text.as_ref()),
        DeValue::Boolean(truth) => Value::from(*truth),
        DeValue::Datetime(at) => Value::from(at.to_string()),
        DeValue::Integer(number) => i64::from_str_radix(number.as_str(), number.radix())
            .map_or_else(|_| Value::from(number.as_str()), Value::from),
        // JSON has no `inf` and `nan`: as text they are refused by name.
        DeValue::Float(number) => match number.as_str().parse::<f64>() {
            Ok(float) if float.is_finite() => Value::from(float),
            _ => Value::from(number.as_str()),
        },
        DeValue::Array(items) => {
            let mut list = Vec::with_capacity(items.len());
            for (index, item) in items.iter().enumerate() {
                let above = pointer.len();
                fault::push(pointer, &index.to_string());
                met(pointer, item.span().start);
                list.push(read(item, pointer, met));
                pointer.truncate(above);
            }
            Value::Array(list)
        }
        DeValue::Table(table) => read_table(table, pointer, met),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_kind_of_value_and_its_line() {
        let text = "a = [1, 0x10, 1_000]\n[b.c]\nd = 2026-11-25 # when\ne = -2.5\n[[f]]\ng = 'x'\n[[f]]\ng = nan\n";
        let document = Document::parse(text).unwrap();
        assert_eq!(
            document.value,
            serde_json::json!({
                "a": [1, 16, 1000], "b": { "c": { "d": "2026-11-25", "e": -2.5 } }, "f": [{ "g": "x" }, { "g": "nan" }]
            })
        );
        for (pointer, line) in [("/a/2", 1), ("/b/c/d", 3), ("/f/1/g", 8), ("/f/1/missing", 7), ("/f/0/missing", 5)] {
            let placed = document.place(vec![Fault { pointer: pointer.into(), detail: "wrong".into() }]);
            assert_eq!(placed.0[0].detail, format!("line {line}: wrong"), "{pointer}");
        }
    }

    #[test]
    fn every_syntax_error_with_line_and_column() {
        let faults = Document::parse("a = \nb = 1\nb = 2\n[c\nd = 'é' x\n").err().unwrap().to_string();
        let places =
            ["line 1, column 5: ", "line 3, column 1: duplicate key", "line 4, column 3: ", "line 5, column 9: "];
        assert_eq!(faults.lines().count(), places.len(), "{faults}");
        for (fault, place) in faults.lines().zip(places) {
            assert!(fault.starts_with(place), "{place} is not where\n{fault}");
        }
    }
}
