"""Paired prediction: every shot replayed with every option in every draw, the present club exactly.

What the model cannot explain of a shot stays with that shot: residuals of the start enter between strike and
flight, residuals of the finish at the end (principle of paired differences: a biased model still ranks well).
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from typing import Any

import numpy as np
from numpy.typing import NDArray

from fitter import world as worlds
from fitter.advice.baseline import Baseline
from fitter.advice.objectives import OBJECTIVES, Objective, Wish
from fitter.advice.objectives import wish as wished
from fitter.advice.options import Option
from fitter.advice.pattern import Band, Pattern, band
from fitter.advice.response import Changes, Response, changes
from fitter.advice.run import told_run
from fitter.base import draws as keyed
from fitter.base.conditions import Conditions
from fitter.base.units import DEG, RPM
from fitter.kit.club import Club
from fitter.physics import engine, impact
from fitter.shots.infer.ball_factors import ball_factors
from fitter.simulate.strike import turn_between

Floats = NDArray[np.float64]

CARRY = wished("carry")
DRAWS = 256
CHUNK_BYTES = 120_000_000
"""Most memory that the raw results of one chunk of options may take."""
CHANNELS: dict[str, tuple[int | None, float]] = {
    "club_speed_mps": (None, 1.0),
    "ball_speed_mps": (engine.BALL_SPEED, 1.0),
    "launch_deg": (engine.ELEVATION, 1.0 / DEG),
    "spin_rpm": (engine.SPIN, 1.0 / RPM),
    "apex_m": (engine.APEX, 1.0),
    "descent_deg": (engine.DESCENT, 1.0 / DEG),
}
"""Predicted channels: their column of the engine's result, and its scale."""


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
    """

    baseline: Baseline
    delivery: Floats
    drawn: worlds.Drawn
    residual: Floats
    finish: Floats
    weights: Floats
    law_weights: Floats
    carries: int

    @property
    def shots(self) -> int:
        """How many shots are replayed."""
        return int(self.delivery.shape[1])

    def thin(self, step: int) -> Replay:
        """Keep one draw in so many."""
        names = ("delivery", "residual", "finish", "weights")
        fewer: dict[str, Any] = {name: np.ascontiguousarray(getattr(self, name)[::step]) for name in names}
        return replace(self, drawn=self.drawn.thin(step), **fewer)

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
    wish : Wish
        What the session is for, the present club's mean filled in.
    kernel : Band
        Of the present club's pattern.
    carry, total, weak, value, spread : ndarray, shape (draws, options)
        Means over the shots and the weak shot, m; value of the wish in its unit; SD of the side at the
        aim, m.
    aim : ndarray, shape (draws, options)
        Best aim for the wish, m, right +.
    channels : dict of str to ndarray, shape (draws, options)
        Mean over the shots of predicted channels, in the unit of the name.
    by_shot : dict of str to ndarray, shape (options, shots)
        Mean carry and total of each shot over the draws; empty where every shot was replayed.
    """

    options: tuple[Option, ...]
    changes: Changes
    replay: Replay
    wish: Wish
    kernel: Band
    carry: Floats
    total: Floats
    weak: Floats
    value: Floats
    spread: Floats
    aim: Floats
    channels: dict[str, Floats]
    by_shot: dict[str, Floats]

    @property
    def objective(self) -> Objective:
        """What the wish is measured by."""
        return OBJECTIVES[self.wish.objective]

    @property
    def gain(self) -> Floats:
        """Gains against the present club, larger is better, shape (draws, options)."""
        return self.objective.better * (self.value - self.value[:, :1])


def prepare_replay(
    baseline: Baseline,
    changed: Changes,
    conditions: Conditions,
    measured_in: Conditions,
    draws: int,
    seed: int,
) -> Replay:
    """Draw the worlds and find what each of them cannot explain of each shot."""
    models = worlds.strike_models(draws, seed)
    delivery = baseline.draw(draws, seed, models[:, impact.SHIFT_DOWN] == 0.0)
    strikes = engine.strikes(delivery, changed.present_head[:, None], models[:, None])
    start = np.broadcast_to(baseline.start, strikes.shape)
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
    replayed = strikes.copy()
    replayed[..., [0, 3]] *= residual[..., [0, 3]]
    replayed[..., [1, 2, 4]] += residual[..., [1, 2, 4]]
    session_air = replace(measured_in, law=conditions.law)
    ball = ball_factors(baseline.delivery.session, baseline.delivery, session_air)
    law_weights = np.array(list(ball.laws.values()))
    drawn = worlds.drawn(conditions, draws, seed, law_weights, known=ball.by_law)
    there = drawn
    if session_air != conditions:
        there = worlds.drawn(session_air, draws, seed, law_weights, known=ball.by_law)
    flown = engine.fly(replayed, there.world)
    same_turf = conditions.turf == measured_in.turf
    told = told_run(baseline, there, flown, seed) if same_turf else None
    if told is not None:
        same = there is drawn
        drawn = drawn.with_run(told)
        there = drawn if same else there.with_run(told)
        flown = engine.fly(replayed, there.world)
    measured = np.stack([baseline.carry, baseline.total, baseline.side], axis=1)
    modelled = flown[..., [engine.CARRY, engine.TOTAL, engine.SIDE]]
    finish = measured[None] - modelled
    # A total that nobody measured misses what the carry misses.
    finish[..., 1] = np.where(np.isnan(finish[..., 1]), finish[..., 0], finish[..., 1])
    finish = np.nan_to_num(finish, nan=0.0)
    weights = keyed.dirichlet_weights(draws, len(baseline), seed, "shots", len(baseline))
    return Replay(baseline, delivery, drawn, residual, finish, weights, law_weights, ball.shots)


def predict(
    options: Sequence[Option],
    present: Club,
    baseline: Baseline,
    conditions: Conditions,
    measured_in: Conditions,
    draws: int = DRAWS,
    seed: int = 1,
    progress: Callable[[int, int], None] | None = None,
    sets_face: str = "unknown",
    shots: int | None = None,
    wish: Wish = CARRY,
) -> Prediction:
    """Replay the session with every option.

    Parameters
    ----------
    options : sequence of Option
        The present club first.
    present : Club
    baseline : Baseline
    conditions, measured_in : Conditions
        Where the decision applies; where the shots were measured.
    draws, seed : int
    progress : callable, optional
        Called with options done and all options.
    sets_face : str
        One of `response.SETS_FACE`.
    shots : int, optional
        Replay only so many shots that stand for all; every shot when silent.
    wish : Wish
        What the session is for.

    Returns
    -------
    Prediction
    """
    changed = changes(options, present, baseline.swing, Response(draws, seed, sets_face=sets_face))
    replay = prepare_replay(baseline, changed, conditions, measured_in, draws, seed)
    if shots is not None and shots < len(baseline):
        replay = replay.some(shots)
    return replayed(options, changed, replay, wish, progress)


def replayed(
    options: Sequence[Option],
    changed: Changes,
    replay: Replay,
    wish: Wish = CARRY,
    progress: Callable[[int, int], None] | None = None,
) -> Prediction:
    """Replay prepared shots with prepared changes.

    Parameters
    ----------
    options : sequence of Option
        The present club first.
    changed : Changes
    replay : Replay
    wish : Wish
    progress : callable, optional
        Called with options done and all options.
    """
    present, _ = replay_part(replay, changed, [0])
    wish = replace(wish, present_m=float(present.mean("total").mean()))
    objective, shape = OBJECTIVES[wish.objective], (len(replay.delivery), len(options))
    kernel = band(present, objective.side)
    rows = {name: np.empty(shape) for name in ("carry", "total", "weak", "value", "spread")}
    aim, channels = np.empty(shape), {name: np.empty(shape) for name in CHANNELS}
    few = replay.shots < len(replay.baseline)
    by_shot = {n: np.empty((len(options), replay.shots)) for n in ("carry", "total")} if few else {}
    size = max(1, CHUNK_BYTES // (shape[0] * replay.shots * engine.RESULT * 8))
    for first in range(0, len(options), size):
        part = np.arange(first, min(first + size, len(options)))
        pattern, out = replay_part(replay, changed, part)
        rows["carry"][:, part] = pattern.mean("carry")
        rows["total"][:, part] = pattern.mean("total")
        rows["weak"][:, part] = pattern.weak()
        aim[:, part] = objective.best_aim(pattern, wish, kernel)
        rows["value"][:, part] = objective.worth(pattern, wish, kernel, aim[:, part])
        rows["spread"][:, part] = pattern.spread(objective.side, aim[:, part])
        for name, means in by_shot.items():
            means[part] = getattr(pattern, name).mean(axis=0)
        speed = np.einsum("ds,ds->d", replay.delivery[..., 0], replay.weights)
        channels["club_speed_mps"][:, part] = speed[:, None] * changed.delivery[:, part, 0]
        for name, (column, scale) in CHANNELS.items():
            if column is not None:
                mean = np.einsum("dos,ds->do", out[..., column], replay.weights)
                channels[name][:, part] = mean * scale
        if progress is not None:
            progress(int(part[-1]) + 1, len(options))
    return Prediction(
        tuple(options), changed, replay, wish, kernel, aim=aim, channels=channels, by_shot=by_shot, **rows
    )


def replay_part(
    replay: Replay, changed: Changes, part: Sequence[int] | NDArray[np.int64]
) -> tuple[Pattern, Floats]:
    """Replay the shots with some options: their pattern, and raw results (draws, options, shots, 16)."""
    out = engine.strike_to_rest(
        replay.delivery,
        changed.delivery[:, part],
        changed.head[:, part],
        replay.residual,
        replay.drawn.world,
    )
    return finished(replay, out), out


def finished(replay: Replay, out: Floats) -> Pattern:
    """Pattern of raw results (draws, options, shots, 16), each shot's own residual added."""
    rest = replay.finish[:, None]
    return Pattern(
        carry=np.maximum(out[..., engine.CARRY] + rest[..., 0], 0.0),
        total=np.maximum(out[..., engine.TOTAL] + rest[..., 1], 0.0),
        carry_side=out[..., engine.SIDE] + rest[..., 2],
        total_side=out[..., engine.TOTAL_SIDE] + rest[..., 2],
        weights=replay.weights,
    )
