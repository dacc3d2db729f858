"""How far balls run on the day's turf, as the session's measured totals have it."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from fitter import world as worlds
from fitter.advice.baseline import Baseline
from fitter.base import draws
from fitter.base.assumptions import current
from fitter.physics import engine, ground
from fitter.shots.infer.measurement import is_indoor

Floats = NDArray[np.float64]


def told_run(baseline: Baseline, drawn: worlds.Drawn, flown: Floats, seed: int) -> Floats | None:
    """Factor on the run of each draw after the session's measured totals, (draws,), None if they do not tell.

    What the model misses of the run is a factor on it, no addend: a higher launch shortens a long run more
    than a short one. In logarithms the judged factor and the one that the mean measured run asks for are
    joined by their variances (Bishop 2006, eq. 2.141); the latter's is its standard error and what turfs
    differ from day to day and hole to hole.
    """
    session = baseline.delivery.session
    told = np.isfinite(baseline.total) & np.isfinite(baseline.carry) & ~is_indoor(session)
    for name in ("carry_m", "total_m"):
        told &= ~session.estimated.get(name, np.zeros(len(session), dtype=bool))
    a = current()
    if told.sum() < a.value("verdict.least_shots"):
        return None
    run = (baseline.total - baseline.carry)[told]
    modelled = (flown[..., engine.TOTAL] - flown[..., engine.CARRY])[:, told].mean(axis=1)
    if run.mean() < 1.0:
        return None
    now = drawn.world.turf[:, ground.RUN_FACTOR]
    error = np.hypot(float(run.std(ddof=1) / run.mean()) / np.sqrt(len(run)), a.sd("turf.run_day"))
    prior = a.sd("turf.run_factor") ** 2
    weight = prior / (prior + error**2)
    z = draws.normals(len(now), seed, "run told")
    joined = np.exp(
        weight * np.log(now * run.mean() / np.maximum(modelled, 1.0)) + np.sqrt(weight) * error * z
    )
    # A draw in which the balls hardly run can be told nothing by a factor.
    return np.asarray(np.where(modelled < 1.0, 1.0, np.clip(joined, 0.2, 5.0) / now))
