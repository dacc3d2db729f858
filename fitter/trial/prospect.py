"""What a trial would tell, before a ball is hit: how far it would move what is believed of each option."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from fitter.advice.belief import Belief
from fitter.advice.likelihood import more
from fitter.advice.roots import SCALE
from fitter.base import draws as keyed

Floats = NDArray[np.float64]

PATHS = 512
"""Futures in which a plan is tried, in pairs of opposite sign."""


@dataclass(frozen=True, eq=False)
class Prospect:
    """A trial of some clubs beside the present one, as it may go.

    Parameters
    ----------
    net : ndarray, shape (options,)
        Expected gain of every option less what it has to bring, in the unit of the goal.
    link : ndarray, shape (options, r)
        What a unit of each observed effect of the clubs says of each option's gain.
    now : ndarray, shape (r, r)
        Covariance of these effects as believed today.
    noise : ndarray, shape (r, r)
        Of one ball with each club and the present one.
    own : ndarray, shape (r, r)
        Of the clubs' own day, which no number of balls takes away.
    spread : ndarray, shape (options, options)
        Covariance of the gains as believed today.
    """

    net: Floats
    link: Floats
    now: Floats
    noise: Floats
    own: Floats
    spread: Floats

    @classmethod
    def of(cls, belief: Belief, net: Floats, options: Sequence[int]) -> Prospect:
        """Prospect of a trial of some options' clubs, as they are without a moved ball or tee.

        Parameters
        ----------
        belief : Belief
        net : ndarray, shape (options,)
        options : sequence of int
            Places in the belief; not the present club.
        """
        p, told = belief.paper, belief.told
        size = len(SCALE)
        tried = [belief.options[i].club.code for i in options]
        clubs = tuple(sorted({*belief.clubs, *tried}))
        prior = p.prior(clubs)
        precision = np.zeros_like(prior)
        if told is not None:
            at = np.concatenate([np.arange(size) + size * clubs.index(c) for c in belief.clubs])
            precision[np.ix_(at, at)] = told.precision
        now = prior @ np.linalg.inv(np.eye(len(prior)) + precision @ prior)
        here = np.concatenate([np.arange(size) + size * clubs.index(c) for c in tried])
        seen = np.flatnonzero(np.tile(p.measured, len(tried)))
        here = here[seen]
        scatter = None if told is None else told.scatter
        # With itself and the present club: half of what a difference has is the present club's, and shared.
        endless = more(10**9, p.roots, scatter, p.measured)
        one = more(1, p.roots, scatter, p.measured) - endless
        shared = 0.5 * (np.ones((len(tried), len(tried))) + np.eye(len(tried)))
        own, noise = (np.asarray(np.kron(shared, m)[np.ix_(seen, seen)], float) for m in (endless, one))
        link = p.link(clubs).reshape(*p.values.shape[1:], -1)[:, p.at("value")]
        better = p.prediction.objective.better
        move = np.linalg.solve(prior, now[:, here]).T
        gains = belief.draws["gain"]
        centred = gains - gains.mean(axis=0)
        now = now[np.ix_(here, here)]
        now = 0.5 * (now + now.T)
        # Posterior means move by link prior^-1 now (now + noise)^-1 (seen - expected).
        weight = better * link @ move.T @ np.linalg.inv(now)
        return cls(net, weight, now, noise, own, centred.T @ centred / len(gains))

    def told(self, balls: float) -> Floats:
        """Covariance of the moves of the effects' means after so many balls with each club, (r, r)."""
        if balls <= 0:
            return np.zeros_like(self.now)
        total = self.now + self.own + self.noise / balls
        found = self.now @ np.linalg.solve(total, self.now)
        return np.asarray(0.5 * (found + found.T))

    def value(self, balls: float, seed: int = 1) -> float:
        """Expected gain of deciding after so many balls with each club over deciding now, >= 0."""
        moved = self.link @ _root(self.told(balls))
        z = _futures(moved.shape[1], seed)
        best = (self.net + z @ moved.T).max(axis=1)
        return max(float(best.mean() - self.net.max()), 0.0)

    def paths(self, looks: Sequence[float], seed: int = 1) -> Floats:
        """Net gains as they may be believed at looks after so many balls each, (futures, looks, options).

        What is believed is a martingale: each look adds an independent move of what it tells more.
        """
        found, before = [], np.zeros_like(self.now)
        at = np.broadcast_to(self.net, (PATHS, len(self.net)))
        for k, balls in enumerate(looks):
            then = self.told(balls)
            moved = self.link @ _root(then - before)
            at = at + _futures(moved.shape[1], seed + 1000 * (k + 1)) @ moved.T
            found.append(at)
            before = then
        return np.stack(found, axis=1)

    def left(self, balls: float) -> Floats:
        """Covariance of the gains that is left after so many balls, (options, options)."""
        return np.asarray(self.spread - self.link @ self.told(balls) @ self.link.T)


def _root(covariance: Floats) -> Floats:
    """Symmetric root: it changes as little as the covariance does, and the same futures stay comparable."""
    values, vectors = np.linalg.eigh(covariance)
    return np.asarray((vectors * np.sqrt(np.maximum(values, 0.0))) @ vectors.T)


def _futures(size: int, seed: int) -> Floats:
    z = keyed.generator(seed, "futures", size).standard_normal((PATHS // 2, size))
    return np.concatenate([z, -z])
