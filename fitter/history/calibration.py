"""Whether what was promised came: coverage, squared misses, a test that may be looked at every evening."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from fitter.base.assumptions import current
from fitter.base.draws import NORMAL_80
from fitter.history.records import Outcome

Floats = NDArray[np.float64]

KINDS = (
    "tee height", "ball position", "sleeve", "length or weight", "shaft", "head", "several at once",
)  # fmt: skip
"""Kinds of change, cheapest first."""
CHANNELS = ("carry_m", "launch_deg", "spin_rpm", "club_speed_mps", "ball_speed_mps", "total_m")
WIDER, NARROWER = (1.25, 1.5, 2.0, 3.0), (0.33, 0.5, 0.67, 0.8)
"""Times as wide as promised that the truth may be, over which the tests mix."""


@dataclass(frozen=True)
class Held:
    """How promises of one kind came out.

    Parameters
    ----------
    kind : str
        Of `KINDS`, or 'all'.
    n : int
    inside : float
        Share inside the 80 % interval widened by the outcome's own noise.
    squared : float
        Mean squared miss in SDs, noise included: 1 where intervals are honest.
    bias : float
        Mean of measured minus promised, in the channel's unit.
    bias_sd : float
        Of that mean.
    too_narrow, too_wide : float
        Odds against honest intervals.
    alarm : float
        Odds from which it is said.
    """

    kind: str
    n: int
    inside: float
    squared: float
    bias: float
    bias_sd: float
    too_narrow: float
    too_wide: float
    alarm: float

    @property
    def verdict(self) -> str:
        """'too narrow', 'too wide', or 'no sign' that they are not honest."""
        if self.too_narrow >= self.alarm:
            return "too narrow"
        return "too wide" if self.too_wide >= self.alarm else "no sign"


@dataclass(frozen=True)
class Picked:
    """Outcomes by whose choice they were: mean measured gain of the carry, m, and its SE."""

    who: str
    n: int
    gain_m: float
    se_m: float


@dataclass(frozen=True)
class Calibration:
    """A shop's record.

    Parameters
    ----------
    channel : str
    kinds : tuple of Held
        'all' first, then the kinds that occur.
    picks : tuple of Picked
    """

    channel: str
    kinds: tuple[Held, ...]
    picks: tuple[Picked, ...]


def calibration(outcomes: Sequence[Outcome], channel: str = "carry_m") -> Calibration:
    """Hold outcomes against promises.

    Parameters
    ----------
    outcomes : sequence of Outcome
        In the order in which they came: the tests look after each.
    channel : str
        Of `CHANNELS`.
    """
    found = [(o, x) for o in outcomes if (x := o.lesson(channel)) is not None and x.sd > 0.0]
    kinds = np.array([o.kind for o, _ in found], dtype=object)
    rows = np.array([[x.measured - x.expected, x.sd, x.noise] for _, x in found]).reshape(-1, 3)
    groups = [("all", np.ones(len(found), dtype=bool))]
    groups += [(k, kinds == k) for k in (*KINDS, *sorted(set(kinds) - set(KINDS))) if (kinds == k).any()]
    alarm = current().value("history.alarm")
    held = tuple(_held(k, rows[at], alarm) for k, at in groups)
    return Calibration(channel, held, _picks(outcomes))


def _held(kind: str, rows: Floats, alarm: float) -> Held:
    n = len(rows)
    if not n:
        nan = float("nan")
        return Held(kind, 0, nan, nan, nan, nan, 1.0, 1.0, alarm)
    away, sd, noise = rows.T
    z = away / np.hypot(sd, noise)
    weight = 1.0 / (sd**2 + noise**2)
    return Held(
        kind, n, float((np.abs(z) <= NORMAL_80).mean()), float((z**2).mean()),
        float(weight @ away / weight.sum()), float(weight.sum() ** -0.5),
        odds(away, sd, noise, WIDER), odds(away, sd, noise, NARROWER), alarm,
    )  # fmt: skip


def odds(away: Floats, sd: Floats, noise: Floats, factors: Sequence[float]) -> float:
    """Largest odds, over all looks, of a mixture of wider (or narrower) truths against honest intervals.

    Each look's odds are those of normal misses whose promised SD is a factor off, equal parts of the
    factors; the product over outcomes is a martingale under honest intervals, so that the chance that it
    ever reaches X is at most 1 in X (Ville; Ramdas et al. 2023, Statist. Sci. 38, 576-601).
    """
    if not len(away):
        return 1.0
    honest = sd**2 + noise**2
    log = []
    for f in factors:
        other = (f * sd) ** 2 + noise**2
        log.append(np.cumsum(0.5 * (np.log(honest / other) + away**2 * (1.0 / honest - 1.0 / other))))
    top = np.logaddexp.reduce(np.array(log), axis=0) - np.log(len(factors))
    return float(np.exp(min(float(top.max()), 50.0)))


def _picks(outcomes: Sequence[Outcome]) -> tuple[Picked, ...]:
    found = []
    for who in ("advisor", "fitter", "both"):
        own = [x for o in outcomes if o.picked == who and (x := o.lesson()) is not None]
        if own:
            y, se = np.array([x.measured for x in own]), np.array([x.noise for x in own])
            spread = (
                float(y.std(ddof=1) / np.sqrt(len(y)))
                if len(y) > 2
                else float(np.sqrt((se**2).mean() / len(y)))
            )
            found.append(Picked(who, len(own), float(y.mean()), spread))
    return tuple(found)
