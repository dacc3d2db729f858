"""Characters on paper: what cannot be seen or has no glyph stands in escaped form, never as an empty box."""

from __future__ import annotations

import unicodedata
from collections.abc import Callable, Iterable
from typing import Any

_JOINERS = "\u200c\u200d"
"""Zero-width non-joiner and joiner: scripts need them."""
_HIDDEN = ("Cc", "Cf", "Cs", "Co", "Cn", "Zl", "Zp")
"""Categories that print as nothing: control, format, surrogate, private, unassigned, separators of lines."""


def escaped(char: str) -> str:
    """Escaped form of one character.

    Examples
    --------
    >>> escaped("山")
    '[U+5C71]'
    """
    return f"[U+{ord(char):04X}]"


def printable(text: str) -> str:
    """Text in composed form, spaces single, hidden characters escaped.

    Examples
    --------
    >>> printable("a\\tb\\u202ec")
    'a b[U+202E]c'
    """
    composed = unicodedata.normalize("NFC", text)
    spaced = " ".join(composed.split()) if any(c in composed for c in "\t\n\r\v\f") else composed
    return "".join(
        escaped(c) if c not in _JOINERS and unicodedata.category(c) in _HIDDEN else c for c in spaced
    )


def characters(value: Any) -> frozenset[str]:
    """Characters beyond ASCII in all strings of a dictionary."""
    if isinstance(value, dict):
        return frozenset().union(*map(characters, value.values()))
    if isinstance(value, list):
        return frozenset().union(*map(characters, value))
    return frozenset(c for c in value if not c.isascii()) if isinstance(value, str) else frozenset()


def replaced(value: Any, lacking: Iterable[str]) -> Any:
    """Escape the characters that no font has in all strings of a dictionary."""
    table = str.maketrans({c: escaped(c) for c in lacking})

    def walk(v: Any) -> Any:
        if isinstance(v, dict):
            return {k: walk(x) for k, x in v.items()}
        if isinstance(v, list):
            return [walk(x) for x in v]
        return v.translate(table) if isinstance(v, str) else v

    return walk(value)


def lacking(chars: Iterable[str], can_print: Callable[[str], bool]) -> frozenset[str]:
    """Characters that cannot be printed, found by halving.

    Parameters
    ----------
    chars : iterable of str
    can_print : callable
        Whether all characters of a text have glyphs.
    """
    todo = "".join(sorted(chars))
    if not todo or can_print(todo):
        return frozenset()
    if len(todo) == 1:
        return frozenset(todo)
    half = len(todo) // 2
    return lacking(todo[:half], can_print) | lacking(todo[half:], can_print)
