"""To which points of the head a device's numbers belong, weighed by the shots.

Face and loft belong to the face centre or to the place of the strike: the strike tells them apart, since on a
bulged and rolled face loft less launch hangs on the strike's height in one case only. So both are solved.

Speed and path belong to the face centre or to the head's mass centre, which shifts the path alone. The path's
offset enters as a straight line, so that a session is solved once with the moments of both, and each case
follows in closed form. With a prior N(m0, s0^2) of the offset c in the solution and N(m1, s1^2) in the case,
g ~ N(g^, C), u the column of c in C and v its variance,

    d = 1/s1^2 - 1/s0^2,   C' = C - u u' d/(1 + d v),   c' = (c^ / v + m1/s1^2 - m0/s0^2) / (1/v + d)
    g' = g^ + u (c' - c^)/v,   x' = x - D (g' - g^)                                                    (10)

and the evidence is multiplied by the mean of N(c; m1, s1^2)/N(c; m0, s0^2) over N(c^, v).
"""

from __future__ import annotations

from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from fitter import world as worlds
from fitter.base.assumptions import current
from fitter.shots.infer import evidence, measurement, step
from fitter.shots.infer.eliminate import X
from fitter.shots.infer.hypotheses import Hypotheses, weighed
from fitter.shots.infer.measurement import PATH, Data
from fitter.shots.infer.step import Posterior

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]


def of_face(data: Data, level: float | None, model: Floats | None) -> Ints:
    """Which points of face and loft each session leaves open: 0 the face centre, 1 the strike, 2 both.

    A first look at the middle level and the leading repair of the spin: neither tells of the point.
    """
    first = weighed(
        (0, 1), 0.5 if level is None else level, worlds.strike_models()[0] if model is None else model
    )
    w = evidence.weights(step.solve(data, first), first.odds)
    least = current().value("measurement.point_dropped")
    return np.where(w[1] < least, 0, np.where(w[0] < least, 1, 2))


def of_speed(
    posterior: Posterior, hypotheses: Hypotheses, prior: tuple[float, float]
) -> tuple[Posterior, Hypotheses, Floats]:
    """Part one session's posterior by the point of speed and path.

    Parameters
    ----------
    posterior : Posterior
        Of one session, k hypotheses.
    hypotheses : Hypotheses
    prior : (float, float)
        Mean and SD of the path's offset in the solution.

    Returns
    -------
    posterior, hypotheses
        2 k of them.
    weights : ndarray, shape (2 k,)
        Their probabilities.
    """
    at = X + PATH
    m0, s0 = prior
    mass = measurement.at_mass_centre()
    parts, logs = [], []
    for (m1, s1), share in zip(measurement.path_offsets(), (1.0 - mass, mass), strict=True):
        u, c = posterior.g_cov[..., at], posterior.g[..., at, None]
        v = u[..., at, None]
        d, pull = s1**-2 - s0**-2, m1 / s1**2 - m0 / s0**2
        now = (c / v + pull) / (1.0 / v + d)
        g = posterior.g + u * (now - c) / v
        g_cov = posterior.g_cov - u[..., :, None] * u[..., None, :] * (d / (1.0 + d * v))[..., None]
        moved = posterior.pull @ (g - posterior.g)[..., None]
        height = now**2 * (1.0 / v + d) - c**2 / v - m1**2 / s1**2 + m0**2 / s0**2
        log = 0.5 * (height - np.log1p(d * v))[..., 0] + np.log(s0 / s1)
        parts.append(replace(posterior, x=posterior.x - moved[..., 0], g=g, g_cov=g_cov))
        logs.append(posterior.evidence + log + np.log(share))
    joined = Posterior(*(
        np.concatenate([getattr(p, name) for p in parts]) for name in Posterior.__dataclass_fields__
    ))  # fmt: skip
    both = hypotheses.twice()
    joined = replace(joined, evidence=np.concatenate(logs))
    return joined, both, evidence.weights(joined, both.odds)[:, 0]
