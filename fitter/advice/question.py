"""What is asked: whose shots, which kit and club, what for, where, and with which judged numbers."""

from __future__ import annotations

from collections.abc import Callable, Collection
from dataclasses import dataclass, field, replace
from typing import TypeVar

import numpy as np

from fitter.advice.balls import NONE, Balls
from fitter.advice.objectives import Goal, goal_for
from fitter.advice.response import SETS_FACE
from fitter.advice.what_if import WhatIf
from fitter.base.assumptions import Assumptions, current
from fitter.base.conditions import Conditions
from fitter.base.errors import InputError, Problem, raise_if
from fitter.kit.card import present_club
from fitter.kit.club import Club, from_kit
from fitter.kit.inventory import Kit
from fitter.kit.offer import Offer
from fitter.kit.offer import offer as usual_offer
from fitter.shots.annotations import baseline, labels, of_present, parted
from fitter.shots.session import Session

T = TypeVar("T")

DRAWS = 256
"""Draws of everything that is not known."""


@dataclass(frozen=True)
class Question:
    """Everything that decides the answer of `rank` and `reach`; `ask` makes one from words.

    Parameters
    ----------
    session : Session
        Shots of the present club, screened.
    kit : Kit or None
        What the shop can build; None for the present parts alone.
    present : Club
        The club that hit the shots.
    goal : Goal
        What the change is for, as the player sees it.
    conditions : Conditions
        Where the decision applies.
    measured_in : Conditions or None
        Where the shots were measured; None for the same place.
    offer : Offer
        What is tried besides the kit's parts, and the limits of shop and player.
    sets_face : str
        How the player sets the face at address: 'soled', by 'eye', or 'unknown' when nobody asked.
    with_aside : bool
        Use every shot, set aside or not, to show what the misreads would change.
    named : tuple of str
        Ids of options that are computed in full whatever a first look says of them.
    what_if : WhatIf
        Another delivery than the one that was hit: everything is then told for it.
    draws, seed : int
        Size and seed of the sample: the same seed gives the same answer.
    evidence : Balls
        Balls hit with clubs of the kit besides those of the session, right-handed frame (`evidence`); none
        when silent.
    on_paper : bool
        Leave balls of other clubs out, those of the session too: predictions alone.
    assumptions : Assumptions
        Judged numbers; those in force where the question is made, when silent.

    Raises
    ------
    InputError
        If there is no such way to set the face.
    """

    session: Session
    kit: Kit | None
    present: Club
    goal: Goal = field(default_factory=goal_for)
    conditions: Conditions = field(default_factory=Conditions)
    measured_in: Conditions | None = None
    offer: Offer = field(default_factory=usual_offer)
    sets_face: str = "unknown"
    with_aside: bool = False
    named: tuple[str, ...] = ()
    what_if: WhatIf = field(default_factory=WhatIf)
    draws: int = DRAWS
    seed: int = 1
    evidence: Balls = field(default=NONE, repr=False, compare=False)
    on_paper: bool = False
    assumptions: Assumptions = field(default_factory=current, repr=False)

    def __post_init__(self) -> None:
        raise_if(_face_problems(self.sets_face), "There is no such way to set the face.")

    @property
    def measured_at(self) -> Conditions:
        """Where the shots were measured."""
        return self.measured_in or self.conditions

    @property
    def left_handed(self) -> bool:
        """Whether the shots were mirrored on the way in, and sides are mirrored on the way out."""
        return self.session.hand == "left"

    def right_handed(self) -> Question:
        """Return the question in the frame of its shots, which is that of a right-handed player.

        A left-hander's wind, slope and penalties are mirrored as the reader mirrored the shots; this is
        the one place where that is done. Nothing changes for a right-hander.
        """
        if not self.left_handed:
            return self
        there = None if self.measured_in is None else self.measured_in.mirrored()
        return replace(
            self, goal=self.goal.mirrored(), conditions=self.conditions.mirrored(), measured_in=there,
            what_if=self.what_if.mirrored(),
        )  # fmt: skip


def ask(
    session: Session,
    kit: Kit | None = None,
    present: Club | str = "unknown",
    goal: Goal | str = "play",
    *,
    conditions: Conditions | None = None,
    measured_in: Conditions | None = None,
    offer: Offer | None = None,
    sets_face: str = "unknown",
    with_aside: bool = False,
    named: Collection[str] = (),
    what_if: WhatIf | None = None,
    draws: int = DRAWS,
    seed: int = 1,
    evidence: Balls = NONE,
) -> Question:
    """Make a question from words.

    Parameters
    ----------
    session : Session
        Of several clubs the shots of the present one are used, see `shots_of`.
    kit : Kit, optional
    present : Club or str
        CARD.toml, 'HEAD/SHAFT' or 'HEAD+1/SHAFT' (sleeve) of the kit, or 'unknown'.
    goal : Goal or str
        Key of `objectives.OBJECTIVES`, or that with what it is measured by (`objectives.goal_for`).
    conditions, measured_in, offer, sets_face, with_aside, named, what_if, draws, seed, evidence
        Of `Question`; the usual when silent.

    Raises
    ------
    InputError
        With everything that is not there or makes no sense.

    Examples
    --------
    >>> from fitter import Kit, demo, read
    >>> question = ask(read(demo.folder() / "P1.csv"), Kit.load(demo.folder()), "H4/S2", "total")
    >>> question.present.code, question.goal.objective
    ('H4/S2 45.25in', 'total')
    """
    problems: list[Problem] = []
    messages: list[str] = []

    def gather(call: Callable[[], T]) -> T | None:
        try:
            return call()
        except InputError as error:
            problems.extend(error.problems)
            messages.append(error.message)
            return None

    club = present if isinstance(present, Club) else gather(lambda: _present(kit, present))
    wanted = goal if isinstance(goal, Goal) else gather(lambda: goal_for(goal))
    gather(lambda: raise_if(_face_problems(sets_face), "There is no such way to set the face."))
    words = present if isinstance(present, str) else ""
    shots = None if club is None else gather(lambda: shots_of(session, kit, club, words))
    raise_if(problems, messages[0] if len(messages) == 1 else "The question is not clear.")
    assert club is not None
    assert wanted is not None
    assert shots is not None
    return Question(
        session=shots,
        kit=kit,
        present=club,
        goal=wanted,
        conditions=conditions or Conditions(),
        measured_in=measured_in,
        offer=usual_offer() if offer is None else offer,
        sets_face=sets_face,
        with_aside=with_aside,
        named=tuple(named),
        what_if=what_if or WhatIf(),
        draws=draws,
        seed=seed,
        evidence=evidence,
    )


def shots_of(session: Session, kit: Kit | None, present: Club, words: str = "") -> Session:
    """Shots of the present club; those of other clubs in the log are kept beside them, never averaged.

    Parameters
    ----------
    session : Session
        Of one player.
    kit : Kit or None
        Parts that labels may name.
    present : Club
    words : str
        As somebody named the present club.

    Raises
    ------
    InputError
        If the log has several clubs and none of their labels names the present one.
    """
    if not len(session):
        return session
    mine = [w for w in dict.fromkeys(labels(session)) if w and _names(w, kit, present, words)]
    if not mine:
        return of_present(session)
    return parted(session, np.any([baseline(session, build=w) for w in mine], axis=0))


def other_label(question: Question) -> str:
    """Label under which all shots of a question were hit, if it names another club of the kit; else ''."""
    found = set(labels(question.session))
    if len(found) != 1 or question.kit is None or not question.present.known:
        return ""
    (label,) = found
    other = _club_of(label, question.kit)
    return "" if other is None or _same(other, question.present) else label


def _names(label: str, kit: Kit | None, present: Club, words: str) -> bool:
    """Whether a label of the log names the present club: by its words, its code, or its parts."""
    names = {words, words.removesuffix(".toml").rpartition("/")[2], present.code}
    if present.head.code == present.shaft.code:
        # A card names head and shaft alike.
        names.add(present.head.code)
    if label.casefold() in {n.strip().casefold() for n in names}:
        return True
    other = None if kit is None else _club_of(label, kit)
    return other is not None and _same(other, present)


def club_named(label: str, kit: Kit, present: Club) -> Club | None:
    """Club that a label names, the present one where it names its parts; None if it names none of the kit."""
    if not label:
        return None
    if _names(label, kit, present, present.code):
        return present
    return _club_of(label, kit)


def _club_of(label: str, kit: Kit) -> Club | None:
    try:
        return from_kit(kit, label)
    except InputError:  # a log may name anything
        return None


def _same(one: Club, other: Club) -> bool:
    parts = ((c.head.code, c.shaft.code, c.loft_change_deg) for c in (one, other))
    return next(parts) == next(parts)


def _face_problems(sets_face: str) -> list[Problem]:
    if sets_face in SETS_FACE:
        return []
    return [Problem("--sets-face", repr(sets_face), ", ".join(SETS_FACE), "Ask the player.")]


def _present(kit: Kit | None, words: str) -> Club:
    """Club that the words name; parts of a kit only where there is one."""
    if kit is None and "/" in words and not words.casefold().endswith(".toml"):
        do = "Name the shop's folder too, or give a card or unknown."
        problem = Problem("--present", repr(words), "parts of a kit only with --kit", do)
        raise InputError("There is no kit whose parts these could be.", [problem])
    return present_club(kit or Kit((), ()), words)
