"""Club speed that a distance needs at the player's own delivery, and what the gap to it is made of."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from fitter.advice.baseline import Note, baseline, doubts, notices
from fitter.advice.budget import Budget, budget
from fitter.advice.curve import Aim, Needed, Span, State, span
from fitter.advice.objectives import goal_for
from fitter.advice.options import Option
from fitter.advice.question import Question
from fitter.advice.rank import Decided, decided
from fitter.advice.replay import Replays
from fitter.advice.response import Response, changes
from fitter.advice.result import order
from fitter.base.assumptions import current, using
from fitter.base.conditions import Conditions
from fitter.base.units import YARD

Floats = NDArray[np.float64]

CANDIDATES = 16
"""Options that are looked at for what is asked, best of each tier first."""


@dataclass(frozen=True)
class Reach:
    """Answer of `reach`.

    Parameters
    ----------
    player, hand : str
    distance_m, measure, count, width_m : float, str, str, float or None
        What was asked: 'carry' or 'total'; 'typical' or 'best-of-N', then with the width that counts.
    present, best : Needed
        With the present club and with the best option (None without a kit or where nothing is better).
    budget : Budget
        What the gap is made of.
    air_m : Span or None
        What the air and turf asked for give today's distance against the standard ones, m; None in those.
    conditions : Conditions
        Where the distance is asked for.
    notes : tuple of Note
    counts : dict of str to int
        Shots, set aside, draws.
    laws : dict of str to float
        Weight of each ball law.
    """

    player: str
    hand: str
    distance_m: float
    measure: str
    count: str
    width_m: float | None
    present: Needed
    best: Needed | None
    budget: Budget
    air_m: Span | None
    conditions: Conditions
    notes: tuple[Note, ...]
    counts: dict[str, int]
    laws: dict[str, float]

    @property
    def gap_m(self) -> float:
        """Distance less today's, as measured in the session's own air; the budget adds up to it."""
        return self.budget.gap_m


def reach(
    question: Question,
    distance_m: float,
    measure: str = "carry",
    count: str = "typical",
    width_m: float | None = None,
    *,
    progress: Callable[[int, int], None] | None = None,
) -> Reach:
    """Find the club speed that a distance needs.

    The player's own shots are replayed with faster and slower clubs in the draws of the ranking, everything
    else of the delivery unchanged (see `curve.Curve`), and the gap is split (see `budget.budget`).

    Parameters
    ----------
    question : Question
        Its goal counts for nothing; without a kit there is no part for equipment.
    distance_m : float
        20 to 500 m.
    measure : str
        'carry' or 'total'.
    count : str
        'typical' (the mean ball) or 'best-of-N': the longest of N balls that finish within the width.
    width_m : float, optional
        Width within which a ball of a set counts; that of a contest's grid when silent.
    progress : callable, optional
        Of the ranking that finds the best option.

    Returns
    -------
    Reach

    Raises
    ------
    InputError
        If what is asked makes no sense, or a needed channel was not measured.
    DataError
        If too few shots are left.

    Examples
    --------
    >>> from fitter import ask, reach, read
    >>> from fitter.demo import folder
    >>> answer = reach(ask(read(folder() / "P4.csv"), draws=64), 235.0)
    >>> answer.present.speed.expected > answer.present.speed_now_mps
    True
    >>> abs(sum(part.value_m for part in answer.budget.parts) - answer.gap_m) < 1e-6
    True
    """
    with using(question.assumptions):
        aim = Aim.read(distance_m, measure, count, width_m)
        return _reach(question, aim, count, progress)


def _reach(asked: Question, aim: Aim, count: str, progress: Callable[[int, int], None] | None) -> Reach:
    ranking: Decided | None = None
    q = asked.right_handed()
    if asked.kit is not None:
        goal = aim.goal if aim.balls is not None and aim.measure == "total" else goal_for(aim.measure)
        ranking = decided(replace(asked, goal=goal), progress)
    base = baseline(q) if ranking is None else ranking.baseline
    club, draws, seed = q.present, q.draws, q.seed
    here, session_air = q.conditions, q.measured_at
    standard = Conditions(law=here.law)
    options = [Option(club.code, "-", club), *_candidates(ranking)]
    changed = changes(options, club, base.swing, Response(draws, seed, sets_face=q.sets_face))
    replays = Replays(base, changed.present_head, session_air, draws, seed)
    replay = replays.under(here)
    now = State.of(replay, changed.take([0]), aim)
    looked = [now, *(replace(now, changed=changed.take([i])) for i in range(1, len(options)))]

    def elsewhere(place: Conditions) -> State:
        """Today's shots with the present club in another air, or the very same state."""
        if place == here:
            return now
        return replace(now, replay=replays.under(place))

    pick = _best(looked, options, aim, ranking)
    states = [now] if pick is None else [now, looked[pick]]
    names = [options[0]] if pick is None else [options[0], options[pick]]
    needed = [Needed.of(o, state, aim) for o, state in zip(names, states, strict=True)]
    found = budget(elsewhere(session_air), states, aim)
    air = None if here == standard else span(now.today(aim) - elsewhere(standard).today(aim))
    laws = zip(replay.drawn.names, map(float, replay.law_weights), strict=True)
    return Reach(
        player=base.session.player,
        hand=base.session.hand,
        distance_m=aim.distance_m,
        measure=aim.measure,
        count=count,
        width_m=None if aim.balls is None else aim.width_m,
        present=needed[0],
        best=needed[1] if len(needed) > 1 else None,
        budget=found,
        air_m=air,
        conditions=asked.conditions,
        notes=(
            *_notes(ranking, needed, found, q.with_aside),
            *doubts(base.session),
            *notices(base.session),
            *base.notes,
        ),
        counts={"shots": len(base.session), "set_aside": int(base.session.set_aside.sum()), "draws": draws},
        laws=dict(laws),
    )


def _candidates(ranking: Decided | None) -> list[Option]:
    """Best options of a ranking, the one that the verdict names first."""
    if ranking is None:
        return []
    options = [s.option for s in order(ranking.scored[1:])]
    named = [o for o in options if o.id == ranking.verdict.option]
    rest = [o for o in options if o not in named]
    return [*named, *rest][:CANDIDATES]


def _best(
    states: Sequence[State], options: Sequence[Option], aim: Aim, ranking: Decided | None
) -> int | None:
    """Place of the option of the longest expected distance today, if one is longer than the present club.

    The option that the verdict names stands where it is as good, as the verdict would have it.
    """
    if ranking is None or len(options) < 2:
        return None
    far = [float(state.today(aim).mean()) for state in states]
    best = int(np.argmax(far))
    give = current().value("verdict.indifference") * YARD
    if options[1].id == ranking.verdict.option and far[1] >= far[best] - give:
        best = 1
    return best if far[best] > far[0] else None


def _notes(
    ranking: Decided | None, needed: Sequence[Needed], found: Budget, with_aside: bool
) -> tuple[Note, ...]:
    """What the reader should know before trusting a number."""
    notes = [Note("all shots")] if with_aside else []
    if found.gap_m <= 0.0:
        notes.append(Note("no gap"))
    if ranking is None:
        notes.append(Note("no kit"))
    elif len(needed) < 2:
        notes.append(Note("none further"))
    else:
        verdict = ranking.verdict
        notes.append(Note("longest", (verdict.action, f" {verdict.option}" if verdict.option else "")))
        old, new = (n.speed.expected for n in needed)
        if old is not None and (new is None or new > old):
            notes.append(Note("fit again", (needed[1].option, needed[0].option)))
    if ranking is not None and ranking.offered.left_out:
        notes.append(Note("left out", tuple(ranking.offered.left_out.items())))
    if not needed[0].known:
        notes.append(Note("guess"))
    return (*notes, Note("same delivery"), Note("coaches"))
