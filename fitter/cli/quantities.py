"""Quantities on the command line: unit suffixes, bare numbers, and negatives after a space."""

from __future__ import annotations

import argparse
import re
from collections.abc import Sequence

from fitter.units import parse_quantity

_NEGATIVE = re.compile(r"^-(?:\d|\.\d)")


def join_negatives(argv: Sequence[str]) -> list[str]:
    """Join '--toe -5mm' to '--toe=-5mm', which argparse would take for an option.

    Examples
    --------
    >>> join_negatives(["strike", "--attack", "-3", "--json"])
    ['strike', '--attack=-3', '--json']
    """
    joined: list[str] = []
    for word in argv:
        last = joined[-1] if joined else ""
        if _NEGATIVE.match(word) and last.startswith("--") and "=" not in last and len(last) > 2:
            joined[-1] = f"{last}={word}"
        else:
            joined.append(word)
    return joined


def quantity(args: argparse.Namespace, name: str, kind: str) -> float:
    """Read a required option of a command as a number in the core's unit."""
    return parse_quantity(getattr(args, name), kind, args.units, "--" + name.replace("_", "-"))


def maybe(args: argparse.Namespace, name: str, kind: str) -> float | None:
    """Read an option that may be silent."""
    return None if getattr(args, name) is None else quantity(args, name, kind)
