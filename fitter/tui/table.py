"""The shots as a table in four groups: swing, strike, start, finish."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from fitter.base.units import Units
from fitter.display import words
from fitter.display.shots import flag_lines, reasons_of
from fitter.tui.lines import Line, fit, line
from fitter.tui.session import Reading

GROUPS = ("swing", "strike", "start", "finish")
NAMES = 9
"""Least columns for the build."""
ROOM = 18
"""Columns from which on a reason stands in place of the build."""


@dataclass(frozen=True)
class Column:
    """A column of the table.

    Parameters
    ----------
    channel, group, label : str
    kind : str
        'speed', 'far', 'side', 'far side', 'deg', 'rpm', 'across' or 'up'.
    digits, width : int
    need : int
        1 always shown, 2 from about 100 columns on, 3 from about 130 on.
    """

    channel: str
    group: str
    label: str
    kind: str
    digits: int
    width: int
    need: int


COLUMNS = (
    Column("club_speed_mps", "swing", "club", "speed", 0, 5, 1),
    Column("attack_deg", "swing", "attack", "deg", 1, 6, 2),
    Column("path_deg", "swing", "path", "side", 1, 6, 3),
    Column("face_deg", "swing", "face", "side", 1, 6, 3),
    Column("dynamic_loft_deg", "swing", "loft", "deg", 1, 5, 1),
    Column("strike_toe_mm", "strike", "across", "across", 0, 7, 1),
    Column("strike_high_mm", "strike", "up", "up", 0, 7, 2),
    Column("ball_speed_mps", "start", "ball", "speed", 0, 4, 1),
    Column("launch_deg", "start", "launch", "deg", 1, 6, 1),
    Column("direction_deg", "start", "start", "side", 1, 6, 2),
    Column("spin_rpm", "start", "spin", "rpm", 0, 5, 1),
    Column("spin_axis_deg", "start", "axis", "side", 0, 5, 3),
    Column("carry_m", "finish", "carry", "far", 0, 5, 1),
    Column("total_m", "finish", "total", "far", 0, 5, 2),
    Column("offline_m", "finish", "side", "far side", 0, 5, 1),
    Column("apex_m", "finish", "apex", "far", 0, 5, 3),
)


def columns(reading: Reading, width: int) -> list[Column]:
    """Columns that were measured and find room."""
    session = reading.session
    there = [c for c in COLUMNS if session.has(c.channel)]
    left, chosen = width - NAMES - 7, set()
    for c in sorted(there, key=lambda c: c.need):
        if c.need == 1 or c.width + 1 <= left:
            chosen.add(c.channel)
            left -= c.width + 1
    return [c for c in there if c.channel in chosen]


def cell(column: Column, value: float, units: str) -> str:
    """One value for people."""
    if column.kind == "speed":
        return words.number(value / words.speed_scale(units)[0], 1 if units == "metric" else 0)
    if column.kind == "far":
        return words.number(value / words.far_scale(units)[0])
    if column.kind == "far side":
        return words.side(value / words.far_scale(units)[0])
    if column.kind in ("across", "up") and np.isfinite(value):
        return words.strike(*((value, 0.0) if column.kind == "across" else (0.0, value)))
    if column.kind == "side":
        return words.side(value, column.digits)
    return words.number(value, column.digits)


def draw(reading: Reading, units: str, width: int) -> tuple[list[Line], list[Line]]:
    """Two heading lines, and one row a shot: the newest on top."""
    shown, seen = columns(reading, width), reading.seen
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
        sign = "x" if aside else "t" if tired[i] else "?" if warned else " "
        spans: list[tuple[str, str]] = [
            (f"{sign}{int(seen.shot[i]):>4} ", "warn" if aside else "mark" if sign != " " else "dim"),
            (fit(_called(reading, i, names), names - 1), "hand" if reading.builds[i] else "dim"),
        ]
        for c in shown:
            text = cell(c, seen.value(c.channel)[i], units)
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


def why_marked(reading: Reading, shot: int, units: str) -> list[str]:
    """Sentences of one shot's flags."""
    at = [i for i, s in enumerate(reading.session.shot) if int(s) == shot]
    if not at:
        return []
    one = reading.session.take(np.array(at, dtype=np.int64))
    said = [f.strip() for f in flag_lines(one, Units(units))]
    if reading.fresh is not None and reading.fresh.tired[at[0]]:
        said.append("t under the fresh line: 95 % of the day's peak club speed")
    return list(dict.fromkeys(said))
