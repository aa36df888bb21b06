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
