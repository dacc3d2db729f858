"""The club card: a whole club as measured, that is in nobody's inventory and cannot be taken apart."""

from __future__ import annotations

import math
from collections.abc import Mapping
from pathlib import Path
from typing import Any

from fitter.base.assumptions import current
from fitter.base.errors import InputError, Problem, raise_if
from fitter.base.sources import toml
from fitter.kit.club import Club
from fitter.kit.figures import Figure, Reading, fill
from fitter.kit.inventory import HEAD_COLUMNS, SHAFT_COLUMNS, read_places
from fitter.kit.parts import Head, Shaft
from fitter.kit.table import MISSING, Column, cells_of, parse_rows
from fitter.kit.weighing import WHOLE, weigh

_CLUB = (
    Column("length_in", "figure", 30, 60),
    Column("total_mass_g", "figure", 200, 500),
    Column("balance_mm", "figure", 500, 1100),
    Column("swing_weight_points", "figure", -30, 40),
    Column("frequency_cpm", "figure", 100, 500),
    Column("clamp_mm", "figure", 30, 300),
    Column("head_mass_g", "figure", 100, 300),
    Column("shaft_mass_g", "figure", 20, 200),
    Column("grip_mass_g", "figure", 10, 150),
    Column("tip_ei_nm2", "figure", 3, 150),
    Column("torque_deg", "figure", 0.5, 15),
)
_TAKEN = {"head", "stamped_loft_deg", "mass_g", "settings", "lies", "weights", "swaps_g", "stock", "price",
          "fits", "note"}  # fmt: skip
MEASURED_COLUMNS = (*_CLUB, *(c for c in HEAD_COLUMNS if c.name not in _TAKEN))
STAMPED_COLUMNS = (
    Column("loft_deg", "figure", 0, 25),
    Column("shaft_mass_g", "figure", 20, 200),
    Column("length_in", "figure", 30, 60),
    Column("flex", "text"),
)
TOP_COLUMNS = (
    Column("code", "text"),
    Column("sleeve_deg", "number", -6, 6),
    Column("lie_change_deg", "number", -6, 6),
    *(c for c in HEAD_COLUMNS if c.name in ("settings", "lies", "weights", "swaps_g", "fits")),
    Column("place", "text"),
    *(c for c in SHAFT_COLUMNS if c.name == "tip"),
    Column("wraps", "text"),
    Column("note", "text"),
)
_LETTER = {g: 10 * (i - 3) for i, g in enumerate("ABCDEFG")}


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
        data = toml(file, "a club card")
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
    club = _club(str(read.get("code") or code), read, seen, stamp, where, problems)
    raise_if(problems, f"The club card {where} has {len(problems)} fault{'s' * (len(problems) != 1)}.")
    return club


def _club(
    code: str,
    top: dict[str, Any],
    seen: dict[str, Any],
    stamp: dict[str, Any],
    where: str,
    problems: list[Problem],
) -> Club:
    known = current()
    sleeve, lie = float(top.get("sleeve_deg", 0.0)), float(top.get("lie_change_deg", 0.0))
    length = _length(seen, stamp)
    whole = {str(n): fill("club", n, seen[n]) for n in WHOLE if n in seen}
    masses = weigh(code, fill("club", "length_in", length), _parts(seen, stamp), whole)

    places = read_places(top.get("weights", ()), where, problems)
    place = str(top.get("place", ""))
    if place and place not in [w.name for w in places]:
        names = ", ".join(w.name for w in places) or "none"
        problems.append(Problem(f"{where}, place", repr(place), names, "Use one of the places in weights."))
    # A head is measured with its weight in the first place.
    places = tuple(sorted(places, key=lambda w: w.name != place))
    positions = _positions(top, sleeve, lie, where, problems)
    head = Head(
        head=code,
        mass_g=_reading(masses.figure("head_mass_g")),
        stamped_loft_deg=stamp.get("loft_deg"),
        settings=tuple(p[0] for p in positions),
        lies=tuple(p[1] for p in positions),
        weights=places,
        swaps_g=tuple(top.get("swaps_g", ())),
        fits=tuple(top.get("fits", ())),
        masses=masses,
        **_head_figures(seen, sleeve, lie),
    )
    cut_mm = length.value * 25.4 - known.value("club.shaft_short_mm")
    cut_sd = math.hypot(fill("club", "length_in", length).sd, known.sd("club.shaft_short_mm") / 25.4)
    on_club: dict[str, Any] = {n: seen[n] for n in ("clamp_mm", "tip_ei_nm2", "torque_deg") if n in seen}
    if "frequency_cpm" in seen:
        on_club["frequency_cpm"] = _reading(fill("club", "frequency_cpm", seen["frequency_cpm"]))
        ahead = known.value("club.shaft_short_mm") - known.value("club.head_short_mm")
        on_club |= {"tip_mass_g": head.mass_g, "tip_ahead_mm": Reading(ahead)}
    shaft = Shaft(
        shaft=code,
        mass_g=_reading(masses.figure("shaft_mass_g")),
        balance_pct=_reading(masses.figure("balance_pct")),
        length_in=Reading(cut_mm / 25.4, cut_sd),
        grip_mass_g=_reading(masses.figure("grip_mass_g")),
        tip=str(top.get("tip", "")),
        flex=str(stamp.get("flex", "")),
        masses=masses,
        **on_club,
    )
    measured = (*whole.items(), *((n, fill("club", n, seen[n])) for n in ("frequency_cpm",) if n in seen))
    return Club(
        head,
        shaft,
        length,
        sleeve,
        lie,
        place=place,
        frequency_cpm=seen.get("frequency_cpm"),
        clamp_mm=seen.get("clamp_mm"),
        whole=measured,
    )


def _reading(figure: Figure) -> Reading:
    return Reading(figure.value, figure.sd)


def _length(seen: dict[str, Any], stamp: dict[str, Any]) -> Reading:
    """Length as measured, else as printed, else the usual one."""
    known = current()
    if "length_in" in seen:
        return Reading(*seen["length_in"])
    if "length_in" in stamp:
        return Reading(stamp["length_in"].value, known.sd("club.stamp_length_in"))
    return Reading(known.value("club.length_in"), known.sd("club.length_in"))


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
    figures = {c.name: seen[c.name] for c in MEASURED_COLUMNS[len(_CLUB) :] if c.name in seen}
    for name, change in (("loft_deg", sleeve), ("lie_deg", lie)):
        if name in figures:
            figures[name] = Reading(figures[name].value - change, figures[name].sd)
    if "face_angle_deg" in figures and sleeve:
        # The soled face goes with the sleeve: 1 deg of loft closes it by tan(lie).
        li = math.radians(fill("head", "lie_deg", figures.get("lie_deg")).value)
        face = figures["face_angle_deg"]
        figures["face_angle_deg"] = Reading(face.value + sleeve * math.tan(li), face.sd)
    return figures


def _positions(
    top: dict[str, Any], sleeve: float, lie: float, where: str, problems: list[Problem]
) -> list[tuple[float, float]]:
    settings = tuple(top.get("settings", ()))
    lies = tuple(top.get("lies", ())) or (0.0,) * len(settings)
    if len(lies) != len(settings):
        found = f"{len(lies)} lies for {len(settings)} settings"
        problems.append(Problem(f"{where}, lies", found, "one for each setting", "Complete the list."))
        lies = (0.0,) * len(settings)
    return sorted({(0.0, 0.0), (sleeve, lie), *zip(settings, lies, strict=True)})


def _read(
    table: Mapping[str, Any], columns: tuple[Column, ...], where: str, problems: list[Problem]
) -> dict[str, Any]:
    """Values of one table of the card through the checks of the kit's files."""
    cells = {"code": "card", **cells_of(table)}
    known = (Column("code", "text"), *(c for c in columns if c.name != "code"))
    rows = parse_rows([(where, cells)], known, "code", problems)
    return {k: v for k, v in (rows[0].values if rows else {}).items() if v is not None and k in table}


def _points(value: Any, where: str, problems: list[Problem]) -> Any:
    """Points above D0 of 'D3'; a number of points, or nothing, as it is."""
    text = str(value).strip()
    if not isinstance(value, str) or text.casefold() in MISSING:
        return value
    try:
        return _LETTER[text[:1].upper()] + float(text[1:])
    except (KeyError, ValueError):
        where, allowed = f"{where} [measured], swing_weight", "a letter from A to G and a number"
        problems.append(Problem(where, repr(value), allowed, "Write it such as 'D2' or 'C9.5'."))
        return "unknown"
