"""Paired prediction: every shot replayed with every option in every draw, the present club exactly.

What the model cannot explain of a shot stays with that shot: residuals of the start enter between strike and
flight, residuals of the finish at the end (principle of paired differences: a biased model still ranks well).
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, field, replace
from typing import Any

import numpy as np
from numpy.typing import NDArray

from fitter import world as worlds
from fitter.advice import run as runs
from fitter.advice.baseline import Baseline
from fitter.advice.objectives import OBJECTIVES, Goal, Objective, worth_of_a_yard
from fitter.advice.options import Option
from fitter.advice.pattern import Band, Pattern, Unseen, band
from fitter.advice.question import Question
from fitter.advice.response import Changes, Response, changes
from fitter.base import draws as keyed
from fitter.base.conditions import Conditions
from fitter.base.units import DEG, RPM, YARD
from fitter.physics import engine, vectors
from fitter.shots.infer.ball_factors import BallFactors, ball_factors
from fitter.simulate.strike import turn_between

Floats = NDArray[np.float64]

CHUNK_BYTES = 120_000_000
"""Most memory that the raw results of one chunk of options may take."""
CHANNELS: dict[str, tuple[int | None, float]] = {
    "club_speed_mps": (None, 1.0),
    "ball_speed_mps": (vectors.START_SPEED, 1.0),
    "launch_deg": (vectors.START_ELEVATION, 1.0 / DEG),
    "spin_rpm": (vectors.START_SPIN, 1.0 / RPM),
    "apex_m": (vectors.APEX, 1.0),
    "descent_deg": (vectors.DESCENT, 1.0 / DEG),
}
"""Predicted channels: their column of the engine's result, and its scale."""
BESIDE = ("weak", "middle", "across", "along", "fairway", "first", "strokes")
"""What is predicted besides the value of the goal."""


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

    @property
    def shots(self) -> int:
        """How many shots are replayed."""
        return int(self.delivery.shape[1])

    def thin(self, step: int) -> Replay:
        """Keep one draw in so many."""
        names = ("delivery", "residual", "finish", "weights")
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


@dataclass(frozen=True)
class Prediction:
    """Replayed patterns, option by option.

    Parameters
    ----------
    options : tuple of Option
        The present club first.
    changes : Changes
    replay : Replay
    goal : Goal
        What the session is for, the present club's mean filled in.
    kernel : Band
        Of the present club's pattern.
    carry, total, value : ndarray, shape (draws, options)
        Means over the shots, m; value of the goal in its unit.
    yard : float
        What a yard is worth to this player, in the unit of the value.
    aim : ndarray, shape (draws, options)
        Aim as it is known, m, right +, see `Pattern.aim`.
    weak, middle, across, along, fairway, first, strokes : ndarray, shape (draws, options)
        Carry of the weak shot, mean side, SDs of side and total distance about their own means, m; balls in
        the fairway at the aim, and before a ball is hit; strokes. Empty in a look, as the next.
    channels : dict of str to ndarray, shape (draws, options)
        Mean over the shots of predicted channels, in the unit of the name.
    by_shot : ndarray, shape (options, shots), or None
        Mean gain of each shot over the draws, in a look at a few of them.
    """

    options: tuple[Option, ...]
    changes: Changes
    replay: Replay
    goal: Goal
    kernel: Band
    carry: Floats
    total: Floats
    value: Floats
    yard: float
    aim: Floats
    weak: Floats
    middle: Floats
    across: Floats
    along: Floats
    fairway: Floats
    first: Floats
    strokes: Floats
    channels: dict[str, Floats]
    by_shot: Floats | None = None
    _raw: dict[int, Floats] = field(default_factory=dict, repr=False, compare=False)

    def raw(self, which: Sequence[int]) -> Floats:
        """Raw results of some options, (draws, options, shots, 16); those flown once are kept."""
        new = [i for i in which if i not in self._raw]
        if new:
            out = fly_options(self.replay, self.changes, new)
            self._raw.update({i: out[:, k] for k, i in enumerate(new)})
        return np.stack([self._raw[i] for i in which], axis=1)

    def pattern(self, which: Sequence[int]) -> Pattern:
        """Where every shot finishes with some options."""
        return finished(self.replay, self.raw(which))

    @property
    def objective(self) -> Objective:
        """What the goal is measured by."""
        return OBJECTIVES[self.goal.objective]

    @property
    def gain(self) -> Floats:
        """Gains against the present club, larger is better, shape (draws, options)."""
        return self.objective.better * (self.value - self.value[:, :1])


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
            b, self.delivery, drawn, self.residual, finish, self.weights, law_weights, ball.shots, unseen
        )


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


def predict(
    options: Sequence[Option],
    question: Question,
    baseline: Baseline,
    *,
    draws: int | None = None,
    shots: int | None = None,
    progress: Callable[[int, int], None] | None = None,
) -> Prediction:
    """Replay the session with every option.

    Parameters
    ----------
    options : sequence of Option
        The present club first.
    question : Question
        In the frame of its shots (`Question.right_handed`).
    baseline : Baseline
    draws : int, optional
        Those of the question when silent; else a look at the value of the goal alone.
    shots : int, optional
        Replay only so many shots that stand for all; every shot when silent.
    progress : callable, optional
        Called with options done and all options.

    Returns
    -------
    Prediction
    """
    q, n = question, draws or question.draws
    changed = changes(options, q.present, baseline.swing, Response(n, q.seed, sets_face=q.sets_face))
    replay = Replays(baseline, changed.present_head, q.measured_at, n, q.seed).under(q.conditions)
    if shots is not None and shots < len(baseline):
        replay = replay.some(shots)
    return replayed(options, changed, replay, q.goal, progress, whole=draws is None)


def replayed(
    options: Sequence[Option],
    changed: Changes,
    replay: Replay,
    goal: Goal,
    progress: Callable[[int, int], None] | None = None,
    raw: Floats | None = None,
    whole: bool = True,
) -> Prediction:
    """Replay prepared shots with prepared changes.

    Parameters
    ----------
    options : sequence of Option
        The present club first.
    changed : Changes
    replay : Replay
    goal : Goal
    progress : callable, optional
        Called with options done and all options.
    raw : ndarray, shape (draws, options, shots, 16), optional
        The flights, where they were flown before.
    whole : bool
        More than the value of the goal.
    """
    objective, shape = OBJECTIVES[goal.objective], (len(replay.delivery), len(options))
    rows: dict[str, Any] = {name: np.empty(shape) for name in ("carry", "total", "value", "aim")}
    beside: dict[str, Any] = {name: np.empty(shape if whole else (0, 0)) for name in BESIDE}
    channels = {name: np.empty(shape) for name in CHANNELS} if whole else {}
    by_shot = np.empty((len(options), replay.shots)) if replay.shots < len(replay.baseline) else None
    size = max(1, CHUNK_BYTES // (shape[0] * replay.shots * vectors.RESULT * 8))
    kernel: Band | None = None
    yard = YARD
    for first in range(0, len(options), size):
        part = np.arange(first, min(first + size, len(options)))
        out = fly_options(replay, changed, part) if raw is None else raw[:, part]
        pattern = finished(replay, out)
        if kernel is None:
            goal = replace(goal, present_m=float(pattern.mean("total")[:, 0].mean()))
            kernel, ground = band(pattern, objective.side), band(pattern, "total")
            yard = worth_of_a_yard(objective, pattern, goal, kernel)
        rows["carry"][:, part] = pattern.mean("carry")
        rows["total"][:, part] = pattern.mean("total")
        aim = rows["aim"][:, part] = objective.aim(pattern, goal, kernel)
        rows["value"][:, part] = objective.worth(pattern, goal, kernel, aim)
        if by_shot is not None:
            each = objective.each or OBJECTIVES[objective.side].each
            assert each is not None
            by_shot[part] = objective.better * each(pattern, goal, kernel, aim).mean(axis=0)
        if whole:
            beside["weak"][:, part] = pattern.weak()
            beside["middle"][:, part] = pattern.mean("total_side")
            beside["across"][:, part] = pattern.spread("total_side")
            beside["along"][:, part] = pattern.spread("total")
            blind = pattern.aim(aim.mean(axis=0) + pattern.middle(), goal.aim_cap_m, learned=False)
            for name, other, at in (
                ("fairway", "fairway", aim), ("first", "fairway", blind), ("strokes", "play", aim),
            ):  # fmt: skip
                beside[name][:, part] = OBJECTIVES[other].worth(pattern, goal, ground, at)
            speed = np.einsum("ds,ds->d", replay.delivery[..., 0], replay.weights)
            channels["club_speed_mps"][:, part] = speed[:, None] * changed.delivery[:, part, 0]
            for name, (column, scale) in CHANNELS.items():
                if column is not None:
                    mean = np.einsum("dos,ds->do", out[..., column], replay.weights)
                    channels[name][:, part] = mean * scale
        if progress is not None:
            progress(int(part[-1]) + 1, len(options))
    assert kernel is not None
    return Prediction(
        tuple(options), changed, replay, goal, kernel, yard=yard, channels=channels, by_shot=by_shot,
        **rows, **beside,
    )  # fmt: skip


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
    rest = replay.finish[:, None]
    return Pattern(
        carry=np.maximum(out[..., vectors.CARRY] + rest[..., 0], 0.0),
        total=np.maximum(out[..., vectors.TOTAL] + rest[..., 1], 0.0),
        carry_side=out[..., vectors.SIDE] + rest[..., 2],
        total_side=out[..., vectors.TOTAL_SIDE] + rest[..., 2],
        weights=replay.weights,
        unseen=replay.unseen,
    )
