"""Cells of text to numbers: decimal commas, thousands, sides in words, units in the cell."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import UTC, datetime
from functools import lru_cache

from fitter.base.tables import is_missing

_FAILED = "no read, not read, misread, no data, error, err, fail, failed, missed, no spin, invalid"
NOT_READ = frozenset(_FAILED.split(", "))
"""Words by which people and devices say that a value was not read."""

PLAIN_NUMBER = re.compile(r"[+-]?(?:\d+\.?\d*|\.\d+)(?:[eE][+-]?\d{1,3})?", re.ASCII)
_LOOSE = re.compile(
    r"^(?P<before>[^\d.,+]*?)\s*(?P<number>[+-]?\s?[\d.,][\d.,' ]*(?:[eE][+-]?\d{1,3})?)\s*(?P<after>.*)$",
    re.ASCII,
)
_TIDY = str.maketrans(
    {"−": "-", "‐": "-", "‑": "-", "–": "-", "\u00a0": " ", "\u202f": " ", "\u2009": " ", "’": "'", "＋": "+"}
)
# Thousands begin with no zero: '0,125' has a decimal comma.
_POINT = re.compile(r"[+-]?([1-9]\d{0,2}([,' ]\d{3})+|\d*)(\.\d*)?([eE][+-]?\d+)?$", re.ASCII)
_COMMA = re.compile(r"[+-]?([1-9]\d{0,2}([.' ]\d{3})+|\d*)(,\d*)?([eE][+-]?\d+)?$", re.ASCII)


def _sides(plus: str, minus: str, own: bool = False) -> dict[str, tuple[float, bool]]:
    """Words of a side: sign, and whether it is meant from the player's own side (open, fade, draw)."""
    signs = ((1.0, plus), (-1.0, minus))
    return {word: (sign, own) for sign, words in signs for word in words.split(", ")}


LATERAL = _sides("r, right", "l, left") | _sides(
    "open, o, in to out, in out, i o, io, inside out, fade, slice, push",
    "closed, shut, c, out to in, out in, o i, oi, outside in, draw, hook, pull",
    own=True,
)
VERTICAL = _sides("up, u, high, h", "down, d, dn, low, lo")
ACROSS = _sides("toe, t, toe side", "heel, h, heel side")
CENTRE = frozenset({"0", "center", "centre", "middle", "straight", "square", "c"})
"""Words that stand for zero."""


@dataclass(frozen=True, slots=True)
class Cell:
    """A number with what stood around it.

    Parameters
    ----------
    digits : str
        The number as written.
    unit : str
        Words that may be a unit, '' if none.
    side : tuple of (float, bool) or None
        Sign and whether it is the player's own side.
    estimated : bool
        Whether a mark says that the value was computed.
    """

    digits: str
    unit: str = ""
    side: tuple[float, bool] | None = None
    estimated: bool = False


def side_words(channel: str) -> dict[str, tuple[float, bool]]:
    """Words of a side that make sense for a channel."""
    if channel == "strike_toe_mm":
        return ACROSS
    return VERTICAL if channel in ("strike_high_mm", "attack_deg", "launch_deg") else LATERAL


def is_empty(cell: str) -> bool:
    """Whether a cell says that there is no value, or that it was not read."""
    return is_missing(cell) or cell.casefold().strip("\"'()[]# ") in NOT_READ


def numberlike(cell: str) -> bool:
    """Whether a cell begins like a number."""
    head = cell.lstrip("+-−~≈<( ")[:1]
    return (head.isascii() and head.isdigit()) or (head in ".," and cell[-1:].isdigit())


def separate(cell: str, sides: dict[str, tuple[float, bool]]) -> Cell | None:
    """Part a cell such as '12,5 L', '~2450 rpm' or 'R 3.5°' into its number, unit and side.

    Parameters
    ----------
    cell : str
        The text.
    sides : dict
        Words of a side that are understood here, from `side_words`.

    Returns
    -------
    Cell or None
        None if there is no number, or if words and sign contradict each other.
    """
    # Spreadsheets put an apostrophe before a number that is kept as text.
    text = cell.translate(_TIDY).strip().strip('"').lstrip("'").strip()
    folded = text.casefold()
    if folded in sides or folded in CENTRE:
        return Cell("0") if folded in CENTRE else None
    match = _LOOSE.match(text)
    # A number in parentheses is -12 to a bookkeeper and a remark to a golfer.
    if not match or (text.startswith("(") and text.endswith(")")):
        return None
    digits = match["number"].strip()
    before, mark_before = _around(match["before"])
    after, mark_after = _around(match["after"])
    side = None
    unit = ""
    for words in (before, after):
        if not words:
            continue
        found, rest = _side(words, sides)
        if found is not None:
            if side is not None:
                return None
            side = found
        if rest:
            if unit or words is before:
                return None
            unit = rest
    if side is not None and digits.startswith("-"):
        if side[0] > 0:
            return None
        digits = digits[1:].strip()
    return Cell(digits.replace("- ", "-").replace("+ ", "+"), unit, side, mark_before or mark_after)


@lru_cache(maxsize=4096)
def _around(text: str) -> tuple[str, bool]:
    """Words around a number without their marks, and whether a mark means 'estimated'."""
    words = text.strip()
    marked = bool(re.search(r"[~≈*]|\b(est|estimated|calc|calculated|e)\b\.?", words, re.IGNORECASE))
    if marked:
        words = re.sub(r"[~≈*()]|\b(est|estimated|calc|calculated|e)\b\.?", " ", words, flags=re.IGNORECASE)
    return " ".join(words.strip(" ,;:()").split()), marked


def _side(words: str, sides: dict[str, tuple[float, bool]]) -> tuple[tuple[float, bool] | None, str]:
    """Side among the words around a number, and the words that are left."""
    tokens = re.sub(r"(?<=[°º])(?=\w)", " ", words)
    folded = re.sub(r"[-/_]", " ", tokens.casefold()).strip(" .")
    if folded in sides:
        return sides[folded], ""
    parts = tokens.split()
    for take in range(len(parts) - 1, 0, -1):
        for head, tail in ((parts[:take], parts[take:]), (parts[-take:], parts[:-take])):
            key = re.sub(r"[-/_]", " ", " ".join(head).casefold()).strip(" .")
            if key in sides:
                return sides[key], " ".join(tail)
    return None, words


def to_float(digits: str, comma: bool) -> float | None:
    """Read digits with a decimal comma or a decimal point; None if they do not fit."""
    if not (_COMMA if comma else _POINT).match(digits) or not any(c.isdigit() for c in digits):
        return None
    bare = digits.replace("'", "").replace(" ", "")
    bare = bare.replace(".", "").replace(",", ".") if comma else bare.replace(",", "")
    return float(bare)


def comma_evidence(digits: str) -> int:
    """Return +1 if digits can only hold a decimal comma, -1 only a decimal point, 0 either way.

    '12,5' has a comma; '12.5' and '1,234.5' have a point; '2,545' may be either.
    """
    comma, point = to_float(digits, True), to_float(digits, False)
    if comma is None or point is None:
        return 0 if comma is point else (1 if point is None else -1)
    return 0


_CLOCKS = ("%H:%M:%S.%f", "%H:%M:%S", "%H:%M", "%I:%M:%S %p", "%I:%M %p")
_DAYS = ("%Y-%m-%d", "%Y/%m/%d", "%d.%m.%Y", "%d.%m.%y", "%d %b %Y", "%d %B %Y", "%b %d %Y", "%B %d %Y",
         "%d-%b-%Y")  # fmt: skip
_FORMS = ("%Y%m%d %H%M%S", *(f"{day} {clock}" for day in _DAYS for clock in _CLOCKS), *_DAYS)
_SLASHED = re.compile(r"^(\d{1,2})[/-](\d{1,2})[/-](\d{2,4})(.*)$")
_EPOCH = re.compile(r"^\d{10}(\d{3})?(\.\d+)?$")


def iso(cells: Sequence[str]) -> tuple[list[str], str]:
    """Write a column of dates or times as ISO 8601, where that can be done without a guess.

    Parameters
    ----------
    cells : sequence of str
        One column; the order of day and month is settled by the column as a whole.

    Returns
    -------
    list of str
        ISO 8601 text; clock times alone stay clock times; what cannot be read stays as it is.
    str
        A notice, '' if there is none.

    Examples
    --------
    >>> iso(["13/05/2024 9:30", "02/05/2024 9:31"])
    (['2024-05-13T09:30:00', '2024-05-02T09:31:00'], '')
    """
    slashed = [m for c in cells if (m := _SLASHED.match(c))]
    day_first = any(int(m[1]) > 12 for m in slashed)
    month_first = any(int(m[2]) > 12 for m in slashed)
    if slashed and day_first == month_first:
        shown = slashed[0].string
        return list(cells), f"Dates such as '{shown}' may be day/month or month/day: left as written."
    memory: dict[str, str] = {}
    for cell in cells:
        if cell not in memory:
            memory[cell] = _one(cell, day_first)
    return [memory[c] for c in cells], ""


def _one(cell: str, day_first: bool) -> str:
    text = " ".join(cell.replace(",", " ").split())
    if not text:
        return ""
    if _EPOCH.match(text):
        seconds = float(text) / (1000.0 if len(text.split(".")[0]) == 13 else 1.0)
        return _written(datetime.fromtimestamp(seconds, UTC).replace(tzinfo=None))
    try:
        if re.match(r"^\d{4}-\d\d-\d\d", text):
            return text if len(text) == 10 else _written(datetime.fromisoformat(text))
    except ValueError:
        pass
    if match := _SLASHED.match(text):
        first, second, year = int(match[1]), int(match[2]), int(match[3])
        day, month = (first, second) if day_first else (second, first)
        text = f"{year + 2000 if year < 100 else year:04d}-{month:02d}-{day:02d}{match[4]}"
        text = _clocked(text)
    for form in _FORMS:
        if (found := _try(text, form)) is not None:
            return _written(found) if "%H" in form or "%I" in form else f"{found:%Y-%m-%d}"
    for form in _CLOCKS:
        if (found := _try(text, form)) is not None:
            return found.strftime("%H:%M:%S")
    return cell


def _clocked(text: str) -> str:
    """Turn '2024-05-01 3:15 PM' into a 24 h clock."""
    day, _, clock = text.partition(" ")
    for form in _CLOCKS:
        if (found := _try(clock, form)) is not None:
            return f"{day} {found:%H:%M:%S}"
    return text


def _try(text: str, form: str) -> datetime | None:
    try:
        # A clock without a day reads as 1900-01-01; the day is never shown.
        return datetime.strptime(text, form)
    except ValueError:
        return None


def _written(moment: datetime) -> str:
    return moment.replace(tzinfo=None).isoformat(timespec="seconds")
