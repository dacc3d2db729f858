"""What people add to a log: settings, shots set aside with a reason, the baseline, corrections of a shop."""

from dataclasses import replace

import numpy as np
import pytest

from fitter.advice.question import ask
from fitter.advice.rank import rank
from fitter.base.errors import InputError
from fitter.base.units import Units
from fitter.display.reading import Reading, text
from fitter.shots import annotations
from fitter.shots.annotations import parse_aside, set_aside
from fitter.shots.reader import columns, intake
from tests.advice import virtual

LOG = "player,shot,club speed (mph),launch (deg)\n" + "".join(f"P1,{i},{100 + i},12\n" for i in range(1, 11))


@pytest.fixture
def log(tmp_path):
    path = tmp_path / "log.csv"
    path.write_text(LOG)
    return path


def test_later_settings_go_over_earlier_ones(log):
    s = intake.read(log, set_=["build=H4/S2", "build=H2/S3 shots=8-10,2"])
    assert list(s.word("build")) == ["H4/S2", "H2/S3", *["H4/S2"] * 5, *["H2/S3"] * 3]


def test_setup_takes_units_and_spans_by_row(log):
    s = intake.read(log, set_=["tee=1in rows=2-3", "ball_forward=-2cm shots=5"])
    # 1 in = 25.4 mm, exact by definition
    np.testing.assert_allclose(s.value("tee_mm")[:2], 25.4, rtol=1e-12)
    assert np.isnan(s.value("tee_mm")[2:]).all()
    assert s.value("ball_forward_mm")[4] == pytest.approx(-20.0, rel=1e-12)


def test_baseline_is_asked_for_only_when_builds_differ(log):
    assert annotations.baseline(intake.read(log)).all()
    assert annotations.baseline(intake.read(log, set_=["build=H4/S2"])).all()
    s = intake.read(log, set_=["build=H4/S2", "build=H2/S3 shots=8-10"])
    assert annotations.baseline(s, build="h4/s2").sum() == 7
    with pytest.raises(InputError, match="--baseline"):
        annotations.baseline(s)
    with pytest.raises(InputError, match=r"H4/S2 \(7\), H2/S3 \(3\)"):
        annotations.baseline(s, build="H9/S9")


def test_course_and_full_swings_are_never_pooled(log):
    s = intake.read(log, set_=["intent=normal", "intent=max shots=7-10"])
    assert annotations.baseline(s).sum() == 6
    assert annotations.baseline(s, intent="full").sum() == 4


@pytest.mark.parametrize(
    "text", ["", "build", "shots=3", "colour=red", "build=H1 shots=9-3", "tee=12kg", "build='x"]
)
def test_bad_settings_are_refused(text):
    with pytest.raises(InputError) as caught:
        annotations.parse([text])
    assert caught.value.problems


def test_settings_of_one_player(tmp_path):
    path = tmp_path / "log.csv"
    path.write_text("player,club speed (mph)\nP1,100\nP2,90\n")
    first, second = intake.read_all(path, set_=["build=H1/S1 player=p2"])
    assert (first.word("build"), second.word("build")) == (("",), ("H1/S1",))


def test_corrections_are_kept_and_used_next_time(tmp_path):
    path, shop = tmp_path / "log.csv", tmp_path / "shop" / "columns.toml"
    path.write_text('Ba "V" ü,Wk,Xx\n100,12,3\n')
    assert columns.load(shop) == {}
    columns.save(shop, {'Ba "V" ü': "ball speed (mph)", "Wk": "attack_deg"})
    columns.save(shop, {"WK": "launch_deg", "Xx": ""})
    assert columns.load(shop) == {'Ba "V" ü': "ball speed (mph)", "WK": "launch_deg", "Xx": ""}
    s = intake.read(path, shop_map=shop)
    np.testing.assert_allclose(s.value("ball_speed_mps"), 44.704)
    assert s.value("launch_deg")[0] == 12.0
    # what is given now goes before what was saved
    assert intake.read(path, shop_map=shop, header_map={"Wk": "descent_deg"}).value("descent_deg")[0] == 12.0
    shop.write_text("[columns]\nWk = 3\n")
    with pytest.raises(InputError, match="Wk"):
        columns.load(shop)
    shop.write_text("[columns\n")
    with pytest.raises(InputError, match="TOML"):
        columns.load(shop)


def test_pairs_of_the_command_line():
    assert columns.parse_pairs(["Dir (+ = left)=-direction_deg", "A="]) == {
        "Dir (+ = left)": "-direction_deg",
        "A": "",
    }
    with pytest.raises(InputError, match="nothing"):
        columns.parse_pairs(["nothing"])


def test_shots_are_set_aside_by_hand_with_a_reason() -> None:
    session = virtual.session(112, 0, 13)
    found = set_aside(session, parse_aside(["shots=3,7-8 reason=interrupted"]))
    assert session.shot[found.set_aside].tolist() == [3, 7, 8]
    assert {f.found for f in found.flags} == {"interrupted"}
    assert len(found) == len(session)


@pytest.mark.parametrize(
    ("text", "says"),
    [
        ("shots=3 reason=short", "interrupted, slipped"),
        ("shots=3", "a poor result is none"),
        ("reason=slipped", "Name the shots"),
        ("shots=9-2 reason=slipped", "from low to high"),
        ('shots=3 reason="', "Name the shots"),
    ],
)
def test_decisions_without_ground_are_refused(text: str, says: str) -> None:
    with pytest.raises(InputError, match="--aside") as caught:
        parse_aside([text])
    assert says in str(caught.value)


def test_a_shot_that_is_not_there_is_named() -> None:
    with pytest.raises(InputError, match="99"):
        set_aside(virtual.session(112, 0, 13), parse_aside(["shots=99 reason=slipped"]))


def test_a_result_can_be_shown_with_and_without() -> None:
    session = virtual.session(112, -1, 12.5)
    values = {k: v.copy() for k, v in session.values.items()}
    values["carry_m"][2] = 20.0
    aside = set_aside(replace(session, values=values), parse_aside(["shots=3 reason=slipped"]))
    without = rank(ask(aside, virtual.kit(), "G/R", draws=32))
    with_all = rank(ask(aside, virtual.kit(), "G/R", draws=32, with_aside=True))
    assert without.counts["set_aside"] == 1
    assert with_all.counts["set_aside"] == 0
    assert with_all.present.carry_m < without.present.carry_m - 5.0
    assert with_all.notes[0].code == "all shots"
    assert np.isfinite(with_all.present.value)


def test_many_misreads_are_said_first() -> None:
    aside = set_aside(virtual.session(112, 0, 13), parse_aside(["shots=1-4 reason='not read'"]))
    assert text(Reading(aside), Units()).startswith("4 of 12 shots are set aside")
