"""The inferred delivery of every shot of a session: means, covariances, draws, calibrations."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from types import MappingProxyType

import numpy as np
from numpy.typing import NDArray

from fitter.base import draws
from fitter.physics import vectors
from fitter.shots.findings import LeftOut
from fitter.shots.infer import measurement
from fitter.shots.infer.eliminate import X
from fitter.shots.infer.hypotheses import Hypotheses
from fitter.shots.infer.step import Posterior
from fitter.shots.session import Session, mirror

Floats = NDArray[np.float64]

_TURNED = [vectors.PATH, vectors.FACE]


@dataclass(frozen=True)
class Calibration:
    """One calibration of a session: value and SD in ``unit``."""

    value: float
    sd: float
    unit: str


@dataclass(frozen=True)
class AtStrike:
    """Dynamic loft and face where the ball was struck, rad, with their SDs, shape (n,) each."""

    loft: Floats
    face: Floats
    loft_sd: Floats
    face_sd: Floats


@dataclass(frozen=True, eq=False)
class Linear:
    """Posterior of a session of n shots under one hypothesis, as a straight line in what its shots share.

    Parameters
    ----------
    g, g_cov : ndarray, shapes (19,) and (19, 19)
        Mean delivery, the logarithm of the speed first, and calibrations, see `measurement.CALIBRATIONS`.
    prior, prior_cov : ndarray, shapes (19,) and (19, 19)
        The same before the shots were seen.
    x, own : ndarray, shapes (n, 7) and (n, 7, 7)
        Deliveries, and the covariance of each if g were known.
    pull : ndarray, shape (n, 7, 19)
        A delivery given g' is x - pull (g' - g).
    """

    g: Floats
    g_cov: Floats
    prior: Floats
    prior_cov: Floats
    x: Floats
    own: Floats
    pull: Floats


def mixture(weights: Floats, x: Floats, cov: Floats) -> tuple[Floats, Floats]:
    """Mean and covariance of a mixture of k normal hypotheses, with the speed in m/s.

    Parameters
    ----------
    weights : ndarray, shape (k,)
    x, cov : ndarray, shapes (k, ..., 7) and (k, ..., 7, 7)
        Deliveries, the logarithm of the speed first.
    """
    mean = np.tensordot(weights, x, axes=(0, 0))
    apart = x - mean
    cov = np.tensordot(weights, cov + apart[..., :, None] * apart[..., None, :], axes=(0, 0))
    mean[..., 0] = np.exp(mean[..., 0])
    stretch = np.ones_like(mean)
    stretch[..., 0] = mean[..., 0]
    return mean, cov * stretch[..., :, None] * stretch[..., None, :]


@dataclass(frozen=True, eq=False)
class Delivery:
    """Posterior of one session, n shots, right-handed frame, angles against the device's line.

    Parameters
    ----------
    session : Session
        What it was inferred from.
    mean, cov : ndarray, shapes (n, 7) and (n, 7, 7)
        Delivery at the face centre, see `vectors.DELIVERY`: m/s, rad, m.
    calibrations : mapping of str to Calibration
        'club_speed' (factor on the face centre's speed), 'path', 'launch', 'axis', 'face' and 'direction'
        (deg), 'restitution', 'spin' (factor), 'aim' (deg: the player's own line against the device's, right
        positive).
    level : float
        Expected skill level, 0 scratch to 1 high handicap.
    predicted, predicted_sd : mapping of str to ndarray, shape (n,)
        What the device would show of each channel given all the others, in the unit of the channel's name,
        with the SD of that statement, noise of measurement included.
    residual : mapping of str to ndarray, shape (n,)
        Measured less predicted, NaN where nothing was measured.
    misread : ndarray of bool, shape (n, 12)
        Measured channels (`measurement.MEASURED`) that the others contradict; they were not used.
    head : ndarray, shape (13,)
    noise : mapping of str to float
        SD of the device's noise over the judged one, of each channel that was measured.
    points : mapping of str to float
        Probability that 'face_point' is the strike point and that 'speed_point' is the mass centre, else the
        face centre; only of what was measured.
    left_out : tuple of LeftOut
        Channels that contradict all others, those of the session among them; they were not used.
    """

    session: Session
    mean: Floats
    cov: Floats
    calibrations: Mapping[str, Calibration]
    level: float
    predicted: Mapping[str, Floats]
    predicted_sd: Mapping[str, Floats]
    residual: Mapping[str, Floats]
    misread: NDArray[np.bool_]
    head: Floats
    noise: Mapping[str, float]
    points: Mapping[str, float]
    left_out: tuple[LeftOut, ...]
    _hypotheses: Hypotheses = field(repr=False)
    _weights: Floats = field(repr=False)
    _parts: Posterior = field(repr=False)

    def __len__(self) -> int:
        return len(self.mean)

    @property
    def sd(self) -> Floats:
        """Posterior SDs, shape (n, 7)."""
        return np.asarray(np.sqrt(np.diagonal(self.cov, axis1=-2, axis2=-1)))

    @property
    def own_cov(self) -> Floats:
        """Covariance of each shot if the session's mean and calibrations were known, shape (n, 7, 7)."""
        stretch = np.ones_like(self.mean)
        stretch[:, 0] = self.mean[:, 0]
        own = np.tensordot(self._weights, self._parts.own, axes=(0, 0))
        return np.asarray(own * stretch[:, :, None] * stretch[:, None, :])

    @property
    def start(self) -> Floats:
        """Start of each ball by measurement and model together, shape (n, 5), see `vectors.LAUNCH`."""
        mix = np.tensordot(self._weights, self._parts.predicted, axes=(0, 0))
        return np.asarray(mix[:, measurement.START :])

    def at_strike_point(self) -> AtStrike:
        """Turn the delivery at the face centre into loft and face where the ball was struck."""
        here = measurement.at_strike(self.mean, self.head)
        slope = np.empty((len(self), 2, vectors.DELIVERY))
        for k in range(vectors.DELIVERY):
            step = np.zeros(vectors.DELIVERY)
            step[k] = 1e-6
            moved = measurement.at_strike(self.mean + step, self.head)
            slope[..., k] = (moved - here) / 1e-6
        sd = np.sqrt(np.einsum("nij,njk,nik->ni", slope, self.cov, slope))
        return AtStrike(here[:, 0], here[:, 1], sd[:, 0], sd[:, 1])

    def of_mean(self) -> tuple[Floats, Floats]:
        """Mean delivery of the shots that are not set aside, (7,), and what is unknown of it, (7, 7)."""
        p, w = self._parts, self._weights
        kept = ~self.session.set_aside if (~self.session.set_aside).any() else np.ones(len(self), dtype=bool)
        pull = p.pull[:, kept].mean(axis=1)
        x = p.x[:, kept].mean(axis=1)
        cov = pull @ p.g_cov[:, 0] @ pull.swapaxes(-1, -2) + p.own[:, kept].sum(axis=1) / kept.sum() ** 2
        return mixture(w, x, cov)

    @property
    def repairs(self) -> Floats:
        """Probability of each repair of the spin after the session: leading, rival; one if named."""
        return np.asarray(np.bincount(self._hypotheses.repair, weights=self._weights), dtype=np.float64)

    @property
    def opened(self) -> tuple[Floats, Floats]:
        """What shots tell of the strike, mean and SD (6,) each in judged SDs, see `strike_models.OPEN`."""
        p, w, told = self._parts, self._weights, slice(vectors.DELIVERY + measurement.OPEN, None)
        values = p.g[:, 0, told]
        variances = np.diagonal(p.g_cov[:, 0], axis1=-2, axis2=-1)[:, told]
        mean = w @ values
        return mean, np.sqrt(w @ (variances + (values - mean) ** 2))

    def sample(self, n: int, rng: np.random.Generator, repair: NDArray[np.int64] | None = None) -> Floats:
        """Draw deliveries of all shots together, (n, shots, 7): what is unknown of the session is shared.

        Parameters
        ----------
        n : int
            Number of draws.
        rng : numpy.random.Generator
        repair : ndarray of int, shape (n,), optional
            Which repair of the spin each draw takes for true, 0 the leading one, 1 its rival: the same ball
            needs another loft under each. Drawn by their probabilities if None.

        Raises
        ------
        ValueError
            If a draw takes a repair that was not weighed.
        """
        return self.sample_with_calibrations(n, rng, repair)[0]

    def sample_with_calibrations(
        self, n: int, rng: np.random.Generator, repair: NDArray[np.int64] | None = None
    ) -> tuple[Floats, Floats]:
        """Draw deliveries (n, shots, 7) and, of the same draws, calibrations (n, C), see `measurement`."""
        p = self._parts
        part = self._pick(n, rng, repair)
        root_g = np.linalg.cholesky(p.g_cov[:, 0])
        root_x = np.linalg.cholesky(p.own)
        dg = np.matmul(root_g[part], draws.latin(n, p.g.shape[-1], rng)[..., None])
        dx = np.matmul(root_x[part], rng.standard_normal((n, len(self), X, 1)))
        x = p.x[part] + (dx - np.matmul(p.pull[part], dg[:, None]))[..., 0]
        x[..., 0] = np.exp(x[..., 0])
        return x, p.g[part, 0, X:] + dg[:, X:, 0]

    def linear(self, repair: int) -> Linear:
        """Most probable hypothesis among those of a repair of the spin, 0 the leading one, 1 its rival.

        Whoever knows what several sessions share can move what they say of it, and their shots follow.
        """
        h, p = self._hypotheses, self._parts
        among = np.flatnonzero(h.repair == repair)
        k = int(among[np.argmax(self._weights[among])])
        mean, sd = measurement.calibration_prior(self.session)
        if "speed_point" in self.points:
            mean[measurement.PATH], sd[measurement.PATH] = measurement.path_offsets()[int(h.speed[k])]
        cov = np.zeros((len(p.g[k, 0]), len(p.g[k, 0])))
        cov[:X, :X] = h.priors[k].between
        cov[X:, X:] = np.diag(sd**2)
        return Linear(
            p.g[k, 0], p.g_cov[k, 0], np.append(h.priors[k].mean, mean), cov, p.x[k], p.own[k], p.pull[k]
        )

    def sample_points(
        self, n: int, rng: np.random.Generator, repair: NDArray[np.int64] | None = None
    ) -> dict[str, NDArray[np.int64]]:
        """Points that draws of `sample` with the same arguments believe in: places in `vocabulary.POINTS`."""
        part = self._pick(n, rng, repair)
        h = self._hypotheses
        return {c: {"face_point": h.face, "speed_point": h.speed}[c][part] for c in self.points}

    def _pick(self, n: int, rng: np.random.Generator, repair: NDArray[np.int64] | None) -> NDArray[np.int64]:
        """Hypothesis of each draw, (n,)."""
        if repair is None:
            return rng.choice(len(self._weights), size=n, p=self._weights)
        out = np.empty(n, dtype=np.int64)
        for wanted in np.unique(repair):
            among = np.flatnonzero(self._hypotheses.repair == wanted)
            if not len(among):
                raise ValueError(f"no repair {wanted} was weighed: infer without naming a strike model")
            share = self._weights[among] / max(float(self._weights[among].sum()), 1e-300)
            at = np.flatnonzero(repair == wanted)
            share = share / share.sum() if share.sum() > 0.0 else np.full(len(among), 1.0 / len(among))
            out[at] = rng.choice(among, size=len(at), p=share)
        return out

    def of(self, session: Session) -> Delivery:
        """Return the same posterior for shots of its session, flagged or left out since.

        What a channel that was found wrong said entered no shot, so nothing is inferred anew.
        """
        at = np.flatnonzero(np.isin(self.session.shot, session.shot))

        def rows(channels: Mapping[str, Floats]) -> Mapping[str, Floats]:
            return MappingProxyType({k: v[at] for k, v in channels.items()})

        return replace(
            self, session=session, mean=self.mean[at], cov=self.cov[at], misread=self.misread[at],
            predicted=rows(self.predicted), predicted_sd=rows(self.predicted_sd),
            residual=rows(self.residual), _parts=self._parts.take(at, slice(None)),
        )  # fmt: skip

    def mirrored(self) -> Delivery:
        """Return what a left-handed player should read: path, face, direction, axis and aim flip."""
        flip = np.ones(vectors.DELIVERY)
        flip[_TURNED] = -1.0
        turned = {"path", "axis", "face", "direction", "aim"}
        calibrations = {
            k: replace(v, value=0.0 - v.value) if k in turned else v for k, v in self.calibrations.items()
        }
        return replace(
            self,
            session=self.session.mirrored(),
            mean=self.mean * flip,
            cov=self.cov * np.outer(flip, flip),
            calibrations=MappingProxyType(calibrations),
            predicted=MappingProxyType(mirror(self.predicted)),
            residual=MappingProxyType(mirror(self.residual)),
            left_out=tuple(x.mirrored() for x in self.left_out),
        )
