"""What to measure next: each step with its minutes and the interval that it saves."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from fitter.advice.audit import LOFT, STIFFNESS, Missing, Unknown, left, unknowns
from fitter.advice.objectives import Objective
from fitter.advice.prediction import Prediction
from fitter.base.assumptions import current
from fitter.base.units import YARD
from fitter.physics import vectors

Floats = NDArray[np.float64]

KINDS = {LOFT: "loft gauge", STIFFNESS: "frequency", "mass_g": "weighing"}
"""Kinds of bench readings by figure."""


@dataclass(frozen=True)
class Step:
    """One thing to do before deciding.

    Parameters
    ----------
    kind : str
        'loft gauge', 'weighing', 'frequency' or 'gauge' (read a figure of a part), 'strike labels', 'balls',
        'trial' or 'carry'.
    minutes : float
    option : str or None
        The option whose gain it narrows.
    now, after : float
        Width of that option's 80 % interval now and expected afterwards, in the objective's unit.
    unit : str
        Of both widths.
    balls : int
        To be hit, marked or measured (with each club in a trial); 0 for bench readings.
    figure : Missing or None
        What is read on the bench.
    """

    kind: str
    minutes: float
    option: str | None
    now: float
    after: float
    unit: str
    balls: int = 0
    figure: Missing | None = None


@dataclass(frozen=True)
class _Doubt:
    """Gains of one option over the draws, and how far each remedy would narrow them."""

    values: Floats
    minutes: Callable[[str], float]
    option: str | None
    unit: str

    @property
    def width(self) -> float:
        low, high = np.quantile(self.values, [0.1, 0.9])
        return float(high - low)

    def step(
        self, kind: str, minutes: float, left: float, balls: float = 0, figure: Missing | None = None
    ) -> Step:
        now = self.width
        return Step(kind, minutes, self.option, now, left * now, self.unit, round(balls), figure)

    def without(self, variance: float) -> float:
        """Share of the width that is left when so much variance goes."""
        total = float(self.values.var())
        return float(np.sqrt(max(total - variance, 0.0) / total)) if total > 0.0 else 1.0


def steps(p: Prediction, index: int, seed: int) -> tuple[Step, ...]:
    """What to do next to narrow one option's gain, what saves most interval per minute first.

    Parameters
    ----------
    p : Prediction
    index : int
        Place of the option.
    seed : int
        Of the ranking.

    Returns
    -------
    tuple of Step
        Those that save enough: a share ``next.least`` of the interval; more balls and trials a share
        ``next.least_of_balls`` of it, and ``next.least_yards``.
    """
    a = current()
    objective, option, gain = p.objective, p.options[index], p.gain[:, index]
    doubt = _Doubt(gain, lambda kind: a.value(f"next.{kind}_minutes"), option.id, objective.unit)
    found: list[Step] = []
    for u in unknowns((p.options[0].club, option.club), len(gain), seed):
        kind = KINDS.get(u.missing.figure, "gauge")
        found.append(doubt.step(kind, u.missing.minutes, left(gain, u), figure=u.missing))
    found.append(_balls(p, index, objective, doubt))
    found.append(_trial(p, objective, doubt))
    found += [s for s in (_labels(p, doubt), _carries(p, doubt)) if s is not None]
    kept = [s for s in found if s.now - s.after >= _least(s, p.yard) and s.now > 0.0]
    return tuple(sorted(kept, key=lambda s: (-(s.now - s.after) / s.minutes, s.kind)))


def _least(step: Step, yard: float) -> float:
    """What a step has to save: balls cost time and breath, a reading next to nothing."""
    a = current()
    if step.kind not in ("balls", "trial"):
        return a.value("next.least") * step.now
    return max(a.value("next.least_of_balls") * step.now, a.value("next.least_yards") * yard)


def _by_shot(p: Prediction, index: int, objective: Objective) -> tuple[Floats, Floats]:
    """Mean distance of each shot with the present club and with an option, m, (shots,) each."""
    pattern = p.pattern([0, index])
    before, after = getattr(pattern, objective.side).mean(axis=0)
    return before, after


def _balls(p: Prediction, index: int, objective: Objective, doubt: _Doubt) -> Step:
    """Five more balls with the present club: which shots are hit weighs less (Rubin 1981: s2 / (n + 1))."""
    before, after = _by_shot(p, index, objective)
    n = len(before)
    scale = p.yard / YARD
    chance = float((after - before).var()) * scale**2
    more = int(current().value("next.balls"))
    less = chance / (n + 1) - chance / (n + more + 1)
    return doubt.step("balls", doubt.minutes("balls"), doubt.without(less), more)


def _trial(p: Prediction, objective: Objective, doubt: _Doubt) -> Step:
    """Test both clubs in one block: the difference of two means joins what is known as independent news."""
    a = current()
    balls = int(a.value("next.trial_balls"))
    error, now = 2.0 * _one_ball(p, objective) ** 2 / balls, float(doubt.values.var())
    left_over = doubt.without(now - now * error / (now + error))
    return doubt.step("trial", doubt.minutes("trial"), left_over, balls)


def _one_ball(p: Prediction, objective: Objective) -> float:
    """SD of the objective from ball to ball with the present club."""
    if objective.unit == "share":
        share = float(np.clip(p.value[:, 0].mean(), 0.02, 0.98))
        return float(np.sqrt(share * (1.0 - share)))
    pattern = p.pattern([0])
    if objective.each is None:
        return float(getattr(pattern, objective.side)[:, 0].mean(axis=0).std())
    return float(objective.each(pattern, p.goal, p.kernel, p.aim[:, :1])[:, 0].mean(axis=0).std())


def _labels(p: Prediction, doubt: _Doubt) -> Step | None:
    """Mark strikes where nobody measured them: the mean strike place becomes known."""
    session = p.replay.baseline.delivery.session
    strikes = np.stack([session.value("strike_toe_mm"), session.value("strike_high_mm")])
    if np.isfinite(strikes).all(axis=0).sum() >= 0.5 * strikes.shape[1]:
        return None
    a = current()
    drawn = p.replay.delivery[..., [vectors.TOE, vectors.HIGH]]
    mean = np.einsum("dsk,ds->dk", drawn, p.replay.weights)
    balls = a.value("next.balls")
    one = drawn.var(axis=(0, 1)) + (a.sd("measurement.strike_mm") * 1e-3) ** 2
    now = mean.var(axis=0)
    after = np.diag(now * (one / balls) / np.maximum(now + one / balls, 1e-18))
    told = Unknown(Missing("", "", "strike", 0.0, 0.0, 0.0, "labels", 0), mean - mean.mean(axis=0), after)
    return doubt.step("strike labels", doubt.minutes("labels"), left(doubt.values, told), balls)


def _carries(p: Prediction, doubt: _Doubt) -> Step | None:
    """Measure carries where none told of the ball: the laws part as computed beforehand."""
    if p.replay.carries or len(p.replay.drawn.names) < 2:
        return None
    a = current()
    law, true = p.replay.drawn.law, a.value("next.true_law")
    present = np.unique(law)
    means = np.array([doubt.values[law == k].mean() for k in present])
    share = np.array([(law == k).mean() for k in present])
    between = float(share @ (means - share @ means) ** 2)
    others = (1.0 - true) ** 2 / (len(p.replay.drawn.names) - 1)
    stays = (1.0 - true**2 - others) / max(1.0 - float((share**2).sum()), 1e-9)
    left_over = doubt.without(between * (1.0 - min(stays, 1.0)))
    return doubt.step("carry", doubt.minutes("carries"), left_over, a.value("next.carries"))
