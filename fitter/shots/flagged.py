"""Flags of a session as its player sees them, and in words."""

from __future__ import annotations

import re
from dataclasses import replace

from fitter.base.units import SYSTEMS, from_si
from fitter.shots.session import CHANNELS, Flag, Session

_NUMBER = r"[+-]?\d+\.?\d*(?:e[+-]?\d+)?"
_ALONE = re.compile(rf"^({_NUMBER})(?!\S)(.*)$")
_RANGE = re.compile(rf"^({_NUMBER}) to ({_NUMBER})(?!\S)(.*)$")
_SPREAD = re.compile(rf"^({_NUMBER}) \+- ({_NUMBER}) (\S+)(.*)$")


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


def reasons_of(session: Session, shot: int) -> list[str]:
    """Why a shot is set aside, in few words."""
    found = []
    for f in session.flags:
        if f.shot == shot and f.set_aside:
            label = CHANNELS[f.channel].label if f.channel in CHANNELS else ""
            found.append(f"{label}: {f.reason}" if label else f.found)
    return list(dict.fromkeys(found))


def all_aside(session: Session, mark: str = "") -> str:
    """Every set-aside shot with its reasons, '' without one; the mark goes before each."""
    at = [int(s) for s in session.shot[session.set_aside]]
    return "; ".join(f"{mark}{s} {', '.join(reasons_of(session, s)) or 'by hand'}" for s in at)


def flag_lines(session: Session, units: str) -> list[str]:
    """Flags for people: x set aside, ? warned; in the units in force, sides as L and R."""
    lines = []
    for f in flags_seen(session):
        channel = CHANNELS.get(f.channel)
        label, found, expected = f.channel, f.found, f.expected
        if channel is not None:
            found, expected = (_told(w, channel.mirrored, units) for w in (found, expected))
            label = channel.label
        mark = "x" if f.set_aside else "?"
        if not f.channel:
            lines.append(f"  {mark} shot {f.shot}: {f.reason}, {f.found}")
            continue
        lines.append(f"  {mark} shot {f.shot}, {label}: {f.reason}; found {found}, expected {expected}")
    return lines


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
    if match := _RANGE.match(words):
        return f"{_negative(match[2])} to {_negative(match[1])}{match[3]}"
    if match := _ALONE.match(words):
        return _negative(match[1]) + match[2]
    return words


def _told(words: str, mirrored: bool, units: str) -> str:
    """Numbers of a flag in the units in force, with L and R in place of signs where they are sides.

    Examples
    --------
    >>> _told("-21 deg", True, "us"), _told("-20 to 10 deg", True, "us")
    ('21 deg L', '20 L to 10 R deg')
    >>> _told("-2.235 m/s", False, "us"), _told("0 to 500 m", False, "metric"), _told("1.6", False, "us")
    ('-5 mph', '0 to 500 m', '1.6')
    >>> _told("57.3 +- 1.2 m/s from the other channels", False, "us")
    '128 +- 2.68 mph from the other channels'
    """
    if spread := _SPREAD.match(words):
        middle = _told(f"{spread[1]} {spread[3]}", mirrored, units)
        sd = _told(f"{spread[2]} {spread[3]}", False, units)
        return f"{middle.replace(f' {sd.split()[1]}', '')} +- {sd}{spread[4]}"
    numbers = _RANGE.match(words) or _ALONE.match(words)
    if numbers is None:
        return words
    *parts, unit = numbers.groups()
    shown = {"m/s": SYSTEMS[units]["speed"], "m": SYSTEMS[units]["length"]}.get(unit.strip())
    if shown is not None and shown != unit.strip():
        parts, unit = [f"{from_si(float(part), shown):.3g}" for part in parts], f" {shown}"
    if not mirrored:
        return " to ".join(parts) + unit
    sides = [" R" if float(part) > 0 else " L" if float(part) < 0 else "" for part in parts]
    sizes = [part.lstrip("+-") for part in parts]
    if len(sizes) == 1:
        return sizes[0] + unit + sides[0]
    return " to ".join(size + side for size, side in zip(sizes, sides, strict=True)) + unit
