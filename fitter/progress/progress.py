"""Months of one player: visits in one air, what changed and why, the pace, and when a distance is reached."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date
from typing import Any, NamedTuple

import numpy as np
from numpy.typing import NDArray

from fitter.advice.curve import Speeds
from fitter.advice.question import ask
from fitter.advice.reach import reach
from fitter.base import draws as streams
from fitter.base.assumptions import current
from fitter.base.conditions import Conditions
from fitter.progress.figures import Figure, believable, drawn_figures
from fitter.progress.joint import Together, together
from fitter.progress.split import Change, club_change, split
from fitter.progress.trend import Reached, Trend, reached, trend
from fitter.progress.visits import Hit, Visit, read
from fitter.shots.infer.measurement import calibration_prior

Floats = NDArray[np.float64]

DRAWS = 256


class Remark(NamedTuple):
    """What the reader should know: a code of `display.progressed`, and its figures."""

    code: str
    values: tuple[Any, ...] = ()


@dataclass(frozen=True)
class Seen:
    """One visit at a glance.

    Parameters
    ----------
    day : date
    club, device : str
    balls, aside, stale, anchor : int
        Balls used, set aside, left out as warm-up or tired, and of the anchor club beside them.
    air : Conditions
        Of the day, as the player sees it.
    figures : mapping of str to Figure
        See `figures.NAMES`; sides in a right-handed frame.
    """

    day: date
    club: str
    device: str
    balls: int
    aside: int
    stale: int
    anchor: int
    air: Conditions
    figures: Mapping[str, Figure]


@dataclass(frozen=True)
class Against:
    """The last visit against an earlier one.

    Parameters
    ----------
    change : Change
        Of the typical carry as measured, by cause.
    figures : mapping of str to Figure
        Changes, sides in a right-handed frame.
    believe : mapping of str to float
        Smallest change of each figure that is believed.
    """

    change: Change
    figures: Mapping[str, Figure]
    believe: Mapping[str, float]

    def believed(self, name: str) -> bool:
        """Whether a figure changed by more than form, balls and readings explain."""
        return abs(self.figures[name].value) >= self.believe[name]


@dataclass(frozen=True)
class Target:
    """A distance and the way to it.

    Parameters
    ----------
    distance_m : float
        Of carry, in the reference air, with the last visit's club.
    needed : Speeds
        Club speed that it needs at the last visit's delivery, m/s.
    now_mps : float
        Typical club speed of the last visit.
    when : Reached or None
        None where no pace is told, or the distance cannot be reached by speed alone.
    """

    distance_m: float
    needed: Speeds
    now_mps: float
    when: Reached | None


@dataclass(frozen=True)
class Progress:
    """Answer of `progress`.

    Parameters
    ----------
    player, hand : str
    air : Conditions
        The reference, as the player sees it.
    visits : tuple of Seen
    since_last, since_first : Against or None
        None with a single visit; `since_first` is None with two.
    pace : Trend or None
        Of the typical club speed with the last visit's club, m/s; None with a single visit.
    target : Target or None
    remarks : tuple of Remark
    """

    player: str
    hand: str
    air: Conditions
    visits: tuple[Seen, ...]
    since_last: Against | None
    since_first: Against | None
    pace: Trend | None
    target: Target | None
    remarks: tuple[Remark, ...]

    @property
    def balls(self) -> int:
        """Balls for which peaks are made alike."""
        return int(current().value("progress.peak_balls"))


def progress(
    hits: Sequence[Hit],
    air: Conditions | None = None,
    towards_m: float | None = None,
    draws: int = DRAWS,
    seed: int = 1,
) -> Progress:
    """Lay the visits of one player side by side.

    Parameters
    ----------
    hits : sequence of Hit
        One or more, in any order.
    air : Conditions, optional
        Reference air and turf; the standard when silent.
    towards_m : float, optional
        Carry that is worked towards, m.
    draws, seed : int

    Raises
    ------
    InputError
        If a needed channel was not measured at a visit, or the distance makes no sense.
    DataError
        If a visit has too few balls.
    """
    place = air or Conditions()
    visits = read(list(hits))
    ordered = sorted(hits, key=lambda h: h.day)
    session = ordered[-1].session
    frame = place.mirrored() if session.hand == "left" else place
    groups = [g for v in visits for g in (v.main, v.anchor) if g is not None]
    drawn = together(groups, draws, seed)
    at = [drawn.place(v.main) for v in visits]
    figures = [drawn_figures(drawn, k, frame, seed) for k in at]
    last = len(visits) - 1
    speeds = [f["club_speed_mps"] for f in figures]
    pace = _pace(drawn, visits, speeds, seed) if last else None
    target = None
    if towards_m is not None:
        target = _target(ordered[-1], place, towards_m, figures[-1]["club_speed_mps"], pace, seed)
    return Progress(
        session.player,
        session.hand,
        place,
        tuple(_seen(v, h, f) for v, h, f in zip(visits, ordered, figures, strict=True)),
        _against(drawn, visits, figures, last - 1, seed) if last else None,
        _against(drawn, visits, figures, 0, seed) if last > 1 else None,
        pace,
        target,
        _remarks(visits, drawn),
    )


def _seen(visit: Visit, hit: Hit, figures: Mapping[str, Floats]) -> Seen:
    main = visit.main
    return Seen(
        visit.day, main.club.code, main.device, len(main), main.aside, main.stale,
        0 if visit.anchor is None else len(visit.anchor), hit.measured_in,
        {name: Figure.of(values) for name, values in figures.items()},
    )  # fmt: skip


def _against(
    drawn: Together, visits: tuple[Visit, ...], figures: list[dict[str, Floats]], since: int, seed: int
) -> Against:
    old, new = figures[since], figures[-1]
    return Against(
        split(drawn, visits, since, len(visits) - 1, seed),
        {name: Figure.of(new[name] - old[name]) for name in new},
        believable(old, new),
    )


def _pace(drawn: Together, visits: tuple[Visit, ...], speeds: Sequence[Floats], seed: int) -> Trend:
    """Trend of the typical speed, as it would be with the last visit's club."""
    last = len(visits) - 1
    with_last = np.stack([
        speed * np.exp(club_change(drawn, visits, (k, last), seed)[0][:, 0]) for k, speed in enumerate(speeds)
    ])  # fmt: skip
    # What all visits share, such as the device's own offset, has no part in a pace.
    apart = with_last - with_last.mean(axis=0)
    values = with_last.mean(axis=1)
    form = 0.01 * current().sd("progress.form_speed_pct") * values
    sd = np.sqrt(apart.var(axis=1) + form**2)
    return trend([v.day for v in visits], values, sd, with_last.shape[1], seed)


def way(
    hits: Sequence[Hit], needed: Speeds, now_mps: float, draws: int = DRAWS, seed: int = 1
) -> tuple[Trend | None, Target]:
    """Say how a player's visits lead to a speed that one session asks for.

    Parameters
    ----------
    hits : sequence of Hit
    needed : Speeds
        Club speed that a distance needs, m/s, by one session, in which it was `now_mps`.
    now_mps : float
    draws, seed : int

    Returns
    -------
    pace : Trend or None
        None with a single visit.
    target : Target
        Its distance is NaN: the session knows it.
    """
    visits = read(list(hits))
    drawn = together([g for v in visits for g in (v.main, v.anchor) if g is not None], draws, seed)
    speeds = [drawn.level(drawn.place(v.main))[:, 0] for v in visits]
    pace = _pace(drawn, visits, speeds, seed) if len(visits) > 1 else None
    return pace, _towards(math.nan, needed, now_mps, speeds[-1], pace, seed)


def _target(
    hit: Hit, place: Conditions, distance_m: float, speed: Floats, pace: Trend | None, seed: int
) -> Target:
    asked = ask(
        hit.session, present=hit.club, conditions=place, measured_in=hit.measured_in, draws=len(speed),
        seed=seed,
    )  # fmt: skip
    found = reach(asked, distance_m).present
    return _towards(distance_m, found.speed, found.speed_now_mps, speed, pace, seed)


def _towards(
    distance_m: float, needed: Speeds, now_mps: float, speed: Floats, pace: Trend | None, seed: int
) -> Target:
    """One session says how much more speed it takes; all visits say what the speed is."""
    factor = float(speed.mean()) / now_mps
    expected, low, high = (
        None if v is None else v * factor for v in (needed.expected, needed.low, needed.high)
    )
    when = None
    if pace is not None and not pace.told and expected is not None:
        ends = [v for v in (low, high) if v is not None]
        spread = max(abs(v - expected) for v in ends) / streams.NORMAL_80 if ends else 0.0
        z = streams.normals(len(speed), seed, "progress.needed")
        when = reached(pace, expected + spread * z)
    return Target(
        distance_m, replace(needed, expected=expected, low=low, high=high), float(speed.mean()), when
    )


def _remarks(visits: tuple[Visit, ...], drawn: Together) -> tuple[Remark, ...]:
    """What stands between the figures and their trust."""
    found = []
    codes = [v.main.club.code for v in visits]
    first = visits[0].main.club.code
    changed = [v for v in visits if v.main.club.code != first]
    bare = [v.day for v in changed if v.anchor is None]
    if bare:
        found.append(Remark("no anchor", (first, tuple(bare))))
    if changed and not all(g.club.known for g in drawn.groups):
        found.append(Remark("unknown club", tuple(dict.fromkeys(c for c in codes))))
    if len({g.device for g in drawn.groups}) > 1:
        sd = float(calibration_prior(visits[0].main.delivery.session)[1][0])
        found.append(Remark("devices", (tuple(dict.fromkeys(g.device for g in drawn.groups)), sd)))
    lacking = tuple(dict.fromkeys(c for v in visits for c in v.main.inferred))
    if lacking:
        found.append(Remark("inferred", (lacking,)))
    silent = [v.day for v in visits if not np.isfinite(v.main.carry).any()]
    if silent:
        found.append(Remark("no carry", (tuple(silent),)))
    inside = [v.day for v in visits if v.main.indoor]
    if inside and len(inside) < len(visits):
        found.append(Remark("indoors", (tuple(inside),)))
    found += [Remark("aside", (v.day, v.main.aside)) for v in visits if v.main.aside]
    found += [Remark("stale", (v.day, v.main.stale)) for v in visits if v.main.stale]
    return tuple(found)
