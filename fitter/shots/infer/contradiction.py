"""Channels that contradict all others of their session: wrong by a sign, a unit, a definition or an offset.

Each measured channel in turn is held to be broken, that is read with so large a noise that it tells nothing,
and the session is solved again. By the evidence (7) of each case a channel is left out where its being broken
is far more probable than all other cases together; where two channels contradict each other and no third one
decides, both stay and their noise grows.
"""

from __future__ import annotations

from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from fitter.base.assumptions import current
from fitter.shots.infer.hypotheses import Hypotheses
from fitter.shots.infer.measurement import MEASURED, Data
from fitter.shots.infer.step import Posterior, solve

Floats = NDArray[np.float64]

_LOUD = 20.0
"""Noise of a broken channel over the judged one."""


def broken(data: Data, hypotheses: Hypotheses, posterior: Posterior) -> NDArray[np.bool_]:
    """Find the channels that contradict all others, (sessions, 12); one a session, the worst.

    Parameters
    ----------
    data : Data
    hypotheses : Hypotheses
    posterior : Posterior
        Of all channels.
    """
    a = current()
    out = np.zeros((len(data.first), len(MEASURED)), dtype=bool)
    measured = np.isfinite(data.y) & (data.trust[:, None] > 0.0)
    counted = np.add.reduceat(measured, data.first, axis=0)
    told = counted >= a.value("measurement.channel_least")
    w = _weights(posterior.evidence + hypotheses.odds[:, None])
    noise = np.sqrt((w[..., None] * posterior.device).sum(axis=0))
    suspects = np.flatnonzero((told & (noise > a.value("measurement.channel_suspect"))).any(axis=1))
    if not len(suspects):
        return out
    part = data.take(np.flatnonzero(np.isin(data.owner, suspects)), data.y)
    prior = a.value("measurement.channel_broken")
    cases = np.full((1 + len(MEASURED), len(suspects)), -np.inf)
    cases[0] = _log_evidence(posterior.evidence[:, suspects], hypotheses.odds) + np.log(1.0 - prior)
    for k in np.flatnonzero(told[suspects].any(axis=0)):
        sd = part.sd.copy()
        sd[:, k] *= _LOUD
        found = _log_evidence(solve(replace(part, sd=sd), hypotheses).evidence, hypotheses.odds)
        cases[1 + k] = np.where(told[suspects, k], found + np.log(prior), -np.inf)
    share = _weights(cases)
    worst = share[1:].argmax(axis=0)
    sure = share[1:].max(axis=0) >= a.value("measurement.channel_sure")
    out[suspects[sure], worst[sure]] = True
    return out


def _log_evidence(evidence: Floats, odds: Floats) -> Floats:
    """Logarithm of the evidence of each session, hypotheses mixed, shape (sessions,)."""
    return np.asarray(np.logaddexp.reduce(evidence + odds[:, None], axis=0))


def _weights(log: Floats) -> Floats:
    p = np.exp(log - log.max(axis=0))
    return np.asarray(p / p.sum(axis=0))
