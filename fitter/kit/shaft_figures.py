"""Bench figures of a shaft in a club: frequency, bend near impact, swing weight, inertia."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from fitter.base import draws
from fitter.base.assumptions import current
from fitter.base.errors import Problem, raise_if
from fitter.base.units import DEG, INCH
from fitter.kit import beam, profile
from fitter.kit.body import assemble, swing_name
from fitter.kit.figures import Reading
from fitter.kit.parts import Head, Shaft
from fitter.physics import geometry

Floats = NDArray[np.float64]

DRAWS = 512
LOW, HIGH = 0.1, 0.9
"""Ends of an 80 % interval."""


@dataclass(frozen=True)
class ShaftFigures:
    """Answer of `shaft_figures`, units in the names, with 80 % intervals by key.

    Parameters
    ----------
    frequency_cpm : float
        Of the club clamped at its butt, head on.
    lead_mm, added_loft_deg : float
        Forward bend and slope of the tip near impact, in the plane of shaft and target line.
    loft_to_ground_deg, face_closed_deg : float
        What that slope adds to the loft against the ground and takes off the face, at the usual lie.
    droop_mm, droop_deg : float
        Toe-down bend and slope.
    swing_weight : str
        Letter and number.
    swing_weight_points, moi_kgcm2, total_mass_g, balance_mm : float
        Points above D0; inertia about the butt; whole club.
    tip_ei_nm2 : float
        Stiffness near the tip that the answer rests on.
    intervals : dict
        Low and high by key.
    added_loft_sd_deg : dict
        SD of the added loft by what is not known: 'stiffness' of the shaft, 'mass centre' of the head.
    notes : tuple of str
    """

    frequency_cpm: float
    lead_mm: float
    added_loft_deg: float
    loft_to_ground_deg: float
    face_closed_deg: float
    droop_mm: float
    droop_deg: float
    swing_weight: str
    swing_weight_points: float
    moi_kgcm2: float
    total_mass_g: float
    balance_mm: float
    tip_ei_nm2: float
    intervals: dict[str, tuple[float, float]]
    added_loft_sd_deg: dict[str, float]
    notes: tuple[str, ...]


def shaft_figures(
    length_m: float,
    shaft_kg: float,
    head_kg: float,
    *,
    frequency_cpm: float | None = None,
    stiffness_nm2: tuple[float, float] | None = None,
    tip_ei_nm2: float | None = None,
    club_speed_mps: float | None = None,
    grip_kg: float | None = None,
    clamp_m: float | None = None,
    seed: int = 1,
) -> ShaftFigures:
    """Bench figures of a club.

    Parameters
    ----------
    length_m, shaft_kg, head_kg : float
        Whole club; cut shaft; head.
    frequency_cpm : float, optional
        Of the club clamped at its butt with the head on. The tip stays open unless ``tip_ei_nm2`` is given.
    stiffness_nm2 : (float, float), optional
        Stiffness at butt and tip, linear between; instead of a frequency.
    tip_ei_nm2 : float, optional
        Measured stiffness near the tip.
    club_speed_mps, grip_kg, clamp_m : float, optional
        The judged ones when silent.
    seed : int

    Raises
    ------
    InputError
        Unless there is exactly one of frequency and stiffness, and every figure is a club's.
    """
    known = current()
    _check(
        length_m,
        shaft_kg,
        head_kg,
        frequency_cpm,
        stiffness_nm2,
        tip_ei_nm2,
        club_speed_mps,
        grip_kg,
        clamp_m,
    )
    speed = known.value("club.reference_speed_mps") if club_speed_mps is None else club_speed_mps
    clamp = known.value("shaft.clamp_mm") / 1e3 if clamp_m is None else clamp_m
    short, hands = known.value("club.shaft_short_mm") / 1e3, known.value("arc.hands_in") * INCH
    ahead = short - known.value("club.head_short_mm") / 1e3
    own = known.value("club.head_own_inertia_kgcm2") * 1e-4
    cut = length_m - short
    share = known.value("club.cut_balance_pct") / 100.0
    notes: list[str] = []
    rows = DRAWS + 1  # the centre first

    if stiffness_nm2 is not None:
        at = np.linspace(0.0, 1.0, 2 * profile.PLACES - 1)

        def part(start: float) -> beam.Beam:
            s = (start + (cut - start) * at) / cut
            ei = stiffness_nm2[0] + (stiffness_nm2[1] - stiffness_nm2[0]) * s
            return beam.beam(ei, profile.mass_at(shaft_kg, cut, share, s), cut - start, at.size - 1)

        tip = np.full(rows, stiffness_nm2[1])
    else:
        reading = None if tip_ei_nm2 is None else Reading(tip_ei_nm2)
        fitted = profile.fit(
            Shaft(
                "bench",
                mass_g=Reading(shaft_kg * 1e3),
                balance_pct=Reading(share * 100.0),
                length_in=Reading(cut / INCH),
                frequency_cpm=Reading(frequency_cpm or 0.0),
                clamp_mm=Reading(clamp * 1e3, 1.0),
                tip_mass_g=Reading(head_kg * 1e3, 0.3),
                tip_ahead_mm=Reading(ahead * 1e3),
                tip_ei_nm2=reading,
            )
        )
        log_ei = np.vstack([fitted.log_ei.draw(0), fitted.log_ei.draw(DRAWS, seed)])
        tip = np.exp(log_ei[:, 2])

        def part(start: float) -> beam.Beam:
            return profile.section(log_ei, cut, shaft_kg, share, start)

        if reading is None:
            notes.append("tip stiffness not measured: the frequency alone leaves lead and added loft open")

    cpm = beam.frequencies_cpm(part(clamp), beam.Tip(head_kg, ahead, 0.0, own))[..., 0]
    radius = known.value("arc.radius_m")
    offsets = {"lead": _offset("lead", seed), "droop": _offset("droop", seed)}
    values: dict[str, Floats] = {"frequency_cpm": np.broadcast_to(cpm, (rows,)), "tip_ei_nm2": tip}
    bends = {}
    for name, offset in offsets.items():
        w, slope = beam.bend_near_impact(
            part(hands), beam.Tip(head_kg, ahead, offset), speed, radius, in_plane=name == "lead"
        )
        values[f"{name}_mm"], bends[name] = w * 1e3, slope
    lie = known.value("head.lie_deg") * DEG
    loft = known.value("club.reference_loft_deg") * DEG
    leant, face = geometry.lean(loft, 0.0, lie, bends["lead"], 0.0)
    values |= {"added_loft_deg": bends["lead"] / DEG, "droop_deg": bends["droop"] / DEG,
               "loft_to_ground_deg": (leant - loft) / DEG, "face_closed_deg": -face / DEG}  # fmt: skip
    # The slope is in proportion to the offset, so the two spreads separate.
    shaft_sd = float(np.std(bends["lead"][1:] / offsets["lead"][1:]) * offsets["lead"][0] / DEG)
    head_sd = float(np.std(offsets["lead"][1:]) / offsets["lead"][0] * bends["lead"][0] / DEG)
    grip = known.value("shaft.grip_mass_g") / 1e3 if grip_kg is None else grip_kg
    body = assemble(length_m, head_kg, shaft_kg, share, grip)
    centre = {k: float(v[0]) for k, v in values.items()}
    quantiles = {k: np.quantile(v[1:], [LOW, HIGH]) for k, v in values.items()}
    intervals = {k: (min(float(q[0]), centre[k]), max(float(q[1]), centre[k])) for k, q in quantiles.items()}
    return ShaftFigures(
        **centre,
        swing_weight=swing_name(float(body.points)),
        swing_weight_points=float(body.points),
        moi_kgcm2=float(body.moi_kgcm2),
        total_mass_g=float(body.mass_kg) * 1e3,
        balance_mm=float(body.balance_m) * 1e3,
        intervals=intervals,
        added_loft_sd_deg={"stiffness": shaft_sd, "mass centre": head_sd},
        notes=tuple(notes),
    )


def _offset(bend: str, seed: int) -> Floats:
    """Mass centre of an ordinary head off the shaft's axis, m: its centre, then draws."""
    figure = Head("bench").figure("lead_offset_mm" if bend == "lead" else "shaft_axis_mm")
    drawn = figure.value + figure.sd * draws.normals(DRAWS, seed, "bench", bend)
    return np.asarray(np.concatenate([[figure.value], drawn]) / 1e3)


def _check(
    length_m: float,
    shaft_kg: float,
    head_kg: float,
    frequency: float | None,
    stiffness: tuple[float, float] | None,
    tip: float | None,
    speed: float | None,
    grip: float | None,
    clamp: float | None,
) -> None:
    problems: list[Problem] = []
    limits: list[tuple[str, float | None, float, float, str, float]] = [
        ("--length", length_m, 30, 60, "in", INCH),
        ("--mass", shaft_kg, 20, 200, "g", 1e-3),
        ("--head-mass", head_kg, 100, 300, "g", 1e-3),
        ("--frequency", frequency, 100, 500, "cpm", 1.0),
        ("--stiffness butt", stiffness and stiffness[0], 3, 300, "N m2", 1.0),
        ("--stiffness tip", stiffness and stiffness[1], 3, 300, "N m2", 1.0),
        ("--tip-stiffness", tip, 3, 150, "N m2", 1.0),
        ("--club-speed", speed, 10, 80, "m/s", 1.0),
        ("grip", grip, 10, 150, "g", 1e-3),
        ("clamp", clamp, 30, 300, "mm", 1e-3),
    ]
    for name, value, low, high, unit, factor in limits:
        if value is not None and not low <= value / factor <= high:
            found, allowed = f"{value / factor:g} {unit}", f"{low:g} to {high:g} {unit}"
            problems.append(Problem(name, found, allowed, "Check the figure and its unit."))
    if (frequency is None) == (stiffness is None):
        found = "neither" if frequency is None else "both"
        do = "Give the clamped frequency, or butt and tip stiffness."
        problems.append(Problem("--frequency, --stiffness", found, "one of the two", do))
    raise_if(problems, "These are no bench figures of a club.")
