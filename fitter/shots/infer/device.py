"""Noise of this device: each channel's variance from the session's own residuals, shrunk to the judged one.

The variance of a channel is tau^2 times the judged one, and tau^2 has a scaled inverse chi-squared prior
about 1 with nu degrees of freedom (Gelman et al. 2013, Bayesian Data Analysis, 3rd ed., 2.6): its tail to the
noisy side is a power, so that a bad device is believed soon. With standardised residuals r and leverages h of
the shots that count, residual maximum likelihood (Patterson & Thompson 1971, Biometrika 58, 545-554) gives

    tau^2 = (nu kappa^2 + tau^2 sum s psi(r^2 / (1 - h)) (1 - h) / beta) / (nu + sum s (1 - h))    (9)
    kappa^2 = (a + J) / (a + sum 1 / tau_j^2)

kappa^2 is what the J measured channels of one device share, a poor device being poor in all, shrunk to 1 as
by a channels. s is the share of the noise that is the device's own. psi(z^2) = min(z^2, 4), beta its
expectation for normal noise: one misread does not make a noisy device (Huber 1964, Ann. Math. Statist. 35,
73-101, proposal 2).
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray
from scipy.special import ndtr, stdtrit

from fitter.base.assumptions import current
from fitter.shots.infer.measurement import Data

Floats = NDArray[np.float64]

CUT = 4.0
BETA = 0.9205
"""Expectation of min(z^2, 4) for a normal z: closed form."""
_EXTREME = (0.05, 100.0)
"""Limits of tau^2: a fifth and ten times the judged noise."""


def degrees() -> float:
    """Degrees of freedom of the prior."""
    return current().value("measurement.noise_shots")


def update(data: Data, tau: Floats, r: Floats, leverage: Floats, share: Floats) -> tuple[Floats, Floats]:
    """Take one step to the fixed point of (9).

    Parameters
    ----------
    data : Data
    tau : ndarray, shape (k, sessions, 12)
        tau^2.
    r, leverage, share : ndarray, shape (k, n, 12)
        Residuals over their noise, leverages, and the device's share of the noise's variance.

    Returns
    -------
    tau, free : ndarray, shape (k, sessions, 12)
        tau^2, and its degrees of freedom.
    """
    counts = np.isfinite(data.y) * data.trust[:, None] * share
    open_ = np.clip(1.0 - leverage, 1e-6, 1.0)
    z = np.minimum(r * r / open_, CUT) / BETA
    told = np.add.reduceat(counts * open_ * z, data.first, axis=1)
    free = degrees() + np.add.reduceat(counts * open_, data.first, axis=1)
    return np.clip((degrees() * shared(data, tau) + tau * told) / free, *_EXTREME), free


def shared(data: Data, tau: Floats) -> Floats:
    """kappa^2 of (9), shape (k, sessions, 1)."""
    measured = np.logical_or.reduceat(np.isfinite(data.y), data.first, axis=0)
    least = current().value("measurement.noise_channels")
    number = measured.sum(axis=-1, keepdims=True)
    return np.asarray((least + number) / (least + (measured / tau).sum(axis=-1, keepdims=True)))


def log_prior(data: Data, tau: Floats) -> Floats:
    """Logarithm of the prior density over that of tau = 1, summed over channels, shape (k, sessions)."""
    kappa, least = shared(data, tau), current().value("measurement.noise_channels")
    apart = (kappa / tau - 1.0 + np.log(tau / kappa)).sum(axis=-1)
    return np.asarray(-0.5 * degrees() * (apart + least * (kappa - 1.0 - np.log(kappa))[..., 0]))


def limit(normal: Floats, free: Floats) -> Floats:
    """Limit of Student's t beyond which as many good values lie as beyond a normal limit in SDs."""
    return np.asarray(stdtrit(free, ndtr(normal)))
