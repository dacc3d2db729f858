"""Balls of other clubs: found in the log and in other logs, and what a ranking makes of them."""

import csv
import json
from dataclasses import replace

import pytest

from fitter import Kit, demo, read
from fitter.advice.balls import HOME
from fitter.advice.evidence import from_others, from_sessions
from fitter.advice.heard import gathered
from fitter.advice.question import ask
from fitter.advice.rank import rank
from fitter.base.errors import InputError
from fitter.cli.main import main
from fitter.display import hit
from fitter.display.serialise import ranking as as_json

OTHER = "H1/S2"


def rows():
    with (demo.folder() / "P1.csv").open() as log:
        return list(csv.DictReader(log))


def written(path, found):
    with path.open("w", newline="") as out:
        table = csv.DictWriter(out, fieldnames=list(found[0]))
        table.writeheader()
        table.writerows(found)
    return path


def with_loft(row, more, shot, build=OTHER):
    """A ball as another delivered loft would send it, by plain slopes."""
    new = {**row, "shot": str(shot), "build": build}
    for column, step in (
        ("launch (deg)", 0.75), ("spin (rpm)", 250.0), ("dynamic loft (deg)", 0.9),
        ("ball speed (mph)", -0.6),
    ):  # fmt: skip
        new[column] = f"{float(row[column]) + step * more:.1f}"
    return new


@pytest.fixture(scope="module")
def logs(tmp_path_factory):
    folder, own = tmp_path_factory.mktemp("logs"), rows()
    others = [with_loft(r, -2.0, len(own) + 1 + k) for k, r in enumerate(own[:12])]
    both = [*({**r, "build": "H4/S2"} for r in own), *others]
    wrong = [with_loft(r, 2.5, k + 1) for k, r in enumerate(own[:12])]
    plain = [{k: v for k, v in r.items() if k != "build"} for r in others]
    return {
        "both": written(folder / "both.csv", both),
        "other": written(folder / "other.csv", others),
        "plain": written(folder / "plain.csv", plain),
        "wrong": written(folder / "wrong.csv", wrong),
    }


def asked(log, **more):
    return ask(read(log), Kit.load(demo.folder()), "H4/S2", "carry", draws=128, **more)


@pytest.fixture(scope="module")
def ranked(logs):
    return rank(asked(logs["both"]), flips=False)


def test_other_builds_of_the_log_are_found_in_the_baselines_block(logs):
    found = from_others(asked(logs["both"]))
    assert set(found.counts()) == {"H1/S2 45.25in"}
    assert set(found.block) == {HOME}
    assert found.sources == ("log",)


def test_a_ball_of_the_log_and_of_another_log_counts_once(logs):
    kit = Kit.load(demo.folder())
    question = asked(logs["both"])
    again = from_sessions([(read(logs["other"]), "")], kit, question.present)
    twice = asked(logs["both"], evidence=again)
    assert gathered(twice).counts() == gathered(question).counts()


def test_a_log_without_labels_needs_its_build(logs):
    kit, present = Kit.load(demo.folder()), asked(logs["both"]).present
    with pytest.raises(InputError) as caught:
        from_sessions([(read(logs["plain"]), ""), (read(logs["plain"]), "Z9/S2")], kit, present)
    assert len(caught.value.problems) == 2
    assert len(from_sessions([(read(logs["plain"]), OTHER)], kit, present)) > 6


def test_a_ranking_says_what_was_hit(ranked):
    heard = ranked.heard
    assert heard.hit["H1/S2 45.25in"] == heard.balls >= 10
    assert heard.hit["H4/S2 45.25in"] == ranked.counts["shots"] - ranked.counts["set_aside"]
    found = json.loads(json.dumps(as_json(ranked)))
    assert {o["hit"] for o in found["options"]} == {0, heard.balls}
    assert found["belief"]["balls"] == heard.balls
    assert {c["channel"] for c in found["belief"]["compared"]} >= {"launch_deg", "spin_rpm", "carry_m"}
    # What counts is not said to be of no use.
    assert "others" not in {n.code for n in ranked.notes}


def test_without_other_clubs_nothing_is_said_of_them():
    plain = rank(asked(demo.folder() / "P1.csv"), flips=False)
    assert plain.heard is None
    found = as_json(plain)
    assert "belief" not in found
    assert all("hit" not in o for o in found["options"])


def test_balls_narrow_the_interval_of_what_was_hit(ranked):
    plain = rank(asked(demo.folder() / "P1.csv", named=("H1/S2 45.25in",)), flips=False)

    def width(found):
        gain = next(s.value_gain for s in found.options if s.option.id == "H1/S2 45.25in")
        return gain.high - gain.low

    assert width(ranked) < 0.8 * width(plain)


def test_a_wrong_club_is_told(logs):
    kit = Kit.load(demo.folder())
    question = asked(demo.folder() / "P1.csv")
    evidence = from_sessions([(read(logs["wrong"]), "")], kit, question.present)
    heard = rank(asked(demo.folder() / "P1.csv", evidence=evidence), flips=False).heard
    assert [s.club for s in heard.suspects] == ["H1/S2 45.25in"]
    assert heard.suspects[0].loft_deg > 2.0
    words = hit.surprise("H1/S2", heard.surprises["H1/S2 45.25in"], heard.agreed("H1/S2 45.25in"))
    assert "launch" in words
    assert "predicted" in words


def test_the_command_takes_logs_of_other_clubs(logs, capsys):
    common = ["rank", str(demo.folder() / "P1.csv"), "--kit", str(demo.folder()), "--present", "H4/S2"]
    assert main([*common, "--for", "carry", "--draws", "64", "--hit", f"{logs['plain']}={OTHER}"]) == 0
    told = capsys.readouterr().out
    assert "P>0 hit" in told
    assert "paper" in told
    assert main([*common, "--hit", str(logs["plain"]), str(logs["plain"].parent / "no.csv")]) == 2
    assert "no.csv" in capsys.readouterr().err


def test_a_log_of_other_balls_is_not_written_over(logs, tmp_path):
    """The log of --hit is read, so a map may not be saved over it."""
    common = ["rank", str(demo.folder() / "P1.csv"), "--kit", str(demo.folder()), "--present", "H4/S2"]
    log = str(logs["other"])
    assert main([*common, "--hit", log, "--map", "carry (yd)=carry_m", "--map-file", log]) == 2


def test_a_question_on_paper_leaves_other_balls_out(logs):
    question = asked(logs["both"])
    assert rank(replace(question, on_paper=True), flips=False).heard is None
