"""A pace over months: a level, a steady pace and what strays from it, and when a speed is reached.

A Gaussian process (Rasmussen & Williams 2006, Gaussian Processes for Machine Learning, 2.2 and 2.7) of
three parts: a level of which nothing is known, a straight line of a judged pace, and a squared exponential
of form that comes and goes. The parts are judged and not fitted: six visits do not tell them apart.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, timedelta

import numpy as np
from numpy.typing import NDArray

from fitter.base import draws
from fitter.base.assumptions import current

Floats = NDArray[np.float64]

MONTH = 30.44
"""Days."""
LEVEL_SD = 30.0
"""% of the middle: no prior for the level."""
_AHEAD = 2400.0
"""Months ahead at which nothing but the straight line is left of a difference."""
STEP = 0.25
"""Months between the points of a band."""
SURE = 0.9
"""Probability of a pace's sign from which it is told: its 80 % interval leaves out nought."""


@dataclass(frozen=True, eq=False)
class Trend:
    """Pace of one figure over the visits.

    Parameters
    ----------
    days : tuple of date
    values, sd : ndarray, shape (visits,)
        Figure of each visit, and what its day leaves open of the player's level.
    at : tuple of date
        Days of the band, from the first visit to the horizon.
    mean, low, high : ndarray
        The band: the player's level, 80 %.
    pace : (float, float, float)
        A month, and its 80 % interval; in the unit of the figure.
    p_up : float
        Probability that it goes up.
    told : str
        '' where a pace is told, else a code: 'visits', 'span' or 'sign'.
    least_visits : int
    least_months : float
        What it takes to tell a pace.
    ahead : ndarray, shape (draws, points)
        Draws of the level on the days of the band.
    """

    days: tuple[date, ...]
    values: Floats
    sd: Floats
    at: tuple[date, ...]
    mean: Floats
    low: Floats
    high: Floats
    pace: tuple[float, float, float]
    p_up: float
    told: str
    least_visits: int
    least_months: float
    ahead: Floats


@dataclass(frozen=True)
class Reached:
    """When a level is reached at this pace.

    Parameters
    ----------
    expected, early, late : date or None
        Middle and the ends of an 80 % interval over what is not known; None beyond the horizon.
    p_within : float
        Probability that it is reached before the horizon.
    horizon : date
    there : bool
        Whether it is reached already, more likely than not.
    """

    expected: date | None
    early: date | None
    late: date | None
    p_within: float
    horizon: date
    there: bool


def trend(days: Sequence[date], values: Floats, sd: Floats, n: int, seed: int) -> Trend:
    """Pace of a figure.

    Parameters
    ----------
    days : sequence of date
        In order.
    values, sd : ndarray, shape (visits,)
        Figure, and the SD of each visit's own error: balls, form and readings of the day.
    n, seed : int
        Draws of the band.
    """
    from sklearn.gaussian_process import GaussianProcessRegressor
    from sklearn.gaussian_process.kernels import RBF, ConstantKernel, DotProduct

    a, middle = current(), float(values.mean())
    scale = 0.01 * middle
    last = days[-1]
    months = np.array([(d - last).days / MONTH for d in days])
    pace_sd, wiggle = a.sd("progress.pace_pct"), a.sd("progress.wiggle_pct")
    line = ConstantKernel(pace_sd**2, "fixed") * DotProduct(0.0, "fixed")
    form = ConstantKernel(wiggle**2, "fixed") * RBF(a.value("progress.wiggle_months"), "fixed")
    kernel = ConstantKernel(LEVEL_SD**2, "fixed") + line + form
    process = GaussianProcessRegressor(kernel, alpha=(sd / scale) ** 2, optimizer=None)
    process.fit(months[:, None], (values - middle) / scale)
    horizon = a.value("progress.horizon_months")
    grid = np.unique(np.concatenate([months, np.arange(months[0], horizon, STEP), [horizon]]))
    # Points closer than a day to a visit are that visit's.
    grid = grid[np.append(True, np.diff(grid) > 1.0 / MONTH) | np.isin(grid, months)]
    mean, cov = process.predict(grid[:, None], return_cov=True)
    root = np.linalg.cholesky(cov + 1e-8 * np.eye(len(grid)))
    rng = draws.generator(seed, "progress.trend", len(days))
    ahead = middle + scale * (mean + rng.standard_normal((n, len(grid))) @ root.T)
    far, both = process.predict(np.array([[0.0], [_AHEAD]]), return_cov=True)
    pace = float(far[1] - far[0]) / _AHEAD
    pace_sd_left = float(np.sqrt(max(both[0, 0] + both[1, 1] - 2.0 * both[0, 1], 0.0))) / _AHEAD
    reach = draws.NORMAL_80 * pace_sd_left
    half = draws.NORMAL_80 * np.sqrt(np.diag(cov))
    from scipy.special import ndtr

    p_up = float(ndtr(pace / max(pace_sd_left, 1e-12)))
    told = ""
    if len(days) < a.value("progress.pace_visits"):
        told = "visits"
    elif -months[0] < a.value("progress.pace_span_months"):
        told = "span"
    elif max(p_up, 1.0 - p_up) < SURE:
        told = "sign"
    return Trend(
        tuple(days), values, sd, tuple(last + timedelta(days=round(m * MONTH)) for m in grid),
        middle + scale * mean, middle + scale * (mean - half), middle + scale * (mean + half),
        (scale * pace, scale * (pace - reach), scale * (pace + reach)),
        p_up, told, int(a.value("progress.pace_visits")), a.value("progress.pace_span_months"), ahead,
    )  # fmt: skip


def reached(found: Trend, needed: Floats) -> Reached:
    """When the level gets to what is needed.

    Parameters
    ----------
    found : Trend
    needed : ndarray, shape (draws,)
        What is needed, in the trend's unit; as many draws as the trend has.
    """
    today = found.at.index(found.days[-1])
    ahead = found.ahead[:, today:]
    there = ahead >= needed[:, None]
    first = np.where(there.any(axis=1), there.argmax(axis=1), ahead.shape[1])
    marks = [int(q) for q in np.quantile(first, [0.1, 0.5, 0.9], method="nearest")]
    when = [found.at[today + k] if k < ahead.shape[1] else None for k in marks]
    inside = float((first < ahead.shape[1]).mean())
    return Reached(when[1], when[0], when[2], inside, found.at[-1], bool((first == 0).mean() >= 0.5))
