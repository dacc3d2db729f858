"""One line of a typed shot: 'club 112 ball 165 launch 12.5 spin 2650 carry 270 side 5R toe 4'."""

from __future__ import annotations

import re
from dataclasses import dataclass

from fitter.base.errors import InputError, Problem, raise_if
from fitter.base.units import find_unit, parse_quantity
from fitter.shots.vocabulary import CHANNELS
from fitter.tui.bench import Typed


@dataclass(frozen=True)
class Short:
    """A short word: its channel, the kind of quantity, the sign that it carries."""

    channel: str
    kind: str
    sign: float = 1.0


SHORT: dict[str, Short] = {
    "club": Short("club_speed_mps", "speed"),
    "attack": Short("attack_deg", "angle"),
    "path": Short("path_deg", "angle"),
    "face": Short("face_deg", "angle"),
    "loft": Short("dynamic_loft_deg", "angle"),
    "toe": Short("strike_toe_mm", "strike"),
    "heel": Short("strike_toe_mm", "strike", -1.0),
    "high": Short("strike_high_mm", "strike"),
    "low": Short("strike_high_mm", "strike", -1.0),
    "ball": Short("ball_speed_mps", "speed"),
    "launch": Short("launch_deg", "angle"),
    "start": Short("direction_deg", "angle"),
    "spin": Short("spin_rpm", "spin"),
    "axis": Short("spin_axis_deg", "angle"),
    "carry": Short("carry_m", "length"),
    "total": Short("total_m", "length"),
    "side": Short("offline_m", "length"),
    "apex": Short("apex_m", "length"),
    "land": Short("descent_deg", "angle"),
}
"""Short words of the entry line, in the order of the groups."""
_SIDED = re.compile(r"^([\d.]+)\s*([a-z°]*?)\s*([lr])(?:eft|ight)?$", re.IGNORECASE)
EXAMPLE = "club 112 ball 165 launch 12.5 spin 2650 carry 270 side 5R"


def read_shot(text: str, units: str, build: str = "") -> Typed:
    """Read a typed shot.

    Parameters
    ----------
    text : str
        Pairs of a short word and a quantity; sides take L or R, a bare number is in the units in force.
    units : {'us', 'metric'}
    build : str
        Build in hand.

    Returns
    -------
    Typed

    Raises
    ------
    InputError
        With everything that cannot be read.

    Examples
    --------
    >>> read_shot("launch 12 side 9.144mL", "us").values
    (('launch_deg', 12.0), ('offline_m', -9.144))
    """
    words = text.replace("=", " ").split()
    problems: list[Problem] = []
    values: dict[str, float] = {}
    k = 0
    while k < len(words):
        name = words[k].casefold().strip(":,")
        short = SHORT.get(name)
        if short is None:
            problems.append(
                Problem(f"word {k + 1}", repr(words[k]), ", ".join(SHORT), "Write a word, then its number.")
            )
            k += 1
            continue
        parts: list[str] = []
        while k + 1 < len(words) and _belongs(words[k + 1], len(parts)):
            k += 1
            parts.append(words[k].rstrip(","))
        k += 1
        try:
            values[short.channel] = short.sign * _value(name, short, "".join(parts), units)
        except InputError as error:
            problems.extend(error.problems)
    if not words:
        problems.append(Problem("the line", "nothing", f"such as: {EXAMPLE}", "Type what was measured."))
    raise_if(problems, "This shot cannot be read.")
    order = [s.channel for s in SHORT.values()]
    return Typed(tuple(sorted(values.items(), key=lambda v: order.index(v[0]))), build)


def _belongs(word: str, at: int) -> bool:
    """Whether a word goes on with a quantity: anything that is no short word, then a unit or a side."""
    bare = word.casefold().strip(":,")
    if at == 0:
        return bare not in SHORT
    return bare in ("l", "r", "left", "right") or (bare not in SHORT and find_unit(bare) is not None)


def _value(name: str, short: Short, text: str, units: str) -> float:
    if not CHANNELS[short.channel].mirrored:
        value = parse_quantity(text, short.kind, units, name)
        return value * 1000.0 if short.kind == "strike" else value
    match = _SIDED.match(text)
    if match is None:
        if re.fullmatch(r"0+\.?0*", text):
            return 0.0
        problem = Problem(name, repr(text), "a number with L or R, such as 5R", "Say left or right.")
        raise InputError(f"{name} needs its side.", [problem])
    size = parse_quantity(match[1] + match[2], short.kind, units, name)
    return size if match[3].casefold() == "r" else -size
