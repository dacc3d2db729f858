"""A page of Markdown as lines of a screen: headings, lists, tables that fit, sentences that wrap."""

from __future__ import annotations

import re

from fitter.display.text import table
from fitter.tui.lines import Line, heading, line, paragraphs

_ESCAPED = re.compile(r"\\([\\`*_{}\[\]()#+\-.!|<>~&])")
_RULER = re.compile(r"^\|?[\s:|-]+\|?$")
_ITEM = re.compile(r"^(\s*)([-*]|\d+\.)\s+(.*)$")


def plain(text: str) -> str:
    """Words without the marks of Markdown.

    Examples
    --------
    >>> plain("**Change** to H1\\\\-1")
    'Change to H1-1'
    """
    bare = re.sub(r"(?<!\\)(\*\*|__|`)", "", text)
    return _ESCAPED.sub(r"\1", bare)


def _cells(row: str) -> list[str]:
    parts = re.split(r"(?<!\\)\|", row.strip().removeprefix("|").removesuffix("|"))
    return [plain(p.strip()) for p in parts]


def _table(rows: list[str], width: int) -> list[Line]:
    heads, ruler = _cells(rows[0]), rows[1] if len(rows) > 1 else ""
    sides = "".join("r" if c.strip().endswith(":") else "l" for c in ruler.strip().strip("|").split("|"))
    body = [_cells(r) for r in rows[2:]]
    size = max([len(heads), *(len(r) for r in body)])
    filled = [[*r, *[""] * (size - len(r))] for r in [heads, *body]]
    text = table(filled[0], filled[1:], width=width, align=(sides + "l" * size)[:size])
    shown = text.splitlines()
    return [line((shown[0], "dim")) if shown else Line(), *(line(row) for row in shown[1:])]


def lines(markdown: str, width: int) -> list[Line]:
    """Lines of a page.

    Parameters
    ----------
    markdown : str
    width : int
        Columns of the screen.
    """
    out: list[Line] = []
    rows: list[str] = []
    code = False
    for text in [*markdown.splitlines(), ""]:
        if text.startswith("```"):
            code = not code
            continue
        if code:
            out.append(line(text))
            continue
        if text.lstrip().startswith("|"):
            rows.append(text)
            continue
        if rows:
            out += _table(rows, width) if len(rows) > 1 and _RULER.match(rows[1]) else [line(r) for r in rows]
            rows = []
        item = _ITEM.match(text)
        if text.startswith("#"):
            out.append(heading(plain(text.lstrip("# "))))
        elif item:
            mark = "- " if item[2] in "-*" else f"{item[2]} "
            out += paragraphs(item[1] + mark + plain(item[3]), width, "", item[1] + " " * len(mark))
        elif text.strip():
            out += paragraphs(plain(text.strip()), width)
        elif out and out[-1].spans:
            out.append(Line())
    return out
