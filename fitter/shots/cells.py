"""Cells of text to numbers."""

from __future__ import annotations

import re

NAN = float("nan")
MISSING = frozenset(
    {"", "n/a", "na", "nan", "-", "--", "---", "–", "—", "null", "none", "nil", "?", ".", "#n/a", "#na", "*"}
)
NOT_READ = frozenset(
    {"no read", "not read", "misread", "no data", "error", "err", "fail", "failed", "missed"}
)
"""Words by which people and devices say that a value was not read."""
_NUMBER = re.compile(r"[+-]?(?:\d+\.?\d*|\.\d+)(?:[eE][+-]?\d{1,2})?")
_MINUS = str.maketrans({"−": "-", "‐": "-", "‑": "-", "\u00a0": " ", "\u202f": " "})


def number(cell: str) -> float | None:
    """Read the number in a cell: NaN if it is missing, None if it cannot be read."""
    if _NUMBER.fullmatch(cell):
        return float(cell)
    text = cell.translate(_MINUS).strip()
    folded = text.casefold()
    if folded in MISSING or folded in NOT_READ:
        return NAN
    return float(text) if _NUMBER.fullmatch(text) else None
