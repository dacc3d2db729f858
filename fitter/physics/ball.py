"""Aerodynamic laws of golf balls: each one a small entry, all of one form, held at the edge of its range.

Every law is written as two polynomials, so that one kernel serves them all:

    C_D = (d0 + d1 S + ... + d4 S^4) + (r1 Re + ... + r4 Re^4)
    C_L = (l0 + l1 S + ... + l4 S^4) + q Re^-2

with S = omega r / v, Re = v D / nu in units of 1e5, force = 1/2 rho A C v^2. A new law is a new entry of
`LAWS`.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import ArrayLike, NDArray

from fitter.physics import vectors as at
from fitter.physics.compiled import inlined

Floats = NDArray[np.float64]

RADIUS = 0.02134
"""Radius of the ball, m (Equipment Rules, Part 4: diameter at least 42.67 mm)."""
MASS = 0.0459
"""Mass of the ball, kg (Proceedings 2020 49(1) 47, Table 1; Equipment Rules, Part 4: at most 45.93 g)."""
INERTIA_FACTOR = 0.40
"""I / (m r^2): 83.63 g cm2 for 45.9 g and 21.3 mm (Proceedings 2020 49(1) 47, Table 1)."""

LOW_RE = 0.75
"""Below this Re (1e5) drag rises and lift falls, strongly by ball (US 7,238,121; US 6,916,255)."""

EDGE = 0.01
"""Beyond the upper end of its range of S a law bends into its value 0.01 further on and is held there: no
kink for an integrator, and not one digit changed inside the range."""


@dataclass(frozen=True)
class Law:
    """One published aerodynamic law.

    Parameters
    ----------
    name, source : str
        Short name and citation.
    era : {'modern', 'old ball'}
        Modern laws enter the blend.
    drag, lift : tuple of float
        Coefficients of 1, S, ..., S^4.
    drag_re : tuple of float
        Coefficients of Re, ..., Re^4 (Re in 1e5).
    lift_re : float
        Coefficient of Re^-2.
    s_range, re_range : tuple of float
        Where the law holds; outside it is held at its edge.
    decay : float or None
        Published C_M / S of the law, or None.
    """

    name: str
    source: str
    era: str
    drag: tuple[float, ...]
    lift: tuple[float, ...]
    s_range: tuple[float, float]
    re_range: tuple[float, float]
    drag_re: tuple[float, ...] = (0.0,)
    lift_re: float = 0.0
    decay: float | None = None


def _through(x: tuple[float, ...], y: tuple[float, ...]) -> tuple[float, ...]:
    """Polynomial of degree 4 through five tabulated points."""
    return tuple(np.polynomial.Polynomial.fit(x, y, 4).convert().coef.tolist())


def _fitted(function: Callable[[Floats], Floats], low: float, high: float) -> tuple[float, ...]:
    """Chebyshev interpolant of degree 4, as plain powers."""
    chebyshev = np.polynomial.Chebyshev.interpolate(function, 4, [low, high])
    return tuple(chebyshev.convert(kind=np.polynomial.Polynomial).coef.tolist())


def _smits_re() -> tuple[float, ...]:
    return _fitted(lambda re: 0.06 * np.sin(np.pi * (re - 0.9) / 2.0), 0.7, 2.1)


LAWS: dict[str, Law] = {
    law.name: law
    for law in (
        Law(
            name="naruo-2004",
            source="Naruo, Mizota & Shimozono 2004, Trans. JSME B 70(697) 2371-2377, eqs. 12-14",
            era="modern",
            drag=(0.2049, 0.2148, 1.098, -1.760, 0.7510),
            lift=(0.0616, 1.250, -1.644, 1.006, -0.2158),
            s_range=(0.03, 1.13),
            re_range=(0.7, 2.3),
        ),
        Law(
            name="ferguson-2022",
            source="Ferguson, McNally & McPhee 2022, ISEA, doi 10.5703/1288284317493",
            era="modern",
            drag=(0.1304, 0.9287, -0.8259),
            lift=(0.0504, 1.2031, -1.1490),
            s_range=(0.02, 0.75),
            re_range=(0.5, 2.5),
            decay=0.010,
        ),
        Law(
            name="us6186002",
            source="US patent 6,186,002 B1, example ball, 42 launches in an indoor range",
            era="modern",
            drag=(0.2028, -0.2159, 2.8466),
            lift=(0.0860, 0.6463, 1.4789),
            drag_re=(0.0165,),
            lift_re=-0.0122,
            s_range=(0.04, 0.23),
            re_range=(0.7, 2.1),
        ),
        Law(
            name="smits-1994",
            source="Smits & Smith 1994, Science and Golf II, 340-347",
            era="old ball",
            drag=(0.24 + _smits_re()[0], 0.18),
            drag_re=_smits_re()[1:],
            lift=_fitted(lambda s: 0.54 * s**0.4, 0.08, 0.2),
            s_range=(0.08, 0.2),
            re_range=(0.7, 2.1),
        ),
        Law(
            name="bearman-1976",
            source="Bearman & Harvey 1976, Aeronaut. Q. 27, 112-122, digitised; quartic through its points",
            era="old ball",
            drag=_through((0.057, 0.099, 0.155, 0.227, 0.279), (0.264, 0.267, 0.286, 0.307, 0.321)),
            lift=_through((0.052, 0.102, 0.154, 0.218, 0.304), (0.114, 0.146, 0.180, 0.226, 0.279)),
            s_range=(0.057, 0.279),
            re_range=(0.7, 2.3),
        ),
    )
}
MODERN = tuple(name for name, law in LAWS.items() if law.era == "modern")


def vector(
    law: Law,
    decay: ArrayLike,
    drag_factor: ArrayLike = 1.0,
    lift_factor: ArrayLike = 1.0,
    low_drag: ArrayLike = 0.0,
    low_lift: ArrayLike = 0.0,
) -> Floats:
    """Coefficients of one law as the kernels take them.

    Parameters
    ----------
    law : Law
        The published law.
    decay : array_like
        C_M / S of the spin torque, used where the law publishes none.
    drag_factor, lift_factor : array_like
        Multiply C_D and C_L: the ball in play against the law's.
    low_drag, low_lift : array_like
        Rise of C_D and fall of C_L per unit of (0.75 - Re)/0.75 below Re 0.75e5.

    Returns
    -------
    ndarray
        Shape (..., LAW), the broadcast of the arguments.
    """
    factors = np.broadcast_arrays(decay, drag_factor, lift_factor, low_drag, low_lift)
    out = np.zeros((*factors[0].shape, at.LAW))
    drag, lift = factors[1][..., None], factors[2][..., None]
    out[..., at.D0 : at.D0 + len(law.drag)] = drag * np.asarray(law.drag)
    out[..., at.R1 : at.R1 + len(law.drag_re)] = drag * np.asarray(law.drag_re)
    out[..., at.L0 : at.L0 + len(law.lift)] = lift * np.asarray(law.lift)
    out[..., at.Q] = factors[2] * law.lift_re
    out[..., at.S_MIN], out[..., at.S_MAX] = law.s_range
    out[..., at.RE_MIN], out[..., at.RE_MAX] = law.re_range
    out[..., at.LOW_DRAG], out[..., at.LOW_LIFT] = factors[3], factors[4]
    out[..., at.DECAY] = factors[0] if law.decay is None else law.decay
    return out


def coefficients(law: Floats, s: ArrayLike, re: ArrayLike) -> tuple[Floats, Floats]:
    """C_D and C_L of a law's vector at S and Re (1e5), plain NumPy, for tables, plots and tests."""
    ratio: Floats = np.clip(np.asarray(s, dtype=np.float64), law[at.S_MIN], law[at.S_MAX] + 2.0 * EDGE)
    ratio = ratio - np.maximum(ratio - law[at.S_MAX], 0.0) ** 2 / (4.0 * EDGE)
    number = np.asarray(re, dtype=np.float64)
    low = np.maximum(0.0, 1.0 - number / LOW_RE)
    number = np.clip(number, law[at.RE_MIN], law[at.RE_MAX])
    poly: Any = np.polynomial.polynomial.polyval
    drag = poly(ratio, law[at.D0 : at.D0 + 5]) + poly(number, np.concatenate([[0.0], law[at.R1 : at.R1 + 4]]))
    lift = poly(ratio, law[at.L0 : at.L0 + 5]) + law[at.Q] / number**2
    return np.asarray(drag + law[at.LOW_DRAG] * low), np.asarray(lift - law[at.LOW_LIFT] * low)


@inlined
def drag_lift(s, re, inv_re2, c):
    """C_D and C_L for a local tuple of coefficients; the kernels' copy of `coefficients`."""
    s = min(max(s, c[at.S_MIN]), c[at.S_MAX] + 2.0 * EDGE)
    over = max(s - c[at.S_MAX], 0.0)
    s -= over * over * (0.25 / EDGE)
    low = max(0.0, 1.0 - re * (1.0 / LOW_RE))
    re = min(max(re, c[at.RE_MIN]), c[at.RE_MAX])
    inv_re2 = min(max(inv_re2, 1.0 / (c[at.RE_MAX] * c[at.RE_MAX])), 1.0 / (c[at.RE_MIN] * c[at.RE_MIN]))
    cd = c[at.D0] + s * (c[at.D1] + s * (c[at.D2] + s * (c[at.D3] + s * c[at.D4])))
    cd += re * (c[at.R1] + re * (c[at.R2] + re * (c[at.R3] + re * c[at.R4]))) + c[at.LOW_DRAG] * low
    cl = c[at.L0] + s * (c[at.L1] + s * (c[at.L2] + s * (c[at.L3] + s * c[at.L4])))
    cl = cl + c[at.Q] * inv_re2 - c[at.LOW_LIFT] * low
    return cd, cl
