"""What commands print: one JSON object, or tables for people that fit 100 columns."""

from __future__ import annotations

import json
import math
import sys
from collections.abc import Sequence
from typing import Any

from fitter.units import MPH, YARD

WIDTH = 100


def print_json(value: Any) -> None:
    """Print one object on stdout; a number that does not exist becomes null."""
    print(json.dumps(_plain(value), indent=1, ensure_ascii=False, allow_nan=False))


def _plain(value: Any) -> Any:
    if isinstance(value, dict):
        return {str(k): _plain(v) for k, v in value.items()}
    if isinstance(value, list | tuple):
        return [_plain(v) for v in value]
    if hasattr(value, "item") and not isinstance(value, str):
        value = value.item()
    if isinstance(value, float) and not math.isfinite(value):
        return None
    return value


def tell(words: str) -> None:
    """Say something that is no result: on stderr."""
    print(words, file=sys.stderr)


def table(headers: Sequence[str], rows: Sequence[Sequence[str]], left: int = 1, width: int = WIDTH) -> str:
    """Align columns: the first `left` to the left, the rest to the right; the last of the left ones wraps.

    Examples
    --------
    >>> print(table(["law", "carry yd"], [["a", "275.1"], ["longer", "9.0"]]))
    law     carry yd
    a          275.1
    longer       9.0
    """
    sizes = [max(len(r[k]) for r in [headers, *rows]) for k in range(len(headers))]
    over = sum(sizes) + 2 * (len(sizes) - 1) - width
    if over > 0:
        sizes[left - 1] = max(12, sizes[left - 1] - over)
    lines = []
    for row in [headers, *rows]:
        cells = [
            cell[:size].ljust(size) if k < left else cell.rjust(size)
            for k, (cell, size) in enumerate(zip(row, sizes, strict=True))
        ]
        lines.append("  ".join(cells).rstrip())
    return "\n".join(lines)


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
