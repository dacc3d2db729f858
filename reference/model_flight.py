"""What the model says of air, ball, flight, wind and ground: quantities of tables/flight.csv."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
from scipy.optimize import brentq

from fitter import world as worlds
from fitter.base.conditions import Conditions
from fitter.base.units import DEG, FOOT, MPH, RPM, YARD
from fitter.physics import air, ball, engine, ground, vectors
from fitter.simulate.flight import fly, launch_row, spin_ratio
from fitter.simulate.strike import ordinary_head
from reference import exact
from reference.figures import Variants, model
from reference.oracles.places import at_altitude, standard_atmosphere

STANDARD = Conditions()
COLUMNS = {
    "carry": (vectors.CARRY, YARD),
    "total": (vectors.TOTAL, YARD),
    "apex": (vectors.APEX, YARD),
    "landing": (vectors.DESCENT, DEG),
    "time": (vectors.TIME, 1.0),
    "landing_spin": (vectors.LANDING_SPIN, RPM),
}


def _row(speed: float, launch: float, spin: float) -> np.ndarray:
    return launch_row(speed * MPH, launch, spin)


def _named(values: np.ndarray, speed: float, spin: float) -> Variants:
    """Blend and laws of one value a law."""
    s = spin_ratio(np.array([speed * MPH]), np.array([spin * RPM]))
    weights = worlds.law_weights(ball.MODERN, s)
    return {"blend": float(weights @ values)} | dict(zip(ball.MODERN, map(float, values), strict=True))


def _flown(where: Conditions, speed: float, launch: float, spin: float, what: str) -> np.ndarray:
    column, unit = COLUMNS[what]
    return engine.fly(_row(speed, launch, spin), worlds.central(where).world)[:, 0, column] / unit


@model
def flown(what: str, speed: float, launch: float, spin: float, **where: float | str) -> Variants:
    """Carry, total, apex (yd), landing angle (deg) of one start (mph, deg, rpm)."""
    here = replace(STANDARD, **where)  # type: ignore[arg-type]
    return _named(_flown(here, speed, launch, spin, what), speed, spin)


@model
def run(speed: float, launch: float, spin: float, turf: str = "ordinary") -> Variants:
    """Run in yards."""
    here = replace(STANDARD, turf=turf)
    values = _flown(here, speed, launch, spin, "total") - _flown(here, speed, launch, spin, "carry")
    return _named(values, speed, spin)


def _launch_for(apex_ft: float, speed: float, spin: float) -> float:
    """Launch whose blend reaches an apex."""

    def off(launch: float) -> float:
        return (
            _named(_flown(STANDARD, speed, launch, spin, "apex"), speed, spin)["blend"] * YARD / FOOT
            - apex_ft
        )

    return float(brentq(off, 2.0, 25.0))


@model
def at_apex(what: str, apex_ft: float, speed: float, spin: float, turf: str) -> Variants:
    """Carry or run (yd) of a drive whose launch gives the blend this apex."""
    launch = _launch_for(apex_ft, speed, spin)
    if what == "run":
        return run(speed, launch, spin, turf)
    return _named(_flown(STANDARD, speed, launch, spin, what), speed, spin)


@model
def run_ratio(low_ft: float, high_ft: float, speed: float, spin: float, turf: str) -> Variants:
    """Run of a low flight over that of a high one."""
    low, high = (at_apex("run", a, speed, spin, turf) for a in (low_ft, high_ft))
    return {k: low[k] / high[k] for k in low}


@model
def coefficient(what: str, re: float, s: float, law: str = "blend") -> Variants:
    """C_D or C_L at Re (1e5) and S."""
    which = 0 if what == "drag" else 1

    def of(name: str) -> float:
        return float(ball.coefficients(ball.vector(ball.LAWS[name], 0.0), s, re)[which])

    if law != "blend":
        return {law: of(law)}
    weights = worlds.law_weights(ball.MODERN, np.array([s]))
    each = {name: of(name) for name in ball.MODERN}
    return {"blend": float(weights @ np.array(list(each.values())))} | each


@model
def spread_of_balls(what: str, speed: float, launch: float, spin: float) -> Variants:
    """SD of carry over draws, or the expected range of thirteen balls, in m."""
    out = engine.fly(_row(speed, launch, spin), worlds.drawn(STANDARD, 2048, 1).world)[:, 0, vectors.CARRY]
    if what == "sd":
        return {"blend": float(out.std())}
    # Expected range of thirteen, from many groups of thirteen draws.
    groups = np.random.default_rng(0).permutation(np.tile(out, 13)).reshape(-1, 13)
    return {"blend": float(np.ptp(groups, axis=1).mean())}


@model
def slope(cause: str, speed: float, launch: float, spin: float) -> Variants:
    """Yards of carry per mph, deg, 100 rpm or 1 % of density."""
    rows = {
        "speed": ((speed + 0.5, launch, spin), (speed - 0.5, launch, spin)),
        "launch": ((speed, launch + 0.5, spin), (speed, launch - 0.5, spin)),
        "spin": ((speed, launch, spin + 50), (speed, launch, spin - 50)),
    }
    if cause in rows:
        more, less = (_flown(STANDARD, *r, "carry") for r in rows[cause])
        return _named(more - less, speed, spin)
    world = worlds.central(STANDARD).world
    values = []
    for factor in (1.005, 0.995):
        thin = world.air.copy()
        thin[vectors.RHO] *= factor
        values.append(engine.fly(_row(speed, launch, spin), replace(world, air=thin))[:, 0, vectors.CARRY])
    return _named((values[0] - values[1]) / YARD, speed, spin)


@model
def by_coefficient(what: str, speed: float, launch: float, spin: float) -> Variants:
    """Metres of carry for +0.01 in C_D or C_L."""
    world = worlds.central(STANDARD).world
    law = world.law.copy()
    law[:, vectors.D0 if what == "drag" else vectors.L0] += 0.01
    out = [
        engine.fly(_row(speed, launch, spin), w)[:, 0, vectors.CARRY]
        for w in (world, replace(world, law=law))
    ]
    return _named(out[1] - out[0], speed, spin)


@model
def spin_lost(seconds: float) -> Variants:
    """Share of the spin of a tour drive that is gone after some seconds, %, by the adaptive integrator."""
    row = _row(167, 10.9, 2686)[0]
    world = worlds.central(STANDARD).world
    kept = [exact.spin_after(row, law, world.air, seconds) / row[vectors.SPIN] for law in world.law]
    return _named(100.0 * (1.0 - np.array(kept)), 167, 2686)


@model
def decay_matters(low_k: float, high_k: float, speed: float, launch: float, spin: float) -> Variants:
    """Largest change of carry (yd) between two constants of the spin's decay."""
    world = worlds.central(STANDARD).world
    out = []
    for k in (low_k, high_k):
        law = world.law.copy()
        law[:, vectors.DECAY] = worlds.spin_torque(np.array(k))
        out.append(engine.fly(_row(speed, launch, spin), replace(world, law=law))[:, 0, vectors.CARRY] / YARD)
    return _named(np.abs(out[1] - out[0]), speed, spin)


@model
def time_constant(k: float, speed: float) -> Variants:
    """r/(k v), s."""
    return {"model": ball.RADIUS / (k * speed * MPH)}


@model
def worked_flight(what: str, law: str, speed: float, launch: float, spin: float) -> Variants:
    """One law in the air of an independent calculation: 1.177 kg/m3, k = 2.0e-5."""
    vector = ball.vector(ball.LAWS[law], 0.0)
    vector[vectors.DECAY] = worlds.spin_torque(np.array(2.0e-5))
    still = engine.air_vector(1.177, 1.84e-5)
    world = engine.World(vector[None], worlds.strike_models(), worlds.turfs("ordinary"), still)
    column, unit = COLUMNS[what]
    return {law: float(engine.fly(_row(speed, launch, spin), world)[0, 0, column] / unit)}


@model
def old_ball(law: str, speed: float, launch: float, spin: float) -> Variants:
    """Carry of an old ball's law against the blend, %."""
    old = fly(speed * MPH, launch, spin, conditions=replace(STANDARD, law=law), draws=4).carry_m
    return {law: 100.0 * (old / fly(speed * MPH, launch, spin, draws=4).carry_m - 1.0)}


@model
def density(celsius: float, pascal: float, humidity: float) -> Variants:
    """Moist air, kg/m3."""
    return {"model": float(air.density(celsius, pascal, humidity))}


@model
def standard_density(altitude: float) -> Variants:
    """Standard atmosphere, kg/m3, through the conditions of a place."""
    return {"model": worlds.air_density(standard_atmosphere(altitude))}


@model
def too_dense(altitude: float) -> Variants:
    """Excess of density, %, when a sea-level pressure is typed as the station's."""
    right = at_altitude(altitude)
    return {"model": 100.0 * (worlds.air_density(STANDARD) / worlds.air_density(right) - 1.0)}


@model
def place_effect(what: str, speed: float, launch: float, spin: float) -> Variants:
    """Change of carry: % per 1000 ft of altitude, yd per 10 F, yd from 10 to 90 % of humidity."""
    before, after = {
        "altitude": (at_altitude(0.0), at_altitude(1000 * FOOT)),
        "temperature": (
            replace(STANDARD, temperature_c=20.0),
            replace(STANDARD, temperature_c=20.0 + 50 / 9),
        ),
        "humidity": (replace(STANDARD, humidity=0.1), replace(STANDARD, humidity=0.9)),
    }[what]
    a, b = (_flown(w, speed, launch, spin, "carry") for w in (before, after))
    return _named(100.0 * (b / a - 1.0) if what == "altitude" else b - a, speed, spin)


@model
def wind_effect(
    comes_from: float, mph: float, terrain: str, speed: float, launch: float, spin: float
) -> Variants:
    """Yards of carry that a wind gives (+) or takes."""
    here = replace(STANDARD, wind_mps=mph * MPH, wind_from_deg=comes_from, terrain=terrain)
    return _named(
        _flown(here, speed, launch, spin, "carry") - _flown(STANDARD, speed, launch, spin, "carry"),
        speed,
        spin,
    )


@model
def profile_misses(exponent: float) -> Variants:
    """Largest miss of the wind's polynomial up to 150 m, as a share of the wind at 10 m."""
    z = np.linspace(0.0, 150.0, 1000)
    share = np.polynomial.polynomial.polyval(z / (z + air.PROFILE_SCALE), air.wind_profile(exponent))
    return {"model": float(np.max(np.abs(share - ((z + 1) / 11) ** exponent)))}


@model
def penner(what: str, speed: float, angle: float) -> Variants:
    """Penner's worked landing: normal speed (m/s) and restitution."""
    tilt = 15.4 * speed / 18.6 * angle / 44.4
    into = speed * np.sin((angle + tilt) * DEG)
    return {"model": float(into) if what == "normal_speed" else float(ground.penner_restitution(into))}


@model
def best_loft(what: str, club_speed: float, turf: str, attack: float = 0.0) -> Variants:
    """Delivered loft (deg) of longest carry or total, or their gap; blend, each hypothesis of spin."""
    lofts = np.arange(4.0, 26.0, 0.25)
    deeds = np.zeros((len(lofts), 7))
    deeds[:, 0], deeds[:, 1], deeds[:, 4] = club_speed * MPH, attack * DEG, lofts * DEG
    drawn = worlds.central(replace(STANDARD, turf=turf))
    out: Variants = {}
    for name, strike in (("shift", worlds.strike_models()[0]), ("tangential", worlds.rival_model()[0])):
        starts = engine.strikes(deeds, ordinary_head(), strike)
        weights = np.array(
            [worlds.law_weights(drawn.names, s) for s in spin_ratio(starts[:, 0], starts[:, 3])]
        )
        mean = np.einsum("nl,lnk->nk", weights, engine.fly(starts, drawn.world))
        carry, total = (float(lofts[mean[:, k].argmax()]) for k in (vectors.CARRY, vectors.TOTAL))
        out[name] = {"carry": carry, "total": total, "gap": carry - total}[what]
    return out
