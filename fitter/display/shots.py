"""The shots of a session for people: columns in four groups, cells, and flags in words."""

from __future__ import annotations

import math
from dataclasses import dataclass

from fitter.base.units import Units, strike_place
from fitter.shots.findings import Estimate, Flag
from fitter.shots.session import Session
from fitter.shots.vocabulary import CHANNELS, Channel


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
            found.append(f"{label(f.channel)}: {f.reason}" if f.channel in CHANNELS else str(f.found))
    return list(dict.fromkeys(found))


def all_aside(session: Session, mark: str = "") -> str:
    """Every set-aside shot with its reasons, '' without one; the mark goes before each."""
    at = [int(s) for s in session.shot[session.set_aside]]
    return "; ".join(f"{mark}{s} {', '.join(reasons_of(session, s)) or 'by hand'}" for s in at)


def flags_seen(session: Session) -> tuple[Flag, ...]:
    """Flags with sides as the player sees them: a left-hander's are mirrored back."""
    return seen(session).flags


def seen(session: Session) -> Session:
    """A session as the player sees it: a left-hander's is mirrored back."""
    return session.mirrored() if session.hand == "left" else session


def flag_words(flag: Flag, units: Units | None = None) -> tuple[str, str]:
    """What was found and what was expected.

    Parameters
    ----------
    flag : Flag
    units : Units, optional
        Units in force, with sides as L and R; the channel's own unit with signs if None.

    Examples
    --------
    >>> flag_words(Flag(1, "path_deg", "not possible", -21.0, (-20.0, 10.0), True, "deg"), Units())
    ('21 deg L', '20 L to 10 R deg')
    >>> flag_words(Flag(1, "club_speed_mps", "misread", -2.235, Estimate(57.3, 1.2), True, "m/s"), Units())
    ('-5 mph', '128 +- 2.68 mph from the other channels')
    >>> flag_words(Flag(1, "ball_speed_mps", "ratio", 1.6, (1.1, 1.55), False))
    ('1.600', '1.1 to 1.55')
    """
    found, expected = flag.found, flag.expected
    unit, sides = flag.unit, False
    digits, sd_digits = 4 if flag.unit else 3, 2
    if units is not None:
        sides = flag.channel in CHANNELS and CHANNELS[flag.channel].mirrored
        if unit in ("m/s", "m") and units.unit(unit) != unit:
            unit, digits, sd_digits = units.unit(unit), 3, 3

    def size(value: float, digits: int) -> str:
        core = value if units is None or unit == flag.unit else units.value(value, flag.unit)
        return f"{abs(core) if sides else core:.{digits}g}"

    def side(value: float) -> str:
        return "" if not sides or value == 0.0 else " R" if value > 0.0 else " L"

    of_unit = f" {unit}" if unit else ""
    if not isinstance(found, str):
        number = size(found, digits) if flag.unit else f"{found:.3f}"
        found = f"{number}{of_unit}{side(found)}"
    if isinstance(expected, Estimate):
        middle = f"{size(expected.value, digits)}{side(expected.value)}"
        expected = f"{middle} +- {size(expected.sd, sd_digits)}{of_unit} from the other channels"
    elif not isinstance(expected, str):
        expected = " to ".join(f"{size(v, digits if flag.unit else 4)}{side(v)}" for v in expected) + of_unit
    return found, expected


def flag_lines(session: Session, units: Units) -> list[str]:
    """Flags for people: x set aside, ? warned; in the units in force, sides as L and R."""
    lines = []
    for f in flags_seen(session):
        found, expected = flag_words(f, units)
        mark = "x" if f.set_aside else "?"
        if not f.channel:
            lines.append(f"  {mark} shot {f.shot}: {f.reason}, {found}")
            continue
        lines.append(
            f"  {mark} shot {f.shot}, {label(f.channel)}: {f.reason}; found {found}, expected {expected}"
        )
    return lines


def flags_on_paper(session: Session, units: Units) -> list[str]:
    """Flags for people with the mark in words."""
    lines = [line.strip() for line in flag_lines(session, units)]
    return [f"{x[2:]} (set aside)" if x.startswith("x ") else x.removeprefix("? ") for x in lines]
