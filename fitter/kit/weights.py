"""Mass and place of a movable weight: what it does to a head's mass centre and inertia tensor.

Axes face normal (forward), up the face, toward the toe, from the face centre. Tensors are six numbers
(normal, up, toe, normal-up, normal-toe, up-toe), the last three the off-diagonal terms.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike, NDArray

Floats = NDArray[np.float64]


def point_tensor(mass: ArrayLike, place: Floats) -> Floats:
    """Inertia of a point mass about the origin, shape (..., 6).

    Parameters
    ----------
    mass : array_like, shape (...)
        kg; negative takes a mass away.
    place : ndarray, shape (..., 3)
        m.
    """
    m = np.asarray(mass, dtype=np.float64)
    x, y, z = np.moveaxis(place, -1, 0)
    terms = np.stack([y * y + z * z, x * x + z * z, x * x + y * y, -x * y, -x * z, -y * z], axis=-1)
    return np.asarray(m[..., None] * terms)


def move(
    mass: ArrayLike,
    centre: Floats,
    tensor: Floats,
    weight: ArrayLike,
    before: Floats,
    after: Floats,
    swap: ArrayLike = 0.0,
) -> tuple[Floats, Floats, Floats]:
    """Move a weight in a head, and change it for another one.

    Parameters
    ----------
    mass : array_like, shape (...)
        Head with the weight, kg.
    centre : ndarray, shape (..., 3)
        Mass centre of the head with the weight at ``before``, m.
    tensor : ndarray, shape (..., 6)
        At that mass centre, kg m2.
    weight : array_like, shape (...)
        The weight that moves, kg.
    before, after : ndarray, shape (..., 3)
        Its places, m.
    swap : array_like, shape (...)
        Change of mass at ``after``, kg.

    Returns
    -------
    mass, centre, tensor : ndarray
        Of the changed head, tensor at its own mass centre.

    Notes
    -----
    Parallel axes (Steiner): tensors about the face centre add up.
    """
    m, w, s = (np.asarray(x, dtype=np.float64) for x in (mass, weight, swap))
    total = m + s
    moved = (m[..., None] * centre + w[..., None] * (after - before) + s[..., None] * after) / total[
        ..., None
    ]
    about = tensor + point_tensor(m, centre) - point_tensor(w, before) + point_tensor(w + s, after)
    return np.asarray(total), np.asarray(moved), np.asarray(about - point_tensor(total, moved))
