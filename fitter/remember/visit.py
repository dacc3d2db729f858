"""A visit as records: its log as it came, how it is read, kit and card as they were; and back to files."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from contextlib import suppress
from dataclasses import asdict, dataclass, field, replace
from datetime import date
from pathlib import Path
from typing import Any

import msgspec
import numpy as np

from fitter.base import sources
from fitter.base.conditions import Conditions
from fitter.base.errors import FitterError, InputError, Problem
from fitter.base.files import write_whole
from fitter.history.records import Card, Entry, Fitting, Kit, Player, Visit, digest
from fitter.history.store import Store
from fitter.kit.club import UNKNOWN
from fitter.kit.inventory import kit_files
from fitter.shots.annotations import days, of_day, parse_aside, set_aside
from fitter.shots.reader import intake
from fitter.shots.session import Session
from fitter.shots.written import SUFFIX, log_of

_FOR_ALL = ("hand", "header_map", "club", "sheet", "units")


@dataclass(frozen=True)
class Source:
    """Where a session came from, as a face knows it.

    Parameters
    ----------
    log : Path or None
        None where every shot was typed.
    reading : mapping
        Keyword arguments of `intake.read` in force (a shop's map resolved), and 'aside' and 'day'.
    kit : Path or None
        Folder of the shop's kit.
    present : str
        Present club in words: HEAD/SHAFT, CARD.toml or unknown.
    device : str
    alone : bool or None
        Whether the log is this player's alone; it is looked at where nobody says.
    kit_digest : str
        Of the kit, where its files are not at hand.
    """

    log: Path | None
    reading: Mapping[str, Any] = field(default_factory=dict)
    kit: Path | None = None
    present: str = UNKNOWN
    device: str = ""
    alone: bool | None = None
    kit_digest: str = ""


@dataclass(frozen=True)
class Remembered:
    """Records of one visit, ready for `Store.remember`."""

    player: Player
    entries: tuple[Entry, ...]
    logs: Mapping[str, bytes]
    kits: tuple[Kit, ...] = ()

    @property
    def visit(self) -> Visit:
        """The visit itself."""
        return next(e for e in self.entries if isinstance(e, Visit))

    @property
    def fitting(self) -> Fitting | None:
        """The decision, None where there is none."""
        return next((e for e in self.entries if isinstance(e, Fitting)), None)

    def adding(self, more: Iterable[Entry]) -> Remembered:
        """With more entries."""
        return replace(self, entries=(*self.entries, *more))

    def deciding(self, chosen: str, why: str) -> Remembered:
        """With what was decided for."""
        new = (
            msgspec.structs.replace(e, chosen=chosen, why=why) if isinstance(e, Fitting) else e
            for e in self.entries
        )
        return replace(self, entries=tuple(new))

    def into(self, store: Store, *, renew: bool = False) -> int:
        """Write all of them, or none, see `Store.remember`; entries that were not there before."""
        return store.remember(self.player, self.entries, dict(self.logs), self.kits, renew=renew)


def visit_of(
    session: Session, source: Source, measured_in: Conditions, day: date | None = None, **more: Any
) -> Remembered:
    """Records of a session: its log, how it is read, the kit and the card as they are.

    Parameters
    ----------
    session : Session
        As it was used, in the right-handed frame.
    source : Source
    measured_in : Conditions
        Air of the session, as the player sees it.
    day : datetime.date, optional
        The log's own day when silent, else today.
    **more
        Other fields of `Visit`.
    """
    name, raw = _log(session, source)
    reading = {k: v for k, v in source.reading.items() if v} if name == _name(source) else {}
    for key in ("aside", "day", "set_"):
        if source.reading.get(key):
            reading[key] = source.reading[key]
    reading |= {"hand": session.hand} if name == _name(source) else {}
    reading = msgspec.to_builtins(reading)
    kit = None if source.kit is None else kit_of(source.kit)
    card_name, card = card_of(source.present)
    who = session.player or "player"
    key = digest(who.casefold(), raw, msgspec.json.encode(reading, order="sorted"), source.present)
    hit = session.used("club_speed_mps")[~session.set_aside]
    when = _day(session, day)
    visit = Visit(
        player=who, digest=key, day=when, log_name=name, reading=reading,
        measured_in=msgspec.to_builtins(asdict(measured_in)), club=card_name or source.present, card=card,
        kit=source.kit_digest if kit is None else kit.digest, device=source.device, shots=len(session),
        set_aside=int(session.set_aside.sum()),
        club_speed_mps=float(np.nanmean(hit)) if np.isfinite(hit).any() else None, **more,
    )  # fmt: skip
    entries: list[Entry] = [visit]
    if card:
        entries.append(Card(player=who, digest=digest(card_name, card), day=when, name=card_name, text=card))
    return Remembered(
        Player(code=who, hand=session.hand), tuple(entries), {key: raw}, () if kit is None else (kit,)
    )


def _name(source: Source) -> str:
    return "" if source.log is None else source.log.name


def _log(session: Session, source: Source) -> tuple[str, bytes]:
    """Name and bytes of the log to keep: as it came, or this player's rows where others are in it too."""
    if source.log is not None and source.alone is not False:
        if source.alone:
            return source.log.name, sources.read(source.log, "a log")
        how = {k: v for k, v in source.reading.items() if k in _FOR_ALL}
        with suppress(FitterError):
            if len(intake.read_all(source.log, **how)) == 1:
                return source.log.name, sources.read(source.log, "a log")
    stem = source.log.stem if source.log is not None else "typed"
    return f"{stem} {session.player or 'player'}{SUFFIX}", log_of(session)


def _day(session: Session, day: date | None) -> str:
    if day is not None:
        return day.isoformat()
    found = [d for d in days(session) if d]
    return max(found) if found else date.today().isoformat()


def kit_of(folder: Path) -> Kit:
    """A shop's kit as it is.

    Raises
    ------
    InputError
        If a file of it cannot be read.
    """
    files = {f.name: sources.read(f, "a table of a kit") for f in kit_files(folder) if f.is_file()}
    return Kit(digest=digest(*(x for name in sorted(files) for x in (name, files[name]))), files=files)


def card_of(present: str) -> tuple[str, str]:
    """Name and text of a card, '' where the club is no card, or its file is not at hand."""
    if not present.casefold().endswith(".toml"):
        return "", ""
    path = Path(present)
    try:
        return path.name, sources.read(path, "a club card").decode("utf-8")
    except (InputError, UnicodeDecodeError):
        return "", ""


@dataclass(frozen=True)
class Unpacked:
    """A visit as files again.

    Parameters
    ----------
    visit : Visit
    log : Path
    kit : Path or None
        The kit as it was; None where none is kept.
    present : str
        Present club in words.
    reading : dict
        As in `Source`.
    measured_in : Conditions
    """

    visit: Visit
    log: Path
    kit: Path | None
    present: str
    reading: dict[str, Any]
    measured_in: Conditions


def unpacked(store: Store, player: str, folder: Path, which: str = "") -> Unpacked:
    """Write a visit's files into a folder.

    Parameters
    ----------
    store : Store
    player : str
    folder : Path
        Empty, and the caller's to remove.
    which : str
        First letters of the visit's digest, or its day; the last visit when silent.

    Raises
    ------
    InputError
        If there is no such player or visit, or its log is not kept.
    """
    code = store.known(player).code
    found = store.entries(Visit, code) if which else store.entries(Visit, code, last=1)
    visits = [v for v in found if not which or v.digest.startswith(which) or v.day == which]
    if not visits:
        told = ", ".join(v.day for v in found[-8:]) or "none is remembered"
        problem = Problem("the visit", repr(which or "the last"), told, "Name one of these days.")
        raise InputError(f"{code} has no such visit.", [problem])
    visit = visits[-1]
    raw = store.log(code, visit.digest)
    if raw is None:
        problem = Problem(visit.day, "no log", "a visit whose log is kept", "Name the log itself.")
        raise InputError("The log of that visit is not kept.", [problem])
    log = folder / Path(visit.log_name).name
    write_whole(log, raw)
    kit = None if not visit.kit else store.kit(visit.kit)
    home = None
    if kit is not None:
        home = folder / "kit"
        home.mkdir()
        for name, table in kit.files.items():
            write_whole(home / Path(name).name, table)
    present = visit.club
    if visit.anchor_card:
        write_whole(folder / Path(visit.anchor).name, visit.anchor_card)
    if visit.card:
        present = str(folder / Path(visit.club).name)
        write_whole(Path(present), visit.card.encode())
    air = msgspec.convert(visit.measured_in, Conditions) if visit.measured_in else Conditions()
    return Unpacked(visit, log, home, present, dict(visit.reading), air)


def read_again(found: Unpacked) -> Session:
    """Shots of an unpacked visit, with what was decided about them."""
    how = dict(found.reading)
    aside, day = how.pop("aside", ()), how.pop("day", None)
    session = intake.read(found.log, player=how.pop("player", None) or None, **how)
    decisions = parse_aside(tuple(aside))
    session = set_aside(session, decisions) if decisions else session
    return of_day(session, day) if day else session
