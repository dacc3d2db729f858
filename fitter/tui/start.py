"""How work begins: the demo's players, or what was saved."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

from fitter import demo
from fitter.tui import store
from fitter.tui.bench import Bench, Work


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


def begin(name: str, fresh: Work, file: Path | None = None) -> tuple[Work, Path, bool]:
    """Saved work of a name, else fresh work; the file, and whether anything was restored."""
    file = file or store.path(name)
    saved = store.load(file)
    if saved is None:
        return fresh, file, False
    # The demo's files may lie elsewhere by now; a player's own stay where they were.
    places = {b.player: (b.log, b.kit) for b in fresh.benches if b.log}
    benches = tuple(
        replace(b, log=places[b.player][0], kit=places[b.player][1]) if b.player in places else b
        for b in saved.benches
    )
    return replace(saved, benches=benches), file, True
