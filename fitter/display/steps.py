"""The steps of a build sheet in words."""

from __future__ import annotations

from typing import TYPE_CHECKING

from fitter.kit.body import swing_name

if TYPE_CHECKING:
    from fitter.kit.build import Step

STEPS = {
    "order head": "Order head {head} by gauge: {loft_deg:.1f} deg square-face (+-{window_deg:g}), "
    "sleeve at 0.",
    "mind the stamp": "Its stamp does not say that: two heads of one stamp differ.",
    "gauge loft": "Gauge the loft of head {head} before anything is cut.",
    "set sleeve": "Set the sleeve to {loft_deg:+g} deg loft, {lie_deg:+g} deg lie.",
    "place weight": "Put the weight to {place!r}.",
    "swap weight": "Fit a weight {change_g:+g} g against the head's own.",
    "cut tip": "Cut {cut_mm:g} mm off the tip of shaft {shaft}.",
    "weight tip": "Fix a weight of {mass_g:g} g in the tip of shaft {shaft}.",
    "cut butt": "Cut {about}{size_mm:.0f} mm off the butt of shaft {shaft}: dry-fit the head first.",
    "extend butt": "Extend the butt by {about}{size_mm:.0f} mm of shaft {shaft}: dry-fit the head first.",
    "check length": "Length {length_in:.2f} in by the 60 degree method.",
    "grip": "Grip {mass_g:.0f} g.",
    "swing weight": "Swing weight {name} (+-{window_points:g} point); "
    "one point is {head_g:.1f} g at the head.",
    "gauge all": "Gauge loft, lie, length, total mass, swing weight and frequency; read the card back.",
}
"""Sentence of each action, with the values of its step by name."""


def step_text(step: Step) -> str:
    """Sentence of one step.

    Examples
    --------
    >>> from fitter.kit.build import Step
    >>> step_text(Step("cut butt", {"shaft": "S3", "size_mm": 79.2, "measured": False}))
    'Cut about 79 mm off the butt of shaft S3: dry-fit the head first.'
    """
    values = step.values
    return STEPS[step.action].format(
        **values,
        about="" if values.get("measured", True) else "about ",
        name=swing_name(values.get("points", 0.0)),
    )
