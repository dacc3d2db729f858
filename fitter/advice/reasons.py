"""Why an option gains: its gain split by cause over the path from the start to the finish."""

from __future__ import annotations

import itertools
import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from fitter.advice.objectives import Objective
from fitter.advice.predict import Prediction, Replay, finished, replay_part
from fitter.physics import engine, flight

Floats = NDArray[np.float64]

CAUSES: dict[str, tuple[int, ...]] = {
    "ball speed": (flight.SPEED,),
    "launch": (flight.ELEVATION,),
    "spin": (flight.SPIN,),
    "direction and curve": (flight.AZIMUTH, flight.TILT),
}
"""Columns of the start that belong to each cause."""


@dataclass(frozen=True)
class Reason:
    """One cause: by how much the start changes, and what that adds to the objective.

    Parameters
    ----------
    cause : str
        Key of `CAUSES`.
    change : float
        Mean change of the start: m/s, deg, rpm, or deg of direction.
    unit : str
        Of the change.
    value : float
        Share of the expected gain, in the objective's unit; the causes add up to the gain.
    carry_m : float
        The same of the carry, m.
    """

    cause: str
    change: float
    unit: str
    value: float
    carry_m: float


_SCALE = {
    "ball speed": ("m/s", 1.0),
    "launch": ("deg", 180.0 / math.pi),
    "spin": ("rpm", 30.0 / math.pi),
    "direction and curve": ("deg", 180.0 / math.pi),
}


def reasons(p: Prediction, index: int, objective: Objective) -> tuple[Reason, ...]:
    """Split the expected gain of one option by cause with Shapley values.

    Each cause is credited with its mean effect over all orders in which the causes can be changed from the
    present start to the option's (Shapley 1953, Contributions to the Theory of Games II, 307-317), in the
    same draws as the ranking, so that the parts add up to the expected gain.

    Parameters
    ----------
    p : Prediction
    index : int
        Place of the option in the prediction.
    objective : Objective
    """
    names = list(CAUSES)
    _, before = replay_part(p.replay, p.changes, slice(0, 1))
    _, after = replay_part(p.replay, p.changes, slice(index, index + 1))
    start = slice(engine.BALL_SPEED, engine.BALL_SPEED + flight.LAUNCH)
    old, new = before[:, 0, :, start], after[:, 0, :, start]
    sets = list(itertools.product((False, True), repeat=len(names)))
    mixed = np.repeat(old[:, None], len(sets), axis=1)
    for k, chosen in enumerate(sets):
        for name, taken in zip(names, chosen, strict=True):
            if taken:
                for column in CAUSES[name]:
                    mixed[:, k, :, column] = new[..., column]
    worth = dict(zip(sets, _worth(p.replay, mixed, objective), strict=True))
    found = []
    for i, name in enumerate(names):
        credit = np.zeros(2)
        for chosen in sets:
            if chosen[i]:
                continue
            size = sum(chosen)
            share = math.factorial(size) * math.factorial(len(names) - size - 1) / math.factorial(len(names))
            credit += share * (worth[(*chosen[:i], True, *chosen[i + 1 :])] - worth[chosen])
        unit, scale = _SCALE[name]
        column = CAUSES[name][0]
        moved = float(((new - old)[..., column] * p.replay.weights).sum(axis=1).mean() * scale)
        found.append(Reason(name, moved, unit, float(credit[0]), float(credit[1])))
    return tuple(found)


def _worth(replay: Replay, starts: Floats, objective: Objective) -> Floats:
    """Objective and carry of mixed starts (draws, sets, shots, 5), means over the draws, (sets, 2)."""
    draws, sets, shots, _ = starts.shape
    out = engine.fly(starts.reshape(draws, sets * shots, flight.LAUNCH), replay.drawn.world)
    out = out.reshape(draws, sets, shots, engine.RESULT)
    pattern = finished(replay, out)
    rows = [pattern.row(objective.row).mean(axis=0), pattern.mean("carry").mean(axis=0)]
    return np.stack(rows, axis=-1)
