"""The file of a shop's memory: opened, read and written, one transaction for what belongs together."""

from __future__ import annotations

import os
import sqlite3
import zlib
from collections.abc import Iterable, Iterator
from contextlib import contextmanager
from pathlib import Path
from types import TracebackType
from typing import Self, TypeVar

import msgspec
from platformdirs import user_data_path

from fitter.base.errors import InputError, Problem
from fitter.history import faults, migrate
from fitter.history.records import KINDS, Entry, Kit, Player, kind_of

E = TypeVar("E", bound=Entry)
S = TypeVar("S", bound=msgspec.Struct)
WAIT_MS = 5000
"""How long a writer waits for another one."""
PAGE_BYTES = 4096
LONGEST_LOG = 200_000_000
"""Bytes of a log that are unpacked: what is larger was not written by this program."""


def usual_path() -> Path:
    """File of the shop where none is named: in the platform's folder of data."""
    return user_data_path("fitter", appauthor=False) / "history.sqlite"


class Store:
    """An open history. Use it in a ``with`` block, from one thread.

    What a method has returned from is on the disk (write-ahead log, every commit synced). Several processes
    may read while one writes; a second writer waits for a few seconds, then says so.

    Parameters
    ----------
    path : Path, optional
        The shop's own when None. Made, with its folder, unless it is opened to read only.
    read_only : bool

    Raises
    ------
    InputError
        If there is no such file, it cannot be opened, is no history, is damaged, or is newer than this
        program.
    """

    def __init__(self, path: Path | None = None, *, read_only: bool = False) -> None:
        self.path = usual_path() if path is None else Path(path)
        self.read_only = read_only
        there = os.path.lexists(self.path)
        empty = self.path.is_file() and not self.path.stat().st_size
        if read_only and (empty or not there):
            do = "Remember a session first: rank ... --remember, or name another file with --history."
            found = "an empty file" if empty else "no such file"
            problem = Problem(str(self.path), found, "a history", do)
            raise InputError("Nothing is remembered yet.", [problem])
        faults.check(self.path)
        with faults.told(self.path):
            self._db = self._open(there)
        try:
            with faults.told(self.path):
                self._begin()
        except BaseException:
            self._db.close()
            raise

    def _open(self, there: bool) -> sqlite3.Connection:
        if not self.read_only:
            self.path.parent.mkdir(parents=True, exist_ok=True, mode=0o700)
        mode = "ro" if self.read_only else "rwc"
        where = f"{self.path.absolute().as_uri()}?mode={mode}"
        wal = self.path.with_name(self.path.name + "-wal")
        if self.read_only and not os.access(self.path.parent, os.W_OK) and not wal.exists():
            # Without a place for its side files SQLite reads a file of this kind only if it cannot change.
            where += "&immutable=1"
        db = sqlite3.connect(where, uri=True, timeout=WAIT_MS / 1000, isolation_level=None)
        if not there and not self.read_only:
            os.chmod(self.path, 0o600)
        return db

    def _begin(self) -> None:
        db = self._db
        if not migrate.is_ours(db):
            raise faults.refused(self.path, "another program's data", "a history of this program")
        found = migrate.version(db)
        if found >= 1:
            lacking = migrate.lacking(db)
            if lacking:
                raise faults.refused(self.path, f"no table {', '.join(lacking)}", "a whole history")
        if found > migrate.VERSION:
            do = "Use the newer fitter, or name another file with --history."
            raise faults.refused(self.path, f"version {found}", f"up to {migrate.VERSION}", do)
        db.execute("PRAGMA foreign_keys = ON")
        db.execute("PRAGMA temp_store = MEMORY")
        if self.read_only:
            if 0 < found < migrate.VERSION:
                do = "Open it once with a command that writes: that brings it up to date."
                raise faults.refused(self.path, f"version {found}", f"version {migrate.VERSION}", do)
            return
        # What is deleted is overwritten, here and in the pages that are free.
        db.execute("PRAGMA secure_delete = ON")
        db.execute("PRAGMA journal_mode = WAL")
        db.execute("PRAGMA synchronous = FULL")
        migrate.bring_up(db)

    def __enter__(self) -> Self:
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        self.close()

    def close(self) -> None:
        """Close the file; it may be called twice."""
        self._db.close()

    @property
    def db(self) -> sqlite3.Connection:
        """The connection, for `transfer` and `erase`."""
        return self._db

    @contextmanager
    def writing(self) -> Iterator[sqlite3.Connection]:
        """All of what is written inside, or nothing; a block within a block is part of the outer one.

        Raises
        ------
        InputError
            If the file cannot be written, or another process writes for too long.
        """
        if self._db.in_transaction:
            yield self._db
            return
        with faults.told(self.path):
            self._db.execute("BEGIN IMMEDIATE")
            try:
                yield self._db
            except BaseException:
                if self._db.in_transaction:
                    self._db.execute("ROLLBACK")
                raise
            self._db.execute("COMMIT")

    # Players

    def players(self) -> list[Player]:
        """All players, by code."""
        with faults.told(self.path):
            rows = self._db.execute("SELECT body FROM player ORDER BY code").fetchall()
        return [self._read(row[0], Player) for row in rows]

    def player(self, code: str) -> Player | None:
        """A player by code, None where there is none."""
        with faults.told(self.path):
            row = self._db.execute("SELECT body FROM player WHERE code = ?", (code,)).fetchone()
        return None if row is None else self._read(row[0], Player)

    def known(self, code: str) -> Player:
        """A player by code.

        Raises
        ------
        InputError
            If there is none, with those that are nearest.
        """
        found = self.player(code)
        if found is None:
            codes = [p.code for p in self.players()]
            near = [c for c in codes if code.casefold() in c.casefold()] or codes
            told = ", ".join(near[:8]) + " ..." * (len(near) > 8) if near else "none is remembered yet"
            problem = Problem("PLAYER", repr(code), told, "Name a player of `fitter history players`.")
            raise InputError(f"No player {code!r} is remembered.", [problem])
        return found

    def write_player(self, player: Player) -> None:
        """Add a player, or put another record in the place of his."""
        with self.writing() as db:
            db.execute(
                "INSERT INTO player (code, body) VALUES (?, ?) "
                "ON CONFLICT (code) DO UPDATE SET body = excluded.body",
                (player.code, msgspec.json.encode(player)),
            )

    # Entries

    def remember(
        self,
        player: Player,
        entries: Iterable[Entry],
        logs: dict[str, bytes] | None = None,
        kits: Iterable[Kit] = (),
        *,
        renew: bool = False,
    ) -> int:
        """Add entries of one player, all or none; one that is there already is not added again.

        Parameters
        ----------
        player : Player
            Added if he is not there; his record is kept if he is.
        entries : iterable of Visit, Fitting, Trial, Outcome or Card
        logs : dict of str to bytes, optional
            Bytes of logs by the digest of their visit.
        kits : iterable of Kit
        renew : bool
            Put entries in the place of those of the same digest: a trial after another ball, a fitting with
            what was chosen, a visit with its log.

        Returns
        -------
        int
            Entries that were not there before.
        """
        new = 0
        with self.writing() as db:
            for kit in kits:
                row = (kit.digest, zlib.compress(msgspec.json.encode(kit)))
                db.execute("INSERT OR IGNORE INTO kit (digest, body) VALUES (?, ?)", row)
            db.execute(
                "INSERT OR IGNORE INTO player (code, body) VALUES (?, ?)",
                (player.code, msgspec.json.encode(player)),
            )
            who = db.execute("SELECT id FROM player WHERE code = ?", (player.code,)).fetchone()[0]
            for entry in entries:
                new += self._add(db, who, entry, logs or {}, renew)
        return new

    def _add(
        self, db: sqlite3.Connection, who: int, entry: Entry, logs: dict[str, bytes], renew: bool
    ) -> int:
        kind, body = kind_of(entry), msgspec.json.encode(entry)
        row = (who, kind, entry.digest, entry.day, body)
        added = db.execute(
            "INSERT OR IGNORE INTO entry (player, kind, digest, day, body) VALUES (?, ?, ?, ?, ?)", row
        )
        if added.rowcount:
            at = added.lastrowid
        elif renew:
            which = (who, kind, entry.digest)
            db.execute(
                "UPDATE entry SET body = ?, day = ? WHERE player = ? AND kind = ? AND digest = ?",
                (body, entry.day, *which),
            )
            at = db.execute(
                "SELECT id FROM entry WHERE player = ? AND kind = ? AND digest = ?", which
            ).fetchone()[0]
        else:
            return 0
        if kind == "visit" and entry.digest in logs:
            packed = zlib.compress(logs[entry.digest])
            db.execute("INSERT OR REPLACE INTO log (entry, bytes) VALUES (?, ?)", (at, packed))
        return added.rowcount

    def entries(self, cls: type[E], player: str | None = None, last: int | None = None) -> list[E]:
        """Entries of a kind, by day, then in the order in which they were added.

        Parameters
        ----------
        cls : type
            `Visit`, `Fitting`, `Trial`, `Outcome` or `Card`.
        player : str, optional
            Those of one player; of all when None.
        last : int, optional
            Only the last so many.
        """
        kind = next(name for name, known in KINDS.items() if known is cls)
        sql, values = "SELECT e.body FROM entry e WHERE e.kind = ?", [kind]
        if player is not None:
            sql += " AND e.player = (SELECT id FROM player WHERE code = ?)"
            values.append(player)
        sql += " ORDER BY e.day DESC, e.id DESC" + (f" LIMIT {int(last)}" if last is not None else "")
        with faults.told(self.path):
            rows = self._db.execute(sql, values).fetchall()
        return [self._read(row[0], cls) for row in reversed(rows)]

    def entry(self, cls: type[E], player: str, digest: str) -> E | None:
        """One entry of a player by its digest, None where there is none."""
        kind = next(name for name, known in KINDS.items() if known is cls)
        with faults.told(self.path):
            row = self._db.execute(
                "SELECT e.body FROM entry e JOIN player p ON p.id = e.player "
                "WHERE p.code = ? AND e.kind = ? AND e.digest = ?",
                (player, kind, digest),
            ).fetchone()
        return None if row is None else self._read(row[0], cls)

    def remove(self, player: str, entry: Entry) -> None:
        """Take one entry of a player out, a visit with its log; `erase.sweep` clears what is left of it."""
        with self.writing() as db:
            db.execute(
                "DELETE FROM entry WHERE kind = ? AND digest = ? "
                "AND player = (SELECT id FROM player WHERE code = ?)",
                (kind_of(entry), entry.digest, player),
            )

    def counts(self) -> dict[str, dict[str, int]]:
        """Entries of each player by kind, and the day of the last one under 'day'."""
        with faults.told(self.path):
            rows = self._db.execute(
                "SELECT p.code, e.kind, count(*) FROM entry e JOIN player p ON p.id = e.player "
                "GROUP BY p.id, e.kind"
            ).fetchall()
        found: dict[str, dict[str, int]] = {}
        for code, kind, n in rows:
            found.setdefault(code, {})[kind] = n
        return found

    def last_days(self) -> dict[str, str]:
        """Day of the last visit of each player who has one."""
        with faults.told(self.path):
            rows = self._db.execute(
                "SELECT p.code, max(e.day) FROM entry e JOIN player p ON p.id = e.player "
                "WHERE e.kind = 'visit' GROUP BY p.id"
            ).fetchall()
        return dict(rows)

    def log(self, player: str, digest: str) -> bytes | None:
        """Bytes of a visit's log, None where none is kept."""
        with faults.told(self.path):
            row = self._db.execute(
                "SELECT l.bytes FROM log l JOIN entry e ON e.id = l.entry JOIN player p ON p.id = e.player "
                "WHERE p.code = ? AND e.kind = 'visit' AND e.digest = ?",
                (player, digest),
            ).fetchone()
        return None if row is None else self._unpacked(row[0])

    def kit(self, digest: str) -> Kit | None:
        """A kit as it was, None where it is not kept."""
        with faults.told(self.path):
            row = self._db.execute("SELECT body FROM kit WHERE digest = ?", (digest,)).fetchone()
        return None if row is None else self._read(self._unpacked(row[0]), Kit)

    def _unpacked(self, packed: bytes) -> bytes:
        unpack = zlib.decompressobj()
        try:
            found = unpack.decompress(packed, LONGEST_LOG)
        except zlib.error as error:
            raise faults.refused(
                self.path, f"bytes that cannot be unpacked ({error})", "as written"
            ) from None
        if unpack.unconsumed_tail:
            raise faults.refused(self.path, "a log beyond all measure", "as written")
        return found

    def _read(self, body: bytes, cls: type[S]) -> S:
        try:
            return msgspec.json.decode(body, type=cls)
        except msgspec.DecodeError as error:
            raise faults.refused(self.path, f"a record that cannot be read ({error})", "as written") from None
