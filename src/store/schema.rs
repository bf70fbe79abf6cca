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
const MIGRATIONS: &[M<'static>] = &[M::up(FIRST), M::up(RUNS_AND_SHEETS)];

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

/// The tables as they were released first.
#[cfg(test)]
pub(super) fn first() -> Migrations<'static> {
    Migrations::from_slice(&MIGRATIONS[..1])
}

#[cfg(test)]
mod tests {
    #[test]
    fn migrations_run() {
        super::migrations().validate().unwrap();
    }
}
