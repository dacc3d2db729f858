"""Order, bounded memory and broken workers, on executors that misbehave on purpose."""

from __future__ import annotations

import threading
from collections.abc import Iterator
from concurrent.futures import BrokenExecutor, Executor, Future, ThreadPoolExecutor
from typing import Any

import pytest

from fitter.batches import pool as pools
from fitter.batches.job import Job
from fitter.batches.pool import Pool, in_order
from fitter.batches.rows import FAILED, RANKED, Outcome, PlayerRow


class Fake(Job):
    """A job of which only the label counts."""

    def __init__(self, label: str) -> None:
        object.__setattr__(self, "label", label)
        object.__setattr__(self, "key", label)


def outcome(job: Any, status: str = RANKED) -> Outcome:
    return Outcome(PlayerRow(job.label, job.label, status))


@pytest.fixture(autouse=True)
def plain(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(pools, "score", outcome)
    monkeypatch.setattr(pools, "failed", lambda job, error: outcome(job, FAILED))


class Backwards(Executor):
    """Finishes nothing until asked for the window's last job, then everything, last first."""

    def __init__(self, window: int) -> None:
        self.window, self.held = window, list[tuple[Future[Any], Any, Any]]()

    def submit(self, fn: Any, /, *args: Any, **kwargs: Any) -> Future[Any]:
        future: Future[Any] = Future()
        self.held.append((future, fn, args))
        if len(self.held) == self.window:
            while self.held:
                done, call, given = self.held.pop()
                done.set_result(call(*given))
        return future


def test_outcomes_come_in_the_order_of_the_jobs_and_few_wait() -> None:
    window, taken, given = 4, 0, 0

    def entries() -> Iterator[Job | Outcome]:
        nonlocal taken
        for k in range(20):
            taken += 1
            assert taken - given <= window
            yield Fake(f"{k:02d}") if k % 5 else outcome(Fake(f"{k:02d}"))

    pool = Pool(given=ThreadPoolExecutor(3))
    labels = []
    for found in in_order(entries(), pool, window, lambda j, o: None):
        given += 1
        labels.append(found.row.session)
    assert labels == [f"{k:02d}" for k in range(20)]


def test_jobs_that_finish_last_first_are_put_in_order() -> None:
    jobs = iter([Fake(str(k)) for k in range(8)])
    kept: list[str] = []
    found = in_order(jobs, Pool(given=Backwards(4)), 4, lambda job, _: kept.append(job.label))
    assert [o.row.session for o in found] == [str(k) for k in range(8)]
    assert sorted(kept) == [str(k) for k in range(8)]


class Fragile(Executor):
    """Breaks for good when it meets the poisoned job, as a process pool does."""

    made = 0

    def __init__(self) -> None:
        Fragile.made += 1
        self.broken = False

    def submit(self, fn: Any, /, *args: Any, **kwargs: Any) -> Future[Any]:
        if self.broken:
            raise BrokenExecutor("broken before")
        future: Future[Any] = Future()
        self.broken = args[0].label == "3"
        if self.broken:
            future.set_exception(BrokenExecutor("a process ended"))
        else:
            future.set_result(fn(*args))
        return future

    def shutdown(self, wait: bool = True, *, cancel_futures: bool = False) -> None:
        self.broken = True


def test_a_job_that_takes_its_worker_down_is_named_and_the_rest_goes_on() -> None:
    jobs = iter([Fake(str(k)) for k in range(12)])
    found = [o.row for o in in_order(jobs, Pool(make=Fragile), 6, lambda j, o: None)]
    assert [r.session for r in found] == [str(k) for k in range(12)]
    assert [r.session for r in found if r.status == FAILED] == ["3"]


def test_a_broken_executor_of_the_caller_is_not_replaced() -> None:
    before = Fragile.made
    jobs = iter([Fake(str(k)) for k in range(6)])
    given = Fragile()
    found = [o.row.status for o in in_order(jobs, Pool(given=given), 2, lambda j, o: None)]
    assert found == [RANKED] * 3 + [FAILED] * 3
    assert Fragile.made == before + 1


def test_what_runs_when_somebody_stops_is_kept(monkeypatch: pytest.MonkeyPatch) -> None:
    kept: list[str] = []
    go = threading.Event()
    monkeypatch.setattr(pools, "score", lambda job: (job.label == "0" or go.wait(10.0)) and outcome(job))

    waited_for: list[int] = []

    def told(running: int) -> None:
        assert kept == ["0"]
        waited_for.append(running)
        go.set()

    with ThreadPoolExecutor(2) as threads:
        jobs = iter([Fake(str(k)) for k in range(50)])
        found = in_order(jobs, Pool(given=threads), 8, lambda job, _: kept.append(job.label), told)
        next(found)
        found.close()
    # One thread holds the second job; the other may have taken a third one by then.
    assert kept[0] == "0"
    assert waited_for in ([1], [2])
    assert len(kept) == 1 + waited_for[0]
