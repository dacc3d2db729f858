"""Each screen as text, at the smallest size, a comfortable one and a large one.

`FITTER_BASELINES=write pytest tests/tui/test_screens.py` writes the baselines anew; look at the difference.
"""

from __future__ import annotations

import os
import re
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import pytest

from fitter.tui.app import FitterApp
from fitter.tui.bench import Work
from tests.tui.support import BASELINES, press, run, screen

SIZES = {"80x24": (80, 24), "120x40": (120, 40), "160x50": (160, 50)}
SEEN = {
    "setup": ["1"],
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


NUMBER = re.compile(r"(?<![\w.])(?<!\w[-/])[+-]?(?:\d{1,3}(?:,\d{3})+|\d+|(?=\.\d))(?:\.\d+)?")
"""A figure; the digits of a code such as H1-1/S2 belong to the word."""
DRAWN = re.compile("[─├┤●│┼╎‹›◆█▉▊▋▌▍▎▏▁▂▃▄▅▆▇\u2800-\u28ff ]")
"""Characters of pictures and bars."""
WORD = re.compile(f"[^{DRAWN.pattern[1:-1]}]+")
MOVED = 0.01
"""Share of the cells of pictures in which another machine's rounding may show."""
ROUNDED = 0.05
"""Share of the figures that it may move, by one unit of the last digit shown."""


@dataclass(frozen=True)
class Piece:
    """A word or a figure and the columns where it begins and ends."""

    text: str
    start: int
    end: int
    figure: bool


def pieces(line: str) -> list[Piece]:
    """Words and figures of a line, from left to right."""
    figures = [Piece(m[0], *m.span(), True) for m in NUMBER.finditer(line)]
    rest = NUMBER.sub(lambda m: " " * len(m[0]), line)
    return sorted(
        figures + [Piece(m[0], *m.span(), False) for m in WORD.finditer(rest)], key=lambda p: p.start
    )


def near(a: str, b: str) -> bool:
    """Whether two figures of the same digits after the point differ by one unit of the last at most."""
    digits = [len(x.partition(".")[2]) for x in (a, b)]
    values = [float(x.replace(",", "")) for x in (a, b)]
    return digits[0] == digits[1] and abs(values[0] - values[1]) < 1.5 * 10.0 ** -digits[0]


def alike(before: str, now: str) -> bool:
    """Whether two screens are the same but for rounding: each word and each figure in its place."""
    old, new = before.splitlines(), now.splitlines()
    if len(old) != len(new):
        return False
    wide = max(map(len, [*old, *new]), default=0)
    figures = rounded = drawn = 0
    for a, b in zip(old, new, strict=True):
        left, right = pieces(a), pieces(b)
        if [p.figure for p in left] != [p.figure for p in right]:
            return False
        pairs = list(zip(left, right, strict=True))
        # 9.9 and 10.0 differ in width, and what stands beside them may move by as much.
        slack = max((abs(len(p.text) - len(q.text)) for p, q in pairs if p.figure), default=0)
        for p, q in pairs:
            if min(abs(p.start - q.start), abs(p.end - q.end)) > slack:
                return False
            if p.text != q.text and not (p.figure and near(p.text, q.text)):
                return False
            figures += p.figure
            rounded += p.text != q.text
        written = {i for p in (*left, *right) for i in range(p.start, p.end)}
        both = enumerate(zip(a.ljust(wide), b.ljust(wide), strict=True))
        drawn += sum(c != d for i, (c, d) in both if i not in written)
    return rounded <= max(3, ROUNDED * figures) and drawn <= MOVED * wide * len(old)


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


@pytest.mark.parametrize(
    ("before", "now", "same"),
    [
        ("gain +34.2 yd", "gain +94.2 yd", False),
        ("gain +34.2 yd", "gain +34.3 yd", True),
        ("gain +34.2 yd", "gain +34.4 yd", False),
        ("gain +34.2 yd", "gain -34.2 yd", False),
        ("gain +34.2 yd", "gain +34 yd", False),
        ("gain  +9.9 yd", "gain +10.0 yd", True),
        ("spin -1,352 rpm", "spin -1,353 rpm", True),
        ("spin -1,352 rpm", "spin -1,452 rpm", False),
        ("P .98 ", "P .99 ", True),
        ("P .98 ", "P .89 ", False),
        ("side 0.9 R", "side 0.9 L", False),
        ("Change to H1-1/S2 45.25in", "Change to H1-2/S2 45.25in", False),
        ("Change to H1-1/S2 45.25in", "Change to H1-1/S2 45.75in", False),
        ("gain 1", "  gain 1", False),
        ("a\nb", "a", False),
        (" " * 400 + "├──●─┤", " " * 400 + "├─●──┤", True),
        (" " * 400 + "├──●─┤", " " * 400 + "      ", False),
    ],
)
def test_alike_takes_rounding_and_no_other_figure_or_word(before: str, now: str, same: bool) -> None:
    assert alike(before, before)
    assert alike(before, now) is same


@pytest.mark.parametrize("file", sorted(BASELINES.glob("*_80x24.txt")), ids=lambda f: f.stem)
def test_each_figure_of_each_screen_is_seen(file: Path) -> None:
    """The first digit of any figure changed by three is another screen."""
    shown = file.read_text(encoding="utf-8")
    assert alike(shown, shown)
    for match in NUMBER.finditer(shown):
        at = next(i for i in range(*match.span()) if shown[i].isdigit())
        other = str((int(shown[at]) + 3) % 10)
        assert not alike(shown, shown[:at] + other + shown[at + 1 :]), match[0]


def test_a_left_handed_player_reads_left_and_right(two: Work) -> None:
    """P3's log: the first ball 11.4 yd to the right, its path 5.4 deg to the left; no signs on screens."""

    async def play(app: FitterApp, pilot: Any) -> None:
        await press(app, pilot, "r", "2", "end")
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
