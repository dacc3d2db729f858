"""Conversions: exact definitions, spellings, and messages."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from fitter.base import units
from fitter.base.errors import InputError


@pytest.mark.parametrize(
    ("text", "kind", "expected"),
    [
        # International yard and pound agreement of 1959: exact
        ("1mph", "speed", 0.44704),
        ("1 yd", "length", 0.9144),
        ("1in", "club length", 0.0254),
        ("1ft", "altitude", 0.3048),
        ("1 oz", "mass", 0.028349523125),
        ("36 km/h", "speed", 10.0),
        ("212F", "temperature", 100.0),
        ("-40 F", "temperature", -40.0),
        ("1013.25hPa", "pressure", 101325.0),
        ("29.92inHg", "pressure", 29.92 * 3386.389),
        ("50%", "share", 0.5),
        ("-5mm", "strike", -0.005),
        ("60g", "mass", 0.060),
        ("240cpm", "frequency", 240.0),
        ("4 Hz", "frequency", 240.0),
        ("3.14159265358979rad", "angle", 180.0),
        ("1e3rpm", "spin", 1000.0),
        (".5 m", "length", 0.5),
    ],
)
def test_quantities(text: str, kind: str, expected: float) -> None:
    assert units.parse_quantity(text, kind) == pytest.approx(expected, rel=1e-12)


@pytest.mark.parametrize(("system", "expected"), [("us", 100 * 0.44704), ("metric", 100.0)])
def test_a_bare_number_is_in_the_units_in_force(system: str, expected: float) -> None:
    assert units.parse_quantity("100", "speed", system) == pytest.approx(expected)
    assert units.parse_quantity("12", "strike", system) == pytest.approx(0.012)
    assert units.parse_quantity("1000", "altitude", system) == pytest.approx(
        304.8 if system == "us" else 1000.0
    )


@pytest.mark.parametrize(
    ("text", "kind"),
    [
        ("fast", "speed"),
        ("10 parsec", "length"),
        ("10 yd", "speed"),
        ("", "mass"),
        ("1,5m", "length"),
        ("1e999", "speed"),
        ("1e308 km", "length"),
    ],
)
def test_what_is_refused_says_what_is_allowed(text: str, kind: str) -> None:
    with pytest.raises(InputError) as caught:
        units.parse_quantity(text, kind, where="--thing")
    message = str(caught.value)
    assert "--thing" in message
    assert "allowed" in message
    assert any(name in message for name in units.spellings(units._DIMENSION.get(kind, kind)))


@given(st.floats(-1e5, 1e5), st.sampled_from(sorted(units.UNITS)))
def test_there_and_back(value: float, name: str) -> None:
    unit = units.UNITS[name]
    assert units.from_si(units.to_si(value, unit), name) == pytest.approx(value, rel=1e-12, abs=1e-9)


def test_case_matters_only_where_it_must() -> None:
    assert units.find_unit("MPH") is units.UNITS["mph"]
    assert units.find_unit("hpa") is units.UNITS["hPa"]
    assert units.find_unit("C") is not units.find_unit("cm")
    assert units.find_unit("league") is None


@pytest.mark.parametrize("text", ["8,4", "2,750", "2, 750"])
def test_a_comma_in_a_number_is_asked_about(text: str) -> None:
    with pytest.raises(InputError) as caught:
        units.parse_quantity(text, "spin", where="spin")
    assert "a comma" in caught.value.problems[0].found
    assert "point before decimals" in caught.value.problems[0].allowed
