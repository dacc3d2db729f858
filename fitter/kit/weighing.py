"""Masses of head, shaft and grip from the weights of a whole club that cannot be taken apart."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from fitter.base import draws
from fitter.base.assumptions import Assumptions, current
from fitter.kit.body import swing_moment, swing_points
from fitter.kit.figures import Figure

Floats = NDArray[np.float64]

PARTS = ("head_mass_g", "shaft_mass_g", "balance_pct", "grip_mass_g")
"""Head with its weights, cut shaft, mass centre of the cut shaft from its butt, grip."""
_PLACES = ("head_short_mm", "shaft_short_mm", "grip_centre_mm")
WHOLE = ("total_mass_g", "balance_mm", "swing_weight_points")
"""What can be measured on a whole club."""


@dataclass(frozen=True)
class Masses:
    """Joint estimate of the masses of one club.

    Parameters
    ----------
    code : str
        Of the club; names the streams of its draws.
    mean : tuple of float
        Of `PARTS`, in their units.
    covariance : tuple of tuple of float
        Of `PARTS`.
    """

    code: str
    mean: tuple[float, ...]
    covariance: tuple[tuple[float, ...], ...]

    def figure(self, part: str) -> Figure:
        """Estimate of one part by itself."""
        i = PARTS.index(part)
        return Figure(self.mean[i], float(np.sqrt(self.covariance[i][i])), False)

    def draw(self, n: int = 0, seed: int = 1) -> Floats:
        """Draw `PARTS` together, shape (max(n, 1), 4); n = 0 gives the mean."""
        mean = np.array(self.mean)
        if n == 0:
            return mean[None]
        z = np.stack([draws.normals(n, seed, "club", self.code, i) for i in range(len(PARTS))], axis=-1)
        w, v = np.linalg.eigh(np.array(self.covariance))
        return np.asarray(mean + z * np.sqrt(np.maximum(w, 0.0)) @ v.T)


def independent(code: str, parts: Mapping[str, Figure]) -> Masses:
    """Masses of a club whose parts are known one by one."""
    sd = np.array([parts[p].sd for p in PARTS])
    return _frozen(code, np.array([parts[p].value for p in PARTS]), np.diag(sd**2))


def weigh(
    code: str,
    length_in: Figure,
    prior: Mapping[str, Figure],
    whole: Mapping[str, Figure],
    assumptions: Assumptions | None = None,
) -> Masses:
    """Infer the parts of a club from what was measured on the whole.

    Parameters
    ----------
    code : str
    length_in : Figure
        Club length.
    prior : mapping
        Figures of `PARTS` before weighing: stamps, measurements, or the judged spreads.
    whole : mapping
        Any of `WHOLE`.
    assumptions : Assumptions, optional
        The package's own when silent.

    Notes
    -----
    Iterated Kalman update (Bell & Cathey 1993, IEEE Trans. Automat. Contr. 38, 294-297) of the parts together
    with the club's length and the places of head, shaft end and grip, so that what is not known of these
    widens the masses.
    """
    known = current() if assumptions is None else assumptions
    places = [known[f"club.{p}"] for p in _PLACES]
    figures = [*(prior[p] for p in PARTS), length_in]
    mean0 = np.array([f.value for f in figures] + [p.value for p in places])
    sd = np.array([f.sd for f in figures] + [p.sd for p in places])
    cov0 = np.diag(np.maximum(sd, 1e-9) ** 2)
    names = [w for w in WHOLE if w in whole]
    if not names:
        return _frozen(code, mean0[:4], cov0[:4, :4])
    seen = np.array([whole[n].value for n in names])
    noise = np.diag([whole[n].sd ** 2 for n in names])
    mean, cov = mean0, cov0
    for _ in range(5):
        at, slopes = _linear(mean, names, known)
        gain = cov0 @ slopes.T @ np.linalg.inv(slopes @ cov0 @ slopes.T + noise)
        mean = mean0 + gain @ (seen - at - slopes @ (mean0 - mean))
        cov = cov0 - gain @ slopes @ cov0
    return _frozen(code, mean[:4], cov[:4, :4])


def _whole(x: Floats, names: list[str], known: Assumptions) -> Floats:
    """Whole-club figures of parameter rows (..., 8), shape (..., len(names))."""
    head, shaft, share, grip, length, head_short, shaft_short, grip_at = np.moveaxis(x, -1, 0)
    mm = length * 25.4
    mass = head + shaft + grip
    balance = (head * (mm - head_short) + shaft * share / 100.0 * (mm - shaft_short) + grip * grip_at) / mass
    points = swing_points(swing_moment(mass / 1e3, balance / 1e3, known), known)
    values = {"total_mass_g": mass, "balance_mm": balance, "swing_weight_points": points}
    return np.stack([values[n] for n in names], axis=-1)


def _linear(x: Floats, names: list[str], known: Assumptions) -> tuple[Floats, Floats]:
    step = 1e-4
    rows = _whole(np.vstack([x, x + step * np.eye(x.size)]), names, known)
    return rows[0], ((rows[1:] - rows[0]) / step).T


def _frozen(code: str, mean: Floats, cov: Floats) -> Masses:
    cov = 0.5 * (cov + cov.T)
    return Masses(code, tuple(map(float, mean)), tuple(tuple(map(float, row)) for row in cov))
