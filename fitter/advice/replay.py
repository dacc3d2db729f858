"""Paired prediction: every shot replayed with every option in every draw, the present club exactly.

What the model cannot explain of a shot stays with that shot: residuals of the start enter between strike and
flight, residuals of the finish at the end (principle of paired differences: a biased model still ranks well).
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from functools import cached_property
from typing import Any

import numpy as np
from numpy.typing import NDArray

from fitter import world as worlds
from fitter.advice import run as runs
from fitter.advice.baseline import Baseline
from fitter.advice.pattern import Pattern, Unseen
from fitter.advice.response import Changes
from fitter.base import draws as keyed
from fitter.base.conditions import Conditions
from fitter.physics import engine, vectors
from fitter.shots.infer.ball_factors import BallFactors, ball_factors
from fitter.simulate.strike import turn_between

Floats = NDArray[np.float64]


@dataclass(frozen=True)
class Replay:
    """Everything that a replay of the session needs besides the options.

    Parameters
    ----------
    baseline : Baseline
    delivery : ndarray, shape (draws, shots, 7)
        Drawn from the posterior of each shot.
    drawn : worlds.Drawn
        Where the decision applies.
    residual : ndarray, shape (draws, shots, 5)
        Of the start, see `engine.strike_to_rest`.
    finish : ndarray, shape (draws, shots, 3)
        Of carry, total and side, m.
    weights : ndarray, shape (draws, shots)
        Which shots might have been hit (Bayesian bootstrap).
    law_weights : ndarray, shape (laws,)
        After the carries that were measured.
    carries : int
        Measured carries that told of the ball.
    unseen : Unseen
        What so few balls do not tell of a pattern.
    present_head : ndarray, shape (draws, 13)
        See `response.Changes`.
    """

    baseline: Baseline
    delivery: Floats
    drawn: worlds.Drawn
    residual: Floats
    finish: Floats
    weights: Floats
    law_weights: Floats
    carries: int
    unseen: Unseen
    present_head: Floats

    @cached_property
    def present(self) -> Pattern:
        """Where the shots finish with the present club."""
        same = np.zeros((len(self.delivery), 1, vectors.CHANGE))
        same[..., [vectors.CLUB_SPEED, vectors.SCATTER]] = 1.0
        head = self.present_head[:, None]
        out = engine.strike_to_rest(self.delivery, same, head, self.residual, self.drawn.world)
        return _finishes(self, out)

    @property
    def shots(self) -> int:
        """How many shots are replayed."""
        return int(self.delivery.shape[1])

    def thin(self, step: int) -> Replay:
        """Keep one draw in so many."""
        names = ("delivery", "residual", "finish", "weights", "present_head")
        fewer: dict[str, Any] = {name: np.ascontiguousarray(getattr(self, name)[::step]) for name in names}
        return replace(self, drawn=self.drawn.thin(step), unseen=self.unseen.thin(step), **fewer)

    def some(self, shots: int) -> Replay:
        """Keep a few shots that stand for all, equally likely: evenly spread over the ranks of ball speed."""
        order = np.argsort(self.baseline.delivery.start[:, 0], kind="stable")
        places = (np.arange(shots) + 0.5) * len(order) / shots
        kept = np.sort(order[places.astype(np.int64)])
        return replace(
            self,
            delivery=self.delivery[:, kept],
            residual=self.residual[:, kept],
            finish=self.finish[:, kept],
            weights=np.full((len(self.delivery), shots), 1.0 / shots),
        )


class Replays:
    """Replays of one session in the same draws under one surroundings after another.

    What surroundings do not change is computed once: the deliveries, what the strike model misses of every
    start, and, for each choice of law, what is known of the ball and how the measured shots fly in their own
    air.

    Parameters
    ----------
    baseline : Baseline
    present_head : ndarray, shape (draws, 13)
        See `response.Changes`.
    measured_in : Conditions
    draws, seed : int
    """

    def __init__(
        self, baseline: Baseline, present_head: Floats, measured_in: Conditions, draws: int, seed: int
    ) -> None:
        self.baseline, self.measured_in, self.draws, self.seed = baseline, measured_in, draws, seed
        self.present_head = present_head
        self.delivery, self.models = baseline.draw(draws, seed)
        strikes = engine.strikes(self.delivery, present_head[:, None], self.models[:, None])
        self.residual = _residual(strikes, baseline.start)
        self.starts = strikes
        self.starts[..., [0, 3]] *= self.residual[..., [0, 3]]
        self.starts[..., [1, 2, 4]] += self.residual[..., [1, 2, 4]]
        self.weights = keyed.dirichlet_weights(draws, len(baseline), seed, "shots", len(baseline))
        self._by_law: dict[str | None, tuple[BallFactors, worlds.Drawn, Floats]] = {}

    def at_home(self, law: str | None) -> tuple[BallFactors, worlds.Drawn, Floats]:
        """Factors of the ball, worlds, and flights of the measured shots in their own air, under one law."""
        if law not in self._by_law:
            air = replace(self.measured_in, law=law)
            ball = ball_factors(self.baseline.delivery.session, self.baseline.delivery, air)
            there = worlds.drawn(
                air, self.draws, self.seed, _weights(ball), known=ball.by_law, models=self.models
            )
            self._by_law[law] = ball, there, engine.fly(self.starts, there.world)
        return self._by_law[law]

    def under(self, conditions: Conditions) -> Replay:
        """Draw the worlds of a decision and find what each of them cannot explain of each shot."""
        ball, there, flown = self.at_home(conditions.law)
        law_weights = _weights(ball)
        drawn = worlds.drawn(
            conditions, self.draws, self.seed, law_weights, known=ball.by_law, models=self.models
        )
        b, modelled = self.baseline, flown[..., [vectors.CARRY, vectors.TOTAL, vectors.SIDE]]
        same_turf = conditions.turf == self.measured_in.turf
        told = runs.told(b, there, flown, self.seed) if same_turf else None
        if told is not None:
            drawn = drawn.with_run(*told)
            # The run is in proportion to its factor.
            scale = told.scale(flown[..., vectors.DESCENT])
            modelled[..., 1] = modelled[..., 0] + scale * (modelled[..., 1] - modelled[..., 0])
        finish = np.stack([b.carry, b.total, b.side], axis=1)[None] - modelled
        # A total that nobody measured misses what the carry misses.
        finish[..., 1] = np.where(np.isnan(finish[..., 1]), finish[..., 0], finish[..., 1])
        finish = np.nan_to_num(finish, nan=0.0)
        carry, _, side = (modelled + finish).mean(axis=0).T
        unseen = Unseen.of(self.draws, np.arctan2(side, carry), self.seed)
        return Replay(
            b, self.delivery, drawn, self.residual, finish, self.weights, law_weights, ball.shots, unseen,
            self.present_head,
        )  # fmt: skip


def _weights(ball: BallFactors) -> Floats:
    return np.array(list(ball.laws.values()))


def _residual(strikes: Floats, measured: Floats) -> Floats:
    """What the strike model misses of each start, (draws, shots, 5): factors on speed and spin, sums else.

    Where a channel was not measured, a shot misses what the others miss on average.
    """
    start = np.broadcast_to(measured, strikes.shape)
    residual = np.empty_like(strikes)
    for k, factor in enumerate((True, False, False, True, False)):
        raw = start[..., k] / strikes[..., k] if factor else turn_between(start[..., k], strikes[..., k])
        missing = np.isnan(raw)
        if missing.all():
            raw = np.full_like(raw, 1.0 if factor else 0.0)
        elif missing.any():
            mean = np.nanmean(raw, axis=1, keepdims=True)
            raw = np.where(missing, mean, raw)
        residual[..., k] = raw
    return residual


def fly_options(replay: Replay, changed: Changes, part: Sequence[int] | NDArray[np.int64]) -> Floats:
    """Strike and fly every shot with some options: raw results (draws, options, shots, 16)."""
    delivery, head = changed.delivery[:, part], changed.head[:, part]
    return engine.strike_to_rest(replay.delivery, delivery, head, replay.residual, replay.drawn.world)


def fly_again(replay: Replay, raw: Floats) -> Floats:
    """Fly the starts of raw results (draws, options, shots, 16) in the worlds of another replay."""
    draws, options, shots, _ = raw.shape
    starts = raw[..., vectors.START_SPEED : vectors.START_SPEED + vectors.LAUNCH]
    out = engine.fly(starts.reshape(draws, options * shots, vectors.LAUNCH), replay.drawn.world)
    return out.reshape(raw.shape)


def finished(replay: Replay, out: Floats) -> Pattern:
    """Pattern of raw results (draws, options, shots, 16), each shot's own residual added."""
    return replace(_finishes(replay, out), present=replay.present, balls=len(replay.baseline))


def _finishes(replay: Replay, out: Floats) -> Pattern:
    rest = replay.finish[:, None]
    return Pattern(
        carry=np.maximum(out[..., vectors.CARRY] + rest[..., 0], 0.0),
        total=np.maximum(out[..., vectors.TOTAL] + rest[..., 1], 0.0),
        carry_side=out[..., vectors.SIDE] + rest[..., 2],
        total_side=out[..., vectors.TOTAL_SIDE] + rest[..., 2],
        weights=replay.weights,
        unseen=replay.unseen,
    )
