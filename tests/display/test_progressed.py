"""Sentences about months: sides of a left-hander, pace, days, notes, and what the page shows."""

from __future__ import annotations

from dataclasses import replace
from datetime import date

import pytest

from fitter.advice.curve import Speeds
from fitter.base.units import Units
from fitter.display import pace, progressed
from fitter.progress.progress import Progress, Remark, Target, progress
from fitter.progress.trend import Reached
from fitter.sheet import months
from tests.progress import made

US = Units()


@pytest.fixture(scope="module")
def found() -> Progress:
    return progress([made.hit(k, 101.0 + 2.0 * k) for k in range(4)], draws=64)


def test_a_left_hander_reads_the_other_side(found: Progress) -> None:
    other = progress([made.mirrored(made.hit(k, 101.0 + 2.0 * k)) for k in range(4)], draws=64)
    assert other.visits[1].figures == found.visits[1].figures
    one, two = (progressed.data(p)["visits"][1] for p in (found, other))
    assert two["path_deg"]["value"] == -one["path_deg"]["value"]
    assert (two["path_deg"]["low"], two["path_deg"]["high"]) == (
        -one["path_deg"]["high"],
        -one["path_deg"]["low"],
    )
    assert two["attack_deg"] == one["attack_deg"]
    # The strike is told from the face: the toe is the toe.
    assert two["toe_mm"] == one["toe_mm"]
    sides = [progressed.swings(p, US)[1][1][4].split()[-1] for p in (found, other)]
    assert set(sides) == {"L", "R"}


@pytest.mark.parametrize("system", ["us", "metric"])
def test_the_text_fits(found: Progress, system: str) -> None:
    lines = progressed.text(found, Units(system)).splitlines()
    assert max(map(len, lines)) <= 100
    assert ("m/s" in lines[3]) == (system == "metric")


def test_the_picture_of_the_terminal_has_a_line_for_every_visit(found: Progress) -> None:
    lines = progressed.picture(found, US)
    assert [line[:10] for line in lines[1:5]] == [d.isoformat() for d in made.DAYS]
    assert all(line.count("●") == 1 for line in lines[1:5])
    places = [line.index("●") for line in lines[1:5]]
    assert places == sorted(places)
    assert len(set(places)) == 4


def speeds(expected: float | None, reason: str = "") -> Speeds:
    return Speeds(expected, None if expected is None else expected - 1.0, None, reason)


@pytest.mark.parametrize(
    ("when", "said"),
    [
        (None, "no pace is told"),
        (Reached(date(2027, 3, 1), date(2027, 1, 1), None, 0.7, date(2027, 9, 5), False), "March 2027"),
        (
            Reached(date(2027, 3, 1), date(2027, 1, 1), None, 0.7, date(2027, 9, 5), False),
            "later than a year",
        ),
        (Reached(None, None, None, 0.02, date(2027, 9, 5), False), "not reached within the year"),
        (Reached(date(2026, 9, 5), None, None, 1.0, date(2027, 9, 5), True), "there already"),
    ],
)
def test_when_it_is_reached(when: Reached | None, said: str) -> None:
    words = pace.target(Target(250.0, speeds(52.0), 50.0, when), US)
    assert words[0].startswith("273 yd of carry in that air needs 116.3 mph")
    assert "114.1 to ?" in words[0]
    assert said in words[1]


def test_a_distance_that_speed_does_not_reach() -> None:
    words = pace.target(Target(400.0, speeds(None, "peaked"), 50.0, None), US)
    assert len(words) == 1
    assert "not reachable" in words[0]


@pytest.mark.parametrize(
    ("remark", "said"),
    [
        (Remark("no anchor", ("H1/S1 45.25in", (date(2026, 3, 1),))), "on 2026-03-01 another club"),
        (Remark("unknown club", (("a",),)), "hardly told"),
        (Remark("devices", (("A", ""), 0.015)), "A, one not named"),
        (Remark("inferred", (("attack_deg",),)), "inferred from the ball there: attack"),
        (Remark("no carry", ((date(2026, 3, 1),),)), "no carry was measured"),
        (Remark("indoors", ((date(2026, 3, 1),),)), "indoors"),
        (Remark("aside", (date(2026, 3, 1), 2)), "2 balls set aside"),
        (Remark("stale", (date(2026, 3, 1), 1)), "1 ball left out"),
    ],
)
def test_notes(remark: Remark, said: str) -> None:
    assert said in progressed.remark(remark, US)


def test_no_pace_has_a_reason(found: Progress) -> None:
    assert found.pace is not None
    for code, words in (("visits", "3 visits"), ("span", "2 months"), ("sign", "P(up)")):
        assert words in pace.pace(replace(found.pace, told=code), US)
    assert "a month" in pace.pace(replace(found.pace, told=""), US)


def test_the_page_holds_the_figures_of_the_text(found: Progress) -> None:
    page = months.content(found, US)
    assert page["tables"][0]["rows"] == [list(r) for r in progressed.speeds(found, US)[1]]
    speed, carry = page["charts"]
    assert len(speed["points"]) == len(carry["points"]) == 4
    assert speed["band"]
    assert not carry["band"]
    for chart in (speed, carry):
        for x, low, middle, high in chart["points"]:
            assert 0.0 <= x <= 1.0
            assert 0.0 <= low < middle < high <= 1.0
    for change in page["changes"]:
        assert len(change["bars"]) == len(change["rows"])
        assert all(0.0 <= low <= middle <= high <= 1.0 for low, middle, high in change["bars"])
    text = months.markdown(page)
    assert text.count("| unexplained |") == 2
    assert "2026-09-05" in text


def test_the_same_answer_has_the_same_bytes(found: Progress) -> None:
    page = months.content(found, US)
    assert months.png(page, 40.0) == months.png(page, 40.0)
    assert months.pdf(page) == months.pdf(page)


def test_a_strange_name_is_text(found: Progress) -> None:
    page = months.content(replace(found, player="#*$山\u202e"), US)
    assert months.pdf(page).startswith(b"%PDF-")
    assert "\\#\\*\\$" in months.markdown(page)
