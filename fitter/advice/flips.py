"""What would turn the verdict: another turf, wind, width, hole or ball law."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True)
class Flip:
    """One change of circumstances and the verdict that it brings.

    Parameters
    ----------
    what : str
        Such as 'turf', 'wind', 'ball law', 'width'.
    now, then : str
        As it is, and as it would have to be.
    action, option : str, str or None
        The verdict there.
    text : str
        One plain sentence.
    """

    what: str
    now: str
    then: str
    action: str
    option: str | None
    text: str
