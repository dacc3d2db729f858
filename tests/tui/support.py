"""Drive the app without a terminal and read its screen as text."""

from __future__ import annotations

import asyncio
import csv
import html
import re
from collections.abc import Awaitable, Callable
from contextlib import suppress
from pathlib import Path
from typing import Any

from textual import events
from textual.pilot import Pilot
from textual.widget import Widget
from textual.widgets import Input
from textual.worker import WorkerCancelled

from fitter import demo
from fitter.tui.app import FitterApp
from fitter.tui.bench import Work
from fitter.tui.saved import demo_work

BASELINES = Path(__file__).parent / "baselines"
_TEXT = re.compile(
    r'<text[^>]* x="([\d.]+)" y="([\d.]+)"[^>]*clip-path="url\(#[^"]*-line-(\d+)\)"[^>]*>(.*?)</text>'
)
CHARACTERS = {"space": " ", "plus": "+", "minus": "-", "question_mark": "?"}
"""Characters of keys with a name."""
CELL = 12.2
"""Width of a character in a screenshot, px."""

PAUSES = 400
"""Pauses after the last work in which every drawing must come; two or three are usual."""


def text_of(svg: str) -> str:
    """Plain text of a screenshot: what stands on each line, by the place of its pieces."""
    lines: dict[int, str] = {}
    for x, _, row, piece in _TEXT.findall(svg):
        at, words = round(float(x) / CELL), html.unescape(piece).replace("\xa0", " ")
        lines[int(row)] = lines.get(int(row), "").ljust(at) + words
    return "\n".join(lines.get(k, "").rstrip() for k in range(max(lines, default=0) + 1)) + "\n"


def screen(app: FitterApp) -> str:
    """Screen of a running app as plain text."""
    return text_of(app.export_screenshot())


async def settle(app: FitterApp, pilot: Pilot[None]) -> None:
    """Wait until nobody works any more and everything is drawn."""
    await pilot.pause()
    while any(not w.is_finished for w in app.workers):
        with suppress(WorkerCancelled):
            await app.workers.wait_for_complete()
        await pilot.pause()
    for _ in range(PAUSES):
        if not app.is_running or app._exit or not (app.pane.due or undrawn(app)):
            return
        await pilot.pause()
    raise AssertionError(f"{app.pane}, {undrawn(app)} are never drawn, though nobody works any more")


def undrawn(app: FitterApp) -> list[Widget]:
    """What the screen on top has not given a place yet: on a busy machine a page may still be mounting."""
    top = app.screen
    children = (w for w in top.walk_children() if w.visible and all(a.display for a in w.ancestors_with_self))
    placed = top._compositor.full_map
    return [w for w in (top, *children) if not w.is_mounted or top._layout_required or w not in placed]


async def press(app: FitterApp, pilot: Pilot[None], *keys: str) -> None:
    """Press keys one by one, and wait for what follows."""
    for key in keys:
        await pilot.press(key)
        await settle(app, pilot)


async def burst(app: FitterApp, pilot: Pilot[None], *keys: str) -> None:
    """Send keys as fast as a terminal can, without a look at what follows; then wait for it."""
    assert app._driver is not None
    for key in keys:
        event = events.Key(key, CHARACTERS.get(key, key if len(key) == 1 else None))
        event.set_sender(app)
        app._driver.send_message(event)
    await settle(app, pilot)


async def write(app: FitterApp, pilot: Pilot[None], words: str | None = None) -> None:
    """Type a line and give it; None takes what stands there."""
    if words is not None:
        app.screen.query(Input).first().value = words
    await press(app, pilot, "enter")


Play = Callable[[FitterApp, Pilot[None]], Awaitable[Any]]


def run(
    play: Play,
    size: tuple[int, int] = (120, 40),
    work: Work | None = None,
    file: Path | None = None,
    faults: bool = False,
    **more: Any,
) -> Any:
    """Open the app, let somebody play, close it; give back what the play gives; a fault fails."""

    async def body() -> Any:
        app = FitterApp(work or demo_work(), file, **more)
        async with app.run_test(size=size) as pilot:
            await settle(app, pilot)
            found = await play(app, pilot)
            if not faults and app.faults:
                raise app.faults[0]
            return found

    return asyncio.run(body())


def small_kit(folder: Path, heads: int = 3, shafts: int = 2) -> Path:
    """Kit of a few parts of the demo's, so that a ranking takes a blink."""
    kept = {"heads.csv": ("H1", "H2", "H4", "H3")[:heads], "shafts.csv": ("S2", "S7", "S5")[:shafts]}
    for name, codes in kept.items():
        with (demo.folder() / name).open(encoding="utf-8") as stream:
            rows = list(csv.DictReader(stream))
        with (folder / name).open("w", encoding="utf-8", newline="") as stream:
            out = csv.DictWriter(stream, list(rows[0]))
            out.writeheader()
            out.writerows(r for r in rows if next(iter(r.values())) in codes)
    return folder
