"""The main job in one call: a session and a kit in, a ranking out."""

from __future__ import annotations

from collections.abc import Callable, Collection, Sequence
from dataclasses import dataclass, replace
from difflib import get_close_matches

import numpy as np
from numpy.typing import NDArray

from fitter.advice.alike import alike
from fitter.advice.baseline import Baseline, Note, baseline, notices
from fitter.advice.belief import Belief
from fitter.advice.case import Joint, case_of
from fitter.advice.device import open_points
from fitter.advice.evidence import unused
from fitter.advice.flips import flips as turned
from fitter.advice.heard import Heard, Moved, believed, gathered, named
from fitter.advice.losses import losses
from fitter.advice.next_step import steps
from fitter.advice.options import Offered, Option
from fitter.advice.prediction import Prediction, predict, replayed
from fitter.advice.question import Question, other_label
from fitter.advice.race import LeftOut, RoughOrder
from fitter.advice.reasons import explain
from fitter.advice.response import Response, changes
from fitter.advice.result import Ranking, order
from fitter.advice.scored import Balance, Gain, Scored, balances, best_of_tiers, gains, score
from fitter.advice.search import narrowed, search
from fitter.advice.verdict import Verdict, decide, opposite_ends
from fitter.base.assumptions import current, using
from fitter.base.errors import Problem, raise_if
from fitter.kit.club import Club
from fitter.kit.sense import odd_club
from fitter.shots.annotations import counted, labels

Floats = NDArray[np.float64]


def rank(
    question: Question,
    *,
    progress: Callable[[int, int], None] | None = None,
    first: Callable[[RoughOrder], None] | None = None,
    flips: bool = True,
) -> Ranking:
    """Rank what could be changed for one player.

    Parameters
    ----------
    question : Question
    progress : callable, optional
        Called with options done and all options.
    first : callable, optional
        Called once with a rough order, where there are so many options that a look in few draws saves time.
    flips : bool
        Search for what would turn the verdict; a batch leaves it out.

    Returns
    -------
    Ranking

    Raises
    ------
    InputError
        If something named is not there, or a needed channel was not measured.
    DataError
        If too few shots are left.
    """
    with using(question.assumptions):
        d = decided(question, progress, first)
        p, base, verdict = d.prediction, d.baseline, d.verdict
        scored = explain(p, d.scored, verdict.option)
        focus, what_if = _focus(scored, verdict), question.what_if
        return Ranking(
            question=question,
            shots=base.session,
            present=scored[0],
            options=order(scored[1:]),
            verdict=verdict,
            objective=p.objective,
            yard=p.yard,
            left_out=d.left_out,
            laws=dict(zip(p.replay.drawn.names, map(float, p.replay.law_weights), strict=True)),
            notes=_notes(d, scored),
            counts={
                "shots": len(base.session),
                "set_aside": int(base.session.set_aside.sum()),
                "options": sum(d.offered.tiers.values()),
                "in_full": len(scored) - 1,
                "draws": len(p.carry),
                "carries": p.replay.carries,
            },
            next=steps(p, focus, question.seed) if focus and not what_if else (),
            flips=turned(d.question, base, scored, verdict, d.moved) if flips and not what_if else None,
            losses=losses(base.delivery, d.question.measured_at),
            by_the_change=_by_the_change(d) if what_if else None,
            breaches=_breaches(d),
            not_offered=d.offered.left_out,
            offered=d.offered.tiers,
            alike=alike(d.scored, p.gain),
            heard=d.heard,
        )


@dataclass(frozen=True)
class Decided:
    """A decision and what it was made from, in the right-handed frame.

    Parameters
    ----------
    asked, question : Question
        As it was asked; as it could be answered.
    baseline : Baseline
    offered : Offered
    prediction : Prediction
        Of the options in full draws, the present club first; moved by the balls that were hit.
    scored : list of Scored
        The same.
    left_out : LeftOut
    verdict : Verdict
    belief, heard : Belief, Heard or None
        After balls with other clubs; None where there are none.
    """

    asked: Question
    question: Question
    baseline: Baseline
    offered: Offered
    prediction: Prediction
    scored: list[Scored]
    left_out: LeftOut
    verdict: Verdict
    belief: Belief | None = None
    heard: Heard | None = None

    @property
    def moved(self) -> Moved | None:
        """Moves predictions under other circumstances as the balls moved this one."""
        return None if self.belief is None else self.belief.carried_over


def decided(
    question: Question,
    progress: Callable[[int, int], None] | None = None,
    first: Callable[[RoughOrder], None] | None = None,
) -> Decided:
    """Predict the options that can still win in full draws and decide, with the judged numbers in force.

    Parameters and errors as of `rank`.
    """
    q = question.right_handed()
    base = baseline(q)
    if q.goal.objective == "play" and not base.has_direction:
        # Strokes hang on where balls finish across.
        q = replace(q, goal=replace(q.goal, objective="carry"))
    offered = search(q, base, progress)
    check_named(q.named, (*offered.options, *offered.barred))
    balls = gathered(q)
    options, left_out = narrowed(offered.options, named(q, balls), base, first)
    left_out = replace(left_out, unsearched=sum(offered.unsearched.values()))
    p = predict(options, q, base, progress=progress)
    belief, heard = believed(q, base, p, balls) or (None, None)
    p = p if belief is None else belief.prediction()
    scored = score(p)
    verdict = decide(scored, Joint.of(p), case_of(p, q))
    return Decided(question, q, base, offered, p, scored, left_out, verdict, belief, heard)


def _by_the_change(d: Decided) -> Balance:
    """What another delivery alone changes with the present club, in the draws of the ranking."""
    q, present = d.question, d.prediction.options[0]
    response = Response(len(d.prediction.carry), q.seed, sets_face=q.sets_face)
    plain = changes((present, present), q.present, d.baseline.swing, response)
    other = q.what_if.on(plain, d.baseline.delivery.mean)
    both = plain.delivery.copy()
    both[:, 1] = other.delivery[:, 1]
    p = replayed((present, present), replace(plain, delivery=both), d.prediction.replay, q.goal)
    return balances(p)[1]


def _breaches(d: Decided) -> tuple[Scored, ...]:
    """What breaks a rule, by expected gain, in the same draws: shown, and no part of any choice."""
    if not d.offered.barred:
        return ()
    q, p = d.question, d.prediction
    options = (p.options[0], *d.offered.barred)
    response = Response(len(p.carry), q.seed, sets_face=q.sets_face)
    changed = q.what_if.on(changes(options, q.present, d.baseline.swing, response), d.baseline.delivery.mean)
    best = float(p.gain.max(axis=1).mean())
    found = [
        replace(s, p_best=0.0, tied=False, expected_loss=best - s.value_gain.mean)
        for s in score(replayed(options, changed, p.replay, q.goal))[1:]
    ]
    return tuple(sorted(found, key=lambda s: -s.value_gain.mean))


def _focus(scored: list[Scored], verdict: Verdict) -> int:
    """Place of the option that more should be known of: the one named, else the one with most to tell."""
    for i, s in enumerate(scored):
        if s.option.id == verdict.option:
            return i
    return max(range(len(scored)), key=lambda i: (scored[i].information, scored[i].value_gain.mean))


def _notes(d: Decided, scored: list[Scored]) -> tuple[Note, ...]:
    """What the reader should know before trusting a number."""
    shots, offered = d.baseline.session, d.offered
    aside, of = int(shots.set_aside.sum()), len(shots)
    notes = [*notices(shots), *d.baseline.notes]
    other = other_label(d.question)
    if other:
        notes.insert(0, Note("label differs", (other, d.question.present.code)))
    if shots.others is not None:
        words = labels(shots.others) if d.heard is None else unused(d.question)
        notes += [Note("others", (counted(words),))] if words else []
    if d.heard is not None:
        notes[:0] = [Note("suspect", (x,)) for x in d.heard.suspects]
        heard = d.heard
        notes.insert(0, Note("counted", (counted(heard.clubs),)))
        notes[:0] = [Note("surprise", (o, x, heard.agreed(o))) for o, x in heard.surprises.items()]
    if aside > current().value("measurement.aside_share") * of:
        notes.insert(0, Note("many aside", (aside, of)))
    clubs = [d.question.present, *(s.option.club for s in best_of_tiers(scored, also=_named(d.verdict)))]
    notes += [Note("odd", (found,)) for found in dict.fromkeys(p for c in clubs for p in odd_club(c))]
    if d.question.with_aside:
        notes.insert(0, Note("all shots"))
    if not d.baseline.has_direction:
        asked = d.asked.goal.objective
        if asked == "play":
            notes.insert(0, Note("no direction"))
        elif asked in ("fairway", "grid"):
            notes.insert(0, Note("sides guessed"))
    notes += open_points(d.prediction, d.question.seed)
    ends = opposite_ends(scored)
    if ends is not None:
        notes.append(Note("shafts alike", ends))
    if offered.options[0].rules:
        notes.append(Note("present breaks", offered.options[0].rules))
    if offered.left_out:
        notes.append(Note("left out", tuple(offered.left_out.items())))
    if not d.question.present.known:
        notes.append(Note("present unknown"))
    return tuple(notes)


def _named(verdict: Verdict) -> list[str]:
    return [] if verdict.option is None else [verdict.option]


def check_named(named: Collection[str], options: Sequence[Option]) -> None:
    """Refuse ids that no option has.

    Raises
    ------
    InputError
        With the nearest ids.
    """
    known = [o.id for o in options]
    problems = [
        Problem("--option", repr(n), ", ".join(get_close_matches(n, known, 3, 0.3)) or "an id", "Use an id.")
        for n in named
        if n not in known
    ]
    raise_if(problems, "There are no such options.")


def predict_option(question: Question, option: Option) -> Scored:
    """Predict one option beside the present club, with the draws of the ranking.

    Raises
    ------
    FitterError
        As `rank`.
    """
    with using(question.assumptions):
        q = question.right_handed()
        p = predict((Option(q.present.code, "-", q.present), option), q, baseline(q))
        return explain(p, score(p), option.id)[1]


def gains_of(question: Question, clubs: Sequence[Club]) -> list[Gain]:
    """Carry gain of named clubs against the present one, m, on the player's own shots.

    Raises
    ------
    FitterError
        As `rank`.
    """
    with using(question.assumptions):
        q = question.right_handed()
        options = [Option(q.present.code, "-", q.present), *(Option(c.code, "D", c) for c in clubs)]
        return gains(predict(options, q, baseline(q)).carry)[1:]
