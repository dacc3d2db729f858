"""A trial as it goes: what is believed before it, after its balls, whether to go on, and what is decided."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from fitter.advice.balls import OBSERVED, Balls
from fitter.advice.belief import Belief, Comparison
from fitter.advice.case import case_of
from fitter.advice.evidence import misreads
from fitter.advice.options import Option
from fitter.advice.prediction import predict
from fitter.advice.question import Question
from fitter.advice.rank import Decided, decided
from fitter.advice.scored import Scored, score
from fitter.advice.suspect import Suspect
from fitter.advice.verdict import Verdict, decide
from fitter.base.assumptions import current, using
from fitter.kit.club import Club
from fitter.shots.screen import screen
from fitter.shots.session import Session
from fitter.trial.designs import swaps
from fitter.trial.plan import Budget, Plan, minutes_of, net_gains, open_worth, plan
from fitter.trial.record import TYPED, Ball, Record

Floats = NDArray[np.float64]

BLOCK = 10_000
"""Number of the stretch in which a trial's balls are hit, beyond those of all logs."""


@dataclass(frozen=True)
class Start:
    """What is believed before a trial.

    Parameters
    ----------
    decided : Decided
        The ranking on paper, or with what other logs told.
    belief : Belief
        Over every option, with each club that can be mounted today among what can be hit.
    """

    decided: Decided
    belief: Belief

    @property
    def named(self) -> Option | None:
        """Option that the verdict names, None where the present club stays."""
        return next((o for o in self.belief.options if o.id == self.decided.verdict.option), None)


def start(question: Question, clubs: Sequence[str] = ()) -> Start:
    """Rank on paper, and get ready for balls with any club that can be mounted today.

    Parameters
    ----------
    question : Question
    clubs : sequence of str
        Ids of options that are computed in full whatever a look says.

    Raises
    ------
    FitterError
        As `rank`.
    """
    with using(question.assumptions):
        named = tuple(dict.fromkeys((*question.named, *clubs)))
        d = decided(replace(question, named=named))
        # A trial is of clubs, hit with ball and tee as now: the verdict's own club has to be among them.
        known = {o.id: o for o in d.prediction.options}
        meant = [known[i].club.code for i in (d.verdict.option, *named) if i in known and known[i].set_up]
        lacking = [code for code in meant if code not in known]
        if lacking:
            d = decided(replace(question, named=tuple(dict.fromkeys((*named, *lacking)))))
        paper = d.prediction if d.belief is None else d.belief.paper.prediction
        q = d.question
        there = replace(q, conditions=q.measured_at, measured_in=None)
        plain = {o.club.code: o for o in paper.options if not o.set_up}
        if d.belief is not None:
            plain |= {o.club.code: o for o in d.belief.paper.seen.options}
        present = paper.options[0]
        others = (o for code, o in plain.items() if code != present.club.code)
        seen = predict((present, *others), there, d.baseline)
        belief = Belief.of(paper, seen, q.seed)
        return Start(d, belief if d.belief is None else belief.given(d.belief.balls))


def planned(begun: Start, budget: Budget, only: Sequence[str] = ()) -> Plan:
    """Plan a trial of what was ranked, see `plan.plan`."""
    with using(begun.decided.question.assumptions):
        lead = "" if begun.named is None else begun.named.club.code
        return plan(begun.belief, budget, begun.decided.question.seed, only, lead)


def read_balls(record: Record, begun: Start, session: Session, source: str) -> list[Ball]:
    """Balls of a log, in the order of the plan; misreads are set aside by the rule of every log.

    Parameters
    ----------
    record : Record
    begun : Start
    session : Session
        In the right-handed frame, as it is read. Its rows are the trial's balls from the first.
    source : str
        What the file is called in the record.
    """
    clubs = _clubs(record, begun)
    rows = [int(n) for n in session.row]
    names = [f"{source} row {n}" for n in rows]
    there = {b.source: b.club for b in record.balls}
    index, hit = [], len([b for b in record.balls if b.source not in set(names)])
    for name in names:
        if name in there:
            index.append(there[name])
        else:
            index.append(record.club_of(hit))
        hit += 1
    club = np.array(index, dtype=np.int64)
    aside = misreads(session, club, clubs, begun.decided.question.measured_at).set_aside
    return [
        Ball(int(club[i]), _values(session, i), names[i], "misread" if aside[i] else "")
        for i in range(len(session))
    ]


def typed_balls(record: Record, begun: Start, told: Sequence[dict[str, float]]) -> list[Ball]:
    """Balls that were typed, the next ones of the plan; misreads are set aside as those of a log are.

    Parameters
    ----------
    record : Record
    begun : Start
    told : sequence of dict of str to float
        Channels of `advice.balls.OBSERVED` as the player reads them: a left-hander's side is mirrored here.
    """
    own = begun.decided.question.session
    flip = -1.0 if own.hand == "left" else 1.0
    rows = [{k: v * (flip if k == "offline_m" else 1.0) for k, v in values.items()} for values in told]
    names = [n for n in OBSERVED if any(n in values for values in rows)]
    order = np.arange(1, len(rows) + 1)
    values = {n: np.array([row.get(n, np.nan) for row in rows]) for n in names}
    session = screen(Session(own.player, own.hand, TYPED, values, {}, {}, order, order))
    # Two balls that read alike were both typed.
    bad = {f.shot for f in session.flags if f.set_aside and f.reason != "repeated row"}
    session = replace(session, set_aside=np.isin(order, list(bad)))
    club = np.array([record.club_of(len(record.balls) + i) for i in range(len(rows))], dtype=np.int64)
    aside = misreads(session, club, _clubs(record, begun), begun.decided.question.measured_at).set_aside
    return [Ball(int(club[i]), rows[i], TYPED, "misread" if aside[i] else "") for i in range(len(rows))]


def _values(session: Session, i: int) -> dict[str, float]:
    found = {}
    for name in OBSERVED:
        value, guessed = float(session.used(name)[i]), session.estimated.get(name)
        if np.isfinite(value) and not (guessed is not None and guessed[i]):
            found[name] = value
    return found


def balls_of(record: Record, begun: Start) -> Balls:
    """Balls that count, as evidence."""
    return balls_with(record, {o.id: o.club for o in begun.belief.options})


def balls_with(record: Record, known: Mapping[str, Club]) -> Balls:
    """Balls that count, as evidence; those of clubs that are not known are left out.

    Parameters
    ----------
    record : Record
    known : mapping of str to Club
        By the id of the option.
    """
    there = [i for i in record.clubs if i in known]
    clubs = tuple(known[i] for i in there)
    kept = [(n, b) for n, b in enumerate(record.balls) if not b.aside and record.clubs[b.club] in known]
    club = np.array([there.index(record.clubs[b.club]) for _, b in kept], dtype=np.int64)
    values = {name: np.array([b.values.get(name, np.nan) for _, b in kept]) for name in OBSERVED}
    order = np.array([n for n, _ in kept], dtype=np.float64)
    return Balls(clubs, club, np.full(len(kept), BLOCK), order, values, ("trial",) if kept else ())


def _clubs(record: Record, begun: Start) -> tuple[Club, ...]:
    known = {o.id: o.club for o in begun.belief.options}
    return tuple(known[i] for i in record.clubs)


@dataclass(frozen=True)
class Next:
    """What to do now.

    Parameters
    ----------
    action : str
        'hit', 'enough', 'spent' or 'pain': the player told of pain, and nothing more is hit.
    code : str
        Mask of the club to mount, '' when nothing more is hit.
    ball, of : int
        Number of the next ball, and balls that were planned.
    in_run : int
        Balls to hit with it before the next swap.
    mount : bool
        Whether another club has to be mounted.
    minutes, swaps : float, int
        That are left.
    open_worth : float
        What knowing for certain would still bring, in the unit of the goal; NaN between mirrors' ends.
    """

    action: str
    code: str
    ball: int
    of: int
    in_run: int
    mount: bool
    minutes: float
    swaps: int
    open_worth: float


def next_ball(record: Record, begun: Start) -> Next:
    """Next ball of a trial, or why no more are hit. It stops at a mirror's end alone, where drift cancels."""
    with using(begun.decided.question.assumptions):
        n, worth = len(record.balls), float("nan")
        action = "hit"
        if record.pain:
            return Next("pain", "", n, record.planned, 0, False, 0.0, 0, worth)
        if n >= record.planned:
            action = "spent"
        if n and n % record.turn == 0:
            worth = _open(record, begun)
            limit = current().value("trial.enough_yd") * begun.belief.paper.prediction.yard
            action = "enough" if worth < limit else action
        if action != "hit":
            return Next(action, "", n, record.planned, 0, False, 0.0, 0, worth)
        at = n // record.a_run
        left = record.runs[at:]
        club = record.runs[at]
        mounted = record.balls[-1].club if n else -1
        run = record.a_run - n % record.a_run
        while at + 1 < len(record.runs) and record.runs[at + 1] == club:
            at, run = at + 1, run + record.a_run
        minutes = minutes_of(left, record.a_run) - (n % record.a_run) * current().value("trial.ball_s") / 60.0
        more = swaps(left) + (mounted not in (-1, club))
        return Next(
            "hit", record.codes[club], n + 1, record.planned, run, mounted != club, minutes, more, worth
        )


def _open(record: Record, begun: Start) -> float:
    belief = begun.belief.given(balls_of(record, begun))
    at = [belief.ids.index(i) for i in record.clubs]
    gain = belief.draws["gain"][:, at]
    return float(open_worth(net_gains(belief)[None, at], np.cov(gain, rowvar=False))[0])


@dataclass(frozen=True)
class Outcome:
    """What a trial decided.

    Parameters
    ----------
    verdict, before : Verdict
        With the trial's balls, and without.
    clubs : tuple of (Scored, Scored)
        Each club of the trial but the present one, with its balls and without.
    hit : dict of str to int
        Balls that count, by id.
    aside : int
        Balls that are set aside.
    compared : tuple of Comparison
    suspects : tuple of Suspect
    finished : bool
        Whether it stopped at a mirror's end.
    """

    verdict: Verdict
    before: Verdict
    clubs: tuple[tuple[Scored, Scored], ...]
    hit: dict[str, int]
    aside: int
    compared: tuple[Comparison, ...]
    suspects: tuple[Suspect, ...]
    finished: bool

    @property
    def surprises(self) -> tuple[Comparison, ...]:
        """Channels whose prediction and balls differ beyond both intervals."""
        return tuple(c for c in self.compared if c.differs)


def on_paper(begun: Start) -> list[Scored]:
    """Every option as it is believed before the trial's balls."""
    with using(begun.decided.question.assumptions):
        return score(begun.belief.prediction())


def outcome(record: Record, begun: Start) -> Outcome:
    """Decide with the balls of a trial."""
    with using(begun.decided.question.assumptions):
        d, q = begun.decided, begun.decided.question
        belief = begun.belief.given(balls_of(record, begun))
        p, own = belief.prediction(), begun.belief.prediction()
        scored, before = score(p), score(own)
        verdict = decide(scored, belief.joint(), case_of(p, q))
        at = [belief.ids.index(i) for i in record.clubs[1:]]
        hit = dict.fromkeys(record.clubs, 0)
        for b in record.balls:
            hit[record.clubs[b.club]] += not b.aside
        return Outcome(
            verdict=verdict,
            before=d.verdict,
            clubs=tuple((scored[i], before[i]) for i in at),
            hit=hit,
            aside=sum(bool(b.aside) for b in record.balls),
            compared=belief.compared,
            suspects=belief.suspects,
            finished=len(record.balls) % record.turn == 0,
        )
