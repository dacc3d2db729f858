"""What is believed of every option: the ranking's draws, moved by the balls that were hit.

A ball with one club informs every option that shares a head, a shaft or a response with it. The draws stay
draws: each is moved by Matheron's rule, so that whatever reads a prediction reads a belief.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import cached_property
from typing import Any, NamedTuple

import numpy as np
from numpy.typing import NDArray

from fitter.advice.balls import HOME, NONE, OBSERVED, Balls, of_club
from fitter.advice.case import Joint
from fitter.advice.likelihood import Likelihood, likelihood, more
from fitter.advice.options import Option
from fitter.advice.paper import Paper
from fitter.advice.prediction import Prediction
from fitter.advice.roots import SCALE
from fitter.advice.suspect import Suspect, suspects
from fitter.base import draws as keyed
from fitter.base.algebra import one_thread

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]


class Reading(NamedTuple):
    """A mean and the ends of its 80 % interval, in the unit of its channel."""

    low: float
    mid: float
    high: float


class Comparison(NamedTuple):
    """A channel of a club, as predicted and as the balls alone say.

    Parameters
    ----------
    option : str
        Id.
    channel : str
        Of `OBSERVED`.
    predicted, measured : Reading
        Mean with that club where the balls were hit.
    """

    option: str
    channel: str
    predicted: Reading
    measured: Reading

    @property
    def differs(self) -> bool:
        """Whether the two differ beyond both their 80 % intervals."""
        return self.measured.low > self.predicted.high or self.measured.high < self.predicted.low


class Effect(NamedTuple):
    """What a club changes of a channel against the present one, in the unit of the channel.

    Parameters
    ----------
    club : str
        Code.
    channel : str
        Of `OBSERVED`.
    predicted : ndarray, shape (draws,)
        With what the model may have wrong drawn.
    sd : float
        Of the prediction.
    measured, error : float
        What the balls alone say, and its SD.
    """

    club: str
    channel: str
    predicted: Floats
    sd: float
    measured: float
    error: float


@dataclass(frozen=True, eq=False)
class Belief:
    """Joint belief over options, the present club first.

    Every belief keeps what was predicted and all balls, and is made from these anew: the order in which balls
    came makes no difference, and none counts twice.

    Parameters
    ----------
    paper : Paper
        What was predicted, with what the model may have wrong.
    balls : Balls
        All that were given; those of the baseline, to which clubs are referred, are not among them.
    draws : dict of str to ndarray, shape (draws, options)
        'gain' (in the unit of the goal, larger is better), 'carry', 'total', 'value', 'weak', 'middle',
        'across', 'along', 'fairway', 'first', 'strokes', 'aim', and `prediction.CHANNELS`.
    told : Likelihood or None
        What the balls say, None on paper.
    """

    paper: Paper
    balls: Balls
    draws: dict[str, Floats]
    told: Likelihood | None = None

    @classmethod
    def of(cls, prediction: Prediction, seen: Prediction | None = None, seed: int = 1) -> Belief:
        """Belief on paper.

        Parameters
        ----------
        prediction : Prediction
            Full: in all draws and shots.
        seen : Prediction, optional
            In the same draws, the clubs that are or may be hit, where they are hit, the present one first;
            the prediction itself when silent, which holds where shots were measured in the conditions of the
            decision.
        seed : int
            Of the question.
        """
        paper = Paper.of(prediction, prediction if seen is None else seen, seed)
        return cls(paper, NONE, paper.named(paper.values))

    @property
    def options(self) -> tuple[Option, ...]:
        """The present club first."""
        return self.paper.prediction.options

    @property
    def ids(self) -> tuple[str, ...]:
        """Of the options."""
        return tuple(o.id for o in self.options)

    @property
    def hit(self) -> Ints:
        """Balls hit with each option, shape (options,); 0: on paper. Another set-up is another option."""
        counts = self.balls.joined(self.home).counts()
        plain = (not o.set_up for o in self.options)
        found = [counts.get(o.club.code, 0) if p else 0 for o, p in zip(self.options, plain, strict=True)]
        return np.array(found, dtype=np.int64)

    @cached_property
    def home(self) -> Balls:
        """The baseline's own balls: the reference of their block, and no evidence of their own."""
        baseline = self.paper.prediction.replay.baseline
        return of_club(baseline.session.kept(), self.options[0].club, HOME, "log")

    @cached_property
    def clubs(self) -> tuple[str, ...]:
        """Codes of the clubs that were hit besides the present one."""
        return tuple(sorted(set(self.balls.codes) - {self.options[0].club.code}))

    @one_thread()
    def given(self, balls: Balls) -> Belief:
        """Belief after balls, and all that were given before.

        The posterior of the hit clubs' effects is exact for a Gaussian prior of the draws' covariance and the
        misfit. Draws are moved by ``x + C (I + J C)^-1 (h - J theta - e), e ~ N(0, J)``, Matheron's rule in
        the form of information (Wilson et al. 2021, J. Mach. Learn. Res. 22(105), eq. 10).

        Raises
        ------
        ValueError
            If a club was hit that is not among what was predicted.
        """
        balls = self.balls.joined(balls)
        new = replace(self, balls=balls, draws={}, told=None)
        if not new.clubs:
            return replace(new, draws=self.paper.named(self.paper.values))
        p = self.paper
        prior = p.prior(new.clubs)
        theta = p.effects(new.clubs)
        told = likelihood(
            balls.joined(self.home),
            new.clubs,
            self.options[0].club.code,
            p.roots,
            theta.mean(axis=0),
            np.asarray(np.linalg.inv(prior), dtype=np.float64),
        )
        gain = np.linalg.inv(np.eye(len(prior)) + told.precision @ prior)
        values, vectors = np.linalg.eigh(told.precision)
        # Symmetric, and a stream for each club: one ball more moves the draws a little.
        root = (vectors * np.sqrt(np.maximum(values, 0.0))) @ vectors.T
        each = [keyed.generator(p.seed, "balls", code) for code in new.clubs]
        z = np.concatenate([g.standard_normal((len(theta), len(SCALE))) for g in each], axis=1)
        z -= z.mean(axis=0)
        news = told.pull - theta @ told.precision - z @ root.T
        moved = p.values + (news @ gain.T @ p.link(new.clubs).T).reshape(p.values.shape)
        return replace(new, told=told, draws=p.named(moved))

    def joint(self) -> Joint:
        """Draws for `verdict.decide`."""
        d, known = self.draws, self.paper.prediction.replay.baseline.has_direction
        sides = (d["fairway"], d["strokes"]) if known else (None, None)
        return Joint(d["gain"], d["carry"], d["total"], *sides)

    def prediction(self) -> Prediction:
        """The prediction with the moved draws in place of its own, for `scored.score` and `case_of`."""
        p = self.paper.prediction
        channels = {name: self.draws[name] for name in p.channels}
        rest: dict[str, Any] = {k: v for k, v in self.draws.items() if k not in channels and k != "gain"}
        return replace(p, channels=channels, **rest)

    @one_thread()
    def learned(self, option: int, balls: int) -> Floats:
        """By how much gains would move if more balls were hit, signed, shape (options,).

        Predictive SDs of the posterior means of the gains after so many balls with an option's club and as
        many with the present one, in mirrored order in a stretch of their own, along the one direction that
        moves the option's own gain: ``s~`` of the correlated knowledge gradient (Frazier, Powell & Dayanik
        2009, INFORMS J. Comput. 21, 599-613). The option's own entry is not negative.
        """
        shift = self.shift(option, balls)
        own = shift[option]
        size = float(np.sqrt(own @ own))
        return np.asarray(shift @ own / size if size > 0.0 else np.zeros(len(shift)))

    def shift(self, option: int, balls: int) -> Floats:
        """Factor of the covariance of the moves of all gains' means, see `learned`, shape (options, 7)."""
        code = self.options[option].club.code
        if code == self.options[0].club.code or balls < 1:
            return np.zeros((len(self.options), len(SCALE)))
        clubs = tuple(sorted({*self.clubs, code}))
        p, prior = self.paper, self.paper.prior(clubs)
        scatter = None if self.told is None else self.told.scatter
        precision = np.zeros_like(prior)
        if self.told is not None:
            at = np.concatenate([np.arange(7) + 7 * clubs.index(c) for c in self.clubs])
            precision[np.ix_(at, at)] = self.told.precision
        noise = more(balls, p.roots, scatter, p.measured)
        here = slice(7 * clubs.index(code), 7 * clubs.index(code) + 7)
        now = prior @ np.linalg.inv(np.eye(len(prior)) + precision @ prior)
        now = 0.5 * (now + now.T)
        total = now[here, here] + noise
        values, vectors = np.linalg.eigh(total)
        # Where nothing is measured the noise is endless, and nothing moves.
        move = now[:, here] @ (vectors / np.sqrt(values))
        link = p.link(clubs).reshape(*p.values.shape[1:], -1)[:, p.at("value")]
        better = p.prediction.objective.better
        return np.asarray(better * link @ np.linalg.solve(prior, move))

    @cached_property
    def effects(self) -> tuple[Effect, ...]:
        """Every channel of every hit club that was measured, sides left out: they hang on the aim."""
        if self.told is None:
            return ()
        p, told = self.paper, self.told
        theta, prior = p.effects(self.clubs), p.prior(self.clubs)
        mean, spread = theta.mean(axis=0), np.sqrt(np.diag(prior))
        found = []
        for k, code in enumerate(self.clubs):
            covariance, estimate = told.of_club(k, prior, mean)
            for channel, name in enumerate(OBSERVED[:-1]):
                at, scale = k * len(OBSERVED) + channel, float(SCALE[channel])
                if np.isnan(estimate[channel]):
                    continue
                error = float(np.sqrt(covariance[channel, channel]))
                found.append(
                    Effect(
                        code, name, scale * theta[:, at], scale * float(spread[at]),
                        scale * float(estimate[channel]), scale * error,
                    )
                )  # fmt: skip
        return tuple(found)

    @cached_property
    def compared(self) -> tuple[Comparison, ...]:
        """The effects as they are read: channels of the club itself, with 80 % intervals."""
        found = []
        for e in self.effects:
            base, half = float(self.paper.here[OBSERVED.index(e.channel)]), keyed.NORMAL_80 * e.error
            low, high = map(float, keyed.interval(e.predicted))
            said = Reading(*(base + v for v in (low, float(e.predicted.mean()), high)))
            seen = Reading(*(base + v for v in (e.measured - half, e.measured, e.measured + half)))
            found.append(Comparison(self.paper.id_of(e.club), e.channel, said, seen))
        return tuple(found)

    @property
    def surprises(self) -> tuple[Comparison, ...]:
        """Where prediction and balls differ beyond both intervals, club by club."""
        return tuple(c for c in self.compared if c.differs)

    @cached_property
    def suspects(self) -> tuple[Suspect, ...]:
        """Clubs whose balls start as those of another loft would: another club may be in hand."""
        if self.told is None:
            return ()
        p = self.paper
        mean = p.effects(self.clubs).mean(axis=0)
        counts = self.balls.counts()
        hit = [counts[code] for code in self.clubs]
        day = 2.0 * p.roots.covariance("own_day")
        return suspects(self.told, p.prior(self.clubs), mean, p.loft_step, day, hit)

    def carried_over(self, there: Prediction) -> Prediction:
        """Move a prediction of some of the options under other circumstances as the balls moved this one's.

        Every quantity is shifted as its mean was, and narrowed as its SD was; for what would turn a verdict.
        """
        p, ids = self.paper, {name: k for k, name in enumerate(self.ids)}
        at = [ids[o.id] for o in there.options]
        names = [n for n in p.names if n not in there.channels]
        new: dict[str, Any] = {}
        for name in names:
            before = p.changes[:, at, p.at(name)]
            after = self.draws[name][:, at] - self.draws[name][:, :1]
            ratio = after.std(axis=0) / np.maximum(before.std(axis=0), 1e-12)
            own = getattr(there, name)
            change = own - own[:, :1]
            mean = change.mean(axis=0)
            new[name] = own[:, :1] + mean + (after - before).mean(axis=0)
            new[name] = new[name] + np.minimum(ratio, 1.5) * (change - mean)
            new[name][:, 0] = own[:, 0]
        return replace(there, **new)
