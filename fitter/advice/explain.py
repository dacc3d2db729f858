"""What stands beside the options that count: reasons, other objectives, start and curve, each finish."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from typing import Any

import numpy as np
from numpy.typing import NDArray

from fitter.advice.objectives import OBJECTIVES
from fitter.advice.pattern import Pattern, band
from fitter.advice.reasons import reasons
from fitter.advice.replay import Prediction, replay_part
from fitter.advice.scored import Finish, Gain, Scored, best_of_tiers, gains
from fitter.base.units import DEG
from fitter.physics import engine

Floats = NDArray[np.float64]

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
    pattern, out = replay_part(p.replay, p.changes, which)
    beside = others(p, pattern, which)
    known = p.replay.baseline.has_direction
    name, weights = p.objective.side, pattern.weights
    aim = p.aim[:, list(which)]
    aimed, far = aim.mean(axis=0), pattern.mean(name)
    azimuth = np.einsum("dos,ds->do", out[..., engine.AZIMUTH], weights)
    start_line = getattr(pattern, name) * np.tan(out[..., engine.AZIMUTH])
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
        if not p.goal.told(name):
            continue
        if name == p.goal.objective:
            value = p.value[:, list(which)]
        else:
            kernel = band(pattern, objective.side)
            value = objective.worth(few, p.goal, kernel, objective.best_aim(few, p.goal, kernel))
        found[name] = value, gains(objective.better * value)
    return found
