"""The speed that a distance needs, as text for people within 100 columns."""

from __future__ import annotations

from collections.abc import Sequence

from fitter.advice.curve import Needed, Speeds
from fitter.advice.reach import Reach
from fitter.base.units import Units, probability
from fitter.display import verdict as sentences
from fitter.display.notes import noted
from fitter.display.ranking import title
from fitter.display.text import notes, table, wrap
from fitter.display.words import air
from fitter.world import air_density


def text(found: Reach, units: Units) -> str:
    """Needed speeds of the present and the best club, the parts of the gap, what is left to train."""
    far, fast = units.distance_unit, units.speed_unit
    single = found.width_m is None
    clubs = [("present", found.present)] + ([("best", found.best)] if found.best is not None else [])
    headers = (
        "club", f"today {far} (80 %)", f"now {fast}", f"needs {fast} (80 %)", f"{far} a {fast}",
        "P(ball)" if single else "P(set)",
    )  # fmt: skip
    where = found.conditions
    place = f"air of {air_density(where):.3f} kg/m3 ({air(where, units)}), on {where.turf} turf"
    lines = [
        title(found.player, found.hand, found.counts),
        "",
        wrap(f"To reach {_asked(found, units)}, in {place}:"),
        "",
        table(headers, [_club(label, n, units) for label, n in clubs]),
        *(line for label, needed in clubs for line in _why(label, needed, units)),
        f"   P: probability that {'one ball' if single else 'one set of balls'} gets there at today's speed",
        "",
        *_gap(found, units),
        "",
        wrap(_left_to_train(found, units)),
    ]
    if found.air_m is not None:
        mean, low, high = (_number(v, units, sign=True) for v in found.air_m)
        words = f"This air and turf give {mean} {far} (80 % {low} to {high}) today against the standard ones."
        lines.append(words)
    return "\n".join([*lines, "", *notes(noted(found.notes))])


def _asked(found: Reach, units: Units) -> str:
    what = f"{units.distance(found.distance_m, 0)} of {found.measure}"
    if found.width_m is None:
        return what
    balls = found.count.rpartition("-")[2]
    return f"{what} with the longest of {balls} balls that finish within {units.distance(found.width_m, 0)}"


def _number(metres: float, units: Units, digits: int = 1, sign: bool = False) -> str:
    return units.quantity(metres, "m", digits, sign, unit=False)


def _span(ends: Sequence[float], units: Units, digits: int = 1, sign: bool = False) -> str:
    return " to ".join(_number(v, units, digits, sign) for v in ends)


def _fast(mps: float | None, units: Units) -> str:
    return "?" if mps is None else units.quantity(mps, "mps", 1, unit=False)


def _club(label: str, needed: Needed, units: Units) -> tuple[str, ...]:
    """Row of one club."""
    now, *ends = needed.now_m
    # One unit of speed more: metres a m/s, in the units in force.
    slope = units.value(needed.m_per_mps[0], "m") / units.value(1.0, "mps")
    return (
        f"{label} {needed.option if needed.known else 'club, not known'}",
        f"{_number(now, units, 0)} ({_span(ends, units, 0)})",
        _fast(needed.speed_now_mps, units),
        _needs(needed.speed, units),
        units.number(slope, 1),
        probability(needed.p_today, short=True),
    )


def _needs(speed: Speeds, units: Units) -> str:
    """Needed speed and its interval; an end that is open shows as such."""
    if speed.expected is None:
        return "not reachable"
    low, high = (_fast(v, units) for v in (speed.low, speed.high))
    return f"{_fast(speed.expected, units)} ({low} to {high})"


def _why(label: str, needed: Needed, units: Units) -> list[str]:
    """Why a needed speed has no number, or no end."""
    if not needed.speed.reason:
        return []
    words = f"   {label}: {sentences.SPEED_REASONS[needed.speed.reason]}"
    if needed.longest is not None:
        speed, far = needed.longest
        words += f"; the longest is {units.distance(far, 0)} at {units.speed(speed, 0)}"
    return wrap(words, "   ").splitlines()


def _gap(found: Reach, units: Units) -> list[str]:
    """What the gap is made of."""
    gap = units.distance(abs(found.gap_m))
    words = f"The gap is {gap}, each part on top of those above it:"
    if found.gap_m <= 0.0:
        words = f"There is no gap: today is {gap} beyond it. Parts, each on top of those above it:"
    rows = [
        (
            p.part,
            _number(p.value_m, units, sign=True),
            _span((p.low_m, p.high_m), units, sign=True),
            sentences.part(p),
        )
        for p in found.budget.parts
    ]
    return [words, table(("part", units.distance_unit, "80 %", ""), rows, align="lrrl")]


def _left_to_train(found: Reach, units: Units) -> str:
    """Speed that is left to train when everything else is had."""
    trained, more = found.budget.trained, found.budget.speed_left_mps
    if more is None:
        return "If all the rest were had, no speed that the model answers for would close the gap."
    needs = f"If all the rest were had, {_needs(trained, units)} {units.speed_unit} would do"
    if more <= 0.0:
        return f"{needs}: no speed is left to train."
    return f"{needs}: {units.speed(more, 1)} is left to train."
