"""Ground: symmetry, energy, and what stops a ball."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from fitter import world as worlds
from fitter.base.units import DEG, RPM
from fitter.physics import ball, ground, vectors
from fitter.physics.air import GRAVITY
from fitter.physics.ball import INERTIA_FACTOR, RADIUS

ORDINARY = worlds.turfs("ordinary")[0]
LAW = tuple(ball.vector(ball.LAWS["naruo-2004"], 0.012).tolist())
AIR = 1.2
"""kg/m3"""
SPEED = st.floats(12, 45)
ANGLE = st.floats(5, 65)
SPIN = st.floats(0, 9000)


def rest(
    speed: float, angle: float, spin: float, side: float = 0.0, turf: np.ndarray = ORDINARY
) -> tuple[float, float]:
    """Rest of a ball that lands at an angle, with backspin (rpm) and spin about the vertical."""
    u, w = speed * np.cos(angle * DEG), -speed * np.sin(angle * DEG)
    return ground.run_out(u, 0.0, w, 0.0, -spin * RPM, side * RPM, turf, LAW, AIR)


@given(SPEED, ANGLE, SPIN, st.floats(-1500, 1500))
def test_mirroring_is_exact(speed: float, angle: float, spin: float, side: float) -> None:
    a, b = rest(speed, angle, spin, side), rest(speed, angle, spin, -side)
    assert (a[0], a[1]) == (b[0], -b[1])


@given(SPEED, ANGLE, SPIN)
def test_a_bounce_never_gains_energy(speed: float, angle: float, spin: float) -> None:
    # Restitution below 1, friction against the slip (closed form)
    u, w, b = speed * np.cos(angle * DEG), -speed * np.sin(angle * DEG), -spin * RPM
    tilt = ORDINARY[vectors.TURF_TILT]
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
    turned = ground.run_out(u * c, u * s, w, -b * s, b * c, 0.0, ORDINARY, LAW, AIR)
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
    assert ground.run_out(0.0, 0.0, -20.0, 0.0, 0.0, 0.0, ORDINARY, LAW, AIR) == (0.0, 0.0)
    assert ground.run_out(30.0, 0.0, 1.0, 0.0, 0.0, 0.0, ORDINARY, LAW, AIR) == (0.0, 0.0)


def with_slope(along: float, right: float, name: str = "ordinary") -> np.ndarray:
    return worlds.turfs(name, slope=(along, right))[0]


def test_uphill_runs_shorter_and_downhill_longer() -> None:
    runs = [rest(29, 37, 2300, turf=with_slope(s, 0.0))[0] for s in (-0.10, -0.05, 0.0, 0.05, 0.10)]
    assert np.all(np.diff(runs) < 0)


def test_a_side_slope_turns_the_run_downhill() -> None:
    # Rising to the right sends the ball to the left (y +), and the mirrored slope mirrors it
    left, right = (rest(29, 37, 2300, turf=with_slope(0.0, s)) for s in (0.06, -0.06))
    assert left[1] > 0.1
    assert (left[0], left[1]) == (right[0], -right[1])


def test_steep_and_spinning_shots_stop_or_draw_back() -> None:
    # The tour's wedge lands at 52 deg with about 8500 rpm left: it stops within three yards on any turf of
    # a course (common practice, no source); with more spin it draws back
    for name in ("soft", "ordinary", "firm"):
        assert abs(rest(21, 52, 8000, turf=worlds.turfs(name)[0])[0]) < 3 * 0.9144
        assert rest(21, 55, 11500, turf=worlds.turfs(name)[0])[0] < 0


def test_hop_without_air_is_a_parabola() -> None:
    # Closed form: way 2 w u / g, same speed down as up
    out = ground._hop(8.0, 1.0, 4.0, 0.0, 300.0, 0.0, 0.0, 0.0, -GRAVITY, 0.0, LAW, True)
    assert out == pytest.approx((2 * 4 * 8 / GRAVITY, 2 * 4 * 1 / GRAVITY, 8.0, 1.0, -4.0), rel=1e-12)


@pytest.mark.parametrize(("speed", "angle"), [(10.0, 30.0), (28.0, 25.0)])
def test_hop_in_air_against_an_integrator(speed: float, angle: float) -> None:
    # SciPy DOP853 on the same forces: the midpoint step serves within 5 % of the way
    from scipy.integrate import solve_ivp

    u, w = speed * np.cos(angle * DEG), speed * np.sin(angle * DEG)
    spin, k = speed / RADIUS, 0.5 * AIR * np.pi * RADIUS**2 / ball.MASS

    def rates(t: float, y: np.ndarray) -> list[float]:
        a = ground._pull(y[2], 0.0, y[3], 0.0, spin, 0.0, k, LAW)
        return [y[2], y[3], a[0], a[2] - GRAVITY]

    def lands(t: float, y: np.ndarray) -> float:
        return float(y[1])

    lands.terminal, lands.direction = True, -1  # type: ignore[attr-defined]
    true = solve_ivp(rates, (0, 20), [0, 0, u, w], "DOP853", events=lands, rtol=1e-9).y[:, -1]
    out = ground._hop(u, 0.0, w, 0.0, spin, 0.0, 0.0, 0.0, -GRAVITY, k, LAW, True)
    assert out[0] == pytest.approx(true[0], rel=0.05)
    assert out[2] == pytest.approx(true[2], rel=0.08)


def test_denser_air_shortens_the_run() -> None:
    thin, thick = (
        ground.run_out(27.0, 0.0, -12.0, 0.0, -200.0, 0.0, ORDINARY, LAW, rho) for rho in (0.9, 1.3)
    )
    assert thick[0] < thin[0]


def test_against_penner() -> None:
    # Penner 2002, Can. J. Phys. 80, 931-940 (Q; worked C): 18.6 m/s at 44.4 deg meets a tilt of 15.4 deg at
    # a normal speed of 16.08 m/s, e = 0.1405; from 20 m/s on e = 0.120
    assert 18.6 * np.sin((44.4 + 15.4) * DEG) == pytest.approx(16.08, abs=0.005)
    assert ground.penner_restitution(16.08) == pytest.approx(0.1405, abs=0.5e-4)
    assert ground.penner_restitution(25.0) == 0.120
    u, w, t = 18.6 * np.cos(44.4 * DEG), -18.6 * np.sin(44.4 * DEG), 15.4 * DEG
    green = worlds.turfs("green")[0]
    found = ground._land_on(u, 0.0, w, 0.0, -400.0, 0.0, green[0], green[1], green[2], True)
    wanted = ground._bounce(u, 0.0, w, 0.0, -400.0, 0.0, -np.sin(t), 0.0, np.cos(t), 0.1405, 0.40)
    assert found == pytest.approx(wanted, abs=1e-3)


def test_a_steeper_run_turns_about_a_tour_drives_landing() -> None:
    # run ~ exp(-k (angle - 38 deg)) about the model's own (definition)
    steep = ORDINARY.copy()
    steep[vectors.RUN_STEEP] = 0.03 / DEG
    for angle in (22.0, 38.0, 50.0):
        (x, _), (y, _) = rest(26.0, angle, 2500.0), rest(26.0, angle, 2500.0, turf=steep)
        assert y / x == pytest.approx(np.exp(-0.03 * (angle - 38.0)), rel=1e-9)
