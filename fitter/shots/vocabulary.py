"""The vocabulary of a shot: its channels, their units and limits, and the points that they belong to."""

from __future__ import annotations

import re
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from fitter.base.assumptions import current
from fitter.base.units import UNITS

Floats = NDArray[np.float64]
Limits = tuple[float, float]


@dataclass(frozen=True)
class Channel:
    """One column of a session.

    Parameters
    ----------
    name : str
        Name with its unit, such as 'club_speed_mps'.
    group : str
        'who', 'swing', 'strike', 'start', 'finish' or 'setup'.
    label : str
        What people read.
    quantity : str or None
        Quantity of `fitter.base.units`; None for words.
    unit : str or None
        Unit of the values, a key of `fitter.base.units.UNITS`.
    mirrored : bool
        Whether the sign flips between right- and left-handers.
    """

    name: str
    group: str
    label: str
    quantity: str | None = None
    unit: str | None = None
    mirrored: bool = False

    @property
    def stem(self) -> str:
        """Name without its unit, such as 'club_speed'."""
        return self.name.rpartition("_")[0] if self.unit else self.name

    @property
    def limits(self) -> Limits | None:
        """Outside these a value is a misread, in ``unit``; None where nothing is judged."""
        return _limits(self.stem, self.unit)

    @property
    def warn(self) -> Limits | None:
        """Outside these a value is unusual, in ``unit``; None where nothing is judged."""
        return _limits(f"{self.stem}_warn", self.unit)


def _limits(stem: str, unit: str | None) -> Limits | None:
    """Judged numbers ``limit.<stem>_low`` and ``_high`` in a unit; None where there are none."""
    a = current()
    names = [f"limit.{stem}_{end}" for end in ("low", "high")]
    if names[0] not in a:
        return None
    low, high = (
        a.value(n)
        if unit is None or a[n].unit == unit
        else a.value(n) * (UNITS[a[n].unit].factor / UNITS[unit].factor)
        for n in names
    )
    return low, high


def ratio_limits() -> tuple[Limits, Limits]:
    """Ball speed over club speed: impossible outside the first limits, unusual outside the second."""
    anything = (0.0, float("inf"))
    return _limits("ratio", None) or anything, _limits("ratio_warn", None) or anything


def _words(*names: str) -> list[Channel]:
    return [Channel(name, "who", name.replace("_", " ")) for name in names]


_ALL = [
    *_words("player", "hand", "club", "build", "ball", "shot", "time", "intent", "place", "note"),
    Channel("club_speed_mps", "swing", "club speed", "speed", "m/s"),
    Channel("speed_point", "swing", "speed point"),
    Channel("face_point", "swing", "face point"),
    Channel("attack_deg", "swing", "attack", "angle", "deg"),
    Channel("path_deg", "swing", "path", "angle", "deg", mirrored=True),
    Channel("face_deg", "swing", "face", "angle", "deg", mirrored=True),
    Channel("dynamic_loft_deg", "swing", "delivered loft", "angle", "deg"),
    Channel("strike_toe_mm", "strike", "strike toe", "length", "mm"),
    Channel("strike_high_mm", "strike", "strike high", "length", "mm"),
    Channel("strike_source", "strike", "strike source"),
    Channel("ball_speed_mps", "start", "ball speed", "speed", "m/s"),
    Channel("launch_deg", "start", "launch", "angle", "deg"),
    Channel("direction_deg", "start", "direction", "angle", "deg", mirrored=True),
    Channel("spin_rpm", "start", "spin", "spin", "rpm"),
    Channel("spin_axis_deg", "start", "spin axis", "angle", "deg", mirrored=True),
    Channel("carry_m", "finish", "carry", "length", "m"),
    Channel("total_m", "finish", "total", "length", "m"),
    Channel("offline_m", "finish", "offline", "length", "m", mirrored=True),
    Channel("apex_m", "finish", "apex", "length", "m"),
    Channel("descent_deg", "finish", "descent", "angle", "deg"),
    Channel("tee_mm", "setup", "tee height", "length", "mm"),
    Channel("ball_forward_mm", "setup", "ball forward", "length", "mm"),
]
CHANNELS: dict[str, Channel] = {channel.name: channel for channel in _ALL}
"""Every channel by name, in the order of tables."""
NUMBERS = tuple(c.name for c in _ALL if c.unit)
"""Channels that hold numbers."""
WORDS = tuple(c.name for c in _ALL if not c.unit and c.name not in ("player", "hand", "shot"))
"""Channels that hold words, shot by shot."""


POINTS = {
    "face_point": {"centre": ("cent", "middle"), "strike": ("strike", "impact", "contact", "struck")},
    "speed_point": {"face": ("face", "cent(er|re)$"), "mass": ("mass", "gravity", "cg$", "com$")},
}
"""Points to which a device's numbers may belong, and words that name them; any other word leaves it open."""
OPEN_POINT = "unknown"


def point(channel: str, words: str) -> int | None:
    """Place in `POINTS` that words name, None where they leave it open.

    Examples
    --------
    >>> point("face_point", "point of impact"), point("speed_point", "CG"), point("face_point", "unknown")
    (1, 1, None)
    """
    said = words.casefold()
    for place, known in enumerate(POINTS[channel].values()):
        if any(re.search(rf"\b{word}", said) for word in known):
            return place
    return None
