"""Lines of a screen as data: pieces of text with the name of a style, so that pictures need no widgets."""

from __future__ import annotations

import textwrap
from dataclasses import dataclass

from rich.cells import cell_len

from fitter.display.text import clean, fit

__all__ = ["STYLES", "Line", "Span", "beside", "clean", "fit", "heading", "line", "paragraphs"]
STYLES = (
    "dim", "strong", "head", "zero", "bar", "pick", "hand", "mark", "warn", "error", "key",
    "ghost",
)  # fmt: skip
"""Names of styles; the looks are in fitter.tcss."""
Span = tuple[str, str]


@dataclass(frozen=True)
class Line:
    """One line of a screen.

    Parameters
    ----------
    spans : tuple of (str, str)
        Text and style name, '' for plain.
    key : str
        What the line stands for; '' if the cursor passes over it.
    """

    spans: tuple[Span, ...] = ()
    key: str = ""

    @property
    def text(self) -> str:
        """Text alone."""
        return "".join(t for t, _ in self.spans)


def line(*spans: Span | str, key: str = "") -> Line:
    """Line of pieces.

    Examples
    --------
    >>> line("a", ("b", "dim")).text
    'ab'
    """
    return Line(tuple(s if isinstance(s, tuple) else (s, "") for s in spans), key)


def paragraphs(words: str, width: int, style: str = "", indent: str = "") -> list[Line]:
    """Sentences folded to a width."""
    found = textwrap.wrap(clean(words), max(width, 12), subsequent_indent=indent, break_on_hyphens=False)
    return [line((row, style)) for row in found]


def beside(left: list[Line], right: list[Line], width: int, gap: str = "  ") -> list[Line]:
    """Two columns of lines, the left one padded to a width."""
    out = []
    for k in range(max(len(left), len(right))):
        a = left[k] if k < len(left) else Line()
        b = right[k] if k < len(right) else Line()
        pad = " " * max(0, width - cell_len(a.text))
        out.append(Line((*a.spans, (pad + gap, ""), *b.spans), a.key))
    return out


def heading(words: str) -> Line:
    """Line that names what follows."""
    return line((words, "head"))
