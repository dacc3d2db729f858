"""Numbers of a column: decimal signs, words of a side, units in the cells."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace

import numpy as np
from numpy.typing import NDArray

from fitter.base.assumptions import current
from fitter.base.errors import Problem
from fitter.base.units import DEG, UNITS, Unit
from fitter.shots.reader import cells, headers
from fitter.shots.reader.columns import Use, column, where_of
from fitter.shots.reader.layout import Block
from fitter.shots.session import CHANNELS, Channel, Floats

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


def _part(block: Block, use: Use, problems: list[Problem]) -> _Parts:
    """Part the cells of a column into digits, units and sides."""
    n = len(block.rows)
    parts = _Parts([""] * n, [""] * n, np.ones(n), np.zeros(n, dtype=bool), np.full(n, use.estimated))
    sides = cells.side_words(use.channel.name)
    bad: dict[str, list[int]] = {}
    for i, cell in enumerate(column(block, use.at)):
        if cells.PLAIN_NUMBER.fullmatch(cell):
            parts.digits[i] = cell
            continue
        if not cell or cells.is_missing(cell):
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


SAME = current().value("intake.same")
"""Relative difference within which two columns say the same, rounding included."""
SAME_AT_LEAST = current().value("intake.same_at_least")
"""The same for values near nought: a column printed to one decimal."""
RATIO_AGREES = current().value("intake.ratio_agrees")
"""Relative difference between a printed ball/club ratio and the speeds, beyond which a unit is wrong."""


@dataclass
class Made:
    """Values of one channel, shape (n,), in its unit, which are estimated, whether the sign is certain."""

    values: Floats
    estimated: NDArray[np.bool_]
    header: str
    certain: bool = False


def combine(
    block: Block, numbers: Sequence[Numbers], problems: list[Problem], notices: list[str]
) -> dict[str, Made]:
    """Make the channels of a block out of its columns.

    Parameters
    ----------
    block : Block
        For messages.
    numbers : sequence of Numbers
        Columns with their units.
    problems, notices : list
        Collect what is wrong and what should be known.

    Returns
    -------
    dict of str to Made
        Channels alone.
    """
    columns: dict[str, list[Numbers]] = {}
    for one in numbers:
        columns.setdefault(one.use.channel.name, []).append(one)
    made = {name: _one(block, name, several, problems, notices) for name, several in columns.items()}
    _spin(made, notices)
    _face(made, notices)
    _strike(made)
    _ratio(made, notices)
    if "carry_side_m" in made and "offline_m" not in made:
        made["offline_m"] = made["carry_side_m"]
        notices.append(
            f"'{made['offline_m'].header}' is taken as offline: it is the side at landing, before any run."
        )
    return {name: m for name, m in made.items() if name in CHANNELS}


def _one(
    block: Block, name: str, several: list[Numbers], problems: list[Problem], notices: list[str]
) -> Made:
    """Choose among, or join, the columns that hold the same channel."""
    filled = [c for c in several if np.isfinite(c.values).any()] or several[:1]
    best = [c for c in filled if c.use.rank == min(f.use.rank for f in filled)]
    first = best[0]
    out = Made(first.si().copy(), first.estimated.copy(), first.use.header, first.certain)
    for other in best[1:]:
        a, b = out.values, other.si()
        both = np.isfinite(a) & np.isfinite(b)
        marked = out.estimated.any() != other.estimated.any() and not (out.estimated & other.estimated).any()
        near = np.abs(a - b) <= SAME * np.abs(a) + SAME_AT_LEAST
        if marked:
            measured = np.where(out.estimated, False, np.isfinite(a))
            take = np.where(other.estimated, ~measured, np.isfinite(b))
            take &= np.isfinite(b)
            out.values, out.estimated = np.where(take, b, a), np.where(take, other.estimated, out.estimated)
            notices.append(
                f"'{out.header}' and '{other.use.header}': measured values go before estimated ones."
            )
        elif near[both].all():
            take = ~np.isfinite(a)
            out.values, out.estimated = np.where(take, b, a), np.where(take, other.estimated, out.estimated)
            if both.any():
                notices.append(f"'{out.header}' and '{other.use.header}' say the same: the first is used.")
        else:
            label = several[0].use.channel.label
            problems.append(
                Problem(
                    f"{where_of(block)}, columns {out.header!r} and {other.use.header!r}",
                    "two columns that differ",
                    f"one column for {label}",
                    f"Leave one out with --map '{other.use.header}='.",
                )
            )
    return out


def _spin(made: dict[str, Made], notices: list[str]) -> None:
    """Total spin and axis from back spin and side spin, right positive."""
    back, side, total = made.get("back_spin_rpm"), made.get("side_spin_rpm"), made.get("spin_rpm")
    if back and side:
        if not total:
            made["spin_rpm"] = Made(np.hypot(back.values, side.values), back.estimated, back.header)
        if "spin_axis_deg" not in made:
            axis = np.arctan2(side.values, back.values) / DEG
            made["spin_axis_deg"] = Made(axis, side.estimated, side.header)
        notices.append(f"Spin and its axis come from '{back.header}' and '{side.header}'.")
    elif back and not total:
        made["spin_rpm"] = back
        notices.append(f"'{back.header}' is taken as the whole spin: side spin adds 1 % at an axis of 8 deg.")
    elif side and total and "spin_axis_deg" not in made:
        share = np.clip(side.values / np.where(total.values > 1e-3, total.values, np.nan), -1.0, 1.0)
        made["spin_axis_deg"] = Made(np.arcsin(share) / DEG, side.estimated, side.header)


def _face(made: dict[str, Made], notices: list[str]) -> None:
    """Face or path where only their difference and one of them is given."""
    between, face, path = made.get("face_to_path_deg"), made.get("face_deg"), made.get("path_deg")
    if between and path and not face:
        made["face_deg"] = Made(
            path.values + between.values, between.estimated | path.estimated, between.header
        )
        notices.append(f"Face is path plus '{between.header}'.")
    elif between and face and not path:
        made["path_deg"] = Made(
            face.values - between.values, between.estimated | face.estimated, between.header
        )
        notices.append(f"Path is face less '{between.header}'.")


def _strike(made: dict[str, Made]) -> None:
    """Join columns of the heel side, or the low side, with their opposites."""
    for other, name in (("heel_mm", "strike_toe_mm"), ("low_mm", "strike_high_mm")):
        if other not in made:
            continue
        here = made[other]
        there = made.get(name, Made(np.full(len(here.values), np.nan), here.estimated, here.header))
        given = np.isfinite(here.values)
        # A mark on the heel side leaves the toe side blank, or at nought.
        joined = np.where(
            given, np.nan_to_num(there.values) - np.abs(np.nan_to_num(here.values)), there.values
        )
        made[name] = Made(joined, there.estimated | here.estimated, there.header)


def _ratio(made: dict[str, Made], notices: list[str]) -> None:
    """Fill in one speed by the printed ratio, or check both against it."""
    ratio, ball, club = (made.get(n) for n in ("ball_club_ratio", "ball_speed_mps", "club_speed_mps"))
    if not ratio:
        return
    safe = np.where(ratio.values > 1e-3, ratio.values, np.nan)
    given = np.ones(len(safe), dtype=bool)
    if ball and not club:
        made["club_speed_mps"] = Made(ball.values / safe, given, ratio.header)
        notices.append(f"Club speed is ball speed over '{ratio.header}': marked as estimated.")
    elif club and not ball:
        made["ball_speed_mps"] = Made(club.values * safe, given, ratio.header)
        notices.append(f"Ball speed is club speed times '{ratio.header}': marked as estimated.")
    elif ball and club:
        off = np.abs(ball.values / np.where(club.values > 1e-3, club.values, np.nan) / safe - 1.0)
        off = off[np.isfinite(off)]
        if len(off) and np.median(off) > RATIO_AGREES:
            notices.append(
                f"'{ratio.header}' does not agree with ball and club speed: is one of their units wrong?"
            )
