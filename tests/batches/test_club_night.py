"""The demo's club night in one command, and what its hidden truth says of the advice."""

from __future__ import annotations

import csv
import json
from pathlib import Path

import numpy as np
import pytest

from demo_data import make_club_night, make_demo
from fitter import demo
from fitter.advice.options import enumerate_options, present_club
from fitter.base.units import YARD
from fitter.cli.main import main
from fitter.kit.inventory import Kit
from fitter.physics import vectors
from tests import rankings

NIGHT = demo.folder() / "club_night"
ROSTER = NIGHT / "roster.csv"
pytestmark = pytest.mark.usefixtures("remembered")


def words(out: Path, *more: str) -> list[str]:
    return ["batch", str(NIGHT), "--kit", str(demo.folder()), "--roster", str(ROSTER), "-o", str(out), *more]


@pytest.fixture(scope="module")
def rows(tmp_path_factory: pytest.TempPathFactory) -> list[dict[str, str]]:
    out = tmp_path_factory.mktemp("night") / "night.csv"
    with pytest.MonkeyPatch.context() as patch:
        rankings.patch(patch)
        assert main(words(out, "--draws", "32", "--for", "carry")) == 0
    with out.open(encoding="utf-8") as file:
        return list(csv.DictReader(file))


def test_the_logs_are_what_the_script_makes(tmp_path: Path) -> None:
    make_club_night.make(tmp_path)
    made = {p.name: p.read_bytes() for p in tmp_path.iterdir()}
    stored = {p.name: p.read_bytes() for p in NIGHT.iterdir()}
    # The card is written by hand.
    assert made == {name: data for name, data in stored.items() if not name.endswith(".toml")}


def test_everybody_gets_a_line(rows: list[dict[str, str]]) -> None:
    assert len(rows) == make_club_night.PLAYERS
    status = {r["player"] or r["session"]: r["status"] for r in rows}
    assert status.pop("C18") == "too few to rank"
    assert status.pop("C20.csv") == "broken file"
    assert set(status.values()) == {"ranked"}
    assert "Guest X" in status
    assert {r["player"] for r in rows if r["hand"] == "left"} == set(make_club_night.LEFT)
    for row in rows:
        if row["status"] != "broken file":
            assert float(row["weak_carry_yd"]) < float(row["carry_yd"])
            assert row["loss_cause"]


def test_an_unknown_club_is_never_told_to_change(rows: list[dict[str, str]]) -> None:
    unknown = [r for r in rows if r["present"] == "unknown" and r["status"] == "ranked"]
    assert len(unknown) > 5
    assert {r["action"] for r in unknown} <= {"keep", "test", "measure"}


def test_who_is_sent_for_truly_gains(rows: list[dict[str, str]]) -> None:
    """In the hidden truth whoever is called can gain more than the verdict asks of it."""
    kit, everybody = Kit.load(demo.folder()), make_club_night.everybody()
    told = {r["player"].replace("Guest X", "C19"): r["worth"] for r in rows}
    best: dict[str, list[float]] = {"yes": [], "perhaps": [], "no": [], "": []}
    for code, player in make_club_night.players().items():
        options = enumerate_options(kit, present_club(kit, player.present))[1:]
        clubs = [(o.club, o.ball_forward_mm, o.tee_mm) for o in options]
        carry = make_demo.truths(player, clubs, everybody)[..., vectors.CARRY].mean(axis=1) / YARD
        best[told.get(code, "")].append(float((carry[1:] - carry[0]).max() / carry[0] * 240.0))
    assert len(best["yes"]) >= 5
    # What costs nothing is worth 2 yd at 240 yd of carry.
    assert min(best["yes"]) > 3.0
    assert np.median(best["no"]) < np.median(best["yes"])


def test_what_is_no_result_goes_to_stderr(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    logs = [str(NIGHT / name) for name in ("C18.csv", "C19.csv", "C20.csv")]
    common = ["--kit", str(demo.folder()), "--roster", str(ROSTER), "-o", str(tmp_path / "o.csv")]
    assert main(["batch", *logs, *common, "--draws", "32", "--json"]) == 0
    shown = capsys.readouterr()
    found = json.loads(shown.out)
    assert found["status"] == {"too few to rank": 1, "ranked": 1, "broken file": 1}
    assert found["not_in_roster"] == [{"name": "Guest X", "session": "C19.csv"}]
    assert "C19" in found["not_in_logs"]
    assert [b["session"] for b in found["broken"]] == ["C20.csv"]
    assert found["broken"][0]["problems"][0].keys() == {"where", "found", "allowed", "do"}
    assert "Guest X (C19.csv)" in shown.err
    assert "headers and no shots" in shown.err


def test_nothing_to_say_is_exit_3(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    out = tmp_path / "o.csv"
    assert main(["batch", str(NIGHT / "C20.csv"), "--kit", str(demo.folder()), "-o", str(out)]) == 3
    assert "broken file" in out.read_text(encoding="utf-8")
    assert "C20.csv" in capsys.readouterr().err


def test_bad_usage_is_exit_2_with_all_of_it(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    bad = [
        "batch",
        "nowhere",
        "--kit",
        "nokit",
        "-o",
        str(tmp_path / "o.doc"),
        "--workers",
        "0",
    ]
    assert main(bad) == 2
    err = capsys.readouterr().err
    for word in ("nowhere", "nokit", "o.doc", "--workers"):
        assert word in err
    assert main(words(tmp_path / "o.csv", "--for", "luck", "--draws", "1")) == 2
    err = capsys.readouterr().err
    assert "luck" in err
    assert "--draws" in err
    assert main(words(tmp_path / "o.csv", "--order-by-speed")) == 2
    err = capsys.readouterr().err
    for code in (*make_club_night.SILENT, "Guest X"):
        assert code in err
    assert not list(tmp_path.iterdir())


def test_a_header_that_nobody_understands_can_be_named(tmp_path: Path) -> None:
    log = tmp_path / "log.csv"
    text = (NIGHT / "C18.csv").read_text(encoding="utf-8").replace("ball speed (mph)", "zoom (mph)")
    log.write_text(text, encoding="utf-8")
    saved = tmp_path / "map.toml"
    saved.write_text('[columns]\n"zoom (mph)" = "ball_speed_mps"\n', encoding="utf-8")
    out, common = tmp_path / "o.csv", ["--kit", str(demo.folder()), "--draws", "16"]
    found = []
    for more in ([], ["--map", "zoom (mph)=ball_speed_mps"], ["--map-file", str(saved)]):
        assert main(["batch", str(log), "-o", str(out), *common, *more]) == 0
        found.append(out.read_text(encoding="utf-8"))
    assert "not ranked" in found[0]
    assert "too few to rank" in found[1] == found[2]


def test_ctrl_c_says_what_is_kept(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    from fitter.cli import batch as command

    class Impatient:
        def __call__(self, done: int, expected: float) -> None:
            if done == 2:
                raise KeyboardInterrupt

        def stop(self, running: int) -> None: ...

        def close(self) -> None: ...

    monkeypatch.setattr(command, "_Progress", Impatient)
    with pytest.raises(KeyboardInterrupt):
        main(words(tmp_path / "o.csv", "--draws", "32"))
    assert "2 finished sessions are kept" in capsys.readouterr().err


def test_progress_shows_on_a_terminal_alone(monkeypatch: pytest.MonkeyPatch) -> None:
    import io
    import sys

    from fitter.cli.batch import _Progress

    class Terminal(io.StringIO):
        def isatty(self) -> bool:
            return True

    for stream, silent in ((Terminal(), False), (io.StringIO(), True)):
        monkeypatch.setattr(sys, "stderr", stream)
        shown = _Progress()
        shown(3, 20.4)
        shown.close()
        assert ("3" in stream.getvalue() and "20" in stream.getvalue()) != silent
