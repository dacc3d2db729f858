"""The roster of a club night: whose name in the log is which code, with what hand, club, ball and consent."""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property
from pathlib import Path

from fitter.advice.options import present_club
from fitter.base.errors import InputError, Problem, raise_if
from fitter.batches.rows import clean
from fitter.kit.card import card_club
from fitter.kit.club import UNKNOWN, Club, unknown_club
from fitter.kit.inventory import Kit
from fitter.shots.reader import grids, headers, intake
from fitter.shots.reader.synonyms import HANDS
from fitter.shots.session import Session
from fitter.shots.vocabulary import OPEN_POINT, POINTS, point

COLUMNS = {
    "code": "code, player code, id, player id",
    "name": "name, player, name in the log, name in log, log name, player name",
    "hand": "hand, handedness",
    "present": "present, present club, club, card, driver",
    "ball": "ball, ball model, ball type",
    "consent": "consent, consented, consent to a list",
    "face_point": "face point, face_point, loft point",
    "speed_point": "speed point, speed_point, club speed point",
}
"""Columns of a roster and the headers that are understood, in any case."""
CONSENTS = {"": False, "yes": True, "y": True, "1": True, "true": True} | dict.fromkeys(
    ("no", "n", "0", "false", "-"), False
)
CLUBS = "a card file (.toml), HEAD/SHAFT, stamps such as '10.5deg 60g S', unknown, or blank"
_STAMPS = {
    "loft_deg": re.compile(r"^(\d+(?:\.\d+)?)\s?(?:deg|°)$", re.IGNORECASE),
    "shaft_mass_g": re.compile(r"^(\d+(?:\.\d+)?)\s?g$", re.IGNORECASE),
    "length_in": re.compile(r'^(\d+(?:\.\d+)?)\s?(?:in|")$', re.IGNORECASE),
    "flex": re.compile(r"^([A-Za-z]{1,3}[+-]?)$"),
}


@dataclass(frozen=True)
class Entry:
    """One player of the roster.

    Parameters
    ----------
    code, name : str
        Code in the result; name in the log.
    hand : str
        'right', 'left', or '' when the log has to say.
    present : str
        Words for the present club, '' when the roster says nothing.
    club : Club
        What they stand for.
    ball : str
    consent : bool
        To a list that is ordered by speed.
    place : str
        Row in the file, for messages.
    points : tuple of (str, str)
        'face_point' and 'speed_point' of the player's device with their words, where the roster tells them.
    """

    code: str
    name: str
    hand: str
    present: str
    club: Club
    ball: str
    consent: bool
    place: str
    points: tuple[tuple[str, str], ...] = ()


@dataclass(frozen=True)
class Roster:
    """Players in the order of the file."""

    entries: tuple[Entry, ...] = ()
    source: str = ""
    notices: tuple[str, ...] = ()

    def find(self, name: str) -> Entry | None:
        """Entry of a name in a log; the log may also use the code."""
        return self._places.get(fold(name))

    @cached_property
    def _places(self) -> dict[str, Entry]:
        """Entries by code and by name, the name before the code."""
        return {fold(e.code): e for e in self.entries} | {fold(e.name): e for e in self.entries}


Found = tuple[Entry | None, Session, list[str]]
"""A session with its entry of the roster, if there is one, and remarks."""


def fold(name: str) -> str:
    """Return a name without what two spellings of it may differ in: case, blanks, width of letters.

    Examples
    --------
    >>> fold(" Ann  LEE ") == fold("ann lee")
    True
    """
    return " ".join(unicodedata.normalize("NFKC", name).casefold().split())


def read_roster(path: str | Path, kit: Kit) -> Roster:
    """Read a roster: any table that a log may be, with a header row of `COLUMNS`.

    Parameters
    ----------
    path : str or Path
        Cards of clubs are looked for beside it first.
    kit : Kit
        What 'HEAD/SHAFT' refers to.

    Raises
    ------
    InputError
        With every fault of every row.
    """
    path = Path(path)
    grid = grids.load(path, "a roster of players")[0]
    where, head = grid.source, grid.rows[0]
    at, unused = _columns(head)
    problems: list[Problem] = []
    if "name" not in at and "code" not in at:
        found = ", ".join(map(repr, head))
        do = "Add a header row with a column of codes, of names, or both."
        problems.append(Problem(f"{where}, {grid.counter} {grid.numbers[0]}", found, _allowed(), do))
    raise_if(problems, f"{where} is no roster.")
    entries: list[Entry] = []
    for number, cells in zip(grid.numbers[1:], grid.rows[1:], strict=True):
        said = {name: cells[k].strip() if k < len(cells) else "" for name, k in at.items()}
        if any(said.values()):
            entries.append(_entry(said, f"{where}, {grid.counter} {number}", path.parent, kit, problems))
    if not entries:
        problems.append(Problem(where, "no player", "one row a player", "Add the players."))
    _unique(entries, problems)
    raise_if(problems, f"The roster {where} has {len(problems)} fault{'s' * (len(problems) != 1)}.")
    notices = [f"Columns of the roster that are not used: {', '.join(unused)}."] if unused else []
    return Roster(tuple(entries), where, tuple(notices))


def _allowed() -> str:
    return ", ".join(COLUMNS)


def _columns(head: Sequence[str]) -> tuple[dict[str, int], list[str]]:
    """Place of each known column, and the headers that are not used."""
    words = {headers.plain(w): name for name, every in COLUMNS.items() for w in every.split(", ")}
    at: dict[str, int] = {}
    unused = []
    for k, header in enumerate(head):
        name = words.get(headers.plain(header), "")
        if name and name not in at:
            at[name] = k
        elif header.strip():
            unused.append(clean(header))
    return at, unused


def _entry(said: dict[str, str], place: str, folder: Path, kit: Kit, problems: list[Problem]) -> Entry:
    code = clean(said.get("code", "")) or clean(said.get("name", ""))
    name = said.get("name", "") or said.get("code", "")
    if "code" in said and not said["code"]:
        do = "Give the player a code: it stands in the result in place of the name."
        problems.append(Problem(f"{place}, code", "no code", "one code a player", do))
    hand = said.get("hand", "")
    side = HANDS.get(headers.plain(hand), "") if hand else ""
    if hand and not side:
        do = "Correct the cell; blank lets the log say it."
        problems.append(Problem(f"{place}, hand", repr(hand), "right, left or blank", do))
    consent = CONSENTS.get(said.get("consent", "").casefold())
    if consent is None:
        do = "Ask the player; blank counts as no."
        problems.append(Problem(f"{place}, consent", repr(said["consent"]), "yes, no or blank", do))
    text = said.get("present", "")
    club = read_club(text, f"{place}, present", code, folder, kit, problems)
    return Entry(
        code,
        name,
        side,
        UNKNOWN if text in ("-", "?") else clean(text),
        club,
        clean(said.get("ball", "")),
        bool(consent),
        place,
        _points(said, place, problems),
    )


def _points(said: dict[str, str], place: str, problems: list[Problem]) -> tuple[tuple[str, str], ...]:
    """Points to which the device's numbers belong; a word that names none is a fault."""
    out = []
    for channel, known in POINTS.items():
        words = said.get(channel, "")
        if not words or words.casefold() == OPEN_POINT:
            continue
        if point(channel, words) is None:
            allowed = ", ".join([*known, OPEN_POINT, "or blank"])
            do = "See the device's manual; blank lets the shots tell."
            problems.append(Problem(f"{place}, {channel}", repr(words), allowed, do))
        out.append((channel, words))
    return tuple(out)


def read_club(text: str, place: str, code: str, folder: Path, kit: Kit, problems: list[Problem]) -> Club:
    """Club of a cell: card, HEAD/SHAFT, stamps, unknown or blank; faults go to ``problems``."""
    if text.casefold() in ("", "-", "?", UNKNOWN):
        return unknown_club()
    stamps = read_stamps(text)
    beside = folder / text
    try:
        if stamps:
            return card_club({"code": code, "stamped": stamps}, place, code)
        card = text.casefold().endswith(".toml")
        return present_club(kit, str(beside) if card and beside.is_file() else text)
    except InputError as error:
        if not error.problems or ("/" not in text and not text.casefold().endswith(".toml")):
            do = "Name a card file or parts of the kit, copy the stamps, or leave the cell blank."
            problems.append(Problem(place, repr(text), CLUBS, do))
        problems += [
            p if p.where.startswith(place) else Problem(f"{place}: {p.where}", p.found, p.allowed, p.do)
            for p in (error.problems if "/" in text or text.casefold().endswith(".toml") or stamps else ())
        ]
        return unknown_club()


def read_stamps(text: str) -> dict[str, float | str]:
    """Figures that are printed on a club, or nothing if the text is something else.

    Examples
    --------
    >>> read_stamps("10.5deg 60g S")
    {'loft_deg': 10.5, 'shaft_mass_g': 60.0, 'flex': 'S'}
    >>> read_stamps("H2/S3"), read_stamps("S")
    ({}, {})
    """
    found: dict[str, float | str] = {}
    for word in text.replace(",", " ").split():
        for name, pattern in _STAMPS.items():
            if name not in found and (match := pattern.match(word)):
                found[name] = match[1] if name == "flex" else float(match[1])
                break
        else:
            return {}
    return found if set(found) - {"flex"} else {}


def by_roster(path: Path, roster: Roster, header_map: Mapping[str, str] | None = None) -> Iterator[Found]:
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


def _unique(entries: Sequence[Entry], problems: list[Problem]) -> None:
    """Complain of codes and of names that two rows share."""
    for what in ("code", "name"):
        seen: dict[str, str] = {}
        for entry in entries:
            word = getattr(entry, what)
            first = seen.setdefault(fold(word), entry.place)
            if word and first != entry.place:
                found, allowed = f"{word!r} again (first in {first})", f"each {what} once"
                problems.append(Problem(f"{entry.place}, {what}", found, allowed, "Rename one of the two."))
