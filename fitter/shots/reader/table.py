"""All blocks of a file side by side: the shots before they are parted into players."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

from fitter.base.errors import Problem, raise_if
from fitter.base.sources import refuse
from fitter.shots import annotations as settings
from fitter.shots.reader import columns, headers, layout, numbers, order
from fitter.shots.reader.layout import Block
from fitter.shots.reader.unit_proof import Flight, settle_units
from fitter.shots.session import CHANNELS, WORDS, Column, Floats

HANDS = {"right": "right", "r": "right", "rh": "right", "right hand": "right", "right handed": "right"}
HANDS |= {"left": "left", "l": "left", "lh": "left", "left hand": "left", "left handed": "left"}
HANDS |= {"righty": "right", "lefty": "left", "rechts": "right", "links": "left"}
"""Words for a hand, plain."""
_ESTIMATED = ("est", "calc", "comp", "model", "no", "false", "n", "0", "infer", "default")


@dataclass
class Shots:
    """Rows of a file, n in all: lists of arrays by channel, words by channel, and what was understood."""

    values: dict[str, list[Floats]] = field(default_factory=dict)
    estimated: dict[str, list[NDArray[np.bool_]]] = field(default_factory=dict)
    words: dict[str, list[str]] = field(default_factory=dict)
    rows: list[int] = field(default_factory=list)
    columns: dict[str, Column] = field(default_factory=dict)
    headers: dict[str, str] = field(default_factory=dict)
    certain: set[str] = field(default_factory=set)
    notices: list[str] = field(default_factory=list)

    def __len__(self) -> int:
        return len(self.rows)


def gather(plan: layout.Layout, mapped: Mapping[str, str], hand: str | None, flight: Flight | None) -> Shots:
    """Read all blocks of a file into one table."""
    shots = Shots(notices=list(plan.notices))
    problems: list[Problem] = []
    for block in plan.blocks:
        if not block.rows:
            raise refuse(
                columns.where_of(block), "headers and no shots", "at least one shot", "Export again."
            )
        uses, unused, notices = columns.uses_of(block, mapped, plan.stated_units, problems)
        shots.notices.extend(notices)
        _words(block, uses, shots)
        read = numbers.numbers_of(block, uses, problems)
        settled = settle_units(block, read, flight, problems, shots.notices)
        hands = shots.words["hand"][len(shots) :]
        for one in settled:
            turn = one.relative & np.array([HANDS.get(headers.plain(h), hand) == "left" for h in hands])
            one.values[turn] *= -1.0
            shots.notices.extend(one.notices)
        made = numbers.combine(block, settled, problems, shots.notices)
        _mark_source(block, uses, made)
        _add(shots, block, made)
        _explain(shots, block, [n.use for n in settled] + [u for u in uses if not u.channel.quantity], unused)
    raise_if(problems, f"{plan.blocks[0].source} cannot be read.")
    return shots


def _words(block: Block, uses: Sequence[columns.Use], shots: Shots) -> None:
    """Add the words of a block: its own columns first, then what lines above said."""
    n = len(block.rows)
    found: dict[str, list[str]] = {}
    for use in uses:
        if use.channel.quantity or use.channel.name not in CHANNELS:
            continue
        cells = columns.column(block, use.at)
        if use.channel.name in found:
            old = found[use.channel.name]
            joined = [f"{a} {b}".strip() for a, b in zip(old, cells, strict=True)]
            # A date and a clock belong together; of other repeats the first column counts.
            cells = (
                joined if use.channel.name == "time" else [a or b for a, b in zip(old, cells, strict=True)]
            )
        found[use.channel.name] = cells
    for name in ("player", "hand", "shot", *WORDS):
        own = found.get(name, [""] * n)
        if name in ("player", "club"):
            own = order.filled_down(own)
        said = [c.get(name, "") for c in block.context]
        whole = [a or b for a, b in zip(own, said, strict=True)]
        if name == "time":
            whole, notice = order.times(own, said)
            shots.notices.extend([notice] if notice else [])
        shots.words.setdefault(name, []).extend(settings.tidy(name, w) for w in whole)


def _mark_source(block: Block, uses: Sequence[columns.Use], made: Mapping[str, numbers.Made]) -> None:
    """Mark spin as estimated where a column of words says so."""
    for use in uses:
        if use.channel.name == "spin_source" and "spin_rpm" in made:
            words = [headers.plain(c) for c in columns.column(block, use.at)]
            # 'measured', 'yes' and the like are measured; so is silence.
            made["spin_rpm"].estimated |= np.array([w.startswith(_ESTIMATED) for w in words])


def _add(shots: Shots, block: Block, made: Mapping[str, numbers.Made]) -> None:
    before, n = len(shots), len(block.rows)
    for name in {*shots.values, *made}:
        old = shots.values.setdefault(name, [np.full(before, np.nan)] if before else [])
        marks = shots.estimated.setdefault(name, [np.zeros(before, dtype=bool)] if before else [])
        old.append(made[name].values if name in made else np.full(n, np.nan))
        marks.append(made[name].estimated if name in made else np.zeros(n, dtype=bool))
    shots.headers |= {name: m.header for name, m in made.items()}
    shots.certain |= {name for name, m in made.items() if m.certain}
    shots.rows.extend(block.numbers)


def _explain(shots: Shots, block: Block, uses: Sequence[columns.Use], unused: Sequence[str]) -> None:
    new = [
        Column(u.header, u.channel.name, u.unit, u.how)
        if u.channel.name in CHANNELS
        else Column(u.header, "", u.unit, "serves other channels")
        for u in sorted(uses, key=lambda u: u.at)
    ]
    new += [Column(h, "", "", "not used") for h in unused]
    for column in new:
        key, again = column.header, 1
        while key in shots.columns and shots.columns[key] != column:
            again += 1
            key = f"{column.header} #{again}"
        shots.columns[key] = column
    if unused:
        notice = f"Columns that are not used: {', '.join(unused)}."
        if notice not in shots.notices:
            shots.notices.append(notice)
