"""What a session is for, on the command line; and the commands `rank` and `reach` with it."""

from __future__ import annotations

import re
from collections.abc import Sequence

import pytest

from fitter import demo
from fitter.advice.objectives import OBJECTIVES
from fitter.base.units import YARD
from tests.cli.test_cli import Capture, result, run

P4 = demo.folder() / "P4.csv"
RANK = ("rank", P4, "--kit", demo.folder(), "--present", "H3/S5", "--draws", "32")
REACH = ("reach", "270yd", "--from", P4, "--draws", "32")


@pytest.mark.parametrize(
    ("words", "name", "unit"),
    [
        (("--for", "weak"), "weak", "m"),
        (("--for", "clear:245yd"), "clear", "share"),
        (("--for", "clear", "--clear", "245yd"), "clear", "share"),
        (("--for", "fairway", "--width", "30yd"), "fairway", "share"),
        (("--for", "play", "--hole", "400yd", "--right-penalty", "1", "--skill", "2"), "play", "strokes"),
        (("--for", "grid", "--grid", "60ydx50yd", "--balls", "6"), "grid", "m"),
    ],
)
def test_every_objective_ranks(words: Sequence[str], name: str, unit: str, capsys: Capture) -> None:
    found = result([*RANK, *words], capsys)
    assert found["objective"]["name"] == name
    assert {o["value_unit"] for o in found["options"]} == {unit}
    assert found["present"]["value_gain"] == 0.0
    assert set(found["present"]["others"]) >= set(OBJECTIVES) - {"clear"}
    assert found["verdict"]["action"] in ("change", "trade", "keep", "test", "measure")
    code, out, _ = run([*RANK, *words], capsys)
    assert code == 0
    assert max(map(len, out.splitlines())) <= 100


def test_the_help_names_every_objective(capsys: Capture) -> None:
    _, out, _ = run(["rank", "--help"], capsys)
    said = out[out.index("--for OBJECTIVE  ") : out.index("--clear X  ")]
    assert set(re.findall(r"\w+", said)) >= set(OBJECTIVES)


def test_conditions_of_the_player_hold_for_any_goal(capsys: Capture) -> None:
    p1 = ("rank", demo.folder() / "P1.csv", "--kit", demo.folder(), "--present", "H4/S2", "--draws", "64")
    free = result([*p1, "--for", "total"], capsys)
    assert free["verdict"]["action"] == "trade"
    assert "fairway" in free["verdict"]["losses"]
    kept = result([*p1, "--for", "total", "--least-fairways", "33%", "--not-shorter-than", "present"], capsys)
    assert kept["verdict"]["action"] == "change"
    named = next(o for o in kept["options"] if o["id"] == kept["verdict"]["option"])
    assert named["fairway"] >= 0.33
    assert named["total_m"] >= kept["present"]["total_m"]
    # One hole alone, and an aim that is held: both reach the goal.
    one = result([*RANK, "--hole", "340yd,420yd", "--aim-cap", "0yd"], capsys)
    assert one["objective"]["words"].startswith("holes of 340 yd to 420 yd")
    assert one["present"]["aim_shift_m"] == pytest.approx(0.0, abs=0.5)
    words = ("--hole", "5yd", "--least-fairways", "lots", "--not-shorter-than", "far", "--aim-cap", "x")
    code, _, err = run([*RANK, *words], capsys)
    assert code == 2
    for part in words[::2]:
        assert part in err


def test_every_fault_of_a_wish_is_said_at_once(capsys: Capture) -> None:
    words = ("--for", "clear", "--width", "5parsec", "--grid", "60", "--balls", "many", "--skill", "7")
    code, _, err = run([*RANK, *words], capsys)
    assert code == 2
    for part in ("--width", "--grid", "--balls", "--skill"):
        assert part in err


def test_an_objective_that_is_not_there(capsys: Capture) -> None:
    code, _, err = run([*RANK, "--for", "height"], capsys)
    assert code == 2
    assert "play, carry, total, weak" in err


def test_a_named_option_must_be_there(capsys: Capture) -> None:
    code, _, err = run([*RANK, "--option", "H9/S1"], capsys)
    assert code == 2
    assert "--option" in err


def test_reach_answers_under_its_keys(capsys: Capture) -> None:
    found = result([*REACH, "--kit", demo.folder(), "--present", "H3/S5", "--as", "total"], capsys)
    assert found["needed_club_speed_low_mps"] <= found["needed_club_speed_mps"]
    assert found["needed_club_speed_mps"] <= found["needed_club_speed_high_mps"]
    assert found["distance_m"] == pytest.approx(270 * YARD)
    assert sum(p["value_m"] for p in found["budget"]) == pytest.approx(found["gap_m"], abs=1e-6)
    assert found["conditions"]["turf"] == "ordinary"
    assert 0.0 <= found["p_reach_today"] <= 1.0
    assert found["best"]["option"]
    assert found["session"]["shots"] == 16


def test_reach_for_people(capsys: Capture) -> None:
    words = ("--kit", demo.folder(), "--present", "H3/S5", "--count", "best-of-6", "--grid", "40ydx50yd")
    code, out, _ = run([*REACH, *words], capsys)
    assert code == 0
    assert max(map(len, out.splitlines())) <= 100
    assert all(
        word in out for word in ("77 F", "ordinary", "yd a mph", "qualified coaches", "strike", "40 yd")
    )


@pytest.mark.parametrize("units", ["us", "metric"])
def test_reach_without_a_kit_says_so_in_both_units(units: str, capsys: Capture) -> None:
    words = ("reach", "150m", "--from", P4, "--draws", "32", "--units", units, "--altitude", "1500m")
    code, out, _ = run(words, capsys)
    assert code == 0
    assert max(map(len, out.splitlines())) <= 100
    assert all(w in out for w in ("no kit", "not known", "no gap", "kg/m3", "against the standard ones"))
    assert ("m/s" if units == "metric" else "mph") in out


def test_reach_beyond_the_model_is_no_answer(capsys: Capture) -> None:
    code, out, _ = run(["reach", "480yd", "--from", P4, "--draws", "32"], capsys)
    assert code == 3
    assert "not reachable" in out


def test_reach_says_every_fault_at_once(capsys: Capture) -> None:
    code, _, err = run(["reach", "9000yd", "--from", P4, "--as", "height", "--count", "all"], capsys)
    assert code == 2
    assert all(word in err for word in ("DISTANCE", "--as", "--count"))


def test_a_missing_log_and_a_missing_kit_are_said_together(capsys: Capture) -> None:
    words = ("rank", "nowhere.csv", "--present", "H4/S2", "--kit")
    code, _, err = run([*words, "no-kit"], capsys)
    assert code == 2
    assert "nowhere.csv" in err
    assert "no-kit" in err
    # One fault alone keeps its own sentence.
    assert run([*words, str(P4.parent)], capsys)[2].startswith("nowhere.csv cannot be read.")


def test_a_grid_without_a_set_of_balls_is_told_to_change_nothing(capsys: Capture) -> None:
    code, _, err = run([*REACH, "--grid", "40ydx50yd", "--with-aside"], capsys)
    assert code == 0
    assert "--grid changes nothing" in err
