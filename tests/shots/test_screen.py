"""Flags on measurement grounds: limits are judgement, so tests check the rule and not the number."""

from dataclasses import replace

import numpy as np

from fitter.shots.infer.infer import infer
from fitter.shots.reader import intake
from fitter.shots.screen import screen, screen_physics
from tests.advice import virtual

HEAD = "club speed (mph),ball speed (mph),launch (deg),spin (rpm),carry (yd)\n"


def read(tmp_path, *lines, head=HEAD):
    path = tmp_path / "log.csv"
    path.write_text(head + "\n".join(lines) + "\n")
    return intake.read(path)


def test_fast_player_is_warned_never_set_aside(tmp_path):
    s = read(tmp_path, "137,205,11,2511,350", "136,203,12,2627,349")
    assert not s.set_aside.any()
    assert {f.reason for f in s.flags} == {"unusual"}


def test_ratio_outside_the_possible_is_set_aside(tmp_path):
    s = read(tmp_path, "100,160,11,2511,250", "100,147,12,2627,249")
    assert list(s.set_aside) == [True, False]


def test_repeated_row_is_set_aside_once(tmp_path):
    s = read(tmp_path, "100,147,11,2511,250", "100,147,11,2511,250", "100,147,11,2512,250")
    assert list(s.set_aside) == [False, True, False]
    assert "shot 1 (row 2)" in next(f for f in s.flags if f.set_aside).found


def test_equal_numbers_at_another_time_only_warn(tmp_path):
    s = read(tmp_path, "10:00,100,147,11,2511,250", "10:01,100,147,11,2511,250", head="time," + HEAD)
    assert not s.set_aside.any()
    assert any(f.reason == "repeated row" for f in s.flags)


def test_constant_and_round_spin_is_estimated(tmp_path):
    for spins in ([2500] * 5, [2500, 2600, 2400, 2800, 3100]):
        lines = [f"100,{147 + i},11,{spin},250" for i, spin in enumerate(spins)]
        s = read(tmp_path, *lines)
        assert s.estimated["spin_rpm"].all()
        assert not s.set_aside.any()
    s = read(tmp_path, *[f"100,{147 + i},11,{2500 + 37 * i},250" for i in range(5)])
    assert not s.estimated["spin_rpm"].any()


def test_screening_twice_changes_nothing(tmp_path):
    s = read(tmp_path, "-5,147,11,2511,250", "137,205,11,2511,350")
    again = screen(s)
    assert again.flags == s.flags
    np.testing.assert_array_equal(again.set_aside, s.set_aside)


def test_a_session_of_137_mph_swings_is_a_normal_session() -> None:
    fast = screen(virtual.session(137, 5, 16, n=14))
    assert not [f for f in fast.flags if f.channel == "club_speed_mps"]
    few = screen(virtual.session(137, 5, 16, n=5))
    assert [f for f in few.flags if f.channel == "club_speed_mps"]
    assert not few.set_aside.any()


def test_history_widens_no_limit_of_the_possible() -> None:
    session = virtual.session(112, 0, 13, n=14)
    values = {k: v.copy() for k, v in session.values.items()}
    values["launch_deg"][:] = 41.0
    assert screen(replace(session, values=values)).set_aside.all()


def test_a_carry_that_no_flight_gives_is_warned_of_and_stays() -> None:
    session = virtual.session(112, 0, 13, n=14)
    clean = screen_physics(session, infer(session))
    assert not [f for f in clean.flags if f.channel == "carry_m"]
    values = {k: v.copy() for k, v in session.values.items()}
    values["carry_m"][4] *= 1.25
    odd = replace(session, values=values)
    flagged = [f for f in screen_physics(odd, infer(odd)).flags if f.channel == "carry_m"]
    assert [(f.shot, f.set_aside) for f in flagged] == [(5, False)]
