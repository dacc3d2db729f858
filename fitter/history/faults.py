"""What can go wrong with the file, said in sentences: damaged, full, busy, protected, newer, not ours."""

from __future__ import annotations

import sqlite3
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from fitter.base.errors import InputError, Problem

MAGIC = b"SQLite format 3\x00"
BACKUP = (
    "Put a backup in its place (`fitter history backup` makes them), or name another file with --history."
)
_BUSY = (sqlite3.SQLITE_BUSY, sqlite3.SQLITE_LOCKED)
_WHAT = {
    sqlite3.SQLITE_FULL: ("no room on the disk", "a disk with room", "Make room; nothing was written."),
    sqlite3.SQLITE_IOERR: (
        "an error of the disk", "a disk that works", "Check disk and room; nothing was written.",
    ),
    sqlite3.SQLITE_READONLY: (
        "a file or folder that is write-protected", "one that can be written",
        "Change its permissions, or name another file with --history.",
    ),
    sqlite3.SQLITE_CANTOPEN: (
        "a file that cannot be opened", "one that can be read and written",
        "Check the folder and its permissions, or name another file with --history.",
    ),
    sqlite3.SQLITE_CORRUPT: ("a damaged file", "a whole one", BACKUP),
    sqlite3.SQLITE_NOTADB: ("a file of another kind", "a history of this program", BACKUP),
}  # fmt: skip


def refused(path: Path, found: str, allowed: str, do: str = BACKUP) -> InputError:
    """Return an error about the file as a whole; it is left as it is."""
    message = f"{path} cannot be used as a history; it is left as it is."
    return InputError(message, [Problem(str(path), found, allowed, do)])


def check(path: Path) -> None:
    """Refuse what is no file of SQLite, or is shorter than it says of itself.

    Raises
    ------
    InputError
        Before it is opened, so that nothing is changed.
    """
    if path.is_dir():
        raise refused(path, "a folder", "a file", "Add the file's name.")
    if path.exists() and not path.is_file():
        raise refused(path, "no ordinary file", "a file", "Name another file with --history.")
    try:
        size = path.stat().st_size
        with path.open("rb") as file:
            head = file.read(100)
    except FileNotFoundError:
        return
    except OSError as error:
        do = "Check the path and its permissions, or name another file with --history."
        raise refused(path, error.strerror or str(error), "a file that can be read", do) from None
    if not head:
        return
    if not head.startswith(MAGIC) or len(head) < 100:
        raise refused(path, "a file of another kind, or a damaged one", "a history of this program")
    page = int.from_bytes(head[16:18], "big")
    pages = int.from_bytes(head[28:32], "big")
    wal = path.with_name(path.name + "-wal")
    # While a log of writes waits, the file itself may be behind.
    if size < (65536 if page == 1 else page) * pages and not (wal.exists() and wal.stat().st_size):
        raise refused(path, f"{size:,} of {page * pages:,} bytes: its end is missing", "a whole file")


@contextmanager
def told(path: Path) -> Iterator[None]:
    """Turn errors of SQLite and of the file system into sentences."""
    try:
        yield
    except sqlite3.Error as error:
        # The low byte is the kind; the rest says more than anybody reads.
        code = (getattr(error, "sqlite_errorcode", None) or 0) & 0xFF
        if code in _BUSY:
            do = "Wait until it has done, then do it again; nothing was written."
            problem = Problem(str(path), "another process that writes", "one writer at a time", do)
            raise InputError(f"{path} is in use.", [problem]) from None
        if code in _WHAT:
            found, allowed, do = _WHAT[code]
            raise InputError(f"{path} cannot be used.", [Problem(str(path), found, allowed, do)]) from None
        raise
    except OSError as error:
        do = "Check the folder and its permissions, or name another file with --history."
        problem = Problem(str(path), error.strerror or str(error), "a file that can be written", do)
        raise InputError(f"{path} cannot be used.", [problem]) from None
