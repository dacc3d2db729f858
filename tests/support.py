"""Short cuts that several tests share; numbers in, numbers out."""

import sys
from collections.abc import Callable

import numpy as np

from fitter import world as worlds
from fitter.base.conditions import Conditions
from fitter.base.units import DEG, MPH, RPM, YARD
from fitter.physics import ball, engine, vectors
from fitter.simulate.flight import fly, spin_ratio

STANDARD = Conditions()
"""25 C, 1013.25 hPa, 50 %: the tour averages are quoted at about 25 C at sea level."""


def measured_head() -> np.ndarray:
    """Danaei, McNally, Henrikson & McPhee 2020, Proceedings 49(1):47, Table 1 (R); side not clear: 0."""
    head = np.zeros(vectors.HEAD)
    head[:4] = 0.204, 0.0423, 0.0029, 0.0
    head[4:10] = np.array([2843, 5679, 4085, -733, 530.2, 0.5]) * 1e-7
    head[10:12] = 1 / 0.305
    return head


def plain_head(depth: float = 0.0423, inertia: float = 5679e-7, mass: float = 0.2) -> np.ndarray:
    """Flat face, diagonal tensor, mass centre level with the strike: what closed forms assume."""
    head = np.zeros(vectors.HEAD)
    head[:2] = mass, depth
    head[4:7] = inertia
    return head


def plain_model(restitution: float = 0.83, tangential: float = 0.0, friction: float = 10.0) -> np.ndarray:
    """Constant restitution, no repair of the spin."""
    model = np.zeros(vectors.MODEL)
    model[vectors.COR], model[vectors.ET] = restitution, tangential
    model[vectors.ET_OVER], model[vectors.FRICTION] = 1.0, friction
    return model


def delivery(
    speed_mph: float,
    attack: float,
    loft: float,
    path: float = 0,
    face: float = 0,
    toe: float = 0,
    high: float = 0,
) -> np.ndarray:
    """Delivery at the face centre from mph, deg and mm."""
    angles = np.array([attack, path, face, loft]) * DEG
    return np.array([speed_mph * MPH, *angles, toe * 1e-3, high * 1e-3])


def start(deed: np.ndarray, head: np.ndarray, model: np.ndarray) -> np.ndarray:
    """Ball speed in mph, launch, direction in deg, spin in rpm, tilt in deg."""
    return engine.strikes(deed, head, model) / np.array([MPH, DEG, DEG, RPM, DEG])


def blend(launch: np.ndarray, where: Conditions = STANDARD) -> np.ndarray:
    """Blend of the modern laws for launches (n, 5): result rows (n, 16)."""
    drawn = worlds.central(where)
    each = engine.fly(launch, drawn.world)
    weights = [worlds.law_weights(drawn.names, s) for s in spin_ratio(launch[:, 0], launch[:, 3])]
    return np.einsum("nl,lnk->nk", np.array(weights), each)


def carries(speed_mph: float, launch: float, spin: float) -> dict[str, float]:
    """Carry in yards by the blend and by each modern law, in standard air without wind."""
    flight = fly(speed_mph * MPH, launch, spin)
    return {"blend": flight.carry_m / YARD} | {n: f.carry_m / YARD for n, f in flight.laws.items()}


MODERN = ball.MODERN


GUARD_S = 3600.0
"""End of a wait for another process that hangs, s; no machine is so slow that it needs as long."""


def counted_calls(work: Callable[[], bool]) -> int:
    """Calls of functions, Python's and C's, that some work takes; it has to come out true.

    A count is the same on any machine, however slow and busy it is.
    """
    calls = 0

    def note(frame: object, event: str, argument: object) -> None:
        nonlocal calls
        calls += event in ("call", "c_call")

    before = sys.getprofile()
    sys.setprofile(note)
    try:
        done = work()
    finally:
        sys.setprofile(before)
    assert done
    return calls
