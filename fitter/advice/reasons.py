"""Why an option gains: its gain split by cause over the path from the start to the finish."""

from __future__ import annotations

import itertools
import math
from collections.abc import Sequence
from dataclasses import replace
from typing import Any

import numpy as np
from numpy.typing import NDArray

from fitter.advice.objectives import OBJECTIVES
from fitter.advice.pattern import Pattern, band
from fitter.advice.prediction import Prediction
from fitter.advice.replay import Replay, finished
from fitter.advice.scored import DIRECTION, Finish, Gain, Reason, Scored, best_of_tiers, gains
from fitter.base.units import DEG
from fitter.physics import engine, vectors

Floats = NDArray[np.float64]

THIN = 2
"""One draw in so many is used."""

CAUSES: dict[str, tuple[int, ...]] = {
    "ball speed": (vectors.SPEED,),
    "launch": (vectors.ELEVATION,),
    "spin": (vectors.SPIN,),
    DIRECTION: (vectors.AZIMUTH, vectors.TILT),
}
"""Columns of the start that belong to each cause."""


TOLD = {"ball speed": "ball_speed_mps", "launch": "launch_deg", "spin": "spin_rpm"}
"""Predicted channel that tells a cause."""
_SCALE = {
    "ball speed": ("m/s", 1.0),
    "launch": ("deg", 180.0 / math.pi),
    "spin": ("rpm", 30.0 / math.pi),
    DIRECTION: ("deg", 180.0 / math.pi),
}


def reasons(p: Prediction, index: int) -> tuple[Reason, ...]:
    """Split the expected gain of one option by cause with Shapley values.

    Each cause is credited with its mean effect over all orders in which the causes can be changed from the
    present start to the option's (Shapley 1953, Contributions to the Theory of Games II, 307-317). The sums
    run over every second draw of the ranking; what these draws miss of its expected gain (sampling error) is
    shared in proportion, so that the parts add up to that gain.

    Parameters
    ----------
    p : Prediction
    index : int
        Place of the option in the prediction.
    """
    names = list(CAUSES)
    replay = p.replay.thin(THIN)
    start = slice(vectors.START_SPEED, vectors.START_SPEED + vectors.LAUNCH)
    old, new = np.moveaxis(p.raw([0, index])[::THIN, ..., start], 1, 0)
    sets = list(itertools.product((False, True), repeat=len(names)))
    mixed = np.repeat(old[:, None], len(sets), axis=1)
    for k, chosen in enumerate(sets):
        for name, taken in zip(names, chosen, strict=True):
            if taken:
                for column in CAUSES[name]:
                    mixed[:, k, :, column] = new[..., column]
    worth = dict(zip(sets, _worth(p, replay, mixed), strict=True))
    credit = np.array([_credit(worth, i, len(names)) for i in range(len(names))])
    gain = np.array([p.gain[:, index].mean(), (p.carry[:, index] - p.carry[:, 0]).mean()])
    size = np.abs(credit) + 1e-12
    credit = credit + (gain - credit.sum(axis=0)) * size / size.sum(axis=0)
    found = []
    for name, (value, carry) in zip(names, credit, strict=True):
        unit, scale = _SCALE[name]
        moved = ((new - old)[..., CAUSES[name][0]] * replay.weights).sum(axis=1).mean() * scale
        if name in TOLD:
            # As the tables tell it: what balls with the club have moved, too.
            own = p.channels[TOLD[name]]
            moved = (own[:, index] - own[:, 0]).mean()
        found.append(Reason(name, float(moved), unit, float(value), float(carry)))
    return tuple(found)


def _credit(worth: dict[tuple[bool, ...], Floats], i: int, n: int) -> Floats:
    """Shapley value of cause i among n."""
    total = np.zeros(2)
    for chosen, value in worth.items():
        if not chosen[i]:
            size = sum(chosen)
            share = math.factorial(size) * math.factorial(n - size - 1) / math.factorial(n)
            total += share * (worth[(*chosen[:i], True, *chosen[i + 1 :])] - value)
    return total


def _worth(p: Prediction, replay: Replay, starts: Floats) -> Floats:
    """Objective (larger is better) and carry of mixed starts (draws, sets, shots, 5), means, (sets, 2)."""
    draws, sets, shots, _ = starts.shape
    out = engine.fly(starts.reshape(draws, sets * shots, vectors.LAUNCH), replay.drawn.world)
    pattern = finished(replay, out.reshape(draws, sets, shots, vectors.RESULT))
    objective = p.objective
    aim = objective.aim(pattern, p.goal, p.kernel)
    value = objective.better * objective.worth(pattern, p.goal, p.kernel, aim).mean(axis=0)
    return np.stack([value, pattern.mean("carry").mean(axis=0)], axis=-1)


BESIDE = 64
"""Draws over which the other objectives are reckoned."""


def explain(p: Prediction, scored: list[Scored], named: str | None) -> list[Scored]:
    """Complete the present club, the best option of each tier and the one that the verdict names."""
    best = best_of_tiers(scored, also=[] if named is None else [named])
    explained = {s.option.id for s in best}
    wanted = [i for i, s in enumerate(scored) if i == 0 or s.option.id in explained]
    out = list(scored)
    for i, found in zip(wanted, details(p, wanted), strict=True):
        out[i] = replace(out[i], reasons=reasons(p, i) if i else (), **found)
    return out


def details(p: Prediction, which: Sequence[int]) -> list[dict[str, Any]]:
    """Fields of `Scored` that need each shot's finish, for the present club (first) and some options."""
    out = p.raw(which)
    pattern = finished(p.replay, out)
    beside = others(p, pattern, which)
    known = p.replay.baseline.has_direction
    name, weights = p.objective.side, pattern.weights
    aim = p.aim[:, list(which)]
    aimed, far = aim.mean(axis=0), pattern.mean(name)
    azimuth = np.einsum("dos,ds->do", out[..., vectors.START_AZIMUTH], weights)
    start_line = getattr(pattern, name) * np.tan(out[..., vectors.START_AZIMUTH])
    side = getattr(pattern, f"{name}_side")
    curve = np.einsum("dos,ds->do", side - start_line, weights)
    right = np.einsum("dos,ds->do", side + aim[..., None] > 0.0, weights)
    means = {n: getattr(pattern, n).mean(axis=0) for n in ("carry", "total", "carry_side", "total_side")}
    shots = p.replay.baseline.shot
    found = []
    for k in range(len(which)):
        fields: dict[str, Any] = {
            "others": {n: (float(v[:, k].mean()), g[k]) for n, (v, g) in beside.items()},
            "finish": tuple(
                Finish(
                    int(shot),
                    float(means["carry"][k, j]),
                    float(means["total"][k, j]),
                    float(means["carry_side"][k, j] + aimed[k]),
                    float(means["total_side"][k, j] + aimed[k]),
                )
                for j, shot in enumerate(shots)
            ),
        }
        if known:
            turned = np.arctan2(aim[:, k].mean(), far[:, k].mean())
            fields["start_deg"] = float((azimuth[:, k].mean() + turned) / DEG)
            fields["curve_m"] = float(curve[:, k].mean())
            fields["right_share"] = float(right[:, k].mean())
        found.append(fields)
    return found


def others(p: Prediction, pattern: Pattern, which: Sequence[int]) -> dict[str, tuple[Floats, list[Gain]]]:
    """Value (draws, options) and gains under every objective that the goal tells enough of.

    Parameters
    ----------
    p : Prediction
    pattern : Pattern
    which : sequence of int
        The options of the pattern, the present club first.
    """
    found = {}
    few = pattern.thin(max(1, len(pattern.weights) // BESIDE))
    for name, objective in OBJECTIVES.items():
        if not p.goal.measures(name):
            continue
        if name == p.goal.objective:
            value = p.value[:, list(which)]
        else:
            kernel = band(pattern, objective.side)
            value = objective.worth(few, p.goal, kernel, objective.aim(few, p.goal, kernel))
        found[name] = value, gains(objective.better * value)
    return found
