//! What can happen to a piece, and how far it is in consequence.

use rusqlite::{Connection, OptionalExtension};
use serde::{Deserialize, Serialize};

use super::column::Json;
use super::{Reader, StoreError};

/// Something that happened to a piece.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(tag = "kind", rename_all = "kebab-case", deny_unknown_fields)]
pub enum Event {
    /// So many of the piece's steps are done now; fewer than before when the fabricator went back.
    Step {
        done: usize,
        /// Who holds the piece from now on; nobody when no bench says it.
        #[serde(skip_serializing_if = "Option::is_none", default)]
        bench: Option<Bench>,
        /// Though another bench holds it.
        #[serde(skip_serializing_if = "std::ops::Not::not", default)]
        take_over: bool,
        /// That bench holds it no longer.
        #[serde(skip_serializing_if = "std::ops::Not::not", default)]
        let_go: bool,
    },
    /// The finished length as a tape said it.
    Measured {
        mm: f64,
        /// Taken though it is out of tolerance.
        accepted: bool,
        /// Said to be as it should be; no reading was taken.
        #[serde(skip_serializing_if = "std::ops::Not::not", default)]
        as_wanted: bool,
        /// On whose brake the piece was measured; none when no bench says it.
        #[serde(skip_serializing_if = "Option::is_none", default)]
        bench: Option<Bench>,
    },
    /// Finished at the brake, label stuck on.
    Bent {
        #[serde(skip_serializing_if = "Option::is_none", default)]
        bench: Option<Bench>,
    },
    /// Taken back to the brake: not bent after all.
    Reopened,
    /// On the van.
    Loaded,
    /// Sealed and fastened.
    Installed,
    /// Something is wrong with it.
    Reported { why: String },
    /// Another piece is made in place of this one: see [`Store::remake`](super::Store::remake).
    Remade {
        why: String,
        /// The new piece's code.
        r#as: String,
    },
    /// Its label is printed again with a new code: see [`Store::ask_reprint`](super::Store::ask_reprint).
    Reprinted { label: String },
}

/// A bench: one screen beside one brake.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct Bench {
    /// Its own for ever, whatever it is called.
    pub id: String,
    pub name: String,
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
#[derive(Debug, Clone, PartialEq, Serialize)]
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

/// What the events of piece `p` come to, as SQL columns. Each is a look or two into the index `events_of_piece`.
///
/// Of repeated events, steps and reports, the latest counts; a piece taken back to the brake is bent when it is bent again.
pub const FACTS: &str = "
    EXISTS (SELECT 1 FROM events b WHERE code = p.code AND kind = 'bent'
            AND NOT EXISTS (SELECT 1 FROM events WHERE code = p.code AND kind = 'reopened' AND seq > b.seq)) AS bent,
    EXISTS (SELECT 1 FROM events WHERE code = p.code AND kind = 'loaded') AS loaded,
    EXISTS (SELECT 1 FROM events WHERE code = p.code AND kind = 'installed') AS installed,
    (SELECT event FROM events WHERE code = p.code AND kind = 'step' ORDER BY seq DESC LIMIT 1) AS step,
    (SELECT event ->> '$.why' FROM events WHERE code = p.code AND kind = 'reported'
     ORDER BY seq DESC LIMIT 1) AS reported";

/// Whether piece `p` still stands, as an SQL condition: no other was made in its place.
pub const STANDS: &str = "NOT EXISTS (SELECT 1 FROM events WHERE code = p.code AND kind = 'remade')";

impl Event {
    /// A step that no bench says it did.
    pub const fn step(done: usize) -> Self {
        Self::Step { done, bench: None, take_over: false, let_go: false }
    }

    /// Finished, no bench says where.
    pub const fn bent() -> Self {
        Self::Bent { bench: None }
    }
}

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

/// When and by whom an event of this kind was recorded last, since the piece was last taken back to the brake.
pub(super) fn standing(
    connection: &Connection,
    code: &str,
    kind: &str,
) -> rusqlite::Result<Option<(i64, Option<String>)>> {
    connection
        .prepare_cached(
            "SELECT at, by FROM events WHERE code = ?1 AND kind = ?2
                    AND seq > IFNULL((SELECT MAX(seq) FROM events WHERE code = ?1 AND kind = 'reopened'), 0)
             ORDER BY seq DESC LIMIT 1",
        )?
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
        kept.record("A1", &Event::bent(), "e1", None, 5).unwrap();
        kept.record("A1", &Event::Loaded, "e2", None, 6).unwrap();
        let writer = kept.writer.lock().unwrap();
        for change in [
            "UPDATE events SET at = 6",
            "DELETE FROM events",
            "UPDATE pieces SET code = 'A2'",
            "DELETE FROM pieces",
            // The rules hold in the file too, should a later program forget one.
            r#"INSERT INTO events (id, code, at, event) VALUES ('e3', 'A1', 6, '{"kind":"loaded"}')"#,
            r#"INSERT INTO events (id, code, at, event) VALUES ('e3', 'A1', 6, '{"kind":"sold"}')"#,
            r#"INSERT INTO events (id, code, at, event) VALUES ('e3', 'A9', 6, '{"kind":"bent"}')"#,
        ] {
            assert!(writer.execute(change, []).is_err(), "{change}");
        }
        drop(writer);
        let row = |seq, id: &str, at, event| EventRow { seq, id: id.into(), at, by: None, event };
        let history = kept.history("A1").unwrap();
        assert_eq!(history, [row(1, "e1", 5, Event::bent()), row(2, "e2", 6, Event::Loaded)]);
    }

    #[test]
    fn history_keeps_every_word() {
        let kept = Kept::with(&["A1", "A2"]);
        let bench = Bench { id: "b-1".into(), name: "By the door".into() };
        let said = [
            Event::Step { done: 2, bench: Some(bench.clone()), take_over: true, let_go: false },
            Event::Step { done: 2, bench: Some(bench.clone()), take_over: false, let_go: true },
            Event::step(1),
            Event::Measured { mm: 3000.125, accepted: false, as_wanted: false, bench: None },
            Event::Measured { mm: 3000.0, accepted: false, as_wanted: true, bench: Some(bench.clone()) },
            Event::Bent { bench: Some(bench) },
            Event::Reopened,
            Event::bent(),
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

    /// As the program wrote them before benches were told apart.
    #[test]
    fn earlier_events_read_as_said_by_no_bench() {
        let read = |text| serde_json::from_str::<Event>(text).unwrap();
        assert_eq!(read(r#"{"kind":"step","done":3}"#), Event::step(3));
        assert_eq!(read(r#"{"kind":"bent"}"#), Event::bent());
        assert_eq!(serde_json::to_string(&Event::step(3)).unwrap(), r#"{"kind":"step","done":3}"#);
        assert_eq!(serde_json::to_string(&Event::bent()).unwrap(), r#"{"kind":"bent"}"#);
        let measured = r#"{"kind":"measured","mm":3000.0,"accepted":false}"#;
        assert_eq!(serde_json::to_string(&read(measured)).unwrap(), measured);
    }
}
