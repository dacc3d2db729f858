"""The built club read back: within its tolerances, and a club to predict again with."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Literal

import numpy as np

from fitter.assumptions import load
from fitter.kit.bench import DRAWS, build_sheet, figures
from fitter.kit.club import Club
from fitter.kit.figures import Figure, Reading, fill
from fitter.kit.mechanics import describe
from fitter.kit.weighing import PARTS, weigh
from fitter.units import DEG

State = Literal["within", "out", "not measured", "no tolerance"]


@dataclass(frozen=True)
class Check:
    """One figure read back: ordered, built, difference and verdict."""

    name: str
    unit: str
    ordered: float
    built: float | None
    tolerance: float | None
    state: State


@dataclass(frozen=True)
class ReadBack:
    """A built club against its sheet.

    Parameters
    ----------
    checks : tuple of Check
    within : bool
        No figure that was measured is out.
    club : Club
        The club as built, to predict again with.
    """

    checks: tuple[Check, ...]
    within: bool
    club: Club


def read_back(ordered: Club, built: Club, speed: float | None = None) -> ReadBack:
    """Hold a built club's card against what was ordered.

    Parameters
    ----------
    ordered : Club
    built : Club
        From the card of the built club (`fitter.kit.card.read_card`).
    speed : float, optional
        As for `build_sheet`.
    """
    sheet = build_sheet(ordered, ordered, speed)
    seen = _seen(built)
    checks = []
    for line in sheet.lines:
        value = seen.get(line.name)
        want = line.as_ordered.value
        if value is None:
            state: State = "not measured"
        elif line.tolerance is None:
            state = "no tolerance"
        else:
            # A reading that sits on the limit is inside: a ruler cannot tell.
            state = "within" if abs(value - want) <= line.tolerance * (1 + 1e-9) else "out"
        checks.append(Check(line.name, line.unit, want, value, line.tolerance, state))
    return ReadBack(tuple(checks), all(c.state != "out" for c in checks), as_built(ordered, built))


def as_built(ordered: Club, built: Club) -> Club:
    """The ordered club with everything that was measured on the built one."""
    known = load()
    parts = figures([ordered])[0]
    centre, drawn = describe([ordered], 1.0), describe([ordered], 1.0, DRAWS)
    cut = float(centre.mass[0, 0]) * 1e3 - parts["head_mass_g"].value - parts["grip_mass_g"].value
    cut_sd = float(np.std(drawn.mass - drawn.head_mass)) * 1e3
    prior = {
        "head_mass_g": parts["head_mass_g"],
        "shaft_mass_g": Figure(cut, max(cut_sd, known.sd("shaft.gauge_mass_g")), False),
        "balance_pct": fill("club", "cut_balance_pct", None, known),
        "grip_mass_g": parts["grip_mass_g"],
    }
    whole = {n: f for n, f in built.whole if n != "frequency_cpm"}
    code = f"{ordered.code} as built"
    masses = weigh(code, built.length(known), prior, whole, known)
    shift = built.loft_change_deg - ordered.loft_change_deg
    changes = {n: getattr(built.head, n) for n in ("face_angle_deg", "lie_deg") if getattr(built.head, n)}
    loft = built.head.loft_deg
    if loft is not None:
        changes["loft_deg"] = Reading(loft.value + shift, loft.sd)
    head = replace(ordered.head, head=code, masses=masses, stock="rack", **changes)
    named = {p: Reading(*masses.figure(p)[:2]) for p in PARTS}
    base = built.shaft if built.frequency_cpm is not None else ordered.shaft
    shaft = replace(
        base,
        shaft=code,
        length_in=built.shaft.length_in,
        mass_g=named["shaft_mass_g"],
        balance_pct=named["balance_pct"],
        balance_mm=None,
        grip_mass_g=named["grip_mass_g"],
        masses=masses,
        frequency_cpm=built.shaft.frequency_cpm,
        tip_ei_nm2=built.shaft.tip_ei_nm2 or ordered.shaft.tip_ei_nm2,
    )
    return replace(built, head=head, shaft=shaft, loft_change_deg=ordered.loft_change_deg,
                   lie_change_deg=ordered.lie_change_deg, place=ordered.place, known=True)  # fmt: skip


def _seen(club: Club) -> dict[str, float]:
    """What was measured on a built club, in the sheet's names."""
    found = {name: figure.value for name, figure in club.whole}
    found["length_in"] = club.length_in.value
    if club.head.loft_deg is not None:
        found["loft_deg"] = club.head.loft_deg.value + club.loft_change_deg
    if club.head.lie_deg is not None:
        found["lie_deg"] = club.head.lie_deg.value + club.lie_change_deg
    if club.head.face_angle_deg is not None:
        found["face_angle_deg"] = float(describe([club], 1.0).soled_face[0, 0]) / DEG
    return found
