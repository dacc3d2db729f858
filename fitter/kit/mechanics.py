"""Everything mechanical about many clubs at once, at the centre of what is known or drawn together.

Draws are keyed by part and figure: clubs that share a head or a shaft share what is not known of it, so that
differences between clubs carry only what differs.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, fields

import numpy as np
from numpy.typing import NDArray

from fitter.base import draws
from fitter.base.assumptions import Assumptions, current
from fitter.base.units import DEG, INCH
from fitter.kit import body as weights
from fitter.kit.body import assemble, cut_shaft
from fitter.kit.club import Club
from fitter.kit.figures import Figure, fill
from fitter.kit.parts import Head, Shaft
from fitter.kit.profile import bends, unique
from fitter.physics import geometry

Floats = NDArray[np.float64]

HEAD_FIGURES = (
    "loft_deg", "face_angle_deg", "lie_deg", "cg_depth_mm", "cg_up_mm", "cg_toe_mm", "moi_normal_gcm2",
    "moi_vertical_gcm2", "moi_heel_toe_gcm2", "product_normal_up_gcm2", "product_normal_toe_gcm2",
    "product_up_toe_gcm2", "shaft_axis_mm", "axis_depth_mm", "bulge_mm", "roll_mm", "ct_us", "weight_g",
)  # fmt: skip


@dataclass(frozen=True)
class Mechanics:
    """Clubs as bodies; every array has the shape (draws, clubs), the tensor (draws, clubs, 6).

    Parameters
    ----------
    loft, soled_loft, soled_face, lie : ndarray
        Loft with a square face; loft and face (right +) as soled; lie; rad.
    head_mass, cg_depth, cg_up, cg_toe : ndarray
        kg; mass centre behind, above and toeward of the face centre, m.
    tensor : ndarray
        Inertia at the mass centre, kg m2: normal, up, toe, normal-up, normal-toe, up-toe.
    bulge, roll : ndarray
        Radii of the face, m.
    cor_offset : ndarray
        Restitution against a head of the usual characteristic time.
    length, mass, balance : ndarray
        Whole club: m, kg, mass centre from the butt, m.
    points, moi : ndarray
        Swing weight in points above D0; inertia about the butt, kg cm2.
    lead, lead_slope, droop, droop_slope : ndarray
        Bend near impact: m, rad.
    """

    loft: Floats
    soled_loft: Floats
    soled_face: Floats
    lie: Floats
    head_mass: Floats
    cg_depth: Floats
    cg_up: Floats
    cg_toe: Floats
    tensor: Floats
    bulge: Floats
    roll: Floats
    cor_offset: Floats
    length: Floats
    mass: Floats
    balance: Floats
    points: Floats
    moi: Floats
    lead: Floats
    lead_slope: Floats
    droop: Floats
    droop_slope: Floats

    def kernel_heads(self) -> Floats:
        """Heads as the strike takes them, shape (draws, clubs, impact.HEAD)."""
        from fitter.physics import impact

        out = np.zeros((*self.loft.shape, impact.HEAD))
        out[..., impact.HEAD_MASS] = self.head_mass
        out[..., impact.DEPTH] = self.cg_depth
        out[..., impact.CG_UP] = self.cg_up
        out[..., impact.CG_TOE] = self.cg_toe
        out[..., impact.I_NORMAL : impact.I_NORMAL + 6] = self.tensor
        out[..., impact.BULGE] = 1.0 / self.bulge
        out[..., impact.ROLL] = 1.0 / self.roll
        out[..., impact.COR_OFFSET] = self.cor_offset
        return out

    def select(self, which: Sequence[int] | NDArray[np.int64]) -> Mechanics:
        """Some of the clubs."""
        index = np.asarray(which, dtype=np.int64)
        return Mechanics(**{f.name: getattr(self, f.name)[:, index] for f in fields(self)})


Sampler = Callable[[str, str, Figure], Floats]


def describe(
    clubs: Sequence[Club],
    speed: float,
    n: int = 0,
    seed: int = 1,
    assumptions: Assumptions | None = None,
) -> Mechanics:
    """Describe clubs mechanically.

    Parameters
    ----------
    clubs : sequence of Club
    speed : float
        Club speed at which the shaft bends, m/s.
    n : int
        Draws; 0 for the centre alone (one row).
    seed : int
    assumptions : Assumptions, optional
        The package's own when silent.

    Returns
    -------
    Mechanics
        Arrays of shape (max(n, 1), clubs).
    """
    known = current() if assumptions is None else assumptions
    rows = max(n, 1)

    def sample(kind: str, name: str, figure: Figure) -> Floats:
        if n == 0 or figure.sd == 0.0:
            return np.full(rows, figure.value)
        return np.asarray(figure.value + figure.sd * draws.normals(n, seed, kind, name))

    heads, head_of = unique([c.head for c in clubs], lambda h: h.head)
    shafts, shaft_of = unique([c.shaft for c in clubs], lambda s: s.shaft)
    head = {f: np.stack([_head_figure(h, f, sample, known) for h in heads], -1)[:, head_of]
            for f in (*HEAD_FIGURES, "order_deg")}  # fmt: skip
    head["mass_g"] = np.stack([_head_mass(h, sample, known, n, seed) for h in heads], -1)[:, head_of]
    loft0 = (head["loft_deg"] + head["order_deg"]) * DEG
    lie0, face0 = head["lie_deg"] * DEG, head["face_angle_deg"] * DEG
    change = np.array([c.loft_change_deg for c in clubs]) * DEG
    lie = lie0 + np.array([c.lie_change_deg for c in clubs]) * DEG
    soled = geometry.soled_loft(loft0, face0, lie0)
    mass, centre, tensor = _loaded(clubs, head, known)
    tip = np.array([c.tip_weight_g for c in clubs]) / 1e3

    length_in, length_of = _lengths(clubs, sample, known)
    length = length_in[:, length_of] * INCH
    shaft_kg, share, butt = _cut(clubs, shafts, shaft_of, length, sample, known, n, seed)
    grips, grip_of = unique(clubs, lambda c: c.grip_mass_g or c.shaft.shaft)
    grip = np.stack([_grip(c, sample, known, n, seed) for c in grips], axis=-1)[:, grip_of]
    body = assemble(length, mass - tip, shaft_kg, share, grip / 1e3, known, tip)
    # A weight in the tip lies on the shaft's axis: it pulls, and does not bend.
    lever = (mass - tip) / mass / 1e3
    offsets = (head["cg_depth_mm"] - head["axis_depth_mm"]) * lever, head["shaft_axis_mm"] * lever
    bent = bends(clubs, shafts, shaft_of, length, butt, mass, offsets, speed, known, n, seed)
    return Mechanics(
        loft=loft0 + change,
        soled_loft=soled + 0.0 * lie,
        soled_face=geometry.soled_face(loft0 + change, soled, lie),
        lie=lie,
        head_mass=mass,
        cg_depth=-centre[..., 0],
        cg_up=centre[..., 1],
        cg_toe=centre[..., 2],
        tensor=tensor,
        bulge=np.maximum(head["bulge_mm"], 100.0) / 1e3,
        roll=np.maximum(head["roll_mm"], 100.0) / 1e3,
        cor_offset=(head["ct_us"] - known.value("head.ct_us")) * known.value("response.cor_per_us"),
        length=length,
        mass=body.mass_kg,
        balance=body.balance_m,
        points=body.points,
        moi=body.moi_kgcm2,
        **bent,
    )


def _head_figure(head: Head, name: str, sample: Sampler, known: Assumptions) -> Floats:
    if name == "order_deg":
        # Heads of one stamp differ: what is ordered is not the head that was gauged.
        spread = known.sd("club.order_loft_deg") if head.stock == "order" else 0.0
        return sample("head", f"{head.head} {name}", Figure(0.0, spread, False))
    if name == "weight_g":
        figure = (
            Figure(0.0, 0.0, False) if head.weight_g is None else fill("head", name, head.weight_g, known)
        )
    else:
        figure = head.figure(name, known)
    return sample("head", f"{head.head} {name}", figure)


def _head_mass(head: Head, sample: Sampler, known: Assumptions, n: int, seed: int) -> Floats:
    if head.masses is not None:
        return head.masses.draw(n, seed)[:, 0]
    return sample("head", f"{head.head} mass_g", head.figure("mass_g", known))


def _loaded(
    clubs: Sequence[Club], head: dict[str, Floats], known: Assumptions
) -> tuple[Floats, Floats, Floats]:
    """Mass, mass centre and tensor with the weight where each club has it."""
    centre = np.stack([-head["cg_depth_mm"], head["cg_up_mm"], head["cg_toe_mm"]], axis=-1) / 1e3
    names = ("moi_normal_gcm2", "moi_vertical_gcm2", "moi_heel_toe_gcm2",
             "product_normal_up_gcm2", "product_normal_toe_gcm2", "product_up_toe_gcm2")  # fmt: skip
    tensor = np.stack([head[name] for name in names], axis=-1) * 1e-7
    mass = head["mass_g"] / 1e3
    swap = np.array([c.swap_g for c in clubs]) / 1e3
    places = [_places(c) for c in clubs]
    if swap.any() or any(before is not after for before, after in places):
        # A swap without a known place is taken at the mass centre.
        before = np.array([centre[0, i] if p[0] is None else p[0] for i, p in enumerate(places)])
        after = np.array([centre[0, i] if p[1] is None else p[1] for i, p in enumerate(places)])
        mass, centre, tensor = weights.move(mass, centre, tensor, head["weight_g"] / 1e3, before, after, swap)
    tip = np.array([c.tip_weight_g for c in clubs]) / 1e3
    if tip.any():
        hosel = _hosel(head, known)
        mass, centre, tensor = weights.move(mass, centre, tensor, 0.0 * mass, hosel, hosel, tip)
    return mass, centre, tensor


def _hosel(head: dict[str, Floats], known: Assumptions) -> Floats:
    """Tip of the shaft from the face centre: normal, up, toe, m, shape (draws, clubs, 3)."""
    lie = head["lie_deg"] * DEG
    along = known.value("club.shaft_short_mm") - known.value("club.head_short_mm")
    place = [
        -head["axis_depth_mm"],
        head["cg_up_mm"] + along * np.sin(lie),
        head["cg_toe_mm"] - head["shaft_axis_mm"] - along * np.cos(lie),
    ]
    return np.stack(place, axis=-1) / 1e3


def _places(club: Club) -> tuple[tuple[float, ...] | None, tuple[float, ...] | None]:
    """Where the weight was when the head was measured, and where it is; (normal, up, toe), m."""
    spots = {w.name: (-w.back_mm / 1e3, w.up_mm / 1e3, w.toe_mm / 1e3) for w in club.head.weights}
    if not spots:
        return None, None
    first = spots[club.head.weights[0].name]
    return first, spots[club.place] if club.place else first


def _lengths(clubs: Sequence[Club], sample: Sampler, known: Assumptions) -> tuple[Floats, NDArray[np.int64]]:
    kept, index = unique(clubs, lambda c: (c.shaft.shaft, c.length_in, c.cut_from))
    drawn = []
    for c in kept:
        read = (c.cut_from or c.length_in).value
        size = c.length(known)
        whole = sample("length", f"{c.shaft.shaft} {read!r}", size._replace(value=read))
        drawn.append(whole + (size.value - read))
    return np.stack(drawn, axis=-1), index


def _shaft_draws(
    shafts: Sequence[Shaft], sample: Sampler, known: Assumptions, n: int, seed: int
) -> dict[str, Floats]:
    """Raw mass (kg), balance (share) and raw length (m) of the shafts, each (rows, shafts)."""
    columns: dict[str, list[Floats]] = {"mass": [], "share": [], "length": []}
    for shaft in shafts:
        if shaft.masses is not None:
            joint = shaft.masses.draw(n, seed)
            mass, share = joint[:, 1], joint[:, 2]
        else:
            mass = sample("shaft", f"{shaft.shaft} mass_g", shaft.figure("mass_g", known))
            share = sample("shaft", f"{shaft.shaft} balance_pct", shaft.figure("balance_pct", known))
        size = sample("shaft", f"{shaft.shaft} length_in", shaft.figure("length_in", known))
        for name, value in (("mass", mass / 1e3), ("share", share / 100.0), ("length", size * INCH)):
            columns[name].append(value)
    return {name: np.stack(values, axis=-1) for name, values in columns.items()}


def _cut(
    clubs: Sequence[Club],
    shafts: Sequence[Shaft],
    shaft_of: NDArray[np.int64],
    length: Floats,
    sample: Sampler,
    known: Assumptions,
    n: int,
    seed: int,
) -> tuple[Floats, Floats, Floats]:
    """Mass and balance of the cut shafts, and what is cut off at the butt."""
    raw = {k: v[:, shaft_of] for k, v in _shaft_draws(shafts, sample, known, n, seed).items()}
    tip = np.array([c.tip_cut_mm for c in clubs]) / 1e3
    # The shaft of a card is in its club already: only a change of length cuts it.
    short = known.value("club.shaft_short_mm") / 1e3
    butt = raw["length"] - (length - short) - tip
    mass, share, _ = cut_shaft(raw["mass"], raw["share"], raw["length"], butt, tip)
    guessed = np.array([s.balance_pct is None and s.balance_mm is None for s in shafts])[shaft_of]
    if guessed.any():
        usual = known["club.cut_balance_pct"]
        figure = Figure(usual.value / 100.0, usual.sd / 100.0, False)
        drawn = np.stack([sample("shaft", f"{s.shaft} cut_balance_pct", figure) for s in shafts], axis=-1)
        share = np.where(guessed, drawn[:, shaft_of], share)
    return mass, share, butt


def _grip(club: Club, sample: Sampler, known: Assumptions, n: int, seed: int) -> Floats:
    if club.grip_mass_g is not None:
        figure = fill("shaft", "grip_mass_g", club.grip_mass_g, known)
        return sample("grip", f"{club.grip_mass_g.value!r}", figure)
    if club.shaft.masses is not None:
        return club.shaft.masses.draw(n, seed)[:, 3]
    return sample("shaft", f"{club.shaft.shaft} grip_mass_g", club.shaft.figure("grip_mass_g", known))
