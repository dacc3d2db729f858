"""A player's remembered visits as `progress` takes them."""

from __future__ import annotations

from datetime import date
from pathlib import Path
from tempfile import TemporaryDirectory

from fitter.advice.question import shots_of
from fitter.base.errors import DataError, Problem
from fitter.history.records import Visit
from fitter.history.store import Store
from fitter.kit.card import present_club
from fitter.kit.inventory import Kit
from fitter.progress.visits import Hit, of_club, without
from fitter.remember.unpacked import read_again, unpacked


def hits(store: Store, player: str) -> list[Hit]:
    """Every visit of a player whose log is kept, by day.

    Raises
    ------
    InputError
        If there is no such player, or a log cannot be read any more.
    DataError
        If no visit is remembered.
    """
    code = store.known(player).code
    visits = store.entries(Visit, code)
    if not visits:
        do = "Remember a session first: rank ... --remember, or history import."
        problem = Problem(code, "no visit", "one or more", do)
        raise DataError("There is nothing to lay side by side.", [problem])
    found: list[Hit] = []
    for visit in visits:
        with TemporaryDirectory(prefix="fitter-") as folder:
            found.append(_hit(store, code, visit, Path(folder)))
    return found


def _hit(store: Store, code: str, visit: Visit, folder: Path) -> Hit:
    files = unpacked(store, code, folder, visit.digest)
    session = read_again(files)
    kit = None if files.kit is None else Kit.load(files.kit)
    club = present_club(kit or Kit((), ()), files.present)
    beside, anchor = None, None
    if visit.anchor and visit.anchor != visit.club:
        named = str(folder / Path(visit.anchor).name) if visit.anchor_card else visit.anchor
        anchor = present_club(kit or Kit((), ()), named)
        beside = of_club(session, kit, anchor, Path(visit.anchor).stem if visit.anchor_card else visit.anchor)
        session = without(session, beside)
    shots = shots_of(session, kit, club, Path(files.present).stem if visit.card else visit.club)
    return Hit(date.fromisoformat(visit.day), shots, files.measured_in, club, beside, anchor, visit.device)
