"""How the store's tables came to be: small named steps, each applied once, never edited.

Imported only while a step is missing, because sqlite-utils is slow to load.
"""

import sqlite3

from sqlite_utils import Database, Migrations

from cavewatch.store.database import APPLICATION, VERSION

steps = Migrations("cavewatch")


def migrate(connection: sqlite3.Connection) -> None:
    """Apply the missing steps within the caller's transaction: all of them or none.

    The transaction holds the write lock, so that two processes which open a
    new file at once do not both build it.
    """
    steps.apply(Database(connection, execute_plugins=False))
    connection.execute(f"PRAGMA user_version = {VERSION}")


@steps()
def first_tables(db: Database) -> None:
    """Readings with their roll-ups, the journal, alarm transitions and countdowns."""
    db.execute(f"PRAGMA application_id = {APPLICATION}")
    db.executescript(
        """
        CREATE TABLE meta (
            key TEXT PRIMARY KEY,
            value TEXT NOT NULL
        ) STRICT, WITHOUT ROWID;

        CREATE TABLE channel (
            id INTEGER PRIMARY KEY,
            place TEXT NOT NULL,
            quantity TEXT NOT NULL,
            newest INTEGER NOT NULL, -- ts of the newest reading
            UNIQUE (place, quantity)
        ) STRICT;

        CREATE TABLE reading (
            ts INTEGER NOT NULL, -- s since 1970 UTC
            ch INTEGER NOT NULL, -- channel.id
            v INTEGER, -- hundredths of degC or %; NULL where the sensor had no value
            st TEXT, -- NE 107 letter; NULL for good
            PRIMARY KEY (ts, ch)
        ) STRICT, WITHOUT ROWID;

        CREATE TABLE minute (
            ts INTEGER NOT NULL, -- when the minute begins
            ch INTEGER NOT NULL,
            n INTEGER NOT NULL, -- readings with a value
            sum INTEGER NOT NULL, -- hundredths, as are min and max
            min INTEGER NOT NULL,
            max INTEGER NOT NULL,
            PRIMARY KEY (ts, ch)
        ) STRICT, WITHOUT ROWID;

        CREATE TABLE hour (
            ts INTEGER NOT NULL, -- when the hour begins
            ch INTEGER NOT NULL,
            n INTEGER NOT NULL,
            sum INTEGER NOT NULL,
            min INTEGER NOT NULL,
            max INTEGER NOT NULL,
            PRIMARY KEY (ts, ch)
        ) STRICT, WITHOUT ROWID;

        CREATE TABLE journal (
            id INTEGER PRIMARY KEY,
            at REAL NOT NULL, -- when it happened, s since 1970 UTC
            written REAL NOT NULL,
            "by" TEXT NOT NULL, -- initials
            kind TEXT NOT NULL,
            plain TEXT NOT NULL -- the act as JSON
        ) STRICT;

        CREATE TABLE alarm (
            id INTEGER PRIMARY KEY,
            key TEXT NOT NULL,
            at REAL NOT NULL,
            state TEXT NOT NULL, -- after the transition
            plain TEXT NOT NULL -- the transition as JSON
        ) STRICT;
        CREATE INDEX alarm_key ON alarm (key);
        CREATE INDEX alarm_at ON alarm (at);

        CREATE TABLE countdown (
            wheel INTEGER PRIMARY KEY,
            plain TEXT NOT NULL -- the countdown as JSON
        ) STRICT;
        """
    )
    for table in ("journal", "alarm"):
        _append_only(db, table)


def _append_only(db: Database, table: str) -> None:
    """Let no program change, delete or replace a row."""
    db.executescript(
        f"""
        CREATE TRIGGER {table}_update BEFORE UPDATE ON {table} BEGIN
            SELECT raise(ABORT, '{table} is append-only: a row is never changed');
        END;
        CREATE TRIGGER {table}_delete BEFORE DELETE ON {table} BEGIN
            SELECT raise(ABORT, '{table} is append-only: a row is never deleted');
        END;
        -- INSERT OR REPLACE deletes without telling the trigger above.
        CREATE TRIGGER {table}_replace BEFORE INSERT ON {table}
        WHEN EXISTS (SELECT 1 FROM {table} WHERE id = NEW.id) BEGIN
            SELECT raise(ABORT, '{table} is append-only: a row is never replaced');
        END;
        """
    )


@steps()
def clocks(db: Database) -> None:
    """Under which clock rows are written, and where those belong that were unsure of theirs."""
    db.executescript(
        """
        ALTER TABLE journal ADD COLUMN boot TEXT; -- of the machine; NULL where it is not known
        ALTER TABLE journal ADD COLUMN up REAL; -- when it was written, s since that boot
        ALTER TABLE journal ADD COLUMN unsure INTEGER NOT NULL DEFAULT 0; -- clock was not set
        ALTER TABLE journal ADD COLUMN typed INTEGER NOT NULL DEFAULT 0; -- 'at' never moves

        ALTER TABLE alarm ADD COLUMN boot TEXT;
        ALTER TABLE alarm ADD COLUMN up REAL;
        ALTER TABLE alarm ADD COLUMN unsure INTEGER NOT NULL DEFAULT 0;
        ALTER TABLE alarm ADD COLUMN since_up REAL; -- of its 'since', where that is unsure too
        ALTER TABLE alarm ADD COLUMN called_up REAL; -- of its 'called', likewise
        CREATE INDEX alarm_unsure ON alarm (boot) WHERE unsure;

        ALTER TABLE channel ADD COLUMN sure INTEGER NOT NULL DEFAULT 0; -- newest by a sure clock
        ALTER TABLE channel ADD COLUMN unplaced INTEGER; -- unplaced.id of one after newest

        CREATE TABLE placing (
            id INTEGER PRIMARY KEY,
            boot TEXT NOT NULL,
            until_up REAL NOT NULL, -- places what was noted unsure up to then, s since that boot
            offset REAL NOT NULL, -- added to s since that boot it gives s since 1970 UTC
            sure INTEGER NOT NULL, -- 1 if the clock was right from then on
            written REAL NOT NULL, -- s since 1970 UTC, by the clock as it was then
            how TEXT NOT NULL -- who set the clock
        ) STRICT;

        CREATE TABLE unplaced (
            id INTEGER PRIMARY KEY,
            boot TEXT NOT NULL,
            up REAL NOT NULL, -- s since that boot
            ch INTEGER NOT NULL,
            ts INTEGER NOT NULL, -- its place in 'reading'
            v INTEGER,
            st TEXT,
            stands INTEGER NOT NULL -- 0 where its place was taken
        ) STRICT;
        """
    )
    _append_only(db, "placing")


@steps()
def days(db: Database) -> None:
    """Roll-ups by the day (UTC), so that years are read as quickly as a week."""
    db.executescript(
        """
        CREATE TABLE day (
            ts INTEGER NOT NULL, -- when the day begins
            ch INTEGER NOT NULL,
            n INTEGER NOT NULL,
            sum INTEGER NOT NULL,
            min INTEGER NOT NULL,
            max INTEGER NOT NULL,
            PRIMARY KEY (ts, ch)
        ) STRICT, WITHOUT ROWID;

        INSERT INTO day (ts, ch, n, sum, min, max)
        SELECT ts / 86400 * 86400, ch, sum(n), sum(sum), min(min), max(max) FROM hour
        GROUP BY 1, 2;
        """
    )
