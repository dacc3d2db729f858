"""Each measured channel against its prediction from all the others: which of them are misreads.

A channel is judged by leaving it out: its standardised residual is measured less predicted over the SD of
that prediction, noise of measurement included. For a channel that took part, deletion in closed form:
residual r and leverage h give r / (1 - h) and variance s^2 / (1 - h) (Cook & Weisberg 1982, Residuals and
Influence in Regression, 2.1.1 and 2.2). The session is then solved again without the
suspects so found.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from fitter.base.assumptions import current
from fitter.shots.infer import contradiction, device
from fitter.shots.infer.hypotheses import Hypotheses
from fitter.shots.infer.measurement import Data
from fitter.shots.infer.step import Posterior, solve

Floats = NDArray[np.float64]

_OF_SHOTS = ("x", "own", "pull", "predicted", "leverage", "noise", "alone")
PASSES = 2
"""Most channels of one shot that can be found wrong; beyond, too few are left to judge by."""


@dataclass(frozen=True)
class Limits:
    """How far a channel may lie from what the others say, in predictive SDs.

    Parameters
    ----------
    constrained, free : float
        Limit where the other channels constrain this one, and where they hardly do: a ball that starts far
        left of the player's other balls is unusual, and that alone makes no misread.
    share : float
        The other channels constrain one where they narrow it to this share of the player's own scatter.
    mishit : float
        Limit if the shot may lie twice as far from the player's mean: a mishit contradicts the player's habit
        and no channel.
    suspect : float
        Share of the limit from which the session is solved again without a channel, since deletion in closed
        form is only linear.
    loose : float
        Firmness with which a shot is held to the player's mean when it may lie twice as far from it.
    small : float
        Shots up to which one of them can move the session's mean and calibrations by more than it should.
    """

    constrained: float
    free: float
    share: float
    mishit: float
    suspect: float
    loose: float
    small: float

    @classmethod
    def judged(cls) -> Limits:
        """Limits by the judged numbers in force."""
        names = ("limit", "limit_untold", "told_by_others", "limit_mishit", "suspect", "loose", "small")
        return cls(*(current().value(f"measurement.{name}") for name in names))


@dataclass(frozen=True)
class Found:
    """Posteriors without the misreads, and what each channel should have shown.

    Parameters
    ----------
    posterior : Posterior
    weights : ndarray, shape (k, sessions)
        Probability of each hypothesis.
    expected, spread : ndarray, shape (n, 12)
        Prediction of each channel given all others, and its SD with the noise of one measurement, SI.
    misread : ndarray of bool, shape (n, 12)
    broken : ndarray of bool, shape (sessions, 12)
        Channels that contradict all others of their session; they were not used.
    """

    posterior: Posterior
    weights: Floats
    expected: Floats
    spread: Floats
    misread: NDArray[np.bool_]
    broken: NDArray[np.bool_]


def search(data: Data, hypotheses: Hypotheses, limits: Limits) -> Found:
    """Solve all sessions, leaving out what the rest contradicts: first whole channels, then single readings.

    Parameters
    ----------
    data : Data
    hypotheses : Hypotheses
    limits : Limits
    """
    left_out = np.zeros(data.y.shape, dtype=bool)
    posterior = solve(data, hypotheses)
    broken: NDArray[np.bool_] = contradiction.broken(data, hypotheses, posterior)
    if broken.any():
        data = replace(data, y=np.where(broken[data.owner], np.nan, data.y))
        rows = np.flatnonzero(np.isin(data.owner, np.flatnonzero(broken.any(axis=1))))
        _solve_anew(data, hypotheses, posterior, rows)
    sizes: NDArray[np.int64] = np.bincount(data.owner)
    for turn in range(1 + PASSES):
        # Judged with means and calibrations held; then the sessions are solved again without what was found.
        # In a small session one misread moves the mean itself: all suspects are left out at first.
        small = (sizes[data.owner] <= limits.small) & (turn == 0)
        easy = np.where(small, limits.suspect, 1.0)
        judged = _judge(data, hypotheses, posterior, left_out, limits, easy)
        changed = np.unique(data.owner[(judged != left_out).any(axis=1)])
        left_out = judged
        if len(changed):
            rows = np.flatnonzero(np.isin(data.owner, changed))
            _again(data, hypotheses, posterior, left_out, rows, hold=False)
    expected, spread = loo(data, posterior, hypotheses.odds, left_out)
    return Found(posterior, weights(posterior, hypotheses.odds), expected, spread, left_out, broken)


def _judge(
    data: Data,
    hypotheses: Hypotheses,
    posterior: Posterior,
    left_out: NDArray[np.bool_],
    limits: Limits,
    easy: Floats,
) -> NDArray[np.bool_]:
    """Channels to leave out, (n, 12): one suspect of each shot a round is left out, and then judged.

    `easy` (n,) is the share of the limits from which a channel stays left out.
    """
    out = left_out.copy()
    trial = replace(posterior, **{name: getattr(posterior, name).copy() for name in _OF_SHOTS})
    for _ in range(PASSES):
        z = _excess(data, trial, hypotheses.odds, out, limits)
        worst = z.argmax(axis=1)
        rows = np.flatnonzero(z[np.arange(len(z)), worst] > limits.suspect)
        rows = rows[~out[rows, worst[rows]]]
        if not len(rows):
            break
        out[rows, worst[rows]] = True
        _again(data, hypotheses, trial, out, rows, hold=True)
    out &= _excess(data, trial, hypotheses.odds, out, limits) > easy[:, None]
    rows = np.flatnonzero(out.any(axis=1))
    if len(rows):
        free = replace(data, loose=np.where(out.any(axis=1), limits.loose, data.loose))
        _again(free, hypotheses, trial, out, rows, hold=True)
        expected, spread = loo(data, trial, hypotheses.odds, out)
        out &= np.abs(data.y - expected) > limits.mishit * spread * easy[:, None]
    return out


def weights(posterior: Posterior, odds: Floats) -> Floats:
    """Probability of each hypothesis, shape (k, sessions)."""
    log = posterior.evidence + odds[:, None]
    p = np.exp(log - log.max(axis=0))
    return np.asarray(p / p.sum(axis=0))


def loo(data: Data, posterior: Posterior, odds: Floats, left_out: NDArray[np.bool_]) -> tuple[Floats, Floats]:
    """Prediction of each channel without its own measurement, and its SD, (n, 12), hypotheses mixed."""
    w = weights(posterior, odds)[:, data.owner, None]
    used = np.isfinite(data.y) & ~left_out
    r = np.nan_to_num(data.y) - posterior.predicted
    h = posterior.leverage
    free = np.maximum(1.0 - h, 1e-9)
    mean = np.where(used, np.nan_to_num(data.y) - r / free, posterior.predicted)
    variance = posterior.noise**2 * np.where(used, 1.0 / free, 1.0 + h)
    expected = (w * mean).sum(axis=0)
    return expected, np.sqrt((w * (variance + (mean - expected) ** 2)).sum(axis=0))


def _excess(
    data: Data, posterior: Posterior, odds: Floats, left_out: NDArray[np.bool_], limits: Limits
) -> Floats:
    """Standardised residuals without sign over their limits, (n, 12), 0 where nothing was measured."""
    expected, spread = loo(data, posterior, odds, left_out)
    w = weights(posterior, odds)[:, data.owner, None]
    alone = (w * posterior.alone).sum(axis=0)
    # The device's share of the prediction's variance is as uncertain as its noise (Satterthwaite 1946).
    noise = np.sqrt((w * posterior.noise**2).sum(axis=0)) / spread
    free = (w * posterior.free[:, data.owner]).sum(axis=0) / noise**4
    limit = np.where(spread <= limits.share * alone, limits.constrained, limits.free)
    return np.nan_to_num(np.abs(data.y - expected) / spread / device.limit(limit, free))


def _again(
    data: Data,
    hypotheses: Hypotheses,
    posterior: Posterior,
    left_out: NDArray[np.bool_],
    rows: NDArray[np.int64],
    hold: bool,
) -> None:
    """Solve some shots again without what is left out, in place; `rows` are whole sessions unless held."""
    sessions = np.unique(data.owner[rows])
    part = data.take(rows, np.where(left_out, np.nan, data.y))
    _write(posterior, solve(part, hypotheses, posterior.take(rows, sessions), hold), rows, sessions, hold)


def _solve_anew(data: Data, hypotheses: Hypotheses, posterior: Posterior, rows: NDArray[np.int64]) -> None:
    """Solve whole sessions from the beginning, in place: without a channel the answer may be far away."""
    new = solve(data.take(rows, data.y), hypotheses)
    _write(posterior, new, rows, np.unique(data.owner[rows]), hold=False)


def _write(
    posterior: Posterior, new: Posterior, rows: NDArray[np.int64], sessions: NDArray[np.int64], hold: bool
) -> None:
    for name in _OF_SHOTS:
        getattr(posterior, name)[:, rows] = getattr(new, name)
    if not hold:
        for name in ("g", "g_cov", "evidence", "device", "free", "scatter"):
            getattr(posterior, name)[:, sessions] = getattr(new, name)
