"""The command `sheet`: files, refusals, the same options as `rank`."""

from __future__ import annotations

import json
import subprocess
import sys
from collections.abc import Sequence
from pathlib import Path

import pytest

from fitter import demo
from fitter.cli.main import main

DATA = demo.folder()
Capture = pytest.CaptureFixture[str]
SHEET = ("sheet", DATA / "P4.csv", "--kit", DATA, "--present", "H3/S5", "--draws", "32")


def run(argv: Sequence[object], capsys: Capture) -> tuple[int, str, str]:
    code = main([str(a) for a in argv])
    out, err = capsys.readouterr()
    assert "Traceback" not in out + err
    return code, out, err


@pytest.mark.parametrize(
    ("name", "start"), [("a.pdf", b"%PDF-"), ("a.png", b"\x89PNG"), ("a.md", b"# Driver")]
)
def test_the_suffix_says_what_is_written(name: str, start: bytes, tmp_path: Path, capsys: Capture) -> None:
    path = tmp_path / name
    code, out, _ = run([*SHEET, "-o", path], capsys)
    assert code == 0
    assert path.read_bytes().startswith(start)
    assert out == f"{path}: written.\n"
    assert list(tmp_path.iterdir()) == [path]


def test_two_runs_give_the_same_bytes(tmp_path: Path, capsys: Capture) -> None:
    found = []
    for name in ("a.pdf", "b.pdf"):
        run([*SHEET, "--evidence", "--paper", "letter", "-o", tmp_path / name], capsys)
        found.append((tmp_path / name).read_bytes())
    assert found[0] == found[1]


def test_markdown_goes_to_stdout(capsys: Capture) -> None:
    code, out, err = run([*SHEET, "--markdown", "--units", "metric", "--evidence"], capsys)
    assert code == 0
    assert err == ""
    assert "Keep the present club" in out
    assert " yd" not in out.partition("## What players ask")[0]
    assert "(set aside)" in out


def test_json_is_the_sheet_as_data(capsys: Capture) -> None:
    code, out, _ = run([*SHEET, "--json"], capsys)
    assert code == 0
    assert json.loads(out)["verdict"]["action"] == "keep"


def test_a_choice_is_printed_with_its_reason(capsys: Capture) -> None:
    chosen = "H3/S1 45.25in"
    code, out, _ = run([*SHEET, "--chosen", chosen, "--why", "likes *it*", "--markdown"], capsys)
    assert code == 0
    assert "Chosen: H3, shaft S1 in place of the present club" in out
    assert r"likes \*it\*" in out
    code, _, err = run([*SHEET, "--chosen", "H33", "--markdown"], capsys)
    assert code == 2
    assert "--chosen: found 'H33'" in err


@pytest.mark.parametrize(
    ("words", "told"),
    [
        ((), ["-o: found nothing"]),
        (("-o", "a.doc"), ["suffix '.doc'", ".pdf, .png, .md"]),
        (("-o", "no/such/a.pdf"), ["folder 'no/such', which does not exist"]),
        (("-o", "no/such/a.doc"), ["suffix '.doc'", "which does not exist"]),
        (("-o", "a.png", "--evidence"), ["--evidence: found a .png"]),
        (("-o", "a.pdf", "--card", "--evidence"), ["--card"]),
        (("-o", "a.pdf", "--why", "because"), ["--why: found 'because'"]),
        (("-o", "a.pdf", "--fonts", "nowhere"), ["--fonts: found 'nowhere'"]),
        (("-o", "a.doc", "--why", "x", "--draws", "1"), ["suffix '.doc'", "--why"]),
    ],
)
def test_what_cannot_be_written_is_refused_before_anything_is_ranked(
    words: Sequence[str], told: list[str], tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: Capture
) -> None:
    monkeypatch.chdir(tmp_path)
    code, out, err = run([*SHEET, *words], capsys)
    assert (code, out) == (2, "")
    for part in told:
        assert part in err
    assert list(tmp_path.iterdir()) == []


def test_help_needs_no_typesetter() -> None:
    program = "import sys\nfrom fitter.cli.main import main\nmain(['sheet', '--help'])\n"
    program += "assert not {'typst', 'scipy', 'numba'} & set(sys.modules), set(sys.modules)"
    done = subprocess.run([sys.executable, "-c", program], capture_output=True, text=True, check=False)
    assert done.returncode == 0, done.stderr
