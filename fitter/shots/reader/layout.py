"""A grid to blocks of shots: preambles, two-row headers, units rows, repeated headers, rows of averages."""

from __future__ import annotations

import re
from collections.abc import Collection, Mapping
from dataclasses import dataclass, field
from types import MappingProxyType

import numpy as np

from fitter.base.sources import refuse
from fitter.shots.reader import headers, summaries
from fitter.shots.reader.cells import NOT_READ, PLAIN_NUMBER, is_empty, numberlike, to_float
from fitter.shots.reader.headers import is_club
from fitter.shots.reader.workbooks import Grid
from fitter.shots.vocabulary import WORDS

CONTEXT = ("player", "hand", *WORDS)
_PAIR = re.compile(r"^\s*([^:=]{2,30}?)\s*[:=]\s*(.*)$")
_TOP = 30
"""Rows in which a header may stand whose every word is misspelt."""
_NO_UNIT = frozenset({"", "-", "--", "#", "text", "none", "n/a", "()", "[]", "–", "/"})


@dataclass
class Block:
    """Rows under one header.

    Parameters
    ----------
    source, counter : str
        The file, and what its rows are called.
    header_row : int
        Row of the header.
    headers, units : list of str
        Words and, from a row of their own, units of each column.
    rows, numbers : list
        Cells of each shot and the row where they stand.
    context : list of mapping
        What lines above said of each shot: player, hand, club ...
    """

    source: str
    counter: str
    header_row: int
    headers: list[str]
    units: list[str]
    rows: list[list[str]] = field(default_factory=list)
    numbers: list[int] = field(default_factory=list)
    context: list[Mapping[str, str]] = field(default_factory=list)


@dataclass
class Layout:
    """Blocks of a grid, units that the preamble names, and what was left out."""

    blocks: list[Block]
    stated_units: dict[str, str]
    notices: list[str]


def arrange(grid: Grid, corrected: Collection[str] = ()) -> Layout:
    """Find the headers of a grid and sort its rows.

    Parameters
    ----------
    grid : Grid
        Cells.
    corrected : collection of str
        Plain header words that the user has named.

    Returns
    -------
    Layout
        At least one block.

    Raises
    ------
    InputError
        If no row looks like a header of shots.
    """
    layout = _walk(grid, corrected)
    if not layout.blocks:
        turned = _turned(grid)
        layout = _walk(turned, corrected) if turned else layout
        if layout.blocks:
            layout.notices.insert(0, "The shots stand in columns: the table was turned.")
    if not layout.blocks:
        raise _no_header(grid)
    return layout


def _walk(grid: Grid, corrected: Collection[str]) -> Layout:
    """Go through the rows from the top: headers open blocks, other rows are sorted by `_kind`."""
    blocks: list[Block] = []
    context: Mapping[str, str] = MappingProxyType({})
    stated: dict[str, str] = {}
    left_out: dict[str, list[int]] = {"average": [], "remark": []}
    at = 0
    while at < len(grid.rows):
        cells, number = grid.rows[at], grid.numbers[at]
        head, units, took = _header(grid, at, corrected, not blocks and at < _TOP)
        again = bool(blocks) and (blocks[-1].headers, blocks[-1].units) == (head, units)
        # One known word is enough at the top; further down it may be a remark.
        if head and (again or not blocks or _named(head, corrected, False)[0] > 1):
            if not again:
                blocks.append(Block(grid.source, grid.counter, number, head, units))
            at += took
            continue
        kind = _kind(cells, blocks[-1].headers if blocks else None)
        if kind == "pairs":
            pairs = _pairs(cells)
            context = MappingProxyType({**context, **{k: v for k, v in pairs.items() if k in CONTEXT}})
            stated |= _stated_units(pairs.get("units", ""))
        elif kind == "club":
            context = MappingProxyType({**context, "club": next(filter(None, cells))})
        elif kind == "shot":
            blocks[-1].rows.append(cells)
            blocks[-1].numbers.append(number)
            blocks[-1].context.append(context)
        else:
            left_out[kind].append(number)
        at += 1
    for block in blocks:
        left_out["average"] += _sums(block)
    left_out["average"].sort()
    return Layout([b for b in blocks if b.rows] or blocks[:1], stated, _left_out(grid, left_out))


def _sums(block: Block) -> list[int]:
    """Take out the rows of a block that its other rows show to be no shots; give their numbers."""
    gone: set[int] = set()
    if summaries.numbered(block.rows, block.headers):
        gone = {i for i, r in enumerate(block.rows) if summaries.by_words(r, block.headers, numbered=True)}
    at = [i for i in range(len(block.rows)) if i not in gone]
    measured = [k for k, h in enumerate(block.headers) if _measured(h, (), False)]
    if len(at) >= 4 and measured:
        ends = [at[0], at[-1]]
        written = [[_cell(block.rows[i], k) for k in measured] for i in ends]
        # Only a row that is all numbers is looked at again.
        if any(sum(map(bool, w)) >= 3 for w in written):
            table = np.array([[_number(_cell(block.rows[i], k)) for k in measured] for i in at])
            step = np.array([_step([_cell(block.rows[i], k) for i in at[:40]]) for k in measured])
            gone |= {at[i] for i in summaries.by_numbers(table, step, 3)}
    numbers = [block.numbers[i] for i in sorted(gone)]
    for name in ("rows", "numbers", "context"):
        setattr(block, name, [x for i, x in enumerate(getattr(block, name)) if i not in gone])
    return numbers


def _cell(row: list[str], at: int) -> str:
    return row[at] if at < len(row) else ""


def _number(cell: str) -> float:
    if not cell:
        return float("nan")
    value = to_float(cell, "," in cell and "." not in cell)
    return float("nan") if value is None else value


def _step(cells: list[str]) -> float:
    """Last digit that the cells of a column show."""
    decimals = [len(re.split("[.,]", c)[1]) if re.search("[.,]", c) else 0 for c in cells if c]
    return 10.0 ** -min(max(decimals, default=0), 6)


def _kind(cells: list[str], head: list[str] | None) -> str:
    """What a row that is no header is, under a header if there is one yet; the first that fits.

    'pairs' says something of the shots below, 'club' names theirs; 'average', 'remark' and 'shot'.
    """
    texts = [c for c in cells if c]
    if head is None or (len(texts) <= 2 and not any(map(PLAIN_NUMBER.fullmatch, texts))):
        if _pairs(cells):
            return "pairs"
        if head is None:
            return "remark"
    if summaries.by_words(cells, head):
        return "average"
    if len(texts) != 1 or len(head) <= 2:
        return "shot"
    if is_club(texts[0]):
        return "club"
    return "shot" if numberlike(texts[0]) or texts[0].casefold() in NOT_READ else "remark"


def _left_out(grid: Grid, rows: Mapping[str, list[int]]) -> list[str]:
    notices = []
    for kind, numbers in rows.items():
        if numbers:
            shown = ", ".join(map(str, numbers[:8])) + (" ..." if len(numbers) > 8 else "")
            notices.append(f"Left out as {kind}s: {grid.counter} {shown}.")
    return notices


def _measured(cell: str, corrected: Collection[str], fuzzy: bool) -> bool:
    if not cell or len(cell) > 80:
        return False
    if corrected and headers.plain(cell) in corrected:
        return True
    match = headers.understand(cell, fuzzy)
    return bool(match.channel and headers.channel_of(match.channel).quantity)


def _named(cells: list[str], corrected: Collection[str], fuzzy: bool = True) -> tuple[int, int]:
    """Columns that are understood: measured ones, and all."""
    measured = sum(_measured(c, corrected, fuzzy) for c in cells)
    words = sum(bool(c and len(c) < 80 and headers.understand(c, fuzzy).channel) for c in cells)
    return measured, max(words, measured)


def _header(grid: Grid, at: int, corrected: Collection[str], fuzzy: bool) -> tuple[list[str], list[str], int]:
    """Header at a row, its units and how many rows it takes; no words if it is no header."""
    cells = grid.rows[at]
    if sum(map(numberlike, cells)) > 0.2 * sum(map(bool, cells)):
        return [], [], 0
    measured, known = _named(cells, corrected, fuzzy)
    head, took = cells, 1
    below = grid.rows[at + 1] if at + 1 < len(grid.rows) else []
    if below and not any(map(numberlike, below)) and not _units(below):
        joined = _joined(cells, below)
        together = _named(joined, corrected, fuzzy)
        if together[0] > max(measured, _named(below, corrected, fuzzy)[0]):
            head, took, (measured, known) = joined, 2, together
    filled = sum(bool(c) for c in head)
    if not measured or (known < 2 and filled > 1 and not _numbers_follow(grid, at + took)):
        return [], [], 0
    units = _units(grid.rows[at + took]) if at + took < len(grid.rows) else []
    if units:
        took += 1
    return head, units + [""] * (len(head) - len(units)), took


def _numbers_follow(grid: Grid, at: int) -> bool:
    """Whether the next row, or the one after a row of units, holds numbers."""
    return any(sum(map(numberlike, row)) * 2 >= sum(map(bool, row)) for row in grid.rows[at : at + 2])


def _joined(above: list[str], below: list[str]) -> list[str]:
    """Join a row of groups, each standing over several columns, with the words under it."""
    out, group = [], ""
    for i in range(max(len(above), len(below))):
        group = (above[i] if i < len(above) else "") or group
        word = below[i] if i < len(below) else ""
        out.append(f"{group} {word}".strip() if word else (above[i] if i < len(above) else ""))
    return out


def _units(cells: list[str]) -> list[str]:
    """Units of a row that holds nothing else, else nothing."""
    found = [bool(c) and headers.unit_of(c) is not None for c in cells]
    if not any(found) or not all(f or c.casefold() in _NO_UNIT for f, c in zip(found, cells, strict=True)):
        return []
    return [c.strip("()[]{} ") if f else "" for f, c in zip(found, cells, strict=True)]


def _pairs(cells: list[str]) -> dict[str, str]:
    """Read 'Player: P1', or the cells 'Player' and 'P1', as what they say about the shots below."""
    out: dict[str, str] = {}
    texts = [c for c in cells if c]
    if len(texts) == 2 and not _PAIR.match(texts[0]) and not numberlike(texts[0]):
        texts = [f"{texts[0]}: {texts[1]}"]
    elif len(texts) == 2 and texts[0].rstrip().endswith((":", "=")):
        texts = [f"{texts[0]} {texts[1]}"]
    for text in texts:
        match = _PAIR.match(text)
        if not match or numberlike(text):
            continue
        words = headers.plain(match[1])
        if "unit" in words or words.endswith("units"):
            out["units"] = f"{out.get('units', '')} {match[2]}".strip()
            continue
        found = headers.understand(match[1])
        if found.channel in CONTEXT and not found.near and match[2].strip():
            out[found.channel] = match[2].strip()
    return out


def _stated_units(text: str) -> dict[str, str]:
    """Units by quantity out of 'mph, yards, degrees'; words such as 'metric' name no unit and give none."""
    out: dict[str, str] = {}
    for part in re.split(r"[,;]|\s+", text):
        found = headers.unit_of(part) if part else None
        if found:
            out.setdefault(found[1].quantity, found[0])
    return out


def _turned(grid: Grid) -> Grid | None:
    """Swap rows and columns of a table whose first column holds the headers."""
    width = max(map(len, grid.rows))
    if width > 2000 or not 2 <= len(grid.rows) <= 400:
        return None
    table = [[row[i] if i < len(row) else "" for row in grid.rows] for i in range(width)]
    kept = [(i, r) for i, r in enumerate(table, 1) if any(r)]
    return Grid(grid.source, [r for _, r in kept], [i for i, _ in kept], "column")


def _no_header(grid: Grid) -> Exception:
    """Error that shows the row which comes nearest to a header."""
    best = max(range(min(len(grid.rows), 40)), key=lambda i: _words_in(grid.rows[i]))
    shown = ", ".join(repr(c[:40]) for c in grid.rows[best][:12] if c)
    return refuse(
        f"{grid.source}, {grid.counter} {grid.numbers[best]}",
        f"no known column among {shown}",
        "columns such as 'club speed (mph)', 'ball speed (mph)', 'launch (deg)', 'spin (rpm)'",
        "Put such a header above the shots, or name columns with --map 'Their header=launch_deg'.",
    )


def _words_in(cells: list[str]) -> int:
    return sum(bool(c) and not numberlike(c) and not is_empty(c) for c in cells)
