"""Killed while it writes: whole each time, all that was confirmed there, nothing half there."""

from __future__ import annotations

import multiprocessing
import os
import signal
import time
from multiprocessing.connection import Connection
from pathlib import Path

import numpy as np
import pytest

from fitter.base.errors import InputError
from fitter.history import store as stores
from fitter.history.records import Fitting, Visit
from fitter.history.store import Store
from tests.history.made import fitting, player, visit

pytestmark = pytest.mark.skipif(os.name != "posix", reason="signals of POSIX")
LOG = b"shot,carry\n" + b"1,210\n" * 400


def write_on(file: Path, code: str, first: int, told: Connection) -> None:
    """Write visit after visit with its log and decision; tell of each that is confirmed."""
    with Store(file) as store:
        k = first
        while True:
            one = visit(code, k)
            store.remember(player(code), [one, fitting(code, k)], {one.digest: LOG})
            told.send(k)
            k += 1


def begun(file: Path, code: str, first: int) -> tuple[multiprocessing.Process, Connection]:
    here, there = multiprocessing.Pipe(duplex=False)
    process = multiprocessing.get_context("fork").Process(target=write_on, args=(file, code, first, there))
    process.start()
    there.close()
    return process, here  # type: ignore[return-value]


def heard(pipe: Connection) -> list[int]:
    found = []
    try:
        while pipe.poll(0):
            found.append(pipe.recv())
    except (EOFError, OSError):
        pass
    return found


def check(file: Path, confirmed: set[tuple[str, int]]) -> None:
    with Store(file) as store:
        assert store.db.execute("PRAGMA integrity_check").fetchone()[0] == "ok"
        assert store.db.execute("PRAGMA foreign_key_check").fetchall() == []
        for code in {c for c, _ in confirmed}:
            visits = {v.log_name.removesuffix(".csv") for v in store.entries(Visit, code)}
            decisions = {f.visit for f in store.entries(Fitting, code)}
            assert {str(k) for c, k in confirmed if c == code} <= visits
            # A visit and its decision and log are one transaction: none without the others.
            assert decisions == {visit(code, int(k)).digest for k in visits}
            logs = store.db.execute("SELECT count(*) FROM log").fetchone()[0]
            assert logs == store.db.execute("SELECT count(*) FROM entry WHERE kind = 'visit'").fetchone()[0]


@pytest.mark.parametrize("kills", [30, pytest.param(200, marks=pytest.mark.slow)])
def test_killed_again_and_again(tmp_path: Path, kills: int) -> None:
    file, rng = tmp_path / "history.sqlite", np.random.default_rng(7)
    confirmed: set[tuple[str, int]] = set()
    for turn in range(kills):
        first = 1 + max((k for _, k in confirmed), default=0)
        process, pipe = begun(file, "M7", first + 10_000 * turn if turn % 50 == 0 else first)
        if turn % 2:
            # Killed between writes and within them; in the other turns while the file is opened, too.
            assert pipe.poll(120.0)
        time.sleep(float(rng.uniform(0.0, 0.03)))
        assert process.pid is not None
        os.kill(process.pid, signal.SIGKILL)
        process.join()
        confirmed |= {("M7", k) for k in heard(pipe)}
        if turn % 10 == 9:
            check(file, confirmed)
    check(file, confirmed)
    assert len(confirmed) >= kills / 2


def test_two_processes_write_and_a_third_reads(tmp_path: Path) -> None:
    file = tmp_path / "history.sqlite"
    Store(file).close()
    writers = [begun(file, code, 1) for code in ("M7", "M8")]
    confirmed: set[tuple[str, int]] = set()
    seen, deadline = 0, time.monotonic() + 60.0
    while time.monotonic() < deadline:
        with Store(file, read_only=True) as store:
            now = len(store.entries(Visit))
        assert now >= seen
        seen = now
        for code, (_, pipe) in zip(("M7", "M8"), writers, strict=True):
            confirmed |= {(code, k) for k in heard(pipe)}
        if {c for c, _ in confirmed} == {"M7", "M8"} and len(confirmed) > 40:
            break
    for process, _ in writers:
        assert process.is_alive()
        process.kill()
        process.join()
    assert {c for c, _ in confirmed} == {"M7", "M8"}
    check(file, confirmed)


def test_a_writer_who_waits_too_long_is_told(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    file = tmp_path / "history.sqlite"
    monkeypatch.setattr(stores, "WAIT_MS", 20)
    with Store(file) as one, Store(file) as other:
        with one.writing():
            one.remember(player("M7"), [visit("M7", 1)])
            with pytest.raises(InputError, match="is in use"):
                other.remember(player("M8"), [visit("M8", 1)])
            assert other.players() == []
        other.remember(player("M8"), [visit("M8", 1)])
        assert [p.code for p in one.players()] == ["M7", "M8"]
