"""Moist air: density, viscosity, and the pressure of a place.

Sources
-------
Picard, Davis, Glaeser & Fujii 2008, Metrologia 45, 149-155 (CIPM-2007): density of moist air.
Sutherland's law with the constants of the U.S. Standard Atmosphere 1976, eq. 51: viscosity.
ISO 2533:1975, eqs. 12-14: standard atmosphere below 11 km.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike, NDArray

Floats = NDArray[np.float64]

GRAVITY = 9.80665
"""Standard acceleration of free fall, m/s2 (ISO 80000-3)."""
CELSIUS = 273.15
_DRY, _VAPOUR, _GAS = 28.96546e-3, 18.01528e-3, 8.314472
_ISA_T0, _ISA_P0, _ISA_LAPSE, _ISA_R, _EARTH = 288.15, 101325.0, 0.0065, 287.05287, 6356766.0


def density(temperature_c: ArrayLike, pressure_pa: ArrayLike, humidity: ArrayLike) -> Floats:
    """Density of moist air by CIPM-2007 with 400 ppm of carbon dioxide.

    Parameters
    ----------
    temperature_c : array_like
        Air temperature, deg C (15 to 27 in the source; the terms are smooth well beyond).
    pressure_pa : array_like
        Station pressure, Pa.
    humidity : array_like
        Relative humidity, 0 to 1.

    Returns
    -------
    ndarray
        kg/m3, of the broadcast shape.
    """
    t = np.asarray(temperature_c, dtype=np.float64)
    p = np.asarray(pressure_pa, dtype=np.float64)
    kelvin = t + CELSIUS
    saturation = np.exp(1.2378847e-5 * kelvin**2 - 1.9121316e-2 * kelvin + 33.93711047 - 6.3431645e3 / kelvin)
    enhancement = 1.00062 + 3.14e-8 * p + 5.6e-7 * t**2
    xv = np.asarray(humidity, dtype=np.float64) * enhancement * saturation / p
    z = (
        1.0
        - p
        / kelvin
        * (
            1.58123e-6
            - 2.9331e-8 * t
            + 1.1043e-10 * t**2
            + (5.707e-6 - 2.051e-8 * t) * xv
            + (1.9898e-4 - 2.376e-6 * t) * xv**2
        )
        + (p / kelvin) ** 2 * (1.83e-11 - 0.765e-8 * xv**2)
    )
    return np.asarray(p * _DRY / (z * _GAS * kelvin) * (1.0 - xv * (1.0 - _VAPOUR / _DRY)))


def viscosity(temperature_c: ArrayLike) -> Floats:
    """Dynamic viscosity of air by Sutherland's law, Pa s."""
    kelvin = np.asarray(temperature_c, dtype=np.float64) + CELSIUS
    return np.asarray(1.458e-6 * kelvin**1.5 / (kelvin + 110.4))


def pressure_ratio(altitude_m: ArrayLike) -> Floats:
    """Station pressure over sea-level pressure in the standard atmosphere (ISO 2533), below 11 km."""
    h = np.asarray(altitude_m, dtype=np.float64)
    geopotential = _EARTH * h / (_EARTH + h)
    exponent = GRAVITY / (_ISA_LAPSE * _ISA_R)
    return np.asarray((1.0 - _ISA_LAPSE * geopotential / _ISA_T0) ** exponent)


def altitude(pressure_pa: ArrayLike) -> Floats:
    """Altitude at which the standard atmosphere has a pressure, m: the inverse of `station_pressure`."""
    share = np.asarray(pressure_pa, dtype=np.float64) / _ISA_P0
    exponent = GRAVITY / (_ISA_LAPSE * _ISA_R)
    geopotential = _ISA_T0 / _ISA_LAPSE * (1.0 - share ** (1.0 / exponent))
    return np.asarray(_EARTH * geopotential / (_EARTH - geopotential))


def station_pressure(altitude_m: ArrayLike, sea_level_pa: ArrayLike = _ISA_P0) -> Floats:
    """Pressure at a place from the pressure reduced to sea level, Pa.

    Weather services print the sea-level figure; typed as a station pressure at 1500 m it makes the air
    about 20 % too dense.
    """
    return np.asarray(np.asarray(sea_level_pa, dtype=np.float64) * pressure_ratio(altitude_m))


def standard_temperature(altitude_m: ArrayLike) -> Floats:
    """Air temperature of the standard atmosphere (ISO 2533), deg C, below 11 km."""
    h = np.asarray(altitude_m, dtype=np.float64)
    return np.asarray(_ISA_T0 - _ISA_LAPSE * _EARTH * h / (_EARTH + h) - CELSIUS)


PROFILE_SCALE = 20.0
"""Height (m) that scales the wind profile's variable z/(z + 20 m): the best of 5, 10, 20 m for degree 5."""


def wind_profile(exponent: float) -> Floats:
    """Wind over its speed at 10 m, as coefficients of a polynomial in z/(z + 20 m), shape (6,).

    The power law v = v_10 (z/10)^a has no finite slope at the ground, which ruins any integrator, so it is
    moved by one metre, ((z + 1)/11)^a, and that is fitted up to 150 m, exact at 10 m: within 0.003 of v_10
    for a = 1/7 and 0.009 for a = 0.34.
    """
    top, ten = 150.0 / (150.0 + PROFILE_SCALE), 10.0 / (10.0 + PROFILE_SCALE)
    q = 0.5 * top * (1.0 - np.cos(np.pi * (np.arange(400) + 0.5) / 400))
    ratio = ((PROFILE_SCALE * q / (1.0 - q) + 1.0) / 11.0) ** exponent
    # (ratio - 1)/(q - q at 10 m) is smooth; fitting it keeps the value at 10 m at exactly 1.
    basis = np.polynomial.polynomial.polyvander(q, 4) * (q - ten)[:, None]
    inner = np.linalg.lstsq(basis, ratio - 1.0, rcond=None)[0]
    out = np.polynomial.polynomial.polymul(inner, [-ten, 1.0])
    out[0] += 1.0
    return np.asarray(out)
