"""Many sessions: the same bytes on any executor and after any stop, and whatever is wrong ends as a line."""

from __future__ import annotations

import csv
import json
import os
import subprocess
import sys
from collections.abc import Iterator
from concurrent.futures import Executor, ThreadPoolExecutor
from pathlib import Path
from typing import Any

import pytest

import fitter
from fitter import demo
from fitter.base.errors import InputError
from fitter.batches.batch import Batch, batch
from fitter.batches.output import Journal, options_path
from fitter.batches.rows import BROKEN, FEW, RANKED, UNRANKED
from reference.batch_benchmark import POISON
from tests.batches import shop

ROOT = demo.folder().parent
SAME = pytest.mark.usefixtures("remembered")
"""For tests of what a batch makes of rankings; what proves that these do not change computes them."""


@pytest.fixture(scope="module")
def base(tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("shop")
    shop.kit(folder / "kit")
    shop.night(folder / "logs")
    return folder


def run(base: Path, out: Path, **more: Any) -> Batch:
    return batch([base / "logs"], base / "kit", out=out, draws=shop.DRAWS, **more)


def both(out: Path) -> tuple[bytes, bytes]:
    return out.read_bytes(), options_path(out).read_bytes()


@pytest.fixture(scope="module")
def serial(base: Path) -> tuple[bytes, bytes]:
    run(base, base / "serial.csv")
    return both(base / "serial.csv")


def test_one_line_a_session_and_the_options_in_a_second_file(base: Path, serial: tuple[bytes, bytes]) -> None:
    rows = list(csv.DictReader(serial[0].decode().splitlines()))
    assert [r["session"] for r in rows] == [f"log{k:02d}.csv" for k in range(4)]
    assert [r["status"] for r in rows] == [RANKED, RANKED, BROKEN, RANKED]
    assert "no known column" in rows[2]["reason"]
    for row in rows[:2]:
        assert float(row["weak_carry_yd"]) < float(row["carry_yd"])
        assert row["loss_cause"]
        assert row["best_a"]
        assert row["worth"] in ("yes", "perhaps", "no")
        assert row["text"]
        assert row["action"] in ("change", "keep", "test", "measure")
    options = list(csv.DictReader(serial[1].decode().splitlines()))
    first = [o for o in options if o["session"] == "log00.csv"]
    assert first[0]["tier"] == "present"
    assert len({o["id"] for o in first}) == len(first) > 10
    best = max(float(o["gain"]) for o in first)
    assert float(rows[0]["best_gain"]) == pytest.approx(best, abs=1e-3)


def test_threads_give_the_same_bytes(base: Path, serial: tuple[bytes, bytes], tmp_path: Path) -> None:
    with ThreadPoolExecutor(2) as threads:
        run(base, tmp_path / "out.csv", executor=threads)
        assert threads.submit(int, "1").result() == 1
    assert both(tmp_path / "out.csv") == serial


def test_processes_give_the_same_bytes(base: Path, serial: tuple[bytes, bytes], tmp_path: Path) -> None:
    run(base, tmp_path / "out.csv", workers=2)
    assert both(tmp_path / "out.csv") == serial


def cluster(processes: bool) -> Iterator[Executor]:
    distributed = pytest.importorskip("distributed")
    with (
        distributed.LocalCluster(
            n_workers=2, threads_per_worker=1, processes=processes, dashboard_address=None
        ) as local,
        distributed.Client(local) as client,
    ):
        yield client.get_executor()


@pytest.mark.parametrize("processes", [False, pytest.param(True, marks=pytest.mark.slow)])
def test_a_dask_cluster_gives_the_same_bytes(
    base: Path, serial: tuple[bytes, bytes], tmp_path: Path, processes: bool
) -> None:
    for executor in cluster(processes):
        run(base, tmp_path / "out.csv", executor=executor)
    assert both(tmp_path / "out.csv") == serial


@SAME
def test_stopped_and_resumed_gives_the_same_bytes(
    base: Path, serial: tuple[bytes, bytes], tmp_path: Path
) -> None:
    out = tmp_path / "out.csv"

    def stop(done: int, expected: float) -> None:
        if done == 3:
            raise KeyboardInterrupt

    with pytest.raises(KeyboardInterrupt):
        run(base, out, progress=stop)
    assert sorted(p.name for p in tmp_path.iterdir()) == ["out.csv.part"]
    assert len(Journal(tmp_path / "out.csv.part")) == 2
    half = next(iter((tmp_path / "out.csv.part").iterdir()))
    half.write_bytes(half.read_bytes()[:100])
    assert run(base, out).resumed == 1
    assert both(out) == serial
    assert sorted(p.name for p in tmp_path.iterdir()) == ["out.csv", "out.options.csv"]


@SAME
def test_other_settings_do_not_take_over_what_is_kept(base: Path, tmp_path: Path) -> None:
    out = tmp_path / "out.csv"

    def stop(done: int, expected: float) -> None:
        raise KeyboardInterrupt

    with pytest.raises(KeyboardInterrupt):
        run(base, out, progress=stop)
    log = [base / "logs" / "log00.csv"]
    assert batch(log, base / "kit", out=out, draws=shop.DRAWS, goal="weak").resumed == 0


def test_killed_and_resumed_gives_the_same_bytes(
    base: Path, serial: tuple[bytes, bytes], tmp_path: Path
) -> None:
    """Killed by the system, with no chance to tidy up; its workers end with it."""
    out = tmp_path / "out.csv"
    code = (
        "import sys; from fitter.batches.batch import batch\n"
        f"if __name__ == '__main__': batch([{str(base / 'logs')!r}], {str(base / 'kit')!r}, "
        f"out={str(out)!r}, draws={shop.DRAWS}, workers=2, progress=lambda *_: print('one', flush=True))"
    )
    script = tmp_path / "night.py"
    script.write_text(code, encoding="utf-8")
    process = subprocess.Popen(
        [sys.executable, str(script)],
        cwd=ROOT,
        env=os.environ | {"PYTHONPATH": str(ROOT)},
        stdout=subprocess.PIPE,
    )
    assert process.stdout is not None
    assert process.stdout.readline() == b"one\n"
    process.kill()
    process.wait()
    process.stdout.close()
    run(base, out)
    assert both(out) == serial
    assert sorted(p.name for p in tmp_path.iterdir()) == ["night.py", "out.csv", "out.options.csv"]


@SAME
def test_what_stood_there_stays_when_a_batch_is_stopped(base: Path, tmp_path: Path) -> None:
    out = tmp_path / "out.csv"
    out.write_text("old", encoding="utf-8")

    def stop(done: int, expected: float) -> None:
        raise KeyboardInterrupt

    with pytest.raises(KeyboardInterrupt):
        run(base, out, progress=stop)
    assert out.read_text(encoding="utf-8") == "old"


@SAME
def test_json_lines_and_parquet_hold_the_same(base: Path, tmp_path: Path) -> None:
    parquet = pytest.importorskip("pyarrow.parquet")
    logs = [base / "logs" / f"log{k:02d}.csv" for k in (1, 2)]
    done = batch(logs, base / "kit", out=tmp_path / "out.jsonl", draws=shop.DRAWS, metric=True)
    batch(logs, base / "kit", out=tmp_path / "out.parquet", draws=shop.DRAWS, metric=True)
    lines = [json.loads(s) for s in (tmp_path / "out.jsonl").read_text(encoding="utf-8").splitlines()]
    assert lines == parquet.read_table(tmp_path / "out.parquet").to_pylist()
    assert [r["carry_m"] for r in lines] == [r.carry_m for r in done.rows]
    options = (tmp_path / "out.options.jsonl").read_text(encoding="utf-8").splitlines()
    table = parquet.read_table(tmp_path / "out.options.parquet").to_pylist()
    assert [json.loads(s) for s in options] == table


@SAME
def test_few_balls_or_channels_still_give_carry_and_losses(tmp_path: Path) -> None:
    logs = tmp_path / "logs"
    shop.log(logs / "few.csv", "G1", shots=3)
    shop.log(logs / "no_launch.csv", "G2", leave=("launch (deg)",))
    shop.log(logs / "start.csv", "G3", shots=4, leave=("carry (yd)", "total (yd)"))
    done = batch([logs], shop.kit(tmp_path / "kit"), draws=shop.DRAWS)
    few, no_launch, start = done.rows
    assert (few.status, no_launch.status, start.status) == (FEW, UNRANKED, FEW)
    carries = [float(r["carry (yd)"]) for r in shop.demo_rows("P2", 3)]
    assert few.carry_m == pytest.approx(0.9144 * sum(carries) / 3, abs=1e-3)
    assert (few.carry_from, start.carry_from) == ("measured", "flight")
    assert few.weak_carry_m < few.carry_m  # type: ignore[operator]
    assert few.loss_cause
    assert "at least" in few.reason
    assert "launch" in no_launch.reason
    assert no_launch.carry_m is not None
    # Modelled without measured carry: the model's own check against carries is within 5 % (README, limits).
    assert start.carry_m == pytest.approx(few.carry_m, rel=0.15)
    assert all(row.worth == "" and row.scored for row in done.rows)


@SAME
def test_the_weak_carry_is_one_figure_wherever_it_stands(tmp_path: Path) -> None:
    # The same balls: ranked, and of a player for whom nothing can be ranked as no launch was measured.
    logs = tmp_path / "logs"
    shop.log(logs / "a.csv", "G1", of="P4", shots=8)
    shop.log(logs / "b.csv", "G1", of="P4", shots=8, leave=("launch (deg)",))
    done = batch([logs], shop.kit(tmp_path / "kit"), draws=shop.DRAWS, present="H1/S1")
    ranked, measured = done.rows
    assert (ranked.carry_from, measured.carry_from) == ("replay", "measured")
    assert ranked.used == measured.used == 7
    assert measured.weak_carry_m == pytest.approx(ranked.weak_carry_m, abs=1e-3)
    assert done.options[0].weak_carry_m == ranked.weak_carry_m


@SAME
def test_the_call_without_a_file_returns_the_options(base: Path) -> None:
    done = fitter.batch([base / "logs" / "log01.csv"], base / "kit", draws=shop.DRAWS, present="H1/S1")
    (row,) = done.rows
    assert row.club == done.options[0].id == "H1/S1 45.25in"
    assert {o.player for o in done.options} == {"G1"}


@SAME
def test_a_player_of_several_files_has_a_line_for_each(base: Path, tmp_path: Path) -> None:
    for day in ("may", "june"):
        shop.log(tmp_path / day / "night.csv", "G1", "G2")
    done = batch([tmp_path], base / "kit", draws=shop.DRAWS)
    assert len({r.carry_m for r in done.rows}) == 1
    assert [(r.player, r.session) for r in done.rows] == [
        ("G1", "june/night.csv"), ("G2", "june/night.csv"), ("G1", "may/night.csv"), ("G2", "may/night.csv"),
    ]  # fmt: skip


@SAME
def test_the_present_club_of_those_of_whom_the_roster_says_nothing(base: Path, tmp_path: Path) -> None:
    roster = tmp_path / "roster.csv"
    roster.write_text("code,present\nG0,\nG1,unknown\nG2,H2/S1\n", encoding="utf-8")
    log = shop.log(tmp_path / "log.csv", "G0", "G1", "G2", shots=3)
    done = batch([log], base / "kit", roster, draws=shop.DRAWS, present="H1/S1")
    assert [r.present for r in done.rows] == ["H1/S1", "unknown", "H2/S1"]
    assert [r.club.split("/")[0] for r in done.rows] == ["H1", "unknown", "H2"]


@SAME
def test_names_that_do_not_meet_are_listed(base: Path, tmp_path: Path) -> None:
    roster = tmp_path / "roster.csv"
    roster.write_text("code,name,ball\nP1,G1,B7\nP9,G9,\n", encoding="utf-8")
    logs = [base / "logs" / "log01.csv", base / "logs" / "log03.csv"]
    done = batch(logs, base / "kit", roster, draws=shop.DRAWS)
    assert (done.strangers, done.missing) == ((("G3", "log03.csv"),), ("P9",))
    assert [(r.player, r.ball) for r in done.rows] == [("P1", "B7"), ("G3", "")]
    assert "not in the roster" in done.rows[1].notes


@SAME
def test_nobody_is_ordered_by_speed_without_consent(base: Path, tmp_path: Path) -> None:
    roster = tmp_path / "roster.csv"
    logs = [base / "logs" / f"log{k:02d}.csv" for k in (1, 3)]
    roster.write_text("code,name,consent\nP1,G1,yes\nP2,G2,no\n", encoding="utf-8")
    with pytest.raises(InputError) as caught:
        batch(logs, base / "kit", roster, draws=shop.DRAWS, order_by_speed=True)
    found = " ".join(p.found for p in caught.value.problems)
    assert "P2 (roster)" in found
    assert "G3 (log03.csv" in found
    assert "P1" not in found
    roster.write_text("code,name,consent\nP1,G1,yes\nP3,G3,yes\n", encoding="utf-8")
    done = batch(logs, base / "kit", roster, draws=shop.DRAWS, order_by_speed=True)
    speeds = [r.club_speed_mps for r in done.rows]
    assert speeds == sorted(speeds, reverse=True)  # type: ignore[type-var]
    plain = batch(logs, base / "kit", roster, draws=shop.DRAWS)
    assert [r.player for r in plain.rows] == ["P1", "P3"] != [r.player for r in done.rows]


def test_everything_wrong_with_the_call_at_once(tmp_path: Path) -> None:
    with pytest.raises(InputError) as caught:
        batch([tmp_path / "no.csv", tmp_path], tmp_path, out=tmp_path / "no" / "out.doc", goal="luck",
              workers=0)  # fmt: skip
    text = str(caught.value)
    for word in ("no.csv", "heads.csv", "'out.doc'", "'luck'", "--workers", "which does not exist"):
        assert word in text
    assert not list(tmp_path.iterdir())


@SAME
def test_a_folder_gives_logs_and_nothing_else(base: Path, tmp_path: Path) -> None:
    shop.kit(tmp_path)
    shop.log(tmp_path / "a" / "one.CSV", "G1")
    shop.log(tmp_path / ".hidden" / "two.csv", "G2")
    (tmp_path / "readme.md").write_text("x", encoding="utf-8")
    (tmp_path / "loop").symlink_to(tmp_path)
    (tmp_path / "gone.csv").symlink_to(tmp_path / "nowhere")
    if hasattr(os, "mkfifo"):
        os.mkfifo(tmp_path / "pipe.csv")
    roster = tmp_path / "roster.csv"
    roster.write_text("code,name\nP1,G1\n", encoding="utf-8")
    done = batch([tmp_path, tmp_path / "a" / "*.CSV"], tmp_path, roster, out=tmp_path / "out.csv", draws=16)
    assert [r.session for r in done.rows] == ["a/one.CSV"]
    again = batch([tmp_path], tmp_path, roster, out=tmp_path / "out.csv", draws=16)
    assert again.rows == done.rows


@SAME
def test_every_kind_of_broken_file_is_named_and_stops_nothing(base: Path, tmp_path: Path) -> None:
    for k, data in enumerate(POISON):
        (tmp_path / f"bad{k}.csv").write_bytes(data)
    shop.log(tmp_path / "good.csv", "G1", shots=3)
    (tmp_path / "folder.csv").mkdir()
    done = batch([tmp_path], base / "kit", draws=shop.DRAWS)
    assert [b.session for b in done.broken] == [f"bad{k}.csv" for k in range(len(POISON))]
    for broken, row in zip(done.broken, done.rows, strict=False):
        assert broken.problems
        assert (row.status, row.session) == (BROKEN, broken.session)
        assert row.reason
        assert "\n" not in row.reason
    assert (done.rows[-1].session, done.rows[-1].status) == ("good.csv", FEW)


@SAME
def test_players_whose_names_look_alike_stay_two(base: Path, tmp_path: Path) -> None:
    log = shop.log(tmp_path / "log.csv", "Ann", "Ａｎｎ", shots=3)
    done = batch([log], base / "kit", draws=shop.DRAWS)
    assert [r.player for r in done.rows] == ["Ann", "Ａｎｎ"]


def test_a_fault_of_the_program_is_a_line_and_is_tried_again(
    base: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    from fitter.batches import job

    def broken(*_: Any, **__: Any) -> None:
        raise ZeroDivisionError("in here")

    monkeypatch.setattr(job, "rank", broken)
    done = run(base, tmp_path / "out.csv")
    assert {r.status for r in done.rows} == {"failed", BROKEN}
    assert "ZeroDivisionError: in here" in done.rows[0].reason
