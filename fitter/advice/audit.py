"""What a kit leaves unmeasured, and how many metres of carry each missing figure leaves open."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Any

import numpy as np
from numpy.typing import NDArray

from fitter import world
from fitter.advice.options import Option
from fitter.base import draws
from fitter.base.assumptions import Assumptions, current
from fitter.base.conditions import Conditions
from fitter.base.errors import Problem
from fitter.base.units import DEG
from fitter.kit import profile, stamps
from fitter.kit.club import Club, playing_length
from fitter.kit.figures import Reading, fill
from fitter.kit.inventory import Kit
from fitter.kit.mechanics import Mechanics, Sampler, describe, head_figure
from fitter.kit.parts import Head, Shaft
from fitter.kit.sense import odd_kit
from fitter.physics import engine, vectors

Floats = NDArray[np.float64]

INTERVAL = 2.563103131089201
"""Width of an 80 % interval of a normal variable in SDs."""
HEAD_GAUGES = {
    "loft_deg": ("loft gauge", 2),
    "mass_g": ("balance", 1),
    "face_angle_deg": ("face gauge, soled", 2),
    "lie_deg": ("lie gauge", 2),
    "cg_depth_mm": ("balancing pin", 5),
    "cg_up_mm": ("balancing pin", 5),
    "cg_toe_mm": ("balancing pin", 5),
    "moi_vertical_gcm2": ("inertia bench", 10),
    "moi_heel_toe_gcm2": ("inertia bench", 10),
    "bulge_mm": ("radius gauge", 2),
    "roll_mm": ("radius gauge", 2),
    "ct_us": ("pendulum", 5),
}
"""How each figure of a head is measured, and the minutes that it takes (common practice, no source)."""
SHAFT_GAUGES = {
    "mass_g": ("balance", 1),
    "length_in": ("ruler", 1),
    "balance_pct": ("knife edge", 2),
    "frequency_cpm": ("frequency bench", 2),
    "tip_ei_nm2": ("deflection board at the tip", 5),
}


@dataclass(frozen=True)
class Missing:
    """One figure that nobody measured.

    Parameters
    ----------
    part, code, figure : str
        'head' or 'shaft', its code, and the figure's column.
    sd, sd_measured : float
        SD now and after measuring, in the figure's unit.
    carry_m : float
        Width of the 80 % interval of carry that it leaves open now and that measuring would close, m.
    how : str
        With what it is measured.
    minutes : int
        That it takes.
    """

    part: str
    code: str
    figure: str
    sd: float
    sd_measured: float
    carry_m: float
    how: str
    minutes: int


@dataclass(frozen=True)
class Audit:
    """A kit that reads without fault.

    Parameters
    ----------
    heads, shafts : int
        How many there are.
    missing : tuple of Missing
        Widest carry interval first.
    odd : tuple of Problem
        What is out of the ordinary or breaks a rule.
    stamps_gauged : int
        Heads that carry a stamp and were gauged.
    stamp_error_deg, stamp_error_sd_deg : float
        What these make of the stamps of the other heads: gauged less stamped, deg.
    """

    heads: int
    shafts: int
    missing: tuple[Missing, ...]
    stamps_gauged: int
    stamp_error_deg: float
    stamp_error_sd_deg: float
    odd: tuple[Problem, ...] = ()


def check_kit(
    folder: str | Path, conditions: Conditions | None = None, *, local_length_rule: bool = False
) -> Audit:
    """Read a kit and price what it leaves open.

    Parameters
    ----------
    folder : str or Path
    conditions : Conditions, optional
        Where the carry is reckoned.
    local_length_rule : bool
        Whether Model Local Rule G-10 (46 in) is in force.

    Returns
    -------
    Audit

    Raises
    ------
    InputError
        With every fault of the files.

    Notes
    -----
    Carry is that of an ordinary drive (``club.reference_*``), averaged over strikes at the centre and one SD
    to each side, blended over the modern laws. A figure's width is ``2.563 |d carry / d figure|`` times the
    part of its SD that measuring would take away; figures of a head act through the strike and through the
    player's share of loft and face, those of a shaft through inertia and added loft.
    """
    kit = Kit.load(folder)
    odd = odd_kit(kit, local_length_rule=local_length_rule)
    parts: list[Head | Shaft] = [*kit.heads, *kit.shafts]
    missing = [m for part in parts for m in missing_figures(part)]
    if not missing:
        return _audit(kit, (), odd)
    priced = _priced(kit, missing, conditions or Conditions())
    order = sorted(range(len(missing)), key=lambda i: -priced[i].carry_m)
    return _audit(kit, tuple(priced[i] for i in order), odd)


def _audit(kit: Kit, missing: tuple[Missing, ...], odd: tuple[Problem, ...]) -> Audit:
    errors = kit.heads[0].stamp_errors or () if kit.heads else ()
    error = stamps.worth(errors)
    return Audit(len(kit.heads), len(kit.shafts), missing, len(errors), error.value, error.sd, odd)


def missing_figures(part: Head | Shaft) -> list[Missing]:
    """What nobody measured of a part, not yet priced (carry 0)."""
    kind, gauges = ("head", HEAD_GAUGES) if isinstance(part, Head) else ("shaft", SHAFT_GAUGES)
    found = []
    for name, (how, minutes) in gauges.items():
        figure = part.figure(name)
        if not figure.measured:
            after = min(fill(kind, name, Reading(figure.value)).sd, figure.sd)
            found.append(Missing(kind, part.code, name, figure.sd, after, 0.0, how, minutes))
    return found


def _priced(kit: Kit, missing: list[Missing], conditions: Conditions) -> list[Missing]:
    """Carry with each missing figure one removable SD up and down."""
    known = current()
    spread = [float(np.sqrt(max(m.sd**2 - m.sd_measured**2, 0.0))) for m in missing]
    clubs: list[Club] = []
    for m, step in zip(missing, spread, strict=True):
        for sign in (1.0, -1.0):
            clubs.append(_shifted(kit, m, sign * step))
    speed = known.value("club.reference_speed_mps")
    carry = _carry(describe(clubs, speed), speed, known, conditions)
    half = 0.5 * np.abs(carry[::2] - carry[1::2])

    return [replace(m, carry_m=float(INTERVAL * h)) for m, h in zip(missing, half, strict=True)]


def _shifted(kit: Kit, m: Missing, shift: float) -> Club:
    """The part on an ordinary club with one figure shifted."""

    # A code of its own, so that nothing is shared with the unshifted part.
    name = f"{m.code} {m.figure} {shift!r}"
    head, shaft = Head("ordinary"), Shaft("ordinary")
    changes: dict[str, Any] = {}
    if m.part == "head":
        head = kit.head(m.code)
        changes[m.figure] = Reading(head.figure(m.figure).value + shift, 0.0)
        head = replace(head, head=name, stock="rack", **changes)
    else:
        shaft = kit.shaft(m.code)
        figure = shaft.figure(m.figure)
        changes[m.figure] = Reading(figure.value + shift, figure.sd)
        shaft = replace(shaft, shaft=name, **changes)
    return Club(head, shaft, Reading(playing_length(shaft).value, 0.0))


def _carry(clubs: Mechanics, speed: float, known: Assumptions, conditions: Conditions) -> Floats:
    """Carry of an ordinary drive with each club, m, shape (clubs,)."""
    length = Reading(known.value("club.length_in"), 0.0)
    usual = describe([Club(Head("ordinary"), Shaft("ordinary"), length)], speed)
    toe, high = (known.value(f"club.reference_{n}_mm") / 1e3 for n in ("toe", "high"))
    spots = np.array([(0.0, 0.0), (toe, 0.0), (-toe, 0.0), (0.0, high), (0.0, -high)])
    base = np.zeros((len(spots), vectors.DELIVERY))
    base[:, vectors.CLUB_SPEED] = speed
    base[:, vectors.ATTACK] = known.value("club.reference_attack_deg") * DEG
    base[:, vectors.LOFT] = known.value("club.reference_loft_deg") * DEG
    base[:, [vectors.TOE, vectors.HIGH]] = spots
    central = world.central(conditions)
    laws = len(central.world)
    change = np.zeros((laws, clubs.loft.shape[1], vectors.DELIVERY))
    inertia = (clubs.moi / usual.moi) ** -known.value("response.inertia_exponent")
    change[..., vectors.CLUB_SPEED] = inertia
    share, bend = known.value("response.loft"), known.value("response.shaft_loft")
    change[..., vectors.LOFT] = share * (clubs.loft - usual.loft) + bend * (
        clubs.lead_slope - usual.lead_slope
    )
    change[..., vectors.FACE] = known.value("response.face") * (clubs.soled_face - usual.soled_face)
    heads = np.broadcast_to(clubs.kernel_heads(), (laws, *clubs.loft.shape[1:], vectors.HEAD))
    residual = np.zeros((laws, len(spots), 5))
    residual[..., [0, 3]] = 1.0
    out = engine.strike_to_rest(base, change, heads, residual, central.world)
    return np.asarray(out[..., 0].mean(axis=(0, 2)))


STIFFNESS = "frequency_cpm"
LOFT = "loft_deg"
WHOLE_HEAD = (LOFT, "lie_deg", "face_angle_deg")
"""Figures of a head that can be gauged while it stays on its club."""


@dataclass(frozen=True)
class Unknown:
    """One figure of a part that nobody measured.

    Parameters
    ----------
    missing : Missing
        What it is, how it is measured, and the minutes.
    drawn : ndarray, shape (draws, k)
        The draws of it that the ranking used, about 0.
    after : ndarray, shape (k, k)
        Covariance that a reading would leave.
    """

    missing: Missing
    drawn: Floats
    after: Floats


def unknowns(clubs: Iterable[Club], n: int, seed: int) -> list[Unknown]:
    """What nobody measured of the parts of some clubs that stand in the shop.

    Parameters
    ----------
    clubs : iterable of Club
    n, seed : int
        As of the ranking, so that the draws are the same.
    """
    clubs = list(clubs)
    heads = {c.head.code: c.head for c in clubs if c.head.stock != "order"}
    shafts = {c.shaft.code: c.shaft for c in clubs if c.shaft.stock != "order" and c.shaft.masses is None}
    parts: list[Head | Shaft] = [*heads.values(), *shafts.values()]
    found = []
    for part in parts:
        for m in missing_figures(part):
            if isinstance(part, Head) and part.masses is not None and m.figure not in WHOLE_HEAD:
                continue
            if isinstance(part, Shaft) and m.figure == STIFFNESS:
                found.append(_stiffness(part, m, n, seed))
            elif m.sd > 0.0 and not (isinstance(part, Shaft) and m.figure == "tip_ei_nm2"):
                found.append(Unknown(m, _drawn(part, m, n, seed)[:, None], np.array([[m.sd_measured**2]])))
    return found


def _drawn(part: Head | Shaft, m: Missing, n: int, seed: int) -> Floats:
    """Draws of one figure about its centre, as the ranking used them, (n,)."""
    if isinstance(part, Head):
        return head_figure(part, m.figure, Sampler(n, seed)) - part.figure(m.figure).value
    return np.asarray(m.sd * draws.normals(n, seed, m.part, f"{m.code} {m.figure}"))


def _stiffness(shaft: Shaft, m: Missing, n: int, seed: int) -> Unknown:
    known = profile.fit(shaft).log_ei
    read = profile.fit(replace(shaft, frequency_cpm=Reading(shaft.figure(STIFFNESS).value))).log_ei
    return Unknown(m, known.draw(n, seed) - np.array(known.mean), np.array(read.covariance))


def left(values: Floats, unknown: Unknown) -> float:
    """Share of the interval of values (draws,) that would be left after the reading, 0 to 1.

    Linear in the figure: ``var - b C b + b C' b`` with C before and C' after the reading, and b by least
    squares over the draws.
    """
    x = unknown.drawn - unknown.drawn.mean(axis=0)
    y = values - values.mean()
    total = float(y @ y / len(y))
    if total == 0.0:
        return 1.0
    slope = np.linalg.lstsq(x, y, rcond=None)[0]
    before = float(slope @ (x.T @ x / len(y)) @ slope)
    after = min(float(slope @ unknown.after @ slope), before)
    return float(np.sqrt(max(total - before + after, 0.0) / total))


def explained() -> float:
    """Least share of a gain's variance that a reading must explain before its value is believed."""
    return current().value("verdict.explained")


def reading_value(net: Floats, drawn: Floats) -> float:
    """Worth of reading some figures before deciding, in the unit of net gains; arguments as `after_reading`.

    ``E[max(0, max_i E[g_i | x])] - max(0, max_i E[g_i])``.
    """
    fitted = after_reading(net, drawn)
    best = np.maximum(fitted.max(axis=1, initial=0.0), 0.0).mean()
    return float(best - max(0.0, net.mean(axis=0).max(initial=0.0)))


def after_reading(net: Floats, drawn: Floats) -> Floats:
    """What is expected of each net gain once some figures are read, in every draw of them, (draws, options).

    Partial perfect information by regression (Strong, Oakley & Brennan 2014, Med. Decis. Making 34, 311-326):
    E[g | x] is a quadratic in x, or the mean where that explains too little.

    Parameters
    ----------
    net : ndarray, shape (draws, options)
        Gains less their thresholds.
    drawn : ndarray, shape (draws, k)
    """
    x = (drawn - drawn.mean(axis=0)) / np.maximum(drawn.std(axis=0), 1e-12)
    design = np.concatenate([np.ones((len(x), 1)), x, x**2 - 1.0], axis=1)
    fitted = design @ np.linalg.lstsq(design, net, rcond=None)[0]
    share = fitted.var(axis=0) / np.maximum(net.var(axis=0), 1e-12)
    return np.asarray(np.where(share >= explained(), fitted, net.mean(axis=0)))


@dataclass(frozen=True)
class Gauge:
    """A loft gauge reading: the option, its heads, what it is worth, how likely it turns a gain, minutes."""

    option: int
    heads: tuple[str, ...]
    value: float
    turns: float
    minutes: int


def gauge(
    options: tuple[Option, ...], net: Floats, candidates: Iterable[int], n: int, seed: int
) -> Gauge | None:
    """Most valuable reading of lofts that nobody gauged, among some options against the present club.

    Parameters
    ----------
    options : tuple of Option
        The present club first.
    net : ndarray, shape (draws, options)
        Gains less their thresholds.
    candidates : iterable of int
        Places of the options to look at.
    n, seed : int
    """
    best: Gauge | None = None
    for i in candidates:
        clubs = (options[0].club, options[i].club)
        lofts = [u for u in unknowns(clubs, n, seed) if u.missing.figure == LOFT]
        if not lofts:
            continue
        drawn = np.concatenate([u.drawn for u in lofts], axis=1)
        value, read = reading_value(net[:, [i]], drawn), after_reading(net[:, [i]], drawn)
        telling = [u for u in lofts if left(net[:, i], u) < np.sqrt(1.0 - explained())]
        if telling and (best is None or value > best.value):
            heads = tuple(u.missing.code for u in telling)
            minutes = sum(u.missing.minutes for u in telling)
            best = Gauge(i, heads, value, float((read < 0.0).mean()), minutes)
    return best
