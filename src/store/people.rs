//! Who works here: names to choose from, each with a PIN if its owner wants one. Events name people, so nobody is deleted.

use rusqlite::{OptionalExtension, Row};
use serde::Serialize;
use thiserror::Error;

use super::{Reader, Store, StoreError};

/// Somebody who works here.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct Person {
    pub id: i64,
    pub name: String,
    /// Whether a PIN is asked for.
    pub pin: bool,
}

/// Why nothing was changed.
#[derive(Debug, Error)]
pub enum PersonError {
    #[error("{name} works here already: add another name")]
    Known { name: String },
    #[error("nobody who works here has the number {id}")]
    Unknown { id: i64 },
    #[error(transparent)]
    Store(#[from] StoreError),
}

impl From<rusqlite::Error> for PersonError {
    fn from(error: rusqlite::Error) -> Self {
        Self::Store(error.into())
    }
}

impl Person {
    fn read(row: &Row<'_>) -> rusqlite::Result<Self> {
        Ok(Self { id: row.get("id")?, name: row.get("name")?, pin: row.get("has_pin")? })
    }
}

impl Reader {
    /// Everybody who works here, by name.
    pub fn people(&self) -> Result<Vec<Person>, StoreError> {
        let connection = self.connection();
        let mut query = connection
            .prepare_cached("SELECT id, name, pin IS NOT NULL AS has_pin FROM people WHERE NOT gone ORDER BY name")?;
        let people = query.query_map([], Person::read)?;
        Ok(people.collect::<Result<_, _>>()?)
    }

    /// The person of this number and the hash of their PIN, if they have one.
    ///
    /// # Errors
    /// When nobody of this number works here.
    pub fn person(&self, id: i64) -> Result<(Person, Option<String>), PersonError> {
        self.connection()
            .prepare_cached("SELECT id, name, pin, pin IS NOT NULL AS has_pin FROM people WHERE id = ? AND NOT gone")?
            .query_row([id], |row| Ok((Person::read(row)?, row.get("pin")?)))
            .optional()?
            .ok_or(PersonError::Unknown { id })
    }
}

impl Store {
    /// Adds somebody, or welcomes back somebody of this name who had left. `pin` is a salted hash, never the digits.
    ///
    /// # Errors
    /// When somebody of this name works here already; capitals make no difference.
    pub fn add_person(&self, name: &str, pin: Option<&str>) -> Result<Person, PersonError> {
        self.write(|connection| {
            let added = connection
                .query_row(
                    "INSERT INTO people (name, pin) VALUES (?1, ?2)
                     ON CONFLICT (name) DO UPDATE SET name = ?1, pin = ?2, gone = 0 WHERE gone
                     RETURNING id, name, pin IS NOT NULL AS has_pin",
                    (name, pin),
                    Person::read,
                )
                .optional()?;
            added.ok_or_else(|| PersonError::Known { name: name.into() })
        })
    }

    /// Sets the hash of somebody's PIN, or does away with it.
    ///
    /// # Errors
    /// When nobody of this number works here.
    pub fn set_pin(&self, id: i64, pin: Option<&str>) -> Result<(), PersonError> {
        self.change_person(id, "pin = ?2", pin)
    }

    /// Somebody works here no more. Their PIN is forgotten.
    ///
    /// # Errors
    /// When nobody of this number works here.
    pub fn remove_person(&self, id: i64) -> Result<(), PersonError> {
        self.change_person(id, "pin = ?2, gone = 1", None)
    }

    fn change_person(&self, id: i64, change: &str, pin: Option<&str>) -> Result<(), PersonError> {
        self.write(|connection| {
            let changed =
                connection.execute(&format!("UPDATE people SET {change} WHERE id = ?1 AND NOT gone"), (id, pin))?;
            if changed == 0 { Err(PersonError::Unknown { id }) } else { Ok(()) }
        })
    }
}

#[cfg(test)]
mod tests {
    use super::super::fixture::Kept;
    use super::*;

    #[test]
    fn people_come_and_go_and_their_names_stay_theirs() {
        let kept = Kept::new();
        let ana = kept.add_person("Ana", Some("a hash")).unwrap();
        assert_eq!((ana.name.as_str(), ana.pin), ("Ana", true));
        let ben = kept.add_person("ben", None).unwrap();
        assert!(matches!(kept.add_person("ANA", None), Err(PersonError::Known { name }) if name == "ANA"));
        let kept = kept.reopened();
        assert_eq!(kept.people().unwrap(), [ana.clone(), ben.clone()]);
        assert_eq!(kept.person(ana.id).unwrap(), (ana.clone(), Some("a hash".to_owned())));
        kept.set_pin(ben.id, Some("another")).unwrap();
        kept.set_pin(ana.id, None).unwrap();
        assert_eq!(kept.people().unwrap().iter().map(|person| person.pin).collect::<Vec<_>>(), [false, true]);

        kept.remove_person(ben.id).unwrap();
        assert_eq!(kept.people().unwrap().len(), 1);
        let gone = |outcome| matches!(outcome, Err(PersonError::Unknown { id }) if id == ben.id);
        assert!(
            gone(kept.person(ben.id).map(drop)) && gone(kept.remove_person(ben.id)) && gone(kept.set_pin(ben.id, None))
        );
        // Back again: the same person, with no PIN of before.
        assert_eq!(kept.add_person("Ben", None).unwrap(), Person { name: "Ben".into(), ..ben });
    }
}
