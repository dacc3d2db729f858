"""Dates and times in the forms that logs use, to ISO 8601."""

from __future__ import annotations

import re
from collections.abc import Callable, Sequence
from datetime import UTC, datetime

_FORMS = (
    "%Y-%m-%d %H:%M:%S.%f",
    "%Y-%m-%d %H:%M:%S",
    "%Y-%m-%d %H:%M",
    "%Y-%m-%d",
    "%Y/%m/%d %H:%M:%S",
    "%Y/%m/%d %H:%M",
    "%Y/%m/%d",
    "%Y%m%d %H%M%S",
    "%d.%m.%Y %H:%M:%S",
    "%d.%m.%Y %H:%M",
    "%d.%m.%Y",
    "%d.%m.%y",
    "%d.%m.%y %H:%M",
    "%d.%m.%y %H:%M:%S",
    "%d %b %Y %H:%M:%S",
    "%d %b %Y %H:%M",
    "%d %b %Y",
    "%d %B %Y",
    "%d %B %Y %H:%M",
    "%b %d %Y %I:%M:%S %p",
    "%b %d %Y %I:%M %p",
    "%b %d %Y",
    "%B %d %Y",
    "%B %d %Y %I:%M %p",
    "%b %d %Y %H:%M",
    "%d-%b-%Y",
    "%d-%b-%Y %H:%M:%S",
    "%d-%b-%Y %H:%M",
)
_CLOCK = ("%H:%M:%S.%f", "%H:%M:%S", "%H:%M", "%I:%M:%S %p", "%I:%M %p")
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
        return list(cells), "Dates such as '" + slashed[
            0
        ].string + "' may be day/month or month/day: left as written."
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
    for form in _CLOCK:
        if (found := _try(text, form)) is not None:
            return found.strftime("%H:%M:%S")
    return cell


def _clocked(text: str) -> str:
    """Turn '2024-05-01 3:15 PM' into a 24 h clock."""
    day, _, clock = text.partition(" ")
    for form in _CLOCK:
        if (found := _try(clock, form)) is not None:
            return f"{day} {found:%H:%M:%S}"
    return text


def _try(text: str, form: str) -> datetime | None:
    try:
        # A clock without a day reads as 1900-01-01; the day is never shown.
        return _parse(text, form)
    except ValueError:
        return None


_parse: Callable[[str, str], datetime] = datetime.strptime


def _written(moment: datetime) -> str:
    return moment.replace(tzinfo=None).isoformat(timespec="seconds")
