"""How fast: flights a second, strike-to-rest, and the ratio to SciPy on the same flights in the same run.

Run ``python -m reference.benchmark`` on an idle machine; `--flights N` sets the size.
"""

from __future__ import annotations

import argparse
import os
import resource
import time
from collections.abc import Callable
from concurrent.futures import ThreadPoolExecutor
from dataclasses import replace

import numpy as np

from fitter import world as worlds
from fitter.base.conditions import Conditions
from fitter.base.units import DEG, MPH, RPM
from fitter.physics import air, ball, engine, flight, vectors
from fitter.simulate.strike import ordinary_head
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


def flight_alone(where: Conditions, n: int, threads: int) -> float:
    """Flight without the run, into buffers that stay: what the kernel itself can do."""
    world, blocks = one_law(where), max(threads, n // vectors.LANES)
    rows = np.ascontiguousarray(
        launches(blocks * vectors.LANES).reshape(blocks, vectors.LANES, vectors.LAUNCH)
    )

    def part(k: int) -> None:
        scratch, out = flight.scratch(), np.zeros((vectors.LANES, vectors.LANDING))
        for block in rows[k::threads]:
            flight.flight_block(block, world.law[0], world.air, *scratch, out)

    def all_parts() -> None:
        with ThreadPoolExecutor(threads) as pool:
            list(pool.map(part, range(threads)))

    return blocks * vectors.LANES / best_of(all_parts)


def numpy_per_second(n: int = 100_000, step: float = 0.2) -> float:
    """Batched NumPy, Runge-Kutta 4 at a fixed step, the same law in calm air, straight-line landing."""
    world, rows = one_law(Conditions()), launches(n)
    law, rho, nu = world.law[0], world.air[vectors.RHO], world.air[vectors.NU]
    half = 0.5 * rho * np.pi * ball.RADIUS**2 / ball.MASS
    twist = half * law[vectors.DECAY] / ball.INERTIA_FACTOR

    def rates(v: exact.Floats, omega: exact.Floats, axis: exact.Floats) -> tuple[exact.Floats, exact.Floats]:
        speed = np.sqrt((v * v).sum(axis=0))
        drag, lift = ball.coefficients(law, omega * ball.RADIUS / speed, speed * 2 * ball.RADIUS / nu * 1e-5)
        across = np.stack(
            [
                axis[1] * v[2] - axis[2] * v[1],
                axis[2] * v[0] - axis[0] * v[2],
                axis[0] * v[1] - axis[1] * v[0],
            ]
        )
        a = half * speed * (lift * across - drag * v)
        a[2] -= air.GRAVITY
        return a, -twist * omega * speed

    def run() -> exact.Floats:
        level = rows[:, 0] * np.cos(rows[:, 1])
        v = np.stack(
            [level * np.cos(rows[:, 2]), -level * np.sin(rows[:, 2]), rows[:, 0] * np.sin(rows[:, 1])]
        )
        tilt = np.cos(rows[:, 4])
        axis = np.stack([-np.sin(rows[:, 2]) * tilt, -np.cos(rows[:, 2]) * tilt, -np.sin(rows[:, 4])])
        omega, x = rows[:, 3].copy(), np.zeros((3, n))
        while (x[2] >= 0).any():
            a1, o1 = rates(v, omega, axis)
            a2, o2 = rates(v + 0.5 * step * a1, omega + 0.5 * step * o1, axis)
            a3, o3 = rates(v + 0.5 * step * a2, omega + 0.5 * step * o2, axis)
            a4, o4 = rates(v + step * a3, omega + step * o3, axis)
            x = x + step * (v + step / 6 * (a1 + a2 + a3))
            v = v + step / 6 * (a1 + 2 * a2 + 2 * a3 + a4)
            omega = omega + step / 6 * (o1 + 2 * o2 + 2 * o3 + o4)
        return x

    return n / best_of(run, 3)


def heyoka_per_second(tolerance: float, n: int = 2000) -> float | None:
    """Adaptive Taylor series (heyoka), the same flights one by one to the known time; None if not there."""
    try:
        import heyoka as hy
    except ImportError:
        return None
    world, rows = one_law(Conditions()), launches(n)
    law = world.law[0]
    half = 0.5 * world.air[vectors.RHO] * np.pi * ball.RADIUS**2 / ball.MASS
    x, y, z, u, v, w, o = hy.make_vars("x", "y", "z", "u", "v", "w", "o")
    speed = hy.sqrt(u * u + v * v + w * w)
    s = o * ball.RADIUS / speed
    a, b, c = (hy.par[i] for i in range(3))
    drag = law[0] + s * (law[1] + s * (law[2] + s * (law[3] + s * law[4])))
    lift = law[9] + s * (law[10] + s * (law[11] + s * (law[12] + s * law[13])))
    k = half * speed
    system = [
        (x, u),
        (y, v),
        (z, w),
        (u, k * (lift * (b * w - c * v) - drag * u)),
        (v, k * (lift * (c * u - a * w) - drag * v)),
        (w, k * (lift * (a * v - b * u) - drag * w) - air.GRAVITY),
        (o, -half * law[vectors.DECAY] / ball.INERTIA_FACTOR * o * speed),
    ]
    solver = hy.taylor_adaptive(system, [0.0] * 7, tol=tolerance, pars=[0.0] * 3)
    times = engine.fly(rows, world)[0, :, vectors.TIME]

    def run() -> None:
        for row, end in zip(rows, times, strict=True):
            level, tilt = row[0] * np.cos(row[1]), np.cos(row[4])
            solver.time = 0.0
            forward, left = level * np.cos(row[2]), -level * np.sin(row[2])
            solver.state[:] = [0, 0, 0, forward, left, row[0] * np.sin(row[1]), row[3]]
            solver.pars[:] = [-np.sin(row[2]) * tilt, -np.cos(row[2]) * tilt, -np.sin(row[4])]
            solver.propagate_until(end)

    return n / best_of(run, 3)


def strikes_per_second(n: int) -> float:
    """Strike, flight and run: 30 shots with n / (30 x 8) options in 8 draws."""
    shots, count = 30, 8
    options = max(1, n // (shots * count))
    world = worlds.drawn(Conditions(), count, SEED).world
    rng = np.random.default_rng(SEED)
    base = np.zeros((shots, vectors.DELIVERY))
    base[:, 0] = rng.normal(110 * MPH, 1.0, shots)
    base[:, 1:5] = rng.normal([1 * DEG, 0, 0, 14 * DEG], 1.5 * DEG, (shots, 4))
    base[:, 5:] = rng.normal(0.0, 0.008, (shots, 2))
    change = np.zeros((count, options, vectors.DELIVERY))
    change[..., 0] = 1.0
    change[..., 4] = np.linspace(-2, 2, options) * DEG
    head = np.broadcast_to(ordinary_head(), (count, options, vectors.HEAD))
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
    parser.add_argument("--largest", type=int, default=7, metavar="K", help="cost series up to 10^K flights")
    given = parser.parse_args(arguments)
    n, sizes = given.flights, [10**k for k in range(2, given.largest + 1)]
    engine.prepare()
    calm, windy = Conditions(), Conditions(wind_mps=6.0, wind_from_deg=40.0)
    cores = os.cpu_count() or 1
    for threads in sorted({1, cores}):
        os.environ["FITTER_THREADS"] = str(threads)
        print(f"{threads} thread(s)")
        print(f"  flight to rest, calm    {flights_per_second(calm, n):12,.0f} /s")
        print(f"  flight to rest, wind    {flights_per_second(windy, n):12,.0f} /s")
        print(f"  strike to rest, calm    {strikes_per_second(n):12,.0f} /s")
        print(f"  flight alone, calm      {flight_alone(calm, n, threads):12,.0f} /s")
        print(f"  flight alone, wind      {flight_alone(windy, n, threads):12,.0f} /s")
    fast = flight_alone(calm, n, cores)
    batched = numpy_per_second()
    print(f"batched NumPy, step 0.2 s: {batched:8,.0f} /s, ratio {fast / batched:10,.1f}")
    for tolerance in (1e-9, 1e-5):
        taylor = heyoka_per_second(tolerance)
        if taylor is None:
            print("heyoka: not installed (pip install heyoka)")
            break
        print(f"heyoka {tolerance:g}, one core: {taylor:8,.0f} /s, ratio {fast / taylor:10,.1f}")
    for method, rtol in (("RK45", 1e-3), ("RK45", 1e-6), ("DOP853", 1e-10)):
        slow = solve_ivp_per_second(calm, rtol, method)
        print(f"solve_ivp {method} rtol {rtol:g}: {slow:8,.0f} /s, ratio {fast / slow:10,.0f}")
    print("cost by number, flight to rest, calm")
    world = one_law(calm)
    for size in sizes:
        rows = launches(size)
        took = best_of(lambda r=rows: engine.fly(r, world), 5 if size < 10**6 else 1)
        print(f"  {size:>10,} flights {took:9.4f} s  {size / took:12,.0f} /s")
        del rows
    peak = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024**2
    print(f"peak memory of this process {peak:.2f} GB")


if __name__ == "__main__":
    main()
