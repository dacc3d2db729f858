"""Flights against radar averages of tour players (widely reprinted, Q), about 25 C at sea level, no wind."""

import pytest

from fitter.base.units import MPH, YARD
from fitter.simulate.flight import fly
from tests.support import carries

CARRY_BLEND, CARRY_LAW = 0.03, 0.05
APEX_YD, LANDING_DEG = 3.0, 4.0
IRON_CARRY, WEDGE_CARRY, WEDGE_LAW = 0.05, 0.05, 0.09


@pytest.mark.parametrize(
    ("speed", "launch", "spin", "carry"), [(167, 10.9, 2686, 275), (171, 10.4, 2545, 282)]
)
def test_driver_carry(speed: float, launch: float, spin: float, carry: float) -> None:
    by = carries(speed, launch, spin)
    assert by.pop("blend") == pytest.approx(carry, rel=CARRY_BLEND)
    assert len(by) == 3
    for law, value in by.items():
        assert value == pytest.approx(carry, rel=CARRY_LAW), law


def test_driver_apex_and_landing() -> None:
    flight = fly(167 * MPH, 10.9, 2686)
    assert flight.apex_m / YARD == pytest.approx(32, abs=APEX_YD)
    assert flight.descent_deg == pytest.approx(38, abs=LANDING_DEG)


def test_seven_iron_by_each_law() -> None:
    by = carries(120, 16.3, 7097)
    for law, value in by.items():
        assert value == pytest.approx(172, rel=IRON_CARRY), law


def test_wedge() -> None:
    by = carries(102, 24.2, 9304)
    assert by.pop("blend") == pytest.approx(136, rel=WEDGE_CARRY)
    for law, value in by.items():
        assert value == pytest.approx(136, rel=WEDGE_LAW), law
