"""Figures of the kit that nobody measured, and what reading one would tell of a gain."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from fitter.advice.audit import Missing, missing_figures
from fitter.advice.options import Option
from fitter.base import draws
from fitter.base.assumptions import current
from fitter.kit import profile
from fitter.kit.club import Club
from fitter.kit.figures import Reading
from fitter.kit.parts import Head, Shaft

Floats = NDArray[np.float64]

STIFFNESS = "frequency_cpm"
LOFT = "loft_deg"
EXPLAINED = current().value("verdict.explained")
"""Least share of a gain's variance that a reading must explain before its value is believed."""


@dataclass(frozen=True)
class Unknown:
    """One figure of a part that nobody measured.

    Parameters
    ----------
    missing : Missing
        What it is, how it is measured, and the minutes.
    drawn : ndarray, shape (draws, k)
        The draws of it that the ranking used, about 0.
    after : ndarray, shape (k, k)
        Covariance that a reading would leave.
    """

    missing: Missing
    drawn: Floats
    after: Floats

    @property
    def words(self) -> str:
        """What to do, in plain words."""
        m = self.missing
        figure = m.figure.rsplit("_", 1)[0].replace("_", " ")
        return f"read the {figure} of {m.part} {m.code} ({m.how})"


def unknowns(clubs: Iterable[Club], n: int, seed: int) -> list[Unknown]:
    """What nobody measured of the parts of some clubs that stand in the shop.

    Parameters
    ----------
    clubs : iterable of Club
    n, seed : int
        As of the ranking, so that the draws are the same.
    """
    clubs = list(clubs)
    heads = {c.head.code: c.head for c in clubs if c.head.stock != "order" and c.head.masses is None}
    shafts = {c.shaft.code: c.shaft for c in clubs if c.shaft.stock != "order" and c.shaft.masses is None}
    parts: list[Head | Shaft] = [*heads.values(), *shafts.values()]
    found = []
    for part in parts:
        for m in missing_figures(part):
            if isinstance(part, Shaft) and m.figure == STIFFNESS:
                found.append(_stiffness(part, m, n, seed))
            elif m.sd > 0.0 and not (isinstance(part, Shaft) and m.figure == "tip_ei_nm2"):
                z = draws.normals(n, seed, m.part, f"{m.code} {m.figure}")
                found.append(Unknown(m, m.sd * z[:, None], np.array([[m.sd_measured**2]])))
    return found


def _stiffness(shaft: Shaft, m: Missing, n: int, seed: int) -> Unknown:
    known = profile.fit(shaft)
    read = profile.fit(replace(shaft, frequency_cpm=Reading(shaft.figure(STIFFNESS).value)))
    return Unknown(
        m, known.log_ei.draw(n, seed) - np.array(known.log_ei.mean), np.array(read.log_ei.covariance)
    )


def left(values: Floats, unknown: Unknown) -> float:
    """Share of the interval of values (draws,) that would be left after the reading, 0 to 1.

    Linear in the figure: ``var - b C b + b C' b`` with C before and C' after the reading, and b by least
    squares over the draws.
    """
    x = unknown.drawn - unknown.drawn.mean(axis=0)
    y = values - values.mean()
    total = float(y @ y / len(y))
    if total == 0.0:
        return 1.0
    slope = np.linalg.lstsq(x, y, rcond=None)[0]
    before = float(slope @ (x.T @ x / len(y)) @ slope)
    after = min(float(slope @ unknown.after @ slope), before)
    return float(np.sqrt(max(total - before + after, 0.0) / total))


def reading_value(net: Floats, drawn: Floats) -> float:
    """Worth of reading some figures before deciding, in the unit of net gains.

    Partial perfect information by regression (Strong, Oakley & Brennan 2014, Med. Decis. Making 34, 311-326):
    ``E[max(0, max_i E[g_i | x])] - max(0, max_i E[g_i])`` with E[g | x] a quadratic in x.

    Parameters
    ----------
    net : ndarray, shape (draws, options)
        Gains less their thresholds.
    drawn : ndarray, shape (draws, k)
    """
    x = (drawn - drawn.mean(axis=0)) / np.maximum(drawn.std(axis=0), 1e-12)
    design = np.concatenate([np.ones((len(x), 1)), x, x**2 - 1.0], axis=1)
    fitted = design @ np.linalg.lstsq(design, net, rcond=None)[0]
    share = fitted.var(axis=0) / np.maximum(net.var(axis=0), 1e-12)
    fitted = np.where(share >= EXPLAINED, fitted, net.mean(axis=0))
    best = np.maximum(fitted.max(axis=1, initial=0.0), 0.0).mean()
    return float(best - max(0.0, net.mean(axis=0).max(initial=0.0)))


@dataclass(frozen=True)
class Gauge:
    """A loft gauge reading that would decide: the option, its heads, what it is worth, the minutes."""

    option: int
    heads: tuple[str, ...]
    value: float
    minutes: int


def gauge(
    options: tuple[Option, ...], net: Floats, candidates: Iterable[int], n: int, seed: int
) -> Gauge | None:
    """Most valuable reading of lofts that nobody gauged, among some options against the present club.

    Parameters
    ----------
    options : tuple of Option
        The present club first.
    net : ndarray, shape (draws, options)
        Gains less their thresholds.
    candidates : iterable of int
        Places of the options to look at.
    n, seed : int
    """
    best: Gauge | None = None
    for i in candidates:
        clubs = (options[0].club, options[i].club)
        lofts = [u for u in unknowns(clubs, n, seed) if u.missing.figure == LOFT]
        if not lofts:
            continue
        value = reading_value(net[:, [i]], np.concatenate([u.drawn for u in lofts], axis=1))
        telling = [u for u in lofts if left(net[:, i], u) < np.sqrt(1.0 - EXPLAINED)]
        if telling and (best is None or value > best.value):
            heads = tuple(u.missing.code for u in telling)
            best = Gauge(i, heads, value, sum(u.missing.minutes for u in telling))
    return best
