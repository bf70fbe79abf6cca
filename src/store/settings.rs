//! What the shop sets once: a key, a text.

use rusqlite::OptionalExtension;

use super::{Reader, Store, StoreError};

impl Reader {
    pub fn setting(&self, key: &str) -> Result<Option<String>, StoreError> {
        Ok(self
            .connection()
            .prepare_cached("SELECT value FROM settings WHERE key = ?")?
            .query_row([key], |row| row.get(0))
            .optional()?)
    }
}

impl Store {
    pub fn set_setting(&self, key: &str, value: &str) -> Result<(), StoreError> {
        self.write(|connection| {
            connection.execute("INSERT OR REPLACE INTO settings (key, value) VALUES (?, ?)", [key, value])?;
            Ok(())
        })
    }
}
