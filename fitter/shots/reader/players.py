"""The shots of a file parted into players, in the order in which they were hit; what was not read."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from itertools import pairwise
from types import MappingProxyType

import numpy as np
from numpy.typing import NDArray

from fitter.base.errors import DataError, Problem, raise_if
from fitter.shots.reader import cells, channels, headers
from fitter.shots.reader.synonyms import HANDS
from fitter.shots.session import Column, Floats, Session, mirror
from fitter.shots.vocabulary import CHANNELS, NUMBERS, WORDS

NOBODY = "player"
"""Name of the player of a file that names nobody."""
_MEASURED_GROUPS = ("swing", "strike", "start", "finish")


@dataclass
class Shots:
    """Rows of a file before they are parted into players, n in all.

    Parameters
    ----------
    values, estimated : dict of str to ndarray, shape (n,)
        Channels, and where the device estimated them.
    words : dict of str to list of str
        Channels of words, n entries each.
    rows : list of int
        Row of each shot in the file.
    columns : dict of str to Column
        What was understood, by header.
    headers : dict of str to str
        Header from which each channel comes.
    certain : set of str
        Channels whose sign is said in words.
    notices : list of str
        Sentences for the reader.
    """

    values: dict[str, Floats] = field(default_factory=dict)
    estimated: dict[str, NDArray[np.bool_]] = field(default_factory=dict)
    words: dict[str, list[str]] = field(default_factory=dict)
    rows: list[int] = field(default_factory=list)
    columns: dict[str, Column] = field(default_factory=dict)
    headers: dict[str, str] = field(default_factory=dict)
    certain: set[str] = field(default_factory=set)
    notices: list[str] = field(default_factory=list)

    def __len__(self) -> int:
        return len(self.rows)


def players(words: Sequence[str], name: str | None) -> list[str]:
    """Player of each row; one that differs in case or blanks alone is the same one.

    A row without a name belongs to the only player of the file, if there is one.
    """
    spelled: dict[str, str] = {}
    for word in words:
        spelled.setdefault(" ".join(word.casefold().split()), " ".join(word.split()))
    named = [v for k, v in spelled.items() if k]
    nobody = named[0] if len(named) == 1 else (name.strip() if name and not named else NOBODY)
    spelled[""] = nobody
    return [spelled[" ".join(w.casefold().split())] for w in words]


def filled_down(words: Sequence[str]) -> list[str]:
    """Repeat a word in the blanks below it, where only the first row of each group carries it.

    So a spreadsheet with merged cells reads; a column that is filled in more than half of its rows stays.
    """
    if not words or not words[0] or 2 * sum(map(bool, words)) > len(words) or len(set(words) - {""}) < 2:
        return list(words)
    out: list[str] = []
    for word in words:
        out.append(word or out[-1])
    return out


def times(own: Sequence[str], said: Sequence[str]) -> tuple[list[str], str]:
    """Time of each row in ISO 8601: its own, with the day from a line above where it has only a clock."""
    first, notice = cells.iso(own)
    above, other = cells.iso(said)
    out = []
    for here, there in zip(first, above, strict=True):
        clock = len(here) == 8 and here[2:3] == ":" and len(there) >= 10
        out.append(f"{there[:10]}T{here}" if clock else here or there)
    return out, notice or other


def _integers(words: Sequence[str]) -> list[int | None]:
    out: list[int | None] = []
    for word in words:
        digits = word.strip().lstrip("#").removesuffix(".0")
        out.append(int(digits) if digits.isascii() and digits.isdigit() and len(digits) < 10 else None)
    return out


def sorted_shots(
    at: NDArray[np.int64], shots: Sequence[str], moments: Sequence[str]
) -> tuple[NDArray[np.int64], list[str]]:
    """Put a player's rows in the order in which they were hit, where the file says it was another.

    Parameters
    ----------
    at : ndarray of int64
        Rows of the player, in file order.
    shots, moments : sequence of str
        Shot numbers and ISO times of all rows.

    Returns
    -------
    ndarray of int64
        The same rows in order.
    list of str
        Notices.
    """
    notices: list[str] = []
    when = [moments[i] for i in at]
    dated = all("T" in w for w in when) or all(len(w) == 8 and w[2:3] == ":" for w in when)
    numbers = _integers([shots[i] for i in at])
    if dated and len(set(when)) == len(when):
        ranks = np.argsort(np.array(when), kind="stable")
        by = "time"
    elif all(n is not None for n in numbers) and len(set(numbers)) == len(numbers):
        ranks = np.argsort(np.array(numbers, dtype=np.int64), kind="stable")
        by = "shot number"
    else:
        ranks, by = np.arange(len(at)), ""
    if (ranks != np.arange(len(at))).any():
        notices.append(f"The shots were put in the order of their {by}.")
    ordered = at[ranks]
    own = [numbers[i] for i in ranks]
    first = next((i for i, n in enumerate(own, 1) if n is not None and n != i), None)
    if first is not None and all(n is not None for n in own):
        notices.append(
            f"Shots are numbered 1 to {len(own)} here: shot {first} is number {own[first - 1]} in the file."
        )
    return ordered, notices


def not_read(names: Sequence[str], shots: Sequence[str], there: NDArray[np.bool_]) -> dict[str, int]:
    """Balls that were hit but not read, by player: rows without numbers, and gaps in the shot numbers.

    A gap counts only where numbers climb through the whole file, or through one player's rows, and both its
    ends belong to the same player.
    """
    counts: dict[str, int] = {}
    numbers = _integers(shots)
    for name, seen, number in zip(names, there, numbers, strict=True):
        if not seen and (number is not None or not any(shots)):
            counts[name] = counts.get(name, 0) + 1
    everyone = [(n, p) for n, p in zip(numbers, names, strict=True) if n is not None]
    runs = [everyone]
    if not _climbs(everyone):
        own: dict[str, list[tuple[int, str]]] = {}
        for pair in everyone:
            own.setdefault(pair[1], []).append(pair)
        runs = list(own.values())
    for run in runs:
        if not _climbs(run):
            continue
        if run[0][0] > run[-1][0]:
            run = run[::-1]
        for (a, p), (b, q) in pairwise(run):
            if p == q and 1 < b - a <= 20:
                counts[p] = counts.get(p, 0) + b - a - 1
    return counts


def _climbs(run: Sequence[tuple[int, str]]) -> bool:
    steps = np.diff([n for n, _ in run])
    return len(run) > 1 and bool((steps > 0).all() or (steps < 0).all())


def by_player(
    source: str, shots: Shots, hand: str | None, player: str | None, club: str | None
) -> list[Session]:
    """Part a table into players; turn wrong signs, mirror left-handers, order shots, count what is missing.

    Parameters
    ----------
    source : str
        The file.
    shots : Shots
        All rows.
    hand, player, club : str or None
        See `intake.read`.

    Returns
    -------
    list of Session
        In the order in which the players appear; not yet screened.

    Raises
    ------
    InputError
        If hands cannot be read or a player has two.
    DataError
        If no shot can be used.
    """
    problems: list[Problem] = []
    rows = np.array(shots.rows, dtype=np.int64)
    turned = channels.check_signs(shots.values, shots.headers, shots.certain)
    values = {k: (0.0 - v if k in turned.channels else v) for k, v in shots.values.items()}
    notices = [*shots.notices, *turned.notices]
    names = players(shots.words["player"], player)
    hands = _hands(source, shots, hand, problems, notices)
    raise_if(problems, f"{source} has cells that cannot be read.")
    read = np.zeros(len(rows), dtype=bool)
    for k, v in values.items():
        if CHANNELS[k].group in _MEASURED_GROUPS:
            read |= np.isfinite(v)
    driver = _right_club(shots.words["club"], club, notices)
    keep = read & driver
    missing = not_read(names, shots.words["shot"], read | ~driver)
    own: dict[str, list[int]] = {name: [] for name in names}
    for i in np.flatnonzero(keep):
        own[names[i]].append(int(i))
    absent = [name for name, at in own.items() if not at]
    if absent:
        notices.append(f"Players without a shot that can be used: {', '.join(absent)}.")
    sessions = []
    for name, indices in own.items():
        if not indices:
            continue
        at, own_notices = sorted_shots(
            np.array(indices, dtype=np.int64), shots.words["shot"], shots.words["time"]
        )
        sides = {hands[i] for i in at}
        if len(sides) > 1:
            where, found = f"{source}, player {name}", " and ".join(sorted(sides))
            problems.append(Problem(where, found, "one hand a player", "Correct it."))
            continue
        if missing.get(name):
            text = "balls were hit but not read: if they were mishits, the rest looks too good."
            own_notices.append(f"{missing[name]} {text}")
        side = sides.pop()
        numbers = {k: values[k][at] for k in NUMBERS if k in values and np.isfinite(values[k][at]).any()}
        words = {k: tuple(shots.words[k][i] for i in at) for k in WORDS}
        sessions.append(
            Session(
                player=name,
                hand=side,
                source=source,
                values=MappingProxyType(mirror(numbers) if side == "left" else numbers),
                words=MappingProxyType({k: w for k, w in words.items() if any(w)}),
                estimated=MappingProxyType({k: shots.estimated[k][at] for k in numbers}),
                shot=np.arange(1, len(at) + 1, dtype=np.int64),
                row=rows[at],
                columns=MappingProxyType(dict(shots.columns)),
                notices=tuple(dict.fromkeys([*notices, *own_notices])),
                not_read=missing.get(name, 0),
            )
        )
    raise_if(problems, f"{source} has players whose shots disagree.")
    if not sessions:
        seen = ", ".join(dict.fromkeys(w for w in shots.words["club"] if w))
        found = f"no shot with that club (clubs: {seen})" if read.any() else "rows without a single number"
        problem = Problem(source, found, "at least one shot that was read", "Check the export, or --club.")
        raise DataError(f"{source} has no shot that can be used.", [problem])
    return sessions


def _right_club(words: Sequence[str], club: str | None, notices: list[str]) -> NDArray[np.bool_]:
    """Shots of the wanted club; drivers, and clubs that are not known to be others, when none is named."""
    if club is not None:
        wanted = headers.plain(club)
        return np.array([headers.plain(w) == wanted for w in words])
    memory = {w: headers.is_other(w) for w in set(words)}
    others = np.array([memory[w] for w in words])
    if others.any() and not others.all():
        left = ", ".join(f"{w} ({words.count(w)})" for w in dict.fromkeys(words) if memory[w])
        notices.append(f"Shots with other clubs are left out: {left}.")
    return ~others


def _hands(
    source: str, shots: Shots, hand: str | None, problems: list[Problem], notices: list[str]
) -> list[str]:
    """Hand of each row: its own word, else the hand given, else right with a notice."""
    words = shots.words["hand"]
    if not any(words) and hand is None:
        notices.append("The hand is not given: right-handed is assumed.")
    known: dict[str, str] = {"": hand or "right"}
    for word, row in zip(words, shots.rows, strict=True):
        if word in known:
            continue
        found = HANDS.get(headers.plain(word))
        if found is None:
            where = f"{source}, row {row}, hand"
            problems.append(Problem(where, repr(word), "right, left", "Correct the cell."))
        known[word] = found or "right"
    return [known[w] for w in words]
