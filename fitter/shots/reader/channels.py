"""Columns of numbers to channels: what is made out of others, and signs checked against physics."""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass
from itertools import product

import numpy as np
from numpy.typing import NDArray

from fitter.base.assumptions import current
from fitter.base.errors import Problem
from fitter.base.units import DEG
from fitter.shots.reader.columns import where_of
from fitter.shots.reader.layout import Block
from fitter.shots.reader.numbers import Numbers
from fitter.shots.session import Floats
from fitter.shots.vocabulary import CHANNELS


@dataclass
class Made:
    """Values of one channel, shape (n,), in its unit, which are estimated, whether the sign is certain."""

    values: Floats
    estimated: NDArray[np.bool_]
    header: str
    certain: bool = False


def combine(
    block: Block, numbers: Sequence[Numbers], problems: list[Problem], notices: list[str]
) -> dict[str, Made]:
    """Make the channels of a block out of its columns.

    Parameters
    ----------
    block : Block
        For messages.
    numbers : sequence of Numbers
        Columns with their units.
    problems, notices : list
        Collect what is wrong and what should be known.

    Returns
    -------
    dict of str to Made
        Channels alone.
    """
    columns: dict[str, list[Numbers]] = {}
    for one in numbers:
        columns.setdefault(one.use.channel.name, []).append(one)
    made = {name: _one(block, name, several, problems, notices) for name, several in columns.items()}
    _spin(made, notices)
    _face(made, notices)
    _strike(made)
    _ratio(made, notices)
    if "carry_side_m" in made and "offline_m" not in made:
        made["offline_m"] = made["carry_side_m"]
        notices.append(
            f"'{made['offline_m'].header}' is taken as offline: it is the side at landing, before any run."
        )
    return {name: m for name, m in made.items() if name in CHANNELS}


def _one(
    block: Block, name: str, several: list[Numbers], problems: list[Problem], notices: list[str]
) -> Made:
    """Choose among, or join, the columns that hold the same channel."""
    filled = [c for c in several if np.isfinite(c.values).any()] or several[:1]
    best = [c for c in filled if c.use.rank == min(f.use.rank for f in filled)]
    first = best[0]
    a = current()
    share, least = a.value("intake.same"), a.value("intake.same_at_least")
    out = Made(first.si().copy(), first.estimated.copy(), first.use.header, first.certain)
    for other in best[1:]:
        x, y = out.values, other.si()
        both = np.isfinite(x) & np.isfinite(y)
        marked = out.estimated.any() != other.estimated.any() and not (out.estimated & other.estimated).any()
        near = np.abs(x - y) <= share * np.abs(x) + least
        if marked:
            measured = np.where(out.estimated, False, np.isfinite(x))
            take = np.isfinite(y) & ~(other.estimated & measured)
            notices.append(
                f"'{out.header}' and '{other.use.header}': measured values go before estimated ones."
            )
        elif near[both].all():
            take = ~np.isfinite(x)
            if both.any():
                notices.append(f"'{out.header}' and '{other.use.header}' say the same: the first is used.")
        else:
            where = f"{where_of(block)}, columns {out.header!r} and {other.use.header!r}"
            allowed = f"one column for {first.use.channel.label}"
            do = f"Leave one out with --map '{other.use.header}='."
            problems.append(Problem(where, "two columns that differ", allowed, do))
            continue
        out.values, out.estimated = np.where(take, y, x), np.where(take, other.estimated, out.estimated)
    return out


def _spin(made: dict[str, Made], notices: list[str]) -> None:
    """Total spin and axis from back spin and side spin, right positive."""
    back, side, total = made.get("back_spin_rpm"), made.get("side_spin_rpm"), made.get("spin_rpm")
    if back and side:
        if not total:
            made["spin_rpm"] = Made(np.hypot(back.values, side.values), back.estimated, back.header)
        if "spin_axis_deg" not in made:
            axis = np.arctan2(side.values, back.values) / DEG
            made["spin_axis_deg"] = Made(axis, side.estimated, side.header)
        notices.append(f"Spin and its axis come from '{back.header}' and '{side.header}'.")
    elif back and not total:
        made["spin_rpm"] = back
        notices.append(f"'{back.header}' is taken as the whole spin: side spin adds 1 % at an axis of 8 deg.")
    elif side and total and "spin_axis_deg" not in made:
        share = np.clip(side.values / np.where(total.values > 1e-3, total.values, np.nan), -1.0, 1.0)
        made["spin_axis_deg"] = Made(np.arcsin(share) / DEG, side.estimated, side.header)


def _face(made: dict[str, Made], notices: list[str]) -> None:
    """Face or path where only their difference and one of them is given."""
    between, face, path = made.get("face_to_path_deg"), made.get("face_deg"), made.get("path_deg")
    if between and path and not face:
        made["face_deg"] = Made(
            path.values + between.values, between.estimated | path.estimated, between.header
        )
        notices.append(f"Face is path plus '{between.header}'.")
    elif between and face and not path:
        made["path_deg"] = Made(
            face.values - between.values, between.estimated | face.estimated, between.header
        )
        notices.append(f"Path is face less '{between.header}'.")


def _strike(made: dict[str, Made]) -> None:
    """Join columns of the heel side, or the low side, with their opposites."""
    for other, name in (("heel_mm", "strike_toe_mm"), ("low_mm", "strike_high_mm")):
        if other not in made:
            continue
        here = made[other]
        there = made.get(name, Made(np.full(len(here.values), np.nan), here.estimated, here.header))
        given = np.isfinite(here.values)
        # A mark on the heel side leaves the toe side blank, or at nought.
        joined = np.where(
            given, np.nan_to_num(there.values) - np.abs(np.nan_to_num(here.values)), there.values
        )
        made[name] = Made(joined, there.estimated | here.estimated, there.header)


def _ratio(made: dict[str, Made], notices: list[str]) -> None:
    """Fill in one speed by the printed ratio, or check both against it."""
    ratio, ball, club = (made.get(n) for n in ("ball_club_ratio", "ball_speed_mps", "club_speed_mps"))
    if not ratio:
        return
    safe = np.where(ratio.values > 1e-3, ratio.values, np.nan)
    given = np.ones(len(safe), dtype=bool)
    if ball and not club:
        made["club_speed_mps"] = Made(ball.values / safe, given, ratio.header)
        notices.append(f"Club speed is ball speed over '{ratio.header}': marked as estimated.")
    elif club and not ball:
        made["ball_speed_mps"] = Made(club.values * safe, given, ratio.header)
        notices.append(f"Ball speed is club speed times '{ratio.header}': marked as estimated.")
    elif ball and club:
        off = np.abs(ball.values / np.where(club.values > 1e-3, club.values, np.nan) / safe - 1.0)
        off = off[np.isfinite(off)]
        if len(off) and np.median(off) > current().value("intake.ratio_agrees"):
            notices.append(
                f"'{ratio.header}' does not agree with ball and club speed: is one of their units wrong?"
            )


@dataclass(frozen=True)
class Turned:
    """Channels whose sign is wrong, and notices."""

    channels: tuple[str, ...]
    notices: tuple[str, ...]


def check_signs(
    values: Mapping[str, Floats], header_of: Mapping[str, str] | None = None, certain: Collection[str] = ()
) -> Turned:
    """Compare the signs of path, face, direction, axis and offline with what a ball does.

    A ball starts between path and face, nearer the face; its axis tilts with face minus path; it finishes on
    the side where start and axis send it. All are symmetric, so the whole set cannot be judged, only its
    members against each other: the fewest turns that make the set consistent are made, and where two sets of
    turns are equally few nothing is turned.

    Parameters
    ----------
    values : mapping of str to ndarray, shape (n,)
        Channels in their units, right positive as far as known.
    header_of : mapping of str to str, optional
        Words of the file for each channel, for the notices.
    certain : collection of str
        Channels whose sign is in words; they are never turned.

    Returns
    -------
    Turned
        Channels whose sign contradicts the rest.
    """
    names = [
        n for n in ("path_deg", "face_deg", "direction_deg", "spin_axis_deg", "offline_m") if n in values
    ]
    notices: tuple[str, ...] = ()
    if len(names) < 2:
        return Turned((), notices)
    every = product(*((1.0,) if n in certain else (1.0, -1.0) for n in names))
    known: dict[tuple[float, ...], float] = {}
    scores = {signs: _likelihood(values, dict(zip(names, signs, strict=True)), known) for signs in every}
    best = max(scores.values())
    as_is = scores[(1.0,) * len(names)]
    a = current()
    if {"path_deg", "face_deg"} <= set(names):
        # Face and path exchanged look like both turned: then nothing is turned, and `contradictions` tells.
        swapped = {**values, "path_deg": values["face_deg"], "face_deg": values["path_deg"]}
        exchanged = _likelihood(swapped, dict.fromkeys(names, 1.0), {})
        single = max(s for signs, s in scores.items() if signs.count(-1.0) < 2)
        if exchanged > max(single, as_is + a.value("intake.sign_strong")):
            return Turned((), notices)
    if best - as_is < a.value("intake.sign_strong"):
        return Turned((), notices)
    fits = sorted(
        (s for s in scores if best - scores[s] < a.value("intake.sign_tie")), key=lambda s: s.count(-1.0)
    )
    few = [s for s in fits if s.count(-1.0) == fits[0].count(-1.0)]
    shown = {n: f"'{(header_of or {}).get(n, CHANNELS[n].label)}'" for n in names}
    options = [tuple(n for n, s in zip(names, signs, strict=True) if s < 0) for signs in few]
    if len(options) > 1:
        said = " or ".join(" and ".join(shown[n] for n in option) for option in options)
        notices += (
            f"Signs contradict each other: {said} has left positive. Say which with --map 'Header=-channel'.",
        )
        return Turned((), notices)
    said = " and ".join(shown[n] for n in options[0])
    notices += (f"{said}: left counted positive, by what the other columns say; the sign was turned.",)
    return Turned(options[0], notices)


def _likelihood(
    values: Mapping[str, Floats], signs: Mapping[str, float], known: dict[tuple[float, ...], float]
) -> float:
    """Log likelihood of all relations under a set of signs, up to a constant; ``known`` keeps their parts."""
    total = 0.0
    for k, (names, relation) in enumerate(_RELATIONS):
        key = (k, *(signs.get(name, 0.0) for name in names))
        if key not in known:
            known[key] = relation({n: values[n] * signs[n] for n in names if n in signs}, values)
        total += known[key]
    return total


def _score(residual: Floats, noise: float) -> float:
    """Profile log likelihood of a zero-mean residual whose scatter is at least the noise."""
    # A misread in one shot must not settle a sign: residuals count up to four noises.
    clipped = np.minimum(np.abs(residual), 4.0 * noise)
    # The relation itself is not exact, and its own error does not shrink with more shots.
    most = current().value("intake.sign_most")
    return float(-0.5 * min(len(residual), most) * np.log(np.mean(clipped**2) + noise**2))


def _complete(*arrays: Floats) -> list[Floats]:
    good = np.all([np.isfinite(a) for a in arrays], axis=0)
    return [a[good] for a in arrays] if good.sum() >= current().value("intake.sign_least") else []


def _direction(v: Mapping[str, Floats], _: Mapping[str, Floats]) -> float:
    if "direction_deg" not in v or "face_deg" not in v:
        return 0.0
    path = v.get("path_deg", v["face_deg"])
    rows = _complete(v["direction_deg"], v["face_deg"], path)
    if not rows:
        return 0.0
    # Share of the way from path to face at which a ball starts: 61-83 % (Wood, Henrikson & Broadie 2018,
    # Proceedings 2(6):249; R).
    share = current().value("intake.face_share")
    noise = current().value("intake.noise_direction_deg")
    return _score(rows[0] - share * rows[1] - (1.0 - share) * rows[2], noise)


def _axis(v: Mapping[str, Floats], _: Mapping[str, Floats]) -> float:
    if not {"spin_axis_deg", "face_deg", "path_deg"} <= v.keys():
        return 0.0
    rows = _complete(v["spin_axis_deg"], v["face_deg"], v["path_deg"])
    if not rows:
        return 0.0
    between = rows[1] - rows[2]
    slope = max(0.0, float(np.sum(between * rows[0])) / max(float(np.sum(between**2)), 1e-12))
    return _score(rows[0] - slope * between, current().value("intake.noise_axis_deg"))


def _offline(v: Mapping[str, Floats], values: Mapping[str, Floats]) -> float:
    far = values.get("carry_m", values.get("total_m"))
    if "offline_m" not in v or "direction_deg" not in v or far is None:
        return 0.0
    axis = v.get("spin_axis_deg", np.zeros(len(far)))
    rows = _complete(v["offline_m"] / np.where(far > 1e-3, far, np.nan), v["direction_deg"], axis)
    if not rows:
        return 0.0
    rest = rows[0] - np.sin(rows[1] * DEG)
    slope = max(0.0, float(np.sum(rest * rows[2])) / max(float(np.sum(rows[2] ** 2)), 1e-12))
    return _score(rest - slope * rows[2], current().value("intake.noise_offline"))


_RELATIONS = (
    (("direction_deg", "face_deg", "path_deg"), _direction),
    (("spin_axis_deg", "face_deg", "path_deg"), _axis),
    (("offline_m", "direction_deg", "spin_axis_deg"), _offline),
)
"""Channels whose signs a relation compares, and its log likelihood."""
