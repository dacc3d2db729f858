"""What is said of shots and of changes: units in force, L and R in place of signs, one wording."""

from __future__ import annotations

from dataclasses import fields, replace

import numpy as np
import pytest

from fitter.advice.objectives import OBJECTIVES
from fitter.advice.options import Option
from fitter.advice.question import ask
from fitter.advice.rank import rank
from fitter.advice.result import Ranking
from fitter.advice.scored import DIRECTION, Reason
from fitter.base.conditions import Conditions
from fitter.base.units import METRIC, US, Units
from fitter.display.ladder import PLAIN, axis_of_ends, axis_of_ticks, bar, brackets, scale_of
from fitter.display.points import ellipse, front, ticks
from fitter.display.shots import COLUMNS, columns, flag_lines, flag_words, flags_seen
from fitter.display.text import cell_len, fit
from fitter.display.values import Values
from fitter.display.words import (
    WINDS,
    air,
    change_of_start,
    changed,
    club_in_full,
    kinds_of_change,
    wind,
)  # fmt: skip
from fitter.kit.card import present_club
from fitter.kit.catalogue import BENCH_WORK, tier_of
from fitter.kit.club import Club
from fitter.kit.offer import Offer
from fitter.shots.reader import intake
from fitter.shots.vocabulary import CHANNELS
from tests.advice import virtual

PRESENT = present_club(virtual.kit(), "G/R")


@pytest.fixture(scope="module")
def ranking() -> Ranking:
    return rank(ask(virtual.session(112, -1, 12.5), virtual.kit(), "G/R", draws=32))


@pytest.mark.parametrize(
    ("value", "said"), [(-3.24, "3.2 m L"), (0.04, "0.0 m"), (3.0, "3.0 m R"), (None, "-")]
)
def test_sides_are_words(value: float | None, said: str) -> None:
    assert METRIC.across(value, 1) == said


@pytest.mark.parametrize("units", [US, METRIC])
def test_numbers_without_a_value_show_a_dash_and_no_unit(units: Units) -> None:
    for said in (
        units.distance(None),
        units.speed(float("nan")),
        units.change(None),
        units.side(None, "deg"),
    ):
        assert said == "-"


def test_what_rounds_to_nought_has_no_sign() -> None:
    assert [US.change(-0.01), US.number(-0.4), Units("us", "\N{MINUS SIGN}").number(-0.004, 2)] == [
        "0.0 yd",
        "0",
        "0.00",
    ]


def test_a_column_knows_group_and_unit_of_its_channel() -> None:
    assert [c.group for c in COLUMNS] == sorted(
        (c.group for c in COLUMNS), key=["swing", "strike", "start", "finish"].index
    )
    by_name = {c.channel: c for c in COLUMNS}
    assert len(by_name) == len(COLUMNS)
    assert (by_name["carry_m"].unit(US), by_name["ball_speed_mps"].unit(METRIC)) == ("yd", "m/s")
    assert by_name["spin_rpm"].unit(US) == CHANNELS["spin_rpm"].unit
    # 50 m/s and 250 m, by hand: 111.85 mph and 273.40 yd
    assert by_name["ball_speed_mps"].cell(50.0, US) == "112"
    assert by_name["ball_speed_mps"].cell(50.0, METRIC) == "50.0"
    assert by_name["carry_m"].cell(250.0, US) == "273"
    assert by_name["offline_m"].cell(-9.144, US) == "10 L"
    assert by_name["strike_high_mm"].cell(-7.6, US) == "8 low"


def test_only_measured_columns_are_shown() -> None:
    session = virtual.session(112, -1, 12.5)
    assert {c.channel for c in columns(session)} == {c.channel for c in COLUMNS if session.has(c.channel)}


def test_the_wind_is_told_by_eighths() -> None:
    assert [wind(Conditions(wind_mps=5.0, wind_from_deg=45.0 * k), METRIC) for k in range(8)] == [
        f"5.0 m/s {words}" for words in WINDS
    ]
    assert "landing 10 m below the tee" in air(Conditions(landing_height_m=-10.0), METRIC)
    sloping = air(Conditions(slope_along=-0.03, slope_right=0.025), METRIC)
    assert sloping.endswith("landing 3.0 % downhill, landing rising 2.5 % to the right")


def test_a_left_handers_direction_is_mirrored_back() -> None:
    reason = Reason(DIRECTION, 0.8, "deg", 1.0, 1.0)
    assert change_of_start(reason, "right", US) == "0.8 deg R"
    assert change_of_start(reason, "left", US) == "0.8 deg L"
    # 1 m/s is 2.237 mph
    assert change_of_start(Reason("ball speed", 1.0, "m/s", 1.0, 1.0), "left", US) == "+2.2 mph"


def test_values_of_every_objective_have_a_unit_and_digits() -> None:
    for objective in OBJECTIVES.values():
        values = Values(objective, US)
        assert values.unit in values.full(0.5)
        low = values.at_least(0.1234567)
        assert float(low.split()[0]) <= values.shown(0.1234567)


def test_a_bar_holds_mean_ends_and_present_club(ranking: Ranking) -> None:
    values = Values(ranking.objective, US)
    scale = scale_of(ranking.options, values, 40)
    for s in ranking.options:
        g, row = s.value_gain, "".join(glyph for glyph, _ in bar(s, scale, PLAIN))
        assert len(row) == 40
        assert row[scale.place(g.mean)] == "o"
        assert set(row[: scale.place(g.low)]) <= {" ", "|"}
        assert set(row[scale.place(g.high) + 1 :]) <= {" ", "|"}
        assert 0.0 <= scale.share(g.low) <= scale.share(g.mean) <= scale.share(g.high) <= 1.0
    assert axis_of_ends(scale)[scale.place(0.0)] == "|"
    assert "present" in axis_of_ticks(scale)
    assert len(axis_of_ticks(scale)) == 40


def test_brackets_join_what_cannot_be_told_apart(ranking: Ranking) -> None:
    rows = list(ranking.options)
    marks = brackets(rows)
    tied = [k for k, s in enumerate(rows) if s.tied]
    assert len(marks) == len(rows)
    if len(tied) > 1:
        assert (marks[tied[0]], marks[tied[-1]]) == ("┐", "┘")
    assert all(marks[k] != " " for k in tied) or len(tied) < 2


def test_an_ellipse_needs_four_known_points() -> None:
    points = np.array([[0.0, 1.0], [1.0, 0.0], [2.0, 2.0], [np.nan, 1.0]])
    assert ellipse(points, 0.8) is None
    points[3] = [1.0, 1.5]
    assert ellipse(points, 0.8) is not None
    assert (front("right"), front("left")) == (-1.0, 1.0)
    assert ticks(0.0, 1.0, 5) == [0.0, 0.2, 0.4, 0.6, 0.8, 1.0]


@pytest.mark.parametrize("words", ["", "日本", "a\tb", "abcdefghij"])
@pytest.mark.parametrize("right", [False, True])
def test_fitted_words_take_exactly_their_room(words: str, right: bool) -> None:
    assert cell_len(fit(words, 5, right)) == 5


def test_a_left_handers_flags_are_told_as_seen(tmp_path) -> None:  # type: ignore[no-untyped-def]
    log = tmp_path / "log.csv"
    log.write_text("ball speed (mph),path (deg),strike toe (mm)\n150,25,50\n151,-3,2\n152,12,1\n")
    session = intake.read(log, hand="left")
    found = {(f.shot, f.channel): flag_words(f)[0] for f in flags_seen(session)}
    # The file's own signs: 25 and 12 deg to the player's right; toe and heel never flip.
    assert found[1, "path_deg"] == "25 deg"
    assert found[3, "path_deg"] == "12 deg"
    assert found[1, "strike_toe_mm"] == "50 mm"
    lines = "\n".join(flag_lines(session, US))
    assert "found 25 deg R, expected 20 L to 20 R deg" in lines
    right = intake.read(log, hand="right")
    assert {(f.shot, f.channel): flag_words(f)[0] for f in flags_seen(right)} == found


def test_flags_for_people_are_in_the_units_in_force(tmp_path) -> None:  # type: ignore[no-untyped-def]
    log = tmp_path / "log.csv"
    log.write_text("club speed (mph),ball speed (mph),carry (yd)\n100,-5,900\n101,147,240\n")
    session = intake.read(log)
    us, metric = ("\n".join(flag_lines(session, units)) for units in (US, METRIC))
    # 900 yd is 823 m; -5 mph is -2.235 m/s (exact factors)
    assert "found -5 mph" in us
    assert "found 900 yd" in us
    assert "found -2.235 m/s" in metric
    assert "found 823 m" in metric


def bench_works() -> dict[str, Club]:
    """One club of each kind of bench work, every size of an offer named; a cut of the tip besides."""
    sizes = {f.name: (f.metadata["high"] / 2.0,) for f in fields(Offer) if f.metadata}
    made = {work.__name__: next(iter(work(PRESENT, Offer(**sizes)))) for work in BENCH_WORK}
    return made | {"tip cut": replace(PRESENT, tip_cut_mm=10.0)}


@pytest.mark.parametrize("club", bench_works().values(), ids=list(bench_works()))
def test_every_bench_work_has_a_code_words_and_a_tier(club: Club) -> None:
    option = Option(club.code, tier_of(club, PRESENT), club)
    assert club.code != PRESENT.code
    assert option.tier == "B"
    assert option.steps(PRESENT) == 1
    assert changed(option, PRESENT) != "present club"
    assert kinds_of_change(option, PRESENT) == {"length or weight"}
    assert club_in_full(club) != club_in_full(PRESENT)
