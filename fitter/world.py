"""Judged numbers and conditions turned into what the kernels take: ball laws, strike models, turf, air.

A `central` world has one row for each modern law, at the centre of every judgement. A `drawn` world has one
row a draw: laws, ball factors, both spin repairs, restitution and turf drawn together, from streams keyed by
name.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from fitter.base import draws
from fitter.base.assumptions import current
from fitter.base.conditions import TERRAINS, TURFS, Conditions
from fitter.base.errors import InputError, Problem, raise_if
from fitter.base.units import DEG
from fitter.physics import air, ball, engine, vectors
from fitter.strike_models import Sampler
from fitter.strike_models import published_model as published_model
from fitter.strike_models import rival_model as rival_model
from fitter.strike_models import strike_models as strike_models

Floats = NDArray[np.float64]
Known = Mapping[str, tuple[Floats, Floats]]
"""Mean and covariance of drag and lift factors by law."""

SEA_LEVEL_DENSITY = 1.225
"""kg/m3 (ISO 2533): the density at which spin decay is quoted."""


@dataclass(frozen=True)
class Drawn:
    """A world of draws and the law that each draw believes in.

    Parameters
    ----------
    world : engine.World
    law : ndarray of int, shape (draws,)
        Index into `names`.
    names : tuple of str
    """

    world: engine.World
    law: NDArray[np.int64]
    names: tuple[str, ...]

    def with_run(self, factor: Floats, steep: Floats | float = 0.0) -> Drawn:
        """Scale the run of every draw by a factor, (draws,), and let it fall faster with the angle, 1/rad."""
        turf = self.world.turf.copy()
        turf[:, vectors.RUN_FACTOR] *= factor
        turf[:, vectors.RUN_STEEP] += steep
        return replace(self, world=replace(self.world, turf=turf))

    def thin(self, step: int) -> Drawn:
        """Keep one draw in so many."""
        w = self.world
        fewer = engine.World(w.law[::step], w.model[::step], w.turf[::step], w.air)
        return Drawn(fewer, self.law[::step], self.names)


def law_names(conditions: Conditions) -> tuple[str, ...]:
    """Laws in play: the one that is named, else all modern ones.

    Raises
    ------
    InputError
        If the named law is not known.
    """
    if conditions.law is None:
        return ball.MODERN
    if conditions.law not in ball.LAWS:
        known = ", ".join(f"{n} ({law.era})" for n, law in ball.LAWS.items())
        problem = Problem("--law", repr(conditions.law), known, "Name one of these, or leave it out.")
        raise InputError("There is no such aerodynamic law.", [problem])
    return (conditions.law,)


def law_weights(names: tuple[str, ...], s: Floats) -> Floats:
    """Prior weight of each law for launches of spin ratio s, shape (laws,), sum 1.

    A law loses its weight where the launches leave its range of S, smoothly, so that the blend does not jump.
    """
    a = current()
    fade = a.value("ball.edge_fade")
    weights = []
    for name in names:
        edge = ball.LAWS[name].s_range[1]
        inside = np.clip(1.0 - (np.asarray(s) / edge - 1.0) / fade, 0.0, 1.0)
        weights.append(a.value("ball.law_weight") * float(np.mean(inside)) if np.size(inside) else 1.0)
    total = np.asarray(weights)
    return total / total.sum() if total.sum() > 0 else np.full(len(names), 1.0 / len(names))


def spin_torque(k: Floats) -> Floats:
    """C_M / S of the spin torque from the k of d omega/dt = -k omega v/r at sea level."""
    area = np.pi * ball.RADIUS**2
    return np.asarray(k * 2.0 * ball.INERTIA_FACTOR * ball.MASS / (SEA_LEVEL_DENSITY * area * ball.RADIUS))


def air_density(conditions: Conditions) -> float:
    """Density of the air, kg/m3."""
    return float(air.density(conditions.temperature_c, conditions.pressure_pa, conditions.humidity))


def air_of(conditions: Conditions) -> Floats:
    """Air vector of the kernels: density, viscosity, wind by height, height of the landing.

    Raises
    ------
    InputError
        If the terrain is not known or the height of the wind is out of its limits.
    """
    where = conditions
    if where.terrain not in TERRAINS:
        problem = Problem("--terrain", repr(where.terrain), ", ".join(TERRAINS), "Name one of these.")
        raise InputError("There is no such terrain.", [problem])
    if not 0.5 <= where.wind_height_m <= 100.0:
        found, allowed = f"{where.wind_height_m:g} m", "0.5 to 100 m; 10 m by weather services, 2 m by hand"
        problem = Problem("--wind-height", found, allowed, "Give the height at which the wind was measured.")
        raise InputError("The wind was told at a height that does not serve.", [problem])
    profile = None
    speed = where.wind_mps
    if where.terrain != "uniform":
        exponent = current().value(f"wind.exponent_{where.terrain}")
        profile = air.wind_profile(exponent)
        q = where.wind_height_m / (where.wind_height_m + air.PROFILE_SCALE)
        speed /= float(np.polynomial.polynomial.polyval(q, profile))
    towards = (180.0 - where.wind_from_deg) * DEG
    # From 0 the wind blows to -x; from 90 (the right) it blows to the left, +y.
    wind = (speed * float(np.cos(towards)), speed * float(np.sin(towards))) if speed else (0.0, 0.0)
    viscosity = float(air.viscosity(where.temperature_c))
    return engine.air_vector(air_density(where), viscosity, wind, profile, where.landing_height_m)


def turfs(
    name: str,
    n: int = 0,
    seed: int = 1,
    slope: tuple[float, float] = (0.0, 0.0),
) -> Floats:
    """Turf vectors at the centre (n = 0) or drawn, shape (max(n, 1), vectors.TURF).

    All turfs share their streams: the same draw is a little softer or firmer than each of them.

    Parameters
    ----------
    name : str
        One of `conditions.TURFS`.
    n, seed : int
        Draws and seed.
    slope : (float, float)
        Rise over run of the landing area along the target line and to the right.

    Raises
    ------
    InputError
        If there is no turf of that name, or a slope is steeper than 0.3.
    """
    problems = []
    if name not in TURFS:
        problems.append(Problem("--turf", repr(name), ", ".join(TURFS), "Name one of these."))
    if max(map(abs, slope)) > 0.3:
        problems.append(Problem("--slope", f"{slope}", "-0.3 to 0.3 rise over run", "30 % is a bank."))
    raise_if(problems, "The landing area is not clear.")
    get = Sampler(n, seed)
    kind = "" if name == "ordinary" else f"_{name}"
    out = np.zeros((get.rows, vectors.TURF))
    limits = {"tilt": (0.0, 60.0), "restitution": (0.02, 1.5), "friction": (0.1, 2.0), "rolling": (0.05, 2.0)}
    for column, (figure, (low, high)) in enumerate(limits.items()):
        out[:, column] = get(f"turf.{figure}{kind}", low, high, stream=f"turf.{figure}")
    out[:, vectors.TURF_TILT] *= DEG
    out[:, vectors.RUN_FACTOR] = get("turf.run_factor", 0.2)
    out[:, vectors.RUN_STEEP] = get("turf.run_steepness") / DEG
    out[:, vectors.FORM] = float(name == "green")
    out[:, vectors.SLOPE_ALONG], out[:, vectors.SLOPE_ACROSS] = slope[0], -slope[1]
    return out


def _turfs_of(where: Conditions, n: int, seed: int) -> Floats:
    return turfs(where.turf, n, seed, (where.slope_along, where.slope_right))


def _laws(
    names: tuple[str, ...], picked: NDArray[np.int64], get: Sampler, known: Known | None = None
) -> Floats:
    torque = spin_torque(get("ball.spin_decay", 0.0))
    low = get("ball.low_re_drag"), get("ball.low_re_lift")
    every = [ball.vector(ball.LAWS[name], torque, *_factors(name, get, known), *low) for name in names]
    stacked = np.stack([np.broadcast_to(v, (len(picked), vectors.LAW)) for v in every])
    return np.asarray(stacked[picked, np.arange(len(picked))])


def _factors(name: str, get: Sampler, known: Known | None) -> tuple[Floats, Floats]:
    """Drag and lift factors of one law: as judged, or as the player's measured carries leave them."""
    if known is None or name not in known:
        return get("ball.drag_factor", 0.5), get("ball.lift_factor", 0.5)
    mean, cov = known[name]
    if get.n == 0:
        return np.full(1, mean[0]), np.full(1, mean[1])
    z = np.stack([draws.normals(get.n, get.seed, f"ball.{kind}_factor") for kind in ("drag", "lift")])
    both = mean[:, None] + np.linalg.cholesky(cov) @ z
    return np.maximum(both[0], 0.5), np.maximum(both[1], 0.5)


def central(conditions: Conditions) -> Drawn:
    """One row a law at the centre of every judgement, with the leading strike hypothesis."""
    names = law_names(conditions)
    picked = np.arange(len(names))
    world = engine.World(
        _laws(names, picked, Sampler(0, 0)),
        np.repeat(strike_models(), len(names), axis=0),
        np.repeat(_turfs_of(conditions, 0, 0), len(names), axis=0),
        air_of(conditions),
    )
    return Drawn(world, picked, names)


def drawn(
    conditions: Conditions,
    n: int,
    seed: int,
    weights: Floats | None = None,
    known: Known | None = None,
    models: Floats | None = None,
) -> Drawn:
    """World of n draws of everything uncertain about ball, strike and turf.

    Parameters
    ----------
    conditions : Conditions
    n : int
        Number of draws.
    seed : int
        Streams are keyed by seed and name, so that every caller with the same seed sees the same worlds.
    weights : ndarray, shape (laws,), optional
        Weight of each law in play; equal when silent.
    known : mapping of str to (ndarray, ndarray), optional
        Mean (2,) and covariance (2, 2) of the drag and lift factors under each law, where measured carries
        inform them; as judged when silent.
    models : ndarray, shape (n, vectors.MODEL), optional
        Strike model of each draw, where shots inform them; as judged when silent.
    """
    names = law_names(conditions)
    weights = np.full(len(names), 1.0) if weights is None else weights
    picked = draws.choices(n, weights, seed, "ball.law")
    world = engine.World(
        _laws(names, picked, Sampler(n, seed), known),
        strike_models(n, seed) if models is None else models,
        _turfs_of(conditions, n, seed),
        air_of(conditions),
    )
    return Drawn(world, picked, names)


def held_at_edge(name: str, s: float, s_peak: float, re: float, re_low: float) -> str:
    """Say in words where a flight leaves a law's range, or an empty string.

    Parameters
    ----------
    name : str
        Name of the law.
    s, s_peak : float
        Spin ratio at the start and its highest value.
    re, re_low : float
        Reynolds number at the start and its lowest value, in 1e5.
    """
    law = ball.LAWS[name]
    said = []
    if s < law.s_range[0]:
        said.append(f"S {s:.3f} under {law.s_range[0]}")
    if s_peak > law.s_range[1]:
        said.append(f"S {s_peak:.3f} over {law.s_range[1]}")
    if re_low < law.re_range[0]:
        said.append(f"Re {re_low:.2f}e5 under {law.re_range[0]}e5")
    if re > law.re_range[1]:
        said.append(f"Re {re:.2f}e5 over {law.re_range[1]}e5")
    return "held at its edge: " + ", ".join(said) if said else ""
