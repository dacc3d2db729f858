"""Stiffness of a shaft from the bench figures a shop has, with the uncertainty of what they leave open.

The logarithm of the stiffness is linear between butt, middle and tip. A clamped frequency fixes one
combination of the three, which lies near the butt; the tip, which decides the delivered loft, stays as wide
as the judged range unless somebody measured it, and every answer drawn from here shows that.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from functools import lru_cache
from typing import TypeVar

import numpy as np
from numpy.typing import ArrayLike, NDArray

from fitter.base import draws
from fitter.base.assumptions import Assumptions, current
from fitter.base.units import INCH
from fitter.kit import beam
from fitter.kit import beam as shaft_fe
from fitter.kit.club import Club
from fitter.kit.figures import Figure
from fitter.kit.parts import Shaft

Floats = NDArray[np.float64]

KNOTS = np.array([0.0, 0.5, 1.0])
"""Butt, middle and tip of the raw shaft."""
PLACES = 13


@dataclass(frozen=True)
class Profile:
    """A shaft's stiffness, as sure as its figures make it.

    Parameters
    ----------
    code : str
        Of the shaft; names the streams of its draws.
    length_m, mass_kg, balance : float
        Raw shaft: length, mass, mass centre from the butt as a share of the length.
    log_ei : tuple of float
        Mean logarithm of the stiffness (N m2) at `KNOTS`.
    covariance : tuple of tuple of float
        Of ``log_ei``, (3, 3).
    gj : Figure
        Torsional stiffness of the equivalent uniform shaft, N m2.
    measured : tuple of str
        Figures that shaped it.
    """

    code: str
    length_m: float
    mass_kg: float
    balance: float
    log_ei: tuple[float, ...]
    covariance: tuple[tuple[float, ...], ...]
    gj: Figure
    measured: tuple[str, ...]

    @property
    def ei_sd(self) -> Floats:
        """Relative SD of the stiffness at `KNOTS`, shape (3,)."""
        return np.sqrt(np.diag(np.array(self.covariance)))

    def draw(self, n: int = 0, seed: int = 1) -> Floats:
        """Draw log stiffness at `KNOTS`, shape (max(n, 1), 3); n = 0 gives the mean."""
        mean = np.array(self.log_ei)
        if n == 0:
            return mean[None]
        z = np.stack([draws.normals(n, seed, "shaft", self.code, i) for i in range(3)], axis=-1)
        w, v = np.linalg.eigh(np.array(self.covariance))
        return np.asarray(mean + z * np.sqrt(np.maximum(w, 0.0)) @ v.T)


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


def fit(shaft: Shaft, assumptions: Assumptions | None = None) -> Profile:
    """Find the stiffness that reproduces a shaft's figures.

    Parameters
    ----------
    shaft : Shaft
        Whatever of frequency (with its clamp and tip mass), tip stiffness and torque is there is used.
    assumptions : Assumptions, optional
        The package's own when silent.

    Returns
    -------
    Profile

    Notes
    -----
    Bayes in log stiffness: prior from ``[shaft]`` butt, middle and tip with their correlation; each figure a
    measurement, linearised about the answer (iterated Kalman update, Bell & Cathey 1993, IEEE Trans. Automat.
    Contr. 38, 294-297). The unknown part of clamp, tip mass, length and mass widens the frequency.
    """
    if assumptions is None or assumptions is current():
        return _fit_default(shaft)
    return _fit(shaft, assumptions)


@lru_cache(maxsize=1024)
def _fit_default(shaft: Shaft) -> Profile:
    return _fit(shaft, current())


def _fit(shaft: Shaft, known: Assumptions) -> Profile:
    names = ("butt_ei_nm2", "mid_ei_nm2", "tip_ei_nm2")
    prior = [known[f"shaft.{n}"] for n in names]
    mean = np.log([p.value for p in prior])
    sd = np.array([p.sd / p.value for p in prior])
    rho = known.value("shaft.ei_correlation")
    cov = np.outer(sd, sd) * (rho + (1.0 - rho) * np.eye(3))
    length, mass = shaft.figure("length_in", known), shaft.figure("mass_g", known)
    share = shaft.figure("balance_pct", known)
    length_m, mass_kg, balance = length.value * INCH, mass.value / 1e3, share.value / 100.0
    measured = [n for n in ("mass_g", "length_in") if getattr(shaft, n) is not None]

    if shaft.tip_ei_nm2 is not None:
        tip = shaft.figure("tip_ei_nm2", known)
        mean, cov = _update(mean, cov, np.array([0.0, 0.0, 1.0]), math.log(tip.value) - mean[2],
                            (tip.sd / tip.value) ** 2)  # fmt: skip
        measured.append("tip_ei_nm2")
    if shaft.frequency_cpm is not None:
        cpm = shaft.figure("frequency_cpm", known)
        clamp, weight = shaft.figure("clamp_mm", known), shaft.figure("tip_mass_g", known)
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
        base_mean, base_cov = mean, cov
        for _ in range(4):
            log_f, slope = _frequency_slope(
                mean, length_m, mass_kg, balance, clamp.value / 1e3, weight.value / 1e3, on
            )
            gap = math.log(cpm.value) - log_f + float(slope @ (mean - base_mean))
            mean, cov = _update(base_mean, base_cov, slope, gap, noise**2)
        measured.append("frequency_cpm")
    torque = shaft.figure("torque_deg", known)
    if torque.measured:
        measured.append("torque_deg")
    gj = float(beam.uniform_gj(torque.value, length_m))
    return Profile(
        code=shaft.shaft,
        length_m=length_m,
        mass_kg=mass_kg,
        balance=balance,
        log_ei=tuple(float(x) for x in mean),
        covariance=tuple(tuple(float(x) for x in row) for row in cov),
        gj=Figure(gj, gj * torque.sd / torque.value, torque.measured),
        measured=tuple(measured),
    )


def _update(mean: Floats, cov: Floats, slope: Floats, gap: float, noise: float) -> tuple[Floats, Floats]:
    """One scalar measurement: gap = observed minus predicted at ``mean``."""
    gain = cov @ slope / (slope @ cov @ slope + noise)
    return mean + gain * gap, cov - np.outer(gain, slope @ cov)


def _frequency_slope(
    log_ei: Floats,
    length: float,
    mass: float,
    balance: float,
    clamp: float,
    tip: float,
    head: tuple[float, float],
) -> tuple[float, Floats]:
    """Log of the clamped frequency and its slopes by log stiffness at the knots."""
    step = 1e-4
    points = np.vstack([log_ei, log_ei + step * np.eye(3)])
    values = np.log(clamped_cpm(points, length, mass, balance, clamp, tip, 0.0, *head))
    return float(values[0]), (values[1:] - values[0]) / step


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


Part = TypeVar("Part")


def bends(
    clubs: Sequence[Club],
    shafts: Sequence[Shaft],
    shaft_of: NDArray[np.int64],
    length: Floats,
    butt: Floats,
    head_mass: Floats,
    offsets: tuple[Floats, Floats],
    speed: float,
    known: Assumptions,
    n: int,
    seed: int,
) -> dict[str, Floats]:
    """Lead and droop of each club, and their slopes at the tip.

    Parameters
    ----------
    clubs : sequence of Club
    shafts : sequence of Shaft
        Different shafts; ``shaft_of`` (clubs,) says which one each club has.
    length, butt, head_mass : ndarray, shape (draws, clubs)
        Club length and what is cut off the butt, m; head, kg.
    offsets : (ndarray, ndarray), shape (draws, clubs)
        Mass centre behind the shaft's axis and toeward of it, m.
    speed : float
        m/s.
    known : Assumptions
    n, seed : int
        As for `fitter.kit.mechanics.describe`.

    Returns
    -------
    dict
        lead, lead_slope, droop, droop_slope: (draws, clubs), m and rad.

    Notes
    -----
    The beams are solved once a shaft, length and head, at the centre; draws follow from the slopes of the
    logarithms by stiffness and head mass, and in proportion to the offset.
    """
    profiles = [fit(s, known) for s in shafts]
    centre_mass = head_mass.mean(axis=0)
    combos, of = unique(
        list(range(len(clubs))),
        lambda i: (shaft_of[i], clubs[i].length_in.value, clubs[i].tip_cut_mm, round(centre_mass[i], 6)),
    )
    at = np.array(combos)
    which = shaft_of[at]
    mean = np.array([p.log_ei for p in profiles])[which]
    step = 1e-3
    # Rows: the centre, butt, middle and tip stiffer, the head heavier.
    nudge = np.vstack([np.zeros(3), step * np.eye(3), np.zeros(3)])
    log_ei = mean[None] + nudge[:, None, :]
    mass = centre_mass[at] * np.exp(np.array([0, 0, 0, 0, step]))[:, None]
    hands = known.value("arc.hands_in") * INCH
    raw_length, raw_mass, raw_share = np.array([(p.length_m, p.mass_kg, p.balance) for p in profiles])[
        which
    ].T
    cut = butt.mean(axis=0)[at]
    tip_cut = np.array([clubs[i].tip_cut_mm / 1e3 for i in at])
    beam = section(log_ei, raw_length, raw_mass, raw_share, cut + hands, tip_cut)
    ahead = (known.value("club.shaft_short_mm") - known.value("club.head_short_mm")) / 1e3
    radius = known.value("arc.radius_m")
    stiff = np.stack([p.draw(n, seed) for p in profiles], axis=1)  # (rows, shafts, 3)
    shift = (stiff - np.array([p.log_ei for p in profiles]))[:, shaft_of]
    heavier = np.log(head_mass / centre_mass)
    unit = 1e-3
    out: dict[str, Floats] = {}
    for name, in_plane, offset in (("lead", True, offsets[0]), ("droop", False, offsets[1])):
        tip = shaft_fe.Tip(mass, ahead, unit)
        for key, bend in zip(
            (name, f"{name}_slope"),
            shaft_fe.bend_near_impact(beam, tip, speed, radius, in_plane=in_plane),
            strict=True,
        ):
            logs = np.log(bend)
            rates = (logs[1:] - logs[0]) / step  # (4, combos)
            grown = np.einsum("rck,kc->rc", shift, rates[:3, of]) + heavier * rates[3, of]
            out[key] = np.asarray(bend[0, of] / unit * offset * np.exp(grown))
    return out


def unique(items: Sequence[Part], key: Callable[[Part], object]) -> tuple[list[Part], NDArray[np.int64]]:
    """Different items in order of first use, and which of them each place uses."""
    seen: dict[object, int] = {}
    kept: list[Part] = []
    index = np.empty(len(items), dtype=np.int64)
    for i, item in enumerate(items):
        name = key(item)
        if name not in seen:
            seen[name] = len(kept)
            kept.append(item)
        index[i] = seen[name]
    return kept, index
