"""What came of promises: clubs that were hit beside what was predicted of them, as records to learn from."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from datetime import date

import msgspec
import numpy as np
from numpy.typing import NDArray

from fitter.advice.balls import HOME, NONE, OBSERVED, Balls
from fitter.advice.belief import Belief
from fitter.advice.options import enumerate_options
from fitter.advice.question import Question
from fitter.advice.rank import decided
from fitter.advice.response import Response
from fitter.base.assumptions import using
from fitter.base.draws import NORMAL_80
from fitter.history.records import Fitting, Lesson, Outcome, Promise, Trial, Tried, Visit, digest
from fitter.history.store import Store, usual_path
from fitter.kit.club import Club
from fitter.kit.inventory import Kit
from fitter.kit.offer import offer
from fitter.remember.fittings import kind
from fitter.trial.course import BLOCK, Start, balls_of
from fitter.trial.record import Record

Floats = NDArray[np.float64]

ANSWERS = (
    "response.loft", "response.shaft_loft", "response.length_radius", "response.inertia_exponent",
    "response.shaft_speed_mean", "response.shaft_mass_mean",
)  # fmt: skip
"""Judged numbers that are a player's own: what he makes of another loft, shaft, length and mass."""
EARLIER = 20_000
"""Number of the first block of balls of earlier days, beyond those of logs and of a trial."""
CERTAIN = 4.0
"""A slope is kept from so many standard errors on: a finite number of draws shows some by chance."""


def slopes(effect: Floats, names: Sequence[str], response: Response) -> dict[str, float]:
    """How an effect hangs on judged numbers, by least squares over the draws, for one unit of each.

    Parameters
    ----------
    effect : ndarray, shape (draws,)
    names : sequence of str
    response : Response
        Of the same draws and seed.
    """
    z = np.stack([response.z(name) for name in names], axis=1)
    z -= z.mean(axis=0)
    away = effect - effect.mean()
    gram = np.linalg.inv(z.T @ z)
    found = gram @ (z.T @ away)
    free = max(len(z) - len(names) - 1, 1)
    error = np.sqrt(np.diag(gram) * float(((away - z @ found) ** 2).sum()) / free)
    a = response.a
    return {
        n: float(s / a.sd(n))
        for n, s, e in zip(names, found, error, strict=True)
        if a.sd(n) > 0.0 and abs(s) > CERTAIN * e and s != 0.0
    }


def lessons(belief: Belief, question: Question) -> dict[str, list[Lesson]]:
    """Measured and predicted changes of every club that was hit, by its code.

    Parameters
    ----------
    belief : Belief
        With balls.
    question : Question
        That it was predicted from.
    """
    found: dict[str, list[Lesson]] = {}
    with using(question.assumptions):
        doubted = {x.club for x in belief.suspects}
        for e in belief.effects:
            response = Response(len(e.predicted), question.seed, sets_face=question.sets_face)
            # Balls that may be another club's teach nothing of the player.
            hangs = {} if e.club in doubted else slopes(e.predicted, ANSWERS, response)
            found.setdefault(e.club, []).append(
                Lesson(
                    what=e.channel, measured=e.measured, noise=e.error, expected=float(e.predicted.mean()),
                    sd=e.sd, slopes=hangs, at={n: response.a.value(n) for n in hangs},
                )
            )  # fmt: skip
    return found


def _outcomes(
    belief: Belief, question: Question, visit: Visit, how: str, key: str, fitting: Fitting | None, pick: str
) -> list[Outcome | Tried]:
    counts, out = belief.balls.counts(), list[Outcome | Tried]()
    known = {o.club.code: o for o in belief.options if not o.set_up}
    for code, rows in lessons(belief, question).items():
        option = known.get(code)
        if option is None or not any(x.what == "carry_m" for x in rows):
            continue
        advised = fitting is not None and fitting.recommended == option.id
        out.append(
            Outcome(
                player=visit.player, digest=digest(visit.digest, how, key, option.id), day=visit.day,
                fitting="" if fitting is None else fitting.digest, option=option.id,
                kind=kind(option, belief.options[0].club), how=how, balls=counts[code],
                picked=_whose(advised, pick == option.id), lessons=rows, tried=key,
            )
        )  # fmt: skip
    return [tried(belief.balls, visit, key), *out] if len(belief.balls) else out


def tried(balls: Balls, visit: Visit, key: str) -> Tried:
    """Record of balls."""
    stretch = np.unique(balls.block, return_inverse=True)[1]
    return Tried(
        player=visit.player, digest=key, day=visit.day, clubs=[c.code for c in balls.clubs],
        club=balls.club.tolist(), stretch=stretch.tolist(), order=[int(n) for n in balls.order],
        values={
            name: [None if np.isnan(x) else float(x) for x in balls.table[:, k]]
            for k, name in enumerate(OBSERVED)
            if np.isfinite(balls.table[:, k]).any()
        },
    )  # fmt: skip


def again(records: Sequence[Tried], kit: Kit, present: Club) -> tuple[Balls, set[str]]:
    """Balls of earlier days with clubs of the kit, each stretch a block of its own.

    Parameters
    ----------
    records : sequence of Tried
    kit : Kit
    present : Club

    Returns
    -------
    Balls
    set of str
        Digests of the records whose balls are all among them; others name clubs that the kit has no more.
    """
    if not records:
        return NONE, set()
    known = {o.club.code: o.club for o in reversed(enumerate_options(kit, present, offer(any_shaft=True)))}
    found, used, block = NONE, set[str](), EARLIER
    for r in records:
        stretches = np.array(r.stretch, dtype=np.int64)
        if all(code in known for code in r.clubs):
            table = {n: np.array([np.nan if x is None else x for x in v]) for n, v in r.values.items()}
            clubs, order = tuple(known[c] for c in r.clubs), np.array(r.order, dtype=np.float64)
            own = Balls(
                clubs, np.array(r.club, dtype=np.int64), stretches + block, order, table, ("earlier",)
            )
            found = found.joined(own)
            used.add(r.digest)
        block += 1 + int(stretches.max(initial=0))
    return found, used


def earlier(player: str, kit: Kit, present: Club) -> Balls:
    """Balls that the shop's own history has of a player, with clubs of the kit; none without a history."""
    if not usual_path().exists():
        return NONE
    with Store(read_only=True) as store:
        known = store.player(player)
        records = [] if known is None else store.entries(Tried, known.code)
    return again(records, kit, present)[0]


def of_trial(
    record: Record, begun: Start, visit: Visit, fitting: Fitting | None = None
) -> tuple[Trial, list[Outcome | Tried]]:
    """A trial as it stands, and once it is through what came of its promises.

    Parameters
    ----------
    record : Record
    begun : Start
        What was believed before it.
    visit : Visit
        From whose shots it was planned.
    fitting : Fitting, optional
        Whose promises are held against it.
    """
    trial, belief = kept_trial(record, visit), begun.belief.given(balls_of(record, begun))
    return trial, _outcomes(
        belief, begun.decided.question, visit, "trial", trial.digest, fitting, record.pick
    )


def kept_trial(record: Record, visit: Visit) -> Trial:
    """Record of a trial as it stands; pain is told to the trial alone, not to the shop's memory."""
    finished = len(record.balls) >= record.planned or bool(record.pain)
    plain = msgspec.to_builtins(record)
    plain.pop("pain", None)
    key = digest(
        record.log_digest or visit.digest, msgspec.json.encode([record.clubs, record.runs, record.seed])
    )
    return Trial(
        player=visit.player, digest=key, day=visit.day, visit=visit.digest, record=plain, finished=finished
    )


def of_balls(
    question: Question, visit: Visit, fitting: Fitting | None = None, key: str = ""
) -> list[Outcome | Tried]:
    """What balls hit with other clubs say of their promises; the session is predicted once more for it.

    Parameters
    ----------
    question : Question
    visit : Visit
    fitting : Fitting, optional
        Whose promises are held against them.
    key : str
        Digest of the trial that they belong to, so that more of its balls are no second outcome; of the
        balls themselves when silent.
    """
    new = question.evidence.take(question.evidence.block < EARLIER)
    if not len(new) and question.session.others is None:
        return []
    question = replace(question, evidence=new)
    with using(question.assumptions):
        found = decided(question)
    if found.belief is None:
        return []
    balls = found.belief.balls
    blocks = {int(b) for b in balls.block}
    how = "trial" if BLOCK in blocks else "compare" if HOME in blocks else "follow-up"
    key = key or digest(balls.table.tobytes(), *balls.codes)
    return _outcomes(found.belief, found.question, visit, how, key, fitting, "")


def told(fitting: Fitting, promise: Promise, gain_m: float, half_m: float, day: date) -> Outcome:
    """Outcome that somebody measured elsewhere: a gain of carry and half its 80 % interval, m."""
    low, mean, high = promise.carry_m
    carry = Lesson(
        what="carry_m", measured=gain_m, noise=half_m / NORMAL_80, expected=mean,
        sd=(high - low) / (2.0 * NORMAL_80),
    )  # fmt: skip
    advised, own = fitting.recommended == promise.option, fitting.pick == promise.option
    return Outcome(
        player=fitting.player, digest=digest(fitting.digest, promise.option, "told"),
        day=day.isoformat(), fitting=fitting.digest, option=promise.option, kind=promise.kind, how="told",
        picked=_whose(advised, own), lessons=[carry],
    )  # fmt: skip


def _whose(advised: bool, own: bool) -> str:
    """Whose choice an option was."""
    return ("both" if own else "advisor") if advised else "fitter" if own else ""
