"""What is asked of a batch, checked as a whole before any work."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Any, TypeVar

from fitter.advice.objectives import Goal
from fitter.advice.objectives import goal_for as make_goal
from fitter.advice.options import present_club
from fitter.base.errors import FitterError, InputError, Problem, raise_if
from fitter.base.files import refuse_overwriting, unwritable
from fitter.batches import plan as path_finder
from fitter.batches import sheets as sheet_room
from fitter.batches import write
from fitter.batches.job import Settings
from fitter.batches.plan import Plan, by_roster
from fitter.batches.roster import Roster, read_roster
from fitter.batches.rows import clean
from fitter.kit.inventory import Kit, kit_files
from fitter.kit.offer import Offer

T = TypeVar("T")


@dataclass(frozen=True)
class Request:
    """Arguments of `batch.batch` that are read before any log.

    ``settings`` are those of `job.Settings` but the kit and the goal.
    """

    paths: Iterable[str | Path]
    kit: Kit | str | Path
    roster: Roster | str | Path | None
    out: Path | None
    sheets: Path | None
    present: str
    goal: Goal | str
    workers: int
    order_by_speed: bool
    settings: dict[str, Any]

    def plan(self) -> Plan:
        """Return what is to be scored.

        Raises
        ------
        InputError
            With everything that cannot be used.
        """
        problems: list[Problem] = []

        def gather(call: Callable[[], T]) -> T | None:
            try:
                return call()
            except InputError as error:
                whole = Problem("batch", error.message, "something else", "Mend it.")
                problems.extend(error.problems or [whole])
                return None

        given = self.kit
        kit = given if isinstance(given, Kit) else gather(lambda: Kit.load(given))
        given_goal = self.goal
        goal = given_goal if isinstance(given_goal, Goal) else gather(lambda: make_goal(given_goal))
        if self.workers < 1:
            found, do = str(self.workers), "Take the number of cores."
            problems.append(Problem("--workers", found, "1 or more", do))
        if self.out is not None:
            out = self.out
            gather(lambda: write.check(out))
        files = gather(lambda: path_finder.find(self.paths, self.own_files()))
        if files is not None:
            logs = files
            gather(lambda: self._spare(logs))
        if self.sheets is not None:
            gather(sheet_room.check)
        club = roster = None
        if kit is not None:
            whole_kit = kit
            club = gather(lambda: present_club(whole_kit, self.present))
            roster = gather(lambda: self._roster(whole_kit))
            offer: Offer = self.settings["offer"]
            gather(lambda: offer.check(whole_kit))
        if self.order_by_speed and files is not None and roster is not None and not problems:
            problems += _without_consent(files, roster, dict(self.settings.get("header_map", ())))
        if self.sheets is not None and not problems:
            folder = self.sheets
            gather(lambda: _folder(folder))
        raise_if(problems, "The batch cannot start.")
        assert kit is not None
        assert roster is not None
        assert files is not None
        assert club is not None
        assert goal is not None
        settings = Settings(kit, goal, **self.settings)
        return Plan(files, roster, settings, (clean(self.present), club), self.sheets is not None)

    def own_files(self) -> list[Path]:
        """Files that a folder of logs may hold and that are no logs.

        What stands where the output goes is one only if a batch wrote it.
        """
        own: list[Path] = []
        if self.out is not None:
            own += [path for _, path in write.outputs(self.out) if write.made_by_a_batch(path)]
        if not isinstance(self.kit, Kit):
            own += kit_files(self.kit)
        if isinstance(self.roster, str | Path):
            own.append(Path(self.roster))
        return own

    def _spare(self, logs: Iterable[tuple[str, Path]]) -> None:
        """Refuse outputs that are read."""
        inputs = [("the log", path) for _, path in logs]
        if not isinstance(self.kit, Kit):
            inputs += [("the kit's", path) for path in kit_files(self.kit)]
        if isinstance(self.roster, str | Path):
            inputs.append(("the roster", Path(self.roster)))
        if Path(self.present).is_file():
            inputs.append(("the card", Path(self.present)))
        outputs = [] if self.out is None else write.outputs(self.out)
        if self.sheets is not None:
            outputs += [("--sheets", path) for path in self.sheets.glob("*.pdf")]
        refuse_overwriting(outputs, inputs)

    def _roster(self, kit: Kit) -> Roster:
        if isinstance(self.roster, Roster):
            return self.roster
        return Roster() if self.roster is None else read_roster(self.roster, kit)


def _folder(folder: Path) -> None:
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
