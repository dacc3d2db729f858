"""A whole batch in one call: paths, a kit and a roster in; typed rows and files out."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Mapping
from concurrent.futures import Executor
from contextlib import ExitStack, closing
from dataclasses import dataclass, replace
from importlib import import_module
from pathlib import Path
from typing import Any, TypeVar

import numpy as np

from fitter.advice.question import Question, ask
from fitter.base.errors import FitterError, InputError, Problem, raise_if
from fitter.base.files import hold, refuse_overwriting, sweep, unwritable, write_whole
from fitter.batches import output
from fitter.batches.job import Job
from fitter.batches.output import Journal
from fitter.batches.plan import BrokenFile, Plan, find
from fitter.batches.pool import Entry, Pool, in_order, processes
from fitter.batches.roster import Roster, by_roster, read_roster
from fitter.batches.rows import FAILED, OptionRow, Outcome, PlayerRow, clean
from fitter.history.records import Kit as KitRecord
from fitter.history.store import Store
from fitter.kit.club import UNKNOWN
from fitter.kit.inventory import Kit, kit_files
from fitter.remember.visit import kit_of
from fitter.shots.session import Session

T = TypeVar("T")
AHEAD = 4
"""Jobs in flight for each worker: enough that none waits, few enough that memory stays flat."""
FOREIGN = 32
"""Jobs in flight on an executor whose size nobody knows."""
NOBODY = Session("", "right", "", {}, {}, {}, np.zeros(0, dtype=np.int64), np.zeros(0, dtype=np.int64))


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
    metric: bool = False,
    header_map: Mapping[str, str] | None = None,
    sheets: str | Path | None = None,
    order_by_speed: bool = False,
    keep_options: bool | None = None,
    history: str | Path | None = None,
    progress: Callable[[int, float], None] | None = None,
    stopping: Callable[[int], None] | None = None,
    **asked: Any,
) -> Batch:
    """Score many sessions.

    Parameters
    ----------
    paths : iterable of str or Path
        Files, folders and patterns, see `plan.find`.
    kit : Kit or path
        What the shop can build.
    roster : Roster or path, optional
        See `roster.read_roster`.
    out : path, optional
        File of the rows: .csv, .jsonl or .parquet. The option rows go to a second one with '.options' before
        the suffix. Both appear when they are whole. Until then each finished session is kept in the folder
        '<out>.part': the same call goes on from there, and gives the same bytes as in one go.
    executor : concurrent.futures.Executor, optional
        Any; it is given `job.score` with one picklable job each, and left running. The result does not
        depend on it.
    workers : int
        Processes of our own, started anew (so a script needs ``if __name__ == '__main__'``); 1 works here.
        Nothing of it with an ``executor``.
    in_flight : int, optional
        Jobs that may be on their way at once.
    present : str
        Present club of those of whom the roster says nothing.
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
    history : path, optional
        The shop's memory: each ranked session is recorded there, one transaction a player, before it counts
        as finished; one that is there already is not recorded twice.
    progress : callable, optional
        Called with sessions done and sessions expected in all.
    stopping : callable, optional
        Called after Ctrl-C with the number of sessions that are being finished first.
    **asked
        What is asked of every session: goal, conditions, measured_in, offer, draws, seed and what else
        `fitter.advice.question.ask` takes.

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
    faults = _Faults()
    if workers < 1:
        faults.problems.append(Problem("--workers", str(workers), "1 or more", "Take the number of cores."))
    paths = list(paths)
    files = faults.gather(lambda: find(paths, _own_files(out, kit, roster)))
    if out is not None:
        faults.gather(output.check, out)
    if files is not None:
        faults.gather(_spare, [path for _, path in files], out, folder, kit, roster, present)
    if folder is not None:
        faults.gather(_printer)
    loaded = kit if isinstance(kit, Kit) else faults.gather(Kit.load, kit)
    question = faults.gather(lambda: _question(loaded, present, asked))
    players = faults.gather(_roster, roster, loaded) if loaded is not None else None
    if not faults.problems and files and players is not None and order_by_speed:
        faults.problems += _without_consent(files, players, header_map or {})
    if not faults.problems and folder is not None:
        faults.gather(_folder, folder)
    raise_if(faults.problems, "The batch cannot start.")
    assert files is not None
    assert players is not None
    assert question is not None
    shop = None if history is None or isinstance(kit, Kit) else kit_of(Path(kit))
    plan = Plan(
        files, players, question, clean(present), header_map or {}, sheets=folder is not None, metric=metric,
        remember=None if history is None else "" if shop is None else shop.digest,
    )  # fmt: skip
    keep_options = out is None if keep_options is None else keep_options
    work = _Work(plan, None if out is None else Journal.of(out), folder)
    pool = Pool(None if workers == 1 else lambda: processes(workers), executor)
    if in_flight is None:
        in_flight = FOREIGN if executor is not None else 1 if workers == 1 else AHEAD * workers
    rows: list[PlayerRow] = []
    options: list[OptionRow] = []
    with ExitStack() as held:
        _take(held, out, folder)
        with ExitStack() as stack:
            if history is not None:
                work.history, work.shop = stack.enter_context(Store(Path(history))), shop
            table = second = None
            if out is not None:
                table = stack.enter_context(output.table(out, PlayerRow, metric))
                second = stack.enter_context(output.table(output.options_path(out), OptionRow, metric))
            stack.callback(pool.close)
            scored = stack.enter_context(
                closing(in_order(work.entries(), pool, max(1, in_flight), work.keep, stopping))
            )
            for outcome in scored:
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
        if work.journal is not None:
            work.journal.remove()
    return Batch(
        rows=tuple(rows),
        options=tuple(options),
        broken=tuple(plan.broken),
        strangers=tuple(plan.strangers),
        missing=tuple(plan.missing()),
        notices=players.notices,
        resumed=work.resumed,
    )


class _Work:
    """The plan's entries with finished work put in their place, and what to do with new work."""

    def __init__(self, plan: Plan, journal: Journal | None, sheets: Path | None) -> None:
        self.plan, self.journal, self.sheets, self.resumed = plan, journal, sheets, 0
        self.history: Store | None = None
        self.shop: KitRecord | None = None

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
        """Write the sheet and the records, then keep the outcome; a fault is tried again next time."""
        if outcome.sheet:
            write_whole(self._page(outcome), outcome.sheet, tidy=False)
        if self.history is not None and outcome.memory is not None:
            kits = () if self.shop is None else (self.shop,)
            replace(outcome.memory, kits=kits).into(self.history)
        if self.journal is not None and outcome.row.status != FAILED:
            self.journal.keep(job.key, outcome)

    def _page(self, outcome: Outcome) -> Path:
        assert self.sheets is not None
        return self.sheets / outcome.row.sheet


class _Faults:
    """Everything that is wrong with a call, to be said at once."""

    def __init__(self) -> None:
        self.problems: list[Problem] = []

    def gather(self, call: Callable[..., T], *args: Any) -> T | None:
        """Result of a call, or None if it complains."""
        try:
            return call(*args)
        except InputError as error:
            self.problems += error.problems or [Problem("batch", error.message, "something else", "Mend it.")]
            return None


def _question(kit: Kit | None, present: str, asked: Mapping[str, Any]) -> Question:
    """What is asked of every session; without a kit its words for the present club are not looked up."""
    question = ask(NOBODY, kit, UNKNOWN if kit is None else present, **asked)
    if kit is not None:
        question.offer.check(kit)
    return question


def _roster(given: Roster | str | Path | None, kit: Kit) -> Roster:
    if isinstance(given, Roster):
        return given
    return Roster() if given is None else read_roster(given, kit)


def _own_files(out: Path | None, kit: Kit | str | Path, roster: Roster | str | Path | None) -> list[Path]:
    """Files that a folder of logs may hold and that are no logs.

    What stands where the output goes is one only if a batch wrote it.
    """
    own = [path for _, path in output.outputs(out) if output.made_by_a_batch(path)]
    return own + [path for _, path in _read(kit, roster)]


def _read(kit: Kit | str | Path, roster: Roster | str | Path | None) -> list[tuple[str, Path]]:
    """Files that are read besides the logs, and what each is."""
    found = [] if isinstance(kit, Kit) else [("the kit's", path) for path in kit_files(kit)]
    return [*found, ("the roster", Path(roster))] if isinstance(roster, str | Path) else found


def _spare(
    logs: Iterable[Path],
    out: Path | None,
    sheets: Path | None,
    kit: Kit | str | Path,
    roster: Roster | str | Path | None,
    present: str,
) -> None:
    """Refuse outputs that are read."""
    inputs = [*(("the log", path) for path in logs), *_read(kit, roster)]
    if Path(present).is_file():
        inputs.append(("the card", Path(present)))
    outputs = output.outputs(out)
    if sheets is not None:
        outputs += [("--sheets", path) for path in sheets.glob("*.pdf")]
    refuse_overwriting(outputs, inputs)


def _printer() -> None:
    """Complain if sheets cannot be printed."""
    try:
        import_module("typst")
    except ImportError as error:
        do = "Leave --sheets out; the result is the same without them."
        problem = Problem("--sheets", f"no printer of sheets ({error})", "an installation with it", do)
        raise InputError("Sheets cannot be printed here.", [problem]) from None


def _folder(folder: Path) -> None:
    """Make the folder of the sheets and see whether they can be written there."""
    try:
        folder.mkdir(parents=True, exist_ok=True)
    except OSError as error:
        problem = Problem("--sheets", f"{folder}: {error.strerror}", "a folder", "Name another one.")
        raise InputError("The folder of the sheets cannot be made.", [problem]) from None
    pages = [folder / "sheet.pdf", *folder.glob("*.pdf")]
    raise_if([p for page in pages for p in unwritable("--sheets", page)], "Sheets cannot be written there.")


def _without_consent(
    files: Iterable[tuple[str, Path]], roster: Roster, header_map: Mapping[str, str]
) -> list[Problem]:
    """One problem for each player who did not agree to a list by speed."""
    no = {f"{e.code} (roster)": None for e in roster.entries if not e.consent}
    for label, path in files:
        try:
            found = [(session.player, entry) for entry, session, _ in by_roster(path, roster, header_map)]
        except (FitterError, OSError):
            continue
        no |= {f"{clean(name)} ({label}, not in the roster)": None for name, entry in found if entry is None}
    allowed = "the consent of every player"
    do = "Leave --order-by-speed out, or ask them and note 'yes' in the roster's column consent."
    return [Problem("--order-by-speed", f"{who} did not consent", allowed, do) for who in no]


def _take(held: ExitStack, out: Path | None, sheets: Path | None) -> None:
    """Hold everything that will be written, then remove what killed batches left there.

    Raises
    ------
    Busy
        If another batch writes there.
    """
    outputs = [path for _, path in output.outputs(out)]
    for path in [*outputs, *([sheets] if sheets is not None else [])]:
        held.enter_context(hold(path, "fitter batch"))
    for path in outputs:
        sweep(path.parent, path.name, older_s=0.0)
    if sheets is not None:
        sweep(sheets)
