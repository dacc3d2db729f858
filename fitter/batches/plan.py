"""From paths and a roster to jobs: files that are read, sessions in them, names of their sheets."""

from __future__ import annotations

import glob
import hashlib
import os
import unicodedata
from collections import Counter
from collections.abc import Collection, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace
from pathlib import Path

from fitter import __version__
from fitter.advice.question import Question
from fitter.base import sources
from fitter.base.errors import FitterError, Problem, raise_if
from fitter.batches.job import Job, digest
from fitter.batches.roster import Found, Roster, by_roster
from fitter.batches.rows import BROKEN, FAILED, Outcome, PlayerRow, clean, sentence
from fitter.shots.vocabulary import POINTS

SUFFIXES = (
    ".csv", ".tsv", ".txt", ".json", ".jsonl", ".ndjson", ".xlsx", ".xlsm", ".xls", ".parquet",
)  # fmt: skip
"""What is taken from a folder; a file that is named itself may have any."""


def find(paths: Iterable[str | Path], leave: Collection[Path] = ()) -> list[tuple[str, Path]]:
    """Files of a batch with the labels under which the result names them.

    Parameters
    ----------
    paths : iterable of str or Path
        Files; folders, searched to the bottom; patterns with ``*``, ``?``, ``**``.
    leave : collection of Path
        Files that are no logs: taken only if named themselves.

    Returns
    -------
    list of (str, Path)
        In the order given, inside a folder by name. The label is the path inside the folder, or the name,
        and the whole path where two would be the same.

    Raises
    ------
    InputError
        With every path that leads to no file.
    """
    left = {_real(p) for p in leave}
    problems: list[Problem] = []
    found: dict[Path, tuple[str, Path]] = {}
    for given in paths:
        path = Path(given)
        if path.is_dir():
            inside = [(f.relative_to(path).as_posix(), f) for f in _walk(path) if _real(f) not in left]
        elif path.exists():
            inside = [(path.name, path)]
        else:
            matches = [Path(m) for m in sorted(glob.glob(str(given), recursive=True))]
            every = [f for m in matches for f in (_walk(m) if m.is_dir() else [m])]
            inside = [(f.name, f) for f in every if _real(f) not in left]
        if not inside:
            what = "a folder without logs" if path.is_dir() else "no such file"
            do = f"Check the path; logs in a folder end in {', '.join(SUFFIXES)}."
            problems.append(Problem("PATHS", f"{str(given)!r}: {what}", "files, folders or patterns", do))
        for label, file in inside:
            found.setdefault(_real(file), (label, file))
    if not problems and not found:
        problems.append(Problem("PATHS", "nothing", "files, folders or patterns", "Name the logs."))
    raise_if(problems, "These logs cannot be found.")
    labels = Counter(label for label, _ in found.values())
    return [(x if labels[x] == 1 else f.as_posix(), f) for x, f in found.values()]


def _real(path: Path) -> Path:
    return Path(os.path.realpath(path))


def _walk(folder: Path) -> list[Path]:
    """Files of a folder that can be logs; hidden ones, links to folders and unfinished work are left out."""
    out = []
    for base, folders, files in os.walk(folder):
        folders[:] = sorted(f for f in folders if not f.startswith(".") and not f.endswith(".part"))
        out += [
            Path(base, f)
            for f in files
            if not f.startswith((".", "~$"))
            and Path(f).suffix.casefold() in SUFFIXES
            and os.path.isfile(os.path.join(base, f))
        ]
    return sorted(out, key=lambda f: (f.as_posix().casefold(), f.as_posix()))


LONGEST = 80
"""Bytes of a name; file systems take 255, and a suffix and a counter follow."""
RESERVED = {"con", "prn", "aux", "nul", "conin$", "conout$"} | {
    f"{port}{k}" for port in ("com", "lpt") for k in "0123456789¹²³"
}
"""Devices of one operating system, with whatever suffix."""


def safe_name(words: str) -> str:
    """Name of a file without a folder, a suffix, a device or a hidden file in it.

    Examples
    --------
    >>> safe_name("../../etc/passwd"), safe_name("CON"), safe_name(" P 7 "), safe_name("")
    ('etc_passwd', '_CON', 'P_7', 'player')
    """
    plain = unicodedata.normalize("NFC", words)
    marked = "".join(
        c if c.isalnum() or unicodedata.category(c) in ("Mn", "Mc") or c == "-" else "_" for c in plain
    )
    name = "_".join(filter(None, marked.split("_"))).lstrip("-")
    while len(name.encode("utf-8", "replace")) > LONGEST:
        name = name[:-1]
    name = name or "player"
    return f"_{name}" if name.casefold() in RESERVED else name


class Names:
    """Names given so far; the second of the same, in any case, gets a counter."""

    def __init__(self) -> None:
        self._taken: set[str] = set()

    def give(self, words: str) -> str:
        """Return a name that nobody else has."""
        name = base = safe_name(words)
        counter = 1
        while unicodedata.normalize("NFKC", name).casefold() in self._taken:
            counter += 1
            name = f"{base}-{counter}"
        self._taken.add(unicodedata.normalize("NFKC", name).casefold())
        return name


LAYOUT = "3"
"""Raised when rows change, so that kept work of an older version is not taken for finished."""


@dataclass(frozen=True)
class BrokenFile:
    """A file that gave no session: its label, one sentence, and every problem."""

    session: str
    message: str
    problems: tuple[Problem, ...]


@dataclass
class Plan:
    """What is to be scored.

    Parameters
    ----------
    files : sequence of (str, Path)
        Label and file.
    roster : Roster
    question : Question
        Of every session; its present club is that of players of whom the roster says nothing.
    present : str
        Words for that club.
    header_map : mapping of str to str
        Corrections of headers.
    sheets, metric : bool
        Whether each session gets the name of a sheet, and the units of the sheets.
    remember : str or None
        See `Job`.

    Attributes
    ----------
    broken : list of BrokenFile
    strangers : list of (str, str)
        Name in the log and label, of those that the roster does not have.
    met : set of str
        Codes of the roster that had a session.
    files_read, sessions : int
        So far.
    """

    files: Sequence[tuple[str, Path]]
    roster: Roster
    question: Question
    present: str
    header_map: Mapping[str, str]
    sheets: bool = False
    metric: bool = False
    remember: str | None = None
    broken: list[BrokenFile] = field(default_factory=list)
    strangers: list[tuple[str, str]] = field(default_factory=list)
    met: set[str] = field(default_factory=set)
    files_read: int = 0
    sessions: int = 0

    def missing(self) -> list[str]:
        """Codes of the roster without a session."""
        return [e.code for e in self.roster.entries if e.code not in self.met]

    def expected(self) -> float:
        """Sessions in all, guessed from the files that were read."""
        left = len(self.files) - self.files_read
        return self.sessions + left * (self.sessions / self.files_read if self.files_read else 1.0)

    def entries(self) -> Iterator[Job | Outcome]:
        """Jobs in the order of files and of players in them; a broken file is an outcome at once."""
        judged = dict(self.question.assumptions)
        settings = self.question, judged, self.metric, dict(self.header_map)
        base, names = digest([__version__, LAYOUT, repr(settings)]), Names()
        for name, path in self.files:
            label = clean(name)
            try:
                found: list[Found | Outcome] = [*by_roster(path, self.roster, self.header_map)]
                context = base + hashlib.sha256(sources.read(path)).hexdigest()
            except Exception as error:
                found, context = [self._broken(label, error)], ""
            self.files_read += 1
            self.sessions += len(found)
            for one in found:
                yield one if isinstance(one, Outcome) else self._job(label, one, context, names)

    def _job(self, label: str, found: Found, context: str, names: Names) -> Job:
        entry, session, notes = found
        code, words, ball = clean(session.player), self.present, ""
        question = self.question
        if entry is not None:
            self.met.add(entry.code)
            code, ball = entry.code, entry.ball
            session = session.saying(dict(entry.points))
            if entry.present:
                words, question = entry.present, replace(question, present=entry.club)
        question = replace(question, session=session)
        if entry is None and self.roster.entries:
            self.strangers.append((code, label))
            notes = [*notes, "not in the roster"]
        sheet = names.give(code) if self.sheets else ""
        own = (context, code, label, session.player, session.hand, words, ball, sheet, *notes)
        points = [session.told_point(channel) for channel in POINTS]
        kept = () if self.remember is None else (f"remember {self.remember}",)
        key = digest([*own, repr(points), repr(question.present), *kept])
        return Job(key, code, label, question, words, ball, sheet, self.metric, tuple(notes), self.remember)

    def _broken(self, label: str, error: Exception) -> Outcome:
        """Line of a file that could not be read."""
        status, problems = BROKEN, tuple[Problem, ...]()
        if isinstance(error, FitterError):
            message, problems = error.message, error.problems
        elif isinstance(error, OSError):
            message = f"{label} cannot be read."
            problems = (Problem(label, error.strerror or str(error), "a file that can be read", "Check it."),)
        else:
            status, message = FAILED, f"A fault of fitter itself: {type(error).__name__}: {error}."
        self.broken.append(BrokenFile(label, message, problems))
        reason = sentence([message, *map(str, problems)])
        return Outcome(PlayerRow(player="", session=label, status=status, reason=reason))
