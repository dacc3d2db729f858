"""Club speed that a distance needs at the player's own delivery, and what the gap to it is made of."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import asdict, dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from fitter.advice.baseline import baseline, screened
from fitter.advice.budget import Part, budget
from fitter.advice.curve import Aim, Curve, State
from fitter.advice.options import Option, present_club
from fitter.advice.predict import DRAWS, prepare_replay
from fitter.advice.rank import present_head, rank
from fitter.advice.ranking import Ranking
from fitter.advice.response import Response, changes
from fitter.conditions import Conditions
from fitter.errors import InputError, Problem
from fitter.kit.club import Club
from fitter.kit.inventory import Kit
from fitter.shots.channels import Session
from fitter.shots.decisions import with_everything

Floats = NDArray[np.float64]

SAME_DELIVERY = (
    "attack, delivered loft, path and strike are taken as they are now: new speed usually changes them, so "
    "measure again as the speed comes"
)
COACHES = "speed training itself is for qualified coaches; warm up, rest, and stop on pain"


@dataclass(frozen=True)
class Needed:
    """Club speed that a distance needs with one club, m/s: middle and 80 % interval over the draws.

    None where the model does not reach so far; `reason` says why.
    """

    option: str
    club_speed_mps: float | None
    low_mps: float | None
    high_mps: float | None
    now_m: float
    m_per_mps: float
    p_today: float
    reason: str = ""


@dataclass(frozen=True)
class Reach:
    """Answer of `reach`.

    Parameters
    ----------
    distance_m, measure, count : float, str, str
        What was asked: 'carry' or 'total'; 'typical' or 'best-of-N'.
    club_speed_mps : float
        Today's mean.
    present, best : Needed
        With the present club and with the best option (None without a kit or where nothing is better).
    gap_m : float
        Distance less today's, as measured in the session's own air; its parts add up to it.
    budget : tuple of Part
    speed_left_mps : tuple of float, or None
        Low, middle and high of the speed that is left to train when all other parts are used.
    conditions : Conditions
    notes : tuple of str
    """

    distance_m: float
    measure: str
    count: str
    club_speed_mps: float
    present: Needed
    best: Needed | None
    gap_m: float
    budget: tuple[Part, ...]
    speed_left_mps: tuple[float, float, float] | None
    conditions: Conditions
    notes: tuple[str, ...]

    def as_dict(self) -> dict[str, Any]:
        """Plain values under the keys of the contract."""
        p = self.present
        return {
            "distance_m": self.distance_m,
            "as": self.measure,
            "count": self.count,
            "club_speed_mps": self.club_speed_mps,
            "needed_club_speed_mps": p.club_speed_mps,
            "needed_club_speed_low_mps": p.low_mps,
            "needed_club_speed_high_mps": p.high_mps,
            "reason": p.reason,
            "now_m": p.now_m,
            "p_reach_today": p.p_today,
            "m_per_mps": p.m_per_mps,
            "present": asdict(p),
            "best": None if self.best is None else asdict(self.best),
            "gap_m": self.gap_m,
            "budget": [asdict(part) for part in self.budget],
            "speed_left_mps": None if self.speed_left_mps is None else list(self.speed_left_mps),
            "conditions": asdict(self.conditions),
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
) -> Reach:
    """Find the club speed that a distance needs.

    Parameters
    ----------
    shots : Session
        Shots of the present club, screened.
    distance_m : float
        20 to 500 m.
    kit : Kit, optional
        What the shop can build; without one there is no part for equipment.
    present : Club or str
        As for `rank`.
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
    sets_face, with_aside
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
    """
    aim = Aim.read(distance_m, measure, count, width_m)
    where = conditions or Conditions()
    there = measured_in or where
    ranking: Ranking | None = None
    if kit is not None:
        ranking = rank(
            shots, kit, present, measure, where, there, draws, seed, progress, sets_face, with_aside
        )
    club = present_club(kit or Kit((), ()), present) if isinstance(present, str) else present
    head = present_head(club)
    kept = screened(shots, head)
    base = baseline(with_everything(kept) if with_aside else kept, head)
    here, session_air = (c.mirrored() if shots.hand == "left" else c for c in (where, there))
    options = [Option(club.code, "-", club)]
    better = _best(ranking)
    options += [better] if better is not None else []
    changed = changes(options, club, base.swing, Response(draws, seed, sets_face=sets_face))
    replay = prepare_replay(base, changed, here, session_air, draws, seed)
    states = [State(replay, changed.take([i])) for i in range(len(options))]
    curves = [Curve.of(state, aim) for state in states]
    needed = [
        _needed(o.id, state, curve, aim) for o, state, curve in zip(options, states, curves, strict=True)
    ]
    measured = states[0] if here == session_air else State(
        prepare_replay(base, changed, session_air, session_air, draws, seed), changed.take([0])
    )  # fmt: skip
    parts, left, gap = budget(measured, states, aim)
    notes = [SAME_DELIVERY, COACHES, *base.notes]
    if kit is None:
        notes.insert(0, "no kit was named, so there is no part for equipment")
    elif better is None:
        notes.insert(0, "no option of the kit is expected to go further than the present club")
    if gap <= 0.0:
        notes.insert(0, "the distance is there already: there is no gap")
    return Reach(
        distance_m=distance_m,
        measure=measure,
        count=count,
        club_speed_mps=states[0].speed,
        present=needed[0],
        best=needed[1] if len(needed) > 1 else None,
        gap_m=gap,
        budget=parts,
        speed_left_mps=left,
        conditions=where,
        notes=tuple(notes),
    )


def _best(ranking: Ranking | None) -> Option | None:
    """The option that the verdict names, else the one with the largest expected gain, if there is one."""
    if ranking is None or not ranking.options:
        return None
    named = [s for s in ranking.options if s.option.id == ranking.verdict.option]
    found = named or [max(ranking.options, key=lambda s: (not s.screened, s.value_gain.mean))]
    return found[0].option if found[0].value_gain.mean > 0.0 else None


def _needed(name: str, state: State, curve: Curve, aim: Aim) -> Needed:
    factor = curve.factor(aim.distance_m)
    today, slope = curve.today(), curve.slope()
    chance = state.chance(aim)
    missing = float(np.isnan(factor).mean())
    if missing > 0.5:
        far = float(curve.values[:, -1].mean())
        end = f"{curve.top_mps:.0f} m/s of club speed ({far:.0f} m)"
        reason = f"not reachable: the model goes no further than {end}"
        return Needed(name, None, None, None, today, slope, chance, reason)
    speed = np.where(np.isnan(factor), np.inf, factor) * state.speed
    low, middle, high = map(float, np.quantile(speed, [0.1, 0.5, 0.9], method="nearest"))
    if np.isfinite(high):
        return Needed(name, middle, low, high, today, slope, chance)
    reason = "the upper end lies beyond the model's fastest club"
    return Needed(name, middle, low, None, today, slope, chance, reason)


def check_count(count: str) -> int | None:
    """Balls of 'best-of-N', None for 'typical'.

    Raises
    ------
    InputError
        If it is neither.
    """
    if count == "typical":
        return None
    start, _, number = count.rpartition("-")
    if start == "best-of" and number.isdigit() and 1 <= int(number) <= 60:
        return int(number)
    problem = Problem("--count", repr(count), "typical, or best-of-1 to best-of-60", "Name one of these.")
    raise InputError("What counts is not clear.", [problem])
