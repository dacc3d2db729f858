"""Torsion of a clamped shaft: twist under a torque, and the lowest frequency with a head at the tip."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike, NDArray

Floats = NDArray[np.float64]


def twist(gj: ArrayLike, length: ArrayLike, torque: ArrayLike) -> Floats:
    """Angle at the tip under a torque, rad.

    Parameters
    ----------
    gj : array_like, shape (..., nodes)
        Torsional stiffness, N m2.
    length, torque : array_like, shape (...)
        m, N m.

    Notes
    -----
    ``theta = T int dx / GJ``, exact for stiffness linear between the nodes (Saint-Venant).
    """
    stiff = np.asarray(gj, dtype=np.float64)
    left, right = stiff[..., :-1], stiff[..., 1:]
    size = np.asarray(length, dtype=np.float64)[..., None] / left.shape[-1]
    ratio = right / left - 1.0
    # log1p(r)/r is 1 for a uniform element
    mean = np.where(np.abs(ratio) > 1e-8, np.log1p(ratio) / np.where(ratio == 0.0, 1.0, ratio), 1.0)
    return np.asarray(np.asarray(torque, dtype=np.float64) * (size * mean / left).sum(axis=-1))


def frequency_cpm(
    gj: ArrayLike, polar: ArrayLike, length: ArrayLike, head_inertia: ArrayLike, elements: int = 48
) -> Floats:
    """Lowest torsional frequency of a clamped uniform or tapered shaft with a head, cycles a minute.

    Parameters
    ----------
    gj : array_like, shape (..., nodes)
        Torsional stiffness, N m2, resampled onto the elements.
    polar : array_like, shape (...)
        Polar moment of inertia of the shaft per length, kg m; small against the head's.
    length : array_like, shape (...)
        m.
    head_inertia : array_like, shape (...)
        Of the head about the shaft's axis, kg m2.
    elements : int
        Linear elements; the error falls with their square.
    """
    stiff = np.asarray(gj, dtype=np.float64)
    at = np.linspace(0.0, stiff.shape[-1] - 1.0, elements + 1)
    i = np.minimum(at.astype(np.int64), stiff.shape[-1] - 2)
    nodes = stiff[..., i] + (stiff[..., i + 1] - stiff[..., i]) * (at - i)
    size = np.asarray(length, dtype=np.float64) / elements
    spring = 0.5 * (nodes[..., :-1] + nodes[..., 1:]) / size[..., None]
    lump = np.asarray(polar, dtype=np.float64) * size
    shape = np.broadcast_shapes(spring.shape[:-1], lump.shape, np.shape(head_inertia))
    k = np.zeros((*shape, elements + 1, elements + 1))
    m = np.zeros_like(k)
    for e in range(elements):
        k[..., e, e] += spring[..., e]
        k[..., e + 1, e + 1] += spring[..., e]
        k[..., e, e + 1] -= spring[..., e]
        k[..., e + 1, e] -= spring[..., e]
        for a, b, share in ((e, e, 2), (e + 1, e + 1, 2), (e, e + 1, 1), (e + 1, e, 1)):
            m[..., a, b] += lump * share / 6.0
    m[..., -1, -1] += head_inertia
    low = np.linalg.cholesky(k[..., 1:, 1:])
    half = np.linalg.solve(low, m[..., 1:, 1:])
    largest = np.linalg.eigvalsh(np.linalg.solve(low, half.swapaxes(-1, -2)))[..., -1]
    return np.asarray(30.0 / np.pi / np.sqrt(largest))
