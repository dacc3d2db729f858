"""Clubs that were hit, against each other, as text within 100 columns and as data."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from fitter.advice.blocks import Estimate
from fitter.advice.compare import Comparison, Measured, Spread
from fitter.base.units import US, Units, probability
from fitter.display.text import table, wrap
from fitter.display.words import CAUTIONS, short_build

SHOWN = {
    "carry_m": ("carry", "m", 0), "total_m": ("total", "m", 0), "offline_m": ("side", "m", 0),
    "club_speed_mps": ("club", "mps", 1), "ball_speed_mps": ("ball", "mps", 1),
    "launch_deg": ("launch", "deg", 1), "spin_rpm": ("spin", "rpm", 0),
}  # fmt: skip
"""Columns: label, core unit, digits."""
SURE = 0.9
"""Probability from which a longer club is called longer."""


def text(found: Comparison, aside: Mapping[str, int], hand: str = "right", units: Units = US) -> str:
    """One glance: which club, by how much, is it sure; then the figures."""
    names = [n for n in SHOWN if any(n in c.means for c in found.clubs)]
    heads = ("club", "balls", *(f"{SHOWN[n][0]} {units.unit(SHOWN[n][1])}" for n in names), "spread (80 %)")
    rows = [
        (
            short_build(c.club),
            _balls(c, aside),
            *(_mean(c, n, hand, units) for n in names),
            _spread(c.across, units),
        )
        for c in found.clubs
    ]
    lines = [wrap(_glance(found, units)), "", table(heads, rows), ""]
    lines += [f"Against {short_build(found.clubs[0].club)}, shrunken, with 80 % intervals:"]
    shown = [n for n in names if n != "offline_m"]
    heads = ("club", *(f"{SHOWN[n][0]} {units.unit(SHOWN[n][1])}" for n in shown), "P longer")
    lines.append(
        table(
            heads,
            [
                (
                    d.club,
                    *(_difference(d.channels.get(n), n, units) for n in shown),
                    "-" if d.p_longer is None else probability(d.p_longer, short=True),
                )
                for d in found.differences
            ],
        )
    )
    lines += ["", *map(wrap, notes(found, units)), "", wrap(CAUTIONS)]
    return "\n".join(lines)


def _glance(found: Comparison, units: Units) -> str:
    told = [d for d in found.differences if "carry_m" in d.channels and d.p_longer is not None]
    if not told:
        return "No carry was measured with two of the clubs: compare starts, below."
    best = told[0]
    e, first = best.channels["carry_m"], short_build(found.clubs[0].club)
    gain = f"{units.quantity(e.mean, 'm', 1, sign=True)} of carry (80 %: {_ends(e, 'm', 1, units)})"
    assert best.p_longer is not None
    name = short_build(best.club)
    if best.p_longer >= SURE:
        return f"{name} is longer than {first}: {gain}, with probability {probability(best.p_longer)}."
    if all(d.p_longer is not None and d.p_longer <= 1.0 - SURE for d in told):
        return f"{first} is longer than every other club that was hit; the nearest, {name}, has {gain}."
    return f"These balls do not tell the clubs apart: {name} has {gain} against {first}."


def notes(found: Comparison, units: Units = US) -> list[str]:
    """What the order of the balls, and their number, leave open."""
    said = []
    if found.one_by_one:
        said.append(
            "Each club was hit in one stretch: warm-up and tiredness cannot be told from the clubs. The "
            "intervals allow for an ordinary drift; hit them in turns, there and back ('fitter trial plan')."
        )
    elif found.slope is not None:
        drift = units.quantity(10.0 * found.slope, "m", 1, sign=True)
        said.append(f"In turns, {found.runs} stretches; drift {drift} of carry in ten balls, taken out.")
    few = [c for c in found.clubs if c.balls < 40]
    if few:
        said.append(
            "Spreads are drawn to each other: ten balls leave an SD 0.69 to 1.83 times itself (95 %), so 10 "
            "to 15 balls cannot tell spreads apart, and a spread decides nothing here."
        )
    said.append("A club's own day stays in it: another day may move a difference by more than its interval.")
    return said


def _balls(c: Measured, aside: Mapping[str, int]) -> str:
    gone = aside.get(c.club, 0)
    return f"{c.balls} (+{gone} aside)" if gone else str(c.balls)


def _mean(c: Measured, name: str, hand: str, units: Units) -> str:
    if name not in c.means:
        return "-"
    _, core, digits = SHOWN[name]
    if name == "offline_m":
        side = -c.means[name] if hand == "left" else c.means[name]
        return units.side(units.value(side, core), digits=digits)
    return units.quantity(c.means[name], core, digits, unit=False)


def _spread(found: Spread | None, units: Units) -> str:
    if found is None:
        return "-"
    sd, low, high = (units.quantity(v, "m", 0, unit=False) for v in found)
    return f"{sd} ({low} to {high})"


def _ends(e: Estimate, core: str, digits: int, units: Units) -> str:
    return " to ".join(units.quantity(v, core, digits, sign=True, unit=False) for v in (e.low, e.high))


def _difference(e: Estimate | None, name: str, units: Units) -> str:
    if e is None:
        return "-"
    _, core, digits = SHOWN[name]
    digits = max(digits, 0)
    mid = units.quantity(e.mean, core, digits, sign=True, unit=False)
    return f"{mid} ({_ends(e, core, digits, units)})"


def data(found: Comparison, aside: Mapping[str, int]) -> dict[str, Any]:
    """Clubs and differences, in the units of their keys."""
    return {
        "clubs": [
            {"club": c.club, "balls": c.balls, "set_aside": aside.get(c.club, 0), **c.means,
             "across_sd_m": None if c.across is None else c.across._asdict(),
             "carry_sd_m": None if c.along is None else c.along._asdict()}
            for c in found.clubs
        ],
        "differences": [
            {"club": d.club, "against": d.against, "p_longer": d.p_longer,
             **{n: e._asdict() for n, e in d.channels.items()}}
            for d in found.differences
        ],
        "runs": found.runs, "one_by_one": found.one_by_one, "drift_m_a_ball": found.slope,
        "notes": notes(found),
    }  # fmt: skip
