"""One visit of a player: the balls of the day's club, and those of the anchor, read and inferred."""

from __future__ import annotations

from dataclasses import dataclass, field
from datetime import date

import numpy as np
from numpy.typing import NDArray

from fitter.advice.baseline import NEEDED, present_head
from fitter.advice.question import club_named
from fitter.base.assumptions import current
from fitter.base.conditions import Conditions
from fitter.base.errors import DataError, Problem
from fitter.kit.club import Club, unknown_club
from fitter.kit.inventory import Kit
from fitter.physics import engine, vectors
from fitter.shots.annotations import labels
from fitter.shots.freshness import freshness
from fitter.shots.infer.delivery import Delivery
from fitter.shots.infer.infer import infer
from fitter.shots.infer.measurement import is_indoor
from fitter.shots.screen import screen_physics
from fitter.shots.session import Session, require

Floats = NDArray[np.float64]

SWING = ("club_speed_mps", "attack_deg", "path_deg", "face_deg", "dynamic_loft_deg", "strike_toe_mm")
"""Channels whose absence the reader of a visit should know of."""


@dataclass(frozen=True, eq=False)
class Hit:
    """What was hit on one day.

    Parameters
    ----------
    day : datetime.date
    session : Session
        Balls of the day's own club, as read.
    measured_in : Conditions
        Air of the day, as the player sees it.
    club : Club
        That hit them.
    anchor : Session or None
        Balls of the same day with the anchor club.
    anchor_club : Club or None
        Club that comes back at every visit; usually that of the first visit.
    device : str
        Code of the device; the same one where nothing is said.
    """

    day: date
    session: Session
    measured_in: Conditions = field(default_factory=Conditions)
    club: Club = field(default_factory=unknown_club)
    anchor: Session | None = None
    anchor_club: Club | None = None
    device: str = ""


@dataclass(frozen=True, eq=False)
class Group:
    """Balls of one club on one day, n of them kept, right-handed frame.

    Parameters
    ----------
    visit : int
        Number of the visit, from 0.
    club : Club
    device : str
    air : Conditions
        Of the day, in the frame of the shots.
    head : ndarray, shape (13,)
    delivery : Delivery
        Of the kept shots.
    club_speed, ball_speed, carry : ndarray, shape (n,)
        As measured, m/s and m, NaN where missing.
    aside, stale : int
        Shots that were set aside, and warm-up and tired ones that were left out.
    indoor : bool
    """

    visit: int
    club: Club
    device: str
    air: Conditions
    head: Floats
    delivery: Delivery
    club_speed: Floats
    ball_speed: Floats
    carry: Floats
    aside: int
    stale: int
    indoor: bool

    def __len__(self) -> int:
        return len(self.delivery)

    @property
    def inferred(self) -> tuple[str, ...]:
        """Channels of the swing and strike that were not measured for most balls."""
        used = self.delivery.session.used
        return tuple(c for c in SWING if 2 * np.isfinite(used(c)).sum() < len(self))

    @property
    def start(self) -> Floats:
        """Start of each ball by measurement and model together, shape (n, 5)."""
        return self.delivery.start

    def flown(self, world: engine.World) -> Floats:
        """Carry of each ball in every draw of a world, m, shape (draws, n)."""
        return np.asarray(engine.fly(self.start, world)[..., vectors.CARRY])


@dataclass(frozen=True, eq=False)
class Visit:
    """One visit: its own balls, and those of the anchor where another club was the day's own.

    Parameters
    ----------
    day : datetime.date
    main : Group
    anchor : Group or None
    """

    day: date
    main: Group
    anchor: Group | None

    def with_club(self, code: str) -> Group | None:
        """Balls of a club, None where it was not hit."""
        groups = (self.main, *((self.anchor,) if self.anchor is not None else ()))
        return next((g for g in groups if g.club.code == code), None)


def read(hits: list[Hit]) -> tuple[Visit, ...]:
    """Screen and infer the visits, in the order of their days.

    Raises
    ------
    DataError
        With every visit that has too few balls or another hand than the first.
    """
    ordered = sorted(hits, key=lambda h: h.day)
    least = int(current().value("verdict.least_shots"))
    few = int(current().value("progress.anchor_least"))
    visits: list[Visit] = []
    problems: list[Problem] = []
    if not ordered:
        problems.append(Problem("visits", "none", "one or more", "Add a visit."))
    for k, hit in enumerate(ordered):
        where = f"visit of {hit.day.isoformat()} ({hit.session.source})"
        if hit.session.hand != ordered[0].session.hand:
            found = f"a {hit.session.hand}-handed player"
            problems.append(Problem(where, found, "one player", "Leave the others out."))
            continue
        main = _group(k, hit, hit.session, hit.club)
        if main is None or len(main) < least:
            found = f"{0 if main is None else len(main)} usable of {len(hit.session)} balls"
            problems.append(
                Problem(where, found, f"at least {least}", "Leave the visit out, or mend its log.")
            )
            continue
        anchor = None
        if hit.anchor is not None and hit.anchor_club is not None and hit.anchor_club.code != hit.club.code:
            anchor = _group(k, hit, hit.anchor, hit.anchor_club)
        visits.append(Visit(hit.day, main, anchor if anchor is not None and len(anchor) >= few else None))
    if problems:
        raise DataError("These visits cannot be laid side by side.", problems)
    return tuple(visits)


def _group(visit: int, hit: Hit, session: Session, club: Club) -> Group | None:
    """Balls of one club; None without any that are kept."""
    require(session, NEEDED)
    air = hit.measured_in.mirrored() if session.hand == "left" else hit.measured_in
    head = present_head(club)
    some = session.evenly(int(current().value("verdict.most_shots")))
    if not len(some):
        return None
    inferred = infer(some, head)
    screened = screen_physics(some, inferred, air)
    kept = screened.kept()
    if not len(kept):
        return None
    delivery = inferred.of(kept)
    fresh = freshness(kept, delivery)
    # The anchor follows the warm-up by custom; so few balls tell of none.
    good = ~fresh.stale if session is hit.session else np.ones(len(kept), dtype=bool)
    if good.sum() < current().value("player.fresh_least"):
        good = np.ones(len(kept), dtype=bool)
    left = kept.take(good)
    return Group(
        visit, club, hit.device, air, head, inferred.of(left), left.used("club_speed_mps"),
        left.used("ball_speed_mps"), left.used("carry_m"), int(screened.set_aside.sum()),
        int((~good).sum()), bool(is_indoor(left).all()),
    )  # fmt: skip


def of_club(session: Session, kit: Kit | None, club: Club, words: str) -> Session | None:
    """Balls of a session that its labels give to a club, None without any.

    Parameters
    ----------
    session : Session
    kit : Kit or None
        Parts that labels may name.
    club : Club
    words : str
        As somebody named the club.
    """
    said = labels(session)
    parts = Kit((), ()) if kit is None else kit
    mine = set()
    for label in filter(None, dict.fromkeys(said)):
        named = club_named(label, parts, club)
        if label.casefold() == words.casefold() or (named is not None and named.code == club.code):
            mine.add(label)
    at = np.array([label in mine for label in said], dtype=bool)
    return session.take(at) if at.any() else None


def without(session: Session, some: Session | None) -> Session:
    """Balls of a session that are not among some of its own."""
    if some is None:
        return session
    return session.take(~np.isin(session.shot, some.shot))
