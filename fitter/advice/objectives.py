"""What a pattern of shots is worth: each objective one small entry."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from fitter.assumptions import load
from fitter.errors import InputError, Problem
from fitter.units import YARD

Floats = NDArray[np.float64]

WEAK = 0.2
"""A weak shot is the 20th percentile."""


@dataclass(frozen=True)
class Pattern:
    """Where the shots of some options finish, in every draw; m, side right +.

    Parameters
    ----------
    carry, total, carry_side, total_side : ndarray, shape (draws, options, shots)
    weights : ndarray, shape (draws, shots)
        Rows sum to 1.
    """

    carry: Floats
    total: Floats
    carry_side: Floats
    total_side: Floats
    weights: Floats

    def row(self, name: str) -> Floats:
        """Value that an objective names, shape (draws, options)."""
        return self.weak() if name == "weak" else self.mean(name)

    def mean(self, name: str) -> Floats:
        """Weighted mean over the shots, shape (draws, options)."""
        return np.asarray((getattr(self, name) * self.weights[:, None]).sum(axis=2))

    def weak(self, name: str = "carry", share: float = WEAK) -> Floats:
        """Weighted quantile over the shots, shape (draws, options).

        The weights of sorted shots, each at the middle of its step, are interpolated.
        """
        values = getattr(self, name)
        order = np.argsort(values, axis=2)
        ranked = np.take_along_axis(values, order, axis=2)
        w = np.take_along_axis(np.broadcast_to(self.weights[:, None], values.shape), order, axis=2)
        place = np.cumsum(w, axis=2) - 0.5 * w
        at = (place < share).sum(axis=2)
        high = np.clip(at, 1, values.shape[2] - 1)[..., None]
        p0, p1 = np.take_along_axis(place, high - 1, 2), np.take_along_axis(place, high, 2)
        v0, v1 = np.take_along_axis(ranked, high - 1, 2), np.take_along_axis(ranked, high, 2)
        t = np.clip((share - p0) / np.maximum(p1 - p0, 1e-12), 0.0, 1.0)
        return np.asarray((v0 + t * (v1 - v0))[..., 0])

    def aim(self, name: str = "carry") -> tuple[Floats, Floats]:
        """Best aim within the cap, and the SD of the side about the target there, (draws, options) each.

        The Bayesian bootstrap shrinks a variance by (n-1)^2/(n(n+1)) on average; that is put back.
        """
        side = getattr(self, f"{name}_side")
        n = side.shape[2]
        mean = (side * self.weights[:, None]).sum(axis=2)
        variance = (side**2 * self.weights[:, None]).sum(axis=2) - mean**2
        variance = np.maximum(variance, 0.0) * n * (n + 1) / max(n - 1, 1) ** 2
        cap = load().value("verdict.aim_cap") * YARD
        aim = np.clip(-mean, -cap, cap)
        return aim, np.sqrt(variance + (mean + aim) ** 2)


@dataclass(frozen=True)
class Objective:
    """One thing that can be wished for.

    Parameters
    ----------
    name, label, unit : str
        Name on the command line, words for people, unit of the value.
    row : str
        Row of the prediction that holds the value, larger is better.
    side : str
        'carry' or 'total': where the ball's side counts.
    """

    name: str
    label: str
    unit: str
    row: str
    side: str


OBJECTIVES: dict[str, Objective] = {
    o.name: o
    for o in (
        Objective("carry", "carry", "m", "carry", "carry"),
        Objective("total", "total distance", "m", "total", "total"),
        Objective("weak", "carry of a weak shot", "m", "weak", "carry"),
    )
}


def find(name: str) -> Objective:
    """Objective of a name.

    Raises
    ------
    InputError
        If there is none.
    """
    if name not in OBJECTIVES:
        problem = Problem("--for", repr(name), ", ".join(OBJECTIVES), "Name one of these.")
        raise InputError("There is no such objective.", [problem])
    return OBJECTIVES[name]
