"""What every option does to every shot in every draw, chunk by chunk: gains, patterns, channels."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, field, replace
from typing import Any

import numpy as np
from numpy.typing import NDArray

from fitter.advice.baseline import Baseline
from fitter.advice.objectives import OBJECTIVES, Goal, Objective, worth_of_a_yard
from fitter.advice.options import Option
from fitter.advice.pattern import Band, Pattern, band
from fitter.advice.question import Question
from fitter.advice.replay import Replay, Replays, finished, fly_options
from fitter.advice.response import Changes, Response, changes
from fitter.base.units import DEG, RPM, YARD
from fitter.physics import vectors

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
    changed = q.what_if.on(changed, baseline.delivery.mean)
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
