"""A visit at a glance, in one reference air: speeds, strike, delivery, carry; and what is a change."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from fitter.base import draws
from fitter.base.assumptions import current
from fitter.base.conditions import Conditions
from fitter.base.units import DEG
from fitter.physics import vectors
from fitter.progress import maximum, weather
from fitter.progress.joint import Together
from fitter.progress.visits import Group

Floats = NDArray[np.float64]

DETECTABLE = 1.959964
"""Half width of a normal 95 % interval, for the smallest change that is believed."""
WEAK = 0.2
"""A weak shot: one in five is shorter."""
NAMES = (
    "club_speed_mps", "peak_speed_mps", "ratio", "toe_mm", "high_mm", "across_mm", "up_mm", "attack_deg",
    "path_deg", "face_deg", "loft_deg", "carry_m", "weak_m",
)  # fmt: skip
"""Figures of a visit, in the order in which they are shown; `across_mm` and `up_mm` are SDs of the strike."""
FORM = {
    "club_speed_mps": ("form_speed_pct", "share"), "peak_speed_mps": ("form_speed_pct", "share"),
    "ratio": ("form_ratio", "sum"), "toe_mm": ("form_strike_mm", "sum"), "high_mm": ("form_strike_mm", "sum"),
    "attack_deg": ("form_attack_deg", "sum"), "path_deg": ("form_path_deg", "sum"),
    "face_deg": ("form_face_deg", "sum"), "loft_deg": ("form_loft_deg", "sum"),
    "carry_m": ("form_carry_pct", "share"), "weak_m": ("form_carry_pct", "share"),
}  # fmt: skip
"""Judged SD of a player's form from day to day, of each figure that has one."""
MIRRORED = ("path_deg", "face_deg")
_ANGLES = {
    "attack_deg": vectors.ATTACK, "path_deg": vectors.PATH, "face_deg": vectors.FACE,
    "loft_deg": vectors.LOFT,
}  # fmt: skip


@dataclass(frozen=True)
class Figure:
    """One figure: its centre and the ends of its 80 % interval, in the unit of its name."""

    value: float
    low: float
    high: float

    @classmethod
    def of(cls, values: Floats) -> Figure:
        """Figure of draws."""
        low, high = draws.interval(values)
        return cls(float(values.mean()), float(low), float(high))

    def mirrored(self) -> Figure:
        """Return the figure of the other hand."""
        return Figure(-self.value, -self.high, -self.low)


def drawn_figures(drawn: Together, k: int, air: Conditions, seed: int) -> dict[str, Floats]:
    """Draws of every figure of one group of balls, (draws,) each, right-handed frame.

    Parameters
    ----------
    drawn : Together
    k : int
        Number of the group.
    air : Conditions
        Reference air and turf.
    seed : int
    """
    group, a, n = drawn.groups[k], current(), len(drawn.models)
    size, level = len(group), drawn.level(k)
    shots = drawn.shots(k)
    speed = level[:, vectors.CLUB_SPEED]
    spread = shots.std(axis=1, ddof=1)
    # Peak of the balls as hit, less what more balls bring by chance alone.
    mean, sd = maximum.moments(size)
    balls = int(a.value("progress.peak_balls"))
    hit = drawn.sample[k][..., vectors.CLUB_SPEED].max(axis=1)
    luck = sd * draws.normals(n, seed, "progress.peak", group.visit)
    fast = spread[:, vectors.CLUB_SPEED]
    peak = hit + fast * (maximum.moments(balls)[0] - mean + luck)
    carry, hidden = weather.reference(group, air, n, seed)
    chance = draws.generator(seed, "progress.carry", group.visit)
    about = chance.standard_t(size - 1, n) / math.sqrt(size) * carry.std(axis=1, ddof=1)
    again = chance.integers(0, size, (n, size))
    weak = np.quantile(np.take_along_axis(carry, again, axis=1), WEAK, axis=1)
    # A resampled quantile of so few balls lies off by a bias that the balls themselves tell.
    weak = weak + np.quantile(carry, WEAK, axis=1).mean() - weak.mean()
    found = {
        "club_speed_mps": speed,
        "peak_speed_mps": np.maximum(peak, speed),
        "ratio": _ratio(group, drawn.sample[k], n, seed),
        "toe_mm": level[:, vectors.TOE] * 1e3,
        "high_mm": level[:, vectors.HIGH] * 1e3,
        "across_mm": spread[:, vectors.TOE] * 1e3,
        "up_mm": spread[:, vectors.HIGH] * 1e3,
        **{name: level[:, column] / DEG for name, column in _ANGLES.items()},
        "carry_m": carry.mean(axis=1) + about - hidden,
        "weak_m": weak - hidden,
    }
    return {name: np.asarray(found[name]) for name in NAMES}


def _ratio(group: Group, sample: Floats, n: int, seed: int) -> Floats:
    """Mean ball speed over club speed, of the balls' level, (draws,)."""
    ratios = group.start[:, vectors.SPEED] / sample[..., vectors.CLUB_SPEED]
    rng = draws.generator(seed, "progress.ratio", group.visit)
    size = len(group)
    chance = rng.standard_t(size - 1, n) * ratios.mean(axis=0).std(ddof=1) / math.sqrt(size)
    return np.asarray(ratios.mean(axis=1) + chance)


def believable(one: Mapping[str, Floats], other: Mapping[str, Floats]) -> dict[str, float]:
    """Smallest change of each figure that is believed, in the figure's unit.

    A change that form, balls and readings alone would exceed in one case of twenty, either way (minimal
    detectable change at 95 %: Weir 2005, J. Strength Cond. Res. 19, 231-240): a dozen figures are looked at,
    so that an 80 % interval would believe two or three of a player who stayed the same. What both visits
    share is no part of it.

    Parameters
    ----------
    one, other : mapping of str to ndarray, shape (draws,)
        Of `drawn_figures`, the same draws.
    """
    a, out = current(), {}
    for name, values in one.items():
        variance = float((other[name] - values).var())
        if name in FORM:
            entry, kind = FORM[name]
            form = a.sd(f"progress.{entry}")
            if kind == "share":
                form *= 0.01 * 0.5 * float(values.mean() + other[name].mean())
            variance += 2.0 * form**2
        out[name] = DETECTABLE * math.sqrt(variance)
    return out
