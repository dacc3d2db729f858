"""The pictures of a session in characters: patterns from above, strike marks, speed by order."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from fitter.advice.pattern import Ellipse
from fitter.advice.scored import Scored
from fitter.base.units import Units
from fitter.display import points, words
from fitter.tui.canvas import Canvas, equal
from fitter.tui.lines import Line, heading, line
from fitter.tui.reading import Reading
from fitter.tui.view import View

Floats = points.Floats

INSIDE = 0.5
"""Share of further balls that a drawn ellipse is to hold."""
GLYPHS = "o+*^#%"
"""Marks of the builds in the order in which they came; the present club's is the first."""
ASIDE, LAST = "x", "@"
FACE_MM = (36.0, 25.0)
"""Half width and half height of the cross, mm: nearly every driver face."""
LABELS = 5
"""Columns of the numbers beside a picture."""


def builds_of(reading: Reading) -> list[str]:
    """Builds in the order in which they came, the present club first."""
    return list(dict.fromkeys(["", *reading.builds]))


def legend(reading: Reading, width: int) -> Line:
    """What the marks mean."""
    names = [f"{GLYPHS[i % len(GLYPHS)]} {words.short_build(b)}" for i, b in enumerate(builds_of(reading))]
    names += [f"{LAST} last"]
    if reading.session.set_aside.any():
        names.append(f"{ASIDE} set aside")
    return line(("  ".join(names)[:width], "dim"))


def _marks(canvas: Canvas, reading: Reading, places: Floats) -> None:
    order = builds_of(reading)
    aside = reading.session.set_aside
    for i, (x, y) in enumerate(places):
        build = reading.builds[i]
        glyph = ASIDE if aside[i] else GLYPHS[order.index(build) % len(GLYPHS)]
        canvas.mark(x, y, glyph, "dim" if aside[i] else "hand" if build else "strong")
    there = np.flatnonzero(np.isfinite(places).all(axis=1))
    if len(there) and not aside[there[-1]]:
        x, y = places[there[-1]]
        canvas.mark(x, y, LAST, "mark")


def _ring(canvas: Canvas, found: Ellipse | None, style: str, broken: bool) -> None:
    """Draw an ellipse; a broken line tells two apart without a colour."""
    if found is None:
        return
    ring = found.outline()
    if broken:
        ring = np.where((np.arange(len(ring)) // 4 % 2 == 1)[:, None], np.nan, ring)
    canvas.path(ring[:, 0], ring[:, 1], style)


def _labelled(canvas: Canvas, ticks: Sequence[float]) -> list[Line]:
    """Rows of a canvas with round numbers beside them."""
    shown = {canvas.row(t): f"{t:.0f}" for t in ticks}
    labels = LABELS - 1
    return [
        Line(((f"{shown.get(k, ''):>{labels}} ", "dim"), *row.spans)) for k, row in enumerate(canvas.lines())
    ]


def _from_above(sets: Sequence[Floats], width: int, rows: int, margin: tuple[float, float]) -> Canvas:
    """Canvas of equal scale that holds some points."""
    low, high = points.box(sets)
    (x0, y0), (x1, y1) = low - margin, high + margin
    return Canvas(width - LABELS, rows, *equal(width - LABELS, rows, (x0, x1), (y0, y1)))


def pattern(reading: Reading, width: int, height: int, units: Units, which: str = "carry") -> list[Line]:
    """Where the balls came down, seen from above: aim line, ellipse of each build, equal scale."""
    places = points.measured(reading.seen, which, units)
    known = np.isfinite(places).all(axis=1)
    title = f"From above: {which}, {units.distance_unit}"
    if any(reading.builds):
        title += "; broken: tried"
    if not known.any() or height < 6:
        return [heading(title), line(("Carry and side were not measured.", "dim"))]
    kept = known & ~reading.session.set_aside
    shown = places[kept if kept.any() else known]
    aim = np.array([[-4.0, shown[0, 1]], [4.0, shown[0, 1]]])
    canvas = _from_above([shown, aim], width, height - 2, (4.0, 6.0))
    ticks = points.ticks(*canvas.y, max(2, canvas.height // 4))
    for tick in ticks:
        for k in np.linspace(*canvas.x, 2 * canvas.width // 8):
            canvas.dot(k, tick, "ghost")
    canvas.path(np.zeros(2), np.array(canvas.y), "zero")
    for build in builds_of(reading):
        found = points.ellipse(places[reading.of_build(build)], INSIDE)
        _ring(canvas, found, "hand" if build else "bar", bool(build))
    _marks(canvas, reading, places)
    left, right = (units.side(x, digits=0) for x in canvas.x)
    ends = f"{left}{'aim':^{max(width - 19, 3)}}{right:>7}"
    return [heading(title), *_labelled(canvas, ticks), line((" " * LABELS + ends, "dim"))]


def predicted(view: View, s: Scored, width: int, height: int) -> list[Line]:
    """Pattern of the present club and the one that an option is expected to give, both at their aim."""
    assert view.answer is not None
    ranking, units = view.answer.ranking, view.units
    if not ranking.present.finish or not s.finish or s.finish is ranking.present.finish:
        return []
    side = ranking.objective.side or "carry"
    now, then = (points.expected(o, side, view.bench.hand, units) for o in (ranking.present, s))
    canvas = _from_above([now, then], width, height - 3, (3.0, 4.0))
    canvas.path(np.zeros(2), np.array(canvas.y), "zero")
    for places, glyph, style in ((now, "o", "dim"), (then, "#", "pick")):
        _ring(canvas, points.ellipse(places, INSIDE), style, glyph == "#")
        for x, y in places:
            canvas.mark(x, y, glyph, style)
    title = f"From above, {side} {units.distance_unit}: o now, # expected (broken)"
    return [heading(title), *_labelled(canvas, points.ticks(*canvas.y, max(2, canvas.height // 4)))]


def strikes(
    reading: Reading, width: int, height: int, cursor: tuple[float, float] | None = None
) -> list[Line]:
    """Strike marks on a plain millimetre cross, seen from the front."""
    flip = points.front(reading.session.hand)
    canvas = cross(width, height - 2)
    _marks(canvas, reading, points.strikes(reading.session))
    if cursor is not None:
        canvas.mark(flip * cursor[0], cursor[1], "X", "pick")
    left, right = ("heel", "toe") if flip > 0 else ("toe", "heel")
    ends = f"{left}{'seen from the front, mm':^{max(width - 8, 1)}}{right:>4}"
    return [heading("Strike marks"), *canvas.lines(), line((ends, "dim"))]


def cross(width: int, height: int) -> Canvas:
    """Empty cross with a tick every 10 mm; no higher than a face is."""
    needed = round(FACE_MM[1] / FACE_MM[0] * width / 2.0)
    height = max(min(height, needed), 3)
    xs, ys = equal(width, height, (-FACE_MM[0], FACE_MM[0]), (-FACE_MM[1], FACE_MM[1]))
    canvas = Canvas(width, height, xs, ys)
    canvas.path(np.array(xs), np.zeros(2), "zero")
    canvas.path(np.zeros(2), np.array(ys), "zero")
    dot = (xs[1] - xs[0]) / (2 * width)
    for mm in range(-60, 61, 10):
        for k in (-2.0, -1.0, 1.0, 2.0):
            canvas.dot(mm, k * dot, "zero")
            canvas.dot(k * dot, mm, "zero")
    return canvas


def at_cell(width: int, height: int, column: int, row: int, hand: str) -> tuple[float, float]:
    """Toe and height in mm of a cell of the strike picture; row 0 is its heading."""
    canvas = cross(width, height - 2)
    x = canvas.x[0] + (column + 0.5) / canvas.width * (canvas.x[1] - canvas.x[0])
    y = canvas.y[1] - (row - 0.5) / canvas.height * (canvas.y[1] - canvas.y[0])
    toe = points.front(hand) * x
    return float(round(np.clip(toe, -45, 45))), float(round(np.clip(y, -25, 25)))


def speed(reading: Reading, width: int, height: int, units: Units) -> list[Line]:
    """Club speed by the order of the shots, with the fresh line."""
    session = reading.session
    values = units.value(session.value("club_speed_mps"), "mps")
    title = heading(f"Club speed by order, {units.speed_unit}")
    known = np.isfinite(values)
    if not known.any():
        return [title, line(("Club speed was not measured.", "dim"))]
    kept = values[known & ~session.set_aside]
    kept = kept if len(kept) else values[known]
    fresh = np.zeros(0) if reading.fresh is None else units.value(reading.fresh.line_mps, "mps")
    fresh = fresh[np.isfinite(fresh)]
    low, high = min([*kept, *fresh]) - 1.5, kept.max() + 1.5
    canvas = Canvas(width - LABELS, max(height - 2, 3), (0.0, len(session) + 1.0), (low, high))
    if len(fresh):
        canvas.path(np.array(canvas.x), np.full(2, fresh.min()), "warn", every=2)
        canvas.words(1, min(canvas.row(fresh.min()) + 1, canvas.height - 1), "fresh line", "dim")
    places = np.stack([np.arange(1.0, len(session) + 1.0), np.clip(values, low, high)], axis=-1)
    canvas.path(places[known, 0], places[known, 1], "ghost", every=2)
    _marks(canvas, reading, places)
    foot = f"{'1':>6}{f'shot {len(session)}':>{max(width - 7, 1)}}"
    rows = _labelled(canvas, points.ticks(low, high, max(2, canvas.height // 3)))
    return [title, *rows, line((foot, "dim"))]
