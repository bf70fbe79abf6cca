//! What can happen to a piece, and how far it is in consequence.

use rusqlite::{Connection, OptionalExtension};
use serde::{Deserialize, Serialize};

use super::column::Json;
use super::{Reader, StoreError};

/// Something that happened to a piece.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(tag = "kind", rename_all = "kebab-case", deny_unknown_fields)]
pub enum Event {
    /// So many of the piece's steps are done now; fewer than before when the fabricator went back.
    Step { done: usize },
    /// Finished at the brake, label stuck on.
    Bent,
    /// On the van.
    Loaded,
    /// Sealed and fastened.
    Installed,
    /// Something is wrong with it.
    Reported { why: String },
}

/// How far a piece is: the furthest of what happened to it.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum State {
    Waiting,
    /// Some of its steps are done.
    Started,
    Bent,
    Loaded,
    Installed,
}

/// One line of a piece's history.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct EventRow {
    /// Grows with time over all pieces.
    pub seq: i64,
    pub id: String,
    /// Milliseconds UTC.
    pub at: i64,
    pub by: Option<String>,
    #[serde(flatten)]
    pub event: Event,
}

/// What the events of piece `p` come to, as SQL columns. Each is one look into the index `events_of_piece`.
///
/// Of repeated events, steps and reports, the latest counts.
pub const FACTS: &str = "
    EXISTS (SELECT 1 FROM events WHERE code = p.code AND kind = 'bent') AS bent,
    EXISTS (SELECT 1 FROM events WHERE code = p.code AND kind = 'loaded') AS loaded,
    EXISTS (SELECT 1 FROM events WHERE code = p.code AND kind = 'installed') AS installed,
    IFNULL((SELECT event ->> '$.done' FROM events WHERE code = p.code AND kind = 'step'
            ORDER BY seq DESC LIMIT 1), 0) AS done,
    (SELECT event ->> '$.why' FROM events WHERE code = p.code AND kind = 'reported'
     ORDER BY seq DESC LIMIT 1) AS reported";

impl State {
    /// From the columns of [`FACTS`]. A piece may be installed that nobody scanned at the van.
    pub fn of(done: usize, bent: bool, loaded: bool, installed: bool) -> Self {
        match (installed, loaded, bent, done) {
            (true, ..) => Self::Installed,
            (_, true, ..) => Self::Loaded,
            (_, _, true, _) => Self::Bent,
            (.., 0) => Self::Waiting,
            _ => Self::Started,
        }
    }
}

impl Reader {
    /// Everything that happened to a piece, first to last. Empty for an unknown code.
    pub fn history(&self, code: &str) -> Result<Vec<EventRow>, StoreError> {
        let connection = self.connection();
        let mut query =
            connection.prepare_cached("SELECT seq, id, at, by, event FROM events WHERE code = ? ORDER BY seq")?;
        let rows = query.query_map([code], |row| {
            Ok(EventRow {
                seq: row.get("seq")?,
                id: row.get("id")?,
                at: row.get("at")?,
                by: row.get("by")?,
                event: row.get::<_, Json<Event>>("event")?.0,
            })
        })?;
        Ok(rows.collect::<Result<_, _>>()?)
    }
}

/// When and by whom the one event of this kind was recorded.
pub(super) fn once(connection: &Connection, code: &str, kind: &str) -> rusqlite::Result<Option<(i64, Option<String>)>> {
    connection
        .prepare_cached("SELECT at, by FROM events WHERE code = ? AND kind = ?")?
        .query_row([code, kind], |row| Ok((row.get("at")?, row.get("by")?)))
        .optional()
}

#[cfg(test)]
mod tests {
    use super::super::fixture::Kept;
    use super::*;

    #[test]
    fn events_are_only_added() {
        let kept = Kept::with(&["A1"]);
        kept.record("A1", &Event::Bent, "e1", None, 5).unwrap();
        let writer = kept.writer.lock().unwrap();
        for change in [
            "UPDATE events SET at = 6",
            "DELETE FROM events",
            "UPDATE pieces SET code = 'A2'",
            "DELETE FROM pieces",
            // The rules hold in the file too, should a later program forget one.
            r#"INSERT INTO events (id, code, at, event) VALUES ('e2', 'A1', 6, '{"kind":"bent"}')"#,
            r#"INSERT INTO events (id, code, at, event) VALUES ('e2', 'A1', 6, '{"kind":"sold"}')"#,
            r#"INSERT INTO events (id, code, at, event) VALUES ('e2', 'A9', 6, '{"kind":"bent"}')"#,
        ] {
            assert!(writer.execute(change, []).is_err(), "{change}");
        }
        drop(writer);
        let history = kept.history("A1").unwrap();
        assert_eq!(history, [EventRow { seq: 1, id: "e1".into(), at: 5, by: None, event: Event::Bent }]);
    }

    #[test]
    fn history_keeps_every_word() {
        let kept = Kept::with(&["A1", "A2"]);
        let said = [
            Event::Step { done: 2 },
            Event::Step { done: 1 },
            Event::Bent,
            Event::Reported { why: "hem split; \"left\" end — ½ in".into() },
        ];
        for (n, event) in said.iter().enumerate() {
            kept.record("A1", event, &n.to_string(), Some("Ana"), 7).unwrap();
        }
        let kept = kept.reopened();
        let history = kept.history("A1").unwrap();
        assert!(history.iter().all(|row| row.at == 7 && row.by.as_deref() == Some("Ana")));
        assert_eq!(history.into_iter().map(|row| row.event).collect::<Vec<_>>(), said);
        assert!(kept.history("A2").unwrap().is_empty());
    }
}
