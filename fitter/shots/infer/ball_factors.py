"""Probability of each law of the ball, and factors on its drag and lift, from measured carries."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from types import MappingProxyType

import numpy as np
from numpy.typing import NDArray

from fitter import world as worlds
from fitter.base.assumptions import Assumptions, current, using
from fitter.base.conditions import Conditions
from fitter.physics import engine, vectors
from fitter.shots.infer import measurement
from fitter.shots.infer.delivery import Delivery
from fitter.shots.infer.measurement import MEASURED, SCALE
from fitter.shots.session import Session
from fitter.simulate.flight import spin_ratio

Floats = NDArray[np.float64]

FACTORS = ("ball.drag_factor", "ball.lift_factor")
_STEP = 0.005
_START = ("ball_speed_mps", "launch_deg", "direction_deg", "spin_rpm", "spin_axis_deg")
_MOVED = np.array([1e-3, 1e-5, 1e-5, 1e-2, 1e-5])


@dataclass(frozen=True)
class BallFactors:
    """Laws of the ball and factors on them, given measured carries.

    Parameters
    ----------
    laws : mapping of str to float
        Probability of each law.
    drag, drag_sd, lift, lift_sd : float
        Factors on C_D and C_L against the law, over all laws.
    by_law : mapping of str to (ndarray, ndarray)
        Mean (2,) and covariance (2, 2) of drag and lift if that law holds.
    shots : int
        Carries that were used: measured, of shots that are not set aside.
    """

    laws: Mapping[str, float]
    drag: float
    drag_sd: float
    lift: float
    lift_sd: float
    by_law: Mapping[str, tuple[Floats, Floats]]
    shots: int


def ball_factors(
    session: Session,
    delivery: Delivery,
    conditions: Conditions | None = None,
) -> BallFactors:
    """Condition laws and factors on the carries of a session.

    A Gaussian regression on both factors for each law, and the evidence of the laws (Bishop 2006, Pattern
    Recognition and Machine Learning, eq. 3.53, 3.54 and 2.115). Carries that a device computed are left out:
    they follow the device's own law.

    Parameters
    ----------
    session : Session
        n shots.
    delivery : Delivery
        Inferred from that session.
    conditions : Conditions, optional
        Air and wind of the session; standard if None.

    Returns
    -------
    BallFactors
        The prior itself if no carry was measured.
    """
    a = current()
    where = conditions or Conditions()
    names = worlds.law_names(where)
    carry = session.value("carry_m")
    computed = session.estimated.get("carry_m", np.zeros(len(session), dtype=bool))
    use = np.isfinite(carry) & ~computed & ~session.set_aside & ~delivery.misread.any(axis=1)
    start = delivery.start[use]
    belief = np.array([[a.value(f) for f in FACTORS], [a.sd(f) for f in FACTORS]])
    prior = np.diag(belief[1] ** 2)
    weights = np.log(worlds.law_weights(names, spin_ratio(start[:, 0], start[:, 3])))
    means = np.repeat(belief[0][None], len(names), axis=0)
    covs = np.repeat(prior[None], len(names), axis=0)
    if use.any():
        flown = _carries(start, where)
        moved = []
        for factor in FACTORS:
            with using(_shifted(a, factor)):
                moved.append(_carries(start, where))
        by_factor = np.stack([(one - flown) / _STEP for one in moved], axis=-1)
        noise = _noise(session, delivery, use, start, where)
        for k in range(len(names)):
            off, x = carry[use] - flown[k], by_factor[k]
            total = np.diag(noise[k] ** 2) + x @ prior @ x.T
            gain = np.linalg.solve(total, x @ prior).T
            means[k] += gain @ off
            covs[k] = prior - gain @ x @ prior
            weights[k] -= 0.5 * (off @ np.linalg.solve(total, off) + np.linalg.slogdet(total)[1])
    p = np.exp(weights - weights.max())
    p /= p.sum()
    mean = p @ means
    sd = np.sqrt(p @ (np.diagonal(covs, axis1=-2, axis2=-1) + (means - mean) ** 2))
    return BallFactors(
        MappingProxyType(dict(zip(names, map(float, p), strict=True))),
        float(mean[0]), float(sd[0]), float(mean[1]), float(sd[1]),
        MappingProxyType({n: (means[k], covs[k]) for k, n in enumerate(names)}),
        int(use.sum()),
    )  # fmt: skip


def _carries(start: Floats, where: Conditions) -> Floats:
    """Carry under each law, (laws, n)."""
    return np.asarray(engine.fly(start, worlds.central(where).world)[..., vectors.CARRY])


def _shifted(a: Assumptions, factor: str) -> Assumptions:
    moved = dict(a)
    moved[factor] = replace(a[factor], value=a.value(factor) + _STEP)
    return Assumptions(moved)


def _noise(
    session: Session,
    delivery: Delivery,
    use: NDArray[np.bool_],
    start: Floats,
    where: Conditions,
) -> Floats:
    """SD of a carry under each law, (laws, n): its own measurement and that of the start it flew from."""
    at = [MEASURED.index(name) for name in _START]
    a = current()
    of_channel = measurement.spreads(session)[:, at]
    of_model = np.stack([delivery.predicted_sd[name] for name in _START], axis=1) * SCALE[at]
    there = np.isfinite(np.stack([session.value(name) for name in _START], axis=1))
    sd = np.where(there, np.minimum(of_channel, of_model), of_model)[use]
    here = _carries(start, where)
    own = a.sd("measurement.carry_pct") / 100.0 * session.value("carry_m")[use]
    own = np.maximum(own, a.sd("measurement.carry_least_m"))
    variance = np.tile(own**2, (len(here), 1))
    for k, step in enumerate(_MOVED):
        moved = start.copy()
        moved[:, k] += step
        variance += ((_carries(moved, where) - here) / step * sd[:, k]) ** 2
    return np.asarray(np.sqrt(variance))
