"""One line of a typed shot: 'club 112 ball 165 launch 12.5 spin 2650 carry 270 side 5R toe 4'."""

from __future__ import annotations

import re
from dataclasses import dataclass

from fitter.base.errors import InputError, Problem, raise_if
from fitter.base.units import Units, find_unit, parse_quantity
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
CELLS = {
    "club": "club_speed_mps", "attack": "attack_deg", "path": "path_deg", "face": "face_deg",
    "loft": "dynamic_loft_deg", "toe": "strike_toe_mm", "high": "strike_high_mm", "ball": "ball_speed_mps",
    "launch": "launch_deg", "start": "direction_deg", "spin": "spin_rpm", "axis": "spin_axis_deg",
    "carry": "carry_m", "total": "total_m", "side": "offline_m", "apex": "apex_m", "land": "descent_deg",
}  # fmt: skip
"""Cells of the form: one for each channel."""
_OTHER = {"toe": "heel", "high": "low"}
_SIDED = re.compile(r"^([\d.]+)\s*([a-z°]*?)\s*([lr])(?:eft|ight)?$", re.IGNORECASE)
EXAMPLE = "club 112 ball 165 launch 12.5 spin 2650 carry 270 side 5R"


def read_cell(word: str, text: str, units: str) -> float:
    """Read one cell of the form; '4 heel' is a place to the heel.

    Raises
    ------
    InputError
        If it cannot be read.

    Examples
    --------
    >>> read_cell("toe", "4 heel", "us"), read_cell("side", "5R", "metric")
    (-4.0, 5.0)
    """
    name, bare = word, text.strip().casefold()
    if word in _OTHER:
        for said in (word, _OTHER[word]):
            if bare.endswith(said):
                name, bare = said, bare.removesuffix(said).strip()
    short = SHORT[name]
    return short.sign * _value(name, short, "".join(bare.split()), units)


def words_of(shot: Typed, units: Units) -> list[tuple[str, str]]:
    """Words of a shot and their values, as they could be typed.

    Examples
    --------
    >>> words_of(Typed((("launch_deg", 12.0), ("offline_m", -9.144))), Units())
    [('launch', '12'), ('side', '10 L')]
    """
    known = dict(shot.values)
    found = []
    for word, channel in CELLS.items():
        if channel not in known:
            continue
        value, about = known[channel], CHANNELS[channel]
        if word in _OTHER:
            text = f"{abs(value):.4g} {word if value >= 0 else _OTHER[word]}"
        else:
            shown = float(units.value(value, about.unit or ""))
            side = f" {'R' if shown >= 0 else 'L'}" if about.mirrored else ""
            text = f"{abs(shown) if about.mirrored else shown:.5g}{side}"
        found.append((word, text))
    return found


def _filled(words: list[str], last: Typed) -> list[str]:
    """Put the words of the last shot before bare numbers, in its order."""
    if not words or words[0].casefold().strip(":,") in SHORT:
        return words
    order = [word for word, channel in CELLS.items() if channel in dict(last.values)]
    out: list[str] = []
    for word in words:
        # A side or a unit belongs to the number before it.
        if not out or not _belongs(word, 1):
            out += order[len([w for w in out if w in order]) :][:1]
        out.append(word)
    return out


def read_shot(text: str, units: str, build: str = "", last: Typed | None = None) -> Typed:
    """Read a typed shot.

    Parameters
    ----------
    text : str
        Pairs of a short word and a quantity; sides take L or R, a bare number is in the units in force.
    units : {'us', 'metric'}
    build : str
        Build in hand.
    last : Typed, optional
        The shot before: bare numbers are read in its order.

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
    words = words if last is None else _filled(words, last)
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
