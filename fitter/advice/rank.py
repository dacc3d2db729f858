"""The main job in one call: a session and a kit in, a ranking out."""

from __future__ import annotations

from collections.abc import Callable, Collection, Sequence
from dataclasses import dataclass, replace
from difflib import get_close_matches

import numpy as np
from numpy.typing import NDArray

from fitter.advice import flips as flipping
from fitter.advice import race
from fitter.advice.baseline import Baseline, Note, baseline, notices
from fitter.advice.flips import Flip
from fitter.advice.losses import losses
from fitter.advice.next_step import steps
from fitter.advice.objectives import Goal
from fitter.advice.options import Offered, Option, survey
from fitter.advice.question import Question
from fitter.advice.race import LeftOut, RoughOrder
from fitter.advice.reasons import explain
from fitter.advice.replay import Prediction, Replay, Replays, fly_again, fly_options, predict, replayed
from fitter.advice.response import Response, changes
from fitter.advice.result import Ranking, order
from fitter.advice.scored import Gain, Scored, gains, score, worth
from fitter.advice.verdict import Verdict, decide, opposite_ends
from fitter.base.assumptions import current, using
from fitter.base.conditions import Conditions
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
        return _rank(question, progress, first, flips)


def _rank(
    asked: Question,
    progress: Callable[[int, int], None] | None,
    first: Callable[[RoughOrder], None] | None,
    with_flips: bool,
) -> Ranking:
    q = asked.right_handed()
    base = baseline(q)
    offered = survey(q.kit or Kit((), ()), q.present, q.offer)
    options = offered.options
    check_named(q.named, (*options, *offered.barred))
    task = _Task(asked, q, base, offered, with_flips)
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
    prediction = predict(options, q, base, progress=progress)
    ranking = task.ranking(prediction, score(prediction), left_out)
    return replace(ranking, breaches=task.breaches(prediction))


@dataclass(frozen=True)
class _Task:
    """What a ranking needs besides the prediction: the question as asked and in the frame of the shots."""

    asked: Question
    question: Question
    baseline: Baseline
    offered: Offered
    with_flips: bool

    @property
    def options(self) -> int:
        """How many options there are besides the present club."""
        return len(self.offered.options) - 1

    def breaches(self, p: Prediction) -> tuple[Scored, ...]:
        """What breaks a rule, by expected gain, in the same draws: shown, and no part of any choice."""
        barred = self.offered.barred
        if not barred:
            return ()
        changed = changes(
            (p.options[0], *barred),
            self.question.present,
            self.baseline.swing,
            Response(len(p.carry), self.question.seed, sets_face=self.question.sets_face),
        )
        found = score(replayed((p.options[0], *barred), changed, p.replay, self.question.goal))[1:]
        best = float(p.gain.max(axis=1).mean())
        found = [replace(s, p_best=0.0, tied=False, expected_loss=best - s.value_gain.mean) for s in found]
        return tuple(sorted(found, key=lambda s: -s.value_gain.mean))

    def ranking(self, p: Prediction, scored: list[Scored], left_out: LeftOut) -> Ranking:
        """Decide on what was computed in full."""
        verdict = self.decided(scored, p)
        scored = explain(p, scored, verdict.option)
        focus = self.focus(scored, verdict)
        laws = zip(p.replay.drawn.names, map(float, p.replay.law_weights), strict=True)
        return Ranking(
            question=self.asked,
            shots=self.baseline.session,
            present=scored[0],
            options=order(scored[1:]),
            verdict=verdict,
            objective=p.objective,
            left_out=left_out,
            laws=dict(laws),
            notes=self.notes(scored),
            counts={
                "shots": len(self.baseline.session),
                "set_aside": int(self.baseline.session.set_aside.sum()),
                "options": self.options,
                "in_full": len(scored) - 1,
                "draws": len(p.carry),
                "carries": p.replay.carries,
            },
            next=steps(p, focus, self.question.seed) if focus else (),
            flips=self.flips(scored, verdict) if self.with_flips else (),
            losses=losses(self.baseline.delivery, self.question.measured_at),
            not_offered=self.offered.left_out,
        )

    def decided(self, scored: list[Scored], p: Prediction) -> Verdict:
        """Verdict on some options."""
        return decide(scored, p.gain, self.question.present, p.objective, self.question.seed)

    def focus(self, scored: list[Scored], verdict: Verdict) -> int:
        """Place of the option that more should be known of: the one named, else the one with most to tell."""
        for i, s in enumerate(scored):
            if s.option.id == verdict.option:
                return i
        return max(range(len(scored)), key=lambda i: (scored[i].information, scored[i].value_gain.mean))

    def flips(self, scored: list[Scored], verdict: Verdict) -> tuple[Flip, ...]:
        """Look at a short list again under other circumstances."""
        q, options = self.question, tuple(s.option for s in flipping.shortlist(scored, verdict))
        response = Response(flipping.DRAWS, q.seed, sets_face=q.sets_face)
        changed = changes(options, q.present, self.baseline.swing, response)
        replays = Replays(self.baseline, changed.present_head, q.measured_at, flipping.DRAWS, q.seed)
        flown: dict[Conditions, tuple[Replay, Floats]] = {}

        def there(where: Conditions, goal: Goal) -> Verdict:
            if where not in flown:
                replay = replays.under(where)
                # A ball starts alike in every air and on every turf.
                before = next(iter(flown.values()), None)
                whole = range(len(options))
                again = (
                    fly_options(replay, changed, whole) if before is None else fly_again(replay, before[1])
                )
                flown[where] = replay, again
            replay, raw = flown[where]
            p = replayed(options, changed, replay, goal, raw=raw)
            return self.decided(score(p), p)

        return flipping.flips(there, self.question.conditions, self.question.goal, verdict)

    def notes(self, scored: list[Scored]) -> tuple[Note, ...]:
        """What the reader should know before trusting a number."""
        shots, offered = self.baseline.session, self.offered
        aside, of = int(shots.set_aside.sum()), len(shots)
        notes = [*notices(shots), *self.baseline.notes]
        if aside > current().value("measurement.aside_share") * of:
            notes.insert(0, Note("many aside", (aside, of)))
        if self.question.with_aside:
            notes.insert(0, Note("all shots"))
        ends = opposite_ends(scored)
        if ends is not None:
            notes.append(Note("shafts alike", ends))
        if offered.options[0].rules:
            notes.append(Note("present breaks", offered.options[0].rules))
        if offered.left_out:
            notes.append(Note("left out", tuple(offered.left_out.items())))
        if not self.question.present.known:
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
