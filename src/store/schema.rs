//! The tables, and how they came to be: one migration for each time they changed.

use rusqlite_migration::{M, Migrations};

/// Written in the file's header so that brakeside, and `file`, can tell whose it is: `brks`.
pub const APPLICATION_ID: i32 = i32::from_be_bytes(*b"brks");

/// How many migrations there are: the file's `user_version` when it is up to date.
pub const VERSION: u32 = MIGRATIONS.len() as u32;

pub fn migrations() -> Migrations<'static> {
    Migrations::from_slice(MIGRATIONS)
}

/// A released migration is never edited: a store in some shop has run it.
const MIGRATIONS: &[M<'static>] = &[M::up(FIRST), M::up(RUNS_AND_SHEETS), M::up(BENCH)];

const FIRST: &str = "
    -- Orders as received. An order that replaces another takes over its number; the replaced one is kept, so that
    -- its labels, if any were printed, are still known for what they are.
    CREATE TABLE orders (
        id          INTEGER PRIMARY KEY,
        number      TEXT NOT NULL,
        document    TEXT NOT NULL CHECK (json_valid(document)),
        job         TEXT NOT NULL CHECK (json_valid(job)),
        units       TEXT NOT NULL,
        notices     TEXT NOT NULL CHECK (json_valid(notices)),
        received_at INTEGER NOT NULL,  -- ms UTC
        replaced_by INTEGER REFERENCES orders (id) DEFERRABLE INITIALLY DEFERRED
    ) STRICT;
    CREATE UNIQUE INDEX current_orders ON orders (number) WHERE replaced_by IS NULL;

    -- Pieces as planned on the day their order was accepted. A plan could be made again from the order, but a later
    -- version or setting might make it differently, and what was accepted is what gets cut. The columns that lists
    -- need are taken from the record by SQLite itself and cannot disagree with it; the record stands last, so that
    -- lists need not read past it.
    CREATE TABLE pieces (
        code        TEXT PRIMARY KEY,
        order_id    INTEGER NOT NULL REFERENCES orders (id),
        seq         INTEGER NOT NULL CHECK (seq >= 0),  -- the order of cutting, 0 first
        mark        TEXT NOT NULL AS (record ->> '$.mark') STORED,
        wall        TEXT NOT NULL AS (record ->> '$.wall') STORED,
        trim        TEXT NOT NULL AS (record ->> '$.trim') STORED,
        run         INTEGER NOT NULL AS (record ->> '$.run') STORED,
        place       INTEGER NOT NULL AS (record ->> '$.place') STORED,
        places      INTEGER NOT NULL AS (record ->> '$.of') STORED,
        length      TEXT NOT NULL AS (record -> '$.length') STORED,
        length_mm   REAL NOT NULL AS (record ->> '$.length.mm') STORED,
        mass_kg     REAL NOT NULL AS (record ->> '$.mass_kg') STORED,
        steps       INTEGER NOT NULL AS (json_array_length(record, '$.steps')) STORED,
        record      TEXT NOT NULL CHECK (json_valid(record)),
        UNIQUE (order_id, seq)
    ) STRICT;
    -- All that the list of orders asks of a piece, without its record.
    CREATE INDEX piece_sums ON pieces (order_id, length_mm, code, mass_kg);

    -- What happened to each piece, in the order it was recorded: only ever added to.
    CREATE TABLE events (
        seq   INTEGER PRIMARY KEY,
        id    TEXT NOT NULL UNIQUE,  -- chosen by whoever reports it: sent twice, it is recorded once
        code  TEXT NOT NULL REFERENCES pieces (code),
        kind  TEXT NOT NULL AS (event ->> '$.kind') STORED
              CHECK (kind IN ('step', 'bent', 'loaded', 'installed', 'reported')),
        at    INTEGER NOT NULL,  -- ms UTC
        by    TEXT,
        event TEXT NOT NULL CHECK (json_valid(event))
    ) STRICT;
    CREATE INDEX events_of_piece ON events (code, kind);
    CREATE UNIQUE INDEX once_each ON events (code, kind) WHERE kind IN ('bent', 'loaded', 'installed');

    -- AUTOINCREMENT never gives a seq again, and a setting that is set again gets a new one: see revision.rs.
    CREATE TABLE settings (
        seq   INTEGER PRIMARY KEY AUTOINCREMENT,
        key   TEXT NOT NULL UNIQUE,
        value TEXT NOT NULL
    ) STRICT;

    CREATE TRIGGER events_stand BEFORE UPDATE ON events BEGIN SELECT RAISE(ABORT, 'events are only added'); END;
    CREATE TRIGGER events_stay BEFORE DELETE ON events BEGIN SELECT RAISE(ABORT, 'events are only added'); END;
    CREATE TRIGGER pieces_stand BEFORE UPDATE ON pieces BEGIN SELECT RAISE(ABORT, 'pieces stay as accepted'); END;
    CREATE TRIGGER pieces_stay BEFORE DELETE ON pieces BEGIN SELECT RAISE(ABORT, 'pieces stay as accepted'); END;
    ";

/// What was planned beside the pieces. An order accepted before it was planned has none of it.
const RUNS_AND_SHEETS: &str = "
    -- Runs as they will lie, as planned on the day their order was accepted: where their laps and fasteners go. As with
    -- pieces, the columns come from the record, which stands last.
    CREATE TABLE runs (
        order_id    INTEGER NOT NULL REFERENCES orders (id),
        run         INTEGER NOT NULL AS (record ->> '$.run') STORED,
        wall        TEXT NOT NULL AS (record ->> '$.wall') STORED,
        trim        TEXT NOT NULL AS (record ->> '$.trim') STORED,
        length      TEXT NOT NULL AS (record -> '$.length') STORED,
        laps        INTEGER NOT NULL AS (json_array_length(record, '$.laps')) STORED,
        record      TEXT NOT NULL CHECK (json_valid(record)),
        UNIQUE (order_id, run)
    ) STRICT;
    CREATE TRIGGER runs_stand BEFORE UPDATE ON runs BEGIN SELECT RAISE(ABORT, 'runs stay as accepted'); END;
    CREATE TRIGGER runs_stay BEFORE DELETE ON runs BEGIN SELECT RAISE(ABORT, 'runs stay as accepted'); END;

    -- What to buy for the whole order, and how it travels.
    ALTER TABLE orders ADD COLUMN sheet TEXT CHECK (json_valid(sheet));
    ";

/// What a bench needs: pieces made again, labels printed again and their queue, who is working, pieces cut alike.
const BENCH: &str = "
    -- More can happen to a piece. A table's checks cannot be changed: the events move into a new one.
    CREATE TABLE events_new (
        seq   INTEGER PRIMARY KEY,
        id    TEXT NOT NULL UNIQUE,  -- chosen by whoever reports it: sent twice, it is recorded once
        code  TEXT NOT NULL REFERENCES pieces (code),
        kind  TEXT NOT NULL AS (event ->> '$.kind') STORED
              CHECK (kind IN ('step', 'measured', 'bent', 'reopened', 'loaded', 'installed', 'reported', 'remade',
                              'reprinted')),
        at    INTEGER NOT NULL,  -- ms UTC
        by    TEXT,
        event TEXT NOT NULL CHECK (json_valid(event))
    ) STRICT;
    INSERT INTO events_new (seq, id, code, at, by, event) SELECT seq, id, code, at, by, event FROM events ORDER BY seq;
    DROP TABLE events;
    ALTER TABLE events_new RENAME TO events;
    CREATE INDEX events_of_piece ON events (code, kind);
    -- A piece may be bent again after it was taken back to the brake.
    CREATE UNIQUE INDEX once_each ON events (code, kind) WHERE kind IN ('loaded', 'installed', 'remade');
    -- From the new piece to the one it was made in place of, and from a reprinted label to its piece.
    CREATE UNIQUE INDEX remakes ON events (event ->> '$.as') WHERE kind = 'remade';
    CREATE UNIQUE INDEX reprints ON events (event ->> '$.label') WHERE kind = 'reprinted';
    CREATE TRIGGER events_stand BEFORE UPDATE ON events BEGIN SELECT RAISE(ABORT, 'events are only added'); END;
    CREATE TRIGGER events_stay BEFORE DELETE ON events BEGIN SELECT RAISE(ABORT, 'events are only added'); END;

    -- Pieces that are cut alike, each with the first of them in the order of cutting. A piece without a twin is not here.
    CREATE TABLE twins (
        code  TEXT PRIMARY KEY REFERENCES pieces (code),
        first TEXT NOT NULL REFERENCES pieces (code)
    ) STRICT, WITHOUT ROWID;
    CREATE TRIGGER twins_stand BEFORE UPDATE ON twins BEGIN SELECT RAISE(ABORT, 'pieces stay as accepted'); END;
    CREATE TRIGGER twins_stay BEFORE DELETE ON twins BEGIN SELECT RAISE(ABORT, 'pieces stay as accepted'); END;

    -- Who works here. Nobody is deleted: events name them.
    CREATE TABLE people (
        id     INTEGER PRIMARY KEY,
        name   TEXT NOT NULL UNIQUE COLLATE NOCASE,
        pin    TEXT,               -- a salted hash, never the digits
        gone   INTEGER NOT NULL DEFAULT 0 CHECK (gone IN (0, 1))
    ) STRICT;

    -- Labels on their way through the printer, and those that came out.
    CREATE TABLE prints (
        id         INTEGER PRIMARY KEY,
        request    TEXT NOT NULL UNIQUE,  -- chosen by whoever asks: asked twice, it is printed once
        piece      TEXT REFERENCES pieces (code),  -- NULL: the test label
        label      TEXT NOT NULL,         -- the code on it
        once_more  INTEGER NOT NULL CHECK (once_more IN (0, 1)),  -- asked for as a reprint
        by         TEXT,
        at         INTEGER NOT NULL,      -- ms UTC
        state      TEXT NOT NULL
                   CHECK (state IN ('waiting', 'sending', 'sent', 'printed', 'stopped', 'unsure', 'cancelled')),
        -- A person no longer wants what is at the printer.
        called_off INTEGER NOT NULL DEFAULT 0 CHECK (NOT called_off OR state IN ('sending', 'sent')),
        -- Somebody may hold what came of it, whatever became of it since.
        may_be_out INTEGER NOT NULL DEFAULT 0 CHECK (may_be_out IN (0, 1)),
        printer    TEXT,                  -- where it was sent
        job        INTEGER,               -- the printer's number for it
        job_name   TEXT,                  -- what it is called there: another each time it is sent
        said       TEXT NOT NULL DEFAULT '',  -- what the printer said of it last
        changed_at INTEGER NOT NULL       -- ms UTC
    ) STRICT;
    CREATE INDEX prints_of_piece ON prints (piece, id);
    CREATE INDEX prints_open ON prints (id) WHERE state NOT IN ('printed', 'cancelled');

    -- Grows with every change to what is not only added to, and has no number of its own that grows: see revision.rs.
    CREATE TABLE changes (count INTEGER NOT NULL) STRICT;
    INSERT INTO changes (count) VALUES (0);
    CREATE TRIGGER person_added AFTER INSERT ON people BEGIN UPDATE changes SET count = count + 1; END;
    CREATE TRIGGER person_changed AFTER UPDATE ON people BEGIN UPDATE changes SET count = count + 1; END;
    CREATE TRIGGER print_added AFTER INSERT ON prints BEGIN UPDATE changes SET count = count + 1; END;
    CREATE TRIGGER print_changed AFTER UPDATE ON prints BEGIN UPDATE changes SET count = count + 1; END;
    ";

/// The tables as an earlier version knew them.
#[cfg(test)]
pub(super) fn of_version(version: usize) -> Migrations<'static> {
    Migrations::from_slice(&MIGRATIONS[..version])
}

#[cfg(test)]
mod tests {
    use super::super::fixture::of_version;
    use super::super::{Event, RecordError, Recorded, Refusal, State};

    #[test]
    fn migrations_run() {
        super::migrations().validate().unwrap();
    }

    /// A store that was in use before the tables of events were made anew.
    #[test]
    fn an_older_store_keeps_what_happened() {
        for version in [1, 2] {
            let events = [
                r#"{"kind":"step","done":2}"#,
                r#"{"kind":"step","done":8}"#,
                r#"{"kind":"bent"}"#,
                r#"{"kind":"loaded"}"#,
                r#"{"kind":"reported","why":"scratched"}"#,
            ];
            let kept = of_version(version, "A1", &events);
            assert_eq!(kept.verify().unwrap().events, 5);
            let history = kept.history("A1").unwrap();
            assert!(history.iter().all(|row| row.at == 7 && row.by.as_deref() == Some("Ana")));
            assert_eq!(history.iter().map(|row| row.seq).collect::<Vec<_>>(), [1, 2, 3, 4, 5]);
            let happened: Vec<Event> = history.into_iter().map(|row| row.event).collect();
            let why = "scratched".to_owned();
            let reported = Event::Reported { why: why.clone() };
            assert_eq!(happened, [Event::step(2), Event::step(8), Event::bent(), Event::Loaded, reported]);
            let row = kept.piece("A1").unwrap().unwrap().row;
            assert_eq!((row.state, row.done, row.reported), (State::Loaded, 8, Some(why)));
            assert_eq!((row.label.as_str(), row.alike, row.bench, row.measured), ("A1", None, None, None));
            assert_eq!((row.remake_of, row.print, row.said.as_str()), (None, None, ""));

            // It goes on from there, under the same rules.
            assert_eq!(kept.record("A1", &Event::bent(), "event-2", None, 8).unwrap(), Recorded::Again);
            let refused = kept.record("A1", &Event::Loaded, "new", None, 8);
            assert!(matches!(refused, Err(RecordError::Refused(Refusal::AlreadyLoaded { at: 7, .. }))));
            kept.record(
                "A1",
                &Event::Measured { mm: 2700.0, accepted: false, as_wanted: false, bench: None },
                "tape",
                None,
                8,
            )
            .unwrap();
            kept.remake("A1", "scratched", "A2", "again", None, 9).unwrap();
            let kept = kept.reopened();
            assert_eq!(kept.pieces("2041", 0, 9).unwrap()[0].code, "A2");
            kept.verify().unwrap();
        }
    }
}
