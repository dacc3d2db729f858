"""Rows that do not stand under their headers: a cell too many or too few, by counts and by what fits."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from fitter.base.errors import Problem
from fitter.base.tables import is_missing
from fitter.shots.reader.cells import numberlike, to_float
from fitter.shots.reader.columns import Use
from fitter.shots.reader.layout import Block
from fitter.shots.reader.numbers import convert
from fitter.shots.session import Floats

_FULL = 4
"""Rows as wide as the header that a comparison needs."""
_CLIP, _MARGIN = 6.0, 5.0
"""Robust SDs up to which a cell counts, and by how much another place must fit better in sum."""


def straighten(block: Block, uses: Sequence[Use], text: bool, problems: list[Problem]) -> list[str]:
    """Leave out the rows of a block that were shifted, and complain where that is most of them.

    Parameters
    ----------
    block : Block
        Its shifted rows are taken out.
    uses : sequence of Use
        What its columns mean.
    text : bool
        Whether it comes from separated text: other tables leave out empty cells at the end of a row.
    problems : list of Problem
        Collects a table of which nothing stands in its place.

    Returns
    -------
    list of str
        Notices.
    """
    wide = max((i for i, h in enumerate(block.headers) if h), default=-1) + 1
    measured = [u for u in uses if u.channel.quantity]
    if not measured or not block.rows:
        return []
    tail = max(u.at for u in measured) + 1
    odd = [i for i, r in enumerate(block.rows) if _odd(r, wide, tail)]
    if not odd:
        return []
    full = [r for i, r in enumerate(block.rows) if i not in set(odd)]
    began = {i: _began(block.rows[i], full, measured, wide) for i in odd}
    few = 2 * len(odd) < len(block.rows)
    last = len(block.rows) - 1
    shifted = []
    for i in odd:
        longer = len(block.rows[i]) > wide
        # A last line that a crash cut short may end in half a number.
        cut = text and i == last and not longer and len(full) >= _FULL
        if began[i] is not None or cut or (longer and few):
            shifted.append(i)
    if shifted and 2 * len(shifted) >= len(block.rows):
        problems.append(_problem(block, shifted[0], began[shifted[0]] or 0, wide, len(shifted)))
        return []
    notices = []
    if shifted:
        at = began[shifted[0]]
        place = (
            ""
            if at is None
            else f", from '{block.headers[at]}' on in {block.counter} {block.numbers[shifted[0]]}"
        )
        notices.append(f"Left out, as they have a cell too many or too few{place}: {_rows(block, shifted)}.")
    rest = [i for i in odd if i not in set(shifted)] if text else []
    if rest:
        short = len(block.rows[rest[0]]) < wide
        what = (
            "end early: what is missing there is read as not measured"
            if short
            else "have cells without a header"
        )
        notices.append(f"Rows that {what}: {_rows(block, rest)}.")
    gone = set(shifted)
    for name in ("rows", "numbers", "context"):
        kept = [x for i, x in enumerate(getattr(block, name)) if i not in gone]
        setattr(block, name, kept)
    return notices


def _rows(block: Block, at: Sequence[int]) -> str:
    shown = ", ".join(str(block.numbers[i]) for i in at[:8]) + (" ..." if len(at) > 8 else "")
    return f"{block.counter} {shown}"


def _odd(row: Sequence[str], wide: int, tail: int) -> bool:
    """Whether a row has numbers beyond the header, or ends before the last measured column."""
    return any(numberlike(c) for c in row[wide:] if c) or len(row) < tail


def _number(cell: str) -> float:
    """Number of a cell, NaN where it is none."""
    if not cell or is_missing(cell):
        return float("nan")
    value = to_float(cell, comma=False)
    if value is None:
        value = to_float(cell, comma=True)
    return float("nan") if value is None else value


def _began(row: Sequence[str], full: Sequence[Sequence[str]], uses: Sequence[Use], wide: int) -> int | None:
    """Column from which a row is shifted; None where it stands in its place as far as one can tell."""
    if len(full) < _FULL:
        return _impossible(row, uses)
    columns = np.array([[_number(r[u.at]) if u.at < len(r) else np.nan for u in uses] for r in full[-60:]])
    with np.errstate(all="ignore"):
        middle = np.nanmedian(columns, axis=0)
        spread = 1.4826 * np.nanmedian(np.abs(columns - middle), axis=0)
    spread = np.maximum(spread, 0.01 * np.abs(middle) + 0.1)

    def misfit(cells: Sequence[str]) -> float:
        values = np.array([_number(cells[u.at]) if u.at < len(cells) else np.nan for u in uses])
        there = np.array([bool(cells[u.at]) if u.at < len(cells) else False for u in uses])
        off = np.minimum(np.abs(values - middle) / spread, _CLIP)
        # Words under a number do not fit; a cell that is not there costs a little.
        return float(np.where(np.isfinite(off), off, np.where(there, _CLIP, 1.0)).sum())

    missing = wide - len(row)
    places = range(min(len(row), wide) + 1)
    if missing > 0:
        tried = [misfit([*row[:g], *[""] * missing, *row[g:]]) for g in places]
    else:
        tried = [misfit([*row[:g], *row[g - missing :]]) for g in places]
    best = int(np.argmin(tried))
    return min(best, wide - 1) if tried[-1] - tried[best] > _MARGIN else None


def _impossible(row: Sequence[str], uses: Sequence[Use]) -> int | None:
    """First column whose cell no driver shot can have."""
    for use in sorted(uses, key=lambda u: u.at):
        cell = row[use.at] if use.at < len(row) else ""
        limits = use.channel.limits
        if not cell or not limits or not use.unit:
            continue
        value: Floats = convert(np.array([_number(cell)]), use.unit, use.channel)
        if np.isfinite(value[0]) and not limits[0] <= value[0] <= limits[1]:
            return use.at
    return None


def _problem(block: Block, i: int, at: int, wide: int, times: int) -> Problem:
    row = block.rows[i]
    word = block.headers[at] if at < len(block.headers) else ""
    where = f"{block.source}, {block.counter} {block.numbers[i]}, column {word!r}"
    cell = row[at] if at < len(row) else ""
    found = (
        f"{len(row)} cells under {wide} headers, and {cell!r} here; {times} of {len(block.rows)} rows are so"
    )
    do = "Put quotation marks around cells that hold the separator, or export with semicolons or tabs."
    return Problem(where, found, "one cell under each header", do)
