"""Contradictions: right logs are left alone, wrong ones are told with the cure that mends them.

The logs come from the hidden truth of the invented shop, which holds no judged number of the program.
"""

from pathlib import Path

import numpy as np
import pytest

from fitter import demo
from fitter.advice.baseline import Note
from fitter.advice.question import ask
from fitter.advice.rank import rank
from fitter.base.conditions import Conditions
from fitter.cli.main import main
from fitter.display import doubts as words
from fitter.display import serialise
from fitter.display import verdict as sentences
from fitter.display.notes import noted
from fitter.kit.inventory import Kit
from fitter.kit.offer import offer
from fitter.shots.contradictions import contradictions
from fitter.shots.mixture import mixture, two_clubs
from fitter.shots.reader import intake
from fitter.simulate.flight import fly
from fitter.simulate.strike import ordinary_head
from tests.shots import mutations
from tests.shots.mutations import Rows, number, written

LOGS = mutations.good()
DRIVER = ("P1", "P2", "P3", "P4")


@pytest.fixture(scope="module")
def demo_kit() -> Kit:
    return Kit.load(demo.folder())


def told(rows: Rows, tmp_path: Path, **how):
    session = intake.read(written(rows, tmp_path / "log.csv"), **how)
    return session, contradictions(session, ordinary_head())


def column(rows: Rows, header: str, change) -> Rows:
    at = rows[0].index(header)
    return [rows[0], *([*r[:at], change(r[at]), *r[at + 1 :]] for r in rows[1:])]


def times(factor: float):
    return lambda c: f"{number(c) * factor:.2f}" if np.isfinite(number(c)) else c


def swapped(rows: Rows, one: str, other: str) -> Rows:
    turn = {one: other, other: one}
    return [[turn.get(h, h) for h in rows[0]], *rows[1:]]


@pytest.mark.parametrize("name", LOGS)
def test_right_logs_are_left_alone(name: str, tmp_path: Path) -> None:
    assert told(LOGS[name], tmp_path)[1] == ()


WRONG = {
    "launch and loft": lambda r: swapped(r, "launch (deg)", "dynamic loft (deg)"),
    "carry and total": lambda r: swapped(r, "carry (yd)", "total (yd)"),
    "club and ball speed": lambda r: swapped(r, "club speed (mph)", "ball speed (mph)"),
    "speeds in m/s": lambda r: column(
        column(r, "club speed (mph)", times(0.44704)), "ball speed (mph)", times(0.44704)
    ),
    "spin in rps": lambda r: column(r, "spin (rpm)", times(1 / 60)),
    "loft in rad": lambda r: column(r, "dynamic loft (deg)", times(np.pi / 180)),
    "toe in inches": lambda r: column(r, "toe (mm)", times(1 / 25.4)),
}  # fmt: skip


@pytest.mark.parametrize("fault", WRONG)
@pytest.mark.parametrize("name", DRIVER)
def test_the_cure_mends_what_is_wrong(fault: str, name: str, tmp_path: Path) -> None:
    right, _ = told(LOGS[name], tmp_path)
    _, found = told(WRONG[fault](LOGS[name]), tmp_path)
    cure = dict(pair for d in found for pair in d.cure)
    mended, left = told(WRONG[fault](LOGS[name]), tmp_path, header_map=cure)
    assert cure
    assert left == ()
    for channel, values in right.values.items():
        # Two decimals of another unit are what the cells hold.
        np.testing.assert_allclose(mended.value(channel), values, rtol=0.02, atol=0.6, err_msg=channel)


@pytest.mark.parametrize("name", ["P1", "P2"])
def test_an_attack_of_the_other_sign_is_told_with_its_cure(name: str, tmp_path: Path) -> None:
    found = told(column(LOGS[name], "attack (deg)", times(-1.0)), tmp_path)[1]
    assert [(d.code, d.cure) for d in found] == [("sign", (("attack (deg)", "-attack_deg"),))]


def test_a_left_hander_read_as_right_handed_is_told(tmp_path: Path) -> None:
    # Guest 13 is left-handed by the roster; the log does not say so.
    rows = [r[1:] for r in LOGS["Guest 13"]]
    (doubt,) = told(rows, tmp_path)[1]
    assert doubt.channels == ("strike_toe_mm",)
    assert "--hand left" in words.sentence(doubt)
    assert told(rows, tmp_path, hand="left")[1] == ()


def test_totals_under_their_carries_are_told_without_a_cure(tmp_path: Path) -> None:
    rows = LOGS["P4"]
    carry, total = rows[0].index("carry (yd)"), rows[0].index("total (yd)")
    short = [[*r[:total], f"{number(r[carry]) - 8:.1f}", *r[total + 1 :]] for r in rows[1:]]
    half = [a if k % 2 else b for k, (a, b) in enumerate(zip(rows[1:], short, strict=True))]
    (doubt,) = told([rows[0], *half], tmp_path)[1]
    assert (doubt.code, doubt.channels[0], doubt.cure) == ("disagrees", "total_m", ())
    assert 6 <= doubt.shots <= 8


def test_a_confirmed_column_is_not_doubted_again(tmp_path: Path) -> None:
    rows = column(LOGS["P4"], "carry (yd)", times(0.9144))
    found = told(rows, tmp_path)[1]
    assert found[0].channels == ("carry_m",)
    assert told(rows, tmp_path, header_map={"carry (yd)": "carry_m"})[1] == ()


def test_thin_air_is_no_contradiction_where_it_is_said(tmp_path: Path) -> None:
    # ISO 2533 at 2,500 m: 746.8 hPa and -1.25 C.
    thin = Conditions(pressure_pa=74683.0, temperature_c=-1.25)
    high, low = (fly(83.0, 17.0, 3600.0, conditions=air).carry_m for air in (thin, Conditions()))
    assert high > 1.04 * low
    rows = column(column(LOGS["P1"], "carry (yd)", times(high / low)), "total (yd)", times(high / low))
    session, found = told(rows, tmp_path)
    assert "carry_m" in {d.about for d in found}
    assert contradictions(session, ordinary_head(), thin) == ()


def test_few_shots_tell_nothing(tmp_path: Path) -> None:
    assert told(WRONG["launch and loft"](LOGS["P4"])[:4], tmp_path)[1] == ()


def test_a_doubted_log_earns_no_change(tmp_path: Path, demo_kit: Kit) -> None:
    few = offer(tiers=("A", "D"))
    rows = WRONG["launch and loft"](LOGS["P1"])
    asked = {"offer": few, "draws": 64}
    right, wrong = (
        rank(
            ask(intake.read(written(r, tmp_path / "a.csv")), demo_kit, "H4/S2", "total", **asked), flips=False
        )
        for r in (LOGS["P1"], rows)
    )
    assert right.verdict.action in ("change", "trade")
    assert right.verdict.withheld == ()
    assert wrong.verdict.action not in ("change", "trade")
    assert wrong.verdict.withheld == (Note("exchanged"),)
    data = serialise.ranking(wrong)
    assert data["verdict"]["withheld"] == ["exchanged"]
    cures = [c for d in data["session"]["doubts"] for c in d["cure"]]
    assert sorted(cures) == ["dynamic loft (deg)=launch_deg", "launch (deg)=dynamic_loft_deg"]
    # The sentence is said once, before the verdict.
    said = sentences.verdict(wrong)
    assert said.startswith("Mend the log first: ")
    assert not any("exchanged" in note for note in noted(wrong.notes))


def test_two_groups_are_two_and_one_is_one() -> None:
    rng = np.random.default_rng(2)
    one = rng.standard_t(6, size=(60, 30, 3))
    alone = [mixture(x) for x in one]
    assert sum(gain > 5.0 and apart > 3.0 and 5 <= g.sum() <= 25 for g, gain, apart in alone) <= 1
    other = one[0] + np.array([9.0, 0.0, 0.0])
    group, gain, apart = mixture(np.where(np.arange(30)[:, None] % 2, other, one[0]))
    assert gain > 5.0
    assert apart > 5.0
    assert group[::2].mean() in (0.0, 1.0)


def test_one_player_with_one_club_has_no_second_one(tmp_path: Path) -> None:
    read = (intake.read(written(rows, tmp_path / "log.csv")) for rows in LOGS.values())
    assert not any(map(two_clubs, read))


def test_read_tells_of_carries_and_totals_alone(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    rows = LOGS["P4"]
    at = [rows[0].index(h) for h in ("hand", "carry (yd)", "total (yd)")]
    few = swapped([[r[i] for i in at] for r in rows], "carry (yd)", "total (yd)")
    assert main(["read", str(written(few, tmp_path / "log.csv"))]) == 0
    said = " ".join(capsys.readouterr().out.split())
    assert "Mend the log first: the columns of carry and total look exchanged" in said
    assert "--map 'carry (yd)=total_m' --map 'total (yd)=carry_m'" in said
