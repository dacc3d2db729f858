"""Measured beside predicted: the next ball with a build tests the model."""

from __future__ import annotations

import math
from dataclasses import dataclass
from statistics import NormalDist

import numpy as np
from numpy.typing import NDArray

from fitter.advice.scored import Scored
from fitter.base.draws import INTERVAL
from fitter.base.units import Units, counted
from fitter.tui.reading import Reading
from fitter.tui.view import View

Floats = NDArray[np.float64]

Z80 = NormalDist().inv_cdf(INTERVAL[1])
"""Half width of an 80 % interval in SDs of a normal."""


@dataclass(frozen=True)
class Check:
    """Measured beside predicted for one channel of a build.

    Parameters
    ----------
    label, unit : str
        Unit of the core: 'mps', 'deg', 'rpm' or 'm'.
    shots : int
    measured : (float, float, float)
        Low, mean, high of what was measured; the ends are those of the 80 % interval of the mean.
    predicted : (float, float, float)
        The same of the prediction.
    agrees : bool or None
        Whether the two lie within an 80 % interval of their difference; None with fewer than two shots.
    """

    label: str
    unit: str
    shots: int
    measured: tuple[float, float, float]
    predicted: tuple[float, float, float]
    agrees: bool | None


CHECKED = {
    "club_speed_mps": "club speed", "ball_speed_mps": "ball speed", "launch_deg": "launch",
    "spin_rpm": "spin", "carry_m": "carry", "total_m": "total",
}  # fmt: skip
"""Channels on which a ball with a new build is compared, and their names."""


def compare(reading: Reading, scored: Scored, build: str) -> list[Check]:
    """Hold the measured shots of a build against the predictions of its option."""
    at = reading.of_build(build)
    predicted = dict(scored.predicted)
    for name, value, gain in (
        ("carry_m", scored.carry_m, scored.carry_gain), ("total_m", scored.total_m, scored.total_gain),
    ):  # fmt: skip
        base = value - gain.mean
        predicted[name] = (base + gain.low, value, base + gain.high)
    out = []
    for name, label in CHECKED.items():
        values = reading.session.value(name)[at] if len(at) else np.zeros(0)
        values = values[np.isfinite(values)]
        low, mid, high = predicted[name]
        if not len(values):
            continue
        mean = float(values.mean())
        error = Z80 * _spread(reading, name, values) / math.sqrt(len(values))
        half = math.hypot(error, max(high - mid if mean > mid else mid - low, 1e-9))
        agrees = abs(mean - mid) <= half if math.isfinite(error) else None
        measured = (mean - error, mean, mean + error)
        out.append(Check(label, name.rpartition("_")[2], len(values), measured, (low, mid, high), agrees))
    return out


def spread_of(reading: Reading, name: str) -> float:
    """SD of one ball of the present club; NaN where fewer than two were measured."""
    return _spread(reading, name, np.zeros(0))


def _spread(reading: Reading, name: str, values: Floats) -> float:
    """SD of one shot: the present club's where it is known, for few shots of a new one tell little."""
    own = reading.session.value(name)[reading.of_build("")]
    own = own[np.isfinite(own)]
    pool = own if len(own) >= max(len(values), 5) else values
    return float(np.std(pool, ddof=1)) if len(pool) > 1 else math.nan


@dataclass(frozen=True)
class Look:
    """What the ladder draws besides the answer.

    Parameters
    ----------
    hand : str
        Id of the option in hand, '' for the present club.
    measured_gain : float or None
        Measured gain of the build in hand, in the objective's unit.
    trial : str
        Measured against predicted, in a line.
    marked : str
        Id of the option to compare with.
    """

    hand: str = ""
    measured_gain: float | None = None
    trial: str = ""
    marked: str = ""


def look(view: View) -> Look:
    """Measured beside predicted for the build in hand, as the ladder draws it."""
    hand = view.hand_option()
    if view.answer is None or hand is None or not view.bench.in_hand or view.reading is None:
        return Look(marked=view.marked)
    checks = {c.label: c for c in compare(view.reading, hand, view.bench.in_hand)}
    ranking = view.answer.ranking
    name = "total" if ranking.objective.name == "total" else "carry"
    chosen = checks.get(name) or checks.get("carry")
    gain = None
    if chosen is not None and chosen.label == name == ranking.objective.name:
        gain = chosen.measured[1] - (ranking.present.total_m if name == "total" else ranking.present.carry_m)
    return Look(hand.option.id, gain, check_words(chosen, hand, view.units), view.marked)


def check_words(check: Check | None, hand: Scored, units: Units) -> str:
    """Measured beside predicted, in a line; the prediction alone before the first ball."""

    def shown(metres: float) -> str:
        return units.quantity(metres, "m", unit=False)

    if check is None:
        present = hand.carry_m - hand.carry_gain.mean
        low, high = shown(present + hand.carry_gain.low), shown(present + hand.carry_gain.high)
        return f"no ball yet | carry predicted {low}-{high} {units.distance_unit}"
    text = f"{check.label} measured {shown(check.measured[1])} ({counted(check.shots, 'ball')})"
    text += f" | predicted {shown(check.predicted[0])}-{shown(check.predicted[2])} {units.distance_unit}"
    return text + {True: ", agrees", False: ", differs", None: ""}[check.agrees]
