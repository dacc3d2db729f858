"""Words for people: options by what they change, sides by L and R, numbers in the units in force."""

from __future__ import annotations

import math
import re
from pathlib import Path

from fitter.advice.options import Option
from fitter.base.units import MPH, YARD
from fitter.kit.club import Club


def far_scale(units: str) -> tuple[float, str]:
    """Metres in one unit of distance, and its name."""
    return (1.0, "m") if units == "metric" else (YARD, "yd")


def speed_scale(units: str) -> tuple[float, str]:
    """Metres per second in one unit of speed, and its name."""
    return (1.0, "m/s") if units == "metric" else (MPH, "mph")


def number(value: float | None, digits: int = 0) -> str:
    """Number, or a dash where there is none; never minus nought."""
    if value is None or not math.isfinite(value):
        return "-"
    shown = f"{value:.{digits}f}"
    return shown.lstrip("-") if float(shown) == 0.0 else shown


def signed(value: float, digits: int = 0) -> str:
    """Number with its sign, and none for nought.

    Examples
    --------
    >>> signed(-0.04, 1), signed(2.0), signed(-3.26, 1)
    ('0.0', '+2', '-3.3')
    """
    shown = f"{value:+.{digits}f}"
    return shown.lstrip("+-") if float(shown) == 0.0 else shown


def side(value: float | None, digits: int = 0) -> str:
    """Size and L or R.

    Examples
    --------
    >>> side(-3.24, 1), side(12.0), side(0.01)
    ('3.2 L', '12 R', '0')
    """
    if value is None or not math.isfinite(value):
        return "-"
    size = f"{abs(value):.{digits}f}"
    return size if float(size) == 0.0 else f"{size} {'R' if value > 0 else 'L'}"


def strike(toe_mm: float, high_mm: float) -> str:
    """Strike place in words.

    Examples
    --------
    >>> strike(-12.2, 4.0), strike(0.0, 0.0)
    ('12 heel 4 high', 'centre')
    """
    words = []
    for value, (low, high) in ((toe_mm, ("heel", "toe")), (high_mm, ("low", "high"))):
        if math.isfinite(value) and abs(value) >= 0.5:
            words.append(f"{abs(value):.0f} {high if value > 0 else low}")
    return " ".join(words) or "centre"


def club_words(club: Club) -> str:
    """Club in words: parts, sleeve, length.

    Examples
    --------
    >>> from fitter.kit.club import unknown_club
    >>> club_words(unknown_club())
    'unknown club'
    """
    if not club.known and club.head.code == "unknown":
        return "unknown club"
    words = [f"{club.head.code}/{club.shaft.code}"]
    if club.loft_change_deg:
        words.append(f"sleeve {club.loft_change_deg:+g}")
    return " ".join([*words, f"{club.length_in.value:g} in"])


def changed(option: Option, present: Club, short: bool = False) -> str:
    """What an option changes against the present club.

    Examples
    --------
    >>> from fitter.kit.club import unknown_club
    >>> club = unknown_club()
    >>> changed(Option("x", "A", club, ball_forward_mm=20.0), club)
    'ball 20 mm forward'
    """
    c, words = option.club, []
    other = c.head.code != present.head.code
    shaft = c.shaft.code != present.shaft.code
    moved = c.loft_change_deg if other else c.loft_change_deg - present.loft_change_deg
    if other:
        name = c.head.code + (f"{c.loft_change_deg:+g}" if moved else "")
        words.append(f"{name} with {c.shaft.code}" if shaft else f"head {name}")
    elif shaft:
        words.append(c.shaft.code if short else f"shaft {c.shaft.code}")
    if (moved and not other) or (c.lie_change_deg != present.lie_change_deg and not other):
        words.append(f"sleeve {c.loft_change_deg:+g}")
    if c.place != present.place:
        words.append(f"weight to {c.place or 'its first place'}")
    if not math.isclose(c.length_in.value, present.length_in.value, abs_tol=0.005):
        step = c.length_in.value - present.length_in.value
        words.append(f"{abs(step):g} in {'longer' if step > 0 else 'shorter'}")
    if c.swap_g != (0.0 if other else present.swap_g):
        step = c.swap_g - (0.0 if other else present.swap_g)
        words.append(f"head {abs(step):g} g {'heavier' if step > 0 else 'lighter'}")
    if c.grip_mass_g is not None and c.grip_mass_g != present.grip_mass_g:
        words.append(f"grip {c.grip_mass_g.value:g} g")
    if c.tip_weight_g != (0.0 if shaft else present.tip_weight_g):
        words.append(f"{c.tip_weight_g:g} g in the tip")
    if option.ball_forward_mm:
        place = "forward" if option.ball_forward_mm > 0 else "back"
        words.append(f"ball {abs(option.ball_forward_mm):g} mm {place}")
    if option.tee_mm:
        words.append(f"tee {abs(option.tee_mm):g} mm {'higher' if option.tee_mm > 0 else 'lower'}")
    text = ", ".join(words) or "present club"
    return text.replace(" mm", "") if short else text


def kinds(option: Option, present: Club) -> set[str]:
    """Kinds of change of an option, the words of the filter."""
    c = option.club
    other = c.head.code != present.head.code
    found = {
        "head": other,
        "shaft": c.shaft.code != present.shaft.code,
        "sleeve": not other and c.loft_change_deg != present.loft_change_deg,
        "length or weight": not other
        and (c.length_in.value, c.swap_g, c.tip_weight_g, c.grip_mass_g)
        != (present.length_in.value, present.swap_g, present.tip_weight_g, present.grip_mass_g),
        "ball position": bool(option.ball_forward_mm),
        "tee height": bool(option.tee_mm),
    }
    return {k for k, there in found.items() if there}


KINDS = ("head", "shaft", "sleeve", "length or weight", "ball position", "tee height")
"""Kinds of change that can be filtered."""


def short_build(build: str) -> str:
    """Build without its length, as a table shows it.

    Examples
    --------
    >>> short_build("H1-1/S2 45.25in ball+20"), short_build("")
    ('H1-1/S2 ball+20', 'present')
    """
    return re.sub(r" \d+(\.\d+)?in\b", "", build) or "present"


def path(text: str) -> str:
    """Path as short as it stays clear: from the working folder, or from home.

    Examples
    --------
    >>> path("")
    ''
    """
    if not text:
        return ""
    for base, name in ((Path.cwd(), ""), (Path.home(), "~/")):
        try:
            return name + str(Path(text).relative_to(base))
        except ValueError:
            continue
    return text


def wind(speed_mps: float, from_deg: float, units: str) -> str:
    """Wind in words.

    Examples
    --------
    >>> wind(4.4704, 90.0, "us"), wind(0.0, 0.0, "us")
    ('10 mph from the right', 'none')
    """
    if not speed_mps:
        return "none"
    scale, unit = speed_scale(units)
    return f"{number(speed_mps / scale)} {unit} {wind_from(from_deg)}"


_FROM = ("in the face", "face and right", "from the right", "behind and right",
         "from behind", "behind and left", "from the left", "face and left")  # fmt: skip


def wind_from(from_deg: float) -> str:
    """Where the wind comes from, in eighths."""
    return _FROM[round(from_deg / 45.0) % 8]
