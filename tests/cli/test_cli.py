"""The command line is a contract: keys, units, exit codes, and messages that help."""

from __future__ import annotations

import json
import subprocess
import sys
from collections.abc import Sequence
from pathlib import Path

import pytest

from fitter import demo
from fitter.base.assumptions import current
from fitter.base.units import MPH, YARD
from fitter.cli.main import main
from fitter.physics import ball

DATA = demo.folder()
Capture = pytest.CaptureFixture[str]


def run(argv: Sequence[str], capsys: Capture) -> tuple[int, str, str]:
    code = main([str(a) for a in argv])
    out, err = capsys.readouterr()
    assert "Traceback" not in out + err
    return code, out, err


def result(argv: Sequence[str], capsys: Capture) -> dict:
    code, out, _ = run([*argv, "--json"], capsys)
    assert code == 0
    return json.loads(out)


FLY = ("fly", "--ball-speed", "167mph", "--launch", "10.9", "--spin", "2686")
STRIKE = ("strike", "--club-speed", "120mph", "--attack", "1.9", "--loft", "13")
RANK = ("rank", DATA / "P4.csv", "--kit", DATA, "--present", "H3/S5")


def test_fly_prints_the_keys_of_the_contract(capsys: Capture) -> None:
    found = result(FLY, capsys)
    keys = (
        "carry_m carry_low_m carry_high_m total_m offline_m apex_m time_s descent_deg landing_speed_mps "
        "landing_spin_rpm air_density_kgm3 laws"
    )
    assert set(keys.split()) <= found.keys()
    assert found["carry_low_m"] < found["carry_m"] < found["carry_high_m"]
    assert tuple(found["laws"]) == ball.MODERN


def test_strike_prints_the_keys_of_the_contract(capsys: Capture) -> None:
    found = result([*STRIKE, "--toe", "-5mm", "--high", "3"], capsys)
    keys = "ball_speed_mps launch_deg direction_deg spin_rpm spin_axis_deg speed_ratio"
    assert set(keys.split()) <= found.keys()
    assert found["speed_ratio"] == pytest.approx(found["ball_speed_mps"] / (120 * MPH))


def test_a_head_of_the_kit_is_struck(capsys: Capture) -> None:
    light = result([*STRIKE, "--kit", DATA, "--head", "H6"], capsys)
    heavy = result([*STRIKE, "--kit", DATA, "--head", "H1"], capsys)
    assert heavy["ball_speed_mps"] > light["ball_speed_mps"]


def test_slopes_are_printed_for_people_and_machines(capsys: Capture) -> None:
    for words in (FLY, STRIKE):
        assert result([*words, "--slopes"], capsys)["slopes"]
        code, out, _ = run([*words, "--slopes"], capsys)
        assert code == 0
        assert "one more of" in out
        assert max(map(len, out.splitlines())) <= 100


def test_bare_numbers_follow_the_units_in_force(capsys: Capture) -> None:
    us = result(["fly", "--ball-speed", "167", "--launch", "10.9", "--spin", "2686"], capsys)
    metric = result(["fly", "--units", "metric", "--ball-speed", str(167 * MPH), *FLY[3:]], capsys)
    assert us["carry_m"] == pytest.approx(metric["carry_m"], rel=1e-12)


def test_altitude_sets_the_pressure_and_station_pressure_wins(capsys: Capture) -> None:
    sea = result(FLY, capsys)["air_density_kgm3"]
    high = result([*FLY, "--altitude", "6000ft"], capsys)["air_density_kgm3"]
    # ISO 2533: pressure at 1828.8 m is 0.8014 of sea level; at the same temperature density follows it.
    assert high / sea == pytest.approx(0.8014, abs=0.003)
    told = result([*FLY, "--altitude", "6000ft", "--pressure", "1013.25hPa"], capsys)["air_density_kgm3"]
    assert told == pytest.approx(sea)


def test_wind_from_the_right_carries_the_ball_left(capsys: Capture) -> None:
    assert result([*FLY, "--wind", "10mph", "--wind-from", "90"], capsys)["offline_m"] < -3
    calm, head = result(FLY, capsys), result([*FLY, "--wind", "10mph"], capsys)
    # Published sizes for 10 mph in the face: -12 to -18 yd (R, weak); computed -14 to -17 in a uniform wind
    # (C). The wind grows with height, so what the ball meets differs a little.
    assert -22 < (head["carry_m"] - calm["carry_m"]) / YARD < -9


def test_rank_prints_the_keys_of_the_contract(capsys: Capture) -> None:
    found = result([*RANK, "--draws", "64"], capsys)
    assert {"session", "present", "objective", "options", "verdict", "next"} <= found.keys()
    keys = (
        "id tier head setting loft_deg face_angle_deg lie_deg shaft length_m ball_forward_mm tee_mm "
        "swing_weight total_mass_g predicted carry_m carry_gain_m carry_gain_low_m carry_gain_high_m "
        "total_gain_m weak_carry_m offline_sd_m offline_sd_change_m aim_shift_m value value_unit value_gain "
        "value_gain_low value_gain_high p_best p_worthwhile tied availability rules reasons"
    )
    for option in found["options"]:
        assert set(keys.split()) <= option.keys()
        assert option["carry_gain_low_m"] <= option["carry_gain_m"] <= option["carry_gain_high_m"]
        assert {"club_speed_mps", "ball_speed_mps", "launch_deg", "spin_rpm", "apex_m"} <= option[
            "predicted"
        ].keys()
    assert found["verdict"]["action"] in ("change", "keep", "test")
    assert found["present"]["carry_gain_m"] == 0.0


@pytest.mark.parametrize("player", demo.players(), ids=lambda p: p.code)
def test_the_demo_answers_for_every_player(player: demo.Player, capsys: Capture) -> None:
    code, out, _ = run(["demo", "--player", player.code], capsys)
    assert code == 0
    assert max(map(len, out.split("The same by hand")[0].splitlines())) <= 100
    assert "Warm up first" in out
    found = result(["demo", "--player", player.code], capsys)
    present = found["present"]["loft_deg"]
    named = {o["id"]: o for o in found["options"]}.get(found["verdict"]["option"])
    if player.code == "P4":
        assert found["verdict"]["action"] == "keep"
    elif player.code == "P1":
        assert found["verdict"]["action"] == "trade"
        assert named["loft_deg"] < present - 0.5
    elif player.code == "P2":
        assert found["verdict"]["action"] == "change"
        assert named["loft_deg"] > present + 0.5


def test_the_demo_data_are_what_their_script_makes(tmp_path: Path) -> None:
    done = subprocess.run(
        [sys.executable, str(DATA / "make_demo.py"), str(tmp_path)],
        capture_output=True,
        text=True,
        check=False,
        env=_environment(),
    )
    assert done.returncode == 0, done.stderr
    for made in sorted(tmp_path.iterdir()):
        assert made.read_bytes() == (DATA / made.name).read_bytes(), made.name


def _environment() -> dict[str, str]:
    import os

    return {**os.environ, "PYTHONPATH": str(DATA.parent)}


def test_read_shows_a_left_hander_his_own_sides(capsys: Capture) -> None:
    found = result(["read", DATA / "P3.csv"], capsys)
    assert found["hand"] == "left"
    first = (DATA / "P3.csv").read_text().splitlines()[1].split(",")
    assert found["shots"][0]["path_deg"] == pytest.approx(float(first[5]))
    assert {"shots", "columns", "flags", "problems"} <= found.keys()
    aside = {f["shot"] for f in found["flags"] if f["set_aside"]}
    assert aside == {9}


def test_read_sets_aside_a_negative_speed_and_keeps_missing_values(tmp_path: Path, capsys: Capture) -> None:
    log = tmp_path / "log.csv"
    log.write_text(
        "club speed (mph),ball speed (mph),spin (rpm)\n100,145,2500\n-5,146,n/a\n101,147,\n102,148,2600\n"
    )
    found = result(["read", log, "--hand", "right"], capsys)
    assert [s["set_aside"] for s in found["shots"]] == [False, True, False, False]
    assert [s["spin_rpm"] for s in found["shots"]] == [2500, None, None, 2600]


BAD = {
    "empty": (b"", "empty"),
    "binary": (bytes(range(256)) * 8, ""),
    "no ball speed": (b"club speed (mph),launch (deg)\n100,12\n101,13\n", "ball speed"),
    "no such unit": (b"club speed (furlongs),launch (deg)\n100,12\n", "furlongs"),
}


@pytest.mark.parametrize("name", BAD)
def test_bad_logs_say_where_what_and_what_to_do(name: str, tmp_path: Path, capsys: Capture) -> None:
    content, words = BAD[name]
    log = tmp_path / "log.csv"
    log.write_bytes(content)
    code, out, err = run(["rank", log, "--kit", DATA, "--present", "H3/S5"], capsys)
    assert code == 2
    assert out == ""
    assert "log.csv" in err
    assert words in err
    assert "allowed:" in err


def test_one_shot_is_exit_3(tmp_path: Path, capsys: Capture) -> None:
    lines = (DATA / "P4.csv").read_text().splitlines()
    log = tmp_path / "one.csv"
    log.write_text("\n".join(lines[:2]) + "\n")
    code, _, err = run(["rank", log, "--kit", DATA, "--present", "H3/S5"], capsys)
    assert code == 3
    assert "at least 5" in err


@pytest.mark.parametrize(
    ("words", "says"),
    [
        (["rank", DATA / "P4.csv", "--kit", DATA, "--present", "H9/S99"], ["'H9'", "'S99'", "H1", "S1"]),
        (["rank", DATA / "P4.csv", "--kit", DATA / "none", "--present", "H3/S5"], ["no such folder"]),
        (["rank", DATA / "none.csv", "--kit", DATA, "--present", "H3/S5"], ["none.csv"]),
        ([*RANK, "--for", "luck"], ["'luck'", "carry, total"]),
        ([*RANK, "--draws", "3"], ["16 to 65536"]),
        ([*FLY, "--turf", "lava", "--law", "nobody", "--humidity", "300%"], ["lava", "nobody", "0 to 100 %"]),
        ([*FLY, "--pressure-at-sea-level", "1013hPa"], ["--altitude"]),
        ([*RANK, "--measured-in", "heat=3"], ["heat=3"]),
        ([*FLY, "--wind", "5parsec"], ["parsec"]),
        (
            ["fly", "--ball-speed", "900mph", "--launch", "80", "--spin", "2500"],
            ["10 to 120 m/s", "-20 to 60 deg"],
        ),
        ([*STRIKE, "--kit", DATA], ["--head"]),
        (
            ["shaft", "--length", "45in", "--mass", "60", "--head-mass", "200", "--stiffness", "70"],
            ["BUTT,TIP"],
        ),
        (["assumptions", "luck"], ["'luck'"]),
        (["demo", "--player", "P9"], ["P1, P2"]),
    ],
)
def test_bad_words_are_explained(words: Sequence[str], says: Sequence[str], capsys: Capture) -> None:
    code, out, err = run(words, capsys)
    assert code == 2
    assert out == ""
    for say in says:
        assert say in err


def test_several_players_are_named(tmp_path: Path, capsys: Capture) -> None:
    a, b = ((DATA / f"{p}.csv").read_text().splitlines() for p in ("P1", "P2"))
    log = tmp_path / "both.csv"
    log.write_text("\n".join([*a, *b[1:]]) + "\n")
    code, _, err = run(["rank", log, "--kit", DATA, "--present", "H3/S5"], capsys)
    assert code == 2
    assert "P1" in err
    assert "P2" in err
    assert (
        run(["rank", log, "--kit", DATA, "--present", "H4/S2", "--player", "P1", "--draws", "16"], capsys)[0]
        == 0
    )


def test_measured_in_separates_the_session_from_the_decision(capsys: Capture) -> None:
    # The shots were measured in thin air; at sea level the present club carries less than the log says.
    here = result([*RANK, "--draws", "32"], capsys)["present"]["carry_m"]
    there = result([*RANK, "--draws", "32", "--measured-in", "altitude=6000ft"], capsys)["present"]["carry_m"]
    assert there < here - 3.0


def test_shaft_build_and_kit(capsys: Capture, tmp_path: Path) -> None:
    bench = ("shaft", "--length", "45in", "--mass", "60", "--head-mass", "200", "--frequency", "250")
    found = result(bench, capsys)
    keys = "frequency_cpm lead_mm added_loft_deg droop_mm droop_deg swing_weight moi_kgcm2"
    assert set(keys.split()) <= found.keys()
    code, out, _ = run(["build", "H2/S2", "--kit", DATA, "--length", "45.25in", "--hit", "H4/S2"], capsys)
    assert code == 0
    assert "tolerance" in out
    code, out, _ = run(["kit", "check", DATA], capsys)
    assert code == 0
    assert "without fault" in out
    (tmp_path / "heads.csv").write_text("head,loft_deg\nH1,ten\nH1,10\n")
    code, _, err = run(["kit", "check", tmp_path], capsys)
    assert code == 2
    assert "'ten'" in err


def test_a_built_club_out_of_tolerance_is_predicted_again(capsys: Capture, tmp_path: Path) -> None:
    card = tmp_path / "built.toml"
    card.write_text('code = "B1"\n[measured]\nloft_deg = 11.4\nlength_in = 45.25\n[stamped]\nloft_deg = 9\n')
    words = (
        "build", "H2/S2", "--kit", DATA, "--length", "45.25in", "--hit", "H4/S2", "--check", card, "--from",
         DATA / "P1.csv",
    )  # fmt: skip
    found = result(words, capsys)
    assert not found["check"]["within"]
    gain = found["check"]["carry_gain_m"]
    assert gain["as_built"]["mean"] < gain["as_ordered"]["mean"]
    for units, unit, size in (("us", "yd", YARD), ("metric", "m", 1.0)):
        _, out, _ = run([*words, "--units", units], capsys)
        assert "OUT of tolerance" in out
        assert f"carry gain as built: {gain['as_built']['mean'] / size:.1f} {unit} " in out
    _, out, err = run([*words, "--json", "--measured-in", "altitude=1600m"], capsys)
    assert "changes nothing" not in err
    assert json.loads(out)["check"]["carry_gain_m"] != gain


def test_assumptions_print_their_standing(capsys: Capture) -> None:
    found = result(["assumptions"], capsys)
    assert len(found) > 60
    for entry in found.values():
        assert entry["letter"] in "RQMCTJ"
        assert entry["source"]
    code, out, _ = run(["assumptions", "strike"], capsys)
    assert code == 0
    assert max(map(len, out.splitlines())) <= 100
    rows = [line.split() for line in out.splitlines()]
    assert ["strike", "value", "sd", "letter", "unit"] in rows
    a = current()["strike.restitution"]
    assert ["restitution", f"{a.value:g}", f"{a.sd:g}", a.letter, a.unit] in rows
    assert a.source.split()[1] in out


@pytest.mark.parametrize("name", BAD)
def test_reading_a_bad_log_says_the_same(name: str, tmp_path: Path, capsys: Capture) -> None:
    content, words = BAD[name]
    log = tmp_path / "log.csv"
    log.write_bytes(content)
    code, out, err = run(["read", log, "--json"], capsys)
    if name == "no ball speed":  # a log may be read that cannot be ranked
        assert code == 0
        return
    assert (code, out) == (2, "")
    assert words in err
    assert "allowed:" in err


def test_read_keeps_its_keys_for_several_players(tmp_path: Path, capsys: Capture) -> None:
    a, b = ((DATA / f"{p}.csv").read_text().splitlines() for p in ("P1", "P3"))
    log = tmp_path / "both.csv"
    log.write_text("\n".join([*a, *b[1:]]) + "\n")
    found = result(["read", log], capsys)
    assert {"shots", "columns", "flags", "problems"} <= found.keys()
    assert [p["player"] for p in found["players"]] == ["P1", "P3"]
    assert len(found["shots"]) == len(a) + len(b) - 2
    alone = result(["read", DATA / "P3.csv"], capsys)
    assert [s["path_deg"] for s in found["shots"] if s["player"] == "P3"] == [
        s["path_deg"] for s in alone["shots"]
    ]


@pytest.mark.parametrize(
    "words",
    [
        FLY,
        STRIKE,
        ["shaft", "--length", "45in", "--mass", "60", "--head-mass", "200", "--stiffness", "70,25"],
        ["build", "H2/S2", "--kit", DATA, "--length", "45.25in", "--hit", "H4/S2"],
        ["kit", "check", DATA],
        ["read", DATA / "P3.csv"],
        ["assumptions"],
    ],
    ids=lambda words: words[0],
)
def test_tables_for_people_fit_100_columns(words: Sequence[str], capsys: Capture) -> None:
    for units, other in (("us", " m/s"), ("metric", " yd")):
        code, out, _ = run([*words, "--units", units], capsys)
        assert code == 0
        assert max(map(len, out.splitlines())) <= 100
        if words[0] not in ("assumptions", "read"):  # these show the units of sources and of files
            assert other not in out


@pytest.mark.parametrize(
    ("words", "says"),
    [
        (
            ["shaft", "--length", "x", "--mass", "60mph", "--head-mass", "200", "--stiffness", "70",
             "--tip-stiffness", "hard"],
            ["--length", "mph", "BUTT,TIP", "'hard'"],
        ),
        (
            ["strike", "--club-speed", "900", "--attack", "abc", "--loft", "99", "--toe", "-90mm", "--kit",
             DATA, "--head", "H99"],
            ["900", "'abc'", "99", "-90mm", "'H99'", "H1"],
        ),
        (["build", "H2/S2", "--kit", DATA, "--length", "400in", "--turf", "lava"], ["30 to 60 in", "lava"]),
        (["build", "H2", "--kit", DATA], ["HEAD/SHAFT"]),
        (["read", DATA / "P1.csv", "--map", "nothing"], ["'Their header=channel'"]),
    ],
)  # fmt: skip
def test_all_problems_of_a_command_at_once(
    words: Sequence[str], says: Sequence[str], capsys: Capture
) -> None:
    code, out, err = run(words, capsys)
    assert (code, out) == (2, "")
    for say in says:
        assert say in err


def test_a_left_handers_flags_are_his_own_in_a_ranking_too(capsys: Capture, tmp_path: Path) -> None:
    lines = (DATA / "P3.csv").read_text().splitlines()
    cells = lines[3].split(",")
    cells[5] = "25.0"
    lines[3] = ",".join(cells)
    log = tmp_path / "left.csv"
    log.write_text("\n".join(lines) + "\n")
    words = ("rank", log, "--kit", DATA, "--present", "H5/S4", "--draws", "16")
    flag = next(f for f in result(words, capsys)["flags"] if f["channel"] == "path_deg" and f["set_aside"])
    assert not flag["found"].startswith("-")
    code, _, err = run([*words[:-1], "3", "--turf", "lava", "--measured-in", "heat=3"], capsys)
    assert code == 2
    for say in ("16 to 65536", "lava", "heat=3"):
        assert say in err


def test_the_verdict_speaks_in_the_units_in_force(capsys: Capture) -> None:
    _, us, _ = run(["demo"], capsys)
    _, metric, _ = run(["demo", "--units", "metric"], capsys)
    said = [out.split("Present ")[0] for out in (us, metric)]
    assert " yd of total distance" in said[0]
    assert " m of total distance" in said[1]
    assert " yd" not in said[1]
