"""A table of shots to the sessions of its players."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path
from types import MappingProxyType

import numpy as np

from fitter.errors import InputError, Problem, raise_if
from fitter.shots import cells, dialects, headers
from fitter.shots.channels import CHANNELS, WORDS, Column, Floats, Session, mirror
from fitter.shots.screening import screen
from fitter.units import Unit, find_unit, spellings

UNITLESS = {"angle": "deg", "spin": "rpm"}
"""Units that a header may leave out, because the trade knows no other (common practice)."""
HANDS = {"right": "right", "r": "right", "rh": "right", "left": "left", "l": "left", "lh": "left"}
HANDS |= {"right handed": "right", "left handed": "left", "righty": "right", "lefty": "left"}


@dataclass(frozen=True)
class _Use:
    """A column in use: where it stands, what it means, how it converts."""

    at: int
    header: str
    channel: str
    unit: Unit | None
    unit_name: str
    estimated: bool
    how: str


def read(
    path: str | Path,
    *,
    hand: str | None = None,
    player: str | None = None,
    header_map: Mapping[str, str] | None = None,
) -> Session:
    """Read the shots of one player.

    Parameters
    ----------
    path : str or Path
        The log.
    hand : {'right', 'left'}, optional
        Hand of the player; a column of the file goes before it. Right-handed when both are silent.
    player : str, optional
        Which player, where the file holds several.
    header_map : mapping of str to str, optional
        Corrections, header to channel: ``{"VLA": "launch_deg"}``; '' leaves a column out.

    Returns
    -------
    Session
        Screened, in a right-handed frame, SI and degrees as the channels' names say.

    Raises
    ------
    InputError
        With every problem of the file; or with the players' names if there are several.
    """
    sessions = read_all(path, hand=hand, header_map=header_map)
    names = [s.player for s in sessions]
    if player is not None:
        for session in sessions:
            if session.player.casefold() == player.casefold():
                return session
        problem = Problem(
            f"{sessions[0].source}, player", repr(player), ", ".join(names), "Choose one of these."
        )
        raise InputError(f"{sessions[0].source} has no player {player!r}.", [problem])
    if len(sessions) > 1:
        problem = Problem(
            f"{sessions[0].source}, players",
            ", ".join(names),
            "one player at a time",
            "Choose with --player.",
        )
        raise InputError(
            f"{sessions[0].source} holds {len(sessions)} players: {', '.join(names)}.", [problem]
        )
    return sessions[0]


def read_all(
    path: str | Path, *, hand: str | None = None, header_map: Mapping[str, str] | None = None
) -> list[Session]:
    """Read the shots of every player in a file, in the order in which they appear; see `read`."""
    grid = dialects.load(path)
    return build(grid, hand=hand, header_map=header_map)


def build(
    grid: dialects.Grid, *, hand: str | None = None, header_map: Mapping[str, str] | None = None
) -> list[Session]:
    """Turn a grid into sessions; see `read` for the arguments and errors."""
    problems: list[Problem] = []
    uses, columns, notices = _columns(grid, header_map or {}, problems)
    raise_if(problems, f"{grid.source} cannot be read.")
    body = [(n, r) for n, r in zip(grid.numbers[1:], grid.rows[1:], strict=True)]
    if not body:
        raise dialects.refuse(
            grid.source, "a header row and no shots", "at least one shot", "Export it again."
        )
    n = len(body)
    values: dict[str, Floats] = {}
    words: dict[str, list[str]] = {}
    for use in uses:
        column = [r[use.at] if use.at < len(r) else "" for _, r in body]
        if use.unit is None:
            words[use.channel] = column
        else:
            values[use.channel] = _numbers(grid, use, column, [k for k, _ in body], problems)
    hands = _hands(grid, words.get("hand"), hand, [k for k, _ in body], problems)
    raise_if(problems, f"{grid.source} has cells that cannot be read.")
    if hands is None:
        hands = ["right"] * n
        notices.append("The hand is not given: right-handed is assumed.")
    row = np.array([k for k, _ in body], dtype=np.int64)
    estimated = {u.channel: np.full(n, u.estimated) for u in uses if u.unit is not None}
    players = [name or "player" for name in words.get("player", [""] * n)]
    sessions = []
    for name in dict.fromkeys(players):
        at = np.array([p == name for p in players])
        its_hands = {h for h, use_it in zip(hands, at, strict=True) if use_it}
        if len(its_hands) > 1:
            found = " and ".join(sorted(its_hands))
            problems.append(
                Problem(f"{grid.source}, player {name}", found, "one hand a player", "Correct it.")
            )
            continue
        own = {k: v[at] for k, v in values.items()}
        its_hand = its_hands.pop()
        session = Session(
            player=name,
            hand=its_hand,
            source=grid.source,
            values=MappingProxyType(mirror(own) if its_hand == "left" else own),
            words=MappingProxyType(
                {k: tuple(w for w, u in zip(v, at, strict=True) if u) for k, v in words.items() if k in WORDS}
            ),
            estimated=MappingProxyType({k: v[at] for k, v in estimated.items()}),
            shot=np.arange(1, at.sum() + 1, dtype=np.int64),
            row=row[at],
            columns=MappingProxyType(columns),
            notices=tuple(notices),
        )
        sessions.append(screen(session))
    raise_if(problems, f"{grid.source} has players whose shots disagree.")
    return sessions


def _columns(
    grid: dialects.Grid, header_map: Mapping[str, str], problems: list[Problem]
) -> tuple[list[_Use], dict[str, Column], list[str]]:
    uses: list[_Use] = []
    columns: dict[str, Column] = {}
    taken: dict[str, str] = {}
    corrections = {headers.plain(k): v for k, v in header_map.items()}
    for at, header in enumerate(grid.rows[0]):
        if not header:
            continue
        use = _understand(grid, at, header, corrections, problems)
        if use is None:
            columns[header] = Column(header, "", "", "not used")
            continue
        if use.channel in taken:
            where = f"{grid.source}, row {grid.numbers[0]}, columns {taken[use.channel]!r} and {header!r}"
            allowed = f"one column for {CHANNELS[use.channel].label}"
            problems.append(Problem(where, "two", allowed, f"Leave one out with --map '{header}='."))
            continue
        taken[use.channel] = header
        uses.append(use)
        columns[header] = Column(header, use.channel, use.unit_name, use.how)
    if not problems and not any(u.unit for u in uses):
        found = ", ".join(repr(h) for h in grid.rows[0][:12])
        raise dialects.refuse(
            f"{grid.source}, row {grid.numbers[0]}",
            f"no known column among {found}",
            "columns such as 'club speed (mph)', 'ball speed (mph)', 'launch (deg)', 'spin (rpm)'",
            "Put such a header above the shots, or name columns with --map 'Their header=launch_deg'.",
        )
    unused = [c.header for c in columns.values() if not c.channel]
    notices = [f"Columns that are not used: {', '.join(unused)}."] if unused else []
    return uses, columns, notices


def _understand(
    grid: dialects.Grid, at: int, header: str, corrections: Mapping[str, str], problems: list[Problem]
) -> _Use | None:
    where = f"{grid.source}, row {grid.numbers[0]}, column {header!r}"
    match = headers.understand(header)
    how = "header"
    target = corrections.get(headers.plain(header))
    if target is not None:
        if not target:
            return None
        wanted = headers.understand(target)
        if not wanted.channel:
            allowed = ", ".join(CHANNELS)
            problems.append(
                Problem(f"--map for {header!r}", repr(target), allowed, "Use one of these names.")
            )
            return None
        # The name of a channel says what a column is; only another unit's name says how it was written.
        keep_unit = target in CHANNELS and match.unit is not None
        match = headers.Match(
            wanted.channel,
            match.unit_text if keep_unit else wanted.unit_text,
            match.unit if keep_unit else wanted.unit,
            match.estimated,
        )
        how = "as corrected"
    if not match.channel:
        return None
    channel = CHANNELS[match.channel]
    if channel.unit is None:
        return _Use(at, header, channel.name, None, "", False, how)
    unit, text = match.unit, match.unit_text
    if not text and channel.quantity in UNITLESS:
        text = UNITLESS[channel.quantity]
        unit = find_unit(text)
        how = "unit assumed"
    if unit is None or unit.quantity != channel.quantity:
        found = f"the unit {text!r}" if text else "no unit"
        do = f"Write the unit into the header, such as '{channel.label} ({channel.unit})'."
        problems.append(Problem(where, found, ", ".join(spellings(channel.quantity or "")), do))
        return None
    return _Use(at, header, channel.name, unit, text, match.estimated, how)


def _numbers(
    grid: dialects.Grid, use: _Use, column: list[str], rows: list[int], problems: list[Problem]
) -> Floats:
    bad: dict[str, list[int]] = {}
    out = np.empty(len(column))
    for i, cell in enumerate(column):
        value = cells.number(cell)
        if value is None:
            bad.setdefault(cell, []).append(rows[i])
            value = cells.NAN
        out[i] = value
    for cell, at in bad.items():
        shown = ", ".join(map(str, at[:5])) + (f" and {len(at) - 5} more" if len(at) > 5 else "")
        where = f"{grid.source}, row {shown}, column {use.header!r}"
        do = "Correct the cell or leave it empty."
        problems.append(Problem(where, repr(cell[:40]), "a number such as 12.5, or blank or n/a", do))
    assert use.unit is not None
    target = find_unit(CHANNELS[use.channel].unit or "")
    assert target is not None
    if target.factor == use.unit.factor:
        return out
    return np.asarray((out * use.unit.factor + use.unit.offset - target.offset) / target.factor)


def _hands(
    grid: dialects.Grid, column: list[str] | None, hand: str | None, rows: list[int], problems: list[Problem]
) -> list[str] | None:
    if hand is not None and hand not in ("right", "left"):
        problems.append(Problem("--hand", repr(hand), "right, left", "Give the hand of the player."))
        return None
    if column is None:
        return [hand] * len(rows) if hand else None
    out = []
    for cell, row in zip(column, rows, strict=True):
        known = HANDS.get(headers.plain(cell)) if cell else hand or "right"
        if known is None:
            where = f"{grid.source}, row {row}, column for hand"
            problems.append(Problem(where, repr(cell), "right, left", "Correct the cell."))
        out.append(known or "right")
    return out
