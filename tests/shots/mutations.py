"""Faults that logs get on their way: each kind made of a good log by a random generator."""

from __future__ import annotations

import csv
import io
import re
from collections.abc import Callable
from pathlib import Path

import numpy as np

from fitter import demo
from fitter.base.units import UNITS

Rows = list[list[str]]
SIGNED = ("attack", "path", "face", "direction", "spin axis", "offline", "toe", "high")
OTHER = {
    "mph": ("m/s", "km/h"), "yd": ("m", "ft"), "deg": ("rad",), "rpm": ("rps",), "mm": ("in", "cm"),
}  # fmt: skip
"""Units in which the cells of a column may be while its header names another."""
LABELS = ("Average", "Ø", "Mittelwert", "Median", "P90", "", "SD", "{next}", "Mejor", "Δ", "Σ", "Range")
FULL = ("P1", "P2", "P3", "P4", "C12", "C13", "C14", "C15", "C16", "C17", "C19", "bay1")


def good() -> dict[str, Rows]:
    """Logs of the invented shop with a full set of columns, by name: one player each, whose hand is said."""
    out: dict[str, Rows] = {}
    for name in FULL:
        folder = demo.folder() if name[0] == "P" else demo.folder() / "club_night"
        head, *rows = csv.reader(io.StringIO((folder / f"{name}.csv").read_text(encoding="utf-8")))
        player = head.index("player")
        at = [i for i, h in enumerate(head) if h not in ("player", "hand")]
        for who in dict.fromkeys(r[player] for r in rows):
            own = [r for r in rows if r[player] == who]
            # The roster of the club night has two left-handers; a log of the demo says it itself.
            said = own[0][head.index("hand")] if "hand" in head else "right"
            hand = "left" if who in ("Guest 6", "Guest 13") else said
            out[who] = [["hand", *(head[i] for i in at)], *([hand, *(r[i] for i in at)] for r in own)]
    return out


def written(rows: Rows, path: Path) -> Path:
    """Write rows as a log."""
    path.write_text("\n".join(",".join(r) for r in rows) + "\n", encoding="utf-8")
    return path


def unit(header: str) -> str:
    """Unit of a header, '' if it names none."""
    match = re.search(r"\((.*)\)", header)
    return match[1] if match else ""


def number(text: str) -> float:
    """Number of a cell, NaN where it is none."""
    try:
        return float(text)
    except ValueError:
        return float("nan")


def cell(value: float, digits: int) -> str:
    """A cell of a number."""
    return f"{value:.{digits}f}" if np.isfinite(value) else "n/a"


def exchanged(rows: Rows, rng: np.random.Generator) -> tuple[Rows, str]:
    """The headers of two columns of one quantity exchanged."""
    head = rows[0]
    pairs = [
        (i, k) for i in range(len(head)) for k in range(i) if unit(head[i]) and unit(head[i]) == unit(head[k])
    ]
    i, k = pairs[rng.integers(len(pairs))]
    new = list(head)
    new[i], new[k] = head[k], head[i]
    return [new, *rows[1:]], f"{head[i]} <> {head[k]}"


def rescaled(rows: Rows, rng: np.random.Generator) -> tuple[Rows, str]:
    """The cells of a column in another unit than its header says."""
    head = rows[0]
    at = [i for i, h in enumerate(head) if unit(h) in OTHER]
    i = at[rng.integers(len(at))]
    here = unit(head[i])
    there = OTHER[here][rng.integers(len(OTHER[here]))]
    factor = UNITS[here].factor / UNITS[there].factor
    digits = 1 if factor > 0.2 else 3
    new = [[*r[:i], cell(number(r[i]) * factor, digits), *r[i + 1 :]] for r in rows[1:]]
    return [head, *new], f"{head[i]} in {there}"


def turned(rows: Rows, rng: np.random.Generator) -> tuple[Rows, str]:
    """A column with the other sign."""
    head = rows[0]
    at = [i for i, h in enumerate(head) if h.split(" (")[0] in SIGNED]
    i = at[rng.integers(len(at))]
    return [head, *([*r[:i], cell(-number(r[i]), 1), *r[i + 1 :]] for r in rows[1:])], head[i]


def shifted(rows: Rows, rng: np.random.Generator) -> tuple[Rows, str]:
    """A cell lost, or divided in two, in one row, from a row on, or in all."""
    head, n, wide = rows[0], len(rows) - 1, len(rows[0])
    at = int(rng.integers(2, wide - 1))
    how, first = rng.integers(3), int(rng.integers(n))
    which = {0: [first], 1: list(range(first, n)), 2: list(range(n))}[int(how)]
    lose = bool(rng.integers(2))

    def broken(row: list[str]) -> list[str]:
        if lose:
            return [*row[:at], *row[at + 1 :]]
        whole, _, part = row[at].partition(".")
        return [*row[:at], whole, part or "0", *row[at + 1 :]]

    new = [broken(r) if k in which else r for k, r in enumerate(rows[1:])]
    return [head, *new], f"{'lost' if lose else 'divided'} {head[at]} in {len(which)} rows"


def summed(rows: Rows, rng: np.random.Generator) -> tuple[Rows, str]:
    """A row that sums up the others, under some label, at the end or on top."""
    head = rows[0]
    label = LABELS[rng.integers(len(LABELS))]
    statistic: Callable[..., np.ndarray] = {
        "Median": np.nanmedian, "SD": np.nanstd, "P90": lambda x, axis: np.nanquantile(x, 0.9, axis=axis),
        "Mejor": np.nanmax,
    }.get(label, np.nanmean)  # fmt: skip
    first = head.index("club speed (mph)")
    table = np.array([[number(c) for c in r[first:]] for r in rows[1:]])
    digits = [0 if unit(h) in ("rpm", "mm") else 1 for h in head[first:]]
    cells = [f"{v:.{d}f}" for v, d in zip(statistic(table, axis=0), digits, strict=True)]
    name = label.format(next=len(rows))
    known = {"shot": name, "hand": rows[1][0]}
    row = [*(known.get(h, "") for h in head[:first]), *cells]
    top = bool(rng.integers(2)) and label not in ("", "{next}")
    return ([head, row, *rows[1:]] if top else [*rows, row]), f"{name or 'no label'}{' on top' * top}"


KINDS = {"exchange": exchanged, "rescale": rescaled, "sign": turned, "shift": shifted, "summary": summed}
"""Every kind of fault by name."""
