"""A page of months for the player, and its picture: charts of speed and carry, causes, tables."""

from __future__ import annotations

import json
from collections.abc import Sequence
from datetime import date
from functools import cache
from pathlib import Path
from typing import Any

from fitter.base.units import Units
from fitter.display import points, progressed
from fitter.display.words import air
from fitter.progress.progress import Against, Progress
from fitter.sheet.markdown import literal, table
from fitter.sheet.render import STANDARD, characters, lacking_in, printable, replaced

LOOKS = Path(__file__).with_name("months.typ")
ROOM = 0.06
"""Share of a chart that is left free at either end."""
AHEAD = 0.35
"""Share of the record that a pace is drawn on beyond the last visit."""


def content(found: Progress, units: Units) -> dict[str, Any]:
    """Everything that the page says, as plain values; positions are shares of their boxes.

    Parameters
    ----------
    found : Progress
    units : Units
    """
    heads, rows = progressed.speeds(found, units)
    more, others = progressed.swings(found, units)
    changes = [a for a in (found.since_last, found.since_first) if a is not None]
    return {
        "title": "Months at a glance",
        "player": found.player,
        "who": progressed.title(found),
        "air": f"Carries are told for one air: {air(found.air, units)}.",
        "key": f"peak: as of {found.balls} balls; weak: one ball in five is shorter; in brackets: 80 %",
        "tables": [
            {"heads": list(heads), "rows": [list(r) for r in rows], "sides": "llrrrrrr"},
            {"heads": list(more), "rows": [list(r) for r in others], "sides": "lllrrrr"},
        ],
        "charts": _charts(found, units),
        "changes": [_change(found, a, units) for a in changes],
        "going": progressed.going(found, units),
        "notes": [progressed.remark(r, units) for r in found.remarks],
    }


def _charts(found: Progress, units: Units) -> list[dict[str, Any]]:
    """Club speed with the pace and what is needed, carry as it was."""
    charts = []
    for name, core, title in (("club_speed_mps", "mps", "club speed"), ("carry_m", "m", "typical carry")):
        figures = [v.figures[name] for v in found.visits]
        spans = [[units.value(x, core) for x in (f.low, f.value, f.high)] for f in figures]
        days = [v.day for v in found.visits]
        band: list[tuple[date, float, float, float]] = []
        if name == "club_speed_mps" and found.pace is not None:
            way = found.pace
            last = days[-1] + AHEAD * (days[-1] - days[0]) if not way.told else days[-1]
            band = [
                (day, *_three(units, core, low, mean, high))
                for day, low, mean, high in zip(way.at, way.low, way.mean, way.high, strict=True)
                if day <= last
            ]
        aim = None
        if found.target is not None:
            far = found.target.distance_m if core == "m" else found.target.needed.expected
            aim = None if far is None else float(units.value(far, core))
        unit = units.unit(core)
        charts.append(_chart(f"{title}, {unit}", days, spans, band, aim))
    return charts


def _three(units: Units, core: str, low: float, mean: float, high: float) -> tuple[float, float, float]:
    """Three values of the core's unit in the units in force."""
    return (
        float(units.value(low, core)),
        float(units.value(mean, core)),
        float(units.value(high, core)),
    )


def _chart(
    title: str,
    days: Sequence[date],
    spans: Sequence[Sequence[float]],
    band: Sequence[tuple[date, float, float, float]],
    aim: float | None,
) -> dict[str, Any]:
    ends = [x for s in (*spans, *(b[1:] for b in band)) for x in s]
    # An aim far off would press everything else together: it is told in words then.
    span = max(ends) - min(ends)
    shown = aim if aim is not None and aim - max(ends) < span else None
    ends += [] if shown is None else [shown]
    low, high = min(ends), max(ends)
    free = ROOM * max(high - low, 1e-9)
    low, high = low - free, high + free
    first, last = min(days), max([*days, *(b[0] for b in band)])
    length = max((last - first).days, 1)

    def x(day: date) -> float:
        return round(ROOM + (1.0 - 2.0 * ROOM) * (day - first).days / length, 4)

    def y(value: float) -> float:
        return round((value - low) / (high - low), 4)

    return {
        "title": title,
        "up": [[y(v), f"{v:g}"] for v in points.ticks(low, high, 5)],
        "across": [
            [x(d), f"{d:%d %b %Y}" if k in (0, len(days) - 1) else f"{d:%d %b}"] for k, d in enumerate(days)
        ],
        "band": [[x(d), y(a), y(m), y(b)] for d, a, m, b in band],
        "points": [[x(d), *(y(v) for v in s)] for d, s in zip(days, spans, strict=True)],
        "aim": None if shown is None else [y(shown), f"{shown:.0f}"],
        "last": x(days[-1]),
    }


def _change(found: Progress, against: Against, units: Units) -> dict[str, Any]:
    heads, rows = progressed.causes(against, units)
    shown = [p for p in against.change.parts if p.cause != "club" or p.low_m != p.high_m]
    low = min(0.0, *(p.low_m for p in shown))
    high = max(0.0, *(p.high_m for p in shown))

    def share(value: float) -> float:
        return round((value - low) / max(high - low, 1e-9), 4)

    return {
        "words": progressed.changed(found, against, units),
        "heads": list(heads),
        "rows": [list(r) for r in rows],
        "bars": [[share(p.low_m), share(p.value_m), share(p.high_m)] for p in shown],
        "zero": share(0.0),
        "believed": progressed.believed(found, against, units),
    }


def markdown(page: dict[str, Any]) -> str:
    """The page as Markdown."""
    out = [f"# {literal(page['title'])}", "", literal(page["who"] + ". " + page["air"]), ""]
    for one in page["tables"]:
        out += [*table(one["heads"], one["rows"], one["sides"]), ""]
    out += [literal(page["key"]), ""]
    for change in page["changes"]:
        out += [literal(change["words"]), "", *table(change["heads"], change["rows"], "lrrl"), ""]
        out += [literal(change["believed"]), ""]
    for sentence in page["going"]:
        out += [literal(sentence), ""]
    if page["notes"]:
        out += ["## Notes", "", *(f"- {literal(n)}" for n in page["notes"]), ""]
    return "\n".join(out).rstrip() + "\n"


def pdf(page: dict[str, Any]) -> bytes:
    """The page as PDF."""
    import typst

    inputs = {"data": _printable(page), "kind": "page"}
    made = typst.compile(_looks(), format="pdf", sys_inputs=inputs, pdf_standards=[STANDARD], timestamp=0)
    return made if isinstance(made, bytes) else made[0]


def png(page: dict[str, Any], ppi: float = 144.0) -> bytes:
    """Charts and causes alone, as a picture."""
    import typst

    inputs = {"data": _printable(page), "kind": "picture"}
    made = typst.compile(_looks(), format="png", sys_inputs=inputs, ppi=ppi, timestamp=0)
    return made if isinstance(made, bytes) else made[0]


def _printable(page: dict[str, Any]) -> str:
    """JSON of the page in characters that the fonts have."""
    said = printable(page)
    said = replaced(said, lacking_in(characters(said), ""))
    return json.dumps(said, ensure_ascii=False, allow_nan=False)


@cache
def _looks() -> bytes:
    return LOOKS.read_bytes()
