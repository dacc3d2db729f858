"""Ground: symmetry, energy, and what stops a ball."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from fitter import world as worlds
from fitter.physics import ground
from fitter.physics.ball import INERTIA_FACTOR, RADIUS
from fitter.units import DEG, RPM

ORDINARY = worlds.turfs("ordinary")[0]
SPEED = st.floats(12, 45)
ANGLE = st.floats(5, 65)
SPIN = st.floats(0, 9000)


def rest(
    speed: float, angle: float, spin: float, side: float = 0.0, turf: np.ndarray = ORDINARY
) -> tuple[float, float]:
    """Rest of a ball that lands at an angle, with backspin (rpm) and spin about the vertical."""
    u, w = speed * np.cos(angle * DEG), -speed * np.sin(angle * DEG)
    return ground.run_out(u, 0.0, w, 0.0, -spin * RPM, side * RPM, turf)


@given(SPEED, ANGLE, SPIN, st.floats(-1500, 1500))
def test_mirroring_is_exact(speed: float, angle: float, spin: float, side: float) -> None:
    a, b = rest(speed, angle, spin, side), rest(speed, angle, spin, -side)
    assert (a[0], a[1]) == (b[0], -b[1])


@given(SPEED, ANGLE, SPIN)
def test_a_bounce_never_gains_energy(speed: float, angle: float, spin: float) -> None:
    # Restitution below 1, friction against the slip (closed form)
    u, w, b = speed * np.cos(angle * DEG), -speed * np.sin(angle * DEG), -spin * RPM
    tilt = ORDINARY[ground.TILT]
    out = ground._bounce(u, 0.0, w, 0.0, b, 0.0, -np.sin(tilt), 0.0, np.cos(tilt), ORDINARY[1], ORDINARY[2])
    k = INERTIA_FACTOR * RADIUS**2
    after = out[0] ** 2 + out[2] ** 2 + k * out[4] ** 2
    assert after <= (u * u + w * w + k * b * b) * (1 + 1e-12)


@given(SPEED, ANGLE, SPIN)
def test_direction_of_the_run_follows_the_direction_of_flight(
    speed: float, angle: float, spin: float
) -> None:
    # Isotropy: turn everything by 30 deg about the vertical
    x, y = rest(speed, angle, spin)
    u, w = speed * np.cos(angle * DEG), -speed * np.sin(angle * DEG)
    c, s, b = np.cos(0.5), np.sin(0.5), -spin * RPM
    turned = ground.run_out(u * c, u * s, w, -b * s, b * c, 0.0, ORDINARY)
    assert turned == pytest.approx((x * c - y * s, x * s + y * c), abs=1e-9)


def test_steeper_and_more_spin_run_less() -> None:
    by_angle = [rest(28, a, 2500)[0] for a in (25, 35, 45, 55)]
    by_spin = [rest(28, 40, s)[0] for s in (1000, 2500, 4000, 7000)]
    assert np.all(np.diff(by_angle) < 0)
    assert np.all(np.diff(by_spin) < 0)


def test_soft_ordinary_firm_stand_in_order() -> None:
    runs = [rest(29, 37, 2300, turf=worlds.turfs(name)[0])[0] for name in ("soft", "ordinary", "firm")]
    assert runs[0] < runs[1] < runs[2]


def test_no_landing_no_run() -> None:
    assert ground.run_out(0.0, 0.0, -20.0, 0.0, 0.0, 0.0, ORDINARY) == (0.0, 0.0)
    assert ground.run_out(30.0, 0.0, 1.0, 0.0, 0.0, 0.0, ORDINARY) == (0.0, 0.0)
