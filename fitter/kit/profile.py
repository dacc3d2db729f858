"""Stiffness of a shaft from the bench figures a shop has, with the uncertainty of what they leave open.

The logarithm of the stiffness is linear between butt, middle and tip. A clamped frequency fixes one
combination of the three, which lies near the butt; the tip, which decides the delivered loft, stays as wide
as the judged range unless somebody measured it, and every answer drawn from here shows that.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import lru_cache

import numpy as np
from numpy.typing import ArrayLike, NDArray

from fitter.base.assumptions import Assumptions, current
from fitter.base.units import DEG, INCH
from fitter.kit import beam
from fitter.kit.figures import Figure, Joint
from fitter.kit.parts import Shaft

Floats = NDArray[np.float64]

KNOTS = ("butt_ei_nm2", "mid_ei_nm2", "tip_ei_nm2")
"""Stiffness at butt, middle and tip of the raw shaft."""
PLACES = 13
FOOT_POUND = 1.3558179483314004
"""One foot pound-force in N m (exact by definition): torque ratings of shafts are degrees under this."""


@dataclass(frozen=True)
class Profile:
    """A shaft's stiffness, as sure as its figures make it.

    Parameters
    ----------
    length_m, mass_kg, balance : float
        Raw shaft: length, mass, mass centre from the butt as a share of the length.
    log_ei : Joint
        Logarithm of the bending stiffness (N m2) at `KNOTS`.
    gj : Figure
        Torsional stiffness of the equivalent uniform shaft, N m2.
    """

    length_m: float
    mass_kg: float
    balance: float
    log_ei: Joint
    gj: Figure


def stiffness_at(log_ei: Floats, share: Floats) -> Floats:
    """Stiffness at shares of the raw length, N m2.

    Parameters
    ----------
    log_ei : ndarray, shape (..., 3)
    share : ndarray, shape (..., places)
        0 butt, 1 tip; held at the ends (an extension continues the butt).
    """
    s = np.clip(share, 0.0, 1.0) * 2.0
    i = np.minimum(s.astype(np.int64), 1)
    shape = np.broadcast_shapes(log_ei.shape[:-1], s.shape[:-1])
    knots = np.broadcast_to(log_ei, (*shape, 3))
    i = np.broadcast_to(i, (*shape, s.shape[-1]))
    low, high = np.take_along_axis(knots, i, -1), np.take_along_axis(knots, i + 1, -1)
    return np.asarray(np.exp(low + (high - low) * (s - i)))


def mass_at(mass: ArrayLike, length: ArrayLike, balance: ArrayLike, share: Floats) -> Floats:
    """Mass per length at shares of the raw length, kg/m: linear, with this mass and this balance."""
    mean = np.asarray(mass, dtype=np.float64) / np.asarray(length, dtype=np.float64)
    tilt = 12.0 * (np.asarray(balance, dtype=np.float64) - 0.5)
    return np.asarray(mean[..., None] * (1.0 + tilt[..., None] * (share - 0.5)))


def fit(shaft: Shaft) -> Profile:
    """Find the stiffness that reproduces a shaft's figures.

    Parameters
    ----------
    shaft : Shaft
        Whatever of frequency (with its clamp and tip mass), tip stiffness and torque is there is used.

    Returns
    -------
    Profile

    Notes
    -----
    Bayes in log stiffness: prior from ``[shaft]`` butt, middle and tip with their correlation; each figure a
    measurement, linearised about the answer (iterated extended Kalman update, Bell & Cathey 1993, IEEE Trans.
    Automat. Contr. 38, 294-297). The unknown part of clamp, tip mass, length and mass widens the frequency.
    """
    return _fit(shaft, current())


@lru_cache(maxsize=1024)
def _fit(shaft: Shaft, known: Assumptions) -> Profile:
    prior = [known[f"shaft.{n}"] for n in KNOTS]
    mean = np.log([p.value for p in prior])
    sd = np.array([p.sd / p.value for p in prior])
    rho = known.value("shaft.ei_correlation")
    cov = np.outer(sd, sd) * (rho + (1.0 - rho) * np.eye(3))
    length, mass, share, torque = (
        shaft.figure(n) for n in ("length_in", "mass_g", "balance_pct", "torque_deg")
    )
    length_m, mass_kg, balance = length.value * INCH, mass.value / 1e3, share.value / 100.0

    if shaft.tip_ei_nm2 is not None:
        tip = shaft.figure("tip_ei_nm2")
        at_tip = np.array([0.0, 0.0, 1.0])
        mean, cov = _update(mean, cov, at_tip, math.log(tip.value) - mean[2], tip.sd / tip.value)
    if shaft.frequency_cpm is not None:
        cpm, clamp, weight = (shaft.figure(n) for n in ("frequency_cpm", "clamp_mm", "tip_mass_g"))
        free = length_m - clamp.value / 1e3
        on = (0.0, 0.0)
        if shaft.tip_ahead_mm is not None:
            on = shaft.tip_ahead_mm.value / 1e3, known.value("club.head_own_inertia_kgcm2") * 1e-4
        # omega^2 ~ EI / (m L^3): what is not known of these is noise of the frequency.
        noise = math.hypot(
            cpm.sd / cpm.value,
            1.5 * length.sd * INCH / free,
            1.5 * clamp.sd / 1e3 / free,
            0.5 * weight.sd / (weight.value + 0.24 * mass.value),
            0.12 * mass.sd / (weight.value + 0.24 * mass.value),
        )

        prior_mean, prior_cov, step = mean, cov, 1e-4
        held = clamp.value / 1e3, weight.value / 1e3
        for _ in range(4):
            rows = np.vstack([mean, mean + step * np.eye(3)])
            log_cpm = np.log(clamped_cpm(rows, length_m, mass_kg, balance, *held, 0.0, *on))
            slope = (log_cpm[1:] - log_cpm[0]) / step
            gap = math.log(cpm.value) - float(log_cpm[0]) + float(slope @ (mean - prior_mean))
            mean, cov = _update(prior_mean, prior_cov, slope, gap, noise)
    # A uniform shaft of length L twists by T L / GJ.
    gj = FOOT_POUND * length_m / (torque.value * DEG)
    return Profile(
        length_m,
        mass_kg,
        balance,
        Joint.of("shaft", shaft.shaft, KNOTS, mean, cov),
        Figure(gj, gj * torque.sd / torque.value, torque.measured),
    )


def _update(mean: Floats, cov: Floats, slope: Floats, gap: float, noise: float) -> tuple[Floats, Floats]:
    """Kalman update by one measurement of this noise (SD): gap = observed minus predicted at ``mean``."""
    gain = cov @ slope / (slope @ cov @ slope + noise**2)
    return mean + gain * gap, cov - np.outer(gain, slope @ cov)


def clamped_cpm(
    log_ei: Floats,
    length: ArrayLike,
    mass: ArrayLike,
    balance: ArrayLike,
    clamp: ArrayLike,
    tip_mass: ArrayLike,
    cut: ArrayLike = 0.0,
    ahead: ArrayLike = 0.0,
    inertia: ArrayLike = 0.0,
    tip_cut: ArrayLike = 0.0,
) -> Floats:
    """Frequency on the bench of raw or cut shafts with a weight at the tip, cycles a minute, shape (...).

    Parameters
    ----------
    log_ei : ndarray, shape (..., 3)
    length, mass, balance : array_like
        Of the raw shaft: m, kg, share from the butt.
    clamp, tip_mass : array_like
        Clamped length of the butt, m; weight at the tip, kg.
    cut : array_like
        Cut off at the butt, m; negative for an extension.
    ahead, inertia : array_like
        Mass centre of the weight beyond the tip, m, and its own inertia, kg m2: a head that is on the shaft.
    tip_cut : array_like
        Cut off at the tip, m.
    """
    part = section(log_ei, length, mass, balance, np.asarray(cut) + np.asarray(clamp), tip_cut)
    return beam.frequencies_cpm(part, beam.Tip(tip_mass, ahead, 0.0, inertia))[..., 0]


def section(
    log_ei: Floats,
    length: ArrayLike,
    mass: ArrayLike,
    balance: ArrayLike,
    butt: ArrayLike,
    tip: ArrayLike = 0.0,
    elements: int = PLACES - 1,
) -> beam.Beam:
    """Beam of a raw shaft from ``butt`` metres below its butt end to ``tip`` metres before its tip end.

    Parameters
    ----------
    log_ei : ndarray, shape (..., 3)
    length, mass, balance, butt, tip : array_like
        Raw length, m; raw mass, kg; balance, share; what lies outside of the beam, m.
    elements : int
    """
    size, start, end = (np.asarray(x, dtype=np.float64) for x in (length, butt, tip))
    free = size - start - end
    share = (start[..., None] + free[..., None] * np.linspace(0.0, 1.0, elements + 1)) / size[..., None]
    ei = stiffness_at(np.asarray(log_ei, dtype=np.float64), share)
    mu = mass_at(mass, size, balance, share)
    return beam.beam(ei, mu, free, elements)
