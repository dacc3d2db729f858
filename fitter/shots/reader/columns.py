"""Columns of a block: what each means and in which unit; corrections of that, kept by a shop."""

from __future__ import annotations

import json
from collections.abc import Mapping
from dataclasses import dataclass, replace
from pathlib import Path

from fitter.base.assumptions import current
from fitter.base.errors import Problem, raise_if
from fitter.base.files import write_whole
from fitter.base.sources import refuse, toml
from fitter.base.units import spellings
from fitter.shots.reader import cells, headers
from fitter.shots.reader.layout import Block
from fitter.shots.vocabulary import CHANNELS, Channel

UNITLESS = {"angle": "deg"}
"""Units that a header may leave out, because the trade knows no other (common practice)."""
IGNORE = frozenset({"", "ignore", "-", "none", "skip"})


@dataclass(frozen=True)
class Use:
    """A column in use.

    Parameters
    ----------
    at : int
        Place in the row, from 0.
    header : str
        Words in the file.
    channel : Channel
        A channel or an ingredient.
    unit : str
        Unit, a name of `fitter.base.units.UNITS`; '' while it is unknown or for words.
    estimated : bool
        Whether the header says so.
    sign : float
        -1 where the other side counts positive.
    how : str
        Where channel and unit come from.
    rank : int
        0 for exact words, 1 for words that were only like a synonym.
    sign_said : bool
        Whether header or correction say which side is positive.
    """

    at: int
    header: str
    channel: Channel
    unit: str
    estimated: bool = False
    sign: float = 1.0
    how: str = "header"
    rank: int = 0
    sign_said: bool = False


def uses_of(
    block: Block, corrections: Mapping[str, str], stated: Mapping[str, str], problems: list[Problem]
) -> tuple[list[Use], list[str], list[str]]:
    """Understand the columns of a block.

    Parameters
    ----------
    block : Block
        Headers and units.
    corrections : mapping of str to str
        Plain header words to a channel, see `intake.read`.
    stated : mapping of str to str
        Units by quantity that the preamble names.
    problems : list of Problem
        Collects what is wrong.

    Returns
    -------
    list of Use
        Columns in use.
    list of str
        Headers that are not used.
    list of str
        Notices.
    """
    uses: list[Use] = []
    unused: list[str] = []
    notices: list[str] = []
    for at, header in enumerate(block.headers):
        if not header:
            continue
        target = corrections.get(headers.plain(header))
        match, how = headers.understand(header), "header"
        if match.channel == "spin_source" and _holds_numbers(block, at):
            match = replace(match, channel="spin_rpm")
        if target is not None:
            corrected = _corrected(header, match, target, problems)
            if corrected is None:
                unused.append(header)
                continue
            match, how = corrected, "as corrected"
        elif match.could_be:
            options = " or ".join(CHANNELS[c].label for c in match.could_be)
            do = f"name it with --map '{header}={match.could_be[0]}'"
            notices.append(f"'{header}' could be {options} and is not used: {do}.")
        elif match.near:
            label = headers.channel_of(match.channel).label
            notices.append(
                f"'{header}' was taken for {label}: correct it with --map if it is something else."
            )
        if match.channel == "apex_m" and target is None and _people(block, at, match):
            notices.append(f"'{header}' holds heights of people, no apex: it is not used.")
            match = replace(match, channel="")
        if not match.channel:
            unused.append(header)
            continue
        use = _use(block, at, header, match, how, stated, problems)
        if use:
            uses.append(use)
    return uses, unused, notices


def _holds_numbers(block: Block, at: int) -> bool:
    """Whether most cells are numbers past 1, so that they are no yes and no."""
    filled = [c for c in column(block, at) if c]
    numbers = [c for c in filled if cells.numberlike(c) and c not in ("0", "1")]
    return 2 * len(numbers) > len(filled)


def _people(block: Block, at: int, match: headers.Match) -> bool:
    """Whether heights are those of people: no ball stays so low, shot after shot."""
    if set(headers.plain(block.headers[at]).split()) & {"apex", "peak", "max", "maximum", "ball", "flight"}:
        return False
    below = block.units[at] if at < len(block.units) else ""
    unit = match.unit or (found[1] if below and (found := headers.unit_of(below)) else None)
    seen = {c.replace(",", ".") for c in column(block, at) if c}
    values = [float(c) for c in seen if cells.PLAIN_NUMBER.fullmatch(c)]
    if unit is None or not values or len(values) < len(seen):
        return False
    low, high = (current().value(f"intake.person_{end}_m") for end in ("low", "high"))
    return all(low <= v * unit.factor <= high for v in values)


def _corrected(
    header: str, match: headers.Match, target: str, problems: list[Problem]
) -> headers.Match | None:
    """Apply a correction such as 'launch_deg' or '-offline_m'; None leaves the column out."""
    if target.strip().casefold() in IGNORE:
        return None
    sign = -1.0 if target.lstrip().startswith("-") else 1.0
    name = target.strip().lstrip("-").strip()
    wanted = headers.understand(name)
    if not wanted.channel or wanted.near:
        allowed = ", ".join(CHANNELS) + ", or '' to leave the column out"
        problems.append(Problem(f"--map for {header!r}", repr(target), allowed, "Use one of these names."))
        return None
    # The bare name of a channel says what a column is; any other spelling also says how it was written.
    keep_unit = name in CHANNELS and match.unit is not None
    return replace(
        match,
        channel=wanted.channel,
        unit_text=match.unit_text if keep_unit else wanted.unit_text,
        unit=match.unit if keep_unit else wanted.unit,
        sign=match.sign * wanted.sign * sign,
        sign_said=match.sign_said or wanted.sign_said or sign < 0,
        near="",
        could_be=(),
    )


def _use(
    block: Block,
    at: int,
    header: str,
    match: headers.Match,
    how: str,
    stated: Mapping[str, str],
    problems: list[Problem],
) -> Use | None:
    channel = headers.channel_of(match.channel)
    rank = 1 if match.near else 0
    where = f"{where_of(block)}, column {header!r}"
    use = Use(at, header, channel, "", match.estimated, match.sign, how, rank, match.sign_said)
    if channel.quantity is None or channel.quantity == "ratio":
        return use
    text = match.unit_text
    below = block.units[at] if at < len(block.units) else ""
    if below and not text:
        text, how = below, "row of units" if how == "header" else how
    elif below and match.unit and (found := headers.unit_of(below)) and found[1] != match.unit:
        both = f"{text!r} in the header and {below!r} under it"
        problems.append(Problem(where, both, "one unit", "Correct one of the two."))
        return None
    if not text:
        assumed = UNITLESS.get(channel.quantity, "")
        given = stated.get(channel.quantity, "") if channel.group == "finish" or channel.unit != "mm" else ""
        text, how = given or assumed, "stated above" if given else "unit assumed" if assumed else how
    if not text:
        return replace(use, how=how)
    unit = headers.unit_of(text)
    if unit is None or unit[1].quantity != channel.quantity:
        do = f"Write the unit into the header, such as '{channel.label} ({channel.unit})'."
        allowed = ", ".join(spellings(channel.quantity))
        problems.append(Problem(where, f"the unit {text!r}", allowed, do))
        return None
    return replace(use, unit=unit[0], how=how)


def where_of(block: Block) -> str:
    """Place of a block's header, for messages."""
    return f"{block.source}, {block.counter} {block.header_row}" if block.header_row else block.source


def column(block: Block, at: int) -> list[str]:
    """Cells of a column, '' where a row is short."""
    return [r[at] if at < len(r) else "" for r in block.rows]


_HEAD = "# Header words of this shop's logs and the channel that each stands for; '' leaves a column out.\n"
_DO = "Write lines such as 'VL angle' = 'launch_deg' under [columns]."


def parse_pairs(pairs: list[str]) -> dict[str, str]:
    """Read command-line corrections such as 'Their header=launch_deg'.

    Raises
    ------
    InputError
        With every one that has no '='.
    """
    # The header may itself hold an equals sign, as in 'Direction (+ = left)'; a channel never does.
    parted = [p.rpartition("=") for p in pairs]
    problems = [
        Problem("--map", repr(p), "'Their header=channel'", "Write an equals sign between the two.")
        for p, (header, _, _) in zip(pairs, parted, strict=True)
        if not header.strip()
    ]
    raise_if(problems, "A correction of a column cannot be read.")
    return {header.strip(): channel.strip() for header, _, channel in parted}


def load(path: str | Path) -> dict[str, str]:
    """Read the corrections of a shop; none if the file does not exist yet.

    Raises
    ------
    InputError
        If the file is not as `save` writes it.
    """
    path = Path(path)
    if not path.exists():
        return {}
    raw = toml(path, "TOML with a table [columns]")
    table = raw.pop("columns", {})
    if not isinstance(table, dict):
        raise refuse(str(path), repr(table), "a table [columns]", _DO)
    problems = [Problem(str(path), repr(k), "a table [columns] and nothing else", _DO) for k in raw]
    problems += [
        Problem(f"{path} [columns]", f"{k!r} = {v!r}", "the name of a channel, or ''", _DO)
        for k, v in table.items()
        if not isinstance(v, str)
    ]
    raise_if(problems, f"{path} has corrections that cannot be read.")
    return dict(table)


def save(path: str | Path, corrections: Mapping[str, str]) -> None:
    """Add corrections to the file of a shop, whole or not at all; a header that stands there is replaced.

    Lines of remarks are kept, at its head.

    Raises
    ------
    InputError
        If the file is not as this writes it, or cannot be written.
    """
    path = Path(path)
    new = {headers.plain(k) for k in corrections}
    kept = {k: v for k, v in load(path).items() if headers.plain(k) not in new} | dict(corrections)
    lines = [f"{_quoted(k)} = {_quoted(v)}\n" for k, v in sorted(kept.items())]
    head = path.read_text(encoding="utf-8") if path.exists() else _HEAD
    remarks = "".join(line for line in head.splitlines(keepends=True) if line.startswith("#"))
    path.parent.mkdir(parents=True, exist_ok=True)
    write_whole(path, remarks + "\n[columns]\n" + "".join(lines))


def _quoted(text: str) -> str:
    """Quote as a TOML basic string, whose escapes are JSON's."""
    return json.dumps(text, ensure_ascii=False).replace("\x7f", "\\u007f")
