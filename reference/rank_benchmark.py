"""How fast a decision is: first order and full ranking of 2,500 options against brute force, in the same run.

Run ``python -m reference.rank_benchmark`` on an idle machine; ``--large`` answers 200 heads and 200 shafts.
"""

from __future__ import annotations

import resource
import sys
import time

import numpy as np

from fitter import world as worlds
from fitter.advice import race
from fitter.advice.question import ask
from fitter.advice.rank import rank
from fitter.advice.result import Ranking
from fitter.base.conditions import Conditions
from fitter.base.units import DEG, MPH, RPM
from fitter.kit.figures import Reading
from fitter.kit.inventory import Kit
from fitter.kit.offer import offer
from fitter.kit.parts import Head, Shaft
from fitter.physics import engine, vectors
from fitter.shots.session import Session
from fitter.simulate.strike import ordinary_head

EVERY = offer(any_shaft=True)
SHOTS = 30
LARGE = 200
"""Heads, and shafts, of the large kit."""


def kit() -> Kit:
    """Fourteen heads with three sleeve positions and twenty shafts: about 2,500 options with ball and tee."""
    heads = tuple(
        Head(f"H{i}", loft_deg=Reading(8 + 0.3 * i, 0.3), mass_g=Reading(200.0), settings=(-1.0, 0.0, 1.0))
        for i in range(14)
    )
    shafts = tuple(
        Shaft(f"S{j}", mass_g=Reading(50.0 + 2 * j), frequency_cpm=Reading(240.0 + 3 * j)) for j in range(20)
    )
    return Kit(heads, shafts, "made up")


def session() -> Session:
    """Thirty drives about 112 mph, 2 deg up and 14 deg delivered loft."""
    rng = np.random.default_rng(0)
    mean = np.array([112 * MPH, 2 * DEG, 0.0, 0.0, 14 * DEG, 0.0, 0.0])
    spread = np.array([0.6, 1.0 * DEG, 1.2 * DEG, 1.8 * DEG, 1.0 * DEG, 9e-3, 7e-3])
    deed = mean + spread * rng.standard_normal((SHOTS, 7))
    start = engine.strikes(deed, ordinary_head(), worlds.strike_models()[0])
    flown = engine.fly(start, worlds.central(Conditions()).world)[0]
    values = {
        "club_speed_mps": deed[:, 0],
        "ball_speed_mps": start[:, 0],
        "launch_deg": start[:, 1] / DEG,
        "direction_deg": start[:, 2] / DEG,
        "spin_rpm": start[:, 3] / RPM,
        "spin_axis_deg": start[:, 4] / DEG,
        "carry_m": flown[:, vectors.CARRY],
    }
    order = np.arange(1, SHOTS + 1)
    return Session("P", "right", "made up", values, {}, {}, order, order)


def timed(shots: Session, shop: Kit, objective: str) -> tuple[float, float, Ranking]:
    """Seconds to the rough order and to the ranking, and the ranking."""
    start, first = time.perf_counter(), []
    ranking = rank(
        ask(shots, shop, "H6/S5", objective, offer=EVERY),
        first=lambda _: first.append(time.perf_counter() - start),
    )
    return first[0], time.perf_counter() - start, ranking


def main() -> None:
    """Print times, their ratios, and whether the survivors are those of brute force."""
    shots, shop = session(), kit()
    engine.prepare()
    for objective in ("play", "carry", "total", "weak", "fairway", "grid"):
        runs = [timed(shots, shop, objective) for _ in range(4)]
        ranking = runs[-1][2]
        first, full = (min(run[k] for run in runs[1:]) for k in (0, 1))
        staged, needed = ranking, race.needed
        race.needed = lambda *_: ()
        try:
            start = time.perf_counter()
            brute = rank(ask(shots, shop, "H6/S5", objective, offer=EVERY))
            took = time.perf_counter() - start
        finally:
            race.needed = needed
        best = max(o.value_gain.mean for o in brute.options)
        unit = brute.yard
        near = [o.option.id for o in brute.options if o.value_gain.mean >= best - unit]
        kept = [o.option.id for o in staged.options if o.option.id in near]
        print(
            f"{objective:8} {brute.counts['options']} options x {SHOTS} shots: first {first:.2f} s, "
            f"full {full:.2f} s, brute force {took:.1f} s ({took / full:.0f} times); "
            f"{len(near)} within a yard of the best, same survivors and order: {kept == near}, "
            f"same verdict: {staged.verdict == brute.verdict}"
        )
    print(f"peak memory {peak():.2f} GB")


def peak() -> float:
    """Most memory that this process ever had, GB."""
    return resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1e6


def large() -> Kit:
    """Heads of 8 to 13 deg and shafts of 45 to 80 g, all different."""
    rng = np.random.default_rng(3)

    def figure(low: float, high: float, sd: float | None = None) -> Reading:
        return Reading(round(float(rng.uniform(low, high)), 1), sd)

    heads = tuple(
        Head(f"H{i}", loft_deg=figure(8, 13, 0.3), mass_g=figure(195, 205), cg_depth_mm=figure(33, 43),
             settings=(-1.0, 0.0, 1.0))
        for i in range(LARGE)
    )  # fmt: skip
    shafts = tuple(
        Shaft(f"S{j}", mass_g=figure(45, 80), frequency_cpm=figure(220, 280)) for j in range(LARGE)
    )
    return Kit(heads, shafts, "made up")


def answer_a_large_kit() -> None:
    """Print time and memory of a kit whose options are searched heads first."""
    shots, shop = session(), large()
    engine.prepare()
    for objective in ("carry", "total", "play"):
        start = time.perf_counter()
        found = rank(ask(shots, shop, "H6/S5", objective, offer=EVERY))
        took = time.perf_counter() - start
        print(
            f"{objective:8} {LARGE} x {LARGE}: {found.counts['options']} options x {SHOTS} shots in "
            f"{took:.1f} s, {found.counts['in_full']} in full, {found.left_out.unsearched} not looked at; "
            f"peak memory {peak():.2f} GB"
        )


if __name__ == "__main__":
    if "--large" in sys.argv:
        answer_a_large_kit()
    else:
        main()
