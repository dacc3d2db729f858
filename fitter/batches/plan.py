"""Files of a batch to jobs, one file after another, and what of the roster was met."""

from __future__ import annotations

import hashlib
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from pathlib import Path

from fitter.base import sources
from fitter.batches.job import Job, Settings, base_of
from fitter.batches.names import Names
from fitter.batches.roster import Entry, Roster
from fitter.batches.rows import BROKEN, FAILED, Outcome, PlayerRow, clean, sentence
from fitter.errors import FitterError, Problem
from fitter.kit.club import Club
from fitter.shots import intake
from fitter.shots.channels import Session

ASSUMED = "The hand is not given"
"""Beginning of the intake's notice that a roster makes needless."""

Read = tuple[Entry | None, Session, list[str]]
"""A session with its entry of the roster, if there is one, and remarks."""


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
    settings : Settings
    present : (str, Club)
        Of players of whom the roster says nothing.
    sheets : bool
        Whether each session gets the name of a sheet.

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
    settings: Settings
    present: tuple[str, Club]
    sheets: bool = False
    broken: list[BrokenFile] = field(default_factory=list)
    strangers: list[tuple[str, str]] = field(default_factory=list)
    met: set[str] = field(default_factory=set)
    files_read: int = 0
    sessions: int = 0

    def missing(self) -> list[Entry]:
        """Players of the roster without a session."""
        return [e for e in self.roster.entries if e.code not in self.met]

    def expected(self) -> float:
        """Sessions in all, guessed from the files that were read."""
        left = len(self.files) - self.files_read
        return self.sessions + left * (self.sessions / self.files_read if self.files_read else 1.0)

    def entries(self) -> Iterator[Job | Outcome]:
        """Jobs in the order of files and of players in them; a broken file is an outcome at once."""
        base, names = base_of(self.settings), Names()
        for name, path in self.files:
            label = clean(name)
            found = self._read(label, path)
            self.files_read += 1
            if isinstance(found, Outcome):
                self.sessions += 1
                yield found
                continue
            content, read = found
            self.sessions += len(read)
            for entry, session, notes in read:
                yield self._job(label, entry, session, notes, names).keyed(content, base)

    def _job(self, label: str, entry: Entry | None, session: Session, notes: list[str], names: Names) -> Job:
        code = entry.code if entry is not None else clean(session.player)
        words, club = (entry.present, entry.club) if entry is not None else self.present
        if not words:
            words, club = self.present
        sheet = names.give(code) if self.sheets else ""
        ball = entry.ball if entry is not None else ""
        return Job("", code, label, session, words, club, ball, sheet, tuple(notes), self.settings)

    def _read(self, label: str, path: Path) -> Outcome | tuple[str, list[Read]]:
        """Digest of a file and its sessions with the roster's word on each, or the line of a broken file."""
        try:
            sessions = list(by_roster(path, self.roster, dict(self.settings.header_map)))
            content = hashlib.sha256(sources.read(path)).hexdigest()
            return content, [self._meet(label, *found) for found in sessions]
        except FitterError as error:
            broken = BrokenFile(label, error.message, error.problems)
            status = BROKEN
        except OSError as error:
            problem = Problem(label, error.strerror or str(error), "a file that can be read", "Check it.")
            broken, status = BrokenFile(label, f"{label} cannot be read.", (problem,)), BROKEN
        except Exception as error:
            broken = BrokenFile(label, f"A fault of fitter itself: {type(error).__name__}: {error}.", ())
            status = FAILED
        self.broken.append(broken)
        reason = sentence([broken.message, *map(str, broken.problems)])
        row = PlayerRow(player="", session=label, status=status, reason=reason)
        return Outcome(row)

    def _meet(self, label: str, entry: Entry | None, session: Session, notes: list[str]) -> Read:
        if entry is not None:
            self.met.add(entry.code)
        elif self.roster.entries:
            self.strangers.append((clean(session.player), label))
            notes = [*notes, "not in the roster"]
        return entry, session, notes


def by_roster(path: Path, roster: Roster, header_map: Mapping[str, str] | None = None) -> Iterator[Read]:
    """Sessions of a file, each read with the hand that the roster gives, and remarks.

    The log goes before the roster where it has a word of its own for the hand. A file that names nobody is
    the player's whose name, or code, is the file's.
    """
    read: dict[str | None, dict[str, Session]] = {}

    def sessions(hand: str | None) -> dict[str, Session]:
        if hand not in read:
            found = intake.read_all(path, hand=hand, player=path.stem, header_map=header_map)
            read[hand] = {s.player: s for s in found}
        return read[hand]

    for name, session in sessions(None).items():
        entry, notes = roster.find(session.player), list[str]()
        if entry is not None and entry.hand:
            own = sessions(entry.hand).get(name, session)
            if own.hand == entry.hand:
                session = own
            else:
                notes.append(f"the log says {own.hand}-handed, the roster {entry.hand}: the log counts")
        notes += [n for n in session.notices if n not in notes]
        yield entry, session, notes
