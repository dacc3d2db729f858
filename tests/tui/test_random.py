"""Random keys, clicks and resizes at several rhythms end no session; what is shown is what is saved."""

from __future__ import annotations

import asyncio
import random
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest
from textual.command import CommandList

from fitter.tui import saved
from fitter.tui.app import FitterApp
from fitter.tui.bench import Work
from fitter.tui.dialogs import Page
from fitter.tui.faults import Palette
from tests.tui.support import burst, press, run, screen, settle

KEYS = (
    *"12345", *"12345", *"nubtavmgzcfpsxw", "space", "enter", "enter", "escape", "escape", "up", "down",
    "down", "left", "right", "plus", "minus", "home", "end", "pagedown", "pageup", "tab", "question_mark",
    "backspace", "ctrl+p",
)  # fmt: skip
SIZES = ((80, 24), (120, 40), (160, 50), (40, 12), (99, 30))
AT_ONCE = (1, 3, 12, 60)
"""Keys that are sent without a pause between them."""
TYPED_IN_A_HURRY = (
    *"4f12345", "escape", *"2", "space", *"11", "escape", *"2", "space", "enter", "enter", "escape",
    *"4x1221", "escape", *"2a12", "escape", "t", *"club", "tab", "escape", "b", "enter", "enter",
)  # fmt: skip


def storm(work: Work, file: Path, keys: int, seed: int) -> None:
    rng = random.Random(seed)
    left = keys

    async def play(app: FitterApp, pilot: Any) -> Work:
        nonlocal left
        # The list of commands can quit, and does.
        while left > 0 and not app._exit:
            if rng.random() < 0.2:
                await pilot.resize_terminal(*rng.choice(SIZES))
            if rng.random() < 0.2:
                await pilot.click(offset=(rng.randrange(app.size.width), rng.randrange(app.size.height)))
            some = [rng.choice(KEYS) for _ in range(min(rng.choice(AT_ONCE), left))]
            left -= len(some)
            await burst(app, pilot, *some)
            assert app.is_running or app._exit
            if app.faults:
                raise AssertionError(some) from app.faults[0]
        kept = saved.load(file).work
        assert kept is None or kept == replace(app.view.work, past=())
        return app.view.work

    while left > 0:
        work = run(play, work=work, file=file)


def test_three_hundred_random_keys_in_bursts(one: Work, tmp_path: Path) -> None:
    storm(one, tmp_path / "bench.json", 300, 1)


def test_keys_typed_in_a_hurry(one: Work) -> None:
    """Lists that close under the next key."""

    async def play(app: FitterApp, pilot: Any) -> None:
        await burst(app, pilot, *TYPED_IN_A_HURRY)
        assert app.is_running
        assert len(app.screen_stack) == 1

    run(play, work=one)


THUMB = {ord(glyph): " " for glyph in "▁▂▃▄▅▆▇"}


@pytest.mark.parametrize("key", ["2", "4"])
def test_what_waits_to_be_drawn_outlives_a_page_that_closes_at_once(one: Work, key: str) -> None:
    """As when keys are typed while the page over the screen is still busy."""

    async def others() -> None:
        for _ in range(100):
            await asyncio.sleep(0)

    async def play(app: FitterApp, pilot: Any) -> None:
        page, free = Page("Busy", []), asyncio.Event()
        await app.push_screen(page)
        page.call_later(free.wait)
        app.action_go("shots" if key == "2" else "options")
        await others()
        page.dismiss()
        await others()
        free.set()
        await settle(app, pilot)
        assert app.base.focused is app.pane.query_one(f"#{app.pane.FOCUS}")
        shown = said(app)
        await press(app, pilot, "1", key)
        assert said(app) == shown

    def said(app: FitterApp) -> list[str]:
        """What stands there; the thumb of a scroll bar comes with the next layout alone."""
        return [line.translate(THUMB).rstrip() for line in screen(app).splitlines()]

    run(play, work=one)


def test_commands_that_are_gathered_for_a_list_that_is_gone_are_no_fault(one: Work) -> None:
    """As when the list of commands is closed by the key after the one that opened it."""

    async def play(app: FitterApp, pilot: Any) -> None:
        await press(app, pilot, "ctrl+p")
        listed = app.screen
        assert isinstance(listed, Palette)
        await listed.query_one(CommandList).remove()
        listed._gather_commands("")
        listed.dismiss()
        await settle(app, pilot)

    run(play, work=one)


@pytest.mark.slow
@pytest.mark.parametrize("seed", range(5))
def test_five_thousand_random_keys(two: Work, tmp_path: Path, seed: int) -> None:
    storm(two, tmp_path / "bench.json", 1000, 10 + seed)
