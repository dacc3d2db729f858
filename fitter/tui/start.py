"""How work begins: the demo's players, or what was saved."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import ExitStack, contextmanager
from dataclasses import dataclass, replace
from pathlib import Path

from fitter import demo
from fitter.base import files
from fitter.base.errors import FitterError
from fitter.tui import store
from fitter.tui.bench import Bench, Work


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


@contextmanager
def begin(name: str, fresh: Work) -> Iterator[Begun]:
    """Hold the saved work of a name and read it, else fresh work; who comes second may read only."""
    file = store.path(name)
    with ExitStack() as stack:
        told = ""
        try:
            stack.enter_context(files.hold(file, f"fitter, the bench '{name}'"))
            files.sweep(file.parent, file.name, 0.0)
        except files.Busy as busy:
            told = f"{file} is {busy.problems[0].found}."
        except FitterError as error:
            told = str(error)
        found = store.load(file, held=not told)
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
