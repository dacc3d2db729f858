"""Tapered shaft with a rigid head: Euler-Bernoulli finite elements, still and in the rotating frame.

Cubic Hermite elements of equal length, stiffness and mass given at the nodes and linear between them; the
butt is clamped. The nodal rotations are kept multiplied by the element's length, so that every matrix is a
fixed pattern times a number. Arrays carry any leading shape (a batch of shafts) before the nodes. SI units.
Shear and rotary inertia of the shaft's own section are left out: a shaft is a hundred diameters long.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

Floats = NDArray[np.float64]

_X, _W = np.polynomial.legendre.leggauss(4)
_XI, _WEIGHT = 0.5 * (_X + 1.0), 0.5 * _W
_SHAPE = np.stack(
    [1 - 3 * _XI**2 + 2 * _XI**3, _XI - 2 * _XI**2 + _XI**3, 3 * _XI**2 - 2 * _XI**3, _XI**3 - _XI**2]
)
_SLOPE = np.stack(
    [6 * _XI**2 - 6 * _XI, 1 - 4 * _XI + 3 * _XI**2, 6 * _XI - 6 * _XI**2, 3 * _XI**2 - 2 * _XI]
)
_CURVE = np.stack([12 * _XI - 6, 6 * _XI - 4, 6 - 12 * _XI, 6 * _XI - 2])
_MASS, _STRETCH, _BEND = (
    np.einsum("g,ig,jg->gij", _WEIGHT, f, f) for f in (_SHAPE, _SLOPE, _CURVE)
)  # (4 Gauss points, 4, 4)


@dataclass(frozen=True)
class Beam:
    """Shaft between the clamp (or the hands) and the head.

    Parameters
    ----------
    ei : ndarray, shape (..., nodes)
        Bending stiffness from butt to tip, N m2.
    mu : ndarray, shape (..., nodes)
        Mass per length, kg/m; 0 for a massless shaft in static questions.
    length : ndarray, shape (...)
        Free length, m.
    """

    ei: Floats
    mu: Floats
    length: Floats


@dataclass(frozen=True)
class Tip:
    """Rigid head at the tip; every field broadcasts against the batch.

    Parameters
    ----------
    mass : array_like
        kg.
    ahead : array_like
        Mass centre beyond the tip along the shaft, m.
    offset : array_like
        Mass centre off the shaft's axis, m: behind it for the bend in the swing plane, to the toe for the
        bend across.
    inertia : array_like
        Moment of inertia at the mass centre about the axis of this bend, kg m2.
    """

    mass: ArrayLike
    ahead: ArrayLike = 0.0
    offset: ArrayLike = 0.0
    inertia: ArrayLike = 0.0


def beam(ei: ArrayLike, mu: ArrayLike, length: ArrayLike, elements: int = 24) -> Beam:
    """Beam from stiffness and mass at evenly spaced places, resampled linearly onto the nodes.

    Parameters
    ----------
    ei, mu : array_like, shape (..., places)
        From butt to tip; two places or more each, or a bare number for a uniform shaft. N m2, kg/m.
    length : array_like, shape (...)
        m.
    elements : int
        At least 1.
    """
    size = np.asarray(length, dtype=np.float64)
    at = np.linspace(0.0, 1.0, elements + 1)
    nodes = [_resample(np.asarray(f, dtype=np.float64), at) for f in (ei, mu)]
    shape = np.broadcast_shapes(nodes[0].shape[:-1], nodes[1].shape[:-1], size.shape)
    full = [np.broadcast_to(f, (*shape, elements + 1)) for f in nodes]
    return Beam(full[0], full[1], np.broadcast_to(size, shape))


def frequencies_cpm(
    shaft: Beam,
    tip: Tip,
    modes: int = 1,
    *,
    rate: ArrayLike = 0.0,
    hub: ArrayLike = 0.0,
    in_plane: bool = False,
) -> Floats:
    """Lowest natural frequencies of the clamped shaft with its head, cycles a minute, shape (..., modes).

    Parameters
    ----------
    shaft : Beam
        With mass.
    tip : Tip
    modes : int
    rate : array_like
        Rate of rotation of the frame, rad/s; 0 for the bench.
    hub : array_like
        Clamp from the axis of rotation, m.
    in_plane : bool
        Bend in the plane of rotation (softened by the rotation) or across it.
    """
    omega = np.asarray(rate, dtype=np.float64)
    k = _stiffness(shaft, tip, omega, np.asarray(hub, dtype=np.float64), in_plane)
    # Largest eigenvalues of K^-1 M: the low modes come out with full accuracy.
    low = np.linalg.cholesky(k)
    half = np.linalg.solve(low, _mass(shaft, tip))
    inverse = np.linalg.eigvalsh(np.linalg.solve(low, half.swapaxes(-1, -2)))[..., ::-1][..., :modes]
    return np.asarray(30.0 / np.pi / np.sqrt(inverse))


def tip_flexibility(shaft: Beam) -> tuple[Floats, Floats, Floats]:
    """Deflection and slope at the tip per newton, and slope per newton metre.

    Returns
    -------
    deflection_per_n, slope_per_n, slope_per_nm : ndarray, shape (...)
        m/N, rad/N (and m per N m, by reciprocity), rad per N m.
    """
    k = _assemble(shaft.ei, _BEND) / _lift(shaft.length / elements(shaft)) ** 3
    size = shaft.length / elements(shaft)
    load = np.zeros((*k.shape[:-1], 2))
    load[..., -2, 0] = 1.0
    load[..., -1, 1] = 1.0 / size
    q = np.linalg.solve(k, load)
    return (
        np.asarray(q[..., -2, 0]),
        np.asarray(q[..., -1, 0] / size),
        np.asarray(q[..., -1, 1] / size),
    )


def bend_near_impact(
    shaft: Beam, tip: Tip, speed: ArrayLike, radius: ArrayLike, *, in_plane: bool
) -> tuple[Floats, Floats]:
    """Deflection and slope at the tip of the shaft that is pulled by the head and by its own mass.

    Parameters
    ----------
    shaft : Beam
        From the hands to the head.
    tip : Tip
        `offset` behind the axis (in plane, lead) or to the toe (across, droop).
    speed : array_like
        Speed of the head's mass centre, m/s.
    radius : array_like
        Radius of its path, m.
    in_plane : bool
        Lead (True) or droop (False).

    Returns
    -------
    deflection, slope : ndarray, shape (...)
        m, rad.

    Notes
    -----
    Equilibrium in the frame that turns at ``V / R``, second order in the deflections: the centrifugal
    potential ``-1/2 Omega^2 (m r_c^2 + int r^2 dm)`` of a head that shifts by w and turns by beta gives the
    load ``F e`` on beta (and ``-m Omega^2 e`` on ``w + s beta`` in plane), the tension ``F`` plus the shaft's
    own, ``+F s beta^2 / 2``, and in plane ``-Omega^2`` times the mass matrix. A massless shaft with its head
    at the tip is the closed form of `reference.oracles.shaft`.
    """
    v, r = np.asarray(speed, dtype=np.float64), np.asarray(radius, dtype=np.float64)
    mass, ahead, offset = (np.asarray(f, dtype=np.float64) for f in (tip.mass, tip.ahead, tip.offset))
    omega = v / r
    hub = r - ahead - shaft.length
    k = _stiffness(shaft, tip, omega, hub, in_plane)
    size = shaft.length / elements(shaft)
    turn = mass * omega**2 * r * offset
    load = np.zeros((*np.broadcast_shapes(k.shape[:-2], turn.shape), k.shape[-1]))
    if in_plane:
        side = -mass * omega**2 * offset
        load[..., -2] = side
        turn = turn + side * ahead
    load[..., -1] = turn / size
    q = np.linalg.solve(k, load[..., None])[..., 0]
    return np.asarray(q[..., -2]), np.asarray(q[..., -1] / size)


def elements(shaft: Beam) -> int:
    """Number of elements."""
    return int(shaft.ei.shape[-1]) - 1


def _stiffness(shaft: Beam, tip: Tip, omega: Floats, hub: Floats, in_plane: bool) -> Floats:
    """Bending, tension and (in plane) softening, all with the head, shape (..., dofs, dofs)."""
    size = shaft.length / elements(shaft)
    k = _assemble(shaft.ei, _BEND) / _lift(size) ** 3
    if not np.any(omega):
        return k
    mass, ahead, offset = (np.asarray(f, dtype=np.float64) for f in (tip.mass, tip.ahead, tip.offset))
    force = mass * omega**2 * (hub + shaft.length + ahead)
    k = k + _assemble_at(_tension(shaft, omega, hub) + force[..., None, None], _STRETCH) / _lift(size)
    turn = force * ahead
    if in_plane:
        point = Tip(mass, ahead)
        k = k - _lift(omega**2) * _mass(shaft, point)
    else:
        turn = turn - omega**2 * mass * offset**2
    turn = turn / size**2
    k = np.array(np.broadcast_to(k, (*np.broadcast_shapes(k.shape[:-2], turn.shape), *k.shape[-2:])))
    k[..., -1, -1] += turn
    return k


def _tension(shaft: Beam, omega: Floats, hub: Floats) -> Floats:
    """Pull of the shaft's own mass at the Gauss points, N, shape (..., elements, 4)."""
    n = elements(shaft)
    size = (shaft.length / n)[..., None]
    edge = (hub + 0.0 * shaft.length)[..., None] + size * np.arange(n)
    left, right = shaft.mu[..., :-1], shaft.mu[..., 1:]

    def inward(xi: Floats | float) -> Floats:
        """Integral of mu r over the element from its butt side to xi."""
        grow = right - left
        return np.asarray(
            size * (edge * (left * xi + grow * xi**2 / 2) + size * (left * xi**2 / 2 + grow * xi**3 / 3))
        )

    whole = inward(1.0)
    beyond = np.cumsum(whole[..., ::-1], axis=-1)[..., ::-1]
    own = np.stack([beyond - inward(float(x)) for x in _XI], axis=-1)
    return np.asarray(own * np.asarray(omega**2)[..., None, None])


def _mass(shaft: Beam, tip: Tip) -> Floats:
    """Mass matrix of shaft and head, shape (..., dofs, dofs)."""
    size = shaft.length / elements(shaft)
    m = _assemble(shaft.mu, _MASS) * _lift(size)
    mass, ahead, offset, inertia = (
        np.asarray(f, dtype=np.float64) for f in (tip.mass, tip.ahead, tip.offset, tip.inertia)
    )
    shape = np.broadcast_shapes(m.shape[:-2], mass.shape, ahead.shape, offset.shape, inertia.shape)
    m = np.array(np.broadcast_to(m, (*shape, *m.shape[-2:])))
    m[..., -2, -2] += mass
    m[..., -2, -1] += mass * ahead / size
    m[..., -1, -2] += mass * ahead / size
    m[..., -1, -1] += (mass * (ahead**2 + offset**2) + inertia) / size**2
    return m


def _assemble(nodal: Floats, pattern: Floats) -> Floats:
    """Matrix of a property given at the nodes, clamped butt removed."""
    left, right = nodal[..., :-1, None], nodal[..., 1:, None]
    return _assemble_at(left + (right - left) * _XI, pattern)


def _assemble_at(values: Floats, pattern: Floats) -> Floats:
    """Matrix of a property given at the Gauss points (..., elements, 4), clamped butt removed."""
    each = np.einsum("...eg,gij->...eij", values, pattern)
    n = each.shape[-3]
    out = np.zeros((*each.shape[:-3], 2 * n + 2, 2 * n + 2))
    for e in range(n):
        out[..., 2 * e : 2 * e + 4, 2 * e : 2 * e + 4] += each[..., e, :, :]
    return out[..., 2:, 2:]


def _lift(x: Floats) -> Floats:
    return np.asarray(x)[..., None, None]


def _resample(values: Floats, at: Floats) -> Floats:
    if values.ndim == 0:
        return np.full(at.shape, float(values))
    places = values.shape[-1]
    if places == at.size:
        return values
    x = at * (places - 1)
    i = np.minimum(x.astype(np.int64), places - 2)
    return np.asarray(values[..., i] + (values[..., i + 1] - values[..., i]) * (x - i))
