"""A history as plain files: export and import of players, and a backup of the whole."""

from __future__ import annotations

import sqlite3
from collections.abc import Sequence
from datetime import date
from pathlib import Path

import msgspec

from fitter.base import sources
from fitter.base.errors import InputError, Problem, raise_if
from fitter.base.files import write_whole
from fitter.history import faults
from fitter.history.records import KINDS, Card, Entry, Fitting, Kit, Outcome, Player, Trial, Tried, Visit
from fitter.history.store import Store

VERSION = 1
FILE = "player.json"
MANY = {"tried": "tries"}
"""Fields of a sheet whose plural is not the kind with an s."""


class Sheet(msgspec.Struct, frozen=True, forbid_unknown_fields=True):
    """What ``player.json`` holds; logs and kits lie beside it as they came."""

    version: int
    player: Player
    visits: list[Visit] = []
    fittings: list[Fitting] = []
    trials: list[Trial] = []
    outcomes: list[Outcome] = []
    tries: list[Tried] = []
    cards: list[Card] = []


def export(store: Store, folder: Path, players: Sequence[str] = ()) -> list[Path]:
    """Write players as plain files: a folder each, with ``player.json``, ``logs/`` and ``kits/``.

    Parameters
    ----------
    store : Store
    folder : Path
        Made if it is not there. A player whose folder is there already is refused.
    players : sequence of str
        Codes; all when empty.

    Returns
    -------
    list of Path
        Folders that were written.

    Raises
    ------
    InputError
        With every player who is not there, and every folder that is.
    """
    problems: list[Problem] = []
    who = [store.known(code) for code in players] if players else store.players()
    who = list({p.code: p for p in who}.values())
    homes = {p.code: folder / name for p, name in zip(who, _names(who), strict=True)}
    for home in homes.values():
        if home.exists():
            do = "Name another folder: nothing is written over."
            problems.append(Problem(str(home), "a folder that is there", "a new one", do))
    raise_if(problems, "The history cannot be exported there.")
    for player in who:
        home = homes[player.code]
        groups = {kind: store.entries(cls, player.code) for kind, cls in KINDS.items()}
        with faults.told(home):
            (home / "logs").mkdir(parents=True)
        for visit in groups["visit"]:
            raw = store.log(player.code, visit.digest)
            if raw is not None:
                write_whole(home / "logs" / _log_name(visit), raw)  # type: ignore[arg-type]
        for digest in sorted({v.kit for v in groups["visit"] if v.kit}):  # type: ignore[union-attr]
            kit = store.kit(digest)
            if kit is not None:
                with faults.told(home):
                    (home / "kits" / digest).mkdir(parents=True)
                for name, table in kit.files.items():
                    write_whole(home / "kits" / digest / Path(name).name, table)
        plain = {"version": VERSION, "player": player, **{MANY.get(k, f"{k}s"): v for k, v in groups.items()}}
        write_whole(home / FILE, msgspec.json.format(msgspec.json.encode(plain), indent=1) + b"\n")
    return list(homes.values())


def _names(players: Sequence[Player]) -> list[str]:
    """Names of folders that any file system takes; players keep apart."""
    found: list[str] = []
    for player in players:
        plain = "".join(c if c.isalnum() or c in "-_" else "_" for c in player.code)[:60] or "player"
        name, k = plain, 1
        while name.casefold() in {n.casefold() for n in found}:
            k += 1
            name = f"{plain}-{k}"
        found.append(name)
    return found


def _log_name(visit: Visit) -> str:
    suffix = Path(visit.log_name).suffix
    return visit.digest + (suffix if suffix.isascii() and len(suffix) <= 9 else "")


def load(store: Store, folder: Path) -> tuple[str, int]:
    """Read a player's folder as `export` wrote it; what is there already is not added again.

    Returns
    -------
    str, int
        Code of the player, and entries that were new.

    Raises
    ------
    InputError
        If the folder is not as it was written; nothing is added then.
    """
    where = folder / FILE
    raw = sources.read(where, "an exported player")
    do = "Give a folder that `fitter history export` wrote."
    try:
        version = msgspec.json.decode(raw).get("version")
        if isinstance(version, int) and version > VERSION:
            newer = Problem(str(where), f"version {version}", f"up to {VERSION}", "Use the newer fitter.")
            raise InputError("This player was exported by a newer fitter.", [newer])
        sheet = msgspec.json.decode(raw, type=Sheet)
    except (msgspec.DecodeError, AttributeError, RecursionError) as error:
        raise InputError(
            f"{folder} is no exported player.", [Problem(str(where), str(error), "as written", do)]
        ) from None
    problems: list[Problem] = []
    logs, kits = dict[str, bytes](), dict[str, Kit]()
    for visit in sheet.visits:
        file = folder / "logs" / _log_name(visit)
        if file.is_file():
            logs[visit.digest] = sources.read(file, "a log")
        else:
            problems.append(Problem(str(file), "no such file", "the log of a visit", do))
        home = folder / "kits" / visit.kit
        if visit.kit and visit.kit not in kits and home.is_dir():
            tables = {f.name: sources.read(f, "a table of a kit") for f in sorted(home.iterdir())}
            kits[visit.kit] = Kit(digest=visit.kit, files=tables)
    entries: list[Entry] = [
        *sheet.visits,
        *sheet.fittings,
        *sheet.trials,
        *sheet.outcomes,
        *sheet.tries,
        *sheet.cards,
    ]
    for entry in entries:
        try:
            date.fromisoformat(entry.day)
        except ValueError:
            problems.append(Problem(f"{where}, day", repr(entry.day), "YYYY-MM-DD", do))
    strangers = sorted({e.player for e in entries if e.player.casefold() != sheet.player.code.casefold()})
    if strangers:
        found = ", ".join(strangers)
        problems.append(Problem(str(where), f"entries of {found}", sheet.player.code, do))
    raise_if(problems, f"{folder} cannot be imported.")
    return sheet.player.code, store.remember(sheet.player, entries, logs, kits.values())


def backup(store: Store, path: Path) -> int:
    """Write a copy of the whole history, as it is at this moment, while others go on.

    Returns
    -------
    int
        Its bytes.

    Raises
    ------
    InputError
        If it cannot be written, is the history itself or some other file, or the history is damaged; an older
        backup is left as it is then.
    """
    if path.exists() and path.samefile(store.path):
        do = "Name another file."
        problem = Problem("FILE", f"{path}, which is the history itself", "a file of its own", do)
        raise InputError("The history cannot be copied onto itself.", [problem])
    if path.exists():
        _refuse_other(path)
    copy = sqlite3.connect(":memory:")
    try:
        with faults.told(store.path):
            store.db.backup(copy)
            whole = copy.execute("PRAGMA quick_check").fetchone()[0]
        if whole != "ok":
            raise faults.refused(store.path, f"a damaged file ({whole.splitlines()[0]})", "a whole one")
        raw = bytearray(copy.serialize())
    finally:
        copy.close()
    # Bytes 18 and 19 of the header: 2 needs a log of writes beside the file, 1 stands alone.
    raw[18:20] = b"\x01\x01"
    write_whole(path, bytes(raw))
    return len(raw)


def _refuse_other(path: Path) -> None:
    """Refuse to write a backup over what is no backup."""
    try:
        Store(path, read_only=True).close()
    except InputError as error:
        if path.is_file() and not path.stat().st_size:
            return
        do = "Name another file, or delete it first."
        problem = Problem("FILE", f"{path}, which is no backup", "a new file, or an older backup", do)
        raise InputError("The backup would overwrite something else.", [problem]) from error
