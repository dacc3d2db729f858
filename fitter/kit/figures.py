"""Figures of club parts: as read, filled from the judged numbers, or known only together."""

from __future__ import annotations

from dataclasses import dataclass
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from fitter.base import draws
from fitter.base.assumptions import current

Floats = NDArray[np.float64]


class Reading(NamedTuple):
    """A measured figure.

    Parameters
    ----------
    value : float
        In the unit that the figure's name ends in.
    sd : float or None
        Standard deviation of the reading; None takes the usual one of the instrument.
    """

    value: float
    sd: float | None = None


class Figure(NamedTuple):
    """A figure ready for use: measured, or filled from the judged numbers with their spread.

    Parameters
    ----------
    value, sd : float
        In the unit that the figure's name ends in.
    measured : bool
        Whether somebody measured it.
    """

    value: float
    sd: float
    measured: bool


def fill(section: str, name: str, reading: Reading | None) -> Figure:
    """Give a figure from its reading, or from ``section.name`` of the judged numbers in force.

    A reading without an SD takes ``section.gauge_<name>`` if there is one, else the share
    ``head.gauge_share`` of its value.
    """
    known = current()
    if reading is None:
        entry = known[f"{section}.{name}"]
        return Figure(entry.value, entry.sd, False)
    if reading.sd is not None:
        return Figure(reading.value, reading.sd, True)
    gauge = known.get(f"{section}.gauge_{name}")
    sd = gauge.sd if gauge is not None else abs(reading.value) * known.sd("head.gauge_share")
    return Figure(reading.value, sd, True)


@dataclass(frozen=True)
class Joint:
    """Figures known together: a multivariate normal distribution.

    Parameters
    ----------
    kind, code : str
        What it belongs to; they name the streams of its draws.
    names : tuple of str
        Of the figures.
    mean : tuple of float
    covariance : tuple of tuple of float
    """

    kind: str
    code: str
    names: tuple[str, ...]
    mean: tuple[float, ...]
    covariance: tuple[tuple[float, ...], ...]

    @classmethod
    def of(cls, kind: str, code: str, names: tuple[str, ...], mean: Floats, covariance: Floats) -> Joint:
        """Build it from arrays of shape (k,) and (k, k)."""
        rows = 0.5 * (covariance + covariance.T)
        return cls(kind, code, names, tuple(mean.tolist()), tuple(map(tuple, rows.tolist())))

    @property
    def sd(self) -> Floats:
        """Standard deviation of each figure, shape (k,)."""
        return np.sqrt(np.diag(np.array(self.covariance)))

    def figure(self, name: str) -> Figure:
        """Estimate of one figure by itself."""
        i = self.names.index(name)
        return Figure(self.mean[i], float(self.sd[i]), False)

    def draw(self, n: int = 0, seed: int = 1) -> Floats:
        """Draw the figures together, shape (max(n, 1), k); n = 0 gives the mean."""
        mean = np.array(self.mean)
        if n == 0:
            return mean[None]
        z = np.stack([draws.normals(n, seed, self.kind, self.code, i) for i in range(mean.size)], axis=-1)
        w, v = np.linalg.eigh(np.array(self.covariance))
        return np.asarray(mean + z * np.sqrt(np.maximum(w, 0.0)) @ v.T)
