"""The settings of the set-up, one small entry each, in the order of the form."""

from __future__ import annotations

from fitter.advice.objectives import OBJECTIVES
from fitter.advice.response import SETS_FACE
from fitter.base.conditions import TERRAINS
from fitter.display import words
from fitter.display.device import POINT_LABELS, POINT_WORDS
from fitter.shots.vocabulary import OPEN_POINT, POINTS
from fitter.tui import form, places
from fitter.tui.bench import CAUTIONS, WANTED
from fitter.tui.form import Fields, Setting, cycle
from fitter.tui.view import View

BEGIN, PLAYER, BEFORE, SHOP, WISH = (
    "To begin with",
    "Player",
    "Before a ball is hit",
    "What the shop offers",
    "What the session is for",
)
HERE, COURSE = "Air here, while the shots are hit", "The course that the choice is for"
FACE_WORDS = {"soled": "as the club soles", "eye": "square by eye", "unknown": "not asked yet"}


def _caution(key: str) -> Setting:
    def show(view: View) -> str:
        word = view.bench.caution(key)
        return f"{word or '(y or n)'}{' !' if word and word != WANTED[key] else ''}"

    return Setting(f"caution {key}", BEFORE, CAUTIONS[key], show)


def _point(channel: str) -> Setting:
    known = (*POINTS[channel], OPEN_POINT)

    def show(view: View) -> str:
        return POINT_WORDS[channel][getattr(view.bench, channel)]

    def step(view: View, by: int) -> Fields:
        return {channel: cycle(known, getattr(view.bench, channel), by)}

    return Setting(channel, HERE, POINT_LABELS[channel], show, step)


def _trouble(at: int, name: str) -> Setting:
    def step(view: View, by: int) -> Fields:
        pair = list(view.bench.trouble)
        pair[at] = min(max(pair[at] + 0.5 * by, 0.0), 3.0)
        return {"trouble": tuple(pair)}

    return Setting(
        f"trouble {name}", WISH, f"trouble {name}",
        lambda v: f"{v.bench.trouble[at]:g} strokes" if v.bench.trouble[at] else "none", step,
    )  # fmt: skip


def _wish(view: View) -> str:
    wish = view.bench.objective
    return OBJECTIVES[wish].label if wish in OBJECTIVES else wish


SETTINGS = (
    Setting("log", BEGIN, "session log", lambda v: words.path(v.bench.log) or "(shots are typed)",
            form.step_log, form.read_log,
            "path of the session's file, Tab completes it; it is watched from then on",
            lambda v, text: places.paths(text, places.LOGS)),
    Setting("kit", BEGIN, "kit folder", lambda v: words.path(v.bench.kit) or "(none)", None, form.read_kit,
            "folder with heads.csv and shafts.csv; Tab completes it", lambda v, text: places.paths(text)),
    Setting("present", BEGIN, "present club", lambda v: words.path(v.bench.present), form.step_present,
            form.read_present, "HEAD/SHAFT, HEAD+1/SHAFT (sleeve), CARD.toml or unknown; Tab completes",
            lambda v, text: [*places.beginning(form.presents(v), text), *places.paths(text, (".toml",))]
            if text else form.presents(v)),
    Setting("player", PLAYER, "player", lambda v: v.bench.player or "(as the log says)", None,
            form.plain("player", True), "a code, such as P5; no names are needed"),
    Setting("hand", PLAYER, "hand", lambda v: v.bench.hand,
            lambda v, by: {"hand": cycle(("right", "left"), v.bench.hand, by)}),
    *(_caution(key) for key in CAUTIONS),
    Setting("sets_face", BEFORE, "face is set at address", lambda v: FACE_WORDS[v.bench.sets_face],
            lambda v, by: {"sets_face": cycle(tuple(SETS_FACE), v.bench.sets_face, by)}),
    Setting("stock", SHOP, "stock", lambda v: ", ".join(v.bench.stock), form.step_stock),
    Setting("tiers", SHOP, "tiers", lambda v: "".join(v.bench.tiers), form.step_tiers, form.read_tiers,
            "letters of ABCDE, such as AB"),
    Setting("budget", SHOP, "budget", form.show_budget, form.step_budget, form.read_budget,
            "most that parts may cost, or nothing for no limit"),
    Setting("without shafts", SHOP, "not these shafts",
            lambda v: ", ".join(v.bench.without_shafts) or "(none)", None, form.read_without,
            "codes with commas, or nothing; Tab completes", form.complete_shafts),
    Setting("breaches", SHOP, "what breaks a rule",
            lambda v: "may be recommended" if v.bench.allow_breaches else "is never recommended",
            lambda v, by: {"allow_breaches": not v.bench.allow_breaches}),
    Setting("any shaft", SHOP, "shafts offered",
            lambda v: "any" if v.bench.any_shaft else "what suits speed and present shaft",
            lambda v, by: {"any_shaft": not v.bench.any_shaft}),
    Setting("ball", SHOP, "ball", lambda v: v.bench.ball or "(not said)", None, form.plain("ball"),
            "what is hit today; range balls fly shorter"),
    Setting("objective", WISH, "the wish: most of", _wish,
            lambda v, by: {"objective": cycle(tuple(OBJECTIVES), v.bench.objective, by)}),
    Setting("clear", WISH, "carry to clear", *form.yards("clear_yd", 50.0, 400.0, 5.0), "such as 230yd"),
    Setting("width", WISH, "fairway width", *form.yards("width_yd", 10.0, 120.0, 5.0), "such as 35yd"),
    Setting("hole", WISH, "holes", form.show_hole, form.step_hole, form.read_hole,
            "such as 450yd for one hole alone, or nothing for the usual ones"),
    _trouble(0, "left"),
    _trouble(1, "right"),
    Setting("skill", WISH, "a yard is worth", lambda v: f"{v.bench.skill:g} times the tour's",
            lambda v, by: {"skill": min(max(v.bench.skill + 0.5 * by, 1.0), 3.0)}),
    Setting("grid across", WISH, "grid, across", *form.yards("grid_yd", 10.0, 150.0, 5.0, 0), "such as 60yd"),
    Setting("grid along", WISH, "grid, along", *form.yards("grid_yd", 10.0, 400.0, 5.0, 1), "such as 50yd"),
    Setting("balls", WISH, "balls in a set", lambda v: str(v.bench.balls),
            lambda v, by: {"balls": min(max(v.bench.balls + by, 1), 20)}),
    Setting("fairways", WISH, "fairways at least",
            lambda v: f"{100.0 * v.bench.least_fairways:.0f} in 100" if v.bench.least_fairways else "any",
            lambda v, by: {"least_fairways": form.stepped_share(v.bench.least_fairways, by)}),
    Setting("not shorter", WISH, "shorter than now",
            lambda v: "never" if v.bench.not_shorter else "may be",
            lambda v, by: {"not_shorter": not v.bench.not_shorter}),
    Setting("turf", COURSE, "turf", lambda v: v.bench.conditions.turf, form.step_turf),
    Setting("wind", COURSE, "wind", lambda v: form.show_wind(v.bench.conditions, v.units),
            form.step_wind,
            form.quantity("wind_mps", "speed", 0.0, 30.0, "0 to 30 m/s", form.decided_for), "such as 10mph"),
    Setting("wind_from", COURSE, "the wind comes",
            lambda v: words.wind_from(v.bench.conditions.wind_from_deg),
            lambda v, by: form.decided_for(v, wind_from_deg=form.turned(v.bench.conditions, by))),
    Setting("temperature", HERE, "temperature",
            lambda v: v.units.temperature(v.bench.measured.temperature_c), form.step_temperature,
            form.quantity("temperature_c", "temperature", -30.0, 55.0, "-30 to 55 C", form.both),
            "such as 75F or 24C"),
    Setting("altitude", HERE, "altitude", form.show_altitude, form.step_altitude, form.read_altitude,
            "such as 900ft or 300m"),
    Setting("humidity", HERE, "humidity", lambda v: f"{v.bench.measured.humidity * 100:.0f} %",
            form.step_humidity,
            form.quantity("humidity", "share", 0.0, 1.0, "0 to 100 %", form.both), "such as 50%"),
    Setting("wind here", HERE, "wind here", lambda v: form.show_wind(v.bench.measured, v.units),
            form.step_wind_here,
            form.quantity("wind_mps", "speed", 0.0, 30.0, "0 to 30 m/s", form.here), "such as 10mph"),
    Setting("wind here from", HERE, "the wind here comes",
            lambda v: words.wind_from(v.bench.measured.wind_from_deg),
            lambda v, by: form.here(v, wind_from_deg=form.turned(v.bench.measured, by))),
    Setting("terrain", HERE, "the wind blows over", lambda v: v.bench.measured.terrain,
            lambda v, by: form.both(v, terrain=cycle(TERRAINS, v.bench.measured.terrain, by))),
    *(_point(channel) for channel in POINTS),
    Setting("units", HERE, "units", lambda v: f"{v.units.speed_unit}, {v.units.distance_unit}",
            lambda v, by: {"units": "us" if v.units.metric else "metric"}),
)  # fmt: skip
BY_KEY = {s.key: s for s in SETTINGS}
NEEDS = {
    "clear": ("clear",), "hole": ("play",), "trouble left": ("play",),
    "trouble right": ("play",), "skill": ("play",), "grid across": ("grid",), "grid along": ("grid",),
    "balls": ("grid",),
}  # fmt: skip
"""Settings that count for some wishes only."""


def shown(view: View) -> list[Setting]:
    """Settings that count for the player's wish; a wind's side only where there is wind."""
    b = view.bench
    still = {"wind_from"} if not b.conditions.wind_mps else set()
    still |= {"wind here from", "terrain"} if not b.measured.wind_mps else set()
    return [s for s in SETTINGS if s.key not in still and (s.key not in NEEDS or b.objective in NEEDS[s.key])]
