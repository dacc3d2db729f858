"""Who hit which shot when: players, times, order, balls not read, rows of averages without a label."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from fitter.shots.reader import cells
from fitter.shots.session import CHANNELS, Floats

NOBODY = "player"
"""Name of the player of a file that names nobody."""


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


def unmarked_averages(
    values: Mapping[str, Floats],
    words: Mapping[str, Sequence[str]],
    rows: NDArray[np.int64],
    notices: list[str],
) -> NDArray[np.bool_]:
    """Last row that is the average of all above and carries no label, as a mask over n rows."""
    out = np.zeros(len(rows), dtype=bool)
    if len(rows) < 4 or any(words[k][-1] for k in ("shot", "time")):
        return out
    hits = 0
    for name, v in values.items():
        above = v[:-1][np.isfinite(v[:-1])]
        if CHANNELS[name].group == "setup" or not np.isfinite(v[-1]):
            continue
        if len(above) < 3 or np.ptp(above) == 0.0:
            continue
        if abs(v[-1] - above.mean()) > 0.02 * above.std() + 1e-9:
            return out
        hits += 1
    if hits >= 3:
        out[-1] = True
        notices.append(f"Left out as averages: row {rows[-1]}, which is the mean of all above.")
    return out
