"""Before and after in characters: the flight from the side, and the balls from above."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from fitter.advice.scored import Scored
from fitter.base.units import YARD, Units
from fitter.display import points, words
from fitter.display.text import fit
from fitter.tui.canvas import Canvas
from fitter.tui.lines import Line, heading, line
from fitter.tui.pictures import INSIDE, from_above, labelled, put_ring
from fitter.tui.reading import Reading
from fitter.tui.view import View

LEAST_ROWS = 4
"""Rows of cells of a flight below which it says nothing."""
ROOM_ABOVE = 1.12
"""Height of a picture over the highest apex."""


@dataclass(frozen=True)
class Flown:
    """A flight from the side.

    Parameters
    ----------
    name : str
    launch_deg, apex, landing_deg, carry, total : float
        Lengths in the units in force; NaN where not known.
    style : str
    broken : bool
        Drawn as a broken line.
    """

    name: str
    launch_deg: float
    apex: float
    landing_deg: float
    carry: float
    total: float
    style: str = "dim"
    broken: bool = False

    @property
    def there(self) -> bool:
        """Whether it can be drawn."""
        return all(map(math.isfinite, (self.launch_deg, self.apex, self.landing_deg, self.carry)))


def of_option(s: Scored, name: str, units: Units, style: str = "dim", broken: bool = False) -> Flown:
    """Flight that an option is expected to give."""
    mid = {k: v[1] for k, v in s.predicted.items()}
    apex, carry, total = (float(units.value(v, "m")) for v in (mid["apex_m"], s.carry_m, s.total_m))
    return Flown(name, mid["launch_deg"], apex, mid["descent_deg"], carry, total, style, broken)


def of_shot(reading: Reading, at: int, like: Flown | None, units: Units) -> Flown:
    """Flight of one shot: what was not measured of it is as the expected flight has it."""
    seen = reading.seen

    def found(name: str, core: str, instead: float) -> float:
        value = float(seen.value(name)[at])
        return float(units.value(value, core)) if math.isfinite(value) else instead

    nan = math.nan
    carry = found("carry_m", "m", nan)
    apex = found("apex_m", "m", like.apex if like else nan)
    landing = found("descent_deg", "deg", like.landing_deg if like else nan)
    launch, total = found("launch_deg", "deg", nan), found("total_m", "m", nan)
    return Flown(f"shot {int(seen.shot[at])}", launch, apex, landing, carry, total, "mark", True)


def told(f: Flown, units: Units, width: int) -> Line:
    """What a flight is, in one line: its mark, name, apex, landing, carry and run."""
    far = units.distance_unit
    run = f" run {f.total - f.carry:.0f}" if math.isfinite(f.total) else ""
    figures = f"apex {f.apex:.0f}  lands {f.landing_deg:.0f} deg  carry {f.carry:.0f}{run} {far}"
    sign = "─ ─" if f.broken else "───"
    room = width - len(figures) - 6
    if room < 7:
        figures = (
            f"apex {f.apex:.0f} {f.landing_deg:.0f} deg {f.carry:.0f}{'+' + run[5:] if run else ''} {far}"
        )
        room = max(width - len(figures) - 6, 4)
    return line((f" {sign} ", f.style), (fit(f.name, min(room, 34)), f.style), (f" {figures}", ""))


def side(flown: Sequence[Flown], width: int, rows: int, units: Units) -> list[Line]:
    """Flights from the side, as high as they are long, each with its apex and its run on the ground."""
    shown = [f for f in flown if f.there]
    title = heading(f"The flight from the side, {units.distance_unit}")
    canvas_rows = rows - 2 - len(shown)
    if not shown or canvas_rows < LEAST_ROWS:
        return [title, *(told(f, units, width) for f in shown)] if shown and rows > 1 else []
    most = max(f.total if math.isfinite(f.total) else f.carry for f in shown) * 1.03
    top = max(f.apex for f in shown) * ROOM_ABOVE
    scale = max(most / (2 * width), top / (4 * canvas_rows))
    canvas_rows = min(canvas_rows, max(math.ceil(top / (4 * scale)) + 1, LEAST_ROWS))
    canvas = Canvas(width, canvas_rows, (0.0, scale * 2 * width), (-2.0 * scale, scale * 4 * canvas_rows))
    canvas.path(np.array([0.0, most]), np.zeros(2), "ghost")
    for f in shown:
        path = points.flight(f.launch_deg, f.apex, f.landing_deg, f.carry)
        canvas.path(path[:, 0], path[:, 1], f.style, dash=6 if f.broken else 0)
    for k, f in enumerate(shown):
        path = points.flight(f.launch_deg, f.apex, f.landing_deg, f.carry)
        high = path[int(np.argmax(path[:, 1]))]
        at, row = canvas.cell(high[0], high[1])
        text = f"{f.apex:.0f}"
        # Over the highest line, under a lower one: so that no figure lies on the other's line.
        over = f.apex >= max(x.apex for x in shown)
        level = max(row - 1, 0) if over else min(row + 1, canvas_rows - 2)
        canvas.words(at - len(text) // 2 + 4 * k * over, level, text, f.style)
        canvas.mark(f.carry, 0.0, "#" if f.broken else "o", f.style)
        angle = f"{f.landing_deg:.0f}°"
        down = path[-9]
        column, line_at = canvas.cell(down[0], down[1])
        canvas.words(column + 2 if k == len(shown) - 1 else column - len(angle) - 1,
                     min(line_at, canvas_rows - 2), angle, f.style)  # fmt: skip
        if math.isfinite(f.total) and f.total > f.carry:
            canvas.path(np.array([f.carry, f.total]), np.zeros(2), f.style)
            canvas.mark(f.total, 0.0, "|", f.style)
    labels = [" "] * width
    for tick in points.ticks(0.0, most, max(2, width // 14)):
        text = f"{tick:.0f}"
        at = min(canvas.cell(tick, 0.0)[0] - len(text) // 2, width - len(text))
        if at >= 0:
            labels[at : at + len(text)] = text
    return [title, *canvas.lines(), line(("".join(labels), "dim")), *(told(f, units, width) for f in shown)]


def before_after(view: View, s: Scored | None, width: int, rows: int) -> list[Line]:
    """Flight with the present club and the one that an option should give."""
    assert view.answer is not None
    present = view.answer.ranking.present
    flown = [of_option(present, "present", view.units)]
    if s is not None and s is not present:
        name = words.changed(s.option, view.answer.present, short=True)
        flown.append(of_option(s, name, view.units, "pick", True))
    return side(flown, width, rows, view.units)


def _said(s: Scored, glyph: str, name: str, style: str, units: Units, width: int) -> Line:
    spread = "" if s.offline_sd_m is None else f"spread {units.distance(s.offline_sd_m, 0)}"
    fair = "" if s.fairway is None else f", fairway {100 * s.fairway.mid:.0f} %"
    figures = spread + fair
    return line((f" {glyph} ", style), (fit(name, max(width - len(figures) - 5, 4)), style), f" {figures}")


def above(view: View, s: Scored | None, width: int, rows: int) -> list[Line]:
    """Balls from above at their aim: the present club's and those that an option should give, fairway drawn.

    Rings hold 80 % of the balls; an option whose balls are not kept has its ring alone.
    """
    assert view.answer is not None
    ranking, units, hand = view.answer.ranking, view.units, view.bench.hand
    present = ranking.present
    if not present.finish or rows < LEAST_ROWS + 4:
        return []
    which = ranking.objective.side or "carry"
    shown = [(present, "o", "present", "dim", False)]
    if s is not None and s is not present:
        name = words.changed(s.option, view.answer.present, short=True)
        shown.append((s, "#", name, "pick", True))
    sets, rings = [], []
    for option, *_ in shown:
        places = points.expected(option, which, hand, units)
        sets.append(places)
        rings.append(
            points.ellipse(places, INSIDE) if len(places) else points.ring(option, which, INSIDE, hand, units)
        )
    half = 0.5 * float(units.value(view.bench.width_yd * YARD, "m"))
    edge = points.box([x for x in sets if len(x)], rings)[0][1]
    high = rows - 2 - len(shown)
    wide = min(width, max(4 * high, 44))
    corners = np.array([[-half, edge], [half, edge]])
    canvas = from_above([*sets, corners], wide, high, (3.0, 3.0), rings)
    for x in (-half, half):
        canvas.path(np.full(2, x), np.array(canvas.y), "zero", every=4)
    canvas.path(np.zeros(2), np.array(canvas.y), "ghost", every=2)
    for (_, glyph, _, style, broken), places, ring in zip(shown, sets, rings, strict=True):
        put_ring(canvas, ring, style, broken)
        for x, y in places:
            canvas.mark(x, y, glyph, style)
    title = f"From above, {which} {units.distance_unit}; rings hold 80 %"
    feet = [" "] * wide
    middle = canvas.cell(0.0, edge)[0] + 5
    text = f"fairway {units.distance(view.bench.width_yd * YARD, 0)}"
    left, right = (units.side(x, digits=0) for x in canvas.x)
    for at, word in ((5, left), (middle - len(text) // 2, text), (wide - len(right) - 1, right)):
        if at >= 0 and at + len(word) <= wide:
            feet[at : at + len(word)] = word
    return [
        heading(title[:width]), *labelled(canvas, points.ticks(*canvas.y, max(2, canvas.height // 3))),
        line(("".join(feet), "dim")),
        *(_said(option, glyph, name, style, units, width) for option, glyph, name, style, _ in shown),
    ]  # fmt: skip
