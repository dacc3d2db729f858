"""What commands print: one JSON object, or tables for people that fit 100 columns."""

from __future__ import annotations

import json
import math
import sys
import textwrap
import unicodedata
from collections.abc import Sequence
from typing import Any

from rich.cells import cell_len, chop_cells, set_cell_size

from fitter.base.units import MPH, YARD

WIDTH = 100
NARROWEST = 12
"""Columns of words wrap down to this width."""


def print_json(value: Any) -> None:
    """Print one object on stdout; a number that does not exist becomes null."""
    # A terminal that cannot show a letter still gets valid JSON.
    plain = (getattr(sys.stdout, "encoding", None) or "utf-8").lower().replace("-", "") != "utf8"
    print(json.dumps(_plain(value), indent=1, ensure_ascii=plain, allow_nan=False))


def _plain(value: Any) -> Any:
    if isinstance(value, dict):
        return {str(k): _plain(v) for k, v in value.items()}
    if isinstance(value, list | tuple):
        return [_plain(v) for v in value]
    if hasattr(value, "tolist") and not isinstance(value, str):
        return _plain(value.tolist())
    if isinstance(value, float) and not math.isfinite(value):
        return None
    return value


def tell(words: str) -> None:
    """Say something that is no result: on stderr."""
    print(words, file=sys.stderr)


def clean(words: str) -> str:
    """Words of a file without control characters, which a terminal would obey."""
    return "".join("?" if unicodedata.category(c) in ("Cc", "Cs", "Zl", "Zp") else c for c in words)


def fit(words: str, width: int, right: bool = False) -> str:
    """Words in exactly so many columns; what is cut ends in a dot-dot.

    Examples
    --------
    >>> fit("abc", 5), fit("abc", 5, right=True), fit("abcdef", 4)
    ('abc  ', '  abc', 'abc…')
    """
    words = clean(words)
    size = cell_len(words)
    if size > width:
        return set_cell_size(words, width - 1) + "…"
    return " " * (width - size) + words if right else words + " " * (width - size)


def _fold(words: str, width: int) -> list[str]:
    """Lines of at most so many columns, whatever the letters' width."""
    return [part for line in textwrap.wrap(words, width) or [""] for part in chop_cells(line, width) or [""]]


def table(
    headers: Sequence[str],
    rows: Sequence[Sequence[str]],
    left: int = 1,
    width: int = WIDTH,
    align: str | None = None,
) -> str:
    """Align columns; what is too wide wraps, nothing is cut.

    Parameters
    ----------
    headers : sequence of str
    rows : sequence of sequence of str
    left : int
        The first so many columns stand to the left, the rest to the right.
    width : int
        Columns of the terminal; the widest columns of words give way first.
    align : str, optional
        One letter a column, 'l' or 'r', instead of ``left``.

    Examples
    --------
    >>> print(table(["law", "carry yd"], [["a", "275.1"], ["longer", "9.0"]]))
    law     carry yd
    a          275.1
    longer       9.0
    >>> print(table(["name", "yd", "because of"], [["a", "1", "one two three four"]], width=22, align="lrl"))
    name  yd  because of
    a      1  one two
              three four
    """
    sides = align or "l" * left + "r" * (len(headers) - left)
    grid = [[clean(str(cell)) for cell in row] for row in [headers, *rows]]
    sizes = [max(cell_len(row[k]) for row in grid) for k in range(len(headers))]
    while sum(sizes) + 2 * (len(sizes) - 1) > width:
        wide = [k for k, side in enumerate(sides) if side == "l" and sizes[k] > NARROWEST]
        if not wide:
            break
        sizes[max(wide, key=lambda k: sizes[k])] -= 1
    lines = []
    for row in grid:
        folded = [
            _fold(cell, size) if cell_len(cell) > size else [cell]
            for cell, size in zip(row, sizes, strict=True)
        ]
        for n in range(max(map(len, folded))):
            cells = [part[n] if n < len(part) else "" for part in folded]
            pads = [" " * max(0, size - cell_len(c)) for c, size in zip(cells, sizes, strict=True)]
            lines.append(
                "  ".join(c + p if s == "l" else p + c for c, p, s in zip(cells, pads, sides, strict=True))
            )
    return "\n".join(line.rstrip() for line in lines)


def wrap(words: str, indent: str = "") -> str:
    """Sentences that fit the width; later lines stand in."""
    return textwrap.fill(clean(words), WIDTH, subsequent_indent=indent, break_on_hyphens=False)


def distance(metres: float | None, units: str, digits: int = 1) -> str:
    """Distance with its unit, in the units in force."""
    if metres is None or not math.isfinite(metres):
        return "-"
    return f"{metres:.{digits}f} m" if units == "metric" else f"{metres / YARD:.{digits}f} yd"


def speed(mps: float | None, units: str, digits: int = 1) -> str:
    """Speed with its unit, in the units in force."""
    if mps is None or not math.isfinite(mps):
        return "-"
    return f"{mps:.{digits}f} m/s" if units == "metric" else f"{mps / MPH:.{digits}f} mph"


def side(value: float | None, unit: str, digits: int = 1) -> str:
    """Side for people: L and R, never signs.

    Examples
    --------
    >>> side(-3.24, "deg"), side(12.0, "yd", 0), side(0.01, "deg")
    ('3.2 deg L', '12 yd R', '0.0 deg')
    """
    if value is None or not math.isfinite(value):
        return "-"
    size = f"{abs(value):.{digits}f} {unit}"
    if float(f"{value:.{digits}f}") == 0.0:
        return size
    return f"{size} {'R' if value > 0 else 'L'}"


def far_side(metres: float | None, units: str, digits: int = 1) -> str:
    """Sideways distance for people, in the units in force."""
    if metres is None:
        return "-"
    return side(metres, "m", digits) if units == "metric" else side(metres / YARD, "yd", digits)
