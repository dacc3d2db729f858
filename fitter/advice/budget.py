"""What the gap to a distance is made of: conditions, equipment, strike, launch and spin, speed."""

from __future__ import annotations

import itertools
from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from fitter.advice.curve import Aim, Curve, State
from fitter.advice.predict import Replay
from fitter.physics import impact
from fitter.units import DEG

Floats = NDArray[np.float64]

LOFTS_DEG = np.arange(-8.0, 8.1, 1.0)
"""Changes of delivered loft that are tried at the same attack."""


@dataclass(frozen=True)
class Part:
    """One part of the gap, m: mean and 80 % interval over the draws."""

    part: str
    value_m: float
    low_m: float
    high_m: float
    words: str


def budget(
    measured: State, states: Sequence[State], aim: Aim
) -> tuple[tuple[Part, ...], tuple[float, float, float] | None, float]:
    """Split the gap in the order in which it can be closed: each part on top of those before.

    The order is that of cost: the day's conditions, equipment, strike, delivered loft, speed. Sequential
    parts add up exactly and read as a plan; in another order they would share their overlaps otherwise.

    Parameters
    ----------
    measured : State
        Present club in the session's own air.
    states : sequence of State
        Present club and, if there is one, the best option, where the distance is asked for.
    aim : Aim

    Returns
    -------
    parts : tuple of Part
    speed_left : (float, float, float) or None
        Club speed left to train after all other parts, m/s: low, middle, high; None where the model ends.
    gap : float
        Sum of the parts, m.
    """
    one = np.ones(1)

    def distance(state: State, loft: float = 0.0) -> Floats:
        return np.asarray(state.values(aim, one, loft)[:, 0])

    steps = [("", "", distance(measured))]
    steps.append(("conditions", "from the session's air to the one asked for", distance(states[0])))
    best = states[-1]
    if len(states) > 1:
        steps.append(("equipment", "the best option of the kit", distance(best)))
    centred = State(_centred(best), best.changed)
    steps.append(("strike", "every ball at the face centre, at most", distance(centred)))
    loft, lofted = _best_loft(centred, aim)
    words = f"delivered loft {loft / DEG:+.0f} deg at the same attack, at most"
    steps.append(("launch and spin", words, lofted))
    parts = [
        _part(name, words, after - before)
        for (_, _, before), (name, words, after) in itertools.pairwise(steps)
    ]
    gap = aim.distance_m - float(steps[0][2].mean())
    parts.append(_part("speed", "what is left to train", aim.distance_m - steps[-1][2]))
    factor = Curve.of(centred, aim, loft).factor(aim.distance_m)
    if np.isnan(factor).mean() > 0.1:
        return tuple(parts), None, gap
    low, middle, high = np.nanquantile((factor - 1.0) * centred.speed, [0.1, 0.5, 0.9])
    return tuple(parts), (float(low), float(middle), float(high)), gap


def _part(name: str, words: str, gain: Floats) -> Part:
    low, high = np.quantile(gain, [0.1, 0.9])
    return Part(name, float(gain.mean()), float(low), float(high), words)


def _centred(state: State) -> Replay:
    """The same shots, all struck at the face centre."""
    delivery = state.replay.delivery.copy()
    delivery[..., [impact.TOE, impact.HIGH]] = 0.0
    return replace(state.replay, delivery=delivery)


def _best_loft(state: State, aim: Aim) -> tuple[float, Floats]:
    """Change of delivered loft with the longest mean, and the distances there (draws,)."""
    tried = [state.values(aim, np.ones(1), float(step) * DEG)[:, 0] for step in LOFTS_DEG]
    k = int(np.argmax([values.mean() for values in tried]))
    return float(LOFTS_DEG[k] * DEG), tried[k]
