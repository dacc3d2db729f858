"""The command `progress`, and what `reach` reads of visits: the demo's year, faults of a folder, outputs."""

from __future__ import annotations

import json
import shutil
from pathlib import Path

import pytest

from fitter import demo
from fitter.cli.main import main

YEAR = demo.folder() / "year"
AIR = "temperature=13C pressure=1018hPa humidity=60%"


def ran(capsys: pytest.CaptureFixture[str], *words: str, code: int = 0) -> tuple[str, str]:
    assert main(list(words)) == code
    said = capsys.readouterr()
    return said.out, said.err


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    """Three visits of Y1, whose kit lies beside."""
    home = tmp_path / "year" / "Y1"
    shutil.copytree(YEAR / "Y1", home)
    for name in ("heads.csv", "shafts.csv"):
        shutil.copy(demo.folder() / name, tmp_path / name)
    text = (home / "visits.toml").read_text(encoding="utf-8")
    parts = text.split("[[visit]]")
    (home / "visits.toml").write_text("[[visit]]".join(parts[:4]), encoding="utf-8")
    return home


def test_it_reads_well_within_100_columns(capsys: pytest.CaptureFixture[str]) -> None:
    out, err = ran(capsys, "progress", "Y1", "--visits", str(YEAR / "Y1"), "--towards", "265yd")
    assert max(map(len, out.splitlines())) <= 100
    assert err == ""
    for words in (
        "6 visits, 2025-11-08 to 2026-10-10", "Since 2026-07-25", "Since 2025-11-08", "unexplained",
        "To be believed: club speed", "mph of club speed a month", "265 yd of carry in that air needs",
        "At this pace it is reached in",
    ):  # fmt: skip
        assert words in " ".join(out.split()), words
    # Nobody hit another club.
    assert "another club" not in out


def test_the_json_adds_up_and_is_in_the_units_of_its_keys(capsys: pytest.CaptureFixture[str]) -> None:
    words = ("progress", "--visits", str(YEAR / "Y2"), "--draws", "64", "--json")
    out, _ = ran(capsys, *words)
    data = json.loads(out)
    assert data["visits"][0]["day"] == "2025-11-15"
    assert [v["anchor_balls"] for v in data["visits"]] == [0, 0, 6, 6, 6]
    for change in data["change"].values():
        total = sum(p["value"] for p in change["parts"])
        assert total == pytest.approx(change["carry_m"]["value"], abs=1e-9)
        assert change["anchored"]
        assert all(p["low"] <= p["value"] <= p["high"] for p in change["parts"])
    assert 38.0 < data["visits"][0]["club_speed_mps"]["value"] < 44.0
    assert data["pace"]["told"] is False
    assert data["target"] is None
    # Metric units move the text alone.
    again, _ = ran(capsys, *words, "--units", "metric")
    assert json.loads(again) == data


def test_the_year_of_the_demo_is_told_as_it_was(capsys: pytest.CaptureFixture[str]) -> None:
    """What `demo_data.make_year` hides: Y1 gained speed, Y2 gained by the first other club alone."""
    found = {}
    for code in ("Y1", "Y2"):
        out, _ = ran(capsys, "progress", "--visits", str(YEAR / code), "--draws", "128", "--json")
        found[code] = json.loads(out)["change"]
    parts = {code: {p["cause"]: p for p in c["since_first"]["parts"]} for code, c in found.items()}
    assert parts["Y1"]["speed"]["value"] > 0.6 * found["Y1"]["since_first"]["carry_m"]["value"]
    assert parts["Y1"]["speed"]["low"] > 0.0
    assert found["Y1"]["since_first"]["figures"]["club_speed_mps"]["believed"]
    assert parts["Y2"]["club"]["low"] > 0.0
    assert abs(parts["Y2"]["speed"]["value"]) < 0.3 * parts["Y2"]["club"]["value"]
    assert not found["Y2"]["since_first"]["figures"]["club_speed_mps"]["believed"]


def test_outputs_are_written(folder: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    picture, page, text = tmp_path / "a.png", tmp_path / "a.pdf", tmp_path / "a.md"
    words = ("progress", "--visits", str(folder), "--draws", "32")
    out, err = ran(capsys, *words, "--picture", str(picture), "-o", str(page))
    assert picture.read_bytes()[:8] == b"\x89PNG\r\n\x1a\n"
    assert page.read_bytes()[:5] == b"%PDF-"
    assert "3 visits" in out
    assert err.count(": written.") == 2
    ran(capsys, *words, "-o", str(text))
    assert text.read_text(encoding="utf-8").startswith("# Months at a glance")


@pytest.mark.parametrize(
    ("old", "new", "said"),
    [
        ("day = 2026-01-17", 'day = "soon"', "a day such as 2026-03-14"),
        ("day = 2026-01-17", "", "no day"),
        ('log = "2026-01-17.csv"', 'log = "gone.csv"', "no such file"),
        ('club = "H3/S5"', 'club = "H9/S5"', "H9"),
        ("temperature=3C", "temperature=300C", "-30 to 55 C"),
        ("temperature=3C", "warmth=3C", "warmth"),
        ("day = 2026-01-17", "day = 2026-01-17\nmood = 3", "mood"),
        ('kit = "../.."', 'kit = "nowhere"', "nowhere"),
        ('player = "Y1"', 'player = "Y9"', "Y9"),
        ("[[visit]]", "visit = 3\n[[other]]", "a list"),
    ],
)
def test_faults_are_told_where_they_are(
    folder: Path, capsys: pytest.CaptureFixture[str], old: str, new: str, said: str
) -> None:
    file = folder / "visits.toml"
    text = file.read_text(encoding="utf-8")
    assert old in text
    file.write_text(text.replace(old, new), encoding="utf-8")
    out, err = ran(capsys, "progress", "--visits", str(folder), code=2)
    assert out == ""
    assert said in err
    assert "Traceback" not in err


def test_every_fault_at_once(folder: Path, capsys: pytest.CaptureFixture[str]) -> None:
    file = folder / "visits.toml"
    text = file.read_text(encoding="utf-8").replace("2026-01-17.csv", "a.csv")
    file.write_text(text.replace("2026-03-14.csv", "b.csv"), encoding="utf-8")
    words = ("--towards", "far", "--draws", "1", "--picture", "a.bmp")
    _, err = ran(capsys, "progress", "--visits", str(folder), *words, code=2)
    for said in ("a.csv", "b.csv", "--towards", "--draws", "a.bmp"):
        assert said in err, said


def test_another_player_is_refused(capsys: pytest.CaptureFixture[str]) -> None:
    _, err = ran(capsys, "progress", "Y7", "--visits", str(YEAR / "Y1"), code=2)
    assert "'Y7'" in err
    assert "Y1" in err


def test_a_visits_file_is_not_overwritten(folder: Path, capsys: pytest.CaptureFixture[str]) -> None:
    target = folder / "page.md"
    target.write_text("mine", encoding="utf-8")
    _, err = ran(capsys, "progress", "--visits", str(folder), "-o", str(target), code=2)
    assert target.read_text(encoding="utf-8") == "mine"
    assert "page.md" in err


def test_one_visit_and_two(folder: Path, capsys: pytest.CaptureFixture[str]) -> None:
    file = folder / "visits.toml"
    parts = file.read_text(encoding="utf-8").split("[[visit]]")
    for count in (1, 2):
        file.write_text("[[visit]]".join(parts[: count + 1]), encoding="utf-8")
        out, _ = ran(capsys, "progress", "--visits", str(folder), "--draws", "32", "--towards", "250yd")
        assert ("Since" in out) == (count == 2)
        assert "no pace is told" in out.lower()


def test_decisions_about_shots_count(folder: Path, capsys: pytest.CaptureFixture[str]) -> None:
    file = folder / "visits.toml"
    text = file.read_text(encoding="utf-8")
    reading = '\nreading = { aside = ["shots=1-3 reason=interrupted"] }'
    file.write_text(
        text.replace('log = "2026-01-17.csv"', f'log = "2026-01-17.csv"{reading}'), encoding="utf-8"
    )
    words = ("--draws", "32", "--json", "--measured-in", "temperature=3C")
    out, err = ran(capsys, "progress", "--visits", str(folder), *words)
    assert "changes nothing" in err
    visit = json.loads(out)["visits"][1]
    assert (visit["balls"], visit["set_aside"]) == (11, 3)


def test_a_club_that_nobody_knows(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """Its balls are those that are not the anchor's; two labels that name no club have to be told apart."""
    home = tmp_path / "Y2"
    shutil.copytree(YEAR / "Y2", home)
    file = home / "visits.toml"
    text = file.read_text(encoding="utf-8").replace("../..", str(demo.folder()))
    file.write_text(text.replace('club = "H6/S1"', 'club = "unknown"'), encoding="utf-8")
    out, _ = ran(capsys, "progress", "--visits", str(home), "--draws", "32", "--json")
    data = json.loads(out)
    assert [v["balls"] for v in data["visits"]] == [15, 14, 16, 14, 15]
    assert any("nobody knows the figures" in note for note in data["notes"])
    file.write_text(text.replace('anchor = "H1/S1"', "").replace("H6/S1", "unknown"), encoding="utf-8")
    _, err = ran(capsys, "progress", "--visits", str(home), code=2)
    assert "visit 3, club" in err
    assert "as the log's labels do" in err


def test_reach_reads_the_pace(capsys: pytest.CaptureFixture[str]) -> None:
    log = str(YEAR / "Y1" / "2026-10-10.csv")
    words = ("reach", "265yd", "--from", log, "--measured-in", AIR, "--draws", "64")
    alone, _ = ran(capsys, *words, "--json")
    both, _ = ran(capsys, *words, "--visits", str(YEAR / "Y1"), "--json")
    plain, more = json.loads(alone), json.loads(both)
    way = more.pop("progress")
    assert more == plain
    assert way["pace"]["told"]
    # Speed needed, speed now, speed per month.
    assert way["target"]["needed_club_speed_mps"] > way["target"]["now_mps"] > 45.0
    assert 0.1 < way["pace"]["mps_per_month"] < 0.5
    out, _ = ran(capsys, *words, "--visits", str(YEAR / "Y1"))
    assert "is needed, now it is" in out
    assert "a month" in out
