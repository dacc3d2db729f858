"""One flight and one strike as a user meets them."""

import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

import fitter
from fitter.base.conditions import Conditions
from fitter.base.units import DEG, MPH, US, YARD
from fitter.display.simulated import slopes as slopes_text
from fitter.display.text import plain
from fitter.simulate import sensitivities
from fitter.simulate.flight import fly
from fitter.simulate.strike import spin_loft, strike, turn_between


def test_public_names() -> None:
    assert fitter.fly is fly
    assert fitter.strike is strike


def test_keys_of_a_flight() -> None:
    flight = plain(fly(75.0, 11.0, 2600.0))
    wanted = [
        "carry_m",
        "carry_low_m",
        "carry_high_m",
        "total_m",
        "offline_m",
        "apex_m",
        "time_s",
        "descent_deg",
        "landing_speed_mps",
        "landing_spin_rpm",
        "air_density_kgm3",
        "laws",
    ]
    assert set(wanted) <= flight.keys()
    assert sum(law["weight"] for law in flight["laws"].values()) == pytest.approx(1.0)
    assert flight["carry_m"] == pytest.approx(
        sum(x["weight"] * x["carry_m"] for x in flight["laws"].values())
    )


def test_keys_of_a_strike() -> None:
    out = strike(50.0, 1.0, 14.0)
    assert out.speed_ratio == pytest.approx(out.ball_speed_mps / 50.0)
    for name, (low, high) in out.intervals.items():
        assert low <= getattr(out, name) <= high
        assert low < high
    assert set(plain(out)) >= {
        "ball_speed_mps",
        "launch_deg",
        "direction_deg",
        "spin_rpm",
        "spin_axis_deg",
        "speed_ratio",
    }


@given(st.floats(60, 200), st.floats(-5, 30), st.floats(0, 9000), st.floats(-30, 30))
@settings(max_examples=25)
def test_intervals_hold_their_centre(speed: float, launch: float, spin: float, axis: float) -> None:
    out = fly(speed * MPH, launch, spin, 0.0, axis, draws=16)
    assert out.carry_low_m <= out.carry_m <= out.carry_high_m
    assert out.total_low_m <= out.total_m <= out.total_high_m
    assert np.isfinite(
        [out.carry_m, out.total_m, out.apex_m, out.time_s, out.descent_deg, out.landing_speed_mps]
    ).all()


def test_a_ball_that_never_rises_says_why() -> None:
    out = fly(70.0, -2.0, 2500.0)
    assert (out.carry_m, out.total_m, out.time_s, out.landing_speed_mps) == (0.0, 0.0, 0.0, 0.0)
    assert "never rises" in out.notes[0]


def test_a_flat_landing_says_so() -> None:
    assert any("outside the turf data" in note for note in fly(70.0, 5.0, 1500.0).notes)
    assert fly(75.0, 12.0, 2700.0).notes == ()


def test_a_named_law_stands_alone() -> None:
    old = fly(167 * MPH, 10.9, 2686, conditions=Conditions(law="smits-1994"))
    assert list(old.laws) == ["smits-1994"]
    assert old.laws["smits-1994"].era == "old ball"
    assert old.laws["smits-1994"].held
    # Old balls fall short of a modern tour drive by about 7 and 14 % (C)
    new = fly(167 * MPH, 10.9, 2686).carry_m
    older = fly(167 * MPH, 10.9, 2686, conditions=Conditions(law="bearman-1976"))
    assert old.carry_m / new - 1 == pytest.approx(-0.07, abs=0.02)
    assert older.carry_m / new - 1 == pytest.approx(-0.14, abs=0.02)


def test_seeds_repeat_and_differ() -> None:
    a, b, c = (fly(75.0, 11.0, 2600.0, seed=s) for s in (1, 1, 2))
    assert a == b
    assert a.carry_low_m != c.carry_low_m
    assert a.carry_m == c.carry_m


@given(st.floats(-8, 10), st.floats(0, 40), st.floats(-10, 10), st.floats(-10, 10))
def test_spin_loft_is_the_angle_between_normal_and_path(
    attack: float, loft: float, path: float, face: float
) -> None:
    # Closed form: the angle whose cosine is the dot product of two unit vectors
    a, l, p, f = np.array([attack, loft, path, face]) * DEG
    way = np.array([np.cos(a) * np.cos(p), -np.cos(a) * np.sin(p), np.sin(a)])
    normal = np.array([np.cos(l) * np.cos(f), -np.cos(l) * np.sin(f), np.sin(l)])
    angle = math.degrees(math.acos(min(1.0, max(-1.0, float(way @ normal)))))
    assert spin_loft(attack, loft, path, face) == pytest.approx(angle, abs=1e-5)


def test_a_straight_strike_with_a_straight_head_is_nearly_straight() -> None:
    out = strike(50.0, 0.0, 13.0)
    assert abs(out.direction_deg) < 0.3
    assert abs(out.spin_axis_deg) < 4.0
    opened = strike(50.0, 0.0, 13.0, face_deg=4.0)
    assert opened.direction_deg > out.direction_deg
    assert opened.spin_axis_deg > out.spin_axis_deg


def test_slopes_of_a_flight_match_the_published_sizes() -> None:
    # Computed with the three laws at 170 mph, 10.5 deg, 2600 rpm (C): 1.9-2.3 yd per mph, 3.0-3.75 yd per
    # deg, -0.3 to +1.3 yd per 100 rpm, about 1.0 yd per 1 % of density; the low-Re spread adds a little.
    found = sensitivities.fly_slopes(170 * MPH, 10.5, 2600)
    by = {s["cause"]: s for s in plain(found)["slopes"]}
    for cause, low, high, room in (
        ("ball speed", 1.9, 2.3, 0.1),
        ("launch", 3.0, 3.75, 0.2),
        ("spin", -0.3, 1.3, 0.2),
        ("air density", -1.1, -0.9, 0.1),
    ):
        assert by[cause]["carry_low_m"] / YARD > low - room
        assert by[cause]["carry_high_m"] / YARD < high + room
    assert not by["spin"]["agreed"]
    assert by["ball speed"]["agreed"]
    assert "signs differ" in slopes_text(found, US)


def test_slopes_of_a_strike_speak_of_lofts_that_the_laws_judge_differently() -> None:
    found = sensitivities.strike_slopes(113 * MPH, -1.0, 13.0)
    by = {s["cause"]: s for s in plain(found)["slopes"]}
    assert by["club speed"]["carry_m"] > 0
    assert by["attack"]["carry_m"] > 0
    assert not by["dynamic loft"]["agreed"]


@pytest.mark.parametrize(("loft", "path", "face"), [(5, 0, 0.0), (5, 0, 0.05), (3, -0.1, 0.1)])
def test_an_axis_that_tilts_past_half_a_turn_has_a_short_interval(
    loft: float, path: float, face: float
) -> None:
    # A ball struck with topspin: its draws lie on both sides of 180 deg.
    hit = strike(45.0, 10.0 if loft == 5 else 6.0, loft, path, face)
    low, high = hit.intervals["spin_axis_deg"]
    assert abs(hit.spin_axis_deg) > 170.0
    assert low <= hit.spin_axis_deg <= high
    assert high - low < 20.0
    assert max(abs(low), abs(high)) > 180.0


def test_the_interval_of_an_axis_is_said_within_half_a_turn(capsys: pytest.CaptureFixture[str]) -> None:
    from fitter.cli.main import main

    assert main(["strike", "--club-speed", "45m/s", "--attack", "10", "--loft", "5"]) == 0
    (line,) = (line for line in capsys.readouterr().out.splitlines() if line.startswith("spin axis"))
    assert line.split()[2:] == ["177.1", "deg", "L", "178.8", "deg", "R", "to", "174.6", "deg", "L"]


def test_a_slope_of_the_axis_goes_the_short_way_round() -> None:
    found = sensitivities.strike_slopes(45.0, 10.0, 5.0)
    assert max(abs(s.start["spin_axis_deg"]) for s in found.slopes) < 90.0


def test_angles_are_compared_the_short_way_round() -> None:
    new, old = np.array([179.0, -179.0, 10.0, -170.0]) * DEG, np.array([-179.0, 179.0, 7.5, 170.0]) * DEG
    assert turn_between(new, old) / DEG == pytest.approx([-2.0, 2.0, 2.5, 20.0])
