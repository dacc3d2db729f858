"""The shots of a session for people: columns in four groups, cells, and flags in words."""

from __future__ import annotations

import math
from dataclasses import dataclass

from fitter.base.units import Units, strike_place
from fitter.shots.flagged import ALONE, RANGE, SPREAD, flags_seen
from fitter.shots.session import CHANNELS, Channel, Session


@dataclass(frozen=True)
class Column:
    """One channel in a table of shots.

    Parameters
    ----------
    channel : str
        Key of `CHANNELS`, which says group, unit and whether the value is a side.
    label : str
        Short head.
    digits : int
    width : int
        Least columns of a terminal.
    need : int
        1 always shown, 2 where there is room (about 100 columns), 3 where there is more (about 130).
    """

    channel: str
    label: str
    digits: int
    width: int
    need: int = 1

    @property
    def about(self) -> Channel:
        """What the channel is."""
        return CHANNELS[self.channel]

    @property
    def group(self) -> str:
        """'swing', 'strike', 'start' or 'finish'."""
        return self.about.group

    def unit(self, units: Units) -> str:
        """Unit of the column."""
        return units.unit(self.about.unit or "")

    def cell(self, value: float, units: Units, digits: int | None = None) -> str:
        """One value without its unit; sides as L and R, strike places as toe, heel, high or low.

        Examples
        --------
        >>> [COLUMNS[k].cell(v, Units()) for k, v in ((0, 50.0), (5, -12.2), (3, -2.04), (3, float("nan")))]
        ['112', '12 heel', '2.0 L', '-']
        """
        if not math.isfinite(value):
            return "-"
        core = self.about.unit or ""
        if digits is None:
            digits = self.digits + (units.metric and self.about.quantity == "speed")
        if self.channel == "strike_toe_mm":
            return strike_place(value, 0.0)
        if self.channel == "strike_high_mm":
            return strike_place(0.0, value)
        if self.about.mirrored:
            return units.side(units.value(value, core), digits=digits)
        return units.quantity(value, core, digits, unit=False)


COLUMNS = (
    Column("club_speed_mps", "club", 0, 5),
    Column("attack_deg", "attack", 1, 6, 2),
    Column("path_deg", "path", 1, 6, 3),
    Column("face_deg", "face", 1, 6, 3),
    Column("dynamic_loft_deg", "loft", 1, 5),
    Column("strike_toe_mm", "across", 0, 7),
    Column("strike_high_mm", "up", 0, 7, 2),
    Column("ball_speed_mps", "ball", 0, 4),
    Column("launch_deg", "launch", 1, 6),
    Column("direction_deg", "start", 1, 6, 2),
    Column("spin_rpm", "spin", 0, 5),
    Column("spin_axis_deg", "axis", 0, 5, 3),
    Column("carry_m", "carry", 0, 5),
    Column("total_m", "total", 0, 5, 2),
    Column("offline_m", "side", 0, 5),
    Column("apex_m", "apex", 0, 5, 3),
)
"""Every column in the order in which the ball is hit and flies."""


def columns(session: Session) -> list[Column]:
    """Columns that the session measured."""
    return [c for c in COLUMNS if session.has(c.channel)]


def label(channel: str) -> str:
    """A channel in words; a name that is none stays."""
    return CHANNELS[channel].label if channel in CHANNELS else channel


def reasons_of(session: Session, shot: int) -> list[str]:
    """Why a shot is set aside, in few words."""
    found = []
    for f in session.flags:
        if f.shot == shot and f.set_aside:
            found.append(f"{label(f.channel)}: {f.reason}" if f.channel in CHANNELS else f.found)
    return list(dict.fromkeys(found))


def all_aside(session: Session, mark: str = "") -> str:
    """Every set-aside shot with its reasons, '' without one; the mark goes before each."""
    at = [int(s) for s in session.shot[session.set_aside]]
    return "; ".join(f"{mark}{s} {', '.join(reasons_of(session, s)) or 'by hand'}" for s in at)


def flag_lines(session: Session, units: Units) -> list[str]:
    """Flags for people: x set aside, ? warned; in the units in force, sides as L and R."""
    lines = []
    for f in flags_seen(session):
        found, expected = f.found, f.expected
        if f.channel in CHANNELS:
            mirrored = CHANNELS[f.channel].mirrored
            found, expected = (_in_units(w, mirrored, units) for w in (found, expected))
        mark = "x" if f.set_aside else "?"
        if not f.channel:
            lines.append(f"  {mark} shot {f.shot}: {f.reason}, {f.found}")
            continue
        lines.append(
            f"  {mark} shot {f.shot}, {label(f.channel)}: {f.reason}; found {found}, expected {expected}"
        )
    return lines


def flags_on_paper(session: Session, units: Units) -> list[str]:
    """Flags for people with the mark in words."""
    lines = [line.strip() for line in flag_lines(session, units)]
    return [f"{x[2:]} (set aside)" if x.startswith("x ") else x.removeprefix("? ") for x in lines]


def _in_units(words: str, mirrored: bool, units: Units) -> str:
    """Numbers of a flag in the units in force, with L and R in place of signs where they are sides.

    Examples
    --------
    >>> _in_units("-21 deg", True, Units()), _in_units("-20 to 10 deg", True, Units())
    ('21 deg L', '20 L to 10 R deg')
    >>> _in_units("-2.235 m/s", False, Units()), _in_units("0 to 500 m", False, Units("metric"))
    ('-5 mph', '0 to 500 m')
    >>> _in_units("57.3 +- 1.2 m/s from the other channels", False, Units())
    '128 +- 2.68 mph from the other channels'
    """
    if spread := SPREAD.match(words):
        middle = _in_units(f"{spread[1]} {spread[3]}", mirrored, units)
        sd = _in_units(f"{spread[2]} {spread[3]}", False, units)
        return f"{middle.replace(f' {sd.split()[1]}', '')} +- {sd}{spread[4]}"
    numbers = RANGE.match(words) or ALONE.match(words)
    if numbers is None:
        return words
    *parts, unit = numbers.groups()
    core = unit.strip()
    if core in ("m/s", "m") and units.unit(core) != core:
        parts, unit = [f"{units.value(float(part), core):.3g}" for part in parts], f" {units.unit(core)}"
    if not mirrored:
        return " to ".join(parts) + unit
    sides = [" R" if float(part) > 0 else " L" if float(part) < 0 else "" for part in parts]
    sizes = [part.lstrip("+-") for part in parts]
    if len(sizes) == 1:
        return sizes[0] + unit + sides[0]
    return " to ".join(size + side for size, side in zip(sizes, sides, strict=True)) + unit
