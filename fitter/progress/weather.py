"""The air of a visit: carries brought to a reference, and what nobody told of the day's wind and weather."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from fitter import world as worlds
from fitter.base import draws
from fitter.base.assumptions import current
from fitter.base.conditions import Conditions
from fitter.physics import engine, vectors
from fitter.progress.visits import Group
from fitter.simulate.flight import spin_ratio

Floats = NDArray[np.float64]


def central(group: Group, air: Conditions) -> Floats:
    """Carry of each ball in some air by the blend of the laws, m, shape (n,)."""
    start = group.start
    names = worlds.law_names(air)
    weights = worlds.law_weights(names, spin_ratio(start[:, vectors.SPEED], start[:, vectors.SPIN]))
    out = engine.fly(start, worlds.central(air).world)[..., vectors.CARRY]
    return np.asarray(weights @ out)


def measured(group: Group) -> Floats:
    """Carry of each ball as measured, m, shape (n,); by the model and the mean residual where it was not."""
    known = np.isfinite(group.carry)
    if known.all():
        return group.carry
    flown = central(group, group.air)
    beside = float((group.carry - flown)[known].mean()) if known.any() else 0.0
    return np.where(known, group.carry, flown + beside)


def hidden(group: Group, n: int, seed: int) -> Floats:
    """Mean carry that the untold part of the day's air may have brought, m, shape (n,).

    Temperature and pressure are told to within a few degrees and hectopascals, and nobody knows the wind of
    each ball; indoors there is none.
    """
    a, air = current(), group.air
    if not np.isfinite(group.carry).any():
        return np.zeros(n)
    base = central(group, air).mean()
    along = replace(air, wind_mps=air.wind_mps + 1.0) if air.wind_mps else replace(air, wind_mps=1.0)
    tried = {
        "temperature_c": (replace(air, temperature_c=air.temperature_c + 1.0), 1.0),
        "pressure_hpa": (replace(air, pressure_pa=air.pressure_pa + 100.0), 1.0),
        "wind_mps": (replace(along, wind_from_deg=air.wind_from_deg if air.wind_mps else 0.0), 1.0),
    }
    total = np.zeros(n)
    for name, (place, step) in tried.items():
        if group.indoor and name == "wind_mps":
            continue
        slope = float(central(group, place).mean() - base) / step
        total += (
            slope * a.sd(f"progress.air_{name}") * draws.normals(n, seed, "progress.air", name, group.visit)
        )
    return total


def reference(group: Group, air: Conditions, n: int, seed: int) -> tuple[Floats, Floats]:
    """Carry of each ball in a reference air and turf: the flight's, and what the ball did beside the model.

    Returns
    -------
    carry : ndarray, shape (draws, n)
    chance : ndarray, shape (draws,)
        The day's untold air, to be taken off the mean.
    """
    names = worlds.law_names(air)
    start = group.start
    weights = worlds.law_weights(names, spin_ratio(start[:, vectors.SPEED], start[:, vectors.SPIN]))
    there, own = (group.flown(worlds.drawn(c, n, seed, weights).world) for c in (air, group.air))
    known = np.isfinite(group.carry)
    residual = np.where(known, group.carry - own, 0.0)
    if known.any() and not known.all():
        residual = np.where(known, residual, residual[:, known].mean(axis=1, keepdims=True))
    return there + residual, hidden(group, n, seed)
