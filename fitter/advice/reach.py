"""Club speed that a distance needs at the player's own delivery, and what the gap to it is made of."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import asdict, dataclass, replace
from typing import Any

import numpy as np
from numpy.typing import NDArray

from fitter.advice.baseline import baseline, screened
from fitter.advice.budget import Budget, budget
from fitter.advice.curve import Aim, Needed, Span, State, span
from fitter.advice.objectives import Wish
from fitter.advice.options import Option, present_club
from fitter.advice.rank import present_head, rank
from fitter.advice.replay import DRAWS, prepare_replay
from fitter.advice.response import SETS_FACE, Response, changes
from fitter.advice.result import Ranking
from fitter.base.assumptions import current
from fitter.base.conditions import Conditions
from fitter.base.errors import InputError, Problem
from fitter.base.units import YARD
from fitter.kit.club import Club
from fitter.kit.inventory import Kit
from fitter.kit.offer import Offer, said
from fitter.shots.annotations import with_everything
from fitter.shots.session import Session

Floats = NDArray[np.float64]

SAME_DELIVERY = (
    "attack, delivered loft, path and strike are taken as they are now: new speed usually changes them, so "
    "measure again as the speed comes"
)
COACHES = "speed training itself is for qualified coaches; warm up, rest, and stop on pain"
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
    notes : tuple of str
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
    notes: tuple[str, ...]
    counts: dict[str, int]
    laws: dict[str, float]

    @property
    def gap_m(self) -> float:
        """Distance less today's, as measured in the session's own air; the budget adds up to it."""
        return self.budget.gap_m

    def as_dict(self) -> dict[str, Any]:
        """Plain values under the keys of the contract."""
        b = self.budget
        return {
            "session": {"player": self.player, "hand": self.hand, **self.counts},
            "distance_m": self.distance_m,
            "as": self.measure,
            "count": self.count,
            "width_m": self.width_m,
            **{k: v for k, v in self.present.as_dict().items() if k != "option"},
            "present": self.present.as_dict(),
            "best": None if self.best is None else self.best.as_dict(),
            "gap_m": b.gap_m,
            "budget": [asdict(part) for part in b.parts],
            "trained": {
                "club_speed_mps": b.speed_now_mps,
                "needed_club_speed_mps": b.trained.expected,
                "needed_club_speed_low_mps": b.trained.low,
                "needed_club_speed_high_mps": b.trained.high,
                "reason": b.trained.reason,
            },
            "speed_left_mps": b.speed_left_mps,
            "air_m": None if self.air_m is None else list(self.air_m),
            "conditions": asdict(self.conditions),
            "laws": self.laws,
            "notes": list(self.notes),
        }


def reach(
    shots: Session,
    distance_m: float,
    kit: Kit | None = None,
    present: Club | str = "unknown",
    measure: str = "carry",
    count: str = "typical",
    width_m: float | None = None,
    conditions: Conditions | None = None,
    measured_in: Conditions | None = None,
    draws: int = DRAWS,
    seed: int = 1,
    progress: Callable[[int, int], None] | None = None,
    sets_face: str = "unknown",
    with_aside: bool = False,
    offer: Offer | None = None,
) -> Reach:
    """Find the club speed that a distance needs.

    The player's own shots are replayed with faster and slower clubs in the draws of the ranking, everything
    else of the delivery unchanged (see `curve.Curve`), and the gap is split (see `budget.budget`).

    Parameters
    ----------
    shots : Session
        Shots of the present club, screened.
    distance_m : float
        20 to 500 m.
    kit : Kit, optional
        What the shop can build; without one there is no part for equipment.
    present : Club or str
        As for `rank`; without a kit a card or 'unknown'.
    measure : str
        'carry' or 'total'.
    count : str
        'typical' (the mean ball) or 'best-of-N': the longest of N balls that finish within the width.
    width_m : float, optional
        Width within which a ball of a set counts; that of a contest's grid when silent.
    conditions, measured_in : Conditions, optional
        Where the distance is asked for; where the shots were measured.
    draws, seed : int
    progress : callable, optional
        Of the ranking that finds the best option.
    sets_face, with_aside, offer
        As for `rank`.

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
    >>> from fitter import read, reach
    >>> from fitter.demo import folder
    >>> answer = reach(read(folder() / "P4.csv"), 235.0, draws=64)
    >>> answer.present.speed.expected > answer.present.speed_now_mps
    True
    >>> abs(sum(part.value_m for part in answer.budget.parts) - answer.gap_m) < 1e-6
    True
    """
    aim = Aim.read(distance_m, measure, count, width_m)
    if sets_face not in SETS_FACE:
        problem = Problem("--sets-face", repr(sets_face), ", ".join(SETS_FACE), "Ask the player.")
        raise InputError("There is no such way to set the face.", [problem])
    where = conditions or Conditions()
    there = measured_in or where
    club = _club(kit, present)
    ranking: Ranking | None = None
    if kit is not None:
        wish = aim.wish if aim.balls is not None and measure == "total" else Wish(measure)
        ranking = rank(
            shots,
            kit,
            club,
            wish,
            where,
            there,
            draws,
            seed,
            progress,
            sets_face,
            with_aside,
            with_flips=False,
            offer=offer,
        )
    here, session_air, standard = (
        c.mirrored() if shots.hand == "left" else c for c in (where, there, Conditions(law=where.law))
    )
    head = present_head(club)
    kept = screened(shots, head, session_air)
    if with_aside:
        kept = with_everything(kept)
    base = baseline(kept, head)
    options = [Option(club.code, "-", club), *_candidates(ranking)]
    changed = changes(options, club, base.swing, Response(draws, seed, sets_face=sets_face))
    replay = prepare_replay(base, changed, here, session_air, draws, seed)
    now = State.of(replay, changed.take([0]), aim)
    looked = [now, *(replace(now, changed=changed.take([i])) for i in range(1, len(options)))]

    def elsewhere(place: Conditions) -> State:
        """Today's shots with the present club in another air, or the very same state."""
        if place == here:
            return now
        return replace(now, replay=prepare_replay(base, changed, place, session_air, draws, seed))

    pick = _best(looked, options, aim, ranking)
    states = [now] if pick is None else [now, looked[pick]]
    names = [options[0]] if pick is None else [options[0], options[pick]]
    needed = [Needed.of(o, state, aim) for o, state in zip(names, states, strict=True)]
    found = budget(elsewhere(session_air), states, aim)
    air = None if here == standard else span(now.today(aim) - elsewhere(standard).today(aim))
    laws = zip(replay.drawn.names, map(float, replay.law_weights), strict=True)
    return Reach(
        player=shots.player,
        hand=shots.hand,
        distance_m=distance_m,
        measure=measure,
        count=count,
        width_m=None if aim.balls is None else aim.width_m,
        present=needed[0],
        best=needed[1] if len(needed) > 1 else None,
        budget=found,
        air_m=air,
        conditions=where,
        notes=(*_notes(ranking, needed, found, with_aside), *kept.notices, *base.notes),
        counts={"shots": len(kept), "set_aside": int(kept.set_aside.sum()), "draws": draws},
        laws=dict(laws),
    )


def _club(kit: Kit | None, present: Club | str) -> Club:
    if isinstance(present, Club):
        return present
    if kit is None and "/" in present and not present.casefold().endswith(".toml"):
        do = "Name the shop's folder too, or give a card or unknown."
        problem = Problem("--present", repr(present), "parts of a kit only with --kit", do)
        raise InputError("There is no kit whose parts these could be.", [problem])
    return present_club(kit or Kit((), ()), present)


def _candidates(ranking: Ranking | None) -> list[Option]:
    """Best options of a ranking, the one that the verdict names first."""
    if ranking is None:
        return []
    named = [s.option for s in ranking.options if s.option.id == ranking.verdict.option]
    rest = [s.option for s in ranking.options if s.option not in named]
    return [*named, *rest][:CANDIDATES]


def _best(
    states: Sequence[State], options: Sequence[Option], aim: Aim, ranking: Ranking | None
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


def _notes(ranking: Ranking | None, needed: Sequence[Needed], found: Budget, with_aside: bool) -> list[str]:
    """What the reader should know before trusting a number."""
    notes = ["every shot is used, misreads too: for comparison only"] if with_aside else []
    if found.gap_m <= 0.0:
        notes.append("the distance is there already: there is no gap")
    if ranking is None:
        notes.append("no kit was named, so there is no part for equipment")
    elif len(needed) < 2:
        notes.append("no option of the kit is expected to go further than the present club")
    else:
        verdict = ranking.verdict
        words = f"'{verdict.action}'" + (f" {verdict.option}" if verdict.option else "")
        notes.append(f"the best option is the longest today, whatever it costs; the ranking says {words}")
        old, new = (n.speed.expected for n in needed)
        if old is not None and (new is None or new > old):
            notes.append(
                f"{needed[1].option} goes further today, but at the speed that is needed {needed[0].option} "
                "does: fit again as the speed comes"
            )
    if ranking is not None and ranking.not_offered:
        notes.append(said(ranking.not_offered))
    if not needed[0].known:
        notes.append("the present club is not known: what it gives is a guess of its figures")
    return [*notes, SAME_DELIVERY, COACHES]
