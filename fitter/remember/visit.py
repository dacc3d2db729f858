"""A visit as records: its log as it came, how it is read, kit and card as they were."""

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
from fitter.base.errors import FitterError, InputError
from fitter.base.units import Units
from fitter.display.shots import flags_on_paper
from fitter.history.records import Card, Entry, Fitting, Kit, Outcome, Player, Trial, Visit, digest
from fitter.history.store import Store
from fitter.kit.club import UNKNOWN
from fitter.kit.inventory import kit_files
from fitter.shots.annotations import days
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
    """Records of one visit, ready for `Store.remember`.

    Parameters
    ----------
    player : Player
    entries : tuple of Entry
        The visit among them.
    logs : mapping of str to bytes
        By digest of the visit.
    kits : tuple of Kit
    dated : bool
        Whether the day of the visit was said, by somebody or by the log.
    """

    player: Player
    entries: tuple[Entry, ...]
    logs: Mapping[str, bytes]
    kits: tuple[Kit, ...] = ()
    dated: bool = True

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

    def into(self, store: Store) -> int:
        """Write all of them, or none, see `Store.remember`; entries that were not there before.

        What is there already is brought up to date: a visit see `corrected`, a decision with its choice, a
        trial and its outcomes with more balls.
        """
        with store.writing():
            old = store.entry(Visit, self.player.code, self.visit.digest)
            visit = self.visit if old is None else corrected(old, self.visit, self.dated)
            if old is not None and visit.day != old.day:
                store.remember(self.player, _moved(store, old, visit.day), renew=True)
            entries = [self._renewed(e, visit, store) for e in self.entries]
            logs = dict(self.logs) if visit.log_name == self.visit.log_name else {}
            return store.remember(self.player, entries, logs, self.kits, renew=True)

    def _renewed(self, entry: Entry, visit: Visit, store: Store) -> Entry:
        """An entry on the day of its visit; a choice that is not said again stays."""
        if isinstance(entry, Visit):
            return visit
        if entry.day == self.visit.day:
            entry = msgspec.structs.replace(entry, day=visit.day)
        if isinstance(entry, Fitting) and not entry.chosen:
            old = store.entry(Fitting, self.player.code, entry.digest)
            if old is not None:
                entry = msgspec.structs.replace(entry, chosen=old.chosen, why=old.why)
        return entry


def _moved(store: Store, visit: Visit, day: str) -> list[Entry]:
    """What came of a visit, on the day on which it truly was."""
    fittings = [f for f in store.entries(Fitting, visit.player) if f.visit == visit.digest]
    decided = {f.digest for f in fittings}
    came: list[Entry] = [
        *fittings,
        *(t for t in store.entries(Trial, visit.player) if t.visit == visit.digest),
    ]
    came += [o for o in store.entries(Outcome, visit.player) if o.fitting in decided]
    return [msgspec.structs.replace(e, day=day) for e in came if e.day == visit.day]


def corrected(old: Visit, new: Visit, dated: bool) -> Visit:
    """A visit with what is said of it now; what is not said again stays as it was.

    Parameters
    ----------
    old, new : Visit
        Of the same shots.
    dated : bool
        Whether the new day was said.
    """
    keep: dict[str, Any] = {} if dated else {"day": old.day}
    if new.log_name != old.log_name:
        # The same rows out of another file: the log stays as it came first, and how it is read with it.
        keep |= {"log_name": old.log_name, "reading": {**old.reading, **_decided(new)}}
        if not _decided(new):
            keep |= {n: getattr(old, n) for n in ("set_aside", "club_speed_mps", "flags")}
    if new.club == UNKNOWN:
        keep |= {"club": old.club, "card": old.card}
    if not new.anchor:
        keep |= {"anchor": old.anchor, "anchor_card": old.anchor_card}
    if new.measured_in == msgspec.to_builtins(asdict(Conditions())):
        keep["measured_in"] = old.measured_in
    keep |= {name: getattr(old, name) for name in ("kit", "device") if not getattr(new, name)}
    return msgspec.structs.replace(new, **keep)


def _decided(visit: Visit) -> dict[str, Any]:
    """Decisions about its shots."""
    return {k: v for k, v in visit.reading.items() if k == "aside" and v}


def key_of(player: str, session: Session) -> str:
    """Digest by which a visit is known again: whose it is, and what was measured of each shot.

    Neither the file, nor how its columns are named, nor what was decided since makes it another visit.
    """
    parts = [player.casefold(), " ".join(str(int(n)) for n in session.shot)]
    for name in sorted(n for n in session.values if session.has(n)):
        # Nine digits: a log that was written anew differs in the last of sixteen.
        parts += [name, " ".join(f"{v:.9g}" for v in session.values[name])]
    return digest(*parts)


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
    key = key_of(who, session)
    hit = session.used("club_speed_mps")[~session.set_aside]
    when, dated = _day(session, day)
    visit = Visit(
        player=who, digest=key, day=when, log_name=name, reading=reading,
        measured_in=msgspec.to_builtins(asdict(measured_in)), club=card_name or source.present, card=card,
        kit=source.kit_digest if kit is None else kit.digest, device=source.device, shots=len(session),
        set_aside=int(session.set_aside.sum()),
        club_speed_mps=float(np.nanmean(hit)) if np.isfinite(hit).any() else None,
        flags=flags_on_paper(session, Units()), **more,
    )  # fmt: skip
    entries: list[Entry] = [visit]
    if card:
        entries.append(Card(player=who, digest=digest(card_name, card), day=when, name=card_name, text=card))
    return Remembered(
        Player(code=who, hand=session.hand), tuple(entries), {key: raw}, () if kit is None else (kit,), dated
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


def _day(session: Session, day: date | None) -> tuple[str, bool]:
    """Day of a visit, and whether somebody or the log says so; else it is today."""
    if day is not None:
        return day.isoformat(), True
    found = [d for d in days(session) if d]
    return (max(found), True) if found else (date.today().isoformat(), False)


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
