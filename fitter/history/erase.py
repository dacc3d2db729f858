"""A player leaves no trace: his rows, the pages that held them, and the log of writes."""

from __future__ import annotations

from fitter.base.errors import FitterError, Problem
from fitter.history import faults
from fitter.history.store import Store


def erase(store: Store, player: str) -> dict[str, int]:
    """Erase a player with everything of him.

    Deleted rows are overwritten (`PRAGMA secure_delete`), the log of writes is emptied into the file, and
    the file is written anew, so that no page of before is left. Kits are the shop's and stay.

    Returns
    -------
    dict of str to int
        Entries that went, by kind.

    Raises
    ------
    InputError
        If there is no such player, or another process writes.
    FitterError
        If another process has the file open, so that traces may be left: do it again then.
    """
    code = store.known(player).code
    counts = store.counts().get(code, {})
    with store.writing() as db:
        db.execute("DELETE FROM player WHERE code = ?", (code,))
    sweep(store)
    return counts


def sweep(store: Store) -> None:
    """Write the file anew and empty the log of writes; also after an erasure that was cut short.

    Raises
    ------
    FitterError
        If another process has the file open.
    """
    with faults.told(store.path):
        store.db.execute("VACUUM")
        busy = store.db.execute("PRAGMA wal_checkpoint(TRUNCATE)").fetchone()[0]
    if busy:
        do = "Close the other programs that use it, then erase again: nothing else is missing."
        found = "another process that reads it"
        raise FitterError(
            "The player is erased, but traces may be left in the file.",
            [Problem(str(store.path), found, "nobody else", do)],
        )
