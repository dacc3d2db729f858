"""Random keys, clicks and resizes end with no exception, and the work on disk is the work on the screen."""

from __future__ import annotations

import random
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest

from fitter.tui import store
from fitter.tui.app import FitterApp
from fitter.tui.bench import Work
from tests.tui.support import run, settle

KEYS = (
    *"12345", *"12345", *"nubtavmgzcfpsxw", "space", "enter", "enter", "escape", "escape", "up", "down",
    "down", "left", "right", "plus", "minus", "home", "end", "pagedown", "pageup", "tab", "question_mark",
    "backspace",
)  # fmt: skip
SIZES = ((80, 24), (120, 40), (160, 50), (40, 12), (99, 30))


def storm(work: Work, file: Path, keys: int, seed: int) -> None:
    async def play(app: FitterApp, pilot: Any) -> None:
        rng = random.Random(seed)
        for k in range(keys):
            if rng.random() < 0.04:
                await pilot.resize_terminal(*rng.choice(SIZES))
            elif rng.random() < 0.05:
                await pilot.click(offset=(rng.randrange(app.size.width), rng.randrange(app.size.height)))
            else:
                await pilot.press(rng.choice(KEYS))
            if k % 25 == 0:
                await settle(app, pilot)
        await settle(app, pilot)
        assert store.load(file) is None or store.load(file) == replace(app.view.work, past=())

    run(play, work=work, file=file)


def test_fifty_random_keys(two: Work, tmp_path: Path) -> None:
    storm(two, tmp_path / "bench.json", 50, 1)


@pytest.mark.slow
def test_five_hundred_random_keys(two: Work, tmp_path: Path) -> None:
    storm(two, tmp_path / "bench.json", 500, 2)
