"""What the model says of shaft, club and arc: quantities of tables/delivery.csv."""

from __future__ import annotations

import numpy as np

from fitter.advice.options import Option
from fitter.advice.response import Response, Swing, changes
from fitter.base.units import DEG, INCH
from fitter.kit import beam as shaft_fe
from fitter.kit import body
from fitter.kit.body import assemble, swing_moment
from fitter.kit.club import Club
from fitter.kit.figures import Reading
from fitter.kit.parts import Head, Shaft
from fitter.physics import geometry
from reference.figures import Variants, model
from reference.oracles import pose, shaft


@model
def root(ratio: float, mode: float) -> Variants:
    """Squared root of the cantilever with a tip mass."""
    return {"model": float(shaft.cantilever_root(ratio, int(mode))) ** 2}


@model
def root_by_elements(ratio: float, mode: float) -> Variants:
    """The same by finite elements."""
    found = shaft_fe.frequencies_cpm(shaft_fe.beam(1.0, 1.0, 1.0, 48), shaft_fe.Tip(ratio), 3)
    return {"model": float(np.ravel(found)[int(mode) - 1]) * np.pi / 30.0}


@model
def cpm(ei: float) -> Variants:
    """Frequency of the golf-size cantilever."""
    return {"model": float(shaft.uniform_frequency_cpm(ei, 1.0, 0.06, 0.2))}


@model
def ei(cpm: float) -> Variants:
    """Equivalent uniform stiffness, N m2."""
    return {"model": float(shaft.equivalent_ei(cpm, 1.0, 0.06, 0.2))}


@model
def rotating(parameter: float) -> Variants:
    """First flapwise frequency parameter of a rotating uniform cantilever."""
    beam = shaft_fe.beam(np.ones((1, 41)), np.ones((1, 41)), 1.0, 40)
    tip = shaft_fe.Tip(0.0, 0.0, 0.0, 0.0)
    found = shaft_fe.frequencies_cpm(beam, tip, rate=parameter, hub=0.0, in_plane=False)
    return {"model": float(np.ravel(found)[0]) * np.pi / 30.0}


@model
def taper(what: str) -> Variants:
    """Tip flexibility of EI linear 70 to 20 over 1 m; mm/N, mrad/N, mrad/(N m)."""
    n = 200
    beam = shaft_fe.beam(np.linspace(70.0, 20.0, n + 1)[None], np.ones((1, n + 1)), 1.0, n)
    found = [1e3 * float(np.ravel(v)[0]) for v in shaft_fe.tip_flexibility(beam)]
    return {"model": found[("deflection", "slope", "turn").index(what)]}


@model
def bend(what: str) -> Variants:
    """Closed forms near impact: EI 40, 50 m/s, R 1.5 m, L 1.0 m, 200 g."""
    w, slope = shaft.lead(40.0, 1.0, 1.5, 50.0, 0.2, 0.018)
    down, droop = shaft.droop(40.0, 1.0, 1.5, 50.0, 0.2, 0.038)
    found = {"lead": w * 1e3, "added_loft": slope / DEG, "droop": down * 1e3, "droop_slope": droop / DEG}
    return {"model": float(found[what])}


def _tapered(factor: np.ndarray) -> tuple[float, float]:
    """Lead (mm) and added loft (deg) near impact of EI linear 70 to 20 times a factor along it."""
    at = np.linspace(0.0, 1.0, 49)
    rod = shaft_fe.beam((70.0 - 50.0 * at) * factor, 1e-12, 1.0, 48)
    w, slope = shaft_fe.bend_near_impact(rod, shaft_fe.Tip(0.2, 0.0, 0.018), 50.0, 1.5, in_plane=True)
    return float(w) * 1e3, float(slope) / DEG


@model
def taper_lead(what: str) -> Variants:
    """Lead (mm) or added loft (deg) of the taper."""
    return {"model": _tapered(np.ones(49))[("lead", "added_loft").index(what)]}


@model
def stiffer_third(part: str) -> Variants:
    """Change of added loft (deg) when a third of the taper is 20 % stiffer."""
    at, start = np.linspace(0.0, 1.0, 49), {"butt": 0.0, "middle": 1 / 3, "tip": 2 / 3}[part]
    third = (at >= start - 1e-9) & (at <= start + 1 / 3 + 1e-9)
    return {"model": _tapered(np.where(third, 1.2, 1.0))[1] - _tapered(np.ones(49))[1]}


@model
def flex(cpm: float) -> Variants:
    """Added loft by flex: in-plane formula, and the out-of-plane one beside it."""
    stiff = float(shaft.equivalent_ei(cpm, 1.0, 0.06, 0.2))
    in_plane = shaft.lead(stiff, 1.0, 1.5, 50.0, 0.2, 0.018)[1] / DEG
    across = shaft.droop(stiff, 1.0, 1.5, 50.0, 0.2, 0.018)[1] / DEG
    return {"in plane": float(in_plane), "out of plane": float(across)}


@model
def club(what: str) -> Variants:
    """Worked club inertia."""
    base = assemble(45 * INCH, 0.2, 0.06, 0.52, 0.05)
    head = assemble(45 * INCH, 0.201, 0.06, 0.52, 0.05)
    longer, shorter = (assemble(x * INCH, 0.2, 0.06, 0.52, 0.05) for x in (45.5, 44.5))
    grip = assemble(45 * INCH, 0.2, 0.06, 0.52, 0.06)
    found = {
        "mass": base.mass_kg * 1e3,
        "balance": base.balance_m * 1e3,
        "moi": base.moi_kgcm2,
        "head_points": head.points - base.points,
        "head_moi": head.moi_kgcm2 - base.moi_kgcm2,
        "inch_points": longer.points - shorter.points,
        "inch_moi": longer.moi_kgcm2 - shorter.moi_kgcm2,
        "grip_points": grip.points - base.points,
        "grip_moi": grip.moi_kgcm2 - base.moi_kgcm2,
    }
    return {"model": float(found[what])}


@model
def moment(grams: float, mm: float) -> Variants:
    """Moment about the swing-weight fulcrum, oz in."""
    return {"model": float(swing_moment(grams * 1e-3, mm * 1e-3))}


@model
def sleeve(what: str) -> Variants:
    """A head turned about its shaft at lie 58 deg: loft, soled face, and face per degree of loft."""
    if what == "face_per_loft":
        return {"model": -float(geometry.soled_face(11.5 * DEG, 10.5 * DEG, 58 * DEG)) / DEG}
    loft, face = pose.close_about_shaft(10.5 * DEG, 0.0, 58 * DEG, 1 * DEG)
    return {"model": 10.5 - float(loft) / DEG if what == "loft" else -float(face) / DEG}


@model
def lie_start(loft: float) -> Variants:
    """Turn of the face per degree of lie, to the left for upright."""
    return {"model": float(-pose.face_of_lie(loft * DEG, 1.0 * DEG) / DEG)}


@model
def weight(grams: float, mm: float) -> Variants:
    """Move of a 200 g head's mass centre, mm."""
    place = np.array([0.0, 0.0, 0.5e-3 * mm])
    _, centre, _ = body.move(0.2, np.zeros(3), np.zeros(6), grams * 1e-3, -place, place)
    return {"model": float(centre[2]) * 1e3}


@model
def path_of_attack(attack: float) -> Variants:
    """Path against the plane's direction, deg, plane 47 deg."""
    return {"model": -float(geometry.plane_direction(attack * DEG, 0.0, 47 * DEG) / DEG)}


@model
def forward(what: str, mm: float, attack: float, closure: float) -> Variants:
    """Exact arc of a moved ball at 50 m/s, R 1.5 m, plane 47, club's own radius of turning 1.3 m."""
    moved = geometry.forward(
        mm * 1e-3, attack * DEG, 0.0, 0.0, 13 * DEG, 50.0, 1.5, 47 * DEG, closure * DEG, 1.3
    )
    return {"model": float(getattr(moved, what) / DEG)}


@model
def trial(what: str, players: float) -> Variants:
    """Mean change of club speed of a group of players, %: centre of the prediction."""

    def part(code: str, cycles: float = 245.0) -> Shaft:
        return Shaft(
            code,
            mass_g=Reading(60.0, 0.0),
            balance_pct=Reading(52.0, 0.0),
            length_in=Reading(46.0, 0.0),
            frequency_cpm=Reading(cycles, 0.0),
        )

    def whole(shaft_: Shaft, grams: float = 200.0, length: float = 45.0) -> Club:
        head = Head(f"H{grams:g}", loft_deg=Reading(10.5, 0.0), mass_g=Reading(grams, 0.0))
        return Club(head, shaft_, Reading(length, 0.0))

    pairs = {
        "softer": (whole(part("a", 272)), whole(part("b", 217))),
        "flex": (whole(part("a", 245)), whole(part("b", 272))),
        "longer": (whole(part("a"), length=1.168 / INCH), whole(part("a"), length=1.270 / INCH)),
        "head": (whole(part("a"), 174.0), whole(part("a"))),
    }
    before, after = pairs[what]
    options = [Option("before", "-", before), Option("after", "C", after)]
    response = Response(1024, 1, players=int(players))
    found = changes(options, before, Swing(46.0, 0.0, 0.0, 0.0, 13 * DEG), response).delivery[:, 1, 0]
    low, high = np.quantile(found, [0.1, 0.9])
    return {k: 100.0 * float(v - 1.0) for k, v in (("centre", found.mean()), ("low", low), ("high", high))}
