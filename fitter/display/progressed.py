"""Months of a player as text for people within 100 columns, in sentences and as JSON."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from datetime import date
from typing import Any

from fitter.base.units import Units, counted, strike_place
from fitter.display import pace
from fitter.display.text import WIDTH as PAGE
from fitter.display.text import fitted, notes, plain, table, wrap
from fitter.display.words import air, short_build
from fitter.progress.figures import MIRRORED, Figure
from fitter.progress.progress import Against, Progress, Remark, Seen
from fitter.progress.split import Part
from fitter.shots.vocabulary import CHANNELS

FIGURES: dict[str, tuple[str, str, int]] = {
    "club_speed_mps": ("club speed", "mps", 1),
    "peak_speed_mps": ("peak speed", "mps", 1),
    "ratio": ("ball/club ratio", "", 3),
    "toe_mm": ("strike, to the toe", "mm", 1),
    "high_mm": ("strike, up", "mm", 1),
    "across_mm": ("strike SD across", "mm", 1),
    "up_mm": ("strike SD up", "mm", 1),
    "attack_deg": ("attack", "deg", 1),
    "path_deg": ("path, to the right", "deg", 1),
    "face_deg": ("face, to the right", "deg", 1),
    "loft_deg": ("delivered loft", "deg", 1),
    "carry_m": ("typical carry", "m", 1),
    "weak_m": ("weak carry", "m", 1),
}
"""Label, unit of the core and digits of every figure of a visit."""
CAUSES = {
    "speed": "the player's own club speed",
    "strike": "place and spread of the strike",
    "delivery": "attack, path, face and delivered loft",
    "club": "another club",
    "conditions": "air and wind of the two days",
    "unexplained": "ball and device of the day, and the luck of so few balls",
}
WIDTH = 44
"""Columns of a line of the picture."""


def seen(found: Progress, name: str, figure: Figure) -> Figure:
    """A figure as the player sees it: a left-hander's sides are mirrored back."""
    return figure.mirrored() if found.hand == "left" and name in MIRRORED else figure


def title(found: Progress) -> str:
    """Who, how often, from when to when."""
    days = [v.day for v in found.visits]
    when = f"on {days[0]}" if len(days) == 1 else f"{days[0]} to {days[-1]}"
    who = f"{found.player}, {found.hand}-handed" if found.player else f"{found.hand}-handed player"
    return f"{who}: {counted(len(days), 'visit')}, {when}"


def text(found: Progress, units: Units, width: int = PAGE) -> str:
    """All of it: visits in one air, changes and their causes, pace, distance, notes."""
    lines = [
        wrap(f"{title(found)}. Carries are told for one air: {air(found.air, units)}.", width=width),
        "",
        *fitted(*speeds(found, units), "llrrrrrr", width, ("balls", "ratio", "club")).splitlines(),
        *wrap(f"peak: as of {found.balls} balls, whatever was hit; weak: one ball in five is shorter; "
              "in brackets: 80 %", width=width).splitlines(),
        "",
        *fitted(*swings(found, units), "lllrrrr", width, ("face", "path")).splitlines(),
    ]  # fmt: skip
    if found.pace is not None:
        lines += ["", *picture(found, units)]
    for against in (found.since_last, found.since_first):
        if against is not None:
            lines += ["", *_against(found, against, units, width)]
    lines += ["", *(wrap(s, width=width) for s in going(found, units)), ""]
    return "\n".join([*lines, *notes((remark(r, units) for r in found.remarks), width)])


Table = tuple[tuple[str, ...], list[tuple[str, ...]]]
"""Heads and rows."""


def speeds(found: Progress, units: Units) -> Table:
    """Heads and rows of the visits: speeds, ratio, carries."""
    fast, far = units.speed_unit, units.distance_unit
    heads = ("visit", "club", "balls", f"club {fast}", "peak", "ratio", f"carry {far}", "weak")
    rows: list[tuple[str, ...]] = []
    for v in found.visits:
        f = v.figures
        rows.append((
            v.day.isoformat(), _club(found, v), str(v.balls), _with_span(f, "club_speed_mps", units),
            _plain(f, "peak_speed_mps", units), _plain(f, "ratio", units, 2),
            _with_span(f, "carry_m", units, 0), _plain(f, "weak_m", units, 0),
        ))  # fmt: skip
    return heads, rows


def swings(found: Progress, units: Units) -> Table:
    """Heads and rows of the visits: strike and delivery."""
    heads = ("visit", "strike mm", "SD across, up mm", "attack deg", "path", "face", "loft")
    rows: list[tuple[str, ...]] = []
    for v in found.visits:
        f = {name: seen(found, name, figure) for name, figure in v.figures.items()}
        spread = f"{units.number(f['across_mm'].value)}, {units.number(f['up_mm'].value)}"
        rows.append((
            v.day.isoformat(), strike_place(f["toe_mm"].value, f["high_mm"].value), spread,
            units.number(f["attack_deg"].value, 1), units.side(f["path_deg"].value),
            units.side(f["face_deg"].value), units.number(f["loft_deg"].value, 1),
        ))  # fmt: skip
    return heads, rows


def picture(found: Progress, units: Units) -> list[str]:
    """One line a visit on an axis of club speed, with the level that the pace makes of it."""
    way = found.pace
    assert way is not None
    figures = [v.figures["club_speed_mps"] for v in found.visits]
    low, high = min(f.low for f in figures), max(f.high for f in figures)
    room = 0.05 * (high - low)
    low, high = low - room, high + room

    def at(value: float) -> int:
        return min(max(round((value - low) / (high - low) * (WIDTH - 1)), 0), WIDTH - 1)

    ends = _number(low, "mps", units, 0), _number(high, "mps", units, 0)
    lines = [f"{'':12}{ends[0]:<{WIDTH - len(ends[1])}}{ends[1]} {units.speed_unit}"]
    for v, f in zip(found.visits, figures, strict=True):
        cells = [" "] * WIDTH
        level = way.mean[way.at.index(v.day)] if v.day in way.at else None
        for k in range(at(f.low), at(f.high) + 1):
            cells[k] = "─"
        cells[at(f.low)], cells[at(f.high)] = "├", "┤"
        if level is not None:
            cells[at(float(level))] = "┼"
        cells[at(f.value)] = "●"
        lines.append(f"{v.day.isoformat()}  {''.join(cells).rstrip()}")
    return [*lines, "   ● visit, ├─┤ 80 %, ┼ the level that pace and form make of it"]


def _against(found: Progress, against: Against, units: Units, width: int) -> list[str]:
    return [
        wrap(changed(found, against, units), width=width),
        *table(*causes(against, units), align="lrrl").splitlines(),
        wrap(believed(found, against, units), "   ", width),
    ]


def changed(found: Progress, against: Against, units: Units) -> str:
    """Sentence over the parts of a change."""
    change = against.change
    since = found.visits[change.since].day
    total = change.total
    far = f"{_number(total.value_m, 'm', units, 1, True)} {units.distance_unit}"
    return (
        f"Since {since}, typical carry as measured, each day in its own air: {far} "
        f"(80 % {_span(total, units)}), made of:"
    )


def causes(against: Against, units: Units) -> Table:
    """Heads and rows of the parts of a change; they add up to it."""
    heads = ("cause", units.distance_unit, "80 %", "")
    rows: list[tuple[str, ...]] = [
        (p.cause, _number(p.value_m, "m", units, 1, True), _span(p, units), CAUSES[p.cause])
        for p in against.change.parts
        # Without another club nothing is there to be told.
        if p.cause != "club" or p.low_m != p.high_m
    ]
    return heads, rows


def believed(found: Progress, against: Against, units: Units) -> str:
    """Which figures changed by more than form, balls and readings explain, and what it takes."""
    sure, unsure = [], []
    for name, (label, core, digits) in FIGURES.items():
        figure = seen(found, name, against.figures[name])
        unit = units.unit(core) if core else ""
        moved = f"{label} {_number(figure.value, core, units, digits, True)} {unit}".rstrip()
        if against.believed(name):
            sure.append(moved)
        elif name in ("club_speed_mps", "carry_m", "attack_deg", "ratio"):
            least = _number(against.believe[name], core, units, digits)
            unsure.append(
                f"{label} ({_number(figure.value, core, units, digits, True)} of {least} {unit}".rstrip()
                + ")"
            )
    said = f"To be believed: {', '.join(sure)}." if sure else "To be believed: nothing yet."
    if unsure:
        said += f" Too small to be told from form, balls and readings: {', '.join(unsure)}."
    return said


def going(found: Progress, units: Units) -> list[str]:
    """Sentences on pace and distance."""
    said = [] if found.pace is None else [pace.pace(found.pace, units)]
    if found.target is not None:
        said += pace.target(found.target, units)
    return said


def remark(found: Remark, units: Units) -> str:
    """One note."""
    code, values = found
    if code == "no anchor":
        club, days = values
        return (
            f"{_days(days)} another club was hit than {short_build(club)} and no ball with that one: what "
            "the club did is a promise of its figures. Five or six balls with it after the warm-up would tell"
        )
    if code == "unknown club":
        return "nobody knows the figures of every club: what another club did is hardly told"
    if code == "devices":
        names = ", ".join(n or "one not named" for n in values[0])
        apart = units.number(100.0 * math.sqrt(2.0) * values[1], 1)
        return (
            f"devices differ ({names}): club speeds of two devices may lie {apart} % apart (SD) for that "
            "reason alone"
        )
    if code == "inferred":
        words = ", ".join(CHANNELS[c].label for c in values[0])
        return f"not measured at every visit, and inferred from the ball there: {words}"
    if code == "no carry":
        return f"{_days(values[0])} no carry was measured: it was flown from the ball's start"
    if code == "indoors":
        return f"{_days(values[0])} balls were hit indoors: their carries are the device's reckoning"
    day, count = values
    what = {"aside": "set aside as misread", "stale": "left out as warm-up or tired"}[code]
    return f"{day.isoformat()}: {counted(count, 'ball')} {what}"


def _days(days: Sequence[date]) -> str:
    return f"on {', '.join(d.isoformat() for d in days)}"


def _club(found: Progress, visit: Seen) -> str:
    return short_build(visit.club)


def _number(value: float, core: str, units: Units, digits: int, sign: bool = False) -> str:
    return units.quantity(value, core, digits, sign, unit=False)


def _span(part: Part, units: Units) -> str:
    return " to ".join(_number(v, "m", units, 1, True) for v in (part.low_m, part.high_m))


def _plain(figures: Mapping[str, Figure], name: str, units: Units, digits: int | None = None) -> str:
    _, core, usual = FIGURES[name]
    return _number(figures[name].value, core, units, usual if digits is None else digits)


def _with_span(figures: Mapping[str, Figure], name: str, units: Units, digits: int | None = None) -> str:
    _, core, usual = FIGURES[name]
    f = figures[name]
    middle, low, high = (
        _number(v, core, units, usual if digits is None else digits) for v in (f.value, f.low, f.high)
    )
    return f"{middle} ({low} to {high})"


def data(found: Progress) -> dict[str, Any]:
    """JSON of it, in the units of its keys; sides as the player sees them, right positive."""

    def figures(given: Mapping[str, Figure]) -> dict[str, Any]:
        return {name: _ends(seen(found, name, f)) for name, f in given.items()}

    def against(one: Against | None) -> dict[str, Any] | None:
        if one is None:
            return None
        c = one.change
        return {
            "since": found.visits[c.since].day.isoformat(),
            "carry_m": _ends(c.total),
            "anchored": c.anchored,
            "parts": [{"cause": p.cause, **_ends(p)} for p in c.parts],
            "figures": {
                name: {**f, "believe": one.believe[name], "believed": one.believed(name)}
                for name, f in figures(one.figures).items()
            },
        }

    return {
        "player": found.player,
        "hand": found.hand,
        "air": plain(found.air),
        "peak_balls": found.balls,
        "visits": [
            {
                "day": v.day.isoformat(), "club": v.club, "device": v.device, "balls": v.balls,
                "set_aside": v.aside, "stale": v.stale, "anchor_balls": v.anchor, "air": plain(v.air),
                **figures(v.figures),
            }
            for v in found.visits
        ],
        "change": {"since_last": against(found.since_last), "since_first": against(found.since_first)},
        "pace": pace.pace_data(found.pace),
        "target": pace.target_data(found.target),
        "notes": [remark(r, Units("metric")) for r in found.remarks],
    }  # fmt: skip


def _ends(found: Figure | Part) -> dict[str, float]:
    if isinstance(found, Part):
        return {"value": found.value_m, "low": found.low_m, "high": found.high_m}
    return {"value": found.value, "low": found.low, "high": found.high}
