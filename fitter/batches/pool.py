"""Jobs on any executor, outcomes in the order of the jobs, and never more than a few at once."""

from __future__ import annotations

from collections.abc import Callable, Generator, Iterator
from concurrent.futures import FIRST_COMPLETED, BrokenExecutor, CancelledError, Executor, Future, wait

from fitter.batches.job import Job
from fitter.batches.rows import Outcome
from fitter.batches.score import failed, score

Entry = Job | Outcome
"""What is to be done, or what is there already."""
PATIENCE = 30.0
"""Seconds for jobs that run while the batch is stopped: they are kept, not lost."""


class Pool:
    """An executor that can be made anew when a job has taken a worker down with it.

    Parameters
    ----------
    make : callable, optional
        Makes an executor of our own, which is shut down at the end; None runs each job in this process.
    given : Executor, optional
        The caller's, which is left running.
    """

    def __init__(self, make: Callable[[], Executor] | None = None, given: Executor | None = None) -> None:
        self._make = make
        self._executor = given
        self._own: Executor | None = None

    @property
    def serial(self) -> bool:
        """Whether jobs run in this process, one by one."""
        return self._make is None and self._executor is None

    def submit(self, job: Job) -> Future[Outcome]:
        """Start a job."""
        if self._executor is None and self._make is not None:
            self._executor = self._own = self._make()
        assert self._executor is not None
        return self._executor.submit(score, job)

    def renew(self) -> bool:
        """Leave a broken executor for a new one, if it is ours."""
        if self._make is None:
            return False
        if self._own is not None:
            self._own.shutdown(wait=False, cancel_futures=True)
            self._executor = self._own = None
        return True

    def close(self) -> None:
        """Shut down what is ours."""
        if self._own is not None:
            self._own.shutdown(wait=True, cancel_futures=True)
            self._executor = self._own = None


def in_order(
    entries: Iterator[Entry],
    pool: Pool,
    in_flight: int,
    keep: Callable[[Job, Outcome], None],
    stopping: Callable[[int], None] | None = None,
) -> Generator[tuple[Entry, Outcome], None, None]:
    """Score jobs and yield their outcomes in the order of the entries.

    Parameters
    ----------
    entries : iterator of Job or Outcome
        Taken only as far ahead as jobs may run.
    pool : Pool
    in_flight : int
        Entries between the next one to yield and the last one taken: memory holds no more than these.
    keep : callable
        Called with each job and its outcome as soon as it is done, in whatever order.
    stopping : callable, optional
        Called when somebody stops, with the number of jobs that run and are waited for.

    Yields
    ------
    (Job or Outcome, Outcome)
    """
    if pool.serial:
        for entry in entries:
            if isinstance(entry, Job):
                outcome = score(entry)
                keep(entry, outcome)
                yield entry, outcome
            else:
                yield entry, entry
        return
    waiting: dict[Future[Outcome], tuple[int, Job]] = {}
    ready: dict[int, tuple[Entry, Outcome]] = {}
    taken = given = 0
    more = True
    try:
        while more or waiting or ready:
            while more and taken - given < in_flight:
                try:
                    entry = next(entries)
                except StopIteration:
                    more = False
                    break
                if isinstance(entry, Outcome):
                    ready[taken] = entry, entry
                    taken += 1
                else:
                    waiting[_submit(pool, entry)] = taken, entry
                    taken += 1
            if given in ready:
                found = ready.pop(given)
                given += 1
                yield found
                continue
            if waiting:
                done, _ = wait(waiting, return_when=FIRST_COMPLETED)
                _collect(done, waiting, ready, pool, keep)
    finally:
        # Here with work left only when somebody stops: what runs is finished and kept.
        for future in waiting:
            future.cancel()
        running = [f for f in waiting if not f.cancelled()]
        if running and stopping is not None:
            stopping(len(running))
        for future in wait(running, PATIENCE).done if running else ():
            if future.exception() is None:
                keep(waiting[future][1], future.result())


def _submit(pool: Pool, job: Job) -> Future[Outcome]:
    try:
        return pool.submit(job)
    except BrokenExecutor as error:
        # Found while submitting: the futures that broke tell it too, and all are tried again.
        lost: Future[Outcome] = Future()
        lost.set_exception(error)
        return lost


def _collect(
    done: set[Future[Outcome]],
    waiting: dict[Future[Outcome], tuple[int, Job]],
    ready: dict[int, tuple[Entry, Outcome]],
    pool: Pool,
    keep: Callable[[Job, Outcome], None],
) -> None:
    """Take what is done; after a broken executor try the jobs that it held one by one."""
    broken = False
    for future in done:
        error = future.exception() if not future.cancelled() else CancelledError("cancelled by the executor")
        at, job = waiting[future]
        if isinstance(error, BrokenExecutor):
            broken = True
            continue
        del waiting[future]
        outcome = failed(job, error) if error is not None else future.result()
        keep(job, outcome)
        ready[at] = job, outcome
    if not broken:
        return
    suspects = sorted(waiting.values(), key=lambda item: item[0])
    waiting.clear()
    for at, job in suspects:
        outcome = _alone(pool, job)
        keep(job, outcome)
        ready[at] = job, outcome


def _alone(pool: Pool, job: Job) -> Outcome:
    """Outcome of a job that has a whole new executor to itself."""
    if not pool.renew():
        return failed(job, BrokenExecutor("the executor broke"))
    try:
        return pool.submit(job).result()
    except Exception as error:
        pool.renew()
        return failed(job, error)
