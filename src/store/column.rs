//! How columns become values: JSON texts, single words, counts.

use rusqlite::Row;
use rusqlite::types::{FromSql, FromSqlError, FromSqlResult, ValueRef};
use serde::de::value::{Error as WordError, StrDeserializer};
use serde::de::{DeserializeOwned, IntoDeserializer};

/// A value kept as JSON text.
pub struct Json<T>(pub T);

impl<T: DeserializeOwned> FromSql for Json<T> {
    fn column_result(value: ValueRef<'_>) -> FromSqlResult<Self> {
        serde_json::from_str(value.as_str()?).map(Self).map_err(FromSqlError::other)
    }
}

/// One of a few words, spelled as in JSON but without the quotes.
pub struct Word<T>(pub T);

impl<T: DeserializeOwned> FromSql for Word<T> {
    fn column_result(value: ValueRef<'_>) -> FromSqlResult<Self> {
        let word: StrDeserializer<'_, WordError> = value.as_str()?.into_deserializer();
        T::deserialize(word).map(Self).map_err(FromSqlError::other)
    }
}

/// A count or a position. SQLite's integers are signed; a negative one here is damage and an error.
pub fn count(row: &Row<'_>, column: &str) -> rusqlite::Result<usize> {
    row.get::<_, u32>(column).map(|count| count as usize)
}

/// A row's columns in turn. Thousands of rows are not searched for names.
pub struct InTurn<'a, 'row> {
    row: &'a Row<'row>,
    at: usize,
}

impl<'a, 'row> InTurn<'a, 'row> {
    pub fn of(row: &'a Row<'row>) -> Self {
        Self { row, at: 0 }
    }

    pub fn take<T: FromSql>(&mut self) -> rusqlite::Result<T> {
        self.at += 1;
        self.row.get(self.at - 1)
    }

    /// As [`count`].
    pub fn count(&mut self) -> rusqlite::Result<usize> {
        self.take::<u32>().map(|count| count as usize)
    }
}
