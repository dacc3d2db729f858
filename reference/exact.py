"""One flight by an adaptive integrator of high order: what the compiled kernel is measured against.

The right-hand side is written anew in plain Python, with cross products as in a textbook, and takes nothing
from `fitter.physics.flight` but the order of its vectors; C_D and C_L come from `ball.coefficients`.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy.integrate import solve_ivp

from fitter.physics import ball, vectors
from fitter.physics.air import GRAVITY

Floats = NDArray[np.float64]


@dataclass(frozen=True)
class Landing:
    """Where and how a ball lands: m (side right positive), s, m/s, rad/s."""

    carry: float
    side: float
    time: float
    apex: float
    velocity: Floats
    spin: float


def wind_at(z: float, air: Floats) -> Floats:
    """Wind vector at height z, m/s: the reference wind times a polynomial in z/(z + 20 m)."""
    high = max(z, 0.0)
    share = np.polynomial.polynomial.polyval(high / (high + 20.0), air[6:12])
    return np.array([air[2] * share, air[3] * share, 0.0])


def rates(t: float, y: Floats, axis: Floats, law: Floats, air: Floats) -> Floats:
    """Time derivative of (x, y, z, vx, vy, vz, omega)."""
    area = np.pi * ball.RADIUS**2
    through = y[3:6] - wind_at(y[2], air) if air[5] else y[3:6]
    speed = float(np.sqrt(through @ through))
    drag, lift = ball.coefficients(law, y[6] * ball.RADIUS / speed, speed * 2 * ball.RADIUS / air[1] * 1e-5)
    push = 0.5 * air[0] * area / ball.MASS * speed
    force = push * (lift * np.cross(axis, through) - drag * through)
    inertia = ball.INERTIA_FACTOR * ball.MASS * ball.RADIUS**2
    torque = 0.5 * air[0] * area * ball.RADIUS * law[vectors.DECAY] * (y[6] * ball.RADIUS / speed) * speed**2
    return np.array([*y[3:6], force[0], force[1], force[2] - GRAVITY, -torque / inertia])


def land(launch: Floats, law: Floats, air: Floats, rtol: float = 1e-10, method: str = "DOP853") -> Landing:
    """Fly one ball to the height of the landing.

    Parameters
    ----------
    launch : ndarray, shape (5,)
        Speed m/s, elevation rad, azimuth rad (right +), spin rad/s, tilt rad (right +).
    law : ndarray, shape (vectors.LAW,)
    air : ndarray, shape (flight.AIR,)
    rtol : float
        Relative tolerance; the absolute one is the same number.
    method : str
        Name of a SciPy integrator.
    """
    speed, up, right, spin, tilt = launch
    ahead = np.array([np.cos(right), -np.sin(right), 0.0])
    to_left = np.array([np.sin(right), np.cos(right), 0.0])
    velocity = speed * (np.cos(up) * ahead + np.sin(up) * np.array([0.0, 0.0, 1.0]))
    # Backspin turns about the axis to the right; a positive tilt lowers its right end.
    axis = -np.cos(tilt) * to_left - np.sin(tilt) * np.array([0.0, 0.0, 1.0])

    def ground(t: float, y: Floats, *_: Floats) -> float:
        return float(y[2] - air[4]) if y[5] < 0 or t > 0.5 else 1.0

    def top(t: float, y: Floats, *_: Floats) -> float:
        return float(y[5])

    ground.terminal = True  # type: ignore[attr-defined]
    ground.direction = -1  # type: ignore[attr-defined]
    top.direction = -1  # type: ignore[attr-defined]
    start = np.array([0.0, 0.0, 0.0, *velocity, spin])
    run = solve_ivp(
        rates, (0.0, 60.0), start, method, events=(ground, top), args=(axis, law, air), rtol=rtol, atol=rtol
    )
    end = run.y_events[0][0]
    apex = max((float(y[2]) for y in run.y_events[1]), default=0.0)
    return Landing(
        carry=float(end[0]),
        side=float(-end[1]),
        time=float(run.t_events[0][0]),
        apex=apex,
        velocity=end[3:6],
        spin=float(end[6]),
    )


def spin_after(launch: Floats, law: Floats, air: Floats, seconds: float) -> float:
    """Spin (rad/s) of a straight flight after some seconds, rtol 1e-9."""
    speed, up, _, spin, _ = launch
    axis = np.array([0.0, -1.0, 0.0])
    start = np.array([0.0, 0.0, 0.0, speed * np.cos(up), 0.0, speed * np.sin(up), spin])
    run = solve_ivp(rates, (0.0, seconds), start, "DOP853", args=(axis, law, air), rtol=1e-9, atol=1e-9)
    return float(run.y[6, -1])
