"""Geometry of the two small pictures, in shares of their boxes: the pattern and the ladder of intervals."""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import Any

import numpy as np
from numpy.typing import NDArray

from fitter.advice.pattern import ellipse
from fitter.advice.scored import Scored
from fitter.display.numbers import Numbers, plain

Floats = NDArray[np.float64]

LEVEL = 0.8
"""Share of balls that an ellipse should hold."""
LEAST = 4
"""Shots from which an ellipse is drawn."""
LOWEST, HIGHEST = 0.5, 0.92
"""Height of the pattern's box over its width; both axes have one scale."""
ROOM = 1.12
"""Size of the box over that of the pattern."""
END = 0.06
"""Share of the box at either end that has no label of a side."""
STEPS = (1.0, 2.0, 5.0, 10.0, 20.0, 50.0, 100.0)


def finishes(s: Scored, side: str, hand: str) -> Floats:
    """Where the shots finish, m, (n, 2): side as the player sees it (right +), distance.

    Parameters
    ----------
    s : Scored
    side : {'carry', 'total'}
        Which finish counts.
    hand : str
        A left-hander's finishes are mirrored back.
    """
    sign = -1.0 if hand == "left" else 1.0
    if side == "total":
        rows = [(sign * f.total_side_m, f.total_m) for f in s.finish]
    else:
        rows = [(sign * f.side_m, f.carry_m) for f in s.finish]
    points = np.array(rows, dtype=np.float64).reshape(-1, 2)
    return points[np.isfinite(points).all(axis=1)]


def pattern(sets: Sequence[tuple[str, Floats]], n: Numbers, what: str) -> dict[str, Any] | None:
    """Patterns over each other, the first dashed and hollow; None without points.

    Parameters
    ----------
    sets : sequence of (name, points)
        Points (n, 2), m: side right +, distance.
    n : Numbers
    what : str
        'carry' or 'total'.

    Returns
    -------
    dict or None
        Positions are shares of the box: x of its width from the left, y of its height from the bottom.
    """
    given = [(name, points / n.scale) for name, points in sets if len(points)]
    if not given:
        return None
    outlines = [ellipse(p, LEVEL) if len(p) >= LEAST else None for _, p in given]
    # The box of an ellipse, not of points on it: it must not change in the mirror.
    boxes = [np.add(e.centre, np.outer((-1.0, 1.0), e.reach)) for e in outlines if e is not None]
    drawn = [p for _, p in given] + boxes
    every = np.vstack([*drawn, [[0.0, float(given[0][1][:, 1].mean())]]])
    low, high = every.min(axis=0), every.max(axis=0)
    centre = 0.5 * (low + high)
    across, far = ROOM * np.maximum(high - low, 5.0)
    aspect = float(np.clip(far / across, LOWEST, HIGHEST))
    width = max(across, far / aspect)
    box = width * np.array([1.0, aspect])
    corner = centre - 0.5 * box

    def place(points: Floats) -> list[list[float]]:
        shares = (points - corner) / box
        return [[round(float(x), 4), round(float(y), 4)] for x, y in shares]

    series, told = [], []
    for (name, p), e in zip(given, outlines, strict=True):
        series.append({"name": name, "points": place(p), "ellipse": [] if e is None else place(e.outline())})
        spread = ""
        if e is not None:
            long, wide = (plain(2.0 * axis) for axis in e.semi_axes)
            spread = f"; 80 % of balls within {long} by {wide} {n.length}"
        told.append(f"{name}: {len(p)} shots, mean {plain(p[:, 1].mean())} {n.length}{spread}")
    step = _step(width / 6.0)
    # A label at the very end would stand out of the box.
    sides = _ticks(corner[0] + END * box[0], corner[0] + (1.0 - END) * box[0], step)
    up = _ticks(corner[1], corner[1] + box[1], step)
    return {
        "aspect": round(aspect, 4),
        "target": place(np.array([[0.0, corner[1]]]))[0][0],
        "across": [
            [round((v - corner[0]) / box[0], 4), "0" if v == 0 else f"{abs(v):g} {'R' if v > 0 else 'L'}"]
            for v in sides
        ],
        "up": [[round((v - corner[1]) / box[1], 4), f"{v:g}"] for v in up],
        "unit": n.length,
        "what": what,
        "series": series,
        "words": told,
    }


def ladder(shown: Sequence[Scored], n: Numbers, objective: Any) -> dict[str, Any]:
    """Intervals of gains on one axis from 0 to 1."""
    say = n.say(objective)
    low = min([0.0, *(s.value_gain.low for s in shown)])
    high = max([0.0, *(s.value_gain.high for s in shown)])
    span = (high - low) or 1.0
    low, high = low - 0.04 * span, high + 0.04 * span

    def at(value: float) -> float:
        return round((value - low) / (high - low), 4)

    return {
        "zero": at(0.0),
        "rungs": [
            {"low": at(s.value_gain.low), "mean": at(s.value_gain.mean), "high": at(s.value_gain.high)}
            for s in shown
        ],
        "unit": say.noun,
    }


def _step(wanted: float) -> float:
    return next((s for s in STEPS if s >= wanted), STEPS[-1])


def _ticks(low: float, high: float, step: float) -> list[float]:
    first = math.ceil(low / step)
    return [k * step for k in range(first, math.floor(high / step) + 1)]
