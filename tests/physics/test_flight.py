"""Flight: closed forms, symmetry, and balls that never rise."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from fitter import world as worlds
from fitter.base.conditions import Conditions
from fitter.base.units import DEG, MPH, RPM
from fitter.physics import engine, vectors
from fitter.physics.air import GRAVITY
from reference.oracles.places import at_altitude
from tests.support import STANDARD

CENTRAL = worlds.central(STANDARD).world
SPEED = st.floats(60, 230)
LAUNCH = st.floats(2, 40)
SPIN = st.floats(300, 9000)
TILT = st.floats(-45, 45)


def row(speed: float, launch: float, spin: float, side: float = 0.0, tilt: float = 0.0) -> np.ndarray:
    return np.array([[speed * MPH, launch * DEG, side * DEG, spin * RPM, tilt * DEG]])


def in_vacuum() -> engine.World:
    law = np.zeros((1, vectors.LAW))
    law[:, [vectors.S_MAX, vectors.RE_MAX]] = 1.0, 3.0
    law[:, vectors.RE_MIN] = 0.5
    return engine.World(law, CENTRAL.model[:1], CENTRAL.turf[:1], engine.air_vector(1.2, 1.8e-5))


@pytest.mark.parametrize(("speed", "launch"), [(60, 2), (100, 10), (150, 45), (40, 80), (20, 5)])
def test_without_forces_it_is_a_parabola(speed: float, launch: float) -> None:
    # Closed form: range v^2 sin 2a / g, apex v^2 sin^2 a / 2g, time 2 v sin a / g; a flight shorter than
    # one step too
    v, a = speed * MPH, launch * DEG
    out = engine.fly(row(speed, launch, 0), in_vacuum())[0, 0]
    assert out[vectors.CARRY] == pytest.approx(v**2 * np.sin(2 * a) / GRAVITY, rel=1e-12)
    assert out[vectors.APEX] == pytest.approx((v * np.sin(a)) ** 2 / (2 * GRAVITY), rel=1e-12)
    assert out[vectors.TIME] == pytest.approx(2 * v * np.sin(a) / GRAVITY, rel=1e-12)
    assert out[vectors.DESCENT] == pytest.approx(a, rel=1e-12)


@given(SPEED, LAUNCH, SPIN, st.floats(-8, 8), TILT, st.floats(0, 15), st.floats(0, 360))
def test_mirroring_is_exact(
    speed: float, launch: float, spin: float, side: float, tilt: float, wind: float, blows: float
) -> None:
    # Symmetry of the equations about the plane of the target line
    where = Conditions(wind_mps=wind, wind_from_deg=blows)
    right = worlds.central(where).world
    air = right.air.copy()
    air[vectors.WIND_Y] *= -1
    left = engine.World(right.law, right.model, right.turf, air)
    a = engine.fly(row(speed, launch, spin, side, tilt), right)
    b = engine.fly(row(speed, launch, spin, -side, -tilt), left)
    odd = [vectors.SIDE, vectors.TOTAL_SIDE, vectors.START_AZIMUTH, vectors.START_TILT]
    b[..., odd] *= -1
    assert np.array_equal(a, b)


@given(SPEED, LAUNCH, SPIN, TILT)
def test_energy_and_spin_never_grow_in_calm_air(
    speed: float, launch: float, spin: float, tilt: float
) -> None:
    # Lift does no work, drag takes energy (closed form)
    start = row(speed, launch, spin, 0, tilt)
    out = engine.fly(start, CENTRAL)
    assert np.all(out[..., vectors.LANDING_SPEED] < start[0, 0])
    assert np.all(out[..., vectors.LANDING_SPIN] < start[0, 3])
    assert np.all(out[..., vectors.APEX] < (start[0, 0] ** 2) / (2 * GRAVITY))


@pytest.mark.parametrize("launch", [0.0, -3.0, -20.0])
def test_a_ball_that_never_rises_carries_nothing(launch: float) -> None:
    out = engine.fly(row(150, launch, 3000), CENTRAL)
    assert np.all(np.isfinite(out))
    for column in (vectors.CARRY, vectors.SIDE, vectors.TOTAL, vectors.APEX, vectors.TIME):
        assert np.all(out[..., column] == 0.0)


def test_more_tilt_curves_more_to_that_side() -> None:
    sides = [engine.fly(row(167, 11, 2700, 0, t), CENTRAL)[:, 0, vectors.SIDE] for t in (-20, -5, 0, 5, 20)]
    assert np.all(np.diff(np.array(sides), axis=0) > 0)
    assert np.allclose(sides[2], 0.0, atol=1e-12)


def test_landing_on_a_plateau_and_in_a_valley() -> None:
    # Ten metres lower lands farther, by about the height over the tangent of the landing angle (closed
    # form)
    level = engine.fly(row(167, 10.9, 2686), CENTRAL)[:, 0]
    air = CENTRAL.air.copy()
    air[vectors.LAND_Z] = -10.0
    lower = engine.fly(row(167, 10.9, 2686), engine.World(CENTRAL.law, CENTRAL.model, CENTRAL.turf, air))[
        :, 0
    ]
    gained = lower[:, vectors.CARRY] - level[:, vectors.CARRY]
    assert np.all(gained < 10 / np.tan(level[:, vectors.DESCENT]))
    assert np.all(gained > 10 / np.tan(lower[:, vectors.DESCENT]))


def test_a_landing_that_is_too_high_is_never_reached() -> None:
    air = CENTRAL.air.copy()
    air[vectors.LAND_Z] = 60.0
    out = engine.fly(row(167, 10.9, 2686), engine.World(CENTRAL.law, CENTRAL.model, CENTRAL.turf, air))
    assert np.all(out[..., vectors.TIME] == 0.0)
    assert np.all(out[..., vectors.TOTAL] == 0.0)
    assert np.all((out[..., vectors.APEX] > 20.0) & (out[..., vectors.APEX] < 60.0))


@given(
    st.floats(20, 230),
    st.floats(-20, 60),
    st.floats(0, 12000),
    st.floats(-45, 45),
    st.floats(-90, 90),
    st.floats(0, 25),
    st.floats(0, 360),
    st.floats(0, 3000),
)
def test_the_whole_input_box_is_finite(
    speed: float,
    launch: float,
    spin: float,
    side: float,
    tilt: float,
    wind: float,
    comes_from: float,
    altitude: float,
) -> None:
    where = at_altitude(altitude, Conditions(wind_mps=wind, wind_from_deg=comes_from))
    out = engine.fly(row(speed, launch, spin, side, tilt), worlds.central(where).world)
    assert np.isfinite(out).all()
    if launch <= 0:
        assert not out[..., [vectors.CARRY, vectors.TIME, vectors.TOTAL]].any()


@given(st.floats(150, 190), st.floats(9, 15), st.floats(2000, 3500), st.floats(2, 8))
def test_a_head_wind_shortens_and_thin_air_lengthens_a_drive(
    speed: float, launch: float, spin: float, wind: float
) -> None:
    # Inside this box alone: outside physics allows the opposite (too much or too little lift).
    start = row(speed, launch, spin)
    calm = engine.fly(start, CENTRAL)[:, 0, vectors.CARRY]
    head = engine.fly(start, worlds.central(Conditions(wind_mps=wind)).world)[:, 0, vectors.CARRY]
    thin = engine.fly(start, worlds.central(at_altitude(1000.0)).world)[:, 0, vectors.CARRY]
    assert (head < calm).all()
    assert (thin > calm).all()
