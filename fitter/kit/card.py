"""A club card: what was measured, or only stamped, on a club that is in no inventory and stays whole."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import replace
from pathlib import Path
from typing import Any

from fitter.base import sources
from fitter.base.assumptions import current
from fitter.base.errors import InputError, Problem, raise_if
from fitter.kit.body import WHOLE, head_beyond_tip, swing_value, weigh
from fitter.kit.club import UNKNOWN, Club, from_kit, unknown_club
from fitter.kit.figures import Figure, Reading, fill
from fitter.kit.inventory import Kit, Row, cells_of, not_measured, parse_rows, read_places
from fitter.kit.parts import Column, Head, Place, Shaft, columns

_HEAD, _SHAFT = ({c.name: c for c in columns(part)} for part in (Head, Shaft))
_OF_SHAFT = ("length_in", "frequency_cpm", "clamp_mm", "grip_mass_g", "tip_ei_nm2", "torque_deg")
_OF_HEAD = tuple(
    c for c in _HEAD.values() if c.kind == "figure" and c.name not in ("stamped_loft_deg", "mass_g")
)
_SHAFT_MASS = replace(_SHAFT["mass_g"], name="shaft_mass_g")
MEASURED_COLUMNS = (
    Column("total_mass_g", "figure", 200, 500),
    Column("balance_mm", "figure", 500, 1100),
    Column("swing_weight_points", "figure", -30, 40),
    replace(_HEAD["mass_g"], name="head_mass_g"),
    _SHAFT_MASS,
    *(_SHAFT[name] for name in _OF_SHAFT),
    *_OF_HEAD,
)
"""What a card's table [measured] may hold."""
STAMPED_COLUMNS = (_HEAD["loft_deg"], _SHAFT_MASS, _SHAFT["length_in"], _SHAFT["flex"])
"""What a card's table [stamped] may hold."""
TOP_COLUMNS = (
    Column("sleeve_deg", "number", -6, 6),
    Column("lie_change_deg", "number", -6, 6),
    *(_HEAD[name] for name in ("settings", "lies", "weights", "swaps_g", "fits", "note")),
    Column("place", "text"),
    _SHAFT["tip"],
    Column("wraps", "text"),
)
"""What may stand on top of a card, beside its code."""


def present_club(kit: Kit, text: str) -> Club:
    """Present club from CARD.toml, 'HEAD/SHAFT', 'HEAD+1/SHAFT' (sleeve position) or 'unknown'.

    Raises
    ------
    InputError
        If it is none of these, or a card, a code or the sleeve's position cannot be understood.
    """
    if text.casefold() == UNKNOWN:
        return unknown_club()
    if text.casefold().endswith(".toml"):
        return read_card(text)
    if "/" in text:
        return from_kit(kit, text)
    do = "Name a card file, a head and a shaft of the kit, or say unknown."
    problem = Problem("--present", repr(text), "CARD.toml, HEAD/SHAFT or unknown", do)
    raise InputError("There is no such present club.", [problem])


def read_card(path: str | Path) -> Club:
    """Read a club card: a TOML file with what was measured and what is only stamped.

    ``code``, ``sleeve_deg`` (position of the sleeve as it lies there), ``settings``, ``lies``, ``weights``,
    ``place``, ``swaps_g``, ``tip``, ``wraps`` and ``note`` stand on top. ``[measured]`` holds figures of the
    whole club (`MEASURED_COLUMNS`; also ``swing_weight = "D3"``), ``[stamped]`` those of `STAMPED_COLUMNS`.
    A figure is a number, or ``{ value = 10.9, sd = 0.3 }``; 'unknown', or nothing, is not known. The lofts
    are those of the present position of the sleeve.

    Raises
    ------
    InputError
        With every fault of the card.
    """
    file = Path(path)
    try:
        data = sources.toml(file, "a club card")
    except InputError as error:
        raise InputError("The club card cannot be read.", error.problems) from None
    return card_club(data, file.name, file.stem)


def card_club(data: Mapping[str, Any], where: str = "card", code: str = "card") -> Club:
    """Club of a card's data, as `read_card` reads them; raises as it does."""
    problems: list[Problem] = []
    parts = {k: data.get(k, {}) for k in ("measured", "stamped")}
    for name, table in parts.items():
        if not isinstance(table, Mapping):
            problems.append(Problem(f"{where}, {name}", repr(table), f"a table [{name}]", "Write a table."))
            parts[name] = {}
    top = {k: v for k, v in data.items() if k not in parts}
    measured = dict(parts["measured"])
    if "swing_weight" in measured:
        measured["swing_weight_points"] = _points(measured.pop("swing_weight"), where, problems)
    read = _read(top, TOP_COLUMNS, where, problems)
    seen = _read(measured, MEASURED_COLUMNS, f"{where} [measured]", problems)
    stamp = _read(parts["stamped"], STAMPED_COLUMNS, f"{where} [stamped]", problems)
    places, positions = _places(read, where, problems), _positions(read, where, problems)
    raise_if(problems, f"The club card {where} has {len(problems)} fault{'s' * (len(problems) != 1)}.")
    return _club(str(read.get("code") or code), read, seen, stamp, places, positions)


def _club(
    code: str,
    top: dict[str, Any],
    seen: dict[str, Any],
    stamp: dict[str, Any],
    places: tuple[Place, ...],
    positions: list[tuple[float, float]],
) -> Club:
    known, (sleeve, lie) = current(), _sleeve(top)
    length = _length(seen, stamp)
    whole = {n: fill("club", n, seen[n]) for n in WHOLE if n in seen}
    masses = weigh(code, fill("club", "length_in", length), _parts(seen, stamp), whole)
    head = Head(
        head=code,
        mass_g=_reading(masses.figure("head_mass_g")),
        stamped_loft_deg=stamp.get("loft_deg"),
        settings=tuple(p[0] for p in positions),
        lies=tuple(p[1] for p in positions),
        weights=places,
        swaps_g=top.get("swaps_g", ()),
        fits=top.get("fits", ()),
        masses=masses,
        **_head_figures(seen, sleeve, lie),
    )
    on_club: dict[str, Any] = {n: seen[n] for n in ("clamp_mm", "tip_ei_nm2", "torque_deg") if n in seen}
    if "frequency_cpm" in seen:
        whole["frequency_cpm"] = fill("club", "frequency_cpm", seen["frequency_cpm"])
        on_club |= {
            "frequency_cpm": _reading(whole["frequency_cpm"]),
            "tip_mass_g": head.mass_g,
            "tip_ahead_mm": Reading(head_beyond_tip() * 1e3),
        }
    cut_mm = length.value * 25.4 - known.value("club.shaft_short_mm")
    cut_sd = math.hypot(fill("club", "length_in", length).sd, known.sd("club.shaft_short_mm") / 25.4)
    shaft = Shaft(
        shaft=code,
        mass_g=_reading(masses.figure("shaft_mass_g")),
        balance_pct=_reading(masses.figure("balance_pct")),
        length_in=Reading(cut_mm / 25.4, cut_sd),
        grip_mass_g=_reading(masses.figure("grip_mass_g")),
        tip=top.get("tip", ""),
        flex=stamp.get("flex", ""),
        masses=masses,
        **on_club,
    )
    return Club(
        head,
        shaft,
        length,
        sleeve,
        lie,
        place=top.get("place", ""),
        frequency_cpm=seen.get("frequency_cpm"),
        clamp_mm=seen.get("clamp_mm"),
        whole=tuple(whole.items()),
    )


def _sleeve(top: dict[str, Any]) -> tuple[float, float]:
    """Loft and lie change of the sleeve as it lies there, deg."""
    return top.get("sleeve_deg", 0.0), top.get("lie_change_deg", 0.0)


def _places(top: dict[str, Any], where: str, problems: list[Problem]) -> tuple[Place, ...]:
    """Places of the movable weight, its present one first: there the head was measured."""
    places, place = read_places(top.get("weights", ()), where, problems), top.get("place", "")
    if place and place not in [w.name for w in places]:
        names = ", ".join(w.name for w in places) or "none"
        problems.append(Problem(f"{where}, place", repr(place), names, "Use one of the places in weights."))
    return tuple(sorted(places, key=lambda w: w.name != place))


def _positions(top: dict[str, Any], where: str, problems: list[Problem]) -> list[tuple[float, float]]:
    """Loft and lie change of each position of the sleeve, deg."""
    settings = top.get("settings", ())
    lies = top.get("lies") or (0.0,) * len(settings)
    if len(lies) != len(settings):
        found = f"{len(lies)} lies for {len(settings)} settings"
        problems.append(Problem(f"{where}, lies", found, "one for each setting", "Complete the list."))
    return sorted({(0.0, 0.0), _sleeve(top), *zip(settings, lies, strict=False)})


def _reading(figure: Figure) -> Reading:
    return Reading(figure.value, figure.sd)


def _length(seen: dict[str, Any], stamp: dict[str, Any]) -> Reading:
    """Length as measured, else as printed, else the usual one."""
    if "length_in" in seen:
        return Reading(*seen["length_in"])
    if "length_in" in stamp:
        return Reading(stamp["length_in"].value, current().sd("club.stamp_length_in"))
    return _reading(fill("club", "length_in", None))


def _parts(seen: dict[str, Any], stamp: dict[str, Any]) -> dict[str, Figure]:
    """Masses before the whole club is weighed: measured, stamped, or usual."""
    error = current()["club.stamp_shaft_mass_g"]
    shaft = fill("shaft", "mass_g", seen.get("shaft_mass_g"))
    if "shaft_mass_g" in stamp and not shaft.measured:
        shaft = Figure(stamp["shaft_mass_g"].value + error.value, error.sd, False)
    elif not shaft.measured:
        shaft = shaft._replace(value=shaft.value + error.value)
    return {
        "head_mass_g": fill("head", "mass_g", seen.get("head_mass_g")),
        "shaft_mass_g": shaft,
        "balance_pct": fill("club", "cut_balance_pct", None),
        "grip_mass_g": fill("shaft", "grip_mass_g", seen.get("grip_mass_g")),
    }


def _head_figures(seen: dict[str, Any], sleeve: float, lie: float) -> dict[str, Any]:
    """Figures of the head with the sleeve's present position taken off."""
    figures = {c.name: seen[c.name] for c in _OF_HEAD if c.name in seen}
    for name, change in (("loft_deg", sleeve), ("lie_deg", lie)):
        if name in figures:
            figures[name] = Reading(figures[name].value - change, figures[name].sd)
    if "face_angle_deg" in figures and sleeve:
        # The soled face goes with the sleeve: 1 deg of loft closes it by tan(lie).
        li = math.radians(fill("head", "lie_deg", figures.get("lie_deg")).value)
        face = figures["face_angle_deg"]
        figures["face_angle_deg"] = Reading(face.value + sleeve * math.tan(li), face.sd)
    return figures


def _read(
    table: Mapping[str, Any], kinds: tuple[Column, ...], where: str, problems: list[Problem]
) -> dict[str, Any]:
    """Values of one table of the card through the checks of the kit's files."""
    cells = Row(where, {"code": "card", **cells_of(table)})
    rows = parse_rows([cells], (Column("code", "text"), *kinds), "code", problems)
    return {k: v for row in rows for k, v in row.values.items() if k in table}


def _points(value: Any, where: str, problems: list[Problem]) -> Any:
    """Points above D0 of 'D3'; a number of points, or nothing, as it is."""
    text = str(value).strip()
    if not isinstance(value, str) or not_measured(text):
        return value
    try:
        return swing_value(text)
    except ValueError:
        where, allowed = f"{where} [measured], swing_weight", "a letter from A to G and a number"
        problems.append(Problem(where, repr(value), allowed, "Write it such as 'D2' or 'C9.5'."))
        return "unknown"
