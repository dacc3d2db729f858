"""Everything mechanical about many clubs at once, at the centre of what is known or drawn together.

Draws are keyed by part and figure: clubs that share a head or a shaft share what is not known of it, so that
differences between clubs carry only what differs.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, fields
from typing import TypeVar

import numpy as np
from numpy.typing import NDArray

from fitter.base import draws
from fitter.base.assumptions import current
from fitter.base.units import DEG, INCH
from fitter.kit import beam, stamps
from fitter.kit import body as weights
from fitter.kit.body import assemble, cut_shaft, head_beyond_tip
from fitter.kit.club import Club
from fitter.kit.figures import Figure, Joint, fill
from fitter.kit.parts import Head, Shaft
from fitter.kit.profile import fit, section
from fitter.physics import geometry, vectors

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]
Item = TypeVar("Item")

HEAD_FIGURES = (
    "loft_deg", "face_angle_deg", "lie_deg", "cg_depth_mm", "cg_up_mm", "cg_toe_mm", "moi_normal_gcm2",
    "moi_vertical_gcm2", "moi_heel_toe_gcm2", "product_normal_up_gcm2", "product_normal_toe_gcm2",
    "product_up_toe_gcm2", "shaft_axis_mm", "axis_depth_mm", "bulge_mm", "roll_mm", "ct_us", "weight_g",
    "mass_g", "order_deg",
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
        """Heads as the strike takes them, shape (draws, clubs, vectors.HEAD)."""
        out = np.zeros((*self.loft.shape, vectors.HEAD))
        out[..., vectors.HEAD_MASS] = self.head_mass
        out[..., vectors.DEPTH] = self.cg_depth
        out[..., vectors.CG_UP] = self.cg_up
        out[..., vectors.CG_TOE] = self.cg_toe
        out[..., vectors.I_NORMAL : vectors.I_NORMAL + 6] = self.tensor
        out[..., vectors.BULGE] = 1.0 / self.bulge
        out[..., vectors.ROLL] = 1.0 / self.roll
        out[..., vectors.COR_OFFSET] = self.cor_offset
        return out

    def select(self, which: Sequence[int] | Ints) -> Mechanics:
        """Some of the clubs."""
        index = np.asarray(which, dtype=np.int64)
        return Mechanics(**{f.name: getattr(self, f.name)[:, index] for f in fields(self)})


@dataclass(frozen=True)
class Sampler:
    """Figures drawn ``n`` times from streams of their own, or at the centre in one row if n is 0."""

    n: int
    seed: int

    def figure(self, kind: str, name: str, figure: Figure) -> Floats:
        """Sampler of a figure, shape (rows,)."""
        if self.n == 0 or figure.sd == 0.0:
            return np.full(max(self.n, 1), figure.value)
        return np.asarray(figure.value + figure.sd * draws.normals(self.n, self.seed, kind, name))

    def joint(self, joint: Joint) -> dict[str, Floats]:
        """Sampler of figures that are known together, each (rows,)."""
        return dict(zip(joint.names, joint.draw(self.n, self.seed).T, strict=True))


def unique(items: Sequence[Item], key: Callable[[Item], object]) -> tuple[list[Item], Ints]:
    """Different items in order of first use, and which of them each place uses."""
    names = [key(item) for item in items]
    first = dict(zip(reversed(names), reversed(items), strict=True))
    kept = {name: first[name] for name in names}
    places = {name: i for i, name in enumerate(kept)}
    return list(kept.values()), np.array([places[name] for name in names], dtype=np.int64)


def describe(clubs: Sequence[Club], speed: float, n: int = 0, seed: int = 1) -> Mechanics:
    """Describe clubs mechanically.

    Parameters
    ----------
    clubs : sequence of Club
    speed : float
        Club speed at which the shaft bends, m/s.
    n : int
        Sampler; 0 for the centre alone (one row).
    seed : int

    Returns
    -------
    Mechanics
        Arrays of shape (max(n, 1), clubs).
    """
    known, sample = current(), Sampler(n, seed)
    heads, head_of = unique([c.head for c in clubs], lambda h: h.head)
    shafts, shaft_of = unique([c.shaft for c in clubs], lambda s: s.shaft)
    head = {
        name: np.stack([head_figure(h, name, sample) for h in heads], axis=-1)[:, head_of]
        for name in HEAD_FIGURES
    }
    loft0 = (head["loft_deg"] + head["order_deg"]) * DEG
    lie0, face0 = head["lie_deg"] * DEG, head["face_angle_deg"] * DEG
    change = np.array([c.loft_change_deg for c in clubs]) * DEG
    lie = lie0 + np.array([c.lie_change_deg for c in clubs]) * DEG
    soled = geometry.soled_loft(loft0, face0, lie0)
    mass, centre, tensor = _loaded(clubs, head)
    tip = np.array([c.tip_weight_g for c in clubs]) / 1e3

    length = _lengths(clubs, sample)
    shaft_kg, share, butt = _cut(clubs, shafts, shaft_of, length, sample)
    grips, grip_of = unique(clubs, lambda c: c.grip_mass_g or c.shaft.shaft)
    grip = np.stack([_grip(c, sample) for c in grips], axis=-1)[:, grip_of]
    body = assemble(length, mass - tip, shaft_kg, share, grip / 1e3, tip)
    # A weight in the tip lies on the shaft's axis: it pulls, and does not bend.
    lever = (mass - tip) / mass / 1e3
    offsets = {
        "lead": (head["cg_depth_mm"] - head["axis_depth_mm"]) * lever,
        "droop": head["shaft_axis_mm"] * lever,
    }
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
        **_bends(clubs, shafts, shaft_of, butt, mass, offsets, speed, sample),
    )


def head_figure(head: Head, name: str, sample: Sampler) -> Floats:
    """Draws of one figure of a head, or its centre, shape (rows,)."""
    if name == "mass_g" and head.masses is not None:
        return sample.joint(head.masses)["head_mass_g"]
    if name == "order_deg":
        # Heads of one stamp differ: what is ordered is not the head that was gauged.
        spread = current().sd("club.order_loft_deg") if head.stock == "order" else 0.0
        figure = Figure(0.0, spread, False)
    elif name == "weight_g" and head.weight_g is None:
        figure = Figure(0.0, 0.0, False)
    else:
        figure = head.figure(name)
    if name != "loft_deg" or figure.measured or head.stamped_loft_deg is None or not sample.n:
        return sample.figure("head", f"{head.head} {name}", figure)
    # Stamps of one shop are off together: what they share comes from one stream.
    error = stamps.worth(head.stamp_errors)
    alone = sample.figure("head", f"{head.head} {name}", figure._replace(sd=error.own))
    return alone + sample.figure("head", "stamps of the kit", Figure(0.0, error.shared, False))


def _loaded(clubs: Sequence[Club], head: dict[str, Floats]) -> tuple[Floats, Floats, Floats]:
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
        hosel = _hosel(head)
        mass, centre, tensor = weights.move(mass, centre, tensor, 0.0 * mass, hosel, hosel, tip)
    return mass, centre, tensor


def _hosel(head: dict[str, Floats]) -> Floats:
    """Tip of the shaft from the face centre: normal, up, toe, m, shape (draws, clubs, 3)."""
    lie = head["lie_deg"] * DEG
    along = head_beyond_tip() * 1e3
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


def _lengths(clubs: Sequence[Club], sample: Sampler) -> Floats:
    """Club lengths, m, shape (rows, clubs)."""
    kept, index = unique(clubs, lambda c: (c.shaft.shaft, c.length_in, c.cut_from))
    found = []
    for c in kept:
        read, size = (c.cut_from or c.length_in).value, c.length()
        whole = sample.figure("length", f"{c.shaft.shaft} {read!r}", size._replace(value=read))
        found.append(whole + (size.value - read))
    return np.stack(found, axis=-1)[:, index] * INCH


def _raw(shaft: Shaft, sample: Sampler) -> tuple[Floats, Floats, Floats]:
    """Mass (kg), balance (share) and length (m) of a raw shaft, each (rows,)."""

    def figure(name: str) -> Floats:
        return sample.figure("shaft", f"{shaft.shaft} {name}", shaft.figure(name))

    if shaft.masses is not None:
        parts = sample.joint(shaft.masses)
        mass, share = parts["shaft_mass_g"], parts["balance_pct"]
    else:
        mass, share = figure("mass_g"), figure("balance_pct")
    return mass / 1e3, share / 100.0, figure("length_in") * INCH


def _cut(
    clubs: Sequence[Club], shafts: Sequence[Shaft], shaft_of: Ints, length: Floats, sample: Sampler
) -> tuple[Floats, Floats, Floats]:
    """Mass and balance of the cut shafts, and what is cut off at the butt."""
    known = current()
    raw = np.stack([_raw(s, sample) for s in shafts], axis=-1)  # (3, rows, shafts)
    mass, share, size = raw[..., shaft_of]
    tip = np.array([c.tip_cut_mm for c in clubs]) / 1e3
    # The shaft of a card is in its club already: only a change of length cuts it.
    butt = size - (length - known.value("club.shaft_short_mm") / 1e3) - tip
    mass, share, _ = cut_shaft(mass, share, size, butt, tip)
    guessed = np.array([s.balance_pct is None and s.balance_mm is None for s in shafts])[shaft_of]
    if guessed.any():
        usual = known["club.cut_balance_pct"]
        figure = Figure(usual.value / 100.0, usual.sd / 100.0, False)
        cut = [sample.figure("shaft", f"{s.shaft} cut_balance_pct", figure) for s in shafts]
        share = np.where(guessed, np.stack(cut, axis=-1)[:, shaft_of], share)
    return mass, share, butt


def _grip(club: Club, sample: Sampler) -> Floats:
    if club.grip_mass_g is not None:
        figure = fill("shaft", "grip_mass_g", club.grip_mass_g)
        return sample.figure("grip", f"{club.grip_mass_g.value!r}", figure)
    if club.shaft.masses is not None:
        return sample.joint(club.shaft.masses)["grip_mass_g"]
    return sample.figure("shaft", f"{club.shaft.shaft} grip_mass_g", club.shaft.figure("grip_mass_g"))


def _bends(
    clubs: Sequence[Club],
    shafts: Sequence[Shaft],
    shaft_of: Ints,
    butt: Floats,
    head_mass: Floats,
    offsets: dict[str, Floats],
    speed: float,
    sample: Sampler,
) -> dict[str, Floats]:
    """Lead and droop of each club, and their slopes at the tip.

    Parameters
    ----------
    clubs : sequence of Club
    shafts : sequence of Shaft
        Different shafts; ``shaft_of`` (clubs,) says which one each club has.
    butt, head_mass : ndarray, shape (rows, clubs)
        What is cut off the butt, m; head, kg.
    offsets : dict of ndarray, shape (rows, clubs)
        Mass centre behind the shaft's axis ('lead') and toeward of it ('droop'), m.
    speed : float
        m/s.
    sample : Sampler

    Returns
    -------
    dict
        lead, lead_slope, droop, droop_slope: (rows, clubs), m and rad.

    Notes
    -----
    The beams are solved once a shaft, length and head, at the centre; draws follow from the slopes of the
    logarithms by stiffness and head mass, and in proportion to the offset.
    """
    known = current()
    profiles = [fit(s) for s in shafts]
    centre_mass = head_mass.mean(axis=0)
    combos, of = unique(
        list(range(len(clubs))),
        lambda i: (shaft_of[i], clubs[i].length_in.value, clubs[i].tip_cut_mm, round(centre_mass[i], 6)),
    )
    at = np.array(combos)
    which = shaft_of[at]
    mean = np.array([p.log_ei.mean for p in profiles])
    step = 1e-3
    # Rows: the centre, butt, middle and tip stiffer, the head heavier.
    nudge = np.vstack([np.zeros(3), step * np.eye(3), np.zeros(3)])
    log_ei = mean[which] + nudge[:, None, :]
    mass = centre_mass[at] * np.exp(np.array([0, 0, 0, 0, step]))[:, None]
    raw = np.array([(p.length_m, p.mass_kg, p.balance) for p in profiles])[which].T
    cut, tip_cut = butt.mean(axis=0)[at], np.array([clubs[i].tip_cut_mm / 1e3 for i in at])
    hands = known.value("arc.hands_in") * INCH
    part = section(log_ei, raw[0], raw[1], raw[2], cut + hands, tip_cut)
    stiff = np.stack([p.log_ei.draw(sample.n, sample.seed) for p in profiles], axis=1)  # (rows, shafts, 3)
    stiffer = (stiff - mean)[:, shaft_of]
    heavier = np.log(head_mass / centre_mass)
    unit = 1e-3
    tip, radius = beam.Tip(mass, head_beyond_tip(), unit), known.value("arc.radius_m")
    out: dict[str, Floats] = {}
    for name, offset in offsets.items():
        bends = beam.bend_near_impact(part, tip, speed, radius, in_plane=name == "lead")
        for key, bend in zip((name, f"{name}_slope"), bends, strict=True):
            logs = np.log(bend)
            rates = (logs[1:] - logs[0]) / step  # (4, combos)
            grown = np.einsum("rck,kc->rc", stiffer, rates[:3, of]) + heavier * rates[3, of]
            out[key] = np.asarray(bend[0, of] / unit * offset * np.exp(grown))
    return out
