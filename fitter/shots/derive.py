"""One array a channel: columns that repeat each other, and columns that only serve to make a channel."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from fitter.assumptions import load
from fitter.errors import Problem
from fitter.shots.channels import CHANNELS, Floats
from fitter.shots.columns import where_of
from fitter.shots.layout import Block
from fitter.shots.numbers import Numbers
from fitter.units import DEG

SAME = load().value("intake.same")
"""Relative difference within which two columns say the same, rounding included."""
SAME_AT_LEAST = load().value("intake.same_at_least")
"""The same for values near nought: a column printed to one decimal."""
RATIO_AGREES = load().value("intake.ratio_agrees")
"""Relative difference between a printed ball/club ratio and the speeds, beyond which a unit is wrong."""


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
    out = Made(first.si().copy(), first.estimated.copy(), first.use.header, first.certain)
    for other in best[1:]:
        a, b = out.values, other.si()
        both = np.isfinite(a) & np.isfinite(b)
        marked = out.estimated.any() != other.estimated.any() and not (out.estimated & other.estimated).any()
        near = np.abs(a - b) <= SAME * np.abs(a) + SAME_AT_LEAST
        if marked:
            measured = np.where(out.estimated, False, np.isfinite(a))
            take = np.where(other.estimated, ~measured, np.isfinite(b))
            take &= np.isfinite(b)
            out.values, out.estimated = np.where(take, b, a), np.where(take, other.estimated, out.estimated)
            notices.append(
                f"'{out.header}' and '{other.use.header}': measured values go before estimated ones."
            )
        elif near[both].all():
            take = ~np.isfinite(a)
            out.values, out.estimated = np.where(take, b, a), np.where(take, other.estimated, out.estimated)
            if both.any():
                notices.append(f"'{out.header}' and '{other.use.header}' say the same: the first is used.")
        else:
            label = several[0].use.channel.label
            problems.append(
                Problem(
                    f"{where_of(block)}, columns {out.header!r} and {other.use.header!r}",
                    "two columns that differ",
                    f"one column for {label}",
                    f"Leave one out with --map '{other.use.header}='.",
                )
            )
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
        if len(off) and np.median(off) > RATIO_AGREES:
            notices.append(
                f"'{ratio.header}' does not agree with ball and club speed: is one of their units wrong?"
            )
