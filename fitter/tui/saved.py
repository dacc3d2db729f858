"""Saved work: one file, read strictly, written whole, and never overwritten unless it was read in full."""

from __future__ import annotations

import os
from collections.abc import Collection, Iterator
from contextlib import ExitStack, contextmanager
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Any

import msgspec

from fitter import demo
from fitter.advice.objectives import OBJECTIVES
from fitter.advice.response import SETS_FACE
from fitter.base import files, sources
from fitter.base.conditions import TERRAINS, TURFS
from fitter.base.errors import FitterError, InputError
from fitter.shots.vocabulary import OPEN_POINT, POINTS
from fitter.tui import places
from fitter.tui.bench import Bench, Work

VERSION = 1
WORDS: dict[str, Collection[str]] = {
    "hand": ("right", "left"), "units": ("us", "metric"), "sets_face": SETS_FACE, "objective": OBJECTIVES,
    "turf": TURFS, "terrain": TERRAINS,
    **{channel: (*known, OPEN_POINT) for channel, known in POINTS.items()},
}  # fmt: skip
"""Fields of a bench and of its conditions that take certain words alone."""


@dataclass(frozen=True)
class _Saved:
    """What the file holds; undo is not kept."""

    version: int
    at: int
    benches: tuple[Bench, ...]
    light: bool = False


@dataclass(frozen=True)
class Found:
    """What a file of saved work gave.

    Parameters
    ----------
    work : Work or None
        None if there is none, or none that can be used.
    told : str
        What the user has to know, in sentences; '' when all is well.
    writable : bool
        Whether the file may be written from now on; if not, it holds something that would be lost.
    """

    work: Work | None = None
    told: str = ""
    writable: bool = True


def path(name: str) -> Path:
    """File of a session's name."""
    return files.state_folder() / f"bench-{name}.json"


def save(work: Work, file: Path) -> None:
    """Write the work, whole or not at all.

    Raises
    ------
    FitterError, OSError
        If the file cannot be written.
    """
    file.parent.mkdir(parents=True, exist_ok=True)
    saved = _Saved(VERSION, work.at, work.benches, work.light)
    files.write_whole(file, msgspec.json.format(msgspec.json.encode(saved), indent=1))


def load(file: Path, held: bool = True) -> Found:
    """Read saved work.

    A file that cannot be used is moved to a numbered name beside it. One that a newer version wrote, or that
    cannot be opened, stays where it is and is not written.

    Parameters
    ----------
    file : Path
    held : bool
        Whether the caller holds the file; if not, it stays where it is whatever it holds.
    """
    if not os.path.lexists(file):
        return Found(writable=held)
    try:
        raw = sources.read(file, "saved work")
    except InputError as error:
        found = error.problems[0].found
        return Found(None, f"{file} cannot be opened ({found}) and is left as it is.", False)
    version: Any = None
    try:
        plain = msgspec.json.decode(raw)
        version = plain.get("version") if isinstance(plain, dict) else None
        _from_before(plain)
        saved = msgspec.convert(plain, _Saved)
        _check(saved)
    except (ValueError, RecursionError) as error:
        reason = str(error) or type(error).__name__
        if isinstance(version, int) and version > VERSION:
            newer = f"{file} was written by a newer version and cannot be read by this one ({reason})."
            return Found(None, newer, False)
        return _kept(file, reason) if held else Found(None, f"{file} cannot be read ({reason}).", False)
    work = Work(saved.benches, saved.at % len(saved.benches), light=saved.light)
    unknown = list(dict.fromkeys(_unknown(plain, msgspec.to_builtins(saved))))
    if unknown or saved.version > VERSION:
        fields = f": {', '.join(unknown[:5])}{' ...' * (len(unknown) > 5)}" if unknown else ""
        return Found(
            work, f"{file} holds what a newer version wrote, which this one does not know{fields}.", False
        )
    return Found(work, writable=held)


def _from_before(plain: Any) -> None:
    """Drop the state of the face, which changed nothing; the wish 'score' is called 'play' now."""
    benches = plain.get("benches") if isinstance(plain, dict) else None
    for bench in benches if isinstance(benches, list) else ():
        if isinstance(bench, dict) and bench.get("objective") == "score":
            bench["objective"] = "play"
        for name in ("conditions", "measured"):
            air = bench.get(name) if isinstance(bench, dict) else None
            if isinstance(air, dict):
                air.pop("face", None)


def _check(saved: _Saved) -> None:
    """Refuse what has the right types and still cannot be used."""
    if saved.version < VERSION:
        raise ValueError(f"version {saved.version}, which this one does not know")
    if not saved.benches:
        raise ValueError("no player in it")
    for k, bench in enumerate(saved.benches):
        for part in (bench, bench.conditions, bench.measured):
            for name, allowed in WORDS.items():
                value = getattr(part, name, None)
                if value is not None and value not in allowed:
                    raise ValueError(f"{value!r} as {name} of benches[{k}]; allowed: {', '.join(allowed)}")


def _kept(file: Path, reason: str) -> Found:
    """Move a file that cannot be used to the first free numbered name."""
    number = 1
    while os.path.lexists(kept := file.with_name(f"{file.name}.unread-{number}")):
        number += 1
    try:
        file.rename(kept)
    except OSError as error:
        why = error.strerror or error
        return Found(None, f"{file} cannot be read ({reason}), nor be moved away ({why}).", False)
    return Found(None, f"The saved work could not be read ({reason}). It is kept as {kept}.")


def _unknown(found: Any, known: Any, where: str = "") -> list[str]:
    """Names of the fields that were found and are not known, with the fields they lie in."""
    if isinstance(found, dict) and isinstance(known, dict):
        return [
            name
            for key, value in found.items()
            for name in (_unknown(value, known[key], f"{where}{key}.") if key in known else [where + key])
        ]
    if isinstance(found, list) and isinstance(known, (list, tuple)):
        return [name for pair in zip(found, known, strict=True) for name in _unknown(*pair, where)]
    return []


@dataclass(frozen=True)
class Begun:
    """Work to open the app with.

    Parameters
    ----------
    work : Work
    file : Path or None
        Where it is saved; None if it is opened to read only.
    restored : bool
        Whether anything saved was found.
    told : str
        What the user has to know of the saved work, '' when all is well.
    """

    work: Work
    file: Path | None
    restored: bool = False
    told: str = ""


def demo_work(player: str | None = None) -> Work:
    """Four invented players at one bench."""
    folder = demo.folder()
    benches = tuple(
        Bench(
            player=p.code,
            hand=p.hand,
            log=str(folder / p.log),
            kit=str(folder),
            present=p.present,
            objective=p.objective,
            scene=p.scene,
        )
        for p in demo.players()
    )
    at = next((k for k, b in enumerate(benches) if b.player == player), 0)
    return Work(benches, at)


def fresh_work() -> Work:
    """Work of somebody who begins: the kit is the one in the folder where the program was started."""
    return Work((Bench(kit=places.kit_near(str(Path.cwd()))),))


@contextmanager
def begin(name: str, fresh: Work) -> Iterator[Begun]:
    """Hold the saved work of a name and read it, else fresh work; who comes second may read only."""
    file = path(name)
    with ExitStack() as stack:
        told = ""
        try:
            stack.enter_context(files.hold(file, f"fitter, the bench '{name}'"))
            files.sweep(file.parent, file.name, 0.0)
        except files.Busy as busy:
            told = f"{file} is {busy.problems[0].found}."
        except FitterError as error:
            told = str(error)
        found = load(file, held=not told)
        told = " ".join(s for s in (told, found.told) if s)
        if not found.writable:
            told = f"Opened to read only: nothing is saved. {told}"
        yield Begun(
            _placed(found.work, fresh), file if found.writable else None, found.work is not None, told
        )


def _placed(saved: Work | None, fresh: Work) -> Work:
    """Saved work with the demo's files where they lie now; a player's own stay where they were."""
    if saved is None:
        return fresh
    places = {b.player: (b.log, b.kit) for b in fresh.benches if b.log}
    benches = tuple(
        replace(b, log=places[b.player][0], kit=places[b.player][1]) if b.player in places else b
        for b in saved.benches
    )
    return replace(saved, benches=benches)
