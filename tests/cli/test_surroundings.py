"""Conditions on the command line: one entry a field, limits, names, pressures, and the session's own air."""

from __future__ import annotations

import argparse
from dataclasses import fields

import pytest

from fitter.base.conditions import Conditions
from fitter.base.errors import InputError
from fitter.base.units import FOOT, MPH
from fitter.cli import arguments
from fitter.cli.arguments import join_negatives
from fitter.cli.main import main

FLY = ("fly", "--ball-speed", "167mph", "--launch", "10.9", "--spin", "2686")


def parsed(*words: str, units: str = "us") -> argparse.Namespace:
    parser = argparse.ArgumentParser()
    arguments.add_conditions(parser)
    return argparse.Namespace(units=units, **vars(parser.parse_args(join_negatives(words))))


def test_every_field_of_the_conditions_can_be_said() -> None:
    said = {n.field for n in arguments.NUMBERS.values()} | {n.field for n in arguments.NAMES.values()}
    assert said - {""} == {f.name for f in fields(Conditions)}


def test_silence_is_the_standard() -> None:
    assert arguments.conditions(parsed()) == Conditions()
    assert arguments.measured_in(parsed()) is None


def test_quantities_reach_their_fields() -> None:
    found = arguments.conditions(
        parsed("--temperature", "-4C", "--humidity", "30%", "--wind", "10", "--wind-from", "-90",
               "--wind-height", "2m", "--landing-height", "-30", "--slope-along", "-3%", "--turf", "firm",
               "--terrain", "coast")
    )  # fmt: skip
    assert found == Conditions(
        temperature_c=-4.0, humidity=0.3, wind_mps=10 * MPH, wind_from_deg=-90.0, wind_height_m=2.0,
        landing_height_m=-30 * FOOT, slope_along=-0.03, turf="firm", terrain="coast",
    )  # fmt: skip


def test_bare_numbers_are_in_the_units_in_force() -> None:
    us = arguments.conditions(parsed("--temperature", "77", "--wind", "10", "--altitude", "1000"))
    metric = arguments.conditions(
        parsed("--temperature", "25", "--wind", "4.4704", "--altitude", "304.8", units="metric")
    )
    assert us.temperature_c == pytest.approx(metric.temperature_c)
    assert us.wind_mps == pytest.approx(metric.wind_mps)
    assert us.pressure_pa == pytest.approx(metric.pressure_pa)


def test_altitude_sets_the_pressure_of_the_standard_atmosphere() -> None:
    # ISO 2533: 1500 m of geopotential height, 84 556 Pa; geometric height differs by 0.4 m (0.005 %)
    assert arguments.conditions(parsed("--altitude", "1500m")).pressure_pa == pytest.approx(84556, rel=2e-4)
    weather = arguments.conditions(parsed("--altitude", "1500m", "--pressure-at-sea-level", "1030hPa"))
    assert weather.pressure_pa == pytest.approx(84556 * 1030 / 1013.25, rel=2e-4)


def test_a_sea_level_pressure_typed_at_altitude_is_doubted(capsys: pytest.CaptureFixture[str]) -> None:
    assert (
        arguments.conditions(parsed("--altitude", "1500m", "--pressure", "1013hPa")).pressure_pa == 101300.0
    )
    assert "pressure-at-sea-level" in capsys.readouterr().err
    arguments.conditions(parsed("--altitude", "1500m", "--pressure", "850hPa"))
    assert capsys.readouterr().err == ""


def test_every_problem_is_told_at_once() -> None:
    words = ("--temperature", "99C", "--humidity", "much", "--wind", "5parsec", "--turf", "lava", "--terrain",
             "moon", "--law", "nobody", "--pressure", "1013hPa",
             "--pressure-at-sea-level", "1013hPa")  # fmt: skip
    with pytest.raises(InputError) as caught:
        arguments.conditions(parsed(*words))
    said = str(caught.value)
    for word in (
        "99C",
        "'much'",
        "parsec",
        "lava",
        "moon",
        "nobody",
        "two pressures",
        "no altitude",
    ):
        assert word in said
    for problem in caught.value.problems:
        assert problem.where.startswith("--")
        assert problem.allowed
        assert problem.do


def test_the_session_has_its_own_air() -> None:
    found = arguments.measured_in(parsed("--measured-in", "temperature=-4C altitude=900ft wind-from=-90"))
    assert found is not None
    assert found.temperature_c == -4.0
    assert found.wind_from_deg == -90.0
    assert found.pressure_pa < 101325.0


@pytest.mark.parametrize(
    ("text", "says"),
    [
        ("turf='firm", "quotation mark"),
        ("heat=3", "'heat=3'"),
        ("temperature", "'temperature'"),
        ("turf=firm turf=soft", "turf twice"),
        ("temperature=99C", "--measured-in temperature"),
    ],
)
def test_what_the_session_cannot_have_been_measured_in(text: str, says: str) -> None:
    with pytest.raises(InputError) as caught:
        arguments.measured_in(parsed("--measured-in", text))
    assert says in str(caught.value)


def test_quantities_and_conditions_complain_together(capsys: pytest.CaptureFixture[str]) -> None:
    code = main(
        ["fly", "--ball-speed", "900mph", "--launch", "steep", "--spin", "5furlong", "--humidity", "300%",
         "--measured-in", "heat=3"]
    )  # fmt: skip
    out, err = capsys.readouterr()
    assert (code, out) == (2, "")
    for say in ("900mph", "'steep'", "furlong", "300%", "heat=3"):
        assert say in err


def test_where_there_is_no_session_its_air_changes_nothing_and_it_is_said(
    capsys: pytest.CaptureFixture[str],
) -> None:
    assert main([*FLY, "--json"]) == 0
    plain = capsys.readouterr().out
    assert main([*FLY, "--json", "--measured-in", "altitude=6000ft"]) == 0
    out, err = capsys.readouterr()
    assert out == plain
    assert "changes nothing" in err
