"""Shots are judged in the air in which they were hit, seen from the side on which the player stands."""

from __future__ import annotations

import csv
import json
from dataclasses import replace
from pathlib import Path

import pytest

from fitter.advice.baseline import screened
from fitter.advice.question import ask
from fitter.advice.rank import rank
from fitter.base.conditions import Conditions
from fitter.cli.main import main
from fitter.shots.session import Session
from fitter.simulate.strike import ordinary_head
from fitter.tui.bench import Bench
from fitter.tui.reading import understand
from reference.oracles.places import at_altitude
from tests.advice import virtual

HIGH = at_altitude(1600.0)
COLD = Conditions(temperature_c=2.0)
AIRS = pytest.mark.parametrize("air", [HIGH, COLD], ids=["1600 m", "2 C"])
CROSS = Conditions(wind_mps=7.0, wind_from_deg=60.0)
SWING = (120, -2, 16)
"""High spin, where the air counts most."""


def carries(session: Session) -> list[int]:
    return [f.shot for f in session.flags if f.channel == "carry_m"]


def with_wrong_carries(session: Session) -> Session:
    values = {k: v.copy() for k, v in session.values.items()}
    values["carry_m"][2] *= 1.25
    values["carry_m"][7] *= 0.75
    return replace(session, values=values)


@AIRS
def test_nothing_is_a_misread_for_the_air_it_was_hit_in(air: Conditions) -> None:
    session = virtual.session(*SWING, n=16, air=air)
    found = screened(session, ordinary_head(), air)
    assert not found.set_aside.any()
    assert carries(found) == []
    assert carries(screened(with_wrong_carries(session), ordinary_head(), air)) == [3, 8]


def test_the_wrong_air_is_seen_in_the_carries() -> None:
    # Else the test above could not fail: at 1,600 m this ball goes further than the room of the check.
    assert len(carries(screened(virtual.session(*SWING, n=16, air=HIGH), ordinary_head()))) > 8


def test_what_is_expected_of_a_carry_is_expected_in_its_air() -> None:
    # 2 C alone stays within the room of the check, so its limits are compared.
    session = with_wrong_carries(virtual.session(*SWING, n=16, air=COLD))

    def limits(air: Conditions) -> list[float]:
        (flag, _) = (f for f in screened(session, ordinary_head(), air).flags if f.channel == "carry_m")
        return list(flag.expected)

    cold, standard = limits(COLD), limits(Conditions())
    assert all(c < 0.985 * s for c, s in zip(cold, standard, strict=True))


@AIRS
def test_a_ranking_screens_in_the_air_of_the_session(air: Conditions) -> None:
    session = virtual.session(*SWING, n=16, air=air)
    ranking = rank(ask(session, virtual.kit(), "G/R", measured_in=air, draws=16), flips=False)
    assert carries(ranking.shots) == []
    wrong = rank(
        ask(
            with_wrong_carries(session),
            virtual.kit(),
            "G/R",
            "carry",
            conditions=None,
            measured_in=air,
            draws=16,
        ),
        flips=False,
    )
    assert carries(wrong.shots) == [3, 8]


@AIRS
def test_the_screen_reads_in_the_air_of_the_session(air: Conditions) -> None:
    session = virtual.session(*SWING, n=16, air=air)
    assert carries(understand(Bench(player="P", measured=air), session).session) == []


def written(path: Path, session: Session) -> str:
    with path.open("w", newline="") as file:
        out = csv.writer(file)
        out.writerow(session.values)
        out.writerows(zip(*(v.tolist() for v in session.values.values()), strict=True))
    return str(path)


def test_read_takes_the_air_of_the_session(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    log = written(tmp_path / "log.csv", virtual.session(*SWING, n=16, air=HIGH))

    def flagged(*words: str) -> list[int]:
        assert main(["read", log, "--player", "P", "--json", *words]) == 0
        return [f["shot"] for f in json.loads(capsys.readouterr().out)["flags"] if f["channel"] == "carry_m"]

    assert flagged()
    assert flagged("--measured-in", "altitude=1600m") == []
    assert flagged("--altitude", "1600m") == []


def test_a_left_handers_losses_are_those_of_the_mirror_image() -> None:
    right = virtual.session(*SWING, n=14, air=CROSS)
    # A session is right-handed inside, whoever hit it: the same shots, a left-hander's in the mirrored wind.
    left = replace(right, hand="left")
    here = understand(Bench(player="P", measured=CROSS), right)
    there = understand(Bench(player="P", hand="left", measured=CROSS.mirrored()), left)
    assert here.losses
    assert there.losses == here.losses
    assert there.session.flags == here.session.flags
    assert understand(Bench(player="P", hand="left", measured=CROSS), left).losses != here.losses
