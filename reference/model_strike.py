"""What the model says of the strike: quantities of tables/impact.csv."""

from __future__ import annotations

import numpy as np
from scipy.optimize import least_squares

from fitter import world as worlds
from fitter.base.conditions import Conditions
from fitter.base.units import DEG, MPH, RPM, YARD
from fitter.physics import ball, engine, vectors
from fitter.simulate.strike import ordinary_head
from reference.figures import Variants, model

MEASURED = np.array(
    [
        0.204,
        0.0423,
        0.0029,
        0.0,
        2843e-7,
        5679e-7,
        4085e-7,
        -733e-7,
        530.2e-7,
        0.5e-7,
        1 / 0.305,
        1 / 0.305,
        0.0,
    ]
)
"""Danaei, McNally, Henrikson & McPhee 2020, Proceedings 49(1) 47, Table 1; across taken as 0."""
IRONS = {"seven": (90.0, -4.3, 0.270, 0.76), "wedge": (83.0, -5.0, 0.290, 0.78)}
"""Club mph and attack as published; head mass and restitution from memory."""


def _plain(e: float) -> np.ndarray:
    m = np.zeros(vectors.MODEL)
    m[vectors.COR], m[vectors.ET_OVER], m[vectors.FRICTION] = e, 1.0, 10.0
    return m


def _heavy(mass: float = 0.2) -> np.ndarray:
    """Head that cannot turn: the planar case."""
    head = np.zeros(vectors.HEAD)
    head[vectors.HEAD_MASS] = mass
    head[4:7] = 1e3
    return head


def _hit(speed: float, loft: float, head: np.ndarray, m: np.ndarray, **more: float) -> np.ndarray:
    deed = np.zeros(vectors.DELIVERY)
    deed[vectors.CLUB_SPEED], deed[vectors.LOFT] = speed, loft * DEG
    deed[vectors.ATTACK], deed[vectors.FACE] = more.get("attack", 0.0) * DEG, more.get("face", 0.0) * DEG
    deed[vectors.TOE], deed[vectors.HIGH] = more.get("toe", 0.0) * 1e-3, more.get("high", 0.0) * 1e-3
    return engine.strikes(deed, head, m)


def _read(start: np.ndarray) -> dict[str, float]:
    return {"speed": start[0] / MPH, "launch": start[1] / DEG, "spin": start[3] / RPM}


@model
def planar(what: str, loft: float) -> Variants:
    """Ratio, launch (deg) or spin (rpm) of a centre hit with a head that cannot turn."""
    start = _hit(45.0, loft, _heavy(), _plain(0.83))
    return {"model": {"ratio": start[0] / 45.0, "launch": start[1] / DEG, "spin": start[3] / RPM}[what]}


@model
def planar_slope(what: str, per: str) -> Variants:
    """Slopes of the planar form near 13 deg: per degree, per 0.01 of e, per 10 g of head."""
    steps = {
        "deg": [_hit(45.0, x, _heavy(), _plain(0.83)) for x in (13.5, 12.5)],
        "e": [_hit(45.0, 13.0, _heavy(), _plain(e)) for e in (0.835, 0.825)],
        "mass": [_hit(45.0, 13.0, _heavy(m), _plain(0.83)) for m in (0.205, 0.195)],
    }
    more, less = steps[per]
    found = _read(more - less) | {"ratio": (more[0] - less[0]) / 45.0}
    found["percent"] = 100.0 * (more[0] / less[0] - 1.0)
    return {"model": float(found[what])}


@model
def textbook(what: str) -> Variants:
    """Speed forward and up (m/s) and spin (rad/s): 200 g, 10 deg, 50 m/s, e 0.78."""
    start = _hit(50.0, 10.0, _heavy(), _plain(0.78))
    found = {"forward": start[0] * np.cos(start[1]), "up": start[0] * np.sin(start[1]), "spin": start[3]}
    return {"model": float(found[what])}


@model
def per_mm(what: str) -> Variants:
    """Side spin, start, spin or launch per mm of miss; flat face or bulge and roll of 305 mm."""
    head = MEASURED.copy()
    if what.startswith("flat"):
        head[vectors.BULGE] = head[vectors.ROLL] = 0.0
    place = "toe" if what.endswith("toe") else "high"
    a, b = (_hit(45.0, 13.0, head, _plain(0.83), **{place: k}) for k in (-0.5, 0.5))
    side = [s[3] * np.sin(s[4]) / RPM for s in (a, b)]
    found = {
        "side": side[1] - side[0],
        "start": (b[2] - a[2]) / DEG,
        "spin": (b[3] - a[3]) / RPM,
        "launch": (b[1] - a[1]) / DEG,
    }
    return {"model": float(found[what.removeprefix("flat_").split("_")[0]])}


@model
def off_centre(place: str, mm: float) -> Variants:
    """Ball speed against a centre hit, %, constant restitution."""
    out: Variants = {}
    for name, up in (("model", MEASURED[vectors.CG_UP]), ("mass centre level", 0.0)):
        head = MEASURED.copy()
        head[vectors.CG_UP] = up
        hit, centre = (_hit(45.0, 13.0, head, _plain(0.83), **{place: k}) for k in (mm, 0.0))
        out[name] = float(100.0 * (hit[0] / centre[0] - 1.0))
    return out


@model
def robot_miss(mm: float) -> Variants:
    """Carry (yd) that toe and heel strikes lose on a drive of 200 yd, with the judged face map."""
    lost = {}
    for name, m in _repairs().items():
        starts = np.stack([_hit(40.4, 15.0, MEASURED, m, toe=x) for x in (0.0, mm, -mm)])
        carry = engine.fly(starts, worlds.central(Conditions()).world)[..., vectors.CARRY].mean(axis=0) / YARD
        lost[name] = float(carry[0] - carry[1:].mean())
    return lost


def _repairs() -> dict[str, np.ndarray]:
    return {"shift": worlds.strike_models()[0], "tangential": worlds.rival_model()[0]}


def _published() -> dict[str, np.ndarray]:
    """Both repairs at their published size, with the rise that irons ask for."""
    return {"shift": worlds.published_model()[0], "tangential": worlds.published_model(rival=True)[0]}


def _fitted(
    target: tuple[float, float, float], club_mph: float, low: list[float], high: list[float], what: str
) -> Variants:
    """Best start over loft, attack, strike height and club-speed offset inside their bounds."""
    out: Variants = {}
    room = np.array([target[0] * 0.01, 0.5, target[2] * 0.05])
    for name, m in _repairs().items():

        def start(x: np.ndarray, m: np.ndarray = m) -> np.ndarray:
            speed = club_mph * MPH * (1.0 + x[3] / 100.0)
            found = _read(_hit(speed, x[0], MEASURED, m, attack=x[1], high=x[2]))
            return np.array(list(found.values()))

        best = least_squares(
            lambda x, f=start: (f(x) - target) / room,
            (np.array(low) + np.array(high)) / 2,
            bounds=(low, high),
        )
        out[name] = float(start(best.x)[("speed", "launch", "spin").index(what)])
    return out


@model
def robot(what: str) -> Variants:
    """The robot at 120 mph: loft and attack (-1 to +4 deg) free, centre strike."""
    return _fitted((176, 10, 2520), 120, [7, -1, -1e-6, -1e-6], [18, 4, 1e-6, 1e-6], what)


@model
def robot_at(what: str, loft: float, attack: float, e: float) -> Variants:
    """The robot at a stated delivery, with the shift."""
    m = _published()["shift"].copy()
    m[vectors.COR] = e
    return {"shift": _read(_hit(120 * MPH, loft, MEASURED, m, attack=attack))[what]}


@model
def tour2015(what: str) -> Variants:
    """The tour in 2015: loft, attack (-1 to +4), strike 0-12 mm high, club-speed offset 0-4 % free."""
    return _fitted((167.7, 10.8, 2599), 113.2, [7, -1, 0, 0], [18, 4, 12, 4], what)


@model
def women(what: str) -> Variants:
    """The women's tour row (94 mph, attack +3.0) at a centre strike, loft free to meet the launch."""
    models = {"rigid, planar": (_heavy(), _plain(0.822))}
    models |= {name: (MEASURED, m) for name, m in _repairs().items()}
    out: Variants = {}
    for name, (head, m) in models.items():
        lofts = np.arange(10.0, 22.0, 0.05)
        starts = np.stack([_hit(94 * MPH, x, head, m, attack=3.0) for x in lofts])
        near = int(np.argmin(np.abs(starts[:, vectors.ELEVATION] / DEG - 13.2)))
        out[name] = _read(starts[near])[what]
    return out


@model
def iron(what: str, club: str) -> Variants:
    """Iron row of the tour with delivered loft free, one set of parameters from driver to wedge."""
    speed, attack, mass, e = IRONS[club]
    target = {"seven": (120.0, 16.3, 7097.0), "wedge": (102.0, 24.2, 9304.0)}[club]
    head = MEASURED.copy()
    head[vectors.HEAD_MASS], head[vectors.BULGE], head[vectors.ROLL] = mass, 0.0, 0.0
    head[vectors.DEPTH] = head[vectors.CG_UP] = 0.0
    out: Variants = {}
    for name, m in _published().items():
        local = m.copy()
        local[vectors.COR], local[vectors.COR_SLOPE] = e, 0.0

        def start(x: np.ndarray, m: np.ndarray = local) -> np.ndarray:
            return np.array(list(_read(_hit(speed * MPH, x[0], head, m, attack=attack)).values()))

        best = least_squares(lambda x, f=start: (f(x) - target) / (np.array(target) * 0.05), [26.0])
        out[name] = float(start(best.x)[("speed", "launch", "spin").index(what)])
    return out


@model
def tangential(loft: float) -> Variants:
    """Tangential restitution at a spin loft (deg)."""
    out: Variants = {}
    for name, m in _published().items():
        rise = np.clip((loft * DEG - m[vectors.ET_FROM]) / m[vectors.ET_OVER], 0.0, 1.0)
        out[name] = float(m[vectors.ET] + m[vectors.ET_RISE] * rise)
    return out


@model
def direction_of(loft: float, which: str) -> Variants:
    """The same share for one repair alone."""
    return {which: direction(loft)[which]}


@model
def direction(loft: float) -> Variants:
    """Share of the way from path to face at which the ball starts; loft is the spin loft."""
    out: Variants = {}
    for name, m in _published().items():
        a, b = (_hit(50.0, loft, MEASURED, m, face=f)[2] for f in (0.0, 1.0))
        out[name] = float((b - a) / DEG)
    return out


@model
def no_loft(e: float, grams: float) -> Variants:
    """Ball/club ratio of a centre hit without loft."""
    return {"model": float(_hit(50.0, 0.0, _heavy(grams * 1e-3), _plain(e))[0] / 50.0)}


@model
def tilt(loft: float) -> Variants:
    """Tilt of the axis per degree of face to path, uncorrected solver."""
    return {"model": float(_hit(45.0, loft, _heavy(), _plain(0.83), face=1.0)[4] / DEG)}


def _repair_alone(which: str) -> np.ndarray:
    """One repair at its printed size, without cap, rise and added mass."""
    m = _plain(0.82)
    if which == "shift":
        m[vectors.SHIFT_DOWN], m[vectors.SHIFT_HEEL], m[vectors.SHIFT_CAP] = 0.5e-3, 0.07e-3, 9.0
    else:
        m[vectors.ET] = -0.2
    return m


@model
def shift_takes(loft: float, what: str = "percent") -> Variants:
    """Spin that the uncapped shift takes off the measured head's at 45 m/s: % or rpm."""
    plain, less = (_hit(45.0, loft, MEASURED, m)[3] for m in (_plain(0.82), _repair_alone("shift")))
    return {"model": float(100.0 * (1.0 - less / plain) if what == "percent" else (plain - less) / RPM)}


@model
def per_degree(which: str, what: str = "spin") -> Variants:
    """Spin (rpm) or launch (deg) per degree of spin loft about 13 deg at 50 m/s."""
    a, b = (_hit(50.0, x, MEASURED, _repair_alone(which)) for x in (12.5, 13.5))
    return {which: float((b - a)[1] / DEG if what == "launch" else (b - a)[3] / RPM)}


@model
def rigid_excess(mph: float, loft: float) -> Variants:
    """By how much rigid sticking contact over-predicts backspin against each repair, %."""
    plain = _hit(mph * MPH, loft, MEASURED, _plain(0.822))[3]
    return {
        k: float(100.0 * (plain / _hit(mph * MPH, loft, MEASURED, m)[3] - 1.0))
        for k, m in _published().items()
    }


@model
def ratio_fall(mph: float, low: float, high: float) -> Variants:
    """Fall of the ball/club ratio between two spin lofts, %."""
    out: Variants = {}
    for name, m in _repairs().items():
        near, far = (_hit(mph * MPH, x, MEASURED, m)[0] for x in (low, high))
        out[name] = float(100.0 * (1.0 - far / near))
    return out


def _carry(starts: np.ndarray) -> np.ndarray:
    """Carry of starts (n, 5), yd, mean of the laws."""
    return engine.fly(starts, worlds.central(Conditions()).world)[..., vectors.CARRY].mean(axis=0) / YARD


@model
def skill_costs(across: float, up: float) -> Variants:
    """Carry (yd) that scatter of the strike (SD, mm) costs on average, restitution even over the face."""
    misses = np.random.default_rng(3).normal(size=(400, 2)) * np.array([across, up])
    out: Variants = {}
    for name, m in _repairs().items():
        even = m.copy()
        even[vectors.FALL_TOE] = even[vectors.FALL_HIGH] = 0.0
        places = np.concatenate([np.zeros((1, 2)), misses])
        starts = [_hit(45.0, 14.0, ordinary_head(), even, toe=a, high=b) for a, b in places]
        carry = _carry(np.stack(starts))
        out[name] = float(carry[0] - carry[1:].mean())
    return out


@model
def path_of_closing(rate: float, depth_mm: float, mps: float) -> Variants:
    """Path between mass centre and face of a head that closes (rad/s), deg."""
    return {"model": float(np.degrees(np.arctan(rate * depth_mm * 1e-3 / mps)))}


@model
def bulge_per_mm(radius_mm: float) -> Variants:
    """Turn of the face normal per mm of miss, deg."""
    return {"model": float(np.degrees(1.0 / radius_mm))}


@model
def ball_inertia(mass_g: float, radius_mm: float) -> Variants:
    """Inertia of the ball by the kernel's factor, g cm2."""
    return {"model": ball.INERTIA_FACTOR * mass_g * (radius_mm / 10.0) ** 2}


@model
def cor_yards(more: float) -> Variants:
    """Carry (yd) that a little more restitution gives a 113 mph drive."""
    starts = np.stack(
        [_hit(113 * MPH, 12.0, ordinary_head(), _plain(e), attack=0.0) for e in (0.82, 0.82 + more)]
    )
    starts[:, 3] = 2600 * RPM
    flown = engine.fly(starts, worlds.central(Conditions()).world)[..., vectors.CARRY] / YARD
    return dict(zip(ball.MODERN, map(float, flown[:, 1] - flown[:, 0]), strict=True))
