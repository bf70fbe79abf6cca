//! What the kiosk must find again at its next start: a key, a text.

use rusqlite::OptionalExtension;

use super::{Reader, Store, StoreError};

impl Reader {
    /// What was set last under this key.
    pub fn setting(&self, key: &str) -> Result<Option<String>, StoreError> {
        Ok(self
            .connection()
            .prepare_cached("SELECT value FROM settings WHERE key = ?")?
            .query_row([key], |row| row.get(0))
            .optional()?)
    }
}

impl Store {
    /// Sets `value` under `key`, whatever was there before.
    pub fn set_setting(&self, key: &str, value: &str) -> Result<(), StoreError> {
        self.write(|connection| {
            connection.execute("INSERT OR REPLACE INTO settings (key, value) VALUES (?, ?)", [key, value])?;
            Ok(())
        })
    }
}
