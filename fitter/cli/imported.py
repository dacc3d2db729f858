"""Players out of plain files: as they were exported, or a folder of visits."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path
from tempfile import TemporaryDirectory
from types import MappingProxyType
from typing import TYPE_CHECKING

from fitter.base.errors import InputError, Problem
from fitter.base.files import write_whole
from fitter.cli import visits, work

if TYPE_CHECKING:
    from fitter.history.store import Store
    from fitter.remember.visit import Remembered
    from fitter.shots.session import Session


def bring_in(store: Store, folder: Path, units: str) -> tuple[str, int]:
    """Add what a folder holds, all or nothing.

    Parameters
    ----------
    store : Store
    folder : Path
        As `history export` wrote it, or with visits.toml.
    units : {'us', 'metric'}
        Of bare numbers of the air.

    Returns
    -------
    str, int
        Code of the player, and entries that were new.

    Raises
    ------
    InputError
        If it is neither, or cannot be read.
    """
    if (folder / work.transfer.FILE).is_file():
        return work.transfer.load(store, folder)
    below = sorted(p.parent for p in folder.glob(f"*/{work.transfer.FILE}")) if folder.is_dir() else []
    if below and not (folder / visits.FILE).is_file():
        with store.writing():
            loaded = [work.transfer.load(store, home) for home in below]
        return ", ".join(code for code, _ in loaded), sum(new for _, new in loaded)
    if not (folder / visits.FILE).is_file():
        allowed = f"a folder with {work.transfer.FILE} or {visits.FILE}"
        problem = Problem(str(folder), "neither", allowed, "Name a folder of one player.")
        raise InputError("There is nothing to import.", [problem])
    with TemporaryDirectory(prefix="fitter-") as scratch:
        found = [_visit(t, Path(scratch)) for t in visits.told(str(folder), "", units)]
        with store.writing():
            new = sum(one.into(store) for one in found)
    return found[0].player.code, new


def _visit(told: visits.Told, scratch: Path) -> Remembered:
    """Records of one visit; balls of an anchor in a log of its own join the others."""
    hit, log, reading = told.hit, told.log, dict(told.reading)
    session = hit.session
    if hit.anchor is not None:
        session = replace(session, others=_labelled(hit.anchor, told.anchor))
        log = scratch / f"{log.stem}.csv"
        write_whole(log, work.written.log_of(_labelled(session, told.club)))
        reading = {"aside": reading["aside"]}
    source = work.visit.Source(log, reading, told.kit, told.club, hit.device)
    name, card = work.visit.card_of(told.anchor) if hit.anchor is not None else ("", "")
    anchor = (name or told.anchor) if hit.anchor is not None else ""
    return work.visit.visit_of(session, source, hit.measured_in, hit.day, anchor=anchor, anchor_card=card)


def _labelled(session: Session, club: str) -> Session:
    """Shots that all carry the name of their club."""
    name = Path(club).stem if club.casefold().endswith(".toml") else club
    words = {**session.words, "build": (name,) * len(session)}
    return replace(session, words=MappingProxyType(words))
