"""Two clubs in one log that nobody labelled: the shots fall into two groups that no one swing explains."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from fitter.base.assumptions import current
from fitter.shots.findings import Doubt
from fitter.shots.session import Floats, Session

FEATURES = ("launch_deg", "spin_rpm", "ball_speed_mps", "dynamic_loft_deg")
"""Channels in which two clubs differ and in which one player's swing scatters about one middle."""
_LOG = ("spin_rpm", "ball_speed_mps")
_ROUNDS = 60
TWO = 0.36
"""Share of the scatter that may stay within the halves of a line: a normal distribution keeps 1 - 2/pi or
0.363, so that an ordinary log is done with here."""


def two_clubs(session: Session) -> Doubt | None:
    """Notice two groups of shots.

    A mixture of two normal distributions with one covariance against a single one, by expectation and
    maximisation (Dempster, Laird & Rubin 1977, J. R. Stat. Soc. B 39, 1-38), judged by the Bayesian
    information criterion (Fraley & Raftery 2002, J. Am. Stat. Assoc. 97, 611-631) and by the distance of the
    two middles. It is told as a doubt, never acted on.

    Parameters
    ----------
    session : Session
        n shots; those set aside do not count, nor do logs whose clubs or builds have names.
    """
    if any(session.word("build")) or len({w for w in session.word("club") if w}) > 1:
        return None
    a = current()
    kept = session.kept()
    names = [n for n in FEATURES if np.isfinite(kept.value(n)).sum() >= 0.9 * max(len(kept), 1)]
    if len(names) < 2:
        return None
    table = np.stack([np.log(kept.value(n)) if n in _LOG else kept.value(n) for n in names], axis=1)
    table = table[np.isfinite(table).all(axis=1)]
    if len(table) < a.value("contradiction.mixture_least"):
        return None
    group, gain, apart = mixture(table)
    small = int(min(group.sum(), (~group).sum()))
    if gain < a.value("contradiction.mixture_strong") or apart < a.value("contradiction.mixture_apart"):
        return None
    if small < max(4, 0.15 * len(table)):
        return None
    k = names.index("spin_rpm") if "spin_rpm" in names else 0
    values = np.exp(table[:, k]) if names[k] in _LOG else table[:, k]
    found, expected = (float(np.median(values[g])) for g in (group, ~group))
    shots = int(group.sum())
    return Doubt("two clubs", (), (), "", names[k], shots, len(table), found, expected)


def mixture(x: Floats) -> tuple[NDArray[np.bool_], float, float]:
    """Fit one and two normal distributions with one covariance.

    Parameters
    ----------
    x : ndarray, shape (n, d)

    Returns
    -------
    ndarray of bool, shape (n,)
        Members of the second group.
    float
        Gain of two over one by half the difference of the information criterion, natural logarithm.
    float
        Distance of the two middles, in SDs of the common covariance.
    """
    n, d = x.shape
    spread = x.std(axis=0)
    if not (spread > 0.0).all():
        return np.zeros(n, dtype=bool), float("-inf"), 0.0
    z = (x - x.mean(axis=0)) / spread
    alone = _log_density(z, np.zeros(d), np.cov(z.T, bias=True).reshape(d, d) + 1e-6 * np.eye(d)).sum()
    main = np.linalg.eigh(np.cov(z.T).reshape(d, d))[1][:, -1]
    best = (np.zeros(n, dtype=bool), -np.inf, 0.0)
    for line in (z @ main, *z.T):
        place, within = _split(line)
        if within > TWO:
            continue
        share = (line > place).astype(np.float64)
        for _ in range(_ROUNDS):
            weight = np.clip(share.mean(), 1.0 / n, 1.0 - 1.0 / n)
            middles = [(w[:, None] * z).sum(axis=0) / max(w.sum(), 1e-9) for w in (1.0 - share, share)]
            off = [z - m for m in middles]
            parts = [(w[:, None, None] * o[:, :, None] * o[:, None, :]).sum(axis=0)
                     for w, o in zip((1.0 - share, share), off, strict=True)]  # fmt: skip
            cov = (parts[0] + parts[1]) / n + 1e-6 * np.eye(d)
            logs = np.stack([_log_density(z, m, cov) for m in middles]) + np.log([[1.0 - weight], [weight]])
            total = np.logaddexp(logs[0], logs[1])
            share = np.exp(logs[1] - total)
        gain = float(total.sum() - alone) - 0.5 * (d + 1) * float(np.log(n))
        if gain > best[1]:
            between = middles[1] - middles[0]
            apart = float(np.sqrt(between @ np.linalg.solve(cov, between)))
            best = share > 0.5, gain, apart
    return best


def _log_density(z: Floats, middle: Floats, cov: Floats) -> Floats:
    off = z - middle
    _, volume = np.linalg.slogdet(2.0 * np.pi * cov)
    return np.asarray(-0.5 * (np.einsum("ni,ij,nj->n", off, np.linalg.inv(cov), off) + volume))


def _split(line: Floats) -> tuple[float, float]:
    """Place that parts a line into two groups with the least scatter within them, and its share of all."""
    s = np.sort(line)
    within = [s[:k].var() * k + s[k:].var() * (len(s) - k) for k in range(2, len(s) - 1)]
    k = int(np.argmin(within)) + 2
    return float(0.5 * (s[k - 1] + s[k])), float(min(within) / (s.var() * len(s)))
