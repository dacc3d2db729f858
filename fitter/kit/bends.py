"""Lead and droop of many clubs at once: few beams solved, the rest by their slopes."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import TypeVar

import numpy as np
from numpy.typing import NDArray

from fitter.assumptions import Assumptions
from fitter.kit import profile
from fitter.kit.club import Club
from fitter.kit.parts import Shaft
from fitter.physics import shaft_fe
from fitter.units import INCH

Floats = NDArray[np.float64]
Part = TypeVar("Part")


def bends(
    clubs: Sequence[Club],
    shafts: Sequence[Shaft],
    shaft_of: NDArray[np.int64],
    length: Floats,
    butt: Floats,
    head_mass: Floats,
    offsets: tuple[Floats, Floats],
    speed: float,
    known: Assumptions,
    n: int,
    seed: int,
) -> dict[str, Floats]:
    """Lead and droop of each club, and their slopes at the tip.

    Parameters
    ----------
    clubs : sequence of Club
    shafts : sequence of Shaft
        Different shafts; ``shaft_of`` (clubs,) says which one each club has.
    length, butt, head_mass : ndarray, shape (draws, clubs)
        Club length and what is cut off the butt, m; head, kg.
    offsets : (ndarray, ndarray), shape (draws, clubs)
        Mass centre behind the shaft's axis and toeward of it, m.
    speed : float
        m/s.
    known : Assumptions
    n, seed : int
        As for `fitter.kit.mechanics.describe`.

    Returns
    -------
    dict
        lead, lead_slope, droop, droop_slope: (draws, clubs), m and rad.

    Notes
    -----
    The beams are solved once a shaft, length and head, at the centre; draws follow from the slopes of the
    logarithms by stiffness and head mass, and in proportion to the offset.
    """
    profiles = [profile.fit(s, known) for s in shafts]
    centre_mass = head_mass.mean(axis=0)
    combos, of = unique(
        list(range(len(clubs))),
        lambda i: (shaft_of[i], clubs[i].length_in.value, clubs[i].tip_cut_mm, round(centre_mass[i], 6)),
    )
    at = np.array(combos)
    which = shaft_of[at]
    mean = np.array([p.log_ei for p in profiles])[which]
    step = 1e-3
    # Rows: the centre, butt, middle and tip stiffer, the head heavier.
    nudge = np.vstack([np.zeros(3), step * np.eye(3), np.zeros(3)])
    log_ei = mean[None] + nudge[:, None, :]
    mass = centre_mass[at] * np.exp(np.array([0, 0, 0, 0, step]))[:, None]
    hands = known.value("arc.hands_in") * INCH
    raw_length, raw_mass, raw_share = np.array([(p.length_m, p.mass_kg, p.balance) for p in profiles])[
        which
    ].T
    cut = butt.mean(axis=0)[at]
    tip_cut = np.array([clubs[i].tip_cut_mm / 1e3 for i in at])
    beam = profile.section(log_ei, raw_length, raw_mass, raw_share, cut + hands, tip_cut)
    ahead = (known.value("club.shaft_short_mm") - known.value("club.head_short_mm")) / 1e3
    radius = known.value("arc.radius_m")
    stiff = np.stack([p.draw(n, seed) for p in profiles], axis=1)  # (rows, shafts, 3)
    shift = (stiff - np.array([p.log_ei for p in profiles]))[:, shaft_of]
    heavier = np.log(head_mass / centre_mass)
    unit = 1e-3
    out: dict[str, Floats] = {}
    for name, in_plane, offset in (("lead", True, offsets[0]), ("droop", False, offsets[1])):
        tip = shaft_fe.Tip(mass, ahead, unit)
        for key, bend in zip(
            (name, f"{name}_slope"),
            shaft_fe.bend_near_impact(beam, tip, speed, radius, in_plane=in_plane),
            strict=True,
        ):
            logs = np.log(bend)
            rates = (logs[1:] - logs[0]) / step  # (4, combos)
            grown = np.einsum("rck,kc->rc", shift, rates[:3, of]) + heavier * rates[3, of]
            out[key] = np.asarray(bend[0, of] / unit * offset * np.exp(grown))
    return out


def unique(items: Sequence[Part], key: Callable[[Part], object]) -> tuple[list[Part], NDArray[np.int64]]:
    """Different items in order of first use, and which of them each place uses."""
    seen: dict[object, int] = {}
    kept: list[Part] = []
    index = np.empty(len(items), dtype=np.int64)
    for i, item in enumerate(items):
        name = key(item)
        if name not in seen:
            seen[name] = len(kept)
            kept.append(item)
        index[i] = seen[name]
    return kept, index
