"""Judged numbers of a shop's own file lie over the usual ones for one command."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from fitter import demo
from fitter.base.assumptions import current, defaults
from fitter.cli.main import COMMANDS, build_parser, main

Capture = pytest.CaptureFixture[str]
STRIKE = ["strike", "--club-speed", "110mph", "--attack", "2", "--loft", "14", "--json"]
OWN = """[strike.restitution]
value = 0.70
sd = 0.01
unit = "1"
source = "own bench"
letter = "M"
"""


@pytest.fixture
def file(tmp_path: Path) -> str:
    unit = defaults()["strike.restitution"].unit
    (tmp_path / "own.toml").write_text(OWN.replace('"1"', json.dumps(unit)), encoding="utf-8")
    return str(tmp_path / "own.toml")


def said(words: list[str], capsys: Capture) -> dict[str, object]:
    assert main(words) == 0
    found: dict[str, object] = json.loads(capsys.readouterr().out)
    return found


def test_a_number_of_the_file_counts_and_nothing_of_it_stays(file: str, capsys: Capture) -> None:
    usual, own, again = (said([*STRIKE, *more], capsys) for more in ([], ["--assumptions", file], []))
    # A lower restitution: a slower ball.
    assert own["ball_speed_mps"] < usual["ball_speed_mps"] - 1.0  # type: ignore[operator]
    assert again == usual
    assert current() is defaults()


def test_the_command_assumptions_prints_those_in_force(file: str, capsys: Capture) -> None:
    found = said(["assumptions", "strike.restitution", "--json", "--assumptions", file], capsys)
    assert found["strike.restitution"]["source"] == "own bench"  # type: ignore[index]


def test_a_ranking_names_the_numbers_that_differ(file: str, capsys: Capture) -> None:
    folder = demo.folder()
    words = ["rank", str(folder / "P4.csv"), "--kit", str(folder), "--present", "H3/S5", "--draws", "16"]
    found = said([*words, "--json", "--assumptions", file], capsys)
    assert found["assumptions"] == {"strike.restitution": 0.70}


def test_every_command_takes_a_file() -> None:
    for name in COMMANDS:
        sub = build_parser(name)._subparsers._group_actions[0].choices[name]  # type: ignore[union-attr,index]
        assert "--assumptions" in sub.format_help()


def test_a_file_that_is_not_there_is_said(tmp_path: Path, capsys: Capture) -> None:
    assert main([*STRIKE, "--assumptions", str(tmp_path / "none.toml")]) == 2
    assert "none.toml" in capsys.readouterr().err
