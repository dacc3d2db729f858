"""The three pictures of a session: pattern from above, strike marks, speed by order."""

from __future__ import annotations

import numpy as np

from fitter.advice.scored import Finish, Scored
from fitter.base.units import DEG
from fitter.display import words
from fitter.tui.canvas import Canvas, Floats, ellipse, equal, ticks
from fitter.tui.lines import Line, heading, line
from fitter.tui.reading import Reading
from fitter.tui.view import View

GLYPHS = "o+*^#%"
"""Marks of the builds in the order in which they came; the present club's is the first."""
ASIDE, LAST = "x", "@"
FACE_MM = (36.0, 25.0)
"""Half width and half height of the cross, mm: nearly every driver face."""


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


def _marks(canvas: Canvas, reading: Reading, x: np.ndarray, y: np.ndarray) -> None:
    order = builds_of(reading)
    n = len(reading.session)
    for i in range(n):
        aside, build = bool(reading.session.set_aside[i]), reading.builds[i]
        glyph = ASIDE if aside else GLYPHS[order.index(build) % len(GLYPHS)]
        canvas.mark(x[i], y[i], glyph, "dim" if aside else "hand" if build else "strong")
    there = [i for i in range(n) if np.isfinite(x[i]) and np.isfinite(y[i])]
    if there and not reading.session.set_aside[there[-1]]:
        canvas.mark(x[there[-1]], y[there[-1]], LAST, "mark")


def _broken(ring: tuple[Floats, Floats]) -> tuple[Floats, Floats]:
    """A ring with gaps: four parts drawn, four left out."""
    gap = np.arange(len(ring[0])) // 4 % 2 == 1
    return np.where(gap, np.nan, ring[0]), np.where(gap, np.nan, ring[1])


def pattern(reading: Reading, width: int, height: int, units: str, which: str = "carry") -> list[Line]:
    """Where the balls came down, seen from above: aim line, ellipse of each build, equal scale."""
    seen = reading.seen
    scale, unit = words.far_scale(units)
    far = seen.value("total_m" if which == "total" and seen.has("total_m") else "carry_m") / scale
    across = seen.value("offline_m") / scale
    if not np.isfinite(across).any():
        # Without a measured side the start line at the carry is the best that there is.
        across = far * np.tan(seen.value("direction_deg") * DEG)
    known = np.isfinite(far) & np.isfinite(across)
    title = f"From above: {'total' if which == 'total' else 'carry'}, {unit}"
    if any(reading.builds):
        title += "; broken: tried"
    if not known.any() or height < 6:
        return [heading(title), line(("Carry and side were not measured.", "dim"))]
    rows = height - 2
    shown = known & ~seen.set_aside if (known & ~seen.set_aside).any() else known
    xs, ys = equal(
        width - 5,
        rows,
        (min(-8.0, across[shown].min() - 4), max(8.0, across[shown].max() + 4)),
        (far[shown].min() - 6, far[shown].max() + 6),
    )
    canvas = Canvas(width - 5, rows, xs, ys)
    for tick in ticks(*ys, max(2, rows // 4)):
        for k in np.linspace(xs[0], xs[1], 2 * (width - 5) // 8):
            canvas.dot(k, tick, "ghost")
    canvas.path(np.zeros(2), np.array(ys), "zero")
    for build in builds_of(reading):
        at = [i for i in reading.of_build(build) if known[i]]
        ring = ellipse(across[at], far[at])
        if ring is not None:
            # A build that is tried has a broken line, so that no colour is needed to part the two.
            canvas.path(*(_broken(ring) if build else ring), style="hand" if build else "bar")
    _marks(canvas, reading, across, far)
    labels = _labels(ys, rows)
    body = [Line(((f"{labels.get(k, ''):>4} ", "dim"), *row.spans)) for k, row in enumerate(canvas.lines())]
    ends = f"{words.side(xs[0])}{'aim':^{max(width - 19, 3)}}{words.side(xs[1]):>7}"
    return [heading(title), *body, line((" " * 5 + ends, "dim"))]


def predicted(view: View, s: Scored, width: int, height: int) -> list[Line]:
    """Pattern of the present club and the one that an option is expected to give, both at their best aim."""
    assert view.answer is not None
    now, then = view.answer.ranking.present.finish, s.finish
    if not now or not then or now is then:
        return []
    total = view.answer.ranking.objective.side == "total"
    scale, unit = words.far_scale(view.bench.units)
    turn = -1.0 if view.bench.hand == "left" else 1.0

    def places(found: tuple[Finish, ...]) -> tuple[np.ndarray, np.ndarray]:
        across = np.array([f.total_side_m if total else f.side_m for f in found])
        return turn * across / scale, np.array([f.total_m if total else f.carry_m for f in found]) / scale

    (x0, y0), (x1, y1) = places(now), places(then)
    rows = height - 3
    xs, ys = equal(
        width - 5,
        rows,
        (min(x0.min(), x1.min()) - 3, max(x0.max(), x1.max()) + 3),
        (min(y0.min(), y1.min()) - 4, max(y0.max(), y1.max()) + 4),
    )
    canvas = Canvas(width - 5, rows, xs, ys)
    canvas.path(np.zeros(2), np.array(ys), "zero")
    for x, y, glyph, style in ((x0, y0, "o", "dim"), (x1, y1, "#", "pick")):
        ring = ellipse(x, y)
        if ring is not None:
            canvas.path(*(_broken(ring) if glyph == "#" else ring), style=style)
        for a, b in zip(x, y, strict=True):
            canvas.mark(a, b, glyph, style)
    labels = _labels(ys, rows)
    body = [Line(((f"{labels.get(k, ''):>4} ", "dim"), *row.spans)) for k, row in enumerate(canvas.lines())]
    title = f"From above, {'total' if total else 'carry'} {unit}: o now, # expected (broken)"
    return [heading(title), *body]


def _labels(ys: tuple[float, float], rows: int) -> dict[int, str]:
    """Round distances by their row."""
    return {
        min(max(round((ys[1] - t) / (ys[1] - ys[0]) * (4 * rows - 1)) // 4, 0), rows - 1): f"{t:.0f}"
        for t in ticks(*ys, max(2, rows // 4))
    }


def strikes(
    reading: Reading, width: int, height: int, cursor: tuple[float, float] | None = None
) -> list[Line]:
    """Strike marks on a plain millimetre cross, seen from the front."""
    session = reading.session
    flip = 1.0 if session.hand == "left" else -1.0
    toe, high = session.value("strike_toe_mm"), session.value("strike_high_mm")
    canvas = cross(width, height - 2)
    _marks(canvas, reading, flip * toe, high)
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
    toe = x if hand == "left" else -x
    return float(round(np.clip(toe, -45, 45))), float(round(np.clip(y, -25, 25)))


def speed(reading: Reading, width: int, height: int, units: str) -> list[Line]:
    """Club speed by the order of the shots, with the fresh line."""
    scale, unit = words.speed_scale(units)
    session = reading.session
    values = session.value("club_speed_mps") / scale
    title = heading(f"Club speed by order, {unit}")
    if not np.isfinite(values).any():
        return [title, line(("Club speed was not measured.", "dim"))]
    kept = values[np.isfinite(values) & ~session.set_aside]
    kept = kept if len(kept) else values[np.isfinite(values)]
    fresh = reading.fresh
    fresh_line = np.full(len(session), np.nan) if fresh is None else fresh.line_mps / scale
    known = fresh_line[np.isfinite(fresh_line)]
    low = min(kept.min(), known.min() if len(known) else kept.min()) - 1.5
    high = kept.max() + 1.5
    rows = max(height - 2, 3)
    order = np.arange(1.0, len(session) + 1.0)
    canvas = Canvas(width - 5, rows, (0.0, len(session) + 1.0), (low, high))
    if len(known):
        canvas.path(np.array([0.0, len(session) + 1.0]), np.full(2, known.min()), "warn", every=2)
        row = round((high - known.min()) / (high - low) * (4 * rows - 1)) // 4
        canvas.words(1, min(row + 1, rows - 1), "fresh line", "dim")
    canvas.path(order[np.isfinite(values)], np.clip(values[np.isfinite(values)], low, high), "ghost", every=2)
    _marks(canvas, reading, order, np.clip(values, low, high))
    labels = {
        min(max(round((high - t) / (high - low) * (4 * rows - 1)) // 4, 0), rows - 1): f"{t:.0f}"
        for t in ticks(low, high, max(2, rows // 3))
    }
    body = [Line(((f"{labels.get(k, ''):>4} ", "dim"), *row.spans)) for k, row in enumerate(canvas.lines())]
    foot = f"{'1':>6}{f'shot {len(session)}':>{max(width - 7, 1)}}"
    return [title, *body, line((foot, "dim"))]
