"""The table of shots as lines: the newest on top, the columns that find room."""

from __future__ import annotations

import numpy as np

from fitter.base.units import Units
from fitter.display import words
from fitter.display.shots import Column, columns, flag_lines, reasons_of
from fitter.display.text import fit
from fitter.tui.lines import Line, line
from fitter.tui.reading import Reading

NAMES = 9
"""Least columns for the build."""
ROOM = 18
"""Columns from which on a reason stands in place of the build."""


def columns_in(reading: Reading, width: int) -> list[Column]:
    """Columns that were measured and find room."""
    there = columns(reading.session)
    left, chosen = width - NAMES - 7, set()
    for c in sorted(there, key=lambda c: c.need):
        if c.need == 1 or c.width + 1 <= left:
            chosen.add(c.channel)
            left -= c.width + 1
    return [c for c in there if c.channel in chosen]


def table(reading: Reading, units: Units, width: int) -> tuple[list[Line], list[Line]]:
    """Two heading lines, and one row a shot: the newest on top."""
    shown, seen = columns_in(reading, width), reading.seen
    spare = width - sum(c.width + 1 for c in shown) - 6
    names = max(NAMES, min(24, spare))
    groups, labels = " " * (5 + names), f" shot {fit('build', names - 1)}"
    for group in dict.fromkeys(c.group for c in shown):
        size = sum(c.width + 1 for c in shown if c.group == group)
        groups += " " + fit(f"{group} {'─' * size}", size - 1).replace("…", "─")
    for c in shown:
        labels += " " + fit(c.label, c.width, right=True)
    head = [line((groups, "head")), line((labels, "dim"))]
    tired = reading.fresh.tired if reading.fresh is not None else np.zeros(len(seen), dtype=bool)
    rows = []
    for i in reversed(range(len(seen))):
        aside, warned = bool(seen.set_aside[i]), any(f.shot == int(seen.shot[i]) for f in seen.flags)
        new = i >= len(seen) - reading.new
        sign = "x" if aside else "+" if new else "t" if tired[i] else "?" if warned else " "
        spans: list[tuple[str, str]] = [
            (f"{sign}{int(seen.shot[i]):>4} ", "warn" if aside else "mark" if sign != " " else "dim"),
            (fit(_called(reading, i, names), names - 1), "hand" if reading.builds[i] else "dim"),
        ]
        for c in shown:
            text = c.cell(float(seen.value(c.channel)[i]), units)
            spans.append((" " + fit(text, c.width, right=True), "dim" if aside else ""))
        rows.append(line(*spans, key=str(int(seen.shot[i]))))
    return head, rows


def _called(reading: Reading, i: int, names: int) -> str:
    """Build of a shot; of a set-aside one the reason, where there is room for it."""
    if reading.session.set_aside[i] and names >= ROOM:
        reasons = reasons_of(reading.session, int(reading.session.shot[i]))
        if reasons:
            return reasons[0]
    return words.short_build(reading.builds[i])


def why_marked(reading: Reading, shot: int, units: Units) -> list[str]:
    """Sentences of one shot's flags."""
    at = [i for i, s in enumerate(reading.session.shot) if int(s) == shot]
    if not at:
        return []
    one = reading.session.take(np.array(at, dtype=np.int64))
    said = [f.strip() for f in flag_lines(one, units)]
    if reading.fresh is not None and reading.fresh.tired[at[0]]:
        said.append(f"t {words.FRESH}")
    if at[0] >= len(reading.session) - reading.new:
        said.append("+ just came in: what it says is being worked out")
    return list(dict.fromkeys(said))
