"""Measured beside predicted: the next ball tests the model."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from fitter.advice.scored import Scored
from fitter.tui.reading import Reading

Floats = NDArray[np.float64]

Z80 = 1.2815515655446004
"""Half width of an 80 % interval in SDs of a normal (closed form)."""


@dataclass(frozen=True)
class Trial:
    """Measured beside predicted for one build: mean, ends of its 80 % interval, and the prediction's.

    Parameters
    ----------
    label, unit : str
    shots : int
    measured : (float, float, float)
        Low, mean, high of what was measured; the ends are those of the mean.
    predicted : (float, float, float)
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
"""What a ball with a new build is compared on."""


def compare(reading: Reading, scored: Scored, build: str) -> list[Trial]:
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
        spread = _spread(reading, name, values)
        error = Z80 * spread / math.sqrt(len(values))
        half = math.hypot(error, max(high - mid if mean > mid else mid - low, 1e-9))
        agrees = abs(mean - mid) <= half if math.isfinite(error) else None
        out.append(
            Trial(label, name.rpartition("_")[2], len(values), (mean - error, mean, mean + error),
                  (low, mid, high), agrees)
        )  # fmt: skip
    return out


def _spread(reading: Reading, name: str, values: Floats) -> float:
    """SD of one shot: the present club's where it is known, for few shots of a new one tell little."""
    own = reading.session.value(name)[reading.of_build("")]
    own = own[np.isfinite(own)]
    pool = own if len(own) >= max(len(values), 5) else values
    return float(np.std(pool, ddof=1)) if len(pool) > 1 else math.nan
