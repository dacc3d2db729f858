"""What a session's measured totals tell of the run: its size, and its shape over the landing angle."""

from __future__ import annotations

from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from fitter import world as worlds
from fitter.advice.baseline import Baseline
from fitter.base import draws
from fitter.base.assumptions import current
from fitter.base.units import DEG
from fitter.physics import vectors
from fitter.shots.infer.measurement import is_indoor

Floats = NDArray[np.float64]

ROUNDS = 3
"""Steps of Gauss and Newton: the run is an exponential of what is told."""
LEAST_M = 1.0
"""Balls that run less (m) tell nothing by a factor."""


class Run(NamedTuple):
    """Change of each draw's run, (draws,) each: a factor, and a steepness over the landing angle, 1/rad."""

    factor: Floats
    steep: Floats

    def scale(self, angle: Floats) -> Floats:
        """Factor on the run of shots that land at some angles (draws, shots), rad."""
        fall = self.steep[:, None] * (angle - vectors.RUN_ANGLE)
        return np.asarray(self.factor[:, None] * np.exp(-fall))


def told(baseline: Baseline, drawn: worlds.Drawn, flown: Floats, seed: int) -> Run | None:
    """Change of each draw's run after the session's measured totals; None if they do not tell.

    What the model misses of the run is a factor on it and a fall with the landing angle, no addend: a higher
    launch shortens a long run more than a short one. Both have normal priors, the factor in its logarithm,
    and so has what turfs differ from day to day and hole to hole; the measured runs of all shots join them
    (Bishop 2006, eq. 3.50 and 3.51, linearised).

    Parameters
    ----------
    baseline : Baseline
    drawn : worlds.Drawn
        Worlds of the session's own air and turf.
    flown : ndarray, shape (draws, shots, vectors.RESULT)
        The measured shots in these worlds.
    seed : int
    """
    use = _measured(baseline)
    a = current()
    if use.sum() < a.value("verdict.least_shots"):
        return None
    run = (baseline.total - baseline.carry)[use]
    if run.mean() < LEAST_M:
        return None
    turf, there = drawn.world.turf, flown[:, use]
    angle = there[..., vectors.DESCENT] - vectors.RUN_ANGLE
    drew = Run(turf[:, vectors.RUN_FACTOR], turf[:, vectors.RUN_STEEP])
    modelled = np.maximum(there[..., vectors.TOTAL] - there[..., vectors.CARRY], 0.0)
    bare = modelled / drew.scale(there[..., vectors.DESCENT])
    # Size and steepness of another day, and of this day besides.
    prior = np.array(
        [a.sd(f"turf.{name}") for name in ("run_factor", "run_steepness", "run_day", "run_shape_day")]
    )
    prior[[1, 3]] /= DEG
    noise = _scatter(run, bare, angle)
    slope = np.stack([np.ones_like(angle), -angle, np.ones_like(angle), -angle], axis=-1)
    at = np.zeros((len(bare), 4))
    at[:, [0, 2]] = 0.5 * np.log(run.mean() / np.maximum(bare.mean(axis=1), LEAST_M))[:, None]
    for _ in range(ROUNDS):
        now = bare * np.exp(np.clip(np.einsum("dsk,dk->ds", slope, at), -3.0, 3.0))
        x = now[..., None] * slope / noise
        off = (run - now) / noise + np.einsum("dsk,dk->ds", x, at)
        cov = np.linalg.inv(np.swapaxes(x, 1, 2) @ x + np.diag(prior**-2.0))
        at = np.einsum("dkl,dsl,ds->dk", cov, x, off)
    z = np.stack([draws.normals(len(at), seed, name) for name in ("run told", "run shape told")], axis=-1)
    both = at[:, :2] + np.einsum("dkl,dl->dk", np.linalg.cholesky(cov[:, :2, :2]), z)
    # A draw in which the balls hardly run can be told nothing by a factor.
    lost = modelled.mean(axis=1) < LEAST_M
    factor = np.where(lost, 1.0, np.clip(np.exp(both[:, 0]), 0.2, 5.0) / drew.factor)
    return Run(factor, np.where(lost, 0.0, both[:, 1] - drew.steep))


def _measured(baseline: Baseline) -> NDArray[np.bool_]:
    """Shots whose run was measured outdoors, (shots,)."""
    session = baseline.delivery.session
    use = np.isfinite(baseline.total) & np.isfinite(baseline.carry) & ~is_indoor(session)
    for name in ("carry_m", "total_m"):
        use &= ~session.estimated.get(name, np.zeros(len(session), dtype=bool))
    return np.asarray(use)


def _scatter(run: Floats, bare: Floats, angle: Floats) -> float:
    """SD of one ball's run about what the model makes of its landing, m."""
    mean = bare.mean(axis=0)
    design = np.stack([mean, mean * angle.mean(axis=0)], axis=-1)
    left = run - design @ np.linalg.lstsq(design, run, rcond=None)[0]
    least = current().value("turf.run_scatter") * float(run.mean())
    return max(float(np.sqrt((left**2).sum() / max(len(run) - 2, 1))), least)
