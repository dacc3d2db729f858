"""Balls as evidence: other builds in the question's own log, and other logs; misreads are left out."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from fitter.advice.balls import HOME, NONE, OBSERVED, Balls, of_session
from fitter.advice.baseline import NEEDED, present_head, screened
from fitter.advice.question import Question, club_named
from fitter.base.conditions import Conditions
from fitter.base.errors import FitterError, InputError, Problem
from fitter.kit.club import Club, unknown_club
from fitter.kit.inventory import Kit
from fitter.shots.annotations import days, labels
from fitter.shots.session import Session

Ints = NDArray[np.int64]

LOGS = 100
"""Number of the first block of other logs: beyond the days of the question's own."""


def from_sessions(
    sessions: Sequence[tuple[Session, str]],
    kit: Kit,
    present: Club,
    measured_in: Conditions | None = None,
    first_block: int = LOGS,
) -> Balls:
    """Balls of other logs, each with blocks of its own by day.

    Parameters
    ----------
    sessions : sequence of (Session, str)
        Each with the build that hit all its balls, HEAD/SHAFT; '' for the log's own labels.
    kit : Kit
    present : Club
        A label that names it is it.
    measured_in : Conditions, optional
        Air in which they were hit; standard when silent.
    first_block : int
        Number of the first block.

    Raises
    ------
    InputError
        With every log whose builds are not those of the kit.
    """
    found, problems = NONE, []
    block = first_block
    for session, build in sessions:
        words = _words(session, build, kit, present)
        clubs = {w: club_named(w, kit, present) for w in dict.fromkeys(words)}
        unknown = [w or "no label" for w, club in clubs.items() if club is None]
        if unknown or not len(session):
            what = ", ".join(map(repr, unknown)) if unknown else "no shots"
            do = "Name the build: --hit 'LOG=HEAD/SHAFT'."
            problems.append(Problem(f"--hit {session.source}", what, "builds of the kit", do))
            continue
        added = _labelled(session, words, clubs, block, "hit", measured_in or Conditions())
        block = int(added.block.max(initial=block)) + 1
        found = found.joined(added)
    if problems:
        raise InputError("These logs cannot be used as balls of other clubs.", problems)
    return found


def _words(session: Session, build: str, kit: Kit, present: Club) -> tuple[str, ...]:
    """Build of each ball in words: the log's own label where it names another club of the kit."""
    own = labels(session)
    if not build:
        return own
    named = {w: club_named(w, kit, present) for w in {build, *own}}
    said = named[build]
    other = {w for w, c in named.items() if c is not None and said is not None and c.code != said.code}
    return tuple(w if w in other else build for w in own)


def hit(
    sessions: Sequence[tuple[Session, str]], kit: Kit, measured_in: Conditions | None = None
) -> tuple[Balls, tuple[str, ...]]:
    """Balls of logs, and the code of the club of each that is set aside as a misread.

    Parameters and errors as of `from_sessions`, without a present club.
    """
    every = from_sessions(sessions, kit, unknown_club(), measured_in)
    kept = every.counts()
    shots: dict[str, int] = {}
    for session, build in sessions:
        for words in (build,) * len(session) if build else labels(session):
            club = club_named(words, kit, unknown_club())
            if club is not None:
                shots[club.code] = shots.get(club.code, 0) + 1
    aside = [code for code, n in shots.items() for _ in range(n - kept.get(code, 0))]
    return every, tuple(aside)


def from_others(question: Question) -> Balls:
    """Balls of other builds in the question's own log, where their labels name clubs of the kit.

    Those of the baseline's days belong to its block.
    """
    session = question.session
    others = session.others
    if others is None:
        return NONE
    words, clubs = labels(others), _clubs_of(question, others)
    home = set(days(session))
    return _labelled(others, words, clubs, HOME, "log", question.measured_at, home)


def unused(question: Question) -> tuple[str, ...]:
    """Labels of the log's other shots that tell nothing of the kit's clubs, one a shot."""
    others = question.session.others
    if others is None:
        return ()
    clubs = _clubs_of(question, others)
    return tuple(w for w in labels(others) if clubs[w] is None)


def _clubs_of(question: Question, others: Session) -> dict[str, Club | None]:
    """Club of each label; what is left of the present club's own is left out for a reason, such as intent."""
    kit, mine = question.kit, question.present
    if kit is None or not mine.known:
        return dict.fromkeys(labels(others))
    found = {w: club_named(w, kit, mine) for w in dict.fromkeys(labels(others))}
    return {w: None if c is not None and c.code == mine.code else c for w, c in found.items()}


def _labelled(
    session: Session,
    words: Sequence[str],
    clubs: Mapping[str, Club | None],
    block: int,
    source: str,
    measured_in: Conditions,
    home: set[str] | None = None,
) -> Balls:
    """Balls whose labels name clubs; other days than the home's are blocks of their own, numbered on."""
    known = tuple({c.code: c for c in clubs.values() if c is not None}.values())
    place = {c.code: k for k, c in enumerate(known)}
    own = [clubs[w] for w in words]
    club = np.array([-1 if c is None else place[c.code] for c in own], dtype=np.int64)
    session = misreads(session, club, known, measured_in)
    dates = days(session)
    first = home if home is not None else {dates[0]} if dates else set()
    later = [d for d in dict.fromkeys(dates) if d not in first]
    numbers = {d: block + 1 + k for k, d in enumerate(later)}
    return of_session(session, known, club, np.array([numbers.get(d, block) for d in dates]), source)


def misreads(session: Session, club: Ints, known: Sequence[Club], measured_in: Conditions) -> Session:
    """Set aside balls whose channels contradict each other, by the same rule as for the present club."""
    aside = session.set_aside.copy()
    if not all(session.has(name) for name in NEEDED):
        return session
    for k, one in enumerate(known):
        at = np.flatnonzero(club == k)
        try:
            found = screened(session.take(at), present_head(one), measured_in)
        except FitterError:  # too few numbers to infer a strike from
            continue
        aside[at] |= found.set_aside
    return replace(session, set_aside=aside)


__all__ = ["HOME", "NONE", "OBSERVED", "Balls", "from_others", "from_sessions", "unused"]
