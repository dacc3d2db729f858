"""Paired prediction: every shot replayed with every option in every draw, the present club exactly.

What the model cannot explain of a shot stays with that shot: residuals of the start enter between strike and
flight, residuals of the finish at the end (principle of paired differences: a biased model still ranks well).
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from fitter import draws as keyed
from fitter import world as worlds
from fitter.advice.baseline import Baseline
from fitter.advice.objectives import Pattern
from fitter.advice.options import Option
from fitter.advice.response import Changes, Response, changes
from fitter.conditions import Conditions
from fitter.kit.club import Club
from fitter.physics import engine, impact
from fitter.shots.ball_factors import ball_factors

Floats = NDArray[np.float64]

DRAWS = 256
CHUNK_BYTES = 120_000_000
"""Most memory that the raw results of one chunk of options may take."""
CHANNELS = ("club_speed_mps", "ball_speed_mps", "launch_deg", "spin_rpm", "apex_m", "descent_deg")


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


@dataclass(frozen=True)
class Prediction:
    """Replayed patterns, option by option.

    Parameters
    ----------
    options : tuple of Option
        The present club first.
    changes : Changes
    replay : Replay
    patterns : list of Pattern
        One for each option.
    channels : dict of str to ndarray, shape (draws, options)
        Mean over the shots of predicted channels, in the unit of the name.
    """

    options: tuple[Option, ...]
    changes: Changes
    replay: Replay
    carry: Floats
    total: Floats
    weak: Floats
    carry_spread: Floats
    total_spread: Floats
    carry_aim: Floats
    total_aim: Floats
    channels: dict[str, Floats]


def prepare_replay(
    baseline: Baseline,
    changed: Changes,
    conditions: Conditions,
    measured_in: Conditions,
    draws: int,
    seed: int,
) -> Replay:
    """Draw the worlds and find what each of them cannot explain of each shot."""
    models = worlds.strike_models(draws, seed, face=conditions.face)
    delivery = baseline.draw(draws, seed, models[:, impact.SHIFT_DOWN] == 0.0)
    strikes = engine.strikes(delivery, changed.present_head[:, None], models[:, None])
    start = np.broadcast_to(baseline.start, strikes.shape)
    residual = np.empty_like(strikes)
    for k, factor in enumerate((True, False, False, True, False)):
        raw = start[..., k] / strikes[..., k] if factor else start[..., k] - strikes[..., k]
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

    Returns
    -------
    Prediction
    """
    changed = changes(options, present, baseline.swing, Response(draws, seed, sets_face=sets_face))
    replay = prepare_replay(baseline, changed, conditions, measured_in, draws, seed)
    shape = (draws, len(options))
    rows = {name: np.empty(shape) for name in
            ("carry", "total", "weak", "carry_spread", "total_spread", "carry_aim", "total_aim")}  # fmt: skip
    channels = {name: np.empty(shape) for name in CHANNELS}
    size = max(1, CHUNK_BYTES // (draws * len(baseline) * engine.RESULT * 8))
    for first in range(0, len(options), size):
        part = slice(first, min(first + size, len(options)))
        pattern, out = replay_part(replay, changed, part)
        rows["carry"][:, part] = pattern.mean("carry")
        rows["total"][:, part] = pattern.mean("total")
        rows["weak"][:, part] = pattern.weak()
        for name in ("carry", "total"):
            rows[f"{name}_aim"][:, part], rows[f"{name}_spread"][:, part] = pattern.aim(name)
        w = replay.weights[:, None, :]
        speed = replay.delivery[:, None, :, 0] * changed.delivery[:, part, None, 0]
        for name, values in (
            ("club_speed_mps", speed),
            ("ball_speed_mps", out[..., engine.BALL_SPEED]),
            ("launch_deg", np.degrees(out[..., engine.ELEVATION])),
            ("spin_rpm", out[..., engine.SPIN] * 30.0 / np.pi),
            ("apex_m", out[..., engine.APEX]),
            ("descent_deg", np.degrees(out[..., engine.DESCENT])),
        ):
            channels[name][:, part] = (values * w).sum(axis=2)
        if progress is not None:
            progress(part.stop, len(options))
    return Prediction(tuple(options), changed, replay, channels=channels, **rows)


def replay_part(replay: Replay, changed: Changes, part: slice) -> tuple[Pattern, Floats]:
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
