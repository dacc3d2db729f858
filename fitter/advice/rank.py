"""The main job in one call: a session and a kit in, a ranking out."""

from __future__ import annotations

from collections.abc import Callable, Collection, Sequence
from dataclasses import dataclass, replace
from difflib import get_close_matches

import numpy as np
from numpy.typing import NDArray

from fitter.advice import race
from fitter.advice.baseline import Baseline, Note, baseline, notices
from fitter.advice.device import open_points
from fitter.advice.flips import flips as turned
from fitter.advice.losses import losses
from fitter.advice.next_step import steps
from fitter.advice.options import Offered, Option, survey
from fitter.advice.question import Question
from fitter.advice.race import LeftOut, RoughOrder
from fitter.advice.reasons import explain
from fitter.advice.replay import Prediction, predict, replayed
from fitter.advice.response import Response, changes
from fitter.advice.result import Ranking, order
from fitter.advice.scored import Gain, Scored, gains, score, worth
from fitter.advice.verdict import Verdict, decide, opposite_ends
from fitter.base.assumptions import current, using
from fitter.base.errors import Problem, raise_if
from fitter.kit.club import Club
from fitter.kit.inventory import Kit

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
        focus = _focus(scored, verdict)
        return Ranking(
            question=question,
            shots=base.session,
            present=scored[0],
            options=order(scored[1:]),
            verdict=verdict,
            objective=p.objective,
            left_out=d.left_out,
            laws=dict(zip(p.replay.drawn.names, map(float, p.replay.law_weights), strict=True)),
            notes=_notes(d, scored),
            counts={
                "shots": len(base.session),
                "set_aside": int(base.session.set_aside.sum()),
                "options": len(d.offered.options) - 1,
                "in_full": len(scored) - 1,
                "draws": len(p.carry),
                "carries": p.replay.carries,
            },
            next=steps(p, focus, question.seed) if focus else (),
            flips=turned(d.question, base, scored, verdict) if flips else (),
            losses=losses(base.delivery, d.question.measured_at),
            breaches=_breaches(d),
            not_offered=d.offered.left_out,
        )


@dataclass(frozen=True)
class Decided:
    """A decision and what it was made from, in the right-handed frame.

    Parameters
    ----------
    question : Question
    baseline : Baseline
    offered : Offered
    prediction : Prediction
        Of the options in full draws, the present club first.
    scored : list of Scored
        The same.
    left_out : LeftOut
    verdict : Verdict
    """

    question: Question
    baseline: Baseline
    offered: Offered
    prediction: Prediction
    scored: list[Scored]
    left_out: LeftOut
    verdict: Verdict


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
    offered = survey(q.kit or Kit((), ()), q.present, q.offer)
    options = offered.options
    check_named(q.named, (*options, *offered.barred))
    left_out = LeftOut()
    for look in race.needed(len(options), len(base), q.draws):
        # Only a mean can be told from a few shots.
        plain = q.goal.objective in ("carry", "total")
        few = look.shots if plain else None
        seen = predict(options, q, base, draws=look.draws, shots=few)
        means = seen.gain.mean(axis=0)
        if first is not None:
            # The present club stands first and is no option.
            first(RoughOrder(tuple(options[i] for i in np.argsort(-means, kind="stable") if i)))
            first = None
        by_shot = seen.by_shot.get(seen.objective.side)
        margin = current().value("verdict.screen_margin") * worth(seen.objective)
        keep = race.survivors(options, seen.gain, margin, q.named, by_shot, plain)
        left_out = left_out.more(means, keep)
        options = tuple(o for o, kept in zip(options, keep, strict=True) if kept)
    p = predict(options, q, base, progress=progress)
    scored = score(p)
    verdict = decide(scored, p.gain, q.present, p.objective, q.seed)
    return Decided(q, base, offered, p, scored, left_out, verdict)


def _breaches(d: Decided) -> tuple[Scored, ...]:
    """What breaks a rule, by expected gain, in the same draws: shown, and no part of any choice."""
    if not d.offered.barred:
        return ()
    q, p = d.question, d.prediction
    options = (p.options[0], *d.offered.barred)
    response = Response(len(p.carry), q.seed, sets_face=q.sets_face)
    changed = changes(options, q.present, d.baseline.swing, response)
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
    if aside > current().value("measurement.aside_share") * of:
        notes.insert(0, Note("many aside", (aside, of)))
    if d.question.with_aside:
        notes.insert(0, Note("all shots"))
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


def compare(question: Question, clubs: Sequence[Club]) -> list[Gain]:
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
