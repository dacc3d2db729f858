"""How fast: flights a second, strike-to-rest, and the ratio to SciPy on the same flights in the same run.

Run ``python -m reference.benchmark`` on an idle machine; `--flights N` sets the size.
"""

from __future__ import annotations

import argparse
import os
import time
from collections.abc import Callable
from dataclasses import replace

import numpy as np

from fitter import simulate
from fitter import world as worlds
from fitter.conditions import Conditions
from fitter.physics import engine, impact
from fitter.units import DEG, MPH, RPM
from reference import exact

SEED = 7


def launches(n: int) -> exact.Floats:
    """Starts of n drives: 150-190 mph, 8-16 deg, 1,800-3,800 rpm."""
    rng = np.random.default_rng(SEED)
    low = np.array([150 * MPH, 8 * DEG, -4 * DEG, 1800 * RPM, -10 * DEG])
    high = np.array([190 * MPH, 16 * DEG, 4 * DEG, 3800 * RPM, 10 * DEG])
    return np.asarray(rng.uniform(low, high, (n, 5)))


def best_of(work: Callable[[], object], repeats: int = 5) -> float:
    """Shortest of some runs, s."""
    times = []
    for _ in range(repeats):
        start = time.perf_counter()
        work()
        times.append(time.perf_counter() - start)
    return min(times)


def one_law(where: Conditions) -> engine.World:
    """World of a single draw."""
    return worlds.central(replace(where, law="naruo-2004")).world


def flights_per_second(where: Conditions, n: int) -> float:
    """Flight and run of n drives in one draw."""
    world, rows = one_law(where), launches(n)
    return n / best_of(lambda: engine.fly(rows, world))


def strikes_per_second(n: int) -> float:
    """Strike, flight and run: 30 shots with n / (30 x 8) options in 8 draws."""
    shots, count = 30, 8
    options = max(1, n // (shots * count))
    world = worlds.drawn(Conditions(), count, SEED).world
    rng = np.random.default_rng(SEED)
    base = np.zeros((shots, impact.DELIVERY))
    base[:, 0] = rng.normal(110 * MPH, 1.0, shots)
    base[:, 1:5] = rng.normal([1 * DEG, 0, 0, 14 * DEG], 1.5 * DEG, (shots, 4))
    base[:, 5:] = rng.normal(0.0, 0.008, (shots, 2))
    change = np.zeros((count, options, impact.DELIVERY))
    change[..., 0] = 1.0
    change[..., 4] = np.linspace(-2, 2, options) * DEG
    head = np.broadcast_to(simulate.ordinary_head(), (count, options, impact.HEAD))
    residual = np.broadcast_to([1.0, 0, 0, 1, 0], (count, shots, 5))
    total = shots * count * options
    return total / best_of(lambda: engine.strike_to_rest(base, change, head, residual, world))


def solve_ivp_per_second(where: Conditions, rtol: float, method: str, n: int = 100) -> float:
    """The same flights one by one with SciPy, flight alone."""
    world, rows = one_law(where), launches(n)
    return n / best_of(lambda: [exact.land(r, world.law[0], world.air, rtol, method) for r in rows], 1)


def main(arguments: list[str] | None = None) -> None:
    """Print the table."""
    parser = argparse.ArgumentParser(prog="python -m reference.benchmark", description=__doc__)
    parser.add_argument("--flights", type=int, default=400_000, metavar="N")
    n = parser.parse_args(arguments).flights
    engine.prepare()
    calm, windy = Conditions(), Conditions(wind_mps=6.0, wind_from_deg=40.0)
    cores = os.cpu_count() or 1
    for threads in sorted({1, cores}):
        os.environ["FITTER_THREADS"] = str(threads)
        print(f"{threads} thread(s)")
        print(f"  flight to rest, calm    {flights_per_second(calm, n):12,.0f} /s")
        print(f"  flight to rest, wind    {flights_per_second(windy, n):12,.0f} /s")
        print(f"  strike to rest, calm    {strikes_per_second(n):12,.0f} /s")
    fast = flights_per_second(calm, n)
    for method, rtol in (("RK45", 1e-3), ("RK45", 1e-6), ("DOP853", 1e-10)):
        slow = solve_ivp_per_second(calm, rtol, method)
        print(f"solve_ivp {method} rtol {rtol:g}: {slow:8,.0f} /s, ratio {fast / slow:10,.0f}")


if __name__ == "__main__":
    main()
