"""Which shafts a fitter would hand a player: mass and frequency against the speed and the present shaft."""

from __future__ import annotations

from typing import NamedTuple

from fitter.base.assumptions import current
from fitter.base.units import MPH
from fitter.kit.parts import Shaft

WINDOWS = {"mass_g": "offer.shaft_mass", "frequency_cpm": "offer.shaft_frequency"}
"""Figures of a shaft that are held against a window, and the assumptions of it."""


class Window(NamedTuple):
    """Least and most of one figure of a shaft that suit a player."""

    low: float
    high: float


def windows(present: Shaft, speed_mps: float) -> dict[str, Window]:
    """Mass and frequency that suit a player, by figure.

    Parameters
    ----------
    present : Shaft
        What the player swings now; a figure of it that nobody measured says nothing.
    speed_mps : float
        Mean club speed, m/s.

    Returns
    -------
    dict of str to Window
        A span about what is usual at that speed, and a step from the present shaft; where that does not suit
        the speed itself, the speed alone decides.
    """
    a, found = current(), {}
    for figure, name in WINDOWS.items():
        faster = speed_mps / MPH - a.value("offer.shaft_speed_mph")
        usual, span = a.value(name) + a.value(f"{name}_slope") * faster, a.value(f"{name}_span")
        window, now = Window(usual - span, usual + span), present.figure(figure)
        if now.measured and window.low <= now.value <= window.high:
            step = a.value(f"{name}_step")
            window = Window(max(window.low, now.value - step), min(window.high, now.value + step))
        found[figure] = window
    return found


def suits(shaft: Shaft, wanted: dict[str, Window]) -> bool:
    """Whether a shaft lies inside the windows; what nobody measured leaves no shaft out."""
    figures = ((shaft.figure(name), window) for name, window in wanted.items())
    return all(not f.measured or w.low <= f.value <= w.high for f, w in figures)
