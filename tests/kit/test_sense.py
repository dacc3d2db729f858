"""Sense of parts and clubs: what is odd is told with its limit and cure, and what cannot be is refused."""

from __future__ import annotations

import json
from dataclasses import replace
from pathlib import Path

import pytest

from fitter import demo
from fitter.base.errors import InputError
from fitter.cli.main import main
from fitter.kit.build import build_sheet
from fitter.kit.catalogue import candidates
from fitter.kit.club import Club, from_kit
from fitter.kit.figures import Reading
from fitter.kit.inventory import Kit
from fitter.kit.offer import Offer
from fitter.kit.parts import Head, Shaft
from fitter.kit.sense import check_buildable, doubtful_club, odd_club, odd_kit, too_short

KIT = Kit.load(demo.folder())
PLAIN = from_kit(KIT, "H4/S2")


def test_an_ordinary_shop_is_not_scolded() -> None:
    assert odd_kit(KIT) == ()
    assert doubtful_club(PLAIN) == ()
    assert doubtful_club(Club(Head("unknown"), Shaft("unknown"), Reading(45.25))) == ()


@pytest.mark.parametrize(
    ("part", "column", "found"),
    [
        # The first four were read 'without fault' by an earlier version.
        (Head("Q", loft_deg=Reading(17.5), stamped_loft_deg=Reading(10.5)), "loft_deg", "17.5 deg"),
        (Head("Q", loft_deg=Reading(10.5), mass_g=Reading(260.0)), "mass_g", "260 g"),
        (Shaft("Q", frequency_cpm=Reading(500.0)), "frequency_cpm", "500 cpm"),
        (Shaft("Q", mass_g=Reading(20.0)), "mass_g", "20 g"),
        (Head("Q", loft_deg=Reading(10.5), face_angle_deg=Reading(-3.7)), "face_angle_deg", "3.70 closed"),
        (Head("Q", loft_deg=Reading(10.5), lie_deg=Reading(48.0)), "lie_deg", "48 deg"),
        (Shaft("Q", length_in=Reading(40.0)), "length_in", "40 in"),
        (Shaft("Q", tip_ei_nm2=Reading(120.0)), "tip_ei_nm2", "120 N m2"),
    ],
)
def test_each_odd_figure_is_named(part: Head | Shaft, column: str, found: str) -> None:
    kit = Kit((part,), ()) if isinstance(part, Head) else Kit((), (part,))
    problems = [p for p in odd_kit(kit) if f"'{column}'" in p.where]
    assert found in problems[0].found
    assert "Q" in problems[0].where
    assert problems[0].allowed
    assert problems[0].do


def test_a_stamp_and_a_gauge_may_differ_as_heads_do() -> None:
    # Seventeen heads of 2008 (Q): measured less stamped, -0.8 to +3.5 deg.
    for off in (-0.8, 3.5):
        head = Head("Q", loft_deg=Reading(10.5 + off), stamped_loft_deg=Reading(10.5))
        assert odd_kit(Kit((head,), ())) == ()
    head = Head("Q", loft_deg=Reading(9.0), stamped_loft_deg=Reading(12.0))
    assert "-3.0 deg" in odd_kit(Kit((head,), ()))[0].found


def test_a_kit_that_breaks_rules_is_told() -> None:
    hot = replace(KIT.head("H1"), ct_us=Reading(300.0))
    (problem,) = odd_kit(Kit((hot,), ()))
    assert "300 us" in problem.found
    assert "Equipment Rules Part 2, 4c" in problem.allowed
    long = replace(KIT.shaft("S2"), playing_in=(45.5, 46.5))
    assert odd_kit(Kit((), (long,))) == ()
    (problem,) = odd_kit(Kit((), (long,)), local_length_rule=True)
    assert "G-10" in problem.allowed


def test_lengths_are_held_against_the_rules() -> None:
    # Equipment Rules Part 2, 1c: 48 in; Model Local Rule G-10: 46 in, where it is in force.
    def told(inches: float, local: bool) -> str:
        club = replace(PLAIN, length_in=Reading(inches))
        return " ".join(map(str, doubtful_club(club, local_length_rule=local)))

    assert told(48.0, False) == told(46.0, True) == ""
    assert "48 in (Equipment Rules Part 2, 1c)" in told(48.5, False)
    assert "46 in (Model Local Rule G-10)" in told(46.25, True)
    assert "ordinarily 42 to 48 in" in told(40.0, False)


def test_a_sleeve_that_turns_the_face_shut_is_told() -> None:
    # About 1.6 deg of soled face for 1 deg of loft: 2 deg closed and a sleeve of +1.
    shut = from_kit(KIT, "H6+1/S2")
    (problem,) = odd_club(shut)
    assert "closed" in problem.found
    assert odd_club(from_kit(KIT, "H6/S2")) == ()


def test_a_shaft_too_short_for_its_club_is_refused() -> None:
    short = replace(KIT.shaft("S2"), length_in=Reading(41.0))
    club = replace(PLAIN, shaft=short, length_in=Reading(45.25))
    # It needs 45.25 in less the 60 mm to the club's end, 42.9 in; a plug bears half an inch.
    with pytest.raises(InputError, match="cannot be built") as caught:
        check_buildable(club)
    assert "41 in" in caught.value.problems[0].found
    assert "43.86 in" in caught.value.problems[0].allowed
    check_buildable(replace(club, length_in=Reading(43.8)))
    assert too_short(short, 43.8, "") == []
    # A tip cut is missing at the butt.
    assert too_short(short, 43.8, "", 25.4) != []
    with pytest.raises(InputError) as caught:
        check_buildable(replace(PLAIN, length_in=Reading(60.0)))
    assert any("Equipment Rules Part 2, 1c" in p.allowed for p in caught.value.problems)


def test_no_option_is_longer_than_its_shaft_allows() -> None:
    short = replace(KIT.shaft("S3"), length_in=Reading(41.0))
    kit = replace(KIT, shafts=tuple(short if s.shaft == "S3" else s for s in KIT.shafts))
    every, found = candidates(KIT, PLAIN, Offer()), candidates(kit, PLAIN, Offer())
    assert found.left_out == {"short": 18}
    assert len(found.clubs) == len(every.clubs) - 18
    assert "S3" not in {c.club.shaft.code for c in found.clubs}
    # The shaft of the present club is long enough: it is in it.
    own = replace(PLAIN, shaft=short, length_in=Reading(45.25))
    assert "S3" in {c.club.shaft.code for c in candidates(kit, own, Offer()).clubs if c.tier == "D"}


# Steps that agree with each other.


def steps(hit: Club, ordered: Club, **how: bool) -> list[str]:
    return [step.action for step in build_sheet(hit, ordered, **how).steps]


def test_nothing_is_ordered_that_is_in_the_club() -> None:
    mine = from_kit(KIT, "H6/S2")  # a head that the shop would have to order
    up = replace(mine, loft_change_deg=1.0)
    assert "order head" not in steps(mine, up)
    assert "set sleeve" in steps(mine, up)
    assert "order head" in steps(PLAIN, mine)
    assert "order head" in steps(mine, mine, all_new=True)


def test_a_shaft_in_its_club_is_cut_by_the_change_of_length() -> None:
    shorter = replace(PLAIN, length_in=Reading(44.75))
    cut = next(s for s in build_sheet(PLAIN, shorter).steps if s.action == "cut butt")
    assert cut.values["size_mm"] == pytest.approx(12.7)
    longer = replace(PLAIN, length_in=Reading(45.75))
    extended = next(s for s in build_sheet(PLAIN, longer).steps if s.action == "extend butt")
    assert extended.values["size_mm"] == pytest.approx(12.7)
    # The raw shaft: 46 in less 44.75 in and the 60 mm to the club's end.
    raw = next(s for s in build_sheet(PLAIN, shorter, all_new=True).steps if s.action == "cut butt")
    assert raw.values["size_mm"] == pytest.approx(1.25 * 25.4 + 60.0)


def test_mass_that_no_weight_carries_is_tape() -> None:
    heavier = replace(PLAIN, swap_g=4.0)
    assert "add mass" in steps(PLAIN, heavier)
    screw = replace(PLAIN.head, weight_g=Reading(10.0))
    assert "swap weight" in steps(replace(PLAIN, head=screw), replace(heavier, head=screw))
    assert not {"add mass", "swap weight"} & set(steps(heavier, heavier))


# At the command line.


def test_kit_check_says_what_is_odd(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    (tmp_path / "heads.csv").write_text("head,stamped_loft_deg,loft_deg,mass_g\nH1,10.5,17.5,260\n")
    (tmp_path / "shafts.csv").write_text("shaft,mass_g,frequency_cpm,playing_in\nS1,20,500,46.5\n")
    assert main(["kit", "check", str(tmp_path)]) == 0
    words = capsys.readouterr().out
    assert "without fault" not in words
    for found in ("260 g", "500 cpm", "20 g", "+7.0 deg"):
        assert found in words
    assert main(["kit", "check", str(tmp_path), "--local-length-rule", "--json"]) == 0
    told = json.loads(capsys.readouterr().out)
    assert "odd" not in told
    assert {p["where"] for p in told["problems"]} >= {
        "head H1, column 'mass_g'", "shaft S1, column 'playing_in'"
    }  # fmt: skip
    assert all(p["found"] and p["allowed"] and p["do"] for p in told["problems"])


def test_build_says_what_is_odd_and_refuses_what_cannot_be(capsys: pytest.CaptureFixture[str]) -> None:
    command = ["build", "H3/S5", "--kit", str(demo.folder()), "--length"]
    assert main([*command, "48.5in"]) == 0
    words = capsys.readouterr().out
    assert "length 48.5 in" in words
    assert "Equipment Rules Part 2, 1c" in words
    assert main([*command, "46.5in", "--json"]) == 0
    assert json.loads(capsys.readouterr().out)["problems"] == []
    assert main([*command, "46.5in", "--local-length-rule", "--json"]) == 0
    assert "G-10" in json.loads(capsys.readouterr().out)["problems"][0]["allowed"]
    assert main([*command, "60in"]) == 2
    words = capsys.readouterr().err
    assert "out of a shaft of 46 in (S5)" in words
    assert "Equipment Rules Part 2, 1c" in words
