"""Schemas of the file, each a step from the one before: an old file is brought up, a newer one refused."""

from __future__ import annotations

import sqlite3

APPLICATION = 0x66697474
"""Number in the file's header by which it is known ('fitt')."""
STEPS = (
    """
    CREATE TABLE player (
        id INTEGER PRIMARY KEY,
        code TEXT NOT NULL UNIQUE COLLATE NOCASE,
        body BLOB NOT NULL
    );
    CREATE TABLE entry (
        id INTEGER PRIMARY KEY,
        player INTEGER NOT NULL REFERENCES player(id) ON DELETE CASCADE,
        kind TEXT NOT NULL,
        digest TEXT NOT NULL,
        day TEXT NOT NULL,
        body BLOB NOT NULL,
        UNIQUE (player, kind, digest)
    );
    CREATE TABLE log (
        entry INTEGER PRIMARY KEY REFERENCES entry(id) ON DELETE CASCADE,
        bytes BLOB NOT NULL
    );
    """,
    """
    CREATE TABLE kit (
        digest TEXT PRIMARY KEY,
        body BLOB NOT NULL
    );
    CREATE INDEX entry_of_kind ON entry (kind, day);
    CREATE INDEX entry_of_player ON entry (player, kind, day);
    """,
)
"""SQL of each step; a file of version n has gone through the first n. A released step never changes."""
VERSION = len(STEPS)
"""Schema that this program writes."""


def version(db: sqlite3.Connection) -> int:
    """Schema of a file, 0 where it is new."""
    return int(db.execute("PRAGMA user_version").fetchone()[0])


def lacking(db: sqlite3.Connection) -> list[str]:
    """Tables that a file of its version should have and has not."""
    there = {row[0] for row in db.execute("SELECT name FROM sqlite_master WHERE type = 'table'")}
    wanted = ("player", "entry", "log", *(("kit",) if version(db) > 1 else ()))
    return [name for name in wanted if name not in there]


def is_ours(db: sqlite3.Connection) -> bool:
    """Whether a file is a history: by its mark, or because nothing is in it yet."""
    if int(db.execute("PRAGMA application_id").fetchone()[0]) == APPLICATION:
        return True
    empty = db.execute("SELECT count(*) FROM sqlite_master").fetchone()[0] == 0
    return bool(empty) and version(db) == 0


def bring_up(db: sqlite3.Connection) -> int:
    """Take the steps that a file lacks, all or none of them.

    Parameters
    ----------
    db : sqlite3.Connection
        In autocommit mode, of a file that `is_ours` and is not newer than this program.

    Returns
    -------
    int
        Version that it had.
    """
    before = version(db)
    if before >= VERSION:
        return before
    db.execute("BEGIN IMMEDIATE")
    try:
        # Another process may have taken the steps while this one waited.
        for step in STEPS[version(db) :]:
            for statement in filter(None, (s.strip() for s in step.split(";"))):
                db.execute(statement)
        db.execute(f"PRAGMA application_id = {APPLICATION}")
        db.execute(f"PRAGMA user_version = {VERSION}")
        db.execute("COMMIT")
    except BaseException:
        db.execute("ROLLBACK")
        raise
    return before
