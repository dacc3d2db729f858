"""The shop's memory through the command line: remembered, found again, learned from, erased."""

from __future__ import annotations

import csv
import json
from pathlib import Path

import pytest

from fitter import demo
from fitter.base.files import hold, state_folder
from fitter.cli.main import main
from fitter.history.records import Fitting, Outcome, Trial, Tried, Visit
from fitter.history.store import Store
from fitter.tui import saved

DEMO = demo.folder()
RANK = [
    "rank",
    str(DEMO / "P2.csv"),
    "--kit",
    str(DEMO),
    "--present",
    "H1/S1",
    "--for",
    "carry",
    "--draws",
    "64",
]

LOFT_H6 = 3.5
"""Delivered loft of H6 over that of H1, deg, about as their heads' figures differ."""


@pytest.fixture(scope="module")
def shop(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A history with P2's visit and two years of demo visits."""
    file = tmp_path_factory.mktemp("shop") / "history.sqlite"
    words = ["--remember", "--history", str(file), "--hit-on", "2026-03-14"]
    assert main([*RANK, "--measured-in", "temperature=12C altitude=300m", *words]) == 0
    years = [str(DEMO / "year" / name) for name in ("Y1", "Y2")]
    assert main(["history", "import", *years, "--history", str(file)]) == 0
    return file


def output(capsys: pytest.CaptureFixture[str], *words: str) -> str:
    assert main(list(words)) == 0
    return capsys.readouterr().out


def test_a_visit_is_found_again_with_kit_club_and_air(shop: Path, capsys: pytest.CaptureFixture[str]) -> None:
    asked = ["--for", "carry", "--draws", "64", "--json"]
    air = ["--measured-in", "temperature=12C altitude=300m"]
    first = json.loads(output(capsys, *RANK, *air, "--json"))
    again = json.loads(output(capsys, "rank", "--player", "p2", "--history", str(shop), *asked))
    assert again == first


def test_what_is_remembered_is_listed(shop: Path, capsys: pytest.CaptureFixture[str]) -> None:
    found = json.loads(output(capsys, "history", "players", "--history", str(shop), "--json"))
    assert [(p["code"], p["entries"]["visit"]) for p in found["players"]] == [("P2", 1), ("Y1", 6), ("Y2", 5)]
    text = output(capsys, "history", "show", "P2", "--history", str(shop))
    assert "2026-03-14" in text
    assert "Change to" in text
    assert output(capsys, "history", "sessions", "--history", str(shop)).count("\n") == 13
    assert "No outcome is remembered yet" in output(capsys, "history", "calibration", "--history", str(shop))


def test_visits_in_a_history_make_the_same_months(shop: Path, capsys: pytest.CaptureFixture[str]) -> None:
    for name in ("Y1", "Y2"):
        folder = output(capsys, "progress", name, "--visits", str(DEMO / "year" / name), "--draws", "64")
        assert output(capsys, "progress", name, "--history", str(shop), "--draws", "64") == folder


def test_reach_reads_the_pace_out_of_the_history(shop: Path, capsys: pytest.CaptureFixture[str]) -> None:
    log = str(DEMO / "year" / "Y1" / "2026-10-10.csv")
    asked = ["reach", "280yd", "--from", log, "--player", "Y1", "--draws", "32"]
    folder = output(capsys, *asked, "--visits", str(DEMO / "year" / "Y1"))
    assert output(capsys, *asked, "--history", str(shop)) == folder
    assert "a month" in folder


def test_the_same_again_adds_nothing(shop: Path, capsys: pytest.CaptureFixture[str]) -> None:
    words = ["--remember", "--history", str(shop), "--hit-on", "2026-03-14"]
    assert main([*RANK, "--measured-in", "temperature=12C altitude=300m", *words]) == 0
    assert "0 new entries" in capsys.readouterr().err
    assert "0 new entries" in output(
        capsys, "history", "import", str(DEMO / "year" / "Y1"), "--history", str(shop)
    )


def test_a_visit_is_corrected_and_no_second_one_is_made(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    file = tmp_path / "history.sqlite"
    words = ["--remember", "--history", str(file)]
    air = ["--measured-in", "temperature=12C altitude=300m"]
    assert main([*RANK, *words, *air, "--hit-on", "2026-03-14"]) == 0
    # Again with another day, a shot set aside and the air left out; then under another name, by a batch.
    assert main([*RANK, *words, "--hit-on", "2026-03-15", "--aside", "shots=3 reason=slipped"]) == 0
    with Store(file, read_only=True) as store:
        aside = store.entries(Visit, "P2")[0].set_aside
    assert aside > 0
    (tmp_path / "evening").mkdir()
    (tmp_path / "evening" / "box 4.csv").write_bytes((DEMO / "P2.csv").read_bytes())
    batch = ["batch", str(tmp_path / "evening"), "--kit", str(DEMO), "--present", "H1/S1", "--for", "carry"]
    assert main([*batch, "--draws", "64", "-o", str(tmp_path / "out.csv"), *words]) == 0
    with Store(file, read_only=True) as store:
        (visit,) = store.entries(Visit, "P2")
        assert {f.day for f in store.entries(Fitting, "P2")} == {"2026-03-15"}
        assert store.log("P2", visit.digest) == (DEMO / "P2.csv").read_bytes()
    assert (visit.day, visit.log_name, visit.club) == ("2026-03-15", "P2.csv", "H1/S1")
    assert visit.measured_in["temperature_c"] == 12.0
    # The batch says nothing of single shots: what was decided stays.
    assert (visit.set_aside, visit.reading["aside"]) == (aside, ["shots=3 reason=slipped"])
    capsys.readouterr()


def test_what_was_chosen_and_corrected_outlives_another_look_and_an_older_export(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    file, out = tmp_path / "history.sqlite", tmp_path / "out"
    words = ["--history", str(file)]
    assert main([*RANK, *words, "--remember", "--hit-on", "2026-03-14"]) == 0
    assert main(["history", "export", str(out), *words]) == 0
    assert main(["history", "choose", "P2", "--option", "keep", "--why", "the price", *words]) == 0
    assert main([*RANK, *words, "--remember", "--hit-on", "2026-03-15"]) == 0
    assert main(["history", "import", str(out), *words]) == 0
    with Store(file, read_only=True) as store:
        (visit,), (fitting,) = store.entries(Visit, "P2"), store.entries(Fitting, "P2")
    assert (visit.day, fitting.day) == ("2026-03-15", "2026-03-15")
    assert (fitting.chosen, fitting.why) == ("keep", "the price")
    capsys.readouterr()


def test_one_entry_is_taken_out_with_what_hangs_on_it(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    file, log = tmp_path / "history.sqlite", hit_with_another_head(tmp_path, loft_deg=LOFT_H6)
    words = ["--history", str(file)]
    assert main([*RANK, *words, "--remember", "--hit", f"{log}=H6/S1"]) == 0
    with Store(file, read_only=True) as store:
        (visit,), (outcome,) = store.entries(Visit, "P2"), store.entries(Outcome, "P2")
        (tried,) = store.entries(Tried, "P2")
    capsys.readouterr()
    assert outcome.digest[:8] in output(capsys, "history", "show", "P2", *words)
    assert main(["history", "remove", "P2", "zzzz", *words, "--yes"]) == 2
    assert "no such entry" in capsys.readouterr().err
    assert main(["history", "remove", "P2", outcome.digest[:8], *words]) == 2
    assert "1 outcome, 1 set of balls" in " ".join(capsys.readouterr().err.split())
    assert main(["history", "remove", "P2", outcome.digest[:8], *words, "--yes"]) == 0
    raw = b"".join(p.read_bytes() for p in tmp_path.glob("history.sqlite*"))
    assert tried.digest.encode() not in raw
    assert main(["history", "remove", "P2", visit.digest, *words, "--yes"]) == 0
    with Store(file, read_only=True) as store:
        assert store.counts() == {}
        assert store.player("P2") is not None


def test_another_hand_than_that_of_the_shots_is_said(shop: Path, capsys: pytest.CaptureFixture[str]) -> None:
    words = ["history", "note", "P2", "--history", str(shop), "--hand"]
    assert main([*words, "left"]) == 0
    assert "2026-03-14 were read as of the other hand" in capsys.readouterr().err
    assert main([*words, "right"]) == 0
    assert capsys.readouterr().err == ""


def test_an_older_visit_is_named_by_its_day(shop: Path, capsys: pytest.CaptureFixture[str]) -> None:
    words = ["rank", "--player", "Y1", "--history", str(shop), "--for", "carry", "--draws", "48"]
    assert main([*words, "--visit", "2026-03-14"]) == 0
    assert "The visit of 2026-03-14" in capsys.readouterr().err
    assert main([*words, "--visit", "2026-03-15"]) == 2
    assert "2026-10-10" in capsys.readouterr().err
    assert main([*words, "--hit-on", "2026-03-14"]) == 2
    assert "--visit" in capsys.readouterr().err
    assert main([*RANK, "--remember", "--history", str(shop), "--hit-on", "2999-01-01"]) == 2
    assert "still to come" in capsys.readouterr().err


def test_another_wish_than_that_day_is_said(shop: Path, capsys: pytest.CaptureFixture[str]) -> None:
    words = ["rank", "--player", "P2", "--history", str(shop), "--draws", "64"]
    assert main([*words, "--for", "total"]) == 0
    assert "that day it was for carry" in capsys.readouterr().err
    assert main([*words, "--for", "carry"]) == 0
    assert "that day" not in capsys.readouterr().err


def test_what_was_chosen_is_written_down(shop: Path, capsys: pytest.CaptureFixture[str]) -> None:
    words = ["history", "choose", "P2", "--history", str(shop), "--option", "keep", "--why", "the price"]
    assert main(words) == 0
    assert "Chosen: keep, the price." in output(capsys, "history", "show", "P2", "--history", str(shop))
    words[words.index("keep")] = "H99"
    assert main(words) == 2
    assert "no such option" in capsys.readouterr().err


def hit_with_another_head(folder: Path, step_m: float = 12.0, loft_deg: float = 0.0) -> Path:
    """P2's balls as a log of another club: each so much longer, and flying as with so much more loft."""
    with (DEMO / "P2.csv").open(encoding="utf-8", newline="") as file:
        rows = list(csv.DictReader(file))
    yards = step_m / 0.9144
    for row in rows:
        more = {
            "carry (yd)": yards, "total (yd)": yards, "dynamic loft (deg)": loft_deg,
            "launch (deg)": 0.85 * loft_deg, "spin (rpm)": 200.0 * loft_deg,
        }  # fmt: skip
        row |= {k: f"{float(row[k]) + by:.1f}" for k, by in more.items()}
    log = folder / "other.csv"
    with log.open("w", encoding="utf-8", newline="") as file:
        out = csv.DictWriter(file, list(rows[0]))
        out.writeheader()
        out.writerows(rows)
    return log


def test_balls_with_another_club_become_an_outcome(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    file, log = tmp_path / "history.sqlite", hit_with_another_head(tmp_path, loft_deg=LOFT_H6)
    words = ["--history", str(file), "--remember", "--player", "P2"]
    assert main([*RANK, *words, "--hit", f"{log}=H6/S1"]) == 0
    with Store(file, read_only=True) as store:
        (outcome,) = store.entries(Outcome)
    carry = outcome.lesson("carry_m")
    assert (outcome.option, outcome.kind, outcome.picked) == ("H6/S1 45.25in", "head", "advisor")
    assert carry is not None
    # Another block: the level of the day is not known, and its doubt is part of the noise.
    assert carry.noise > 1.0
    assert any("response.loft" in x.slopes for x in outcome.lessons)
    capsys.readouterr()
    assert "1 outcome:" in output(capsys, "history", "calibration", "--history", str(file))
    learned = json.loads(output(capsys, "history", "learned", "P2", "--history", str(file), "--json"))
    assert learned["lessons"] > 0
    assert main([*RANK, *words[:2], "--player", "P2"]) == 0
    told = capsys.readouterr().err
    assert "balls that are remembered" in told
    assert "of the player's own" not in told


def test_balls_that_may_be_another_clubs_teach_nothing_of_the_player(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    file, log = tmp_path / "history.sqlite", hit_with_another_head(tmp_path, loft_deg=LOFT_H6 - 6.0)
    words = ["--history", str(file), "--remember", "--player", "P2"]
    assert main([*RANK, *words, "--hit", f"{log}=H6/S1"]) == 0
    assert "look at what is mounted" in " ".join(capsys.readouterr().out.split())
    with Store(file, read_only=True) as store:
        (outcome,) = store.entries(Outcome)
    # What was hit is kept, and held against its promise; it says nothing of what a player makes of loft.
    assert outcome.lesson("carry_m") is not None
    assert not any(x.slopes for x in outcome.lessons)


def test_an_outcome_is_told_by_hand(shop: Path, capsys: pytest.CaptureFixture[str]) -> None:
    with Store(shop, read_only=True) as store:
        option = store.entries(Fitting, "P2")[0].promises[0].option
    words = ["history", "tell", "P2", "--history", str(shop), "--option", option]
    assert main(words) == 2
    assert "--gain" in capsys.readouterr().err
    assert main([*words, "--gain", "10yd", "--within", "4yd"]) == 0
    assert "+10.0 yd" in capsys.readouterr().out
    found = json.loads(output(capsys, "history", "calibration", "--history", str(shop), "--json"))
    assert found["kinds"][0]["n"] == 1


def test_a_trial_is_remembered_without_what_was_told_of_pain(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    file, plan = tmp_path / "history.sqlite", tmp_path / "trial.json"
    words = ["--history", str(file), "--remember"]
    asked = [*RANK[1:], "--try", "H1+1/S1 45.25in", "--most-balls", "12"]
    assert main(["trial", "plan", *asked, "-o", str(plan), *words]) == 0
    balls = [
        f"carry={150 + k % 3 + 12 * (3 <= k < 9)}yd launch=8 spin=2700 ball-speed=128" for k in range(12)
    ]
    balls = [b.replace("ball-speed", "ball_speed") for b in balls]
    added = [w for b in balls for w in ("--ball", b)]
    assert main(["trial", "add", str(plan), *added, *words]) == 0
    assert main(["trial", "result", str(plan), *words]) == 0
    assert main(["trial", "add", str(plan), "--pain", "elbow hurts", *words]) == 0
    with Store(file, read_only=True) as store:
        (trial,) = store.entries(Trial)
        (outcome,) = store.entries(Outcome)
    assert trial.finished
    assert len(trial.record["balls"]) == 12
    assert outcome.how == "trial"
    assert b"elbow" not in file.read_bytes()
    capsys.readouterr()
    # The trial's balls are evidence at the next visit, and teach nothing a second time.
    assert main(["rank", "--player", trial.player, "--history", str(file), "--for", "carry", "--json"]) == 0
    said = capsys.readouterr()
    assert "ranked with 12 balls that are remembered, see" in said.err
    hit = {o["id"]: o["hit"] for o in json.loads(said.out)["options"]}
    assert hit["H1+1/S1 45.25in"] == 6
    assert "trial of 12 balls, finished" in output(
        capsys, "history", "show", trial.player, "--history", str(file)
    )


def test_a_resumed_night_records_nothing_twice(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    file, out = tmp_path / "history.sqlite", tmp_path / "night.csv"
    night = [str(DEMO / "club_night" / name) for name in ("bay1.csv", "C12.csv")]
    words = ["batch", *night, "--kit", str(DEMO), "-o", str(out), "--draws", "32", "--remember", "--history"]
    assert main([*words, str(file)]) == 0
    with Store(file, read_only=True) as store:
        first = store.counts()
        visits = store.entries(Visit)
    assert len(first) > 2
    out.unlink()
    assert main([*words, str(file)]) == 0
    with Store(file, read_only=True) as store:
        assert store.counts() == first
        # Of a log with several players each keeps his own rows.
        logs = {v.player: store.log(v.player, v.digest) for v in visits}
    for player, log in logs.items():
        assert log is not None
        others = [p.encode() + b"," for p in logs if p != player and p.startswith("C")]
        assert not any(o in log for o in others)


def test_an_erased_player_leaves_history_benches_and_reports(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.setenv("XDG_STATE_HOME", str(tmp_path / "state"))
    code, file = "Quillfeather9", tmp_path / "history.sqlite"
    log = tmp_path / "a.csv"
    log.write_text((DEMO / "P2.csv").read_text(encoding="utf-8").replace("P2", code), encoding="utf-8")
    words = ["rank", str(log), *RANK[2:], "--remember", "--history", str(file)]
    assert main(words) == 0
    assert main(["history", "note", code, "--health", "back: stiff", "--history", str(file)]) == 0
    benches = saved.demo_work()
    mine = benches.benches[0].__class__(player=code, log=str(log))
    saved.save(benches.__class__((*benches.benches, mine), 4), saved.path("bench"))
    alone = saved.path("alone")
    saved.save(benches.__class__((mine,), 0), alone)
    (state_folder() / "report-1.txt").write_text(f"in {log} of {code}", encoding="utf-8")
    log.unlink()
    assert main(["history", "erase", code, "--history", str(file)]) == 2
    assert "--yes" in capsys.readouterr().err
    with hold(alone, "fitter"):
        # An open bench would remember him again when it closes: nothing is begun.
        assert main(["history", "erase", code, "--yes", "--history", str(file)]) == 2
    assert "Nothing of Quillfeather9 is erased yet" in " ".join(capsys.readouterr().err.split())
    assert main(["history", "show", code, "--history", str(file)]) == 0
    capsys.readouterr()
    assert main(["history", "erase", code.lower(), "--yes", "--history", str(file)]) == 0
    said = capsys.readouterr().out
    assert "backups" in said
    left = [f for f in tmp_path.rglob("*") if f.is_file() and code.encode() in f.read_bytes()]
    assert left == []
    assert not alone.exists()
    kept = saved.load(saved.path("bench")).work
    assert kept is not None
    assert len(kept.benches) == 4
    saved.save(benches.__class__((mine,), 0), alone)
    # A bench of another folder that names him still is cleared the second time.
    assert main(["history", "erase", code, "--yes", "--history", str(file)]) == 0
    assert "erased before" in capsys.readouterr().out
    assert not alone.exists()


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (["players", "more"], "nothing more"),
        (["show"], "PLAYER"),
        (["show", "P9"], "No player"),
        (["import", "/nowhere"], "nothing to import"),
        (["note", "P2", "--health", "stiff"], "WHAT: WORDS"),
        (["choose", "P2", "--visit", "2001-01-01", "--option", "keep"], "no such decision"),
    ],
)
def test_what_cannot_be_done_is_said(
    shop: Path, capsys: pytest.CaptureFixture[str], words: list[str], said: str
) -> None:
    assert main(["history", *words, "--history", str(shop)]) == 2
    assert said in capsys.readouterr().err


def test_neither_log_nor_player_is_said(shop: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["rank", "--history", str(shop)]) == 2
    assert "no shots" in capsys.readouterr().err
    assert main(["rank", "--player", "P9", "--history", str(shop)]) == 2
    assert main([*RANK[:2], "--for", "carry"]) == 2
    assert "--kit" in capsys.readouterr().err


def test_what_cannot_be_kept_is_said_before_any_work(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.setattr("fitter.advice.rank.rank", None)
    words = [*RANK, "--remember", "--history", str(tmp_path / "h.sqlite")]
    assert main([*words, "--hit-on", "2026-13-01"]) == 2
    assert "no day" in capsys.readouterr().err
    (tmp_path / "h.sqlite").write_bytes(b"no history")
    assert main(words) == 2
    assert "left as it is" in capsys.readouterr().err


def test_outcomes_that_cannot_be_are_refused_and_one_is_told_anew(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    file = str(tmp_path / "h.sqlite")
    assert main([*RANK, "--remember", "--history", file]) == 0
    with Store(Path(file), read_only=True) as store:
        option = store.entries(Fitting)[0].promises[0].option
    words = ["history", "tell", "P2", "--history", file, "--option", option]
    for gain, within in (("5000yd", "3yd"), ("5yd", "0"), ("5yd", "-3yd")):
        assert main([*words, f"--gain={gain}", f"--within={within}"]) == 2
    assert main([*words, "--gain", "5yd", "--within", "3yd"]) == 0
    assert main([*words, "--gain", "6yd", "--within", "3yd"]) == 0
    with Store(Path(file), read_only=True) as store:
        (outcome,) = store.entries(Outcome)
    lesson = outcome.lesson()
    assert lesson is not None
    assert lesson.measured == pytest.approx(6 * 0.9144)
    for code in ("", " ", "a\x1bb", "x" * 61):
        assert main(["history", "note", code, "--words", "w", "--history", file]) == 2
    capsys.readouterr()


def test_a_log_with_labels_of_its_own_is_not_given_to_one_club(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    year = DEMO / "year" / "Y2"
    words = ["rank", str(year / "2026-02-21.csv"), "--kit", str(DEMO), "--present", "H1/S1", "--draws", "32"]
    words += ["--for", "carry", "--json", "--hit"]
    own = json.loads(output(capsys, *words, str(year / "2026-04-18.csv")))
    told = json.loads(output(capsys, *words, f"{year / '2026-04-18.csv'}=H6/S1"))
    assert {o["id"]: o["hit"] for o in told["options"]} == {o["id"]: o["hit"] for o in own["options"]}


def test_what_was_exported_in_one_folder_comes_in_again(
    shop: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    output(capsys, "history", "export", str(tmp_path / "out"), "--history", str(shop))
    other = str(tmp_path / "other.sqlite")
    assert "P2, Y1, Y2" in output(capsys, "history", "import", str(tmp_path / "out"), "--history", other)
