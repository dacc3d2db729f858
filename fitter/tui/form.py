"""The settings of the range: each one small entry that shows itself, steps, and reads what is typed."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Any

from fitter.advice.objectives import OBJECTIVES
from fitter.advice.response import SETS_FACE
from fitter.conditions import TERRAINS, TURFS
from fitter.errors import InputError, Problem
from fitter.tui import words
from fitter.tui.bench import CAUTIONS, WANTED, Bench, answer_caution
from fitter.tui.view import View
from fitter.units import from_si, parse_quantity

Fields = dict[str, Any]


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
    """

    key: str
    group: str
    label: str
    show: Callable[[View], str]
    step: Callable[[View, int], Fields] | None = None
    read: Callable[[View, str], Fields] | None = None
    hint: str = ""


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


def _where(view: View, **fields: Any) -> Fields:
    return {"conditions": replace(view.bench.conditions, **fields)}


def presents(view: View) -> list[str]:
    """Present clubs that can be stepped through: the kit's, then 'unknown'."""
    if view.kit is None:
        return ["unknown"]
    return [f"{h.head}/{s.shaft}" for h in view.kit.heads for s in view.kit.shafts if h.takes(s)] + [
        "unknown"
    ]


def _step_present(view: View, by: int) -> Fields:
    return {
        "present": cycle(presents(view), view.bench.present, by),
        "in_hand": "",
        "steps": type(view.bench.steps)(),
    }


def _read_present(view: View, text: str) -> Fields:
    from fitter.advice.options import present_club
    from fitter.kit.inventory import Kit

    present_club(view.kit or Kit((), ()), text)
    return {"present": text, "in_hand": "", "steps": type(view.bench.steps)()}


def logs_beside(bench: Bench) -> list[str]:
    """Logs in the folder of the present one, else in the working folder."""
    folder = Path(bench.log).parent if bench.log else Path()
    skipped = {"heads.csv", "shafts.csv", "card.toml", "players.toml"}
    found = [p for p in sorted(folder.glob("*")) if p.suffix.casefold() in (".csv", ".tsv", ".txt", ".json",
             ".jsonl", ".xlsx", ".parquet") and p.name not in skipped]  # fmt: skip
    return [str(p) for p in found[:200]]


def _read_log(view: View, text: str) -> Fields:
    file = Path(text).expanduser()
    if text and not file.is_file():
        do = "Type the path of the session's file, or nothing to type shots by hand."
        raise InputError("There is no such log.", [Problem("log", repr(text), "an existing file", do)])
    return {"log": str(file) if text else "", "seen": 0}


def _read_kit(view: View, text: str) -> Fields:
    from fitter.kit.inventory import Kit

    Kit.load(Path(text).expanduser())
    return {"kit": str(Path(text).expanduser())}


def _quantity(field: str, kind: str, low: float, high: float, allowed: str) -> Callable[[View, str], Fields]:
    def read(view: View, text: str) -> Fields:
        value = parse_quantity(text, kind, view.bench.units, field)
        if not low <= value <= high:
            problem = Problem(field, text, allowed, "Check the number and its unit.")
            raise InputError("That is out of its limits.", [problem])
        return _where(view, **{field: value})

    return read


def _pressure(altitude_m: float) -> float:
    from fitter.physics import air

    return float(air.station_pressure(altitude_m))


def altitude_of(pressure_pa: float) -> float:
    """Altitude at which the standard atmosphere has a pressure, m, by halving."""
    low, high = -1000.0, 6000.0
    for _ in range(40):
        middle = 0.5 * (low + high)
        low, high = (middle, high) if _pressure(middle) > pressure_pa else (low, middle)
    return 0.5 * (low + high)


def _read_altitude(view: View, text: str) -> Fields:
    metres = parse_quantity(text, "altitude", view.bench.units, "altitude")
    if not -430.0 <= metres <= 5000.0:
        problem = Problem("altitude", text, "-430 to 5000 m", "Check the number and its unit.")
        raise InputError("That is out of its limits.", [problem])
    return _where(view, pressure_pa=_pressure(metres))


def _show_altitude(view: View) -> str:
    metres = altitude_of(view.bench.conditions.pressure_pa)
    shown = f"{metres:.0f} m" if view.bench.units == "metric" else f"{from_si(metres, 'ft'):.0f} ft"
    return f"{shown.replace('-0 ', '0 ')} ({view.bench.conditions.pressure_pa / 100:.0f} hPa)"


def _step_altitude(view: View, by: int) -> Fields:
    step = 100.0 if view.bench.units == "metric" else 152.4
    metres = round(altitude_of(view.bench.conditions.pressure_pa) / step) * step + by * step
    return _where(view, pressure_pa=_pressure(min(max(metres, -400.0), 5000.0)))


def _show_temperature(view: View) -> str:
    c = view.bench.conditions.temperature_c
    return f"{c:.0f} C" if view.bench.units == "metric" else f"{from_si(c, 'F'):.0f} F"


def _step_temperature(view: View, by: int) -> Fields:
    step = 1.0 if view.bench.units == "metric" else 5.0 / 9.0 * 2.0
    return _where(view, temperature_c=min(max(view.bench.conditions.temperature_c + by * step, -30.0), 55.0))


def step_wind(view: View, by: int) -> Fields:
    """Wind by 2 mph or 1 m/s."""
    scale, _ = words.speed_scale(view.bench.units)
    step = 1.0 if view.bench.units == "metric" else 2.0
    speed = max(0.0, round(view.bench.conditions.wind_mps / scale / step) + by) * step * scale
    return _where(view, wind_mps=min(speed, 30.0))


def step_turf(view: View, by: int) -> Fields:
    """Next turf."""
    return _where(view, turf=cycle(TURFS[:3], view.bench.conditions.turf, by))


def _plain(field: str, what: str) -> Callable[[View, str], Fields]:
    def read(view: View, text: str) -> Fields:
        if field == "player" and not text:
            raise InputError("A player needs a code.", [Problem("player", "nothing", "such as P5", what)])
        return {field: text}

    return read


def _yards(field: str, low: float, high: float, step: float) -> tuple[Any, Any, Any]:
    def show(view: View) -> str:
        value = getattr(view.bench, field)
        return f"{value * 0.9144:.0f} m" if view.bench.units == "metric" else f"{value:g} yd"

    def stepped(view: View, by: int) -> Fields:
        return {field: min(max(getattr(view.bench, field) + by * step, low), high)}

    def read(view: View, text: str) -> Fields:
        value = parse_quantity(text, "length", view.bench.units, field.partition("_")[0]) / 0.9144
        if not low <= value <= high:
            problem = Problem(field.partition("_")[0], text, f"{low:g} to {high:g} yd", "Check the unit.")
            raise InputError("That is out of its limits.", [problem])
        return {field: round(value, 2)}

    return show, stepped, read


def _grid(k: int, step: float) -> tuple[Any, Any, Any]:
    def show(view: View) -> str:
        value = view.bench.grid_yd[k]
        return f"{value * 0.9144:.0f} m" if view.bench.units == "metric" else f"{value:g} yd"

    def put(view: View, value: float) -> Fields:
        grid = list(view.bench.grid_yd)
        grid[k] = min(max(value, 10.0), 200.0)
        return {"grid_yd": tuple(grid)}

    return (
        show,
        lambda view, by: put(view, view.bench.grid_yd[k] + by * step),
        lambda view, text: put(view, parse_quantity(text, "length", view.bench.units, "grid") / 0.9144),
    )


def _caution(key: str) -> Setting:
    def show(view: View) -> str:
        word = view.bench.caution(key)
        return f"{word or 'not asked yet'}{' !' if word and word != WANTED[key] else ''}"

    def step(view: View, by: int) -> Fields:
        return answer_caution(view.bench, key, cycle(("yes", "no"), view.bench.caution(key), by))

    return Setting(f"caution {key}", "Before a ball is hit", CAUTIONS[key], show, step)


def settings() -> tuple[Setting, ...]:
    """Every setting, in the order of the form."""
    at = _yards
    return (
        Setting("player", "Player", "player", lambda v: v.bench.player or "(type a code)", None,
                _plain("player", "Type a code; no names are needed."), "a code, such as P5"),
        Setting("hand", "Player", "hand", lambda v: v.bench.hand,
                lambda v, by: {"hand": cycle(("right", "left"), v.bench.hand, by)}),
        Setting("sets_face", "Player", "sets the face",
                lambda v: {"soled": "as the club soles", "eye": "square by eye", "unknown": "not asked yet"}.get(
                    v.bench.sets_face, v.bench.sets_face),
                lambda v, by: {"sets_face": cycle(tuple(SETS_FACE), v.bench.sets_face, by)}),
        *(_caution(key) for key in CAUTIONS),
        Setting("present", "Club and shop", "present club", lambda v: v.bench.present, _step_present,
                _read_present, "HEAD/SHAFT, HEAD+1/SHAFT (sleeve), CARD.toml or unknown"),
        Setting("kit", "Club and shop", "kit folder", lambda v: v.bench.kit or "(none)", None, _read_kit,
                "folder with heads.csv and shafts.csv"),
        Setting("log", "Club and shop", "session log", lambda v: v.bench.log or "(shots are typed)",
                lambda v, by: {"log": cycle(logs_beside(v.bench), v.bench.log, by), "seen": 0},
                _read_log, "path of the session's file; it is watched from then on"),
        Setting("ball", "Club and shop", "ball", lambda v: v.bench.ball or "(not said)", None,
                _plain("ball", ""), "what is hit today; range balls fly shorter"),
        Setting("objective", "Wish", "the wish",
                lambda v: OBJECTIVES[v.bench.objective].label if v.bench.objective in OBJECTIVES
                else v.bench.objective,
                lambda v, by: {"objective": cycle(tuple(OBJECTIVES), v.bench.objective, by)}),
        Setting("width", "Wish", "fairway width", *at("width_yd", 10.0, 120.0, 5.0), "such as 35yd"),
        Setting("hole", "Wish", "hole length", *at("hole_yd", 250.0, 700.0, 10.0), "such as 450yd"),
        Setting("grid across", "Wish", "grid, across", *_grid(0, 5.0), "such as 60yd"),
        Setting("grid along", "Wish", "grid, along", *_grid(1, 5.0), "such as 50yd"),
        Setting("balls", "Wish", "balls in a set", lambda v: str(v.bench.balls),
                lambda v, by: {"balls": min(max(v.bench.balls + by, 1), 20)}),
        Setting("turf", "Place and air", "turf", lambda v: v.bench.conditions.turf, step_turf),
        Setting("wind", "Place and air", "wind speed",
                lambda v: words.wind(v.bench.conditions.wind_mps, 0.0, v.bench.units).replace(" in the face", ""),
                step_wind, _quantity("wind_mps", "speed", 0.0, 30.0, "0 to 30 m/s"), "such as 10mph"),
        Setting("wind_from", "Place and air", "wind comes",
                lambda v: words.wind_from(v.bench.conditions.wind_from_deg),
                lambda v, by: _where(v, wind_from_deg=(v.bench.conditions.wind_from_deg + 45.0 * by) % 360.0)),
        Setting("temperature", "Place and air", "temperature", _show_temperature, _step_temperature,
                _quantity("temperature_c", "temperature", -30.0, 55.0, "-30 to 55 C"), "such as 75F or 24C"),
        Setting("altitude", "Place and air", "altitude", _show_altitude, _step_altitude, _read_altitude,
                "such as 900ft or 300m"),
        Setting("humidity", "Place and air", "humidity", lambda v: f"{v.bench.conditions.humidity * 100:.0f} %",
                lambda v, by: _where(v, humidity=min(max(v.bench.conditions.humidity + 0.1 * by, 0.0), 1.0)),
                _quantity("humidity", "share", 0.0, 1.0, "0 to 100 %"), "such as 50%"),
        Setting("terrain", "Place and air", "wind blows over", lambda v: v.bench.conditions.terrain,
                lambda v, by: _where(v, terrain=cycle(TERRAINS, v.bench.conditions.terrain, by))),
        Setting("units", "Place and air", "units", lambda v: "mph, yd" if v.bench.units == "us" else "m/s, m",
                lambda v, by: {"units": "metric" if v.bench.units == "us" else "us"}),
    )  # fmt: skip


SETTINGS = settings()
BY_KEY = {s.key: s for s in SETTINGS}
NEEDS = {"width": ("fairway", "clear"), "hole": ("score",), "grid across": ("grid",), "grid along": ("grid",),
         "balls": ("grid",)}  # fmt: skip
"""Settings that count for some wishes only."""


def shown(view: View) -> list[Setting]:
    """Settings that count for the player's wish."""
    wish = view.bench.objective
    return [s for s in SETTINGS if s.key not in NEEDS or wish in NEEDS[s.key]]
