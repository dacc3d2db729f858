"""The build sheet of a club with its bench work as data, and the read-back of what was built."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from typing import Any, Literal

import numpy as np
from numpy.typing import NDArray

from fitter.base.assumptions import current
from fitter.base.errors import Problem
from fitter.base.units import DEG, INCH
from fitter.kit import profile
from fitter.kit.body import PARTS, head_beyond_tip, swing_name, weigh
from fitter.kit.club import Club
from fitter.kit.figures import Figure, Reading, fill
from fitter.kit.mechanics import describe
from fitter.kit.sense import doubtful_club

Floats = NDArray[np.float64]

LINES = {
    "length_in": "in",
    "loft_deg": "deg, square face",
    "face_angle_deg": "deg, soled",
    "lie_deg": "deg",
    "head_mass_g": "g",
    "grip_mass_g": "g",
    "total_mass_g": "g",
    "balance_mm": "mm from the butt",
    "swing_weight_points": "points above D0",
    "moi_kgcm2": "kg cm2 about the butt",
    "frequency_cpm": "cpm, head on",
    "added_loft_deg": "deg, from the shaft near impact",
}
"""Figures of a build sheet with their units."""
_TOLERANCES = {"head_mass_g": "mass_g", "grip_mass_g": "mass_g", "total_mass_g": "mass_g"}
DRAWS = 128


@dataclass(frozen=True)
class Line:
    """One figure of the sheet: as hit, as ordered, how far the built club may be off; None where unknown."""

    name: str
    unit: str
    as_hit: Figure
    as_ordered: Figure
    tolerance: float | None


@dataclass(frozen=True)
class Step:
    """One step of the work: what is done, with the codes and figures that it needs.

    Parameters
    ----------
    action : str
        'order head', 'mind the stamp', 'gauge loft', 'set sleeve', 'place weight', 'swap weight', 'add mass',
        'cut tip', 'weight tip', 'cut butt', 'extend butt', 'check length', 'grip', 'swing weight' or
        'gauge all'.
    values : dict
        By name, units in the names.
    """

    action: str
    values: dict[str, Any]


@dataclass(frozen=True)
class BuildSheet:
    """What a workshop needs to build a club.

    Parameters
    ----------
    club : str
        Code of the club to build.
    head, shaft : str
        Codes.
    swing_weight : str
        As ordered, letter and number.
    lines : tuple of Line
    steps : tuple of Step
        In the order of the work.
    odd : tuple of Problem
        What is out of the ordinary or breaks a rule.
    """

    club: str
    head: str
    shaft: str
    swing_weight: str
    lines: tuple[Line, ...]
    steps: tuple[Step, ...]
    odd: tuple[Problem, ...] = ()

    def line(self, name: str) -> Line:
        """Line of a figure."""
        return next(line for line in self.lines if line.name == name)


def figures(clubs: Sequence[Club], speed: float | None = None) -> list[dict[str, Figure]]:
    """Figures of `LINES` for each club, with their SD; what was measured on the whole club stands as it is.

    Parameters
    ----------
    clubs : sequence of Club
    speed : float, optional
        Club speed for the shaft's added loft, m/s.
    """
    at = current().value("club.reference_speed_mps") if speed is None else speed
    centre, drawn = describe(clubs, at), describe(clubs, at, DRAWS)
    cpm, cpm_sd = _frequencies(clubs)
    # Name, factor to the sheet's unit, attribute.
    rows = (("length_in", 1 / INCH, "length"), ("loft_deg", 1 / DEG, "loft"),
            ("face_angle_deg", 1 / DEG, "soled_face"), ("lie_deg", 1 / DEG, "lie"),
            ("head_mass_g", 1e3, "head_mass"), ("total_mass_g", 1e3, "mass"), ("balance_mm", 1e3, "balance"),
            ("swing_weight_points", 1.0, "points"), ("moi_kgcm2", 1.0, "moi"),
            ("added_loft_deg", 1 / DEG, "lead_slope"))  # fmt: skip
    out = []
    for i, club in enumerate(clubs):
        found = {
            name: Figure(
                float(getattr(centre, key)[0, i]) * factor,
                float(np.std(getattr(drawn, key)[:, i])) * factor,
                _measured(club, name),
            )
            for name, factor, key in rows
        }
        found["grip_mass_g"] = club.shaft.figure("grip_mass_g")
        if club.grip_mass_g is not None:
            found["grip_mass_g"] = fill("shaft", "grip_mass_g", club.grip_mass_g)
        found["frequency_cpm"] = Figure(float(cpm[i]), float(cpm_sd[i]), False)
        for name, figure in club.whole:
            found[name] = figure
        out.append({name: found[name] for name in LINES})
    return out


def build_sheet(
    hit: Club,
    ordered: Club,
    speed: float | None = None,
    *,
    all_new: bool = False,
    local_length_rule: bool = False,
) -> BuildSheet:
    """Sheet of a club to build, beside the club that was hit.

    Parameters
    ----------
    hit : Club
        The club in the player's hands when it was decided (a demo, or the present one).
    ordered : Club
        The club to build.
    speed : float, optional
        The player's club speed, m/s.
    all_new : bool
        Whether nothing of it is there yet; else the parts that it shares with the club that was hit are.
    local_length_rule : bool
        Whether Model Local Rule G-10 (46 in) is in force.
    """
    lines = _lines(hit, ordered, speed)
    target = {line.name: line.as_ordered for line in lines}
    return BuildSheet(
        club=ordered.code,
        head=ordered.head.head,
        shaft=ordered.shaft.shaft,
        swing_weight=swing_name(target["swing_weight_points"].value),
        lines=lines,
        steps=tuple(_steps(None if all_new else hit, ordered, target)),
        odd=doubtful_club(ordered, local_length_rule=local_length_rule),
    )


def _lines(hit: Club, ordered: Club, speed: float | None) -> tuple[Line, ...]:
    known = current()
    as_hit, as_ordered = figures([hit, ordered], speed)
    lines = []
    for name, unit in LINES.items():
        entry = known.get(f"club.tolerance_{_TOLERANCES.get(name, name)}")
        lines.append(Line(name, unit, as_hit[name], as_ordered[name], None if entry is None else entry.value))
    return tuple(lines)


def _frequencies(clubs: Sequence[Club]) -> tuple[Floats, Floats]:
    """Clamped frequency of whole clubs, head on, and its SD, cpm, each (clubs,)."""
    known, centre = current(), describe(clubs, 1.0)
    clamp = np.array([fill("shaft", "clamp_mm", c.clamp_mm).value for c in clubs]) / 1e3
    profiles = [profile.fit(c.shaft) for c in clubs]
    raw = np.array([(p.length_m, p.mass_kg, p.balance) for p in profiles]).T
    tip = np.array([c.tip_cut_mm for c in clubs]) / 1e3
    cut = raw[0] - (centre.length[0] - known.value("club.shaft_short_mm") / 1e3) - tip
    own = known.value("club.head_own_inertia_kgcm2") * 1e-4
    log_ei = np.stack([np.vstack([p.log_ei.draw(), p.log_ei.draw(DRAWS)]) for p in profiles], axis=1)
    cpm = profile.clamped_cpm(
        log_ei, raw[0], raw[1], raw[2], clamp, centre.head_mass[0], cut, head_beyond_tip(), own, tip
    )
    return cpm[0], cpm[1:].std(axis=0)


def _measured(club: Club, name: str) -> bool:
    part = {"loft_deg": club.head.loft_deg, "face_angle_deg": club.head.face_angle_deg,
            "lie_deg": club.head.lie_deg, "head_mass_g": None if club.head.masses else club.head.mass_g,
            "length_in": club.length_in}  # fmt: skip
    return part.get(name) is not None


def _steps(hit: Club | None, club: Club, target: dict[str, Figure]) -> Iterator[Step]:
    """What the workshop does, in order; what the club that was hit has already is not done again."""
    known, head, shaft = current(), club.head.head, club.shaft.shaft

    def step(action: str, **values: Any) -> Step:
        return Step(action, values)

    own_head = hit is not None and club.head.code == hit.head.code
    own_shaft = hit is not None and club.shaft.code == hit.shaft.code
    if club.head.stock == "order" and not own_head:
        loft, window = target["loft_deg"].value - club.loft_change_deg, known.value("club.tolerance_loft_deg")
        yield step("order head", head=head, loft_deg=loft, window_deg=window)
        yield step("mind the stamp")
    elif not target["loft_deg"].measured:
        yield step("gauge loft", head=head)
    if len(club.head.positions) > 1:
        yield step("set sleeve", loft_deg=club.loft_change_deg, lie_deg=club.lie_change_deg)
    if club.place:
        yield step("place weight", place=club.place)
    swap, tip_cut, tip_weight = club.swap_g, club.tip_cut_mm, club.tip_weight_g
    if hit is not None:
        swap -= hit.swap_g if own_head else 0.0
        tip_cut -= hit.tip_cut_mm if own_shaft else 0.0
        tip_weight -= hit.tip_weight_g if own_shaft else 0.0
    if swap:
        yield step("swap weight" if club.head.weight_g is not None else "add mass", change_g=swap)
    if tip_cut:
        yield step("cut tip", shaft=shaft, cut_mm=tip_cut)
    if tip_weight:
        yield step("weight tip", shaft=shaft, mass_g=tip_weight)
    if hit is not None and own_shaft:
        # The shaft is in its club already: only the change of length is cut.
        cut, measured = (hit.length_in.value - club.length_in.value) * 25.4 - tip_cut, True
    else:
        raw = club.shaft.figure("length_in")
        needed = club.length_in.value * 25.4 - known.value("club.shaft_short_mm")
        cut, measured = raw.value * 25.4 - club.tip_cut_mm - needed, raw.measured
    if abs(cut) >= 0.5:
        action = "cut butt" if cut > 0 else "extend butt"
        yield step(action, shaft=shaft, size_mm=abs(cut), measured=measured)
    yield step("check length", length_in=club.length_in.value)
    yield step("grip", mass_g=target["grip_mass_g"].value)
    plain = replace(club, whole=())
    points = describe([plain, replace(plain, swap_g=club.swap_g + 1.0)], 1.0).points[0]
    yield step(
        "swing weight",
        points=target["swing_weight_points"].value,
        window_points=known.value("club.tolerance_swing_weight_points"),
        head_g=1.0 / float(points[1] - points[0]),
    )
    yield step("gauge all")


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
    seen = _seen(built)
    checks = []
    for line in _lines(ordered, ordered, speed):
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
    parts = figures([ordered])[0]
    centre, drawn = describe([ordered], 1.0), describe([ordered], 1.0, DRAWS)
    cut = float(centre.mass[0, 0]) * 1e3 - parts["head_mass_g"].value - parts["grip_mass_g"].value
    cut_sd = float(np.std(drawn.mass - drawn.head_mass)) * 1e3
    prior = {
        "head_mass_g": parts["head_mass_g"],
        "shaft_mass_g": Figure(cut, max(cut_sd, current().sd("shaft.gauge_mass_g")), False),
        "balance_pct": fill("club", "cut_balance_pct", None),
        "grip_mass_g": parts["grip_mass_g"],
    }
    whole = {n: f for n, f in built.whole if n != "frequency_cpm"}
    code = f"{ordered.code} as built"
    masses = weigh(code, built.length(), prior, whole)
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
