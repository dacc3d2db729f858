"""The bench steps: one row a change, in the increments in which a workshop works."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace
from typing import Any

from fitter.advice.options import present_club
from fitter.base.errors import FitterError
from fitter.base.units import Units
from fitter.display import words
from fitter.kit.club import Club
from fitter.kit.parts import Head
from fitter.tui.bench import Steps
from fitter.tui.form import cycle, step_turf, step_wind
from fitter.tui.lines import Line, fit, line
from fitter.tui.view import View

LENGTH_IN, HEAD_G, BALL_MM, TEE_MM = 0.25, 2.0, 20.0, 4.0
"""One step of length, of mass, of the ball's place (about half a ball's width), of the tee."""
MOST = {"length_in": 2.0, "head_g": 20.0, "ball_mm": 60.0, "tee_mm": 24.0}
"""Furthest that a row steps to."""


def present_of(view: View) -> Club | None:
    """Present club, None while it cannot be had."""
    if view.answer is not None:
        return view.answer.present
    if view.kit is None:
        return None
    try:
        return present_club(view.kit, view.bench.present)
    except FitterError:
        return None


def head_of(view: View, present: Club) -> Head:
    """Head that lies on the bench."""
    heads = view.kit.heads if view.kit is not None else ()
    return next((h for h in heads if h.head == view.bench.steps.head), present.head)


@dataclass(frozen=True)
class Row:
    """A row of the bench: what it is called, shows, and how it steps."""

    key: str
    label: str
    show: Callable[[View, Club], str]
    step: Callable[[View, Club, int], dict[str, Any]]


def _put(view: View, **fields: Any) -> dict[str, Any]:
    return {"steps": replace(view.bench.steps, **fields)}


def _codes(own: str, others: list[str]) -> list[str]:
    return ["", *(c for c in others if c != own)]


def _head(view: View, present: Club, by: int) -> dict[str, Any]:
    heads = [h.head for h in view.kit.heads] if view.kit is not None else []
    code = cycle(_codes(present.head.head, heads), view.bench.steps.head, by)
    return _put(view, head=code, sleeve=None)


def _shaft(view: View, present: Club, by: int) -> dict[str, Any]:
    head = head_of(view, present)
    shafts = [s.shaft for s in view.kit.shafts if head.takes(s)] if view.kit is not None else []
    return _put(view, shaft=cycle(_codes(present.shaft.shaft, shafts), view.bench.steps.shaft, by))


def sleeve_of(view: View, present: Club) -> float:
    """Position of the sleeve on the bench, deg."""
    if view.bench.steps.sleeve is not None:
        return view.bench.steps.sleeve
    return present.loft_change_deg if head_of(view, present) is present.head else 0.0


def _sleeve(view: View, present: Club, by: int) -> dict[str, Any]:
    positions = list(dict.fromkeys(loft for loft, _ in head_of(view, present).positions))
    now = sleeve_of(view, present)
    at = positions.index(now) if now in positions else 0
    return _put(view, sleeve=positions[min(max(at + by, 0), len(positions) - 1)])


def _show_sleeve(view: View, present: Club) -> str:
    positions = list(dict.fromkeys(loft for loft, _ in head_of(view, present).positions))
    return f"{sleeve_of(view, present):+g} deg" if len(positions) > 1 else "none"


def _number(field: str, step: float) -> Callable[[View, Club, int], dict[str, Any]]:
    def stepped(view: View, present: Club, by: int) -> dict[str, Any]:
        value = getattr(view.bench.steps, field) + by * step
        return _put(view, **{field: min(max(value, -MOST[field]), MOST[field])})

    return stepped


def _said(field: str, unit: str, more: str, less: str) -> Callable[[View, Club], str]:
    def show(view: View, present: Club) -> str:
        value = getattr(view.bench.steps, field)
        return "as it is" if not value else f"{abs(value):g} {unit} {more if value > 0 else less}"

    return show


ROWS = (
    Row("head", "head", lambda v, p: v.bench.steps.head or f"{p.head.head} (present)", _head),
    Row("shaft", "shaft", lambda v, p: v.bench.steps.shaft or f"{p.shaft.shaft} (present)", _shaft),
    Row("sleeve", "sleeve", _show_sleeve, _sleeve),
    Row("length", "length", _said("length_in", "in", "longer", "shorter"), _number("length_in", LENGTH_IN)),
    Row("mass", "head mass", _said("head_g", "g", "heavier", "lighter"), _number("head_g", HEAD_G)),
    Row("ball", "ball", _said("ball_mm", "mm", "forward", "back"), _number("ball_mm", BALL_MM)),
    Row("tee", "tee", _said("tee_mm", "mm", "higher", "lower"), _number("tee_mm", TEE_MM)),
    Row("wind", "wind",
        lambda v, p: words.wind(v.bench.conditions, Units(v.bench.units)),
        lambda v, p, by: step_wind(v, by)),
    Row("turf", "turf", lambda v, p: v.bench.conditions.turf, lambda v, p, by: step_turf(v, by)),
)  # fmt: skip
BY_KEY = {r.key: r for r in ROWS}


def draw(view: View, width: int) -> list[Line]:
    """Rows of the bench."""
    present = present_of(view)
    if present is None:
        return [line(("Name the kit and the present club on 1 Range.", "dim"))]
    base = Steps()
    rows = []
    for r in ROWS:
        value = r.show(view, present)
        field = {"length": "length_in", "mass": "head_g", "ball": "ball_mm", "tee": "tee_mm"}.get(
            r.key, r.key
        )
        touched = hasattr(base, field) and getattr(view.bench.steps, field) != getattr(base, field)
        rows.append(
            line((fit(f" {r.label}", 11), ""), ("- ", "key"),
                 (fit(value, max(width - 17, 8)), "hand" if touched else ""), (" +", "key"), key=r.key)
        )  # fmt: skip
    return rows


def stepped(view: View, key: str, by: int) -> tuple[str, dict[str, Any]]:
    """Label for undo and fields that change."""
    present = present_of(view)
    if present is None or key not in BY_KEY:
        return "", {}
    row = BY_KEY[key]
    return f"bench: {row.label}", row.step(view, present, by)
