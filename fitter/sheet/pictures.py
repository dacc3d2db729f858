"""The two small pictures in shares of their boxes: where the balls finish, and the ladder of intervals."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

import numpy as np
from numpy.typing import NDArray

from fitter.advice.scored import Scored
from fitter.base.units import Units, counted
from fitter.display import points
from fitter.display.ladder import scale_of
from fitter.display.values import Values

Floats = NDArray[np.float64]

LEVEL = 0.8
"""Share of balls that an ellipse should hold."""
LOWEST, HIGHEST = 0.5, 0.92
"""Height of the pattern's box over its width; both axes have one scale."""
ROOM = 1.12
"""Size of the box over that of the pattern."""
LEAST = 5.0
"""Smallest extent of a pattern, in the units that people read."""
END = 0.06
"""Share of the box at either end that has no label of a side."""


def pattern(sets: Sequence[tuple[str, Floats]], units: Units, what: str) -> dict[str, Any] | None:
    """Patterns over each other, the first dashed and hollow; None without points.

    Parameters
    ----------
    sets : sequence of (name, points)
        Points (n, 2) in the units that people read: side right +, distance.
    units : Units
    what : str
        'carry' or 'total distance'.

    Returns
    -------
    dict or None
        Positions are shares of the box: x of its width from the left, y of its height from the bottom.
    """
    given = [(name, p) for name, p in sets if len(p)]
    if not given:
        return None
    ellipses = [points.ellipse(p, LEVEL) for _, p in given]
    target = np.array([[0.0, float(given[0][1][:, 1].mean())]])
    low, high = points.box([*(p for _, p in given), target], ellipses)
    across, far = ROOM * np.maximum(high - low, LEAST)
    aspect = float(np.clip(far / across, LOWEST, HIGHEST))
    width = max(across, far / aspect)
    box = width * np.array([1.0, aspect])
    corner = 0.5 * (low + high) - 0.5 * box

    def place(p: Floats) -> list[list[float]]:
        return [[round(float(x), 4), round(float(y), 4)] for x, y in (p - corner) / box]

    series, words = [], []
    for (name, p), e in zip(given, ellipses, strict=True):
        series.append({"name": name, "points": place(p), "ellipse": [] if e is None else place(e.outline())})
        said = f"{name}: {counted(len(p), 'shot')}"
        if e is not None:
            long, wide = (units.number(2.0 * axis) for axis in e.semi_axes)
            said += f"; 80 % of balls within {long} by {wide} {units.distance_unit}"
        words.append(said)
    step = points.step(width / 6.0)
    # A label at the very end would stand out of the box.
    sides = points.ticks(corner[0] + END * box[0], corner[0] + (1.0 - END) * box[0], by=step)
    up = points.ticks(corner[1], corner[1] + box[1], by=step)
    return {
        "aspect": round(aspect, 4),
        "target": place(np.array([[0.0, corner[1]]]))[0][0],
        "across": [[round((v - corner[0]) / box[0], 4), units.side(v, digits=0)] for v in sides],
        "up": [[round((v - corner[1]) / box[1], 4), f"{v:g}"] for v in up],
        "unit": units.distance_unit,
        "what": what,
        "series": series,
        "words": words,
    }


def ladder(shown: Sequence[Scored], values: Values) -> dict[str, Any]:
    """Intervals of gains on one axis from 0 to 1."""
    scale = scale_of(shown, values, room=0.04)

    def at(value: float) -> float:
        return round(scale.share(value), 4)

    return {
        "zero": at(0.0),
        "rungs": [
            {"low": at(s.value_gain.low), "mean": at(s.value_gain.mean), "high": at(s.value_gain.high)}
            for s in shown
        ],
        "unit": values.unit,
    }
