"""What commands print: one JSON object, or tables for people that fit 100 columns."""

from __future__ import annotations

import json
import math
import sys
import textwrap
import unicodedata
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import fields, is_dataclass
from typing import Any

from rich.cells import cell_len, chop_cells, set_cell_size

WIDTH = 100
NARROWEST = 12
"""Columns of words wrap down to this width."""


def dumps(value: Any, ascii_only: bool = False) -> str:
    """JSON text of a result; a number that does not exist becomes null."""
    return json.dumps(plain(value), indent=1, ensure_ascii=ascii_only, allow_nan=False)


def plain(value: Any) -> Any:
    """Dictionaries, lists, words and finite numbers alone: dataclasses by their fields, NaN as None."""
    if is_dataclass(value) and not isinstance(value, type):
        return {f.name: plain(getattr(value, f.name)) for f in fields(value)}
    if isinstance(value, Mapping):
        return {str(k): plain(v) for k, v in value.items()}
    if isinstance(value, list | tuple):
        return [plain(v) for v in value]
    if hasattr(value, "tolist") and not isinstance(value, str):
        return plain(value.tolist())
    if isinstance(value, float) and not math.isfinite(value):
        return None
    return value


def print_json(value: Any) -> None:
    """Print one object on stdout."""
    # A terminal that cannot show a letter still gets valid JSON.
    narrow = (getattr(sys.stdout, "encoding", None) or "utf-8").lower().replace("-", "") != "utf8"
    print(dumps(value, narrow))


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


def wrap(words: str, indent: str = "", width: int = WIDTH) -> str:
    """Sentences that fit the width; later lines stand in."""
    return textwrap.fill(clean(words), width, subsequent_indent=indent, break_on_hyphens=False)


def notes(found: Iterable[str], width: int = WIDTH) -> list[str]:
    """What the reader should know before trusting a number, wrapped."""
    return [line for note in found for line in wrap(f"Note: {note}.", width=width).splitlines()]


def fitted(
    heads: Sequence[str], rows: Sequence[Sequence[str]], align: str, width: int, spare: Sequence[str]
) -> str:
    """Table that fits the width: of its columns those go first that are named first.

    Examples
    --------
    >>> print(fitted(("day", "club", "far"), [("1", "H4/S2", "250")], "llr", 9, ("club",)))
    day  far
    1    250
    """
    kept = list(range(len(heads)))
    for name in (None, *spare):
        kept = [k for k in kept if heads[k] != name]
        sides = "".join(align[k] for k in kept)
        picked = [[r[k] for k in kept] for r in (heads, *rows)]
        found = table(picked[0], picked[1:], width=10_000, align=sides)
        if max(map(cell_len, found.splitlines())) <= width:
            return found
    return table(picked[0], picked[1:], width=width, align=sides)
