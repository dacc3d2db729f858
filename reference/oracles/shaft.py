"""Closed forms of the shaft: bend and droop near impact, and the frequency of a clamped uniform shaft.

Every function takes scalars or arrays in SI units and broadcasts. The tapered shaft with a real head is in
`fitter.kit.beam`; these check it.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike, NDArray

Floats = NDArray[np.float64]


def pull(head_mass: ArrayLike, speed: ArrayLike, radius: ArrayLike) -> Floats:
    """Pull of the head on the shaft, ``F = m V^2 / R``, in N.

    Parameters
    ----------
    head_mass : array_like
        kg.
    speed : array_like
        Speed of the head, m/s.
    radius : array_like
        Radius of the head's path about the centre of rotation, m.
    """
    m, v, r = (np.asarray(a, dtype=np.float64) for a in (head_mass, speed, radius))
    return np.asarray(m * v**2 / r)


def lead(
    ei: ArrayLike,
    length: ArrayLike,
    radius: ArrayLike,
    speed: ArrayLike,
    head_mass: ArrayLike,
    offset: ArrayLike,
) -> tuple[Floats, Floats]:
    """Forward bend in the swing plane near impact, from the pull on a mass centre behind the shaft's axis.

    A massless uniform shaft, stiffened by the pull; the pull points to the centre of rotation, which lies
    ``a = R - L`` above the butt, so a bent shaft is pulled back less than out of the plane.

    Parameters
    ----------
    ei : array_like
        Bending stiffness, N m2.
    length : array_like
        Free length L from the hands to the head, m.
    radius : array_like
        Radius R of the head's path, m, at least L.
    speed : array_like
        Speed of the head, m/s.
    head_mass : array_like
        kg.
    offset : array_like
        Distance e of the mass centre behind the shaft's axis, m.

    Returns
    -------
    deflection : ndarray
        Forward deflection of the tip, m.
    slope : ndarray
        Forward slope at the tip, rad: the loft that the bend adds.

    Notes
    -----
    With ``k = sqrt(F/EI)`` and ``q = e / [(a/R) cosh kL + sinh(kL)/(kR)]`` (distance of the mass centre
    from the line of pull): ``w = e - q``, ``slope = q [(a/R) k sinh kL + (cosh kL - 1)/R]``. Solution of
    ``EI w'' = F (...)`` for a beam-column in tension, e.g. Timoshenko & Gere, Theory of Elastic Stability,
    chapter 1.
    """
    ei_, len_, rad, off = (np.asarray(a, dtype=np.float64) for a in (ei, length, radius, offset))
    k = np.sqrt(pull(head_mass, speed, radius) / ei_)
    a = rad - len_
    kl = k * len_
    q = off / (a / rad * np.cosh(kl) + np.sinh(kl) / (k * rad))
    slope = q * (a / rad * k * np.sinh(kl) + (np.cosh(kl) - 1.0) / rad)
    return np.asarray(off - q), np.asarray(slope)


def droop(
    ei: ArrayLike,
    length: ArrayLike,
    radius: ArrayLike,
    speed: ArrayLike,
    head_mass: ArrayLike,
    offset: ArrayLike,
) -> tuple[Floats, Floats]:
    """Toe-down bend out of the swing plane near impact.

    Parameters
    ----------
    ei, length, radius, speed, head_mass : array_like
        As for `lead`.
    offset : array_like
        Distance e of the mass centre from the shaft's axis towards the toe, m.

    Returns
    -------
    deflection : ndarray
        Deflection of the tip, m.
    slope : ndarray
        Slope at the tip, rad: the lie that the bend takes off (toe down).

    Notes
    -----
    ``w = e (1 - 1/cosh kL)``, ``slope = e k tanh kL`` with ``k = sqrt(F/EI)``; same source as `lead`. Out of
    the plane the pull keeps its direction, since it is normal to the axis of rotation.
    """
    ei_, len_, off = (np.asarray(a, dtype=np.float64) for a in (ei, length, offset))
    k = np.sqrt(pull(head_mass, speed, radius) / ei_)
    w = off * (1.0 - 1.0 / np.cosh(k * len_))
    return np.asarray(w), np.asarray(off * k * np.tanh(k * len_))


def cantilever_root(mass_ratio: ArrayLike, mode: int = 1) -> Floats:
    """Root a of ``1 + cos a cosh a - n a (sin a cosh a - cos a sinh a) = 0``.

    Parameters
    ----------
    mass_ratio : array_like
        n, tip mass (a point) over mass of the beam; at least 0.
    mode : int
        1 for the lowest root.

    Returns
    -------
    ndarray
        a, dimensionless, to rounding error; ``omega = a^2 sqrt(EI / (m_beam L^3))``.

    Notes
    -----
    Cantilever with a tip mass, no rotary inertia (Math. Probl. Eng. 2017, art. 1568019, Table 1). The
    equation is divided by cosh a and solved by bisection, which cannot leave the bracket of its mode.
    """
    n = np.asarray(mass_ratio, dtype=np.float64)
    # The root of mode j lies between that of a pinned tip (n infinite) and that of a free one (n 0).
    low = np.full(n.shape, 1e-3 if mode == 1 else (mode - 0.75) * np.pi - 1e-2)
    high = np.full(n.shape, (mode - 0.5) * np.pi + (0.31 if mode == 1 else 0.02))

    def f(a: Floats) -> Floats:
        return np.asarray(1.0 / np.cosh(a) + np.cos(a) - n * a * (np.sin(a) - np.cos(a) * np.tanh(a)))

    rising = f(low) < 0.0
    for _ in range(60):
        middle = 0.5 * (low + high)
        below = (f(middle) < 0.0) == rising
        low, high = np.where(below, middle, low), np.where(below, high, middle)
    return np.asarray(0.5 * (low + high))


def uniform_frequency_cpm(
    ei: ArrayLike, length: ArrayLike, beam_mass: ArrayLike, tip_mass: ArrayLike
) -> Floats:
    """Frequency of a clamped uniform shaft with a point mass at its tip, in cycles a minute.

    Parameters
    ----------
    ei : array_like
        Bending stiffness, N m2.
    length : array_like
        Free length beyond the clamp, m.
    beam_mass : array_like
        Mass of that length of shaft, kg, above 0.
    tip_mass : array_like
        kg.
    """
    ei_, len_, mass, tip = (np.asarray(a, dtype=np.float64) for a in (ei, length, beam_mass, tip_mass))
    omega = cantilever_root(tip / mass) ** 2 * np.sqrt(ei_ / (mass * len_**3))
    return np.asarray(omega * 30.0 / np.pi)


def equivalent_ei(
    frequency_cpm: ArrayLike, length: ArrayLike, beam_mass: ArrayLike, tip_mass: ArrayLike
) -> Floats:
    """Stiffness of the uniform shaft that has this frequency, N m2: the inverse of `uniform_frequency_cpm`.

    Parameters
    ----------
    frequency_cpm : array_like
        Cycles a minute.
    length, beam_mass, tip_mass : array_like
        As for `uniform_frequency_cpm`.
    """
    f, len_, mass, tip = (
        np.asarray(a, dtype=np.float64) for a in (frequency_cpm, length, beam_mass, tip_mass)
    )
    omega = f * np.pi / 30.0
    return np.asarray((omega / cantilever_root(tip / mass) ** 2) ** 2 * mass * len_**3)
