"""Flags of a session as its player sees them."""

from __future__ import annotations

import re
from dataclasses import replace

from fitter.shots.session import CHANNELS, Flag, Session

_NUMBER = r"[+-]?\d+\.?\d*(?:e[+-]?\d+)?"
ALONE = re.compile(rf"^({_NUMBER})(?!\S)(.*)$")
"""Words of a flag that start with one number."""
RANGE = re.compile(rf"^({_NUMBER}) to ({_NUMBER})(?!\S)(.*)$")
SPREAD = re.compile(rf"^({_NUMBER}) \+- ({_NUMBER}) (\S+)(.*)$")


def flags_seen(session: Session) -> tuple[Flag, ...]:
    """Flags with sides as the player sees them: a left-hander's signs are mirrored back."""
    if session.hand != "left":
        return session.flags
    return tuple(
        replace(f, found=_turned(f.found), expected=_turned(f.expected))
        if f.channel in CHANNELS and CHANNELS[f.channel].mirrored
        else f
        for f in session.flags
    )


def _negative(number: str) -> str:
    if float(number) == 0.0:
        return number.lstrip("+-")
    return number[1:] if number.startswith("-") else "-" + number.lstrip("+")


def _turned(words: str) -> str:
    """Numbers of a flag in the mirror.

    Examples
    --------
    >>> _turned("-21 deg"), _turned("-20 to 10 deg"), _turned("its own numbers")
    ('21 deg', '-10 to 20 deg', 'its own numbers')
    """
    if match := RANGE.match(words):
        return f"{_negative(match[2])} to {_negative(match[1])}{match[3]}"
    if match := ALONE.match(words):
        return _negative(match[1]) + match[2]
    return words
