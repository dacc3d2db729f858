"""A pace and the way to a distance, in sentences and as JSON."""

from __future__ import annotations

from datetime import date
from typing import Any

from fitter.base.units import Units, probability
from fitter.display import verdict
from fitter.display.text import wrap
from fitter.progress.progress import Target
from fitter.progress.trend import Trend

UNTOLD = {
    "visits": "No pace is told: it takes {} visits at least.",
    "span": "No pace is told: it takes visits over {} months at least.",
    "sign": "No pace is told: going up and going down are both too likely (P(up) {}).",
}


def pace(found: Trend, units: Units) -> str:
    """Sentence on the pace.

    A pace holds for club speed with the last visit's club.
    """
    middle, *ends = (_number(v, "mps", units, 2, True) for v in found.pace)
    if found.told:
        return untold(found)
    return (
        f"Pace: {middle} {units.speed_unit} of club speed a month (80 % {ends[0]} to {ends[1]}), "
        "with the last visit's club."
    )


def untold(found: Trend) -> str:
    """Why no pace is told."""
    from_numbers = {
        "visits": str(found.least_visits), "span": f"{found.least_months:g}", "sign": probability(found.p_up),
    }  # fmt: skip
    return UNTOLD[found.told].format(from_numbers[found.told])


def target(found: Target, units: Units) -> list[str]:
    """Sentences on a distance: what it needs, what is there, when it is reached."""
    needed, now = found.needed, units.speed(found.now_mps, 1)
    far = units.distance(found.distance_m, 0)
    if needed.expected is None:
        return [f"{far} of carry is {verdict.SPEED_REASONS[needed.reason]}; club speed now is {now}."]
    ends = ["?" if v is None else _number(v, "mps", units, 1) for v in (needed.low, needed.high)]
    said = (
        f"{far} of carry in that air needs {units.speed(needed.expected, 1)} at the last visit's delivery "
        f"and club (80 % {ends[0]} to {ends[1]}); now it is {now}."
    )
    return [said, when(found)]


def way_text(way: Trend | None, found: Target, units: Units) -> list[str]:
    """Lines on the way to a speed that one session asks for: needed, now, a month, when."""
    needed, now = found.needed, units.speed(found.now_mps, 1)
    if needed.expected is None:
        return []
    said = [f"By the visits: {units.speed(needed.expected, 1)} is needed, now it is {now}."]
    said.append("A single visit tells no pace." if way is None else pace(way, units))
    return ["", *(wrap(s) for s in [*said, when(found)])]


def way_data(way: Trend | None, found: Target) -> dict[str, Any]:
    """The same for JSON."""
    told = target_data(found)
    assert told is not None
    told.pop("carry_m")
    told["text"] = " ".join(" ".join(way_text(way, found, Units("us"))).split())
    return {"pace": pace_data(way), "target": told}


def when(found: Target) -> str:
    """Sentence on the day."""
    reached = found.when
    if reached is None:
        return "When it is reached nobody can say: no pace is told."
    if reached.there:
        return "It is there already, as likely as not."
    inside = f"P(by {reached.horizon.isoformat()}) {probability(reached.p_within)}"
    if reached.expected is None:
        return f"At this pace it is not reached within the year that a pace is drawn on ({inside})."
    ends = f"{_month(reached.early)} to {_month(reached.late)}"
    middle = _month(reached.expected)
    return f"At this pace it is reached in {middle} (80 % {ends}; {inside}); a pace seldom lasts."


def _month(day: date | None) -> str:
    return "later than a year" if day is None else f"{day:%B %Y}"


def pace_data(found: Trend | None) -> dict[str, Any] | None:
    """Pace for JSON."""
    if found is None:
        return None
    value, low, high = found.pace
    return {
        "told": not found.told, "why_not": found.told, "mps_per_month": value, "low": low, "high": high,
        "p_up": found.p_up,
        "band": [
            {"day": day.isoformat(), "mps": m, "low": lo, "high": hi}
            for day, m, lo, hi in zip(found.at, found.mean, found.low, found.high, strict=True)
        ],
    }  # fmt: skip


def target_data(found: Target | None) -> dict[str, Any] | None:
    """Target for JSON."""
    if found is None:
        return None
    days = found.when
    return {
        "carry_m": found.distance_m,
        "needed_club_speed_mps": found.needed.expected, "low": found.needed.low, "high": found.needed.high,
        "reason": found.needed.reason, "now_mps": found.now_mps,
        "when": None if days is None else {
            "there": days.there, "expected": _iso(days.expected), "early": _iso(days.early),
            "late": _iso(days.late), "p_within": days.p_within, "horizon": days.horizon.isoformat(),
        },
        "text": " ".join(target(found, Units("us"))),
    }  # fmt: skip


def _number(value: float, core: str, units: Units, digits: int, sign: bool = False) -> str:
    return units.quantity(value, core, digits, sign, unit=False)


def _iso(day: date | None) -> str | None:
    return None if day is None else day.isoformat()
