"""What a verdict rests on: what every option does in every draw, and the session, goal and club behind it."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from fitter.advice.baseline import Note
from fitter.advice.objectives import Goal, Objective
from fitter.advice.prediction import Prediction
from fitter.advice.question import Question
from fitter.kit.club import Club

Floats = NDArray[np.float64]


@dataclass(frozen=True)
class Joint:
    """What every option does in every draw, (draws, options), the present club first.

    Parameters
    ----------
    gain : ndarray
        Of the goal, in its unit, larger is better.
    carry, total : ndarray
        m.
    fairway, strokes : ndarray or None
        Share of balls, strokes a hole; None when no direction was measured.
    """

    gain: Floats
    carry: Floats
    total: Floats
    fairway: Floats | None = None
    strokes: Floats | None = None

    @classmethod
    def of(cls, p: Prediction) -> Joint:
        """Draws of a prediction."""
        known = p.replay.baseline.has_direction
        sides = (p.fairway, p.strokes) if known else (None, None)
        return cls(p.gain, p.carry, p.total, *sides)

    def losses(self, name: str, i: int) -> Floats | None:
        """By how much an option is worse than the present club in one respect, (draws,)."""
        values = getattr(self, name)
        if values is None:
            return None
        worse = values[:, i] - values[:, 0]
        return np.asarray(worse if name == "strokes" else -worse)


@dataclass(frozen=True)
class Case:
    """What a verdict needs besides the draws.

    Parameters
    ----------
    present : Club
    objective : Objective
    goal : Goal
        The present club's mean filled in.
    yard : float
        What a yard is worth, in the unit of the gains.
    used, shots : int
        Balls that are used, and all of the session.
    withheld : tuple of Note
        What the session holds against any change.
    seed : int or None
        Of the ranking: finds the draws of lofts again; nothing is priced without.
    totals : bool
        Whether totals can be measured where the shots are hit.
    """

    present: Club
    objective: Objective
    goal: Goal
    yard: float
    used: int
    shots: int
    withheld: tuple[Note, ...] = ()
    seed: int | None = None
    totals: bool = True


def case_of(p: Prediction, question: Question) -> Case:
    """What a verdict on a prediction needs besides its draws."""
    baseline = p.replay.baseline
    shots, aside = len(baseline.session), int(baseline.session.set_aside.sum())
    return Case(
        present=question.present,
        objective=p.objective,
        goal=p.goal,
        yard=p.yard,
        used=shots - aside,
        shots=shots,
        withheld=baseline.withheld,
        seed=question.seed,
        totals=baseline.outdoors,
    )
