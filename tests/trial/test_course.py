"""A trial from plan to decision, on balls that the demo's hidden truth hits."""

from __future__ import annotations

import csv
import itertools
import json
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

from demo_data import make_demo
from fitter import demo
from fitter.advice.question import ask
from fitter.base.errors import DataError, InputError
from fitter.base.units import YARD
from fitter.cli.main import main
from fitter.display import trial as sentences
from fitter.kit.inventory import Kit
from fitter.shots.reader import intake
from fitter.trial import course, record
from fitter.trial.plan import Budget, Plan, candidates, net_gains, open_worth, plan
from fitter.trial.prospect import Prospect

PLAYER = demo.players()[0]
Capture = pytest.CaptureFixture[str]


@pytest.fixture(scope="module")
def begun() -> course.Start:
    session = intake.read(demo.folder() / PLAYER.log)
    kit = Kit.load(demo.folder())
    return course.start(ask(session, kit, PLAYER.present, PLAYER.objective, draws=128))


@pytest.fixture(scope="module")
def planned(begun: course.Start) -> Plan:
    return course.planned(begun, Budget.of(None, None, "full"))


def write_balls(path: Path, clubs: list[int], found: Plan, worse_m: float = 0.0) -> None:
    """Balls of the plan's clubs in order, by the demo's truth; ``worse_m`` is added to the carries."""
    truth = make_demo.truths(PLAYER, [(o.club, 0.0, 0.0) for o in found.clubs[1:]])
    rng = np.random.default_rng(9)
    v = make_demo.vectors
    with path.open("w", encoding="utf-8", newline="") as file:
        writer = csv.writer(file)
        writer.writerow(
            ["shot", "ball speed (mph)", "launch (deg)", "spin (rpm)", "carry (yd)", "total (yd)"]
        )
        for n, club in enumerate(clubs):
            ball = truth[club, int(rng.integers(truth.shape[1]))]
            writer.writerow([
                n + 1, f"{ball[v.START_SPEED] / make_demo.MPH:.1f}",
                f"{ball[v.START_ELEVATION] / make_demo.DEG:.1f}",
                f"{ball[v.START_SPIN] / make_demo.RPM:.0f}", f"{(ball[v.CARRY] + worse_m) / YARD:.1f}",
                f"{(ball[v.TOTAL] + worse_m) / YARD:.1f}",
            ])  # fmt: skip


def kept(found: Plan, path: Path, balls: int, begun: course.Start, worse_m: float = 0.0) -> record.Record:
    rec = record.of_plan(found, {"log": str(demo.folder() / PLAYER.log)}, demo.folder() / PLAYER.log)
    write_balls(path, [found.club_of(n) for n in range(balls)], found, worse_m)
    rec, _ = rec.with_balls(course.read_balls(rec, begun, intake.read(path), path.name))
    return rec


def test_the_plan_is_fair_and_within_its_budget(begun: course.Start, planned: Plan) -> None:
    assert planned.clubs[0].id == begun.belief.ids[0]
    assert planned.balls <= 30
    assert planned.minutes <= 45.0
    assert len(set(planned.codes)) == len(planned.codes) == len(planned.clubs)
    counts = np.bincount(planned.runs)
    assert len(set(counts)) == 1
    assert all(o.availability != "to order" for o in planned.clubs)
    assert 0.0 < planned.decides <= 1.0
    assert planned.expected_balls <= planned.balls


def test_more_balls_bring_more_and_never_more_than_certainty(begun: course.Start) -> None:
    net = net_gains(begun.belief)
    at = candidates(begun.belief)[:3]
    prospect = Prospect.of(begun.belief, net, at)
    worth = [prospect.value(n) for n in (0, 3, 10, 40, 1000, 10**7)]
    assert worth[0] == pytest.approx(0.0, abs=1e-9)
    assert all(a <= b + 1e-9 for a, b in itertools.pairwise(worth))
    # Alone, it moves an option's own gain as the belief says.
    one = Prospect.of(begun.belief, net, at[:1])
    sd = np.sqrt((one.link @ one.told(10) @ one.link.T)[at[0], at[0]])
    assert sd == pytest.approx(begun.belief.learned(at[0], 10)[at[0]], rel=1e-6)


def test_what_is_open_is_a_perfect_information(begun: course.Start) -> None:
    # Two options with a difference N(2, 5): 1.1522 (decision theory's unit normal loss, computed).
    found = open_worth(np.array([[2.0, 0.0]]), np.diag([12.5, 12.5]))
    assert found[0] == pytest.approx(1.1522, abs=5e-5)


def test_balls_change_what_is_believed(begun: course.Start, planned: Plan, tmp_path: Path) -> None:
    rec = kept(planned, tmp_path / "balls.csv", planned.balls, begun)
    found = course.outcome(rec, begun)
    assert sum(found.hit.values()) + found.aside == planned.balls
    assert found.finished
    for now, before in found.clubs:
        # Balls narrow what was believed on paper.
        assert now.value_gain.high - now.value_gain.low < before.value_gain.high - before.value_gain.low
    truth = make_demo.truths(PLAYER, [(o.club, 0.0, 0.0) for o in planned.clubs[1:]])
    total = truth[..., make_demo.vectors.TOTAL].mean(axis=1)
    errors = [now.value_gain.mean - (total[k + 1] - total[0]) for k, (now, _) in enumerate(found.clubs)]
    assert np.abs(errors).max() < 15.0 * YARD


def test_a_club_that_falls_short_loses_its_place(begun: course.Start, planned: Plan, tmp_path: Path) -> None:
    good = course.outcome(kept(planned, tmp_path / "a.csv", planned.balls, begun), begun)
    rec = kept(planned, tmp_path / "b.csv", planned.balls, begun)
    short = [
        record.Ball(b.club, {**b.values, **{c: b.values[c] - 40.0 for c in ("carry_m", "total_m")}}, b.source)
        if b.club == 1 else b for b in rec.balls
    ]  # fmt: skip
    bad = course.outcome(record.msgspec.structs.replace(rec, balls=short), begun)
    assert bad.clubs[0][0].value_gain.mean < good.clubs[0][0].value_gain.mean - 8.0
    assert any(c.option == planned.clubs[1].id and c.channel == "carry_m" for c in bad.surprises)


def test_no_ball_counts_twice(begun: course.Start, planned: Plan, tmp_path: Path) -> None:
    path = tmp_path / "balls.csv"
    rec = kept(planned, path, 8, begun)
    again, known = rec.with_balls(course.read_balls(rec, begun, intake.read(path), path.name))
    assert (len(again.balls), known) == (8, 8)
    # The log grows: only the new rows count, and they go on in the plan's order.
    write_balls(path, [planned.club_of(n) for n in range(12)], planned)
    more, known = rec.with_balls(course.read_balls(rec, begun, intake.read(path), path.name))
    assert (len(more.balls), known) == (12, 8)
    assert [b.club for b in more.balls] == [planned.club_of(n) for n in range(12)]


def test_the_next_ball_stops_at_a_mirror_alone(begun: course.Start, planned: Plan, tmp_path: Path) -> None:
    rec = kept(planned, tmp_path / "balls.csv", planned.balls, begun)
    for n in range(planned.balls + 1):
        part = record.msgspec.structs.replace(rec, balls=rec.balls[:n])
        found = course.next_ball(part, begun)
        if n % planned.turn or n == 0:
            assert found.action == "hit"
            assert found.code == planned.codes[planned.club_of(n)]
            assert found.ball == n + 1
        else:
            assert found.action in ("hit", "enough", "spent")
            assert np.isfinite(found.open_worth)
    assert found.action in ("enough", "spent")


def test_a_budget_that_holds_no_mirror_is_refused(begun: course.Start) -> None:
    with pytest.raises(DataError, match="no fair trial"):
        plan(begun.belief, Budget(5, 45.0))
    with pytest.raises(InputError) as caught:
        Budget.of(-1, -5.0, "hard")
    assert len(caught.value.problems) == 3
    with pytest.raises(InputError, match="cannot be tried"):
        plan(begun.belief, Budget(30, 45.0), only=["nothing"])


def test_a_file_is_read_back_or_refused_with_its_reason(planned: Plan, tmp_path: Path) -> None:
    log = tmp_path / "log.csv"
    log.write_bytes((demo.folder() / PLAYER.log).read_bytes())
    rec = record.of_plan(planned, {"log": str(log)}, log, pick="keep")
    path = tmp_path / "T.json"
    record.save(rec, path)
    assert record.load(path) == rec
    said = json.loads(path.read_text())
    for change, words in (
        ({"version": 9}, "newer"), ({"runs": [99]}, "cannot go on"), ({"what": 1}, "no trial"),
    ):  # fmt: skip
        path.write_text(json.dumps({**said, **change}))
        with pytest.raises(InputError, match=words):
            record.load(path)
    path.write_text("[1")
    with pytest.raises(InputError, match="no trial"):
        record.load(path)
    record.save(rec, path)
    log.write_text("other", encoding="utf-8")
    with pytest.raises(InputError) as caught:
        record.load(path)
    assert "other bytes" in caught.value.problems[0].found


def test_from_plan_to_result_on_the_command_line(tmp_path: Path, capsys: Capture) -> None:
    file, folder = tmp_path / "T.json", demo.folder()
    words = ["trial", "plan", str(folder / PLAYER.log), "--kit", str(folder), "--present", PLAYER.present]
    asked = ["--for", PLAYER.objective, "--draws", "64", "--effort", "full", "--pick", "keep"]
    assert main([*words, *asked, "-o", str(file)]) == 0
    out = capsys.readouterr().out
    assert "A fair trial" in out
    assert "Warm up" in out or "warm up" in out
    assert main(["trial", "next", str(file)]) == 0
    assert capsys.readouterr().out.startswith("Mount code ")
    assert main(["trial", "result", str(file)]) == 2
    assert "no ball that counts" in capsys.readouterr().err
    rec = record.load(file)
    typed = ["--ball", "ball_speed=180mph launch=13 spin=2600 carry=300yd total=320yd"]
    assert main(["trial", "add", str(file), *typed, *typed, "--feel", f"{rec.codes[rec.runs[0]]} heavy"]) == 0
    assert "2 balls added" in capsys.readouterr().out
    assert main(["trial", "add", str(file), "--ball", "weight=3 launch=13parsec"]) == 2
    err = capsys.readouterr().err
    assert "'weight=3'" in err
    assert "parsec" in err
    assert len(record.load(file).balls) == 2
    assert main(["trial", "result", str(file), "--json"]) == 0
    found = json.loads(capsys.readouterr().out)
    assert {"belief", "next", "verdict", "surprises"} <= set(found)
    assert found["feel"] == {rec.codes[rec.runs[0]]: "heavy"}
    assert main(["trial", "result", str(file)]) == 0
    assert "Your own pick before the ladder: the present club" in capsys.readouterr().out


def test_a_typed_ball_that_contradicts_itself_is_set_aside(begun: course.Start, planned: Plan) -> None:
    rec = record.of_plan(planned, {}, demo.folder() / PLAYER.log)
    session = begun.decided.question.session
    names = ("club_speed_mps", "ball_speed_mps", "launch_deg", "spin_rpm")
    good = {k: float(np.nanmedian(session.value(k))) for k in names}
    wrong = {**good, "ball_speed_mps": 1.9 * good["club_speed_mps"]}
    found = course.typed_balls(rec, begun, [good, good, wrong, good])
    assert [b.aside for b in found] == ["", "", "misread", ""]
    assert [b.club for b in found] == [rec.club_of(i) for i in range(4)]


def test_the_side_of_a_left_hander_is_mirrored_once(begun: course.Start, planned: Plan) -> None:
    rec = record.of_plan(planned, {}, demo.folder() / PLAYER.log)
    session = replace(begun.decided.question.session, hand="left")
    decided = replace(begun.decided, question=replace(begun.decided.question, session=session))
    there = replace(begun, decided=decided)
    told = [{"carry_m": 220.0, "offline_m": 5.0}]
    assert course.typed_balls(rec, begun, told)[0].values["offline_m"] == 5.0
    assert course.typed_balls(rec, there, told)[0].values["offline_m"] == -5.0


def test_pain_ends_a_trial(begun: course.Start, planned: Plan, tmp_path: Path) -> None:
    rec = kept(planned, tmp_path / "balls.csv", 2, begun)
    assert course.next_ball(rec, begun).action == "hit"
    hurt = rec.hurt("left wrist")
    assert len(hurt.balls) == 2
    assert course.next_ball(hurt, begun).action == "pain"
    assert "physician" in sentences.next_ball(course.next_ball(hurt, begun))


def test_the_verdicts_own_club_is_tried_and_its_set_up_is_told(begun: course.Start) -> None:
    able = {begun.belief.options[i].club.code for i in candidates(begun.belief)}
    best = {o.club.code for o in course.planned(begun, Budget.of(None, None, "full")).clubs}
    # A set-up of a club that no plan would take by itself, named by a verdict.
    named = next(o for o in begun.belief.options if o.set_up and o.club.code in able - best)
    verdict = replace(begun.decided.verdict, option=named.id)
    said = course.Start(replace(begun.decided, verdict=verdict), begun.belief)
    found = course.planned(said, Budget.of(None, None, "full"))
    assert said.named == named
    assert named.club.code in {o.club.code for o in found.clubs}
    assert not any(o.set_up for o in found.clubs)
    assert "hit with ball and tee as now" in sentences.promise(found, said)
    # Asked for by name, a set-up means its club.
    asked = course.planned(begun, Budget.of(None, None, "full"), [named.id])
    assert [o.club.code for o in asked.clubs[1:]] == [named.club.code]
