"""A visit as files again: its log, kit and card as they were, and its shots."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path
from typing import Any

import msgspec

from fitter.base.conditions import Conditions
from fitter.base.errors import InputError, Problem
from fitter.base.files import write_whole
from fitter.history.records import Visit
from fitter.history.store import Store
from fitter.shots.annotations import of_day, parse_aside, set_aside
from fitter.shots.reader import intake
from fitter.shots.session import Session


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
    if not found:
        problem = Problem(
            "PLAYER", f"{code}, without a visit", "a player with a visit", "Name the log itself."
        )
        raise InputError("There is no visit to take up.", [problem])
    if not visits:
        told = ", ".join(v.day for v in found[-8:])
        raise InputError(
            f"{code} has no such visit.", [Problem("--visit", repr(which), told, "Name one of these days.")]
        )
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
