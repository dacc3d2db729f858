"""A sheet on paper: one page, and every character printed or in escaped form, never an empty box."""

from __future__ import annotations

import json
import re
import unicodedata
from bisect import bisect_left
from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from typing import Any, Literal

from fitter.base.errors import FitterError

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


def mapped(value: Any, change: Callable[[str], str]) -> Any:
    """Change every string in dictionaries and lists of plain values."""
    if isinstance(value, dict):
        return {k: mapped(v, change) for k, v in value.items()}
    if isinstance(value, list | tuple):
        return [mapped(v, change) for v in value]
    return change(value) if isinstance(value, str) else value


def printable(value: Any) -> Any:
    """Every string in composed form, spaces single, hidden characters escaped.

    Examples
    --------
    >>> printable({"name": "a\\tb\\u202ec"})
    {'name': 'a b[U+202E]c'}
    """
    return mapped(value, _visible)


def _visible(text: str) -> str:
    composed = unicodedata.normalize("NFC", text)
    spaced = " ".join(composed.split()) if any(c in composed for c in "\t\n\r\v\f") else composed
    return "".join(
        escaped(c) if c not in _JOINERS and unicodedata.category(c) in _HIDDEN else c for c in spaced
    )


def characters(value: Any) -> frozenset[str]:
    """Characters beyond ASCII in all strings of a dictionary."""
    found: set[str] = set()
    mapped(value, lambda text: found.update(text) or text)  # type: ignore[func-returns-value]
    return frozenset(c for c in found if not c.isascii())


def replaced(value: Any, lacking: Iterable[str]) -> Any:
    """Escape the characters that no font has in all strings of a dictionary."""
    table = str.maketrans({c: escaped(c) for c in lacking})
    return mapped(value, lambda text: text.translate(table))


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
    changed = {k: v if k in KEPT else mapped(v, change) for k, v in content.items()}
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


PAPERS = ("a4", "letter")
KINDS = ("sheet", "card")
SIZES = {
    "sheet": tuple(round(7.2 + 0.1 * k, 1) for k in range(25)),
    "card": tuple(round(6.8 + 0.1 * k, 1) for k in range(25)),
}
"""Sizes of the text, pt: the largest that keeps the page to one is taken."""
STANDARD: Literal["ua-1"] = "ua-1"
"""PDF/UA-1 for readers by ear; and typst refuses a character without a glyph under it."""
LOOKS = Path(__file__).with_name("sheet.typ")


@dataclass(frozen=True)
class Paper:
    """What is printed on.

    Parameters
    ----------
    size : str
        One of `PAPERS`.
    kind : str
        'sheet', or 'card' for half a page.
    fonts : str
        Folder with more fonts, '' for those built in alone: the same folder gives the same bytes.
    """

    size: str = "a4"
    kind: str = "sheet"
    fonts: str = ""


def pdf(content: dict[str, Any], paper: Paper | None = None) -> bytes:
    """PDF of a sheet: one page, and the evidence behind it if the content has any.

    Parameters
    ----------
    content : dict
        See `fitter.sheet.content.content`.
    paper : Paper, optional
        A4 when silent.

    Raises
    ------
    FitterError
        If it does not fit one page however it is trimmed.
    """
    where = paper or Paper()
    data, size = fitted(content, where)
    return _compile(data, where, size, "pdf")


def png(content: dict[str, Any], paper: Paper | None = None, ppi: float = 120.0) -> bytes:
    """Picture of the first page."""
    where = paper or Paper()
    data, size = fitted(content | {"evidence": None}, where)
    return _compile(data, where, size, "png", ppi)


def fitted(content: dict[str, Any], paper: Paper) -> tuple[dict[str, Any], float]:
    """Content and size of the text at which the page is one.

    Smaller text is tried first, then what `trim.trims` leaves out, in its order.
    """
    base = replaced(content, lacking_in(characters(content), paper.fonts))
    if base != content:
        base["notes"] = [
            *base["notes"],
            "Characters that the sheet's fonts lack stand as their code, such as [U+5C71].",
        ]
    for data in trims(base):
        sizes = SIZES[paper.kind]
        if front_pages(data, paper, sizes[0]) > 1:
            continue
        above = bisect_left(sizes, True, lo=1, key=lambda size: front_pages(data, paper, size) > 1)
        return data, sizes[above - 1]
    raise FitterError("The sheet does not fit one page, whatever is left out.")


def front_pages(content: dict[str, Any], paper: Paper, size: float) -> int:
    """Pages that all but the evidence takes."""
    import typst

    inputs = _inputs(content | {"evidence": None}, paper, size)
    compiler = typst.Compiler(input=_looks(), sys_inputs=inputs, font_paths=_fonts(paper.fonts))
    return int(compiler.query("<front>", field="value", one=True))


def lacking_in(chars: frozenset[str], fonts: str) -> frozenset[str]:
    """Characters that neither the built-in fonts nor those of a folder can print."""
    return lacking(chars, lambda text: _can_print(text, fonts))


@cache
def _can_print(text: str, fonts: str) -> bool:
    """Whether typst has a glyph for every character: under PDF/UA-1 it refuses a text that has none."""
    import typst

    source = '#set document(title: "t", date: none)\n#set text(font: "Libertinus Serif", lang: "en")\n'
    source += "#for c in json(bytes(sys.inputs.data)) [#c ]"
    try:
        typst.compile(
            source.encode(),
            sys_inputs={"data": json.dumps(list(text))},
            pdf_standards=[STANDARD],
            font_paths=_fonts(fonts),
            timestamp=0,
        )
    except typst.TypstError as error:
        if "could not be displayed" in str(error):
            return False
        raise
    return True


def _compile(
    data: dict[str, Any], paper: Paper, size: float, form: Literal["pdf", "png"], ppi: float | None = None
) -> bytes:
    import typst

    more: dict[str, Any] = {"ppi": ppi} if form == "png" else {"pdf_standards": [STANDARD]}
    made = typst.compile(
        _looks(),
        format=form,
        sys_inputs=_inputs(data, paper, size),
        font_paths=_fonts(paper.fonts),
        timestamp=0,
        **more,
    )
    return made if isinstance(made, bytes) else made[0]


def _inputs(data: dict[str, Any], paper: Paper, size: float) -> dict[str, str]:
    text = json.dumps(data, ensure_ascii=False, allow_nan=False)
    return {"data": text, "size": f"{size:g}", "kind": paper.kind, "paper": paper.size}


@cache
def _fonts(folder: str) -> Any:
    import typst

    return typst.Fonts(include_system_fonts=False, font_paths=[folder] if folder else [])


@cache
def _looks() -> bytes:
    return LOOKS.read_bytes()
