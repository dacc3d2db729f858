"""Short texts that people type: 'KEY=VALUE ...' and spans of numbers such as '3,7-8'."""

from __future__ import annotations

import re
import shlex

from fitter.base.errors import Problem

_SPAN = re.compile(r"(\d{1,6})(?:\s*[-\N{EN DASH}]\s*(\d{1,6}))?")


def key_values(text: str, where: str, allowed: str, problems: list[Problem]) -> dict[str, str]:
    """Read 'build=H2/S3 shots=8-14'; a value that holds blanks stands in quotation marks.

    Parameters
    ----------
    text : str
    where, allowed : str
        The option, and an example of what may stand there, for messages.
    problems : list of Problem
        Appended to: words without '=', keys that stand twice, an open quotation mark, no word at all.

    Returns
    -------
    dict
        Values by key in lower case; empty if the text cannot be read.

    Examples
    --------
    >>> key_values("Build=H2/S3 note='two words'", "--set", "KEY=VALUE", [])
    {'build': 'H2/S3', 'note': 'two words'}
    """
    try:
        words = shlex.split(text)
    except ValueError:
        problems.append(Problem(where, repr(text), allowed, "Close the quotation mark."))
        return {}
    if not words:
        problems.append(Problem(where, "nothing", allowed, "Write such a pair."))
    found: dict[str, str] = {}
    for word in words:
        key, equals, value = word.partition("=")
        key = key.strip().casefold()
        if not equals or not key:
            problems.append(Problem(where, repr(word), allowed, "Quote a value that holds blanks."))
        elif key in found:
            problems.append(Problem(where, f"{key} twice", "each key once", "Leave one out."))
        else:
            found[key] = value.strip()
    return found


def spans(text: str, where: str, problems: list[Problem]) -> tuple[tuple[int, int], ...]:
    """Read '8-14,16' as spans of positive numbers, both ends included.

    Examples
    --------
    >>> spans("8-14,16", "--set", [])
    ((8, 14), (16, 16))
    """
    out = []
    for part in filter(None, (p.strip() for p in text.split(","))):
        match = _SPAN.fullmatch(part)
        first, last = (int(match[1]), int(match[2] or match[1])) if match else (1, 0)
        if not 1 <= first <= last:
            do = "Write shots from low to high."
            problems.append(Problem(where, repr(part), "such as 8-14 or 3,5,9", do))
            continue
        out.append((first, last))
    return tuple(out)
