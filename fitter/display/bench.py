"""Bench work as text for people: a shaft in a club, the build sheet, what came back, what a kit lacks."""

from __future__ import annotations

from collections.abc import Sequence

from fitter.advice.audit import Audit
from fitter.advice.scored import Gain
from fitter.base.errors import Problem
from fitter.base.units import Units, open_or_closed
from fitter.display.text import notes, table, wrap
from fitter.kit.body import swing_name
from fitter.kit.build import BuildSheet, ReadBack, Step
from fitter.kit.shaft_figures import ShaftFigures

SHAFT = {
    "frequency_cpm": ("frequency, clamped at the butt", "cpm"),
    "lead_mm": ("lead near impact", "mm"),
    "added_loft_deg": ("added loft, in the plane of the bend", "deg"),
    "loft_to_ground_deg": ("added loft, against the ground", "deg"),
    "face_closed_deg": ("face, closed by the bend", "deg"),
    "droop_mm": ("droop near impact", "mm"),
    "droop_deg": ("droop near impact", "deg"),
    "swing_weight": ("swing weight", ""),
    "swing_weight_points": ("swing weight above D0", "points"),
    "moi_kgcm2": ("inertia about the butt", "kg cm2"),
    "total_mass_g": ("total mass", "g"),
    "balance_mm": ("balance from the butt", "mm"),
    "tip_ei_nm2": ("stiffness near the tip", "N m2"),
}
"""Words and unit of each figure of a shaft."""
MISSING = 20
"""Figures that nobody measured shown of a kit."""
STEPS = {
    "order head": "Order head {head} by gauge: {loft_deg:.1f} deg square-face (+-{window_deg:g}), "
    "gauged before its sleeve is set.",
    "mind the stamp": "Its stamp does not say that: two heads of one stamp differ.",
    "gauge loft": "Gauge the loft of head {head} before anything is cut.",
    "set sleeve": "Set the sleeve to {loft_deg:+g} deg loft, {lie_deg:+g} deg lie.",
    "place weight": "Put the weight to {place!r}.",
    "add mass": "Change the head's mass by {change_g:+g} g (tape, or its own weight).",
    "swap weight": "Fit a weight {change_g:+g} g against the head's own.",
    "cut tip": "Cut {cut_mm:g} mm off the tip of shaft {shaft}.",
    "weight tip": "Fix a weight of {mass_g:g} g in the tip of shaft {shaft}.",
    "cut butt": "Cut {about}{size_mm:.0f} mm off the butt of shaft {shaft}: dry-fit the head first.",
    "extend butt": "Extend the butt by {about}{size_mm:.0f} mm of shaft {shaft}: dry-fit the head first.",
    "check length": "Length {length_in:.2f} in by the 60 degree method.",
    "grip": "Grip {mass_g:.0f} g.",
    "swing weight": "Swing weight {name} (+-{window_points:g} point); "
    "one point is {head_g:.1f} g at the head.",
    "gauge all": "Gauge loft, lie, length, total mass, swing weight and frequency; read the card back.",
}
"""Sentence of each action, with the values of its step by name."""
SAFETY = "Heat and clamp as the maker says; wear eye protection; never hit a loose or cracked club."


def shaft(found: ShaftFigures) -> str:
    """Figures of a shaft in a club with their intervals."""
    rows = []
    for name, (label, unit) in SHAFT.items():
        value, ends = getattr(found, name), found.intervals.get(name)
        shown = value if isinstance(value, str) else f"{value:.2f}"
        rows.append([label, unit, shown, f"{ends[0]:.2f} to {ends[1]:.2f}" if ends else ""])
    return "\n".join([table(["figure", "unit", "value", "80 % interval"], rows, left=2), *notes(found.notes)])


def build(sheet: BuildSheet, units: Units, back: ReadBack | None = None, gains: Sequence[Gain] = ()) -> str:
    """Sheet for the bench; what came back, and the gains in carry predicted again (ordered, built)."""
    rows = [
        [
            _label(line.name), line.unit, _figure(line.name, line.as_hit.value),
            _figure(line.name, line.as_ordered.value) + ("" if line.as_ordered.measured else " ~"),
            "" if line.tolerance is None else f"+-{line.tolerance:g}", "______",
        ]
        for line in sheet.lines
    ]  # fmt: skip
    lines = [
        f"Build {sheet.club}, swing weight {sheet.swing_weight}",
        *_minded(sheet.odd),
        "",
        table(["figure", "unit", "as hit", "as ordered", "tolerance", "as built"], rows, left=2),
        "~ nobody measured it: gauge before ordering. Order by gauge, not by stamp.",
        "",
        *(f"{k}. {step_text(step)}" for k, step in enumerate(sheet.steps, 1)),
    ]
    if back is not None:
        rows = [
            [
                _label(c.name),
                c.unit,
                _figure(c.name, c.ordered),
                "-" if c.built is None else _figure(c.name, c.built),
                c.state,
            ]
            for c in back.checks
        ]
        lines += ["", table(["read back", "unit", "ordered", "built", "state"], rows, left=2)]
        lines.append("Within tolerance." if back.within else "OUT of tolerance: see the lines above.")
        for name, gain in zip(("as ordered", "as built"), gains, strict=False):
            mean, low, high = (units.distance(v) for v in gain[:3])
            lines.append(f"carry gain {name}: {mean} (80 %: {low} to {high})")
    return "\n".join([*lines, "", SAFETY])


def _label(name: str) -> str:
    """Name of a figure without its unit."""
    return name.rpartition("_")[0].replace("_", " ")


def _figure(name: str, value: float) -> str:
    """Figure for people: a face is open or closed, never signed."""
    return open_or_closed(value) if name == "face_angle_deg" else f"{value:.2f}"


def audit(found: Audit, units: Units) -> str:
    """What nobody measured on a kit, and what measuring would close."""
    lines = [f"{found.heads} heads and {found.shafts} shafts read without fault."]
    if found.odd:
        lines = [f"{found.heads} heads and {found.shafts} shafts read; what should be looked at first:"]
        lines += [*_minded(found.odd), ""]
    if found.stamps_gauged:
        plural = "s carry" if found.stamps_gauged > 1 else " carries"
        lines.append(
            f"{found.stamps_gauged} gauged head{plural} a stamp: on the others a stamp is taken to be off by "
            f"{found.stamp_error_deg:+.1f} +- {found.stamp_error_sd_deg:.1f} deg."
        )
    rows = [
        [f"{m.part} {m.code}", m.figure, m.how, units.distance(m.carry_m), f"{m.minutes} min"]
        for m in found.missing[:MISSING]
    ]
    if rows:
        lines += ["Not measured, widest carry interval first (what measuring would close):", ""]
        lines.append(table(["part", "figure", "measure with", "carry", "takes"], rows, left=3))
    if len(found.missing) > MISSING:
        lines.append(f"and {len(found.missing) - MISSING} more (--json lists all)")
    return "\n".join(lines)


def _minded(odd: Sequence[Problem]) -> list[str]:
    """What is out of the ordinary, a line each."""
    return [wrap(f"! {problem}", indent="  ") for problem in odd]


def step_text(step: Step) -> str:
    """Sentence of one step.

    Examples
    --------
    >>> from fitter.kit.build import Step
    >>> step_text(Step("cut butt", {"shaft": "S3", "size_mm": 79.2, "measured": False}))
    'Cut about 79 mm off the butt of shaft S3: dry-fit the head first.'
    """
    values = step.values
    return STEPS[step.action].format(
        **values,
        about="" if values.get("measured", True) else "about ",
        name=swing_name(values.get("points", 0.0)),
    )
