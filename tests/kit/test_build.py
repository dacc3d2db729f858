"""Build sheet, bench steps and read-back."""

from dataclasses import replace

import pytest

from fitter.display.bench import step_text
from fitter.kit.build import LINES, build_sheet, figures, read_back
from fitter.kit.card import card_club
from fitter.kit.club import Club
from fitter.kit.figures import Reading
from fitter.kit.parts import Head, Shaft

SHAFT = Shaft("S3", mass_g=Reading(62.0), length_in=Reading(46.0), balance_pct=Reading(53.0),
              frequency_cpm=Reading(255.0), clamp_mm=Reading(127.0), tip_mass_g=Reading(205.0),
              grip_mass_g=Reading(50.0))  # fmt: skip
HEAD = Head("H2", loft_deg=Reading(10.2), mass_g=Reading(201.0), lie_deg=Reading(58.0),
            face_angle_deg=Reading(0.0), settings=(-1.0, 0.0, 1.0), stock="order")  # fmt: skip
ORDERED = Club(HEAD, SHAFT, Reading(45.25), -1.0)
HIT = card_club({"code": "P1", "measured": {"length_in": 45.5, "loft_deg": 11.9, "total_mass_g": 316}})


def built(**changes: float) -> Club:
    """Card of the club as ordered, but for the changes."""
    names = ("length_in", "loft_deg", "lie_deg", "face_angle_deg", "total_mass_g", "swing_weight_points",
             "frequency_cpm")  # fmt: skip
    f = {n: figures([ORDERED])[0][n].value for n in names} | changes
    f["swing_weight"] = f"D{f.pop('swing_weight_points')}"
    return card_club({"code": "B1", "sleeve_deg": -1, "measured": f})


def test_the_sheet_has_everything_a_workshop_needs() -> None:
    sheet = build_sheet(HIT, ORDERED, 48.0)
    assert [line.name for line in sheet.lines] == list(LINES)
    loft = sheet.line("loft_deg")
    assert loft.as_hit.value == pytest.approx(11.9)
    assert loft.as_ordered.value == pytest.approx(9.2)
    # common practice: loft and lie 0.5 deg, length 1/16 in, swing weight 0.5, frequency 2 cpm
    names = ("loft_deg", "lie_deg", "length_in", "swing_weight_points", "frequency_cpm")
    assert [sheet.line(n).tolerance for n in names] == [0.5, 0.5, 0.0625, 0.5, 2.0]
    text = "\n".join(map(step_text, sheet.steps))
    for words in (
        "by gauge: 10.2 deg",
        "Set the sleeve to -1 deg",
        "Cut 79 mm off the butt",
        "45.25 in",
        "Grip 50",
    ):
        assert words in text
    assert sheet.swing_weight.startswith("D")


def test_an_ungauged_head_is_gauged_first() -> None:
    club = Club(Head("H9", stamped_loft_deg=Reading(9.0)), SHAFT, Reading(45.25))
    assert "Gauge the loft of head H9" in step_text(build_sheet(HIT, club).steps[0])


def test_bench_steps_have_the_signs_of_the_trade() -> None:
    # C: about 45 in +1 in is +4.7 points and +125 kg cm2, +1 g head +0.60 and +12.5, +10 g grip -1.9 and +2
    steps = (
        {},
        {"length_in": Reading(44.75)},
        {"length_in": Reading(45.75)},
        {"swap_g": 2.0},
        {"grip_mass_g": Reading(60.0)},
        {"tip_cut_mm": 12.7},
    )
    base, *changed = figures([replace(ORDERED, **step) for step in steps], 48.0)  # type: ignore[arg-type]
    cut, extend, head, grip, tip = ({n: f[n].value - base[n].value for n in LINES} for f in changed)
    assert extend["swing_weight_points"] == pytest.approx(4.7 / 2, abs=0.2)
    assert extend["moi_kgcm2"] == pytest.approx(125 / 2, abs=5)
    assert cut["frequency_cpm"] > 2
    assert head["swing_weight_points"] == pytest.approx(1.2, abs=0.05)
    assert head["moi_kgcm2"] == pytest.approx(25, abs=0.5)
    assert head["frequency_cpm"] < 0
    assert grip["swing_weight_points"] == pytest.approx(-1.9, abs=0.05)
    assert grip["moi_kgcm2"] == pytest.approx(2, abs=0.5)
    assert tip["frequency_cpm"] > 0
    assert tip["added_loft_deg"] < 0


def test_a_club_built_as_ordered_is_within() -> None:
    back = read_back(ORDERED, built())
    assert back.within
    states = {c.name: c.state for c in back.checks}
    assert states["loft_deg"] == "within"
    assert states["head_mass_g"] == "not measured"
    again = figures([back.club])[0]
    assert again["loft_deg"].value == pytest.approx(9.2, abs=1e-6)
    assert again["loft_deg"].sd == pytest.approx(0.3, rel=0.05)
    assert again["face_angle_deg"].value == pytest.approx(
        figures([ORDERED])[0]["face_angle_deg"].value, abs=0.05
    )
    assert again["head_mass_g"].value == pytest.approx(201.0, abs=0.5)


def test_what_is_out_is_named_and_predicted_again() -> None:
    back = read_back(ORDERED, built(loft_deg=10.1, frequency_cpm=255.0, length_in=45.25))
    assert not back.within
    assert {c.name for c in back.checks if c.state == "out"} == {"loft_deg", "frequency_cpm"}
    assert figures([back.club])[0]["loft_deg"].value == pytest.approx(10.1)
    assert back.club.loft_change_deg == -1.0


def test_a_reading_on_the_limit_is_inside() -> None:
    ok = read_back(ORDERED, built(length_in=45.25 + 0.0625))
    assert {c.name: c.state for c in ok.checks}["length_in"] == "within"
    off = read_back(ORDERED, built(length_in=45.25 + 0.07))
    assert {c.name: c.state for c in off.checks}["length_in"] == "out"
