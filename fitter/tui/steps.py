"""The bench steps: one setting a change, in the increments in which a workshop works."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from typing import Any

from fitter.advice.options import present_club
from fitter.base.errors import FitterError
from fitter.display import words
from fitter.display.text import fit
from fitter.kit.club import Club
from fitter.kit.parts import Head
from fitter.tui.bench import Steps
from fitter.tui.form import Fields, Setting, cycle, step_turf, step_wind
from fitter.tui.lines import Line, line
from fitter.tui.view import View

BENCH = "bench"


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


def present(view: View) -> Club:
    """Present club; the bench has no rows without one."""
    found = present_of(view)
    assert found is not None
    return found


def head_of(view: View) -> Head:
    """Head that lies on the bench."""
    heads = view.kit.heads if view.kit is not None else ()
    return next((h for h in heads if h.head == view.bench.steps.head), present(view).head)


def _put(view: View, **fields: Any) -> Fields:
    return {"steps": replace(view.bench.steps, **fields)}


def _head(view: View, by: int) -> Fields:
    own = present(view).head.head
    codes = ["", *(h.head for h in (view.kit.heads if view.kit else ()) if h.head != own)]
    return _put(view, head=cycle(codes, view.bench.steps.head, by), sleeve=None)


def _shaft(view: View, by: int) -> Fields:
    own, head = present(view).shaft.shaft, head_of(view)
    shafts = [s.shaft for s in (view.kit.shafts if view.kit else ()) if head.takes(s)]
    return _put(view, shaft=cycle(["", *(s for s in shafts if s != own)], view.bench.steps.shaft, by))


def sleeve_of(view: View) -> float:
    """Position of the sleeve on the bench, deg."""
    if view.bench.steps.sleeve is not None:
        return view.bench.steps.sleeve
    club = present(view)
    return club.loft_change_deg if head_of(view) is club.head else 0.0


def _sleeve(view: View, by: int) -> Fields:
    positions = list(dict.fromkeys(loft for loft, _ in head_of(view).positions))
    now = sleeve_of(view)
    at = positions.index(now) if now in positions else 0
    return _put(view, sleeve=positions[min(max(at + by, 0), len(positions) - 1)])


def _show_sleeve(view: View) -> str:
    positions = {loft for loft, _ in head_of(view).positions}
    return f"{sleeve_of(view):+g} deg" if len(positions) > 1 else "none"


def _part(field: str, own: Callable[[Club], str], step: Callable[[View, int], Fields]) -> Setting:
    """Row of a part: its code, or the present club's own."""

    def show(view: View) -> str:
        return getattr(view.bench.steps, field) or f"{own(present(view))} (present)"

    return Setting(field, BENCH, field, show, step)


def _amount(field: str, label: str, by: float, most: float, more: str, less: str) -> Setting:
    """Row of a change in real steps, up to a limit either way; the field's name ends in its unit."""
    unit = field.rpartition("_")[2]

    def show(view: View) -> str:
        value = getattr(view.bench.steps, field)
        return "as it is" if not value else f"{abs(value):g} {unit} {more if value > 0 else less}"

    def step(view: View, sign: int) -> Fields:
        value = getattr(view.bench.steps, field) + sign * by
        return _put(view, **{field: min(max(value, -most), most)})

    return Setting(field, BENCH, label, show, step)


ROWS = (
    _part("head", lambda club: club.head.head, _head),
    _part("shaft", lambda club: club.shaft.shaft, _shaft),
    Setting("sleeve", BENCH, "sleeve", _show_sleeve, _sleeve),
    _amount("length_in", "length", 0.25, 2.0, "longer", "shorter"),
    _amount("head_g", "head mass", 2.0, 20.0, "heavier", "lighter"),
    # About half a ball's width.
    _amount("ball_mm", "ball", 20.0, 60.0, "forward", "back"),
    _amount("tee_mm", "tee", 4.0, 24.0, "higher", "lower"),
    Setting("wind", BENCH, "wind", lambda v: words.wind(v.bench.conditions, v.units), step_wind),
    Setting("turf", BENCH, "turf", lambda v: v.bench.conditions.turf, step_turf),
)
BY_KEY = {r.key: r for r in ROWS}


def draw(view: View, width: int) -> list[Line]:
    """Rows of the bench."""
    if present_of(view) is None:
        return [line(("Name the kit and the present club on 1 Set-up.", "dim"))]
    untouched, rows = Steps(), []
    for r in ROWS:
        now, before = (getattr(s, r.key, None) for s in (view.bench.steps, untouched))
        rows.append(
            line((fit(f" {r.label}", 11), ""), ("- ", "key"),
                 (fit(r.show(view), max(width - 17, 8)), "hand" if now != before else ""), (" +", "key"),
                 key=r.key)
        )  # fmt: skip
    return rows


def stepped(view: View, key: str, by: int) -> tuple[str, Fields]:
    """Label for undo and fields that change."""
    row = BY_KEY.get(key)
    if row is None or row.step is None or present_of(view) is None:
        return "", {}
    return f"bench: {row.label}", row.step(view, by)
