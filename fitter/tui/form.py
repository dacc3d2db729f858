"""How a setting of the set-up shows itself, steps, and reads what is typed."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Any

from fitter.advice.options import present_club
from fitter.base.conditions import COURSE_TURFS, Conditions
from fitter.base.errors import InputError, Problem
from fitter.base.units import FOOT, MPH, YARD, Units, from_si, parse_quantity
from fitter.kit.inventory import Kit
from fitter.kit.offer import offer
from fitter.kit.parts import STOCK
from fitter.physics import air
from fitter.tui.bench import Steps, other_log
from fitter.tui.places import beginning, kit_near, logs_near, under
from fitter.tui.view import View

Fields = dict[str, Any]
Show = Callable[[View], str]
Step = Callable[[View, int], Fields]
Read = Callable[[View, str], Fields]


@dataclass(frozen=True)
class Setting:
    """One line of the form.

    Parameters
    ----------
    key, group, label : str
    show : callable
        View to words.
    step : callable or None
        View and -1 or +1 to the fields that change.
    read : callable or None
        View and typed words to the fields that change; raises InputError.
    hint : str
        What may be typed.
    complete : callable, optional
        View and the letters so far to everything that begins so.
    """

    key: str
    group: str
    label: str
    show: Show
    step: Step | None = None
    read: Read | None = None
    hint: str = ""
    complete: Callable[[View, str], Sequence[str]] | None = None


def cycle(items: Sequence[str], now: str, by: int) -> str:
    """Next of a list, round and round.

    Examples
    --------
    >>> cycle(("a", "b"), "b", 1), cycle(("a", "b"), "?", 1)
    ('a', 'a')
    """
    if not items:
        return now
    return items[(items.index(now) + by) % len(items)] if now in items else items[0]


def held(where: str, value: float, low: float, high: float, allowed: str, text: str) -> float:
    """Let a value pass that lies inside its limits.

    Raises
    ------
    InputError
        If it does not.
    """
    if low <= value <= high:
        return value
    raise InputError(
        "That is out of its limits.", [Problem(where, text, allowed, "Check the number and its unit.")]
    )


def decided_for(view: View, **fields: Any) -> Fields:
    """Change the air of the decision."""
    return {"conditions": replace(view.bench.conditions, **fields)}


def here(view: View, **fields: Any) -> Fields:
    """Change the air of the session."""
    return {"measured": replace(view.bench.measured, **fields)}


def both(view: View, **fields: Any) -> Fields:
    """Change the air of the session, and that of the decision with it."""
    return decided_for(view, **fields) | here(view, **fields)


# The present club, the kit, the log.


def presents(view: View) -> list[str]:
    """Present clubs that can be stepped through: the kit's, then 'unknown'."""
    kit = view.kit
    known = [f"{h.head}/{s.shaft}" for h in kit.heads for s in kit.shafts if h.takes(s)] if kit else []
    return [*known, "unknown"]


def step_present(view: View, by: int) -> Fields:
    """Next present club; what hung on the old one goes."""
    return {"present": cycle(presents(view), view.bench.present, by), "in_hand": "", "steps": Steps()}


def read_present(view: View, text: str) -> Fields:
    """Present club from words."""
    if text.casefold().endswith(".toml"):
        text = str(Path(text).expanduser().resolve())
    # A code may be typed in small letters.
    text = next((p for p in presents(view) if p.casefold() == text.casefold()), text)
    present_club(view.kit or Kit((), ()), text)
    return {"present": text, "in_hand": "", "steps": Steps()}


def given_log(view: View, log: str) -> Fields:
    """Fields that change with another log; who has no kit yet takes the one that lies there."""
    fields = other_log(view.bench, log)
    near = kit_near(str(Path(log).parent), *under(str(Path.cwd()))) if log and not view.bench.kit else ""
    return {**fields, "kit": near} if near else fields


def step_log(view: View, by: int) -> Fields:
    """Next log of those that lie there, the newest first."""
    return given_log(view, cycle(logs_near(view.bench.log, view.bench.kit), view.bench.log, by))


def read_log(view: View, text: str) -> Fields:
    """Log from a path; nothing means that shots are typed."""
    file = Path(text).expanduser().resolve()
    if text and not file.is_file():
        do = "Type the path of the session's file, or nothing to type shots by hand."
        raise InputError("There is no such log.", [Problem("log", repr(text), "an existing file", do)])
    return given_log(view, str(file) if text else "")


def read_kit(view: View, text: str) -> Fields:
    """Kit from a folder."""
    folder = str(Path(text).expanduser().resolve())
    Kit.load(folder)
    return {"kit": folder}


# The limits of what is offered.


STOCKS = (STOCK, STOCK[:2], STOCK[:1])
TIER_SETS = ("ABCDE", "A", "AB", "ABC", "ABCD")


def step_stock(view: View, by: int) -> Fields:
    """Everything, what can be built today, what is in the rack."""
    now = ",".join(view.bench.stock)
    return {"stock": tuple(cycle([",".join(s) for s in STOCKS], now, by).split(","))}


def step_tiers(view: View, by: int) -> Fields:
    """All tiers, or the cheaper ones."""
    return {"tiers": tuple(cycle(TIER_SETS, "".join(view.bench.tiers), by))}


def read_tiers(view: View, text: str) -> Fields:
    """Tiers from letters; nothing means all."""
    found = offer(tiers=tuple(sorted({c for c in text.upper() if c not in ", "})) or None)
    return {"tiers": found.tiers}


def show_budget(view: View) -> str:
    """What the bought parts may cost."""
    return "no limit" if view.bench.budget is None else f"{view.bench.budget:g}"


def step_budget(view: View, by: int) -> Fields:
    """Fifty more or less; below nothing there is no limit."""
    now = view.bench.budget
    value = (0.0 if by > 0 else None) if now is None else now + 50.0 * by
    return {"budget": None if value is None or value < 0.0 else value}


def read_budget(view: View, text: str) -> Fields:
    """Budget from a number; nothing means no limit."""
    if not text.strip():
        return {"budget": None}
    try:
        value = float(text)
    except ValueError:
        value = float("nan")
    return {"budget": offer(budget=value).budget}


def read_without(view: View, text: str) -> Fields:
    """Shafts that are not wanted, from their codes."""
    found = offer(without_shafts=tuple(w.strip() for w in text.split(",") if w.strip()))
    found.check(view.kit or Kit((), ()))
    return {"without_shafts": found.without_shafts}


def complete_shafts(view: View, text: str) -> list[str]:
    """Codes of shafts that the last word begins; what stands before it stays."""
    done, comma, last = text.rpartition(",")
    codes = [s.shaft for s in view.kit.shafts] if view.kit else []
    head = f"{done}{comma} " if done else ""
    return [head + code for code in beginning(codes, last.strip())]


def plain(field: str, needed: bool = False) -> Read:
    """Reader of words."""

    def read(view: View, text: str) -> Fields:
        if needed and not text:
            raise InputError(
                f"A {field} needs a code.", [Problem(field, "nothing", "such as P5", "Type a code.")]
            )
        return {field: text}

    return read


# Air and ground.


def quantity(
    field: str, kind: str, low: float, high: float, allowed: str, put: Callable[..., Fields]
) -> Read:
    """Reader of a quantity of the air."""

    def read(view: View, text: str) -> Fields:
        where = field.partition("_")[0]
        value = parse_quantity(text, kind, view.bench.units, where)
        return put(view, **{field: held(where, value, low, high, allowed, text)})

    return read


def read_altitude(view: View, text: str) -> Fields:
    """Altitude, kept as a pressure."""
    metres = parse_quantity(text, "altitude", view.bench.units, "altitude")
    return _at(view, held("altitude", metres, -430.0, 5000.0, "-430 to 5000 m", text))


def _at(view: View, metres: float) -> Fields:
    return both(view, pressure_pa=float(air.station_pressure(metres)))


def show_altitude(view: View) -> str:
    """Altitude and pressure."""
    pa = view.bench.measured.pressure_pa
    unit = "m" if view.units.metric else "ft"
    return f"{view.units.number(from_si(float(air.altitude(pa)), unit))} {unit} ({pa / 100:.0f} hPa)"


def step_altitude(view: View, by: int) -> Fields:
    """Altitude by 500 ft or 100 m."""
    step = 100.0 if view.units.metric else 500.0 * FOOT
    metres = (round(float(air.altitude(view.bench.measured.pressure_pa)) / step) + by) * step
    return _at(view, min(max(metres, -400.0), 5000.0))


def step_temperature(view: View, by: int) -> Fields:
    """Temperature by 1 C or 2 F."""
    step = 1.0 if view.units.metric else 10.0 / 9.0
    return both(view, temperature_c=min(max(view.bench.measured.temperature_c + by * step, -30.0), 55.0))


def step_humidity(view: View, by: int) -> Fields:
    """Humidity by 10 %."""
    return both(view, humidity=min(max(round(view.bench.measured.humidity + 0.1 * by, 2), 0.0), 1.0))


def _windier(where: Conditions, units: Units, by: int) -> float:
    """Speed of a wind 2 mph or 1 m/s further, m/s."""
    step = 1.0 if units.metric else 2.0 * MPH
    return min(max(0.0, round(where.wind_mps / step) + by) * step, 30.0)


def step_wind(view: View, by: int) -> Fields:
    """Wind of the decision, one step."""
    return decided_for(view, wind_mps=_windier(view.bench.conditions, view.units, by))


def step_wind_here(view: View, by: int) -> Fields:
    """Wind of the session, one step."""
    return here(view, wind_mps=_windier(view.bench.measured, view.units, by))


def show_wind(where: Conditions, units: Units) -> str:
    """Speed of a wind alone."""
    return units.speed(where.wind_mps) if where.wind_mps else "none"


def turned(where: Conditions, by: int) -> float:
    """Where the wind comes from, an eighth further."""
    return (where.wind_from_deg + 45.0 * by) % 360.0


def step_turf(view: View, by: int) -> Fields:
    """Next turf of a course."""
    return decided_for(view, turf=cycle(COURSE_TURFS, view.bench.conditions.turf, by))


# Numbers of the wish.


def yards(field: str, low: float, high: float, step: float, at: int | None = None) -> tuple[Show, Step, Read]:
    """Show, step and read a length of the wish, kept in yards; `at` is its place in a pair."""

    def get(view: View) -> float:
        value = getattr(view.bench, field)
        return float(value if at is None else value[at])

    def put(view: View, value: float) -> Fields:
        if at is None:
            return {field: value}
        pair = list(getattr(view.bench, field))
        pair[at] = value
        return {field: tuple(pair)}

    def show(view: View) -> str:
        return f"{round(view.units.value(get(view) * YARD, 'm'), 1):g} {view.units.distance_unit}"

    def stepped(view: View, by: int) -> Fields:
        return put(view, min(max(get(view) + by * step, low), high))

    def read(view: View, text: str) -> Fields:
        where = field.partition("_")[0]
        value = parse_quantity(text, "length", view.bench.units, where) / YARD
        return put(view, round(held(where, value, low, high, f"{low:g} to {high:g} yd", text), 2))

    return show, stepped, read


def show_hole(view: View) -> str:
    """Holes over which strokes are averaged: the usual ones, or one alone."""
    yards = view.bench.hole_yd
    return view.units.distance(yards * YARD, 0) if yards else "the usual ones"


def step_hole(view: View, by: int) -> Fields:
    """One hole alone, from 250 to 650 yd; below that the usual ones."""
    yards = (view.bench.hole_yd or 240.0) + 10.0 * by
    return {"hole_yd": 0.0 if yards < 250.0 else min(yards, 650.0)}


def read_hole(view: View, text: str) -> Fields:
    """Read the length of one hole; nothing stands for the usual ones."""
    if not text.strip():
        return {"hole_yd": 0.0}
    value = parse_quantity(text, "length", view.bench.units, "hole") / YARD
    return {"hole_yd": round(held("hole", value, 250.0, 650.0, "250 to 650 yd", text), 2)}


def stepped_share(share: float, by: int) -> float:
    """A share of balls, by twentieths."""
    return round(min(max(share + 0.05 * by, 0.0), 0.95), 2)
