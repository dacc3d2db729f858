"""Conditions of a place at an altitude, by the standard atmosphere (ISO 2533)."""

from __future__ import annotations

from dataclasses import replace

from fitter.base.conditions import Conditions
from fitter.physics import air


def at_altitude(metres: float, conditions: Conditions | None = None) -> Conditions:
    """Conditions (standard when silent) at the station pressure of an altitude, m."""
    return replace(conditions or Conditions(), pressure_pa=float(air.station_pressure(metres)))


def standard_atmosphere(metres: float) -> Conditions:
    """Conditions of the standard atmosphere at an altitude, m: its pressure, its temperature, dry."""
    return replace(at_altitude(metres), temperature_c=float(air.standard_temperature(metres)), humidity=0.0)
