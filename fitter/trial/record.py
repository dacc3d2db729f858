"""A trial on file: what was asked, the plan, every ball with its feel; nothing is lost, none counts twice."""

from __future__ import annotations

import hashlib
from pathlib import Path
from typing import Any

import msgspec

from fitter.advice.balls import OBSERVED
from fitter.base.errors import InputError, Problem
from fitter.base.files import write_whole
from fitter.trial.plan import Plan

VERSION = 1
MOST_BYTES = 5_000_000
"""A larger file is no trial."""


class Ball(msgspec.Struct, frozen=True, forbid_unknown_fields=True):
    """One ball of a trial, right-handed frame.

    Parameters
    ----------
    club : int
        Index into the plan's clubs.
    values : dict of str to float
        Channels of `advice.balls.OBSERVED` that were measured, in the unit of their name.
    source : str
        File and row, or 'typed'.
    aside : str
        Why it is set aside as a misread, '' where it counts.
    """

    club: int
    values: dict[str, float]
    source: str
    aside: str = ""


class Record(msgspec.Struct, frozen=True, forbid_unknown_fields=True):
    """A trial on file.

    Parameters
    ----------
    version : int
    asked : dict
        Options of the command that planned it: the question is made anew from them.
    log_digest : str
        Of the log's bytes: another log would be another trial.
    clubs, codes : list of str
        Ids of the options, the present club first, and their masks.
    runs, a_run, seed : list of int, int, int
        Of the plan.
    promised : dict of str to float
        Minutes, worth, decides, expected_balls.
    pick : str
        The fitter's own, recorded before the ladder was seen; '' if none.
    balls : list of Ball
    feel : dict of str to str
        What the player said of a masked code, before numbers.
    pain : str
        What the player told of pain: the trial stops there.
    """

    version: int
    asked: dict[str, Any]
    log_digest: str
    clubs: list[str]
    codes: list[str]
    runs: list[int]
    a_run: int
    seed: int
    promised: dict[str, float]
    pick: str = ""
    balls: list[Ball] = []
    feel: dict[str, str] = {}
    pain: str = ""

    @property
    def planned(self) -> int:
        """Balls of the whole trial."""
        return len(self.runs) * self.a_run

    @property
    def turn(self) -> int:
        """Balls from one mirror's end to the next."""
        return 2 * len(self.clubs) * self.a_run

    def club_of(self, ball: int) -> int:
        """Index of the club of a ball, counted from 0; the last run goes on where more are hit."""
        return self.runs[min(ball // self.a_run, len(self.runs) - 1)]

    def said(self, code: str, words: str) -> Record:
        """With what the player feels about the club of a code.

        Raises
        ------
        InputError
            If no club has the code.
        """
        if code not in self.codes:
            problem = Problem("--feel", repr(code), ", ".join(self.codes), "Name the code on the club.")
            raise InputError("No club of this trial has that code.", [problem])
        return msgspec.structs.replace(self, feel={**self.feel, code: words})

    def hurt(self, words: str) -> Record:
        """With what the player told of pain: nothing more is hit."""
        found: Record = msgspec.structs.replace(self, pain=words)
        return found

    def with_balls(self, new: list[Ball]) -> tuple[Record, int]:
        """With balls that are not there yet, and how many were there before.

        A ball is the same if it comes from the same row of a file of the same content.
        """
        there = {b.source for b in self.balls if b.source != TYPED}
        fresh = [b for b in new if b.source not in there]
        found: Record = msgspec.structs.replace(self, balls=[*self.balls, *fresh])
        return found, len(new) - len(fresh)


TYPED = "typed"


def of_plan(plan: Plan, asked: dict[str, Any], log: Path | None, pick: str = "") -> Record:
    """Record of a plan before a ball is hit; without a log where the shots before it are held elsewhere."""
    return Record(
        version=VERSION,
        asked=asked,
        log_digest="" if log is None else digest(log),
        clubs=[o.id for o in plan.clubs],
        codes=list(plan.codes),
        runs=list(plan.runs),
        a_run=plan.a_run,
        seed=plan.seed,
        promised={
            "minutes": plan.minutes,
            "worth": plan.worth,
            "decides": plan.decides,
            "expected_balls": plan.expected_balls,
        },
        pick=pick,
    )


def digest(path: Path) -> str:
    """Digest of a file's bytes.

    Raises
    ------
    InputError
        If it cannot be read.
    """
    try:
        return hashlib.blake2b(path.read_bytes(), digest_size=16).hexdigest()
    except OSError as error:
        problem = Problem(
            str(path), error.strerror or str(error), "a file that can be read", "Check the path."
        )
        raise InputError("The log of the trial cannot be read.", [problem]) from None


def save(record: Record, path: Path) -> None:
    """Write a trial whole, or leave what was there.

    Raises
    ------
    InputError
        If it cannot be written.
    """
    write_whole(path, msgspec.json.format(msgspec.json.encode(record), indent=1) + b"\n")


def load(path: Path) -> Record:
    """Read a trial, and refuse one whose log has changed.

    Raises
    ------
    InputError
        If it is no trial, of a newer version, damaged, or its log is another one now.
    """
    do = "Give the file that 'fitter trial plan -o' wrote."
    try:
        if path.stat().st_size > MOST_BYTES:
            raise InputError("That is no trial.", [Problem(str(path), "a large file", "under 5 MB", do)])
        raw = path.read_bytes()
        version = msgspec.json.decode(raw).get("version")
        if isinstance(version, int) and version > VERSION:
            newer = Problem(str(path), f"version {version}", f"up to {VERSION}", "Use the newer fitter.")
            raise InputError("This trial was written by a newer fitter.", [newer])
        record = msgspec.json.decode(raw, type=Record)
    except OSError as error:
        problem = Problem(str(path), error.strerror or str(error), "a trial's file", do)
        raise InputError("The trial cannot be read.", [problem]) from None
    except (msgspec.DecodeError, AttributeError) as error:
        problem = Problem(str(path), str(error), "a trial's file", do)
        raise InputError("That is no trial, or a damaged one.", [problem]) from None
    problems = list(_problems(record, str(path)))
    log = Path(record.asked["log"]) if isinstance(record.asked.get("log"), str) else None
    if log is None:
        problems.append(Problem(str(path), "no log", "the log that it was planned from", do))
    elif digest(log) != record.log_digest:
        problems.append(
            Problem(str(log), "other bytes than when it was planned", "the same log", "Plan the trial anew.")
        )
    if problems:
        raise InputError("This trial cannot go on.", problems)
    return record


def _problems(record: Record, where: str) -> list[Problem]:
    n = len(record.clubs)
    found = []
    if n < 2 or len(record.codes) != n or record.a_run < 1 or not record.runs:
        found.append(Problem(where, "clubs, codes or runs that do not fit", "as planned", "Plan it anew."))
    wrong = [k for k in (*record.runs, *(b.club for b in record.balls)) if not 0 <= k < n]
    if wrong:
        found.append(Problem(where, f"club {wrong[0]}", f"0 to {n - 1}", "Plan the trial anew."))
    unknown = sorted({c for b in record.balls for c in b.values} - set(OBSERVED))
    if unknown:
        found.append(Problem(where, ", ".join(unknown), ", ".join(OBSERVED), "Take these channels out."))
    return found
