"""Cells of a column to numbers: decimal signs, words of a side, units in the cells."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace

import numpy as np
from numpy.typing import NDArray

from fitter.base.errors import Problem
from fitter.base.units import UNITS, Unit
from fitter.shots.reader import cells, headers
from fitter.shots.reader.columns import Use, column, where_of
from fitter.shots.reader.layout import Block
from fitter.shots.session import Floats
from fitter.shots.vocabulary import Channel

_LARGEST = 1e12
"""Numbers from here on are no measurement, and would overflow where they are squared."""
_SHOWN = 6
"""Different unreadable cells of a column that are named one by one."""


@dataclass
class Numbers:
    """A column's numbers, n rows, in the unit of ``use``.

    Parameters
    ----------
    use : Use
        The column.
    values : ndarray, shape (n,)
        Numbers as written, signs of words applied, NaN where missing.
    relative : ndarray of bool, shape (n,)
        True where words such as 'open' or 'fade' are meant from the player's own side.
    estimated : ndarray of bool, shape (n,)
        True where a mark or the header says that the device computed the value.
    notices : list of str
        What should be known.
    certain : bool
        Whether words say which side is positive.
    """

    use: Use
    values: Floats
    relative: NDArray[np.bool_]
    estimated: NDArray[np.bool_]
    notices: list[str] = field(default_factory=list)
    certain: bool = False

    def si(self) -> Floats:
        """Values in the unit of the channel, shape (n,)."""
        return convert(self.values, self.use.unit, self.use.channel)


def convert(values: Floats, unit: str, channel: Channel) -> Floats:
    """Convert from a unit to the unit of a channel."""
    if not channel.unit or unit == channel.unit or not unit:
        return values
    here, there = _unit(unit), UNITS[channel.unit]
    if here.factor == there.factor and here.offset == there.offset:
        return values
    return np.asarray((values * here.factor + here.offset - there.offset) / there.factor)


def _unit(name: str) -> Unit:
    found = headers.unit_of(name)
    assert found is not None, name
    return found[1]


def numbers_of(block: Block, uses: Sequence[Use], problems: list[Problem]) -> list[Numbers]:
    """Read the numbers of the measured columns of a block.

    Returns
    -------
    list of Numbers
        One a column of numbers; a unit that stands in the cells is taken from there.
    """
    parted = [(use, _part(block, use, problems)) for use in uses if use.channel.quantity]
    tally = [_evidence(p.digits) for _, p in parted]
    commas = any(1 in t for t in tally) and not any(-1 in t for t in tally)
    return [_numbers(block, use, p, t, commas, problems) for (use, p), t in zip(parted, tally, strict=True)]


@dataclass
class _Parts:
    digits: list[str]
    units: list[str]
    signs: Floats
    relative: NDArray[np.bool_]
    estimated: NDArray[np.bool_]
    worded: int = 0
    narrow: int = 0


def _part(block: Block, use: Use, problems: list[Problem]) -> _Parts:
    """Part the cells of a column into digits, units and sides."""
    n = len(block.rows)
    parts = _Parts([""] * n, [""] * n, np.ones(n), np.zeros(n, dtype=bool), np.full(n, use.estimated))
    sides = cells.side_words(use.channel.name)
    bad: dict[str, list[int]] = {}
    for i, cell in enumerate(column(block, use.at)):
        parts.narrow += bool(cell) and not cell.strip("#")
        if cells.PLAIN_NUMBER.fullmatch(cell):
            parts.digits[i] = cell
            continue
        if cells.is_empty(cell):
            continue
        found = cells.separate(cell, sides)
        unit = headers.unit_of(found.unit) if found and found.unit else None
        if found is None or (found.unit and (unit is None or unit[1].quantity != use.channel.quantity)):
            bad.setdefault(cell, []).append(block.numbers[i])
            continue
        parts.digits[i] = found.digits
        parts.units[i] = unit[0] if unit else ""
        parts.estimated[i] |= found.estimated
        if found.side:
            parts.worded += 1
            # A word of a side stands above the sign convention of the header.
            parts.signs[i], parts.relative[i] = found.side[0] * use.sign, found.side[1]
    _complain(block, use, bad, problems)
    return parts


def _complain(block: Block, use: Use, bad: Mapping[str, Sequence[int]], problems: list[Problem]) -> None:
    """Name every different cell that cannot be read, up to a point that a person still reads."""
    side = " or 12 L" if use.channel.mirrored else ""
    allowed, do = f"a number such as 12.5{side}, or blank or n/a", "Correct the cell or leave it empty."
    for cell, at in list(bad.items())[:_SHOWN]:
        shown = ", ".join(map(str, at[:5])) + (f" and {len(at) - 5} more" if len(at) > 5 else "")
        where = f"{block.source}, {block.counter} {shown}, column {use.header!r}"
        problems.append(Problem(where, repr(cell[:40]), allowed, do))
    if len(bad) > _SHOWN:
        rows = [row for at in list(bad.values())[_SHOWN:] for row in at]
        where = f"{block.source}, {block.counter} {min(rows)} to {max(rows)}, column {use.header!r}"
        found = f"{len(rows)} more cells like these"
        problems.append(Problem(where, found, allowed, "Is this the right column? Name it with --map."))


def _evidence(digits: Sequence[str]) -> set[int]:
    return {cells.comma_evidence(d) for d in set(digits) if "," in d or "." in d}


def _numbers(
    block: Block, use: Use, parts: _Parts, evidence: set[int], commas: bool, problems: list[Problem]
) -> Numbers:
    notices: list[str] = []
    if parts.narrow:
        few = f"{parts.narrow} cell{'s' * (parts.narrow > 1)}"
        notices.append(
            f"'{use.header}': {few} hold only '####', which a spreadsheet writes where a column is too "
            "narrow: widen it and export again."
        )
    comma = _decide(use, parts, evidence, commas)
    if comma is None:
        seen = next(d for d in parts.digits if "," in d)
        where = f"{where_of(block)}, column {use.header!r}"
        do = "Write 2545 or 2.545, or use the same decimal sign in the whole file."
        problems.append(Problem(where, f"{seen!r}, a decimal comma or thousands", "one reading", do))
        comma = False
    values = np.full(len(parts.digits), np.nan)
    bad: dict[str, list[int]] = {}
    for i, digits in enumerate(parts.digits):
        if not digits:
            continue
        here = comma if len(evidence - {0}) < 2 else cells.comma_evidence(digits) == 1
        value = cells.to_float(digits, here)
        if value is None or not abs(value) < _LARGEST:
            bad.setdefault(digits, []).append(block.numbers[i])
        else:
            values[i] = value
    _complain(block, use, bad, problems)
    values *= parts.signs * use.sign
    use = _units_in_cells(use, parts, values, notices)
    certain = use.sign_said or bool(parts.worded)
    return Numbers(use, values, parts.relative, parts.estimated, notices, certain)


def _decide(use: Use, parts: _Parts, evidence: set[int], commas: bool) -> bool | None:
    """Whether the comma is decimal in a column: by its own cells, by what is plausible, by the file."""
    if not evidence or evidence == {-1} or evidence == {0, -1}:
        return False
    if 1 in evidence:
        return True
    limits = use.channel.limits
    digits = [d for d in parts.digits if d]
    if limits and use.unit and not any(parts.units):
        fits = []
        for comma in (False, True):
            read = [cells.to_float(d, comma) for d in digits]
            values = convert(np.array([v for v in read if v is not None]), use.unit, use.channel)
            inside = (values >= limits[0]) & (values <= limits[1])
            fits.append(bool(inside.mean() > 0.5) if len(values) else False)
        if fits[0] != fits[1]:
            return fits[1]
    if commas:
        return True
    return None if any("," in d for d in digits) else False


def _units_in_cells(use: Use, parts: _Parts, values: Floats, notices: list[str]) -> Use:
    """Bring cells that carry their own unit to the column's unit."""
    seen = set(parts.units) - {""}
    if not seen or not use.channel.unit:
        return use
    if not use.unit:
        bare = any(d and not u for d, u in zip(parts.digits, parts.units, strict=True))
        if bare and len(seen) == 1:
            notices.append(f"'{use.header}': cells without a unit are taken in {min(seen)} like the others.")
        elif bare:
            return use
        use = replace(use, unit=min(seen), how="unit in the cells")
    for unit in seen - {use.unit}:
        at = np.array([u == unit for u in parts.units])
        there, here = _unit(use.unit), _unit(unit)
        values[at] = (values[at] * here.factor + here.offset - there.offset) / there.factor
    return use
