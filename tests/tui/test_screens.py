"""Each screen as text, at the smallest size and at a comfortable one.

`FITTER_BASELINES=write pytest tests/tui/test_screens.py` writes the baselines anew; look at the difference.
"""

from __future__ import annotations

import os
import re
from typing import Any

import pytest

from fitter.tui.app import FitterApp
from fitter.tui.bench import Work
from tests.tui.support import BASELINES, press, run, screen

SIZES = {"80x24": (80, 24), "120x40": (120, 40)}
SEEN = {
    "range": ["1"],
    "shots": ["2"],
    "strikes": ["v"],
    "speed": ["v"],
    "why": ["3"],
    "options": ["4"],
    "compare": ["c", "down"],
    "bench": ["c", "g", "plus"],
    "sheet": ["g", "5"],
    "help": ["question_mark"],
}
"""Screens in the order in which the keys lead to them."""


FIGURES = re.compile("[0-9.<>─├┤●│┼╎‹›◆█▉▊▋▌▍▎▏▁▂▃▄▅▆▇\u2800-\u28ff ]")
"""Characters that another machine's rounding may move: figures, bars, dots."""
MOVED = 0.01
"""Share of the cells in which they may."""


def alike(before: str, now: str) -> bool:
    """Whether two screens are the same but for rounding; every word has to stand where it stood."""
    old, new = before.splitlines(), now.splitlines()
    if len(old) != len(new):
        return False
    wide = max(map(len, [*old, *new]), default=0)
    pairs = [p for a, b in zip(old, new, strict=True) for p in zip(a.ljust(wide), b.ljust(wide), strict=True)]
    differ = [p for p in pairs if p[0] != p[1]]
    figures = all(FIGURES.match(a) and FIGURES.match(b) for a, b in differ)
    return figures and len(differ) <= MOVED * len(pairs)


@pytest.mark.parametrize("size", SIZES)
def test_the_screens_are_what_they_were(size: str, one: Work) -> None:
    async def play(app: FitterApp, pilot: Any) -> dict[str, str]:
        found = {}
        for name, keys in SEEN.items():
            await press(app, pilot, *keys)
            found[name] = screen(app)
        return found

    found = run(play, SIZES[size], one)
    changed = []
    for name, shown in found.items():
        file = BASELINES / f"{name}_{size}.txt"
        if os.environ.get("FITTER_BASELINES") == "write":
            file.parent.mkdir(exist_ok=True)
            file.write_text(shown, encoding="utf-8")
        elif not alike(file.read_text(encoding="utf-8"), shown):
            changed.append(f"{file.name}:\n{shown}")
        width, height = SIZES[size]
        rows = shown.splitlines()
        assert len(rows) <= height
        assert max(map(len, rows)) <= width
    assert not changed, "\n".join(changed)


def test_alike_takes_rounding_and_no_other_word() -> None:
    assert alike("gain +21.9 ├──●─┤\n", "gain +22.0 ├─●──┤\n") is (MOVED * 17 >= 4)
    assert alike("a" * 400 + "1", "a" * 400 + "2")
    assert not alike("a" * 400 + "b", "a" * 400 + "c")
    assert not alike("a\nb\n", "a\n")


def test_a_left_handed_player_reads_left_and_right(two: Work) -> None:
    """P3's log: the first ball 11.4 yd to the right, its path 5.4 deg to the left; no signs on screens."""

    async def play(app: FitterApp, pilot: Any) -> None:
        await press(app, pilot, "n", "2", "end")
        row = next(line for line in screen(app).splitlines() if line[:7].split()[-1:] == ["1"])
        assert "11 R" in row
        assert "5.4 L" in row

    run(play, (210, 50), two)


def test_without_colours_everything_can_be_read(one: Work, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("NO_COLOR", "1")

    async def play(app: FitterApp, pilot: Any) -> None:
        assert app.no_color
        await press(app, pilot, "4")
        rows = screen(app).splitlines()
        verdict = next(row for row in rows if row.lstrip().startswith("> D"))
        assert "●" in verdict
        assert any(" H- present" in row for row in rows)

    run(play, work=one)
