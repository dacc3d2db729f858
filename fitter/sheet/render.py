"""From the dictionary to paper: PDF and PNG by typst, the same bytes for the same input."""

from __future__ import annotations

import json
from bisect import bisect_left
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from typing import Any, Literal

from fitter.errors import FitterError
from fitter.sheet.glyphs import characters, lacking, replaced
from fitter.sheet.trim import trims

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


def _compile(data: dict[str, Any], paper: Paper, size: float, form: str, ppi: float | None = None) -> bytes:
    import typst

    inputs, fonts = _inputs(data, paper, size), _fonts(paper.fonts)
    if form == "png":
        made = typst.compile(
            _looks(), format="png", ppi=ppi, sys_inputs=inputs, font_paths=fonts, timestamp=0
        )
    else:
        made = typst.compile(
            _looks(), format="pdf", sys_inputs=inputs, font_paths=fonts, timestamp=0, pdf_standards=[STANDARD]
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
