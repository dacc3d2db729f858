"""A whole batch in one call: paths, a kit and a roster in; typed rows and files out."""

from __future__ import annotations

import multiprocessing
import os
from collections.abc import Callable, Iterable, Iterator, Mapping
from concurrent.futures import Executor, ProcessPoolExecutor
from contextlib import ExitStack, closing
from dataclasses import dataclass
from pathlib import Path

from fitter.advice.objectives import Goal
from fitter.base.conditions import Conditions
from fitter.base.files import hold, sweep, write_whole
from fitter.batches import write
from fitter.batches.job import Job
from fitter.batches.journal import Journal
from fitter.batches.plan import BrokenFile, Plan
from fitter.batches.pool import Entry, Pool, in_order
from fitter.batches.request import Request
from fitter.batches.roster import Roster
from fitter.batches.rows import FAILED, OptionRow, Outcome, PlayerRow
from fitter.batches.score import start_worker
from fitter.kit.club import UNKNOWN
from fitter.kit.inventory import Kit
from fitter.kit.offer import Offer
from fitter.kit.offer import offer as usual

AHEAD = 4
"""Jobs in flight for each worker: enough that none waits, few enough that memory stays flat."""
FOREIGN = 32
"""Jobs in flight on an executor whose size nobody knows."""


@dataclass(frozen=True)
class Batch:
    """What came of a batch.

    Parameters
    ----------
    rows : tuple of PlayerRow
        One a session, in the order of the files and of the players in them.
    options : tuple of OptionRow
        Only when no file was asked for, or ``keep_options`` was given.
    broken : tuple of BrokenFile
        Files that gave no session.
    strangers : tuple of (str, str)
        Names in a log that the roster does not have, and the log.
    missing : tuple of str
        Codes of the roster that no log has.
    notices : tuple of str
    resumed : int
        Sessions that an earlier, stopped run had finished.
    """

    rows: tuple[PlayerRow, ...]
    options: tuple[OptionRow, ...]
    broken: tuple[BrokenFile, ...]
    strangers: tuple[tuple[str, str], ...]
    missing: tuple[str, ...]
    notices: tuple[str, ...]
    resumed: int


def batch(
    paths: Iterable[str | Path],
    kit: Kit | str | Path,
    roster: Roster | str | Path | None = None,
    *,
    out: str | Path | None = None,
    executor: Executor | None = None,
    workers: int = 1,
    in_flight: int | None = None,
    present: str = UNKNOWN,
    objective: str | Goal = "carry",
    offer: Offer | None = None,
    conditions: Conditions | None = None,
    measured_in: Conditions | None = None,
    draws: int = 256,
    seed: int = 1,
    metric: bool = False,
    header_map: Mapping[str, str] | None = None,
    sheets: str | Path | None = None,
    order_by_speed: bool = False,
    keep_options: bool | None = None,
    progress: Callable[[int, float], None] | None = None,
    stopping: Callable[[int], None] | None = None,
) -> Batch:
    """Score many sessions.

    Parameters
    ----------
    paths : iterable of str or Path
        Files, folders and patterns, see `paths.find`.
    kit : Kit or path
        What the shop can build.
    roster : Roster or path, optional
        See `roster.read_roster`.
    out : path, optional
        File of the rows: .csv, .jsonl or .parquet. The option rows go to a second one with '.options' before
        the suffix. Both appear when they are whole. Until then each finished session is kept in the folder
        '<out>.part': the same call goes on from there, and gives the same bytes as in one go.
    executor : concurrent.futures.Executor, optional
        Any; it is given `score.score` with one picklable job each, and left running. The result does not
        depend on it.
    workers : int
        Processes of our own, started anew (so a script needs ``if __name__ == '__main__'``); 1 works here.
        Nothing of it with an ``executor``.
    in_flight : int, optional
        Jobs that may be on their way at once.
    present : str
        Present club of those of whom the roster says nothing.
    objective, offer, conditions, measured_in, draws, seed
        See `fitter.advice.rank.rank`.
    metric : bool
        Files in metres and m/s in place of yards and mph. Rows in Python are in SI.
    header_map : mapping of str to str, optional
        Corrections of headers, see `fitter.shots.reader.intake.read`.
    sheets : path, optional
        Folder of a printed sheet each.
    order_by_speed : bool
        Fastest first. Only if every player consented.
    keep_options : bool, optional
        Whether to return the option rows, some hundreds a session; True when silent and there is no ``out``.
    progress : callable, optional
        Called with sessions done and sessions expected in all.
    stopping : callable, optional
        Called after Ctrl-C with the number of sessions that are being finished first.

    Returns
    -------
    Batch

    Raises
    ------
    InputError
        If paths, kit, roster, settings or outputs cannot be used: everything at once, before any work. What
        is wrong with one log is no error but a row, see `rows.STATUSES`.
    KeyboardInterrupt
        After Ctrl-C; what was finished is kept if there is an ``out``.

    Examples
    --------
    On a cluster of the user's own::

        from dask.distributed import Client
        with Client("tcp://scheduler:8786") as client:
            fitter.batch(["night/"], "kit", "roster.csv", out="night.csv", executor=client.get_executor())
    """
    out = Path(out) if out is not None else None
    folder = Path(sheets) if sheets is not None else None
    settings = {
        "conditions": conditions, "measured_in": measured_in,
        "draws": draws, "seed": seed, "metric": metric,
        "header_map": tuple((header_map or {}).items()),
        "offer": usual() if offer is None else offer,
    }  # fmt: skip
    plan = Request(
        paths, kit, roster, out, folder, present, objective, workers, order_by_speed, settings
    ).plan()
    journal = Journal.of(out) if out is not None else None
    keep_options = out is None if keep_options is None else keep_options
    work = _Work(plan, journal, folder)
    pool = Pool(None if workers == 1 or executor is not None else lambda: _processes(workers), executor)
    if in_flight is None:
        in_flight = FOREIGN if executor is not None else AHEAD * workers
    rows: list[PlayerRow] = []
    options: list[OptionRow] = []
    with ExitStack() as held:
        _take(held, out, folder)
        with ExitStack() as stack:
            table = second = None
            if out is not None:
                table = stack.enter_context(write.table(out, PlayerRow, metric))
                second = stack.enter_context(write.table(write.options_path(out), OptionRow, metric))
            stack.callback(pool.close)
            scored = stack.enter_context(
                closing(in_order(work.entries(), pool, max(1, in_flight), work.keep, stopping))
            )
            for _, outcome in scored:
                rows.append(outcome.row)
                if second is not None:
                    second.add(outcome.options)
                if keep_options:
                    options.extend(outcome.options)
                if progress is not None:
                    progress(len(rows), plan.expected())
            if order_by_speed:
                rows.sort(key=lambda row: -(row.club_speed_mps or 0.0))
            if table is not None:
                table.add(rows)
        if journal is not None:
            journal.remove()
    return Batch(
        tuple(rows),
        tuple(options),
        tuple(plan.broken),
        tuple(plan.strangers),
        tuple(e.code for e in plan.missing()),
        plan.roster.notices,
        work.resumed,
    )


class _Work:
    """The plan's entries with finished work put in their place, and what to do with new work."""

    def __init__(self, plan: Plan, journal: Journal | None, sheets: Path | None) -> None:
        self.plan, self.journal, self.sheets, self.resumed = plan, journal, sheets, 0

    def entries(self) -> Iterator[Entry]:
        for entry in self.plan.entries():
            done = None
            if isinstance(entry, Job) and self.journal is not None:
                done = self.journal.load(entry.key)
                if done is not None and done.row.sheet and not self._page(done).is_file():
                    done = None
            self.resumed += done is not None
            yield done or entry

    def keep(self, job: Job, outcome: Outcome) -> None:
        """Write the sheet, then keep the outcome; a fault of the program is tried again next time."""
        if outcome.sheet:
            write_whole(self._page(outcome), outcome.sheet, tidy=False)
        if self.journal is not None and outcome.row.status != FAILED:
            self.journal.keep(job.key, outcome)

    def _page(self, outcome: Outcome) -> Path:
        assert self.sheets is not None
        return self.sheets / outcome.row.sheet


def _take(held: ExitStack, out: Path | None, sheets: Path | None) -> None:
    """Hold everything that will be written, then remove what killed batches left there.

    Raises
    ------
    Busy
        If another batch writes there.
    """
    outputs = [path for _, path in write.outputs(out)] if out is not None else []
    for path in [*outputs, *([sheets] if sheets is not None else [])]:
        held.enter_context(hold(path, "fitter batch"))
    for path in outputs:
        sweep(path.parent, path.name, older_s=0.0)
    if sheets is not None:
        sweep(sheets)


def _processes(workers: int) -> Executor:
    """Processes that share the cores of this machine.

    Processes rather than threads: the kernels let go of the interpreter's lock, but the rest of a ranking
    does not. On two cores two processes with one thread each were 5 % quicker than two threads; against one
    process whose kernels use both cores 16 % at 256 draws and 58 % at 64. A batch also survives a job that
    takes its process down.
    """
    from fitter.physics import engine

    engine.prepare()
    share = max(1, (os.cpu_count() or 1) // workers)
    context = multiprocessing.get_context("spawn")
    return ProcessPoolExecutor(workers, context, start_worker, (share,))
