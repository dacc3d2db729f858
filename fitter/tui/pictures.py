"""The pictures of a session in characters: patterns from above, strike marks, speed by order."""

from __future__ import annotations

import math
from collections.abc import Sequence

import numpy as np

from fitter.advice.pattern import Ellipse
from fitter.base.units import Units, strike_place
from fitter.display import points, words
from fitter.tui.canvas import Canvas, equal
from fitter.tui.lines import Line, heading, line
from fitter.tui.reading import Reading

Floats = points.Floats

INSIDE = 0.8
"""Share of further balls that a drawn ellipse is to hold, on the screens as on paper."""
GLYPHS = "o+*^#%"
"""Marks of the builds in the order in which they came; the present club's is the first."""
ASIDE, HERE, MIDDLE, TIRED = "x", "@", "M", "t"
FACE_MM = (56.0, 33.0)
"""Half width and half height of the picture of the face, mm."""
LABELS = 5
"""Columns of the numbers beside a picture."""


def builds_of(reading: Reading) -> list[str]:
    """Builds in the order in which they came, the present club first."""
    return list(dict.fromkeys(["", *reading.builds]))


def legend(reading: Reading, width: int, shot: int = 0, more: str = "") -> Line:
    """What the marks mean."""
    names = [f"{GLYPHS[i % len(GLYPHS)]} {words.short_build(b)}" for i, b in enumerate(builds_of(reading))]
    names += [f"{HERE} shot {shot}"] if shot else []
    names += [more] if more else []
    if reading.session.set_aside.any():
        names.append(f"{ASIDE} set aside")
    text = ""
    for name in names:
        text += f"  {name}" if len(text) + len(name) + 2 <= width else ""
    return line((text.removeprefix("  "), "dim"))


def _marks(canvas: Canvas, reading: Reading, places: Floats, shot: int, tired: bool = False) -> None:
    order = builds_of(reading)
    aside = reading.session.set_aside
    for i, (x, y) in enumerate(places):
        build = reading.builds[i]
        glyph = ASIDE if aside[i] else GLYPHS[order.index(build) % len(GLYPHS)]
        if tired and not aside[i] and reading.fresh is not None and reading.fresh.tired[i]:
            glyph = TIRED
        canvas.mark(x, y, glyph, "dim" if aside[i] else "hand" if build else "strong")
    here = np.flatnonzero(reading.session.shot == shot)
    if len(here):
        # The row under the cursor is the row in the picture.
        x, y = places[here[0]]
        canvas.mark(x, y, HERE, "mark")


def put_ring(canvas: Canvas, found: Ellipse | None, style: str, broken: bool) -> None:
    """Draw an ellipse; a broken line tells two apart without a colour."""
    if found is None:
        return
    ring = found.outline()
    if broken:
        ring = np.where((np.arange(len(ring)) // 4 % 2 == 1)[:, None], np.nan, ring)
    canvas.path(ring[:, 0], ring[:, 1], style)


def labelled(canvas: Canvas, ticks: Sequence[float], digits: int = 0) -> list[Line]:
    """Rows of a canvas with round numbers beside them."""
    shown = {canvas.row(t): f"{t:.{digits}f}" for t in ticks}
    labels = LABELS - 1
    return [
        Line(((f"{shown.get(k, ''):>{labels}} ", "dim"), *row.spans)) for k, row in enumerate(canvas.lines())
    ]


def from_above(
    sets: Sequence[Floats], width: int, rows: int, margin: tuple[float, float],
    rings: Sequence[Ellipse | None] = (),
) -> Canvas:  # fmt: skip
    """Canvas of equal scale that holds some points and ellipses."""
    low, high = points.box([s for s in sets if len(s)], rings)
    (x0, y0), (x1, y1) = low - margin, high + margin
    return Canvas(width - LABELS, rows, *equal(width - LABELS, rows, (x0, x1), (y0, y1)))


def pattern(
    reading: Reading, width: int, height: int, units: Units, which: str = "carry", shot: int = 0
) -> list[Line]:
    """Where the balls came down, seen from above: aim line, ellipse of each build, equal scale."""
    places = points.measured(reading.seen, which, units)
    known = np.isfinite(places).all(axis=1)
    title = f"From above: {which}, {units.distance_unit}; rings hold 80 %"
    if any(reading.builds):
        title += "; broken: tried"
    if not known.any() or height < 6:
        return [heading(title), line(("Carry and side were not measured.", "dim"))]
    kept = known & ~reading.session.set_aside
    shown = places[kept if kept.any() else known]
    aim = np.array([[-4.0, shown[0, 1]], [4.0, shown[0, 1]]])
    rings = {b: points.ellipse(places[reading.of_build(b)], INSIDE) for b in builds_of(reading)}
    canvas = from_above([shown, aim], width, height - 2, (4.0, 6.0), list(rings.values()))
    ticks = points.ticks(*canvas.y, max(2, canvas.height // 4))
    for tick in ticks:
        for k in np.linspace(*canvas.x, 2 * canvas.width // 8):
            canvas.dot(k, tick, "ghost")
    canvas.path(np.zeros(2), np.array(canvas.y), "zero")
    for build, found in rings.items():
        put_ring(canvas, found, "hand" if build else "bar", bool(build))
    _marks(canvas, reading, places, shot)
    left, right = (units.side(x, digits=0) for x in canvas.x)
    middle = canvas.cell(0.0, canvas.y[0])[0]
    feet = [" "] * canvas.width
    for at, word in ((0, left), (canvas.width - len(right), right), (middle - 1, "aim")):
        if at >= 0 and not "".join(feet[max(at - 1, 0) : at + len(word) + 1]).strip():
            feet[at : at + len(word)] = word
    return [heading(title), *labelled(canvas, ticks), line((" " * LABELS + "".join(feet), "dim"))]


def strikes(
    reading: Reading,
    width: int,
    height: int,
    cursor: tuple[float, float] | None = None,
    shot: int = 0,
) -> list[Line]:
    """Strike marks on the outline of a face in millimetres, seen from the front, with their middle."""
    flip = points.front(reading.session.hand)
    canvas = face(width, height - 3, reading.session.hand)
    places = points.strikes(reading.session)
    _marks(canvas, reading, places, shot if cursor is None else 0)
    counted = places[reading.of_build("")] if len(reading.of_build("")) else places
    counted = counted[np.isfinite(counted).all(axis=1)]
    middle = ""
    if len(counted):
        x, y = counted.mean(axis=0)
        canvas.mark(x, y, MIDDLE, "pick")
        middle = f"{MIDDLE} their middle, {strike_place(flip * x, y)} mm ({len(counted)} balls)"
    if cursor is not None:
        canvas.mark(flip * cursor[0], cursor[1], "X", "pick")
    left, right = ("heel", "toe") if flip > 0 else ("toe", "heel")
    feet = [" "] * canvas.width
    for mm in range(-40, 41, 20):
        text = f"{abs(mm)}" if mm else "0"
        at = canvas.cell(float(mm), 0.0)[0] - len(text) // 2
        if 0 <= at <= canvas.width - len(text):
            feet[at : at + len(text)] = text
    for at, word in ((0, left), (canvas.width - len(right), right)):
        feet[at : at + len(word)] = word
    rows = labelled(canvas, points.ticks(*canvas.y, by=10.0 if canvas.height > 13 else 20.0))
    if not len(counted):
        middle = "No strike was measured; m marks one by hand."
    return [
        heading("Strike marks from the front, mm"), *rows,
        line((" " * LABELS + "".join(feet), "dim")), line((middle[:width], "pick")),
    ]  # fmt: skip


def face(width: int, height: int, hand: str) -> Canvas:
    """Outline of a face with a cross at its centre and a tick every 10 mm; no higher than a face is."""
    width -= LABELS
    needed = round(FACE_MM[1] / FACE_MM[0] * width / 2.0)
    height = max(min(height, needed), 3)
    xs, ys = equal(width, height, (-FACE_MM[0], FACE_MM[0]), (-FACE_MM[1], FACE_MM[1]))
    canvas = Canvas(width, height, xs, ys)
    canvas.path(np.array([-30.0, 30.0]), np.zeros(2), "ghost", every=2)
    canvas.path(np.zeros(2), np.array([-20.0, 20.0]), "ghost", every=2)
    dot = (xs[1] - xs[0]) / (2 * width)
    for mm in range(-40, 41, 10):
        for k in (-1.0, 1.0):
            canvas.dot(mm, k * dot, "zero")
            if abs(mm) <= 20:
                canvas.dot(k * dot, mm, "zero")
    edge = points.outline(hand)
    canvas.path(edge[:, 0], edge[:, 1], "bar")
    return canvas


def at_cell(width: int, height: int, column: int, row: int, hand: str) -> tuple[float, float]:
    """Toe and height in mm of a cell of the strike picture; row 0 is its heading."""
    canvas = face(width, height - 3, hand)
    x = canvas.x[0] + (column - LABELS + 0.5) / canvas.width * (canvas.x[1] - canvas.x[0])
    y = canvas.y[1] - (row - 0.5) / canvas.height * (canvas.y[1] - canvas.y[0])
    toe = points.front(hand) * x
    return float(round(np.clip(toe, -45, 45))), float(round(np.clip(y, -25, 25)))


def speed(reading: Reading, width: int, height: int, units: Units, shot: int = 0) -> list[Line]:
    """Club speed by the order of the shots as dots, tired ones marked, with the line of 95 %."""
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
        text = "95 % of the day's peak"
        canvas.words(1, min(canvas.row(fresh.min()) + 1, canvas.height - 1), text, "dim")
    places = np.stack([np.arange(1.0, len(session) + 1.0), np.clip(values, low, high)], axis=-1)
    _marks(canvas, reading, np.where(known[:, None], places, math.nan), shot, tired=True)
    rows = _shot_numbers(len(session), canvas)
    return [title, *labelled(canvas, points.ticks(low, high, max(2, canvas.height // 3))), rows]


def _shot_numbers(count: int, canvas: Canvas) -> Line:
    feet = [" "] * canvas.width
    ticks = [1.0, *points.ticks(2.0, float(count), max(2, canvas.width // 10))]
    for tick in ticks:
        text = f"{tick:.0f}" if tick > 1.0 else "shot 1"
        at = min(max(canvas.cell(tick, canvas.y[0])[0] - len(text) // 2, 0), canvas.width - len(text))
        if tick == int(tick) and not "".join(feet[max(at - 1, 0) : at + len(text) + 1]).strip():
            feet[at : at + len(text)] = text
    return line((" " * LABELS + "".join(feet), "dim"))
