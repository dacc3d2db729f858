"""Units proved by physics: the flight is the project's own, except where a closed form stands in for it."""

import numpy as np
import pytest

from fitter.shots.reader import units

N = 6
BALL = np.linspace(64.0, 68.0, N)
OTHER = {"launch_deg": np.full(N, 12.5), "spin_rpm": np.full(N, 2600.0)}
UNIT = {"mph": 0.44704, "m/s": 1.0, "km/h": 1 / 3.6, "yd": 0.9144, "m": 1.0, "ft": 0.3048}


def vacuum(ball, launch, spin):
    """Carry and apex without air, closed form: v^2 sin(2a)/g and (v sin a)^2/(2 g)."""
    a = np.radians(launch)
    return ball**2 * np.sin(2 * a) / 9.81, (ball * np.sin(a)) ** 2 / (2 * 9.81)


@pytest.mark.parametrize("unit", ["mph", "m/s", "km/h"])
def test_speeds_are_told_apart_by_the_carry(unit):
    carry = vacuum(BALL, OTHER["launch_deg"], OTHER["spin_rpm"])[0]
    evidence = units.Evidence(OTHER | {"carry_m": carry}, vacuum)
    raw = {"ball_speed_mps": BALL / UNIT[unit], "club_speed_mps": BALL / 1.47 / UNIT[unit]}
    assert units.speed(raw, evidence)[0] == unit


@pytest.mark.parametrize("unit", ["mph", "m/s", "km/h"])
def test_one_known_speed_settles_the_other_by_their_ratio(unit):
    evidence = units.Evidence({"club_speed_mps": BALL / 1.47})
    assert units.speed({"ball_speed_mps": BALL / UNIT[unit]}, evidence)[0] == unit


def test_a_hundred_is_mph_or_kmh_without_a_carry():
    with pytest.raises(units.Unproved) as caught:
        units.speed({"club_speed_mps": np.full(N, 100.0)}, units.Evidence({}))
    assert caught.value.candidates == ("mph", "km/h")


@pytest.mark.parametrize("unit", ["yd", "m"])
@pytest.mark.parametrize("bias", [0.98, 1.0, 1.02])
def test_yards_and_metres_by_the_carry(unit, bias):
    carry, apex = vacuum(BALL, OTHER["launch_deg"], OTHER["spin_rpm"])
    evidence = units.Evidence(OTHER | {"ball_speed_mps": BALL}, vacuum)
    assert units.carry(carry * bias / UNIT[unit], evidence)[0] == unit
    assert units.apex(apex / UNIT[unit], evidence, unit)[0] == unit
    assert units.apex(apex / UNIT["ft"], evidence, unit)[0] == "ft"


def test_a_carry_between_the_units_is_asked_for():
    carry = vacuum(BALL, OTHER["launch_deg"], OTHER["spin_rpm"])[0]
    evidence = units.Evidence(OTHER | {"ball_speed_mps": BALL}, vacuum)
    with pytest.raises(units.Unproved):
        units.carry(carry * 1.045, evidence)


def test_the_unit_of_the_speeds_has_to_agree():
    # yards with mph, metres with m/s and km/h: common practice, no source
    carry = vacuum(BALL, OTHER["launch_deg"], OTHER["spin_rpm"])[0]
    evidence = units.Evidence(OTHER | {"ball_speed_mps": BALL}, vacuum)
    assert units.carry(carry, evidence, "m/s")[0] == "m"
    assert units.carry(carry / UNIT["yd"], evidence, "mph")[0] == "yd"
    cold = 0.91
    with pytest.raises(units.Unproved, match="speeds are in mph"):
        units.carry(carry * cold / UNIT["yd"], evidence, "mph")


def test_the_built_in_flight_tells_yards_from_metres():
    # published tour averages, men: 167 mph, 10.9 deg, 2686 rpm fly 275 yd
    n = np.ones(3)
    carry = units.blend(167 * 0.44704 * n, 10.9 * n, 2686.0 * n)[0]
    np.testing.assert_allclose(carry, 275 * 0.9144, rtol=0.03)


def test_sizes_near_the_club():
    assert units.near("strike_toe_mm", np.array([-12.0, 3.0, 15.0]))[0] == "mm"
    assert units.near("tee_mm", np.array([1.5, 1.6]))[0] == "in"
    with pytest.raises(units.Unproved):
        units.near("strike_toe_mm", np.array([0.4, -0.5, 0.2]))
    with pytest.raises(units.Unproved):
        units.near("ball_forward_mm", np.array([20.0]))


def test_spin_is_rpm_unless_that_is_impossible():
    assert units.spin(np.array([2500.0, 2600.0]))[0] == "rpm"
    assert units.spin(np.array([42.0, 43.0]))[0] == "rps"
    assert units.spin(np.array([262.0, 270.0]))[0] == "rad/s"
