"""Words for clubs, changes, set-ups, causes and surroundings: one wording for every face of the program."""

from __future__ import annotations

import math
import re
from pathlib import Path

from fitter.advice.options import Option
from fitter.advice.scored import DIRECTION, Reason
from fitter.base.conditions import Conditions
from fitter.base.files import state_folder
from fitter.base.units import INCH, Units
from fitter.kit.catalogue import worked
from fitter.kit.club import Club

ACTIONS = {
    "change": "change",
    "trade": "a trade: the player chooses",
    "keep": "keep the present club",
    "test": "test before it is believed",
    "measure": "measure first, then decide",
}
"""What a verdict's action asks for."""
CAUTIONS = (
    "Warm up first and stop on pain: tired swings spoil the comparison and the body. Check clubs and net for "
    "damage before hitting. Local rules and licensed practice come first; training is for qualified coaches."
)
FRESH = "under the fresh line: 95 % of the day's peak club speed"
KINDS = ("head", "shaft", "sleeve", "length or weight", "ball position", "tee height")
"""Kinds of change that can be filtered."""
WINDS = (
    "in the face", "in the face from the right", "from the right", "from behind on the right", "from behind",
    "from behind on the left", "from the left", "in the face from the left",
)  # fmt: skip
"""Where a wind comes from, every 45 deg."""


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


def club_in_full(club: Club) -> str:
    """What a club's code stands for.

    Examples
    --------
    >>> from fitter.kit.club import Club
    >>> from fitter.kit.parts import Head, Shaft
    >>> from fitter.kit.figures import Reading
    >>> club_in_full(Club(Head("H2"), Shaft("S3"), Reading(45.25), loft_change_deg=-1.0, swap_g=4.0))
    'head H2, sleeve at 1 deg less loft, shaft S3, 45.25 in, weight 4 g heavier'
    """
    said = [f"head {club.head.head}"]
    if club.loft_change_deg:
        less = "more" if club.loft_change_deg > 0 else "less"
        said.append(f"sleeve at {abs(club.loft_change_deg):g} deg {less} loft")
    if club.lie_change_deg:
        flat = "upright" if club.lie_change_deg > 0 else "flat"
        said.append(f"lie {abs(club.lie_change_deg):g} deg {flat}")
    said += [f"shaft {club.shaft.shaft}", f"{club.length_in.value:.6g} in"]
    if club.place:
        said.append(f"weight at {club.place}")
    if club.swap_g:
        said.append(f"weight {abs(club.swap_g):g} g {'heavier' if club.swap_g > 0 else 'lighter'}")
    if club.grip_mass_g:
        said.append(f"grip of {club.grip_mass_g.value:g} g")
    if club.tip_cut_mm:
        said.append(f"tip cut {club.tip_cut_mm:g} mm")
    if club.tip_weight_g:
        said.append(f"weight of {club.tip_weight_g:g} g in the tip")
    return ", ".join(said)


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
        words.append(f"{c.head.code} with {c.shaft.code}" if shaft else f"head {c.head.code}")
    elif shaft:
        words.append(c.shaft.code if short else f"shaft {c.shaft.code}")
    if moved or (c.lie_change_deg != present.lie_change_deg and not other):
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
    if c.tip_cut_mm != (0.0 if shaft else present.tip_cut_mm):
        words.append(f"tip cut {c.tip_cut_mm:g} mm")
    if c.tip_weight_g != (0.0 if shaft else present.tip_weight_g):
        words.append(f"{c.tip_weight_g:g} g in the tip")
    if option.ball_forward_mm:
        place = "forward" if option.ball_forward_mm > 0 else "back"
        words.append(f"ball {abs(option.ball_forward_mm):g} mm {place}")
    if option.tee_mm:
        words.append(f"tee {abs(option.tee_mm):g} mm {'higher' if option.tee_mm > 0 else 'lower'}")
    text = ", ".join(words) or "present club"
    return text.replace(" mm", "") if short else text


def named(option: Option, present: Club) -> str:
    """Option as people call it; what it shares with the present club goes without saying, but for the head.

    Examples
    --------
    >>> from fitter.kit.club import unknown_club
    >>> club = unknown_club()
    >>> named(Option("x", "A", club, ball_forward_mm=-20.0), club), named(Option("x", "-", club), club)
    ('unknown, ball 20 mm back', 'present club')
    """
    text = changed(option, present)
    if text == "present club":
        return text
    same = option.club.head.code == present.head.code
    return f"{option.club.head.code}, {text}" if same else text.removeprefix("head ")


def kinds_of_change(option: Option, present: Club) -> set[str]:
    """Kinds of change of an option, out of `KINDS`."""
    c = option.club
    other = c.head.code != present.head.code
    found = {
        "head": other,
        "shaft": c.shaft.code != present.shaft.code,
        "sleeve": not other and c.loft_change_deg != present.loft_change_deg,
        "length or weight": not other and worked(c) != worked(present),
        "ball position": bool(option.ball_forward_mm),
        "tee height": bool(option.tee_mm),
    }
    return {k for k, there in found.items() if there}


def set_up(ball_forward_mm: float, tee_mm: float, hand: str, units: Units) -> list[str]:
    """Ball position and tee height in the player's words.

    Examples
    --------
    >>> set_up(20.0, -8.0, "right", Units("metric"))
    ['ball 2 cm nearer the lead (left) foot', 'tee 8 mm lower']
    >>> set_up(0.0, 0.0, "left", Units("us"))
    ['ball position and tee height as they are now']
    """
    lead, trail = ("left", "right") if hand == "right" else ("right", "left")
    words = []
    if ball_forward_mm:
        foot = f"lead ({lead})" if ball_forward_mm > 0 else f"trail ({trail})"
        words.append(f"ball {_small(abs(ball_forward_mm), units)} nearer the {foot} foot")
    if tee_mm:
        words.append(f"tee {_small(abs(tee_mm), units)} {'higher' if tee_mm > 0 else 'lower'}")
    return words or ["ball position and tee height as they are now"]


def _small(mm: float, units: Units) -> str:
    text = f"{mm / 10:g} cm" if mm >= 10 else f"{mm:g} mm"
    return text if units.metric else f"{text} ({mm / 1e3 / INCH:.1f} in)"


def wider(change_m: float | None, units: Units) -> str:
    """Change of the side spread.

    Examples
    --------
    >>> wider(-1.8288, Units()), wider(0.01, Units()), wider(None, Units())
    ('2.0 yd narrower', 'the same', 'not measured')
    """
    if change_m is None:
        return "not measured"
    size = units.number(abs(units.value(change_m, "m")), 1)
    if float(size) == 0.0:
        return "the same"
    return f"{size} {units.distance_unit} {'wider' if change_m > 0 else 'narrower'}"


def change_of_start(reason: Reason, hand: str, units: Units) -> str:
    """By how much a cause changes the start of the ball; reasons are held in the right-handed frame."""
    if reason.cause == DIRECTION:
        return units.side(-reason.change if hand == "left" else reason.change, "deg")
    core = "mps" if reason.unit == "m/s" else reason.unit
    return units.quantity(reason.change, core, 0 if reason.unit == "rpm" else 1, sign=True)


def stock(option: Option) -> str:
    """Availability of an option, and its price if it has one."""
    return option.availability + (f", {option.price:g}" if option.price else "")


def short_build(build: str) -> str:
    """Build without its length, as a table shows it.

    Examples
    --------
    >>> short_build("H1-1/S2 45.25in ball+20"), short_build("")
    ('H1-1/S2 ball+20', 'present')
    """
    return re.sub(r" \d+(\.\d+)?in\b", "", build) or "present"


def path(text: str) -> str:
    """Path as short as it stays clear: from the working folder, from home, or out of the shop's memory.

    Examples
    --------
    >>> path("")
    ''
    """
    if not text:
        return ""
    laid_out = state_folder() / "visits"
    if Path(text).is_relative_to(laid_out):
        # Below it stand digests of player and visit.
        return "remembered: " + str(Path(*Path(text).relative_to(laid_out).parts[2:]))
    for base, name in ((Path.cwd(), ""), (Path.home(), "~/")):
        try:
            return name + str(Path(text).relative_to(base))
        except ValueError:
            continue
    return text


def wind(c: Conditions, units: Units) -> str:
    """Wind in words.

    Examples
    --------
    >>> wind(Conditions(wind_mps=4.4704, wind_from_deg=90.0), Units()), wind(Conditions(), Units())
    ('10 mph from the right', 'none')
    """
    return f"{units.speed(c.wind_mps)} {wind_from(c.wind_from_deg)}" if c.wind_mps else "none"


def wind_from(from_deg: float) -> str:
    """Where the wind comes from, in eighths."""
    return WINDS[round(from_deg / 45.0) % 8]


def air(c: Conditions, units: Units) -> str:
    """Air, wind, and height and slope of the landing in words.

    Examples
    --------
    >>> air(Conditions(), Units("metric"))
    '25 C, 1013 hPa, 50 % humidity, no wind'
    """
    parts = [
        units.temperature(c.temperature_c),
        f"{units.number(c.pressure_pa / 100)} hPa",
        f"{units.number(100 * c.humidity)} % humidity",
        f"wind {wind(c, units)}" if c.wind_mps else "no wind",
    ]
    if c.landing_height_m:
        up = "above" if c.landing_height_m > 0 else "below"
        parts.append(f"landing {units.distance(abs(c.landing_height_m), 0)} {up} the tee")
    if c.slope_along:
        parts.append(f"landing {_percent(c.slope_along, units)} {'up' if c.slope_along > 0 else 'down'}hill")
    if c.slope_right:
        side = "right" if c.slope_right > 0 else "left"
        parts.append(f"landing rising {_percent(c.slope_right, units)} to the {side}")
    return ", ".join(parts)


def _percent(share: float, units: Units) -> str:
    return f"{units.number(100.0 * abs(share), 1)} %"
