"""What goes leaves no trace: rows, the pages that held them, and the log of writes."""

from __future__ import annotations

from collections.abc import Iterable

from fitter.base.errors import FitterError, InputError, Problem
from fitter.history import faults
from fitter.history.records import KINDS, Entry, Fitting, Outcome, Trial, Tried, Visit, kind_of
from fitter.history.store import Store

SHORTEST_KEY = 4
"""Letters of a digest that name an entry, at least."""


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


def chosen(store: Store, player: str, key: str) -> list[Entry]:
    """An entry and what hangs on it, the entry first: nothing is left that was made of what goes.

    With a visit go its decisions and trials, with a decision the outcomes of its promises, with a trial and
    an outcome the balls that told it.

    Parameters
    ----------
    store : Store
    player : str
    key : str
        First letters of the digest.

    Raises
    ------
    InputError
        If no entry of the player, or more than one, begins so.
    """
    code = store.known(player).code
    every = [e for cls in KINDS.values() for e in store.entries(cls, code)]
    # The balls of a trial bear its digest: who names it means the trial.
    named = [e for e in every if e.digest.startswith(key) and not isinstance(e, Tried)]
    if len(key) < SHORTEST_KEY or len(named) != 1:
        found = f"{key!r}, which begins {len(named)} keys" if len(key) >= SHORTEST_KEY else repr(key)
        do = "See `fitter history show` for the keys."
        problem = Problem("KEY", found, f"{SHORTEST_KEY} or more first letters of one key", do)
        raise InputError(f"{code} has no such entry.", [problem])
    going: list[Entry] = [named[0]]
    for e in going:
        going += [other for other in every if _hangs_on(other, e) and other not in going]
    left = {e.tried for e in every if isinstance(e, Outcome) and e not in going}
    told = {e.tried for e in going if isinstance(e, Outcome)} - left
    return [*going, *(e for e in every if isinstance(e, Tried) and e.digest in told and e not in going)]


def _hangs_on(entry: Entry, on: Entry) -> bool:
    if isinstance(on, Visit):
        return isinstance(entry, Fitting | Trial) and entry.visit == on.digest
    if isinstance(on, Fitting):
        return isinstance(entry, Outcome) and entry.fitting == on.digest
    if isinstance(on, Trial):
        return (isinstance(entry, Outcome) and entry.tried == on.digest) or (
            isinstance(entry, Tried) and entry.digest == on.digest
        )
    return False


def remove(store: Store, player: str, going: Iterable[Entry]) -> dict[str, int]:
    """Take entries of a player out, and what they left in the file; counts and errors as of `erase`."""
    counts: dict[str, int] = {}
    with store.writing():
        for entry in going:
            store.remove(player, entry)
            counts[kind_of(entry)] = counts.get(kind_of(entry), 0) + 1
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
            "It is erased, but traces may be left in the file.",
            [Problem(str(store.path), found, "nobody else", do)],
        )
