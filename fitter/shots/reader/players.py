"""One table of shots to the sessions of its players."""

from __future__ import annotations

from collections.abc import Sequence
from types import MappingProxyType

import numpy as np
from numpy.typing import NDArray

from fitter.base.errors import DataError, Problem, raise_if
from fitter.shots.reader import headers, order, signs
from fitter.shots.reader.table import HANDS, Shots
from fitter.shots.session import CHANNELS, NUMBERS, WORDS, Session, mirror

_MEASURED_GROUPS = ("swing", "strike", "start", "finish")


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
    values = {k: np.concatenate(v) for k, v in shots.values.items()}
    rows = np.array(shots.rows, dtype=np.int64)
    verdict = signs.check(values, shots.headers, shots.certain)
    values = {k: (0.0 - v if k in verdict.turned else v) for k, v in values.items()}
    estimated = {k: np.concatenate(v) for k, v in shots.estimated.items()}
    notices = [*shots.notices, *verdict.notices]
    names = order.players(shots.words["player"], player)
    hands = _hands(source, shots, hand, problems, notices)
    raise_if(problems, f"{source} has cells that cannot be read.")
    read = np.zeros(len(rows), dtype=bool)
    for k, v in values.items():
        if CHANNELS[k].group in _MEASURED_GROUPS:
            read |= np.isfinite(v)
    read &= ~order.unmarked_averages(values, shots.words, rows, notices)
    driver = _right_club(shots.words["club"], club, notices)
    keep = read & driver
    missing = order.not_read(names, shots.words["shot"], read | ~driver)
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
        at, own_notices = order.sorted_shots(
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
                estimated=MappingProxyType({k: estimated[k][at] for k in numbers}),
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
