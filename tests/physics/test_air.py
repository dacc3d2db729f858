"""Shapes and monotony of the air; the figures stand in tests/against."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from fitter.physics import air

CELSIUS = st.floats(-10, 45)
PASCAL = st.floats(60000, 108000)
SHARE = st.floats(0, 1)


@given(CELSIUS, PASCAL, SHARE)
def test_warmer_thinner_moister_is_lighter(t: float, p: float, h: float) -> None:
    # Ideal gas; water is lighter than air (closed form)
    here = air.density(t, p, h)
    assert air.density(t + 1, p, h) < here < air.density(t, p + 100, h)
    assert air.density(t, p, min(1.0, h + 0.1)) <= here


@given(CELSIUS, PASCAL)
def test_dry_air_is_nearly_an_ideal_gas(t: float, p: float) -> None:
    # Closed form: p M/(R T); the compressibility of CIPM-2007 departs by less than 0.15 %
    ideal = p * 28.96546e-3 / (8.314472 * (t + 273.15))
    assert abs(float(air.density(t, p, 0.0)) / ideal - 1) < 1.5e-3


def test_shapes_broadcast() -> None:
    assert air.density(np.zeros((3, 1)), np.full(4, 1e5), 0.5).shape == (3, 4)
    assert air.station_pressure([0.0, 1500.0]).shape == (2,)


def test_a_place_at_sea_level_keeps_its_pressure() -> None:
    assert float(air.station_pressure(0.0, 99000.0)) == 99000.0
    assert float(air.standard_temperature(0.0)) == 15.0


def test_wind_profile_fits_its_power_law() -> None:
    # The law that it stands for, ((z + 1)/11)^a (closed form): 0.003 of v_10 for a = 1/7, 0.01 for 0.34, to
    # 150 m
    z = np.linspace(0, 150, 600)
    for exponent, room in ((1 / 7, 0.003), (0.16, 0.0035), (0.34, 0.010)):
        share = np.polynomial.polynomial.polyval(z / (z + air.PROFILE_SCALE), air.wind_profile(exponent))
        assert np.max(np.abs(share - ((z + 1) / 11) ** exponent)) < room
        assert np.polynomial.polynomial.polyval(10 / 30, air.wind_profile(exponent)) == pytest.approx(
            1.0, abs=1e-12
        )


def test_altitude_is_the_inverse_of_the_pressure() -> None:
    heights = np.array([-400.0, 0.0, 1500.0, 5000.0])
    assert air.altitude(air.station_pressure(heights)) == pytest.approx(heights, abs=1e-6)
