"""What is left out when a sheet would not fit one page, by rule and in order."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator
from typing import Any

LONG_CODE, SHORT_CODE = 30, 18
LONG_TEXT, SHORT_TEXT = 320, 140
CUT = "…"
NOTE = "Shortened to fit one page; the Markdown holds all of it."


def trims(content: dict[str, Any]) -> Iterator[dict[str, Any]]:
    """Content as it is, then with more and more left out.

    Order: the middle of long codes, notes beyond two and what to measure beyond one, the steps of the bench
    (`fitter build` prints them), more of long codes, long texts, texts shorter still, facts beyond five.
    The build's title keeps its code in full.
    """
    yield content
    rules: tuple[Callable[[dict[str, Any]], dict[str, Any]], ...] = (
        lambda c: _shorter(c, LONG_CODE),
        lambda c: c | {"notes": c["notes"][:2], "next": c["next"][:1]},
        lambda c: c | {"build": c["build"] | {"steps": []}},
        lambda c: _shorter(c, SHORT_CODE),
        lambda c: _map(c, lambda s: _text(s, LONG_TEXT)),
        lambda c: _map(c, lambda s: _text(s, SHORT_TEXT)),
        lambda c: c | {"facts": c["facts"][:5], "trial": c["trial"][:2]},
    )
    left = content
    for rule in rules:
        left = rule(left)
        yield left | {"notes": [*left["notes"], NOTE]}


KEPT = ("cautions", "sources", "evidence", "pattern", "ladder")
"""What is the tool's own and never shortened."""


def _map(content: dict[str, Any], change: Callable[[str], str]) -> dict[str, Any]:
    def walk(value: Any) -> Any:
        if isinstance(value, dict):
            return {k: walk(v) for k, v in value.items()}
        if isinstance(value, list):
            return [walk(v) for v in value]
        return change(value) if isinstance(value, str) else value

    changed = {k: v if k in KEPT else walk(v) for k, v in content.items()}
    changed["build"] = changed["build"] | {"title": content["build"]["title"]}
    return changed


def _shorter(content: dict[str, Any], longest: int) -> dict[str, Any]:
    """Shorten codes; a player's name is no code."""
    changed = _map(content, lambda s: _codes(s, longest))
    return changed | {"player": content["player"], "facts": [content["facts"][0], *changed["facts"][1:]]}


def _text(words: str, longest: int) -> str:
    return words if len(words) <= longest else words[: longest - 1].rstrip() + CUT


def _codes(words: str, longest: int) -> str:
    """Shorten long codes, head and shaft apart; the end of a code, which tells sleeves apart, keeps more.

    Examples
    --------
    >>> _codes("Build ABCDEFGHIJKLMNOP-1/S3 now", 9)
    'Build AB…MNOP-1/S3 now'
    """

    def cut(match: re.Match[str]) -> str:
        start = (longest - 1) // 3
        return match[0][:start] + CUT + match[0][start + 1 - longest :]

    return re.sub(rf"[^\s/]{{{longest + 1},}}", cut, words)
