"""What would turn the verdict: another turf, wind, width, hole or ball law, or wider answers of players."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from fitter import world as worlds
from fitter.advice.baseline import Baseline
from fitter.advice.case import Joint, case_of
from fitter.advice.objectives import Goal
from fitter.advice.options import Option
from fitter.advice.parts import Bundles
from fitter.advice.prediction import Prediction, replayed
from fitter.advice.question import Question
from fitter.advice.replay import Replay, Replays, fly_again, fly_options
from fitter.advice.response import Response, changes
from fitter.advice.scored import Scored, best_of_tiers, score
from fitter.advice.verdict import Verdict, decide
from fitter.base.assumptions import current
from fitter.base.conditions import COURSE_TURFS, Conditions
from fitter.base.units import YARD

Floats = NDArray[np.float64]

MOST = 6
"""Options that are looked at again under other circumstances, the present club among them."""
DRAWS = 128


@dataclass(frozen=True)
class Flip:
    """One change of circumstances and the verdict that it brings.

    Parameters
    ----------
    what : str
        'turf', 'wind', 'ball law', 'width', 'hole', 'answers' (times as wide as judged) or 'shots' (with
        warm-up and tired ones).
    now, then : str, float or None
        As it is, and as it would have to be: a name (None for the blend of all laws), a width or a length in
        m, or a wind in m/s; then is positive for a head wind and negative for a tail wind.
    action, option : str, str or None
        The verdict there.
    """

    what: str
    now: str | float | None
    then: str | float
    action: str
    option: str | None


@dataclass(frozen=True)
class Case:
    """Other circumstances: what changes (as in `Flip`), the surroundings, goal and answers there."""

    what: str
    now: str | float | None
    then: str | float
    where: Conditions
    goal: Goal
    answers: float = 1.0


def cases(where: Conditions, goal: Goal) -> Iterator[list[Case]]:
    """Circumstances to try, in groups: the first of a group that turns the verdict counts."""
    a = current()
    for turf in COURSE_TURFS:
        if turf != where.turf:
            yield [Case("turf", where.turf, turf, replace(where, turf=turf), goal)]
    step = a.value("flips.wind_step_mps")
    for sign, degrees in ((1.0, 0.0), (-1.0, 180.0)):
        # Weakest first.
        yield [
            Case(
                "wind", where.wind_mps, sign * k * step,
                replace(where, wind_mps=k * step, wind_from_deg=degrees), goal,
            )
            for k in (1, 2, 3)
        ]  # fmt: skip
    names = worlds.law_names(where)
    if len(names) > 1:
        for name in names:
            yield [Case("ball law", None, name, replace(where, law=name), goal)]
    if goal.objective in ("fairway", "play"):
        for which in ("narrow", "wide"):
            width = a.value(f"flips.{which}_yd") * YARD
            yield [Case("width", goal.width_m, width, where, replace(goal, width_m=width))]
    if goal.objective == "play":
        for which in ("short", "long"):
            hole = a.value(f"flips.{which}_hole_yd") * YARD
            usual = sum(goal.holes_m) / len(goal.holes_m)
            yield [Case("hole", usual, hole, where, replace(goal, holes_m=(hole,)))]
    wider = a.value("flips.answers")
    yield [Case("answers", 1.0, wider, where, goal, wider)]


def shortlist(scored: Sequence[Scored], verdict: Verdict) -> list[Scored]:
    """Options that other circumstances may lift: the named one, the best of each tier, the best."""
    means = np.array([s.value_gain.mean for s in scored])
    named = [i for i, s in enumerate(scored) if i and s.option.id == verdict.option]
    tops = {s.option.id for s in best_of_tiers(scored)}
    ranked = [int(i) for i in np.argsort(-means, kind="stable") if i]
    first = [i for i in ranked if scored[i].option.id in tops]
    short = list(dict.fromkeys([0, *named, *first, *ranked]))[:MOST]
    # What the parts of a bundle are judged by stands beside it.
    bundles = Bundles([s.option for s in scored])
    beside = [j for i in named for j in bundles.beside(i, means)]
    return [scored[i] for i in dict.fromkeys([*short, *beside])]


def flips(
    question: Question,
    baseline: Baseline,
    scored: Sequence[Scored],
    verdict: Verdict,
    moved: Callable[[Prediction], Prediction] | None = None,
) -> tuple[Flip, ...]:
    """Search the circumstances for those that turn the verdict.

    Parameters
    ----------
    question : Question
        In the frame of its shots (`Question.right_handed`).
    baseline : Baseline
    scored : sequence of Scored
        The present club first.
    verdict : Verdict
        On all options in full draws.
    moved : callable, optional
        Moves a prediction as the balls that were hit moved the ranking's.

    Returns
    -------
    tuple of Flip
        Another action, or another option that the simpler one does not match.
    """
    options = tuple(s.option for s in shortlist(scored, verdict))
    elsewhere = _Elsewhere(question, baseline, options, moved)
    by_answers = {1.0: elsewhere}
    found: list[Flip] = []
    usual: Verdict | None = None
    for group in cases(question.conditions, question.goal):
        for case in group:
            if case.answers not in by_answers:
                by_answers[case.answers] = _Elsewhere(question, baseline, options, moved, case.answers)
            there = by_answers[case.answers].verdict(case.where, case.goal)
            if there.same(verdict):
                continue
            # The short list in fewer draws may part from the whole by itself: that is no flip.
            usual = usual or elsewhere.verdict(question.conditions, question.goal)
            if not there.same(usual):
                found.append(Flip(case.what, case.now, case.then, there.action, there.option))
                break
    if baseline.stale is not None:
        there = _Elsewhere(question, baseline.stale, options, moved).verdict(
            question.conditions, question.goal
        )
        usual = usual or elsewhere.verdict(question.conditions, question.goal)
        if not there.same(verdict) and not there.same(usual):
            found.append(Flip("shots", "fresh shots", "all shots", there.action, there.option))
    return tuple(found)


class _Elsewhere:
    """Verdicts on a short list under one surroundings after another, always with the same draws."""

    def __init__(
        self,
        question: Question,
        baseline: Baseline,
        options: tuple[Option, ...],
        moved: Callable[[Prediction], Prediction] | None = None,
        answers: float = 1.0,
    ) -> None:
        q = self.question = question
        self.moved = moved
        self.options, self.outdoors = options, baseline.outdoors
        response = Response(DRAWS, q.seed, sets_face=q.sets_face, wider=answers)
        self.changes = changes(options, q.present, baseline.swing, response)
        self.replays = Replays(baseline, self.changes.present_head, q.measured_at, DRAWS, q.seed)
        self.flown: dict[Conditions, tuple[Replay, Floats]] = {}

    def verdict(self, where: Conditions, goal: Goal) -> Verdict:
        replay, raw = self.fly(where)
        p = replayed(self.options, self.changes, replay, goal, raw=raw)
        p = p if self.moved is None else self.moved(p)
        return decide(score(p), Joint.of(p), case_of(p, self.question))

    def fly(self, where: Conditions) -> tuple[Replay, Floats]:
        """Flights of every option; a ball starts alike everywhere, so each is struck once."""
        if where not in self.flown:
            replay = self.replays.under(where)
            if self.flown:
                _, before = next(iter(self.flown.values()))
                raw = fly_again(replay, before)
            else:
                raw = fly_options(replay, self.changes, range(len(self.options)))
            self.flown[where] = replay, raw
        return self.flown[where]
