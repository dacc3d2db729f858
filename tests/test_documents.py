"""What the documents show runs as written."""

from __future__ import annotations

import re
import shlex
from pathlib import Path

import pytest

from fitter.cli.main import main

ROOT = Path(__file__).parent.parent
README = (ROOT / "README.md").read_text(encoding="utf-8")
DEVELOPERS = (ROOT / "DEVELOPERS.md").read_text(encoding="utf-8")
COMMANDS = re.findall(r"^\.venv/bin/fitter (.+)$", README, flags=re.MULTILINE)


def test_the_readme_shows_commands() -> None:
    assert len(COMMANDS) > 5


@pytest.mark.usefixtures("remembered")
@pytest.mark.parametrize("command", COMMANDS)
def test_a_command_of_the_readme_runs(
    command: str, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.chdir(ROOT)
    words = shlex.split(command)
    # Where many answers are computed in few draws: their number changes figures, not what is understood.
    more = ["--draws", "32"] if words[0] in ("batch", "reach") else []
    assert main([*words, *more]) == 0
    assert capsys.readouterr().out


@pytest.mark.usefixtures("remembered")
def test_the_excerpt_is_of_this_version(capsys: pytest.CaptureFixture[str]) -> None:
    """The figures may move by rounding; the verdict and the options of the ladder may not."""
    assert main(["demo"]) == 0
    printed = capsys.readouterr().out
    verdict = re.search(r"^Trade, for the player to choose: (.+) gains", README, flags=re.MULTILINE)
    assert verdict is not None
    assert f"Trade, for the player to choose: {verdict[1]} gains" in printed
    rung = re.compile(r"^[ >][A-E] (?:\S+ )+(?= )", flags=re.MULTILINE)
    assert len(rung.findall(printed)) > 5
    assert rung.findall(README) == rung.findall(printed)
    counts = re.compile(r"\d+ (?:shots used|set aside|options)\b")
    assert set(counts.findall(printed)) <= set(counts.findall(README))


def test_the_set_up_lines_stand_in_the_readme() -> None:
    start = "python3 -m venv .venv && .venv/bin/pip install -q -e"
    assert f"\n{start} . && .venv/bin/fitter demo\n" in README
    assert f"\n{start} '.[test]' && .venv/bin/pytest\n" in README


@pytest.mark.parametrize("name", sorted(set(re.findall(r"`((?:fitter|tests|reference|demo_data)/[\w/.]+)`",
                                                       README + DEVELOPERS))))  # fmt: skip
def test_a_path_that_the_documents_name_exists(name: str) -> None:
    assert (ROOT / name).exists()


@pytest.mark.parametrize("module", re.findall(r"\.venv/bin/python -m (\S+)", DEVELOPERS))
def test_a_module_that_the_documents_run_exists(module: str) -> None:
    path = ROOT / Path(*module.split("."))
    assert path.with_suffix(".py").exists() or (path / "__main__.py").exists()
