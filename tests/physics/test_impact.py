"""Strike: balances, symmetry, friction, agreement at the contact, over drawn heads and deliveries."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from fitter.base.units import DEG, MPH
from fitter.physics import ball, engine, vectors
from tests.support import delivery, measured_head, plain_head, plain_model, start

BALANCE = 1e-12
IB = ball.INERTIA_FACTOR * ball.MASS * ball.RADIUS**2


@st.composite
def strikes(draw: st.DrawFn) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
    """A delivery, a head with any tensor that a head can have, and a strike model of either hypothesis."""
    f = lambda low, high: draw(st.floats(low, high))  # noqa: E731
    deed = delivery(f(50, 160), f(-8, 10), f(3, 30), f(-12, 12), f(-12, 12), f(-30, 30), f(-18, 18))
    head = measured_head()
    head[vectors.HEAD_MASS] = f(0.17, 0.22)
    head[vectors.DEPTH], head[vectors.CG_UP], head[vectors.CG_TOE] = (
        f(0.02, 0.05),
        f(-0.006, 0.006),
        f(-0.006, 0.006),
    )
    head[4:7] = np.array([f(2300, 3500), f(4300, 5900), f(3300, 4500)]) * 1e-7
    head[7:10] = np.array([f(-900, 900), f(-700, 700), f(-300, 300)]) * 1e-7
    head[vectors.BULGE], head[vectors.ROLL] = f(0, 5), f(0, 5)
    model = plain_model(f(0.7, 0.85), 0.0, f(0.1, 0.6))
    model[vectors.FALL_TOE], model[vectors.FALL_HIGH] = f(0, 150), f(0, 250)
    model[vectors.ET_RISE], model[vectors.ET_FROM], model[vectors.ET_OVER] = f(0, 0.4), 11 * DEG, 14 * DEG
    model[vectors.SHIFT_CAP] = 0.35
    if draw(st.booleans()):
        model[vectors.SHIFT_DOWN], model[vectors.SHIFT_HEEL] = f(0.3e-3, 0.7e-3), f(-2e-4, 2e-4)
        model[vectors.ADDED_MASS] = f(0, 3e-3)
    else:
        model[vectors.ET] = f(-0.3, 0.0)
    return deed, head, model


def tensor(head: np.ndarray) -> np.ndarray:
    a, b, c, d, e, f = head[4:10]
    return np.array([[a, d, e], [d, b, f], [e, f, c]])


def spin_of_head(out: np.ndarray, head: np.ndarray) -> np.ndarray:
    return np.linalg.solve(tensor(head), np.cross(out[6:9], -out[:3]))


@given(strikes())
def test_momentum_is_conserved(case: tuple[np.ndarray, np.ndarray, np.ndarray]) -> None:
    # Linear and angular momentum about the contact, two free bodies (closed form)
    _, head, model = case
    out = engine.bodies(*case)
    mass = head[vectors.HEAD_MASS] + model[vectors.ADDED_MASS]
    before, ball_after, head_after = out[9:12], out[12:15], out[18:21]
    size = mass * np.linalg.norm(before)
    assert np.allclose(ball.MASS * ball_after + mass * head_after, mass * before, atol=BALANCE * size)
    # About the contact: each mass centre stands at minus its arm.
    of_ball = np.cross(-out[3:6], ball.MASS * ball_after) + IB * out[15:18]
    assert np.allclose(of_ball, 0.0, atol=BALANCE * size)
    of_head = np.cross(-out[6:9], mass * head_after) + tensor(head) @ spin_of_head(out, head)
    assert np.allclose(of_head, np.cross(-out[6:9], mass * before), atol=BALANCE * size)


@given(strikes())
def test_energy_never_grows(case: tuple[np.ndarray, np.ndarray, np.ndarray]) -> None:
    # Restitution at most 1 (closed form)
    _, head, model = case
    out = engine.bodies(*case)
    mass = head[vectors.HEAD_MASS] + model[vectors.ADDED_MASS]
    turning = spin_of_head(out, head)
    before = mass * out[9:12] @ out[9:12]
    after = ball.MASS * out[12:15] @ out[12:15] + IB * out[15:18] @ out[15:18]
    after += mass * out[18:21] @ out[18:21] + turning @ tensor(head) @ turning
    assert after <= before * (1 + BALANCE)


@given(strikes())
def test_speeds_at_the_contact_obey_restitution(case: tuple[np.ndarray, np.ndarray, np.ndarray]) -> None:
    # Newton's hypothesis at the contact, normal and, where the ball grips, tangential: after = -e x before
    deed, head, model = case
    out = engine.bodies(*case)
    n = np.array([1.0, deed[vectors.HIGH] * head[vectors.ROLL], deed[vectors.TOE] * head[vectors.BULGE]])
    n /= np.linalg.norm(n)
    before = out[9:12]
    of_ball = out[12:15] + np.cross(out[15:18], out[3:6])
    of_head = out[18:21] + np.cross(spin_of_head(out, head), out[6:9])
    parting = of_ball - of_head
    un, e = before @ n, 0.0
    e = model[vectors.COR] - model[vectors.FALL_TOE] * deed[vectors.TOE] ** 2
    e = min(max(e - model[vectors.FALL_HIGH] * deed[vectors.HIGH] ** 2, 0.0), 1.0)
    assert parting @ n == pytest.approx(e * un, rel=1e-9)
    push = out[:3] - (out[:3] @ n) * n
    if out[21]:
        assert np.linalg.norm(push) == pytest.approx(model[vectors.FRICTION] * (out[:3] @ n), rel=1e-9)
    else:
        along = before - un * n
        loft = np.arctan2(np.linalg.norm(along), un)
        rise = np.clip((loft - model[vectors.ET_FROM]) / model[vectors.ET_OVER], 0, 1)
        et = model[vectors.ET] + model[vectors.ET_RISE] * rise
        assert np.allclose(parting - (parting @ n) * n, et * along, atol=1e-9 * un)
        assert np.linalg.norm(push) <= model[vectors.FRICTION] * (out[:3] @ n) * (1 + 1e-9)


@given(strikes())
def test_mirroring_is_exact(case: tuple[np.ndarray, np.ndarray, np.ndarray]) -> None:
    # Symmetry: a left-handed strike is the mirror of a right-handed one
    deed, head, model = (a.copy() for a in case)
    plain = engine.strikes(deed, head, model)
    deed[[vectors.PATH, vectors.FACE, vectors.TOE]] *= -1
    head[[vectors.CG_TOE, vectors.I_NORMAL_TOE, vectors.I_UP_TOE]] *= -1
    model[vectors.SHIFT_HEEL] *= -1
    mirrored = engine.strikes(deed, head, model)
    assert np.array_equal(plain[[0, 1, 3]], mirrored[[0, 1, 3]])
    assert np.array_equal(plain[[2, 4]], -mirrored[[2, 4]])


def test_spin_is_about_the_axis_that_flight_reads() -> None:
    # The tilt that strike reports rebuilds the spin vector that the impulse gave (closed form)
    deed, head, model = delivery(105, 2, 14, 3, -2, 8, 4), measured_head(), plain_model(0.82)
    out = engine.bodies(deed, head, model)
    ball_start = engine.strikes(deed, head, model)
    assert np.linalg.norm(out[15:18]) == pytest.approx(ball_start[3], rel=1e-12)
    assert np.linalg.norm(out[12:15]) == pytest.approx(ball_start[0], rel=1e-12)


@pytest.mark.parametrize(
    ("toe", "high", "tilts", "spins"), [(15, 0, -1, 0), (-15, 0, 1, 0), (0, 10, 0, -1), (0, -10, 0, 1)]
)
def test_gear_effect_has_the_right_sign(toe: float, high: float, tilts: int, spins: int) -> None:
    # Toe strikes add hook spin, heel strikes slice, high strikes cut backspin (R, Iwatsubo et al. 2000 and
    # others); flat face, so that bulge and roll do not hide it
    centre = start(delivery(100, 0, 13), plain_head(), plain_model())
    missed = start(delivery(100, 0, 13, toe=toe, high=high), plain_head(), plain_model())
    if tilts:
        assert np.sign(missed[4] - centre[4]) == tilts
    if spins:
        assert np.sign(missed[3] - centre[3]) == spins


def test_more_inertia_less_side_spin_and_a_shallow_mass_centre_less_too() -> None:
    # Larger inertia or a shallower mass centre means less side spin; shallower also more backspin (R,
    # Iwatsubo et al. 2000)
    off = delivery(100, 0, 13, toe=15)
    usual = start(off, plain_head(0.04, 4500e-7), plain_model())
    assert abs(start(off, plain_head(0.04, 5900e-7), plain_model())[4]) < abs(usual[4])
    assert abs(start(off, plain_head(0.03, 4500e-7), plain_model())[4]) < abs(usual[4])
    high = delivery(100, 0, 13, high=10)
    assert start(high, plain_head(0.03), plain_model())[3] > start(high, plain_head(0.04), plain_model())[3]


def test_little_friction_slides_and_spins_less() -> None:
    deed = delivery(90, -4, 30)
    grips, slips = (engine.bodies(deed, plain_head(), plain_model(friction=m)) for m in (2.0, 0.1))
    assert (grips[21], slips[21]) == (0.0, 1.0)
    assert np.linalg.norm(slips[15:18]) < np.linalg.norm(grips[15:18])


def test_heavier_head_and_faster_club_give_faster_balls() -> None:
    speeds = [
        start(delivery(v, 0, 12), plain_head(mass=m), plain_model())[0]
        for v, m in ((100, 0.19), (100, 0.21), (105, 0.21))
    ]
    assert speeds[0] < speeds[1] < speeds[2]
    # Speeds scale: the model without a slope of restitution is linear in club speed.
    assert speeds[2] / speeds[1] == pytest.approx(1.05, rel=1e-12)
    assert MPH > 0


def test_a_gear_effect_beyond_the_rigid_bodies() -> None:
    # An impulse up the face takes off spin r dP / I and lifts the start by dP / m (closed form); along the
    # normal, and at the centre, nothing changes, and momentum is kept
    head, plain = plain_head(inertia=1e6), plain_model()
    geared = plain.copy()
    geared[vectors.GEAR] = 0.4
    for high in (-8.0, 0.0, 8.0):
        deed = delivery(100, 0, 0, high=high)
        a, b = engine.bodies(deed, head, plain), engine.bodies(deed, head, geared)
        push = 0.4 * high * 1e-3 * a[0]
        assert b[0] == pytest.approx(a[0], rel=1e-12)
        assert b[1] - a[1] == pytest.approx(push, abs=1e-12)
        # Backspin turns about the toe axis: up the face at the front of the ball takes it off.
        assert abs(b[17] - a[17]) == pytest.approx(abs(ball.RADIUS * push / IB), rel=1e-9, abs=1e-9)
    low, high = (start(delivery(100, 0, 13, high=h), head, geared)[3] for h in (-8.0, 8.0))
    bare = [start(delivery(100, 0, 13, high=h), head, plain)[3] for h in (-8.0, 8.0)]
    assert high - bare[1] < 0.0 < low - bare[0]
