"""A player who does not exist: shots from a strike model and a ball law, for tests of the advice."""

from __future__ import annotations

from functools import lru_cache

import numpy as np

from fitter import world as worlds
from fitter.advice.question import ask
from fitter.advice.rank import rank
from fitter.advice.result import Ranking
from fitter.base.conditions import Conditions
from fitter.base.units import DEG, MPH, RPM
from fitter.kit.figures import Reading
from fitter.kit.inventory import Kit
from fitter.kit.parts import Head, Shaft
from fitter.physics import engine, vectors
from fitter.shots.session import Session
from fitter.simulate.strike import ordinary_head


def session(
    speed_mph: float,
    attack_deg: float,
    loft_deg: float,
    n: int = 12,
    seed: int = 0,
    hand: str = "right",
    air: Conditions | None = None,
) -> Session:
    """Session of n shots about a mean delivery, in one drawn world; the air in the right-handed frame."""
    rng = np.random.default_rng(seed)
    spread = np.array([0.012 * speed_mph * MPH, 1.0 * DEG, 1.2 * DEG, 1.8 * DEG, 1.0 * DEG, 9e-3, 7e-3])
    mean = np.array([speed_mph * MPH, attack_deg * DEG, 0.0, 0.0, loft_deg * DEG, 0.0, 0.0])
    deed = mean + spread * rng.standard_normal((n, 7))
    start = engine.strikes(deed, ordinary_head(), worlds.strike_models()[0])
    flown = engine.fly(start, worlds.drawn(air or Conditions(), 8, 77).world)[3]
    values = {
        "club_speed_mps": deed[:, 0],
        "attack_deg": deed[:, 1] / DEG,
        "path_deg": deed[:, 2] / DEG,
        "face_deg": deed[:, 3] / DEG,
        "dynamic_loft_deg": deed[:, 4] / DEG,
        "ball_speed_mps": start[:, 0],
        "launch_deg": start[:, 1] / DEG,
        "direction_deg": start[:, 2] / DEG,
        "spin_rpm": start[:, 3] / RPM,
        "spin_axis_deg": start[:, 4] / DEG,
        "carry_m": flown[:, vectors.CARRY],
        "total_m": flown[:, vectors.TOTAL],
        "offline_m": flown[:, vectors.SIDE],
    }
    return Session("P", hand, "made up", values, {}, {}, np.arange(1, n + 1), np.arange(2, n + 2))


def kit() -> Kit:
    """Small kit: gauged heads of 8.5, 10.5 and 11.5 deg, one only stamped; a softer and a stiffer shaft."""
    heads = (
        Head("G", loft_deg=Reading(10.5, 0.3), mass_g=Reading(200.0), settings=(-1.0, 0.0, 1.0)),
        Head("UP", loft_deg=Reading(11.5, 0.3), mass_g=Reading(200.0)),
        Head("LOW", loft_deg=Reading(8.5, 0.3), mass_g=Reading(200.0)),
        Head("STAMP", stamped_loft_deg=Reading(10.5), mass_g=Reading(200.0)),
    )
    shafts = (
        Shaft("R", mass_g=Reading(60.0), frequency_cpm=Reading(245.0), length_in=Reading(46.0)),
        Shaft("X", mass_g=Reading(60.0), frequency_cpm=Reading(272.0), length_in=Reading(46.0)),
    )
    return Kit(heads, shafts, "made up")


@lru_cache(maxsize=64)
def ranking(
    swing: tuple[float, float, float] = (112, -1, 12.5),
    goal: str = "carry",
    draws: int = 64,
    present: str = "G/R",
) -> Ranking:
    """Ranking of the kit for a session, computed once for all tests that only read it."""
    return rank(ask(session(*swing), kit(), present, goal, draws=draws))
