"""Jobs on any executor, outcomes in the order of the jobs, and never more than a few at once."""

from __future__ import annotations

import multiprocessing
import os
import signal
import threading
from collections.abc import Callable, Generator, Iterator
from concurrent.futures import (
    FIRST_COMPLETED,
    BrokenExecutor,
    CancelledError,
    Executor,
    Future,
    ProcessPoolExecutor,
    wait,
)
from typing import Any

from fitter.batches.job import Job, failed, score
from fitter.batches.rows import Outcome
from fitter.physics import engine

Entry = Job | Outcome
"""What is to be done, or what is there already."""
PATIENCE = 30.0
"""Seconds for jobs that run while the batch is stopped: they are kept, not lost."""


class ThisProcess(Executor):
    """Runs each job when it is submitted, in this thread."""

    def submit(self, fn: Callable[..., Any], /, *args: Any, **kwargs: Any) -> Future[Any]:
        """Call a function; its error is raised here."""
        future: Future[Any] = Future()
        future.set_result(fn(*args, **kwargs))
        return future


class Pool:
    """An executor that can be made anew when a job has taken a worker down with it.

    Parameters
    ----------
    make : callable, optional
        Makes an executor of our own, which is shut down at the end.
    given : Executor, optional
        The caller's, which is left running; without both each job runs in this process.
    """

    def __init__(self, make: Callable[[], Executor] | None = None, given: Executor | None = None) -> None:
        self._make = make if given is None else None
        self._executor = given if given is not None or make is not None else ThisProcess()

    def submit(self, job: Job) -> Future[Outcome]:
        """Start a job."""
        if self._executor is None and self._make is not None:
            self._executor = self._make()
        assert self._executor is not None
        return self._executor.submit(score, job)

    def renew(self) -> bool:
        """Leave a broken executor for a new one, if it is ours."""
        self.close(wait=False)
        return self._make is not None

    def close(self, wait: bool = True) -> None:
        """Shut down what is ours."""
        if self._make is not None and self._executor is not None:
            self._executor.shutdown(wait=wait, cancel_futures=True)
            self._executor = None


def processes(workers: int) -> Executor:
    """Processes that share the cores of this machine.

    Processes rather than threads: the kernels let go of the interpreter's lock, but the rest of a ranking
    does not. On two cores two processes with one thread each were 5 % quicker than two threads; against one
    process whose kernels use both cores 16 % at 256 draws and 58 % at 64. A batch also survives a job that
    takes its process down.
    """
    engine.prepare()
    share = max(1, (os.cpu_count() or 1) // workers)
    context = multiprocessing.get_context("spawn")
    return ProcessPoolExecutor(workers, context, _start_worker, (share,))


def _start_worker(threads: int) -> None:
    """Set up a process of a pool: it leaves Ctrl-C to its parent, dies with it and shares the cores."""
    os.environ["FITTER_THREADS"] = str(threads)
    signal.signal(signal.SIGINT, signal.SIG_IGN)
    parent = multiprocessing.parent_process()

    def follow() -> None:
        if parent is not None:
            parent.join()
            os._exit(1)

    threading.Thread(target=follow, daemon=True).start()


def in_order(
    entries: Iterator[Entry],
    pool: Pool,
    in_flight: int,
    keep: Callable[[Job, Outcome], None],
    stopping: Callable[[int], None] | None = None,
) -> Generator[Outcome, None, None]:
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
    Outcome
    """
    waiting: dict[Future[Outcome], tuple[int, Job]] = {}
    ready: dict[int, Outcome] = {}
    taken = given = 0
    more = True
    try:
        while more or waiting or ready:
            while more and taken - given < in_flight:
                entry = next(entries, None)
                if entry is None:
                    more = False
                    break
                if isinstance(entry, Outcome):
                    ready[taken] = entry
                else:
                    waiting[_submit(pool, entry)] = taken, entry
                taken += 1
            if given in ready:
                given += 1
                yield ready.pop(given - 1)
            elif waiting:
                done, _ = wait(waiting, return_when=FIRST_COMPLETED)
                for at, job, outcome in _collect(done, waiting, pool):
                    keep(job, outcome)
                    ready[at] = outcome
    finally:
        # Here with work left only when somebody stops: what runs is finished and kept.
        running = [f for f in waiting if not f.cancel()]
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
    done: set[Future[Outcome]], waiting: dict[Future[Outcome], tuple[int, Job]], pool: Pool
) -> Iterator[tuple[int, Job, Outcome]]:
    """Take what is done; after a broken executor try the jobs that it held one by one."""
    broken = False
    for future in done:
        error = future.exception() if not future.cancelled() else CancelledError("cancelled by the executor")
        if isinstance(error, BrokenExecutor):
            broken = True
            continue
        at, job = waiting.pop(future)
        yield at, job, failed(job, error) if error is not None else future.result()
    if broken:
        suspects = sorted(waiting.values(), key=lambda item: item[0])
        waiting.clear()
        for at, job in suspects:
            yield at, job, _alone(pool, job)


def _alone(pool: Pool, job: Job) -> Outcome:
    """Outcome of a job that has a whole new executor to itself."""
    if not pool.renew():
        return failed(job, BrokenExecutor("the executor broke"))
    try:
        return pool.submit(job).result()
    except Exception as error:
        pool.renew()
        return failed(job, error)
