"""Air against CIPM-2007 and the standard atmosphere."""

import numpy as np
import pytest

from fitter.physics import air

CIPM_RELATIVE = 1e-4
ISO_RELATIVE = 1e-4


@pytest.mark.parametrize(
    ("celsius", "pascal", "humidity", "expected"),
    [
        (20, 101325, 0.0, 1.20456),
        (20, 101325, 0.5, 1.19931),
        (20, 101325, 1.0, 1.19409),
        (15, 101325, 0.0, 1.22552),
        (0, 101325, 0.0, 1.29305),
        (30, 101325, 0.8, 1.15001),
        (20, 83400, 0.3, 0.98825),
    ],
)
def test_against_cipm_2007(celsius: float, pascal: float, humidity: float, expected: float) -> None:
    # Picard, Davis, Glaeser & Fujii 2008, Metrologia 45, 149-155 (form R; values computed from it, C; two
    # general libraries of gas properties agree to 0.06 %)
    assert float(air.density(celsius, pascal, humidity)) == pytest.approx(expected, rel=CIPM_RELATIVE)


def test_against_standard_atmosphere() -> None:
    # ISO 2533:1975 (densities by an independent package for the standard atmosphere, C)
    height = np.array([0.0, 500, 1000, 1500, 2000])
    expected = np.array([1.22500, 1.16727, 1.11166, 1.05810, 1.00655])
    # ISO 2533 defines dry air with R = 287.05287 J/(kg K): the ideal-gas law, without CIPM's Z.
    kelvin = air.standard_temperature(height) + air.CELSIUS
    assert np.allclose(air.station_pressure(height) / (287.05287 * kelvin), expected, rtol=1e-5)
    # CIPM-2007 in the same state (dry) differs by compressibility and composition alone.
    moist = air.density(air.standard_temperature(height), air.station_pressure(height), 0.0)
    assert np.allclose(moist, expected, rtol=5e-4)


def test_sea_level_pressure_typed_as_station_pressure() -> None:
    # Closed form: 1013.25 hPa typed at 1500 m makes the air 1/0.8345 = 1.198 times too dense (ISO 2533)
    assert 1 / float(air.pressure_ratio(1500.0)) == pytest.approx(1.198, abs=0.001)


def test_against_sutherland() -> None:
    # U.S. Standard Atmosphere 1976, table at sea level: 1.7894e-5 Pa s at 288.15 K (eq. 51 evaluated, C)
    assert float(air.viscosity(15.0)) == pytest.approx(1.7894e-5, rel=1e-4)
