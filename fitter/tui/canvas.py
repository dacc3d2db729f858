"""A canvas of characters: braille dots, marks and words over them, with limits of equal scale."""

from __future__ import annotations

import math
from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

from fitter.tui.lines import Line

Floats = NDArray[np.float64]

_DOTS = ((0x01, 0x08), (0x02, 0x10), (0x04, 0x20), (0x40, 0x80))
"""Bits of a braille cell, row by row; a cell is 2 dots wide and 4 high, and dots are square on a screen."""


@dataclass
class Canvas:
    """Characters of width x height cells; x to the right, y up, in the units of the limits.

    Parameters
    ----------
    width, height : int
        Cells.
    x, y : (float, float)
        Limits; see `equal` for limits of equal scale.
    """

    width: int
    height: int
    x: tuple[float, float]
    y: tuple[float, float]
    _bits: dict[tuple[int, int], int] = field(default_factory=dict)
    _marks: dict[tuple[int, int], tuple[str, str]] = field(default_factory=dict)
    _style: dict[tuple[int, int], str] = field(default_factory=dict)

    def dot(self, x: float, y: float, style: str = "") -> None:
        """Set one dot."""
        if not (math.isfinite(x) and math.isfinite(y)):
            return
        px = round((x - self.x[0]) / (self.x[1] - self.x[0]) * (2 * self.width - 1))
        py = round((self.y[1] - y) / (self.y[1] - self.y[0]) * (4 * self.height - 1))
        if 0 <= px < 2 * self.width and 0 <= py < 4 * self.height:
            cell = (px // 2, py // 4)
            self._bits[cell] = self._bits.get(cell, 0) | _DOTS[py % 4][px % 2]
            self._style[cell] = style

    def path(self, xs: Floats, ys: Floats, style: str = "", every: int = 1, dash: int = 0) -> None:
        """Join points by dots; a point that is NaN leaves a gap.

        ``every`` 3 sets one dot of three, ``dash`` 5 draws five dots and leaves out as many.
        """
        count = 0
        for k in range(len(xs) - 1):
            a, b = (xs[k], ys[k]), (xs[k + 1], ys[k + 1])
            if not all(map(math.isfinite, (*a, *b))):
                continue
            steps = 1 + int(
                max(abs(b[0] - a[0]) / (self.x[1] - self.x[0]) * 2 * self.width,
                    abs(b[1] - a[1]) / (self.y[1] - self.y[0]) * 4 * self.height)
            )  # fmt: skip
            for t in range(0, steps if k < len(xs) - 2 else steps + 1):
                shown = count // dash % 2 == 0 if dash else count % every == 0
                count += 1
                if shown:
                    self.dot(a[0] + (b[0] - a[0]) * t / steps, a[1] + (b[1] - a[1]) * t / steps, style)

    def row(self, y: float) -> int:
        """Row of cells of a height, held inside."""
        at = round((self.y[1] - y) / (self.y[1] - self.y[0]) * (4 * self.height - 1)) // 4
        return min(max(at, 0), self.height - 1)

    def cell(self, x: float, y: float) -> tuple[int, int]:
        """Column and row of cells of a point, held inside."""
        cx = round((x - self.x[0]) / (self.x[1] - self.x[0]) * (2 * self.width - 1)) // 2
        return min(max(cx, 0), self.width - 1), self.row(y)

    def mark(self, x: float, y: float, glyph: str, style: str = "") -> None:
        """Put one character at a point; later marks lie on earlier ones."""
        if not (math.isfinite(x) and math.isfinite(y)):
            return
        self._marks[self.cell(x, y)] = (glyph, style)

    def words(self, column: int, row: int, words: str, style: str = "dim") -> None:
        """Write words at a cell, cut at the edge."""
        for k, c in enumerate(words):
            if 0 <= column + k < self.width and 0 <= row < self.height:
                self._marks[column + k, row] = (c, style)

    def lines(self) -> list[Line]:
        """Rows from the top."""
        out = []
        for row in range(self.height):
            spans: list[tuple[str, str]] = []
            for column in range(self.width):
                cell = (column, row)
                glyph, style = self._marks.get(cell) or (
                    (chr(0x2800 + self._bits[cell]), self._style[cell]) if cell in self._bits else (" ", "")
                )
                if spans and spans[-1][1] == style:
                    spans[-1] = (spans[-1][0] + glyph, style)
                else:
                    spans.append((glyph, style))
            out.append(Line(tuple(spans)))
        return out


def equal(
    width: int, height: int, x: tuple[float, float], y: tuple[float, float]
) -> tuple[tuple[float, float], tuple[float, float]]:
    """Widen limits so that one unit is as long across as up: a cell is half as wide as high.

    Examples
    --------
    >>> equal(20, 10, (0.0, 10.0), (0.0, 5.0))
    ((0.0, 10.0), (-2.5, 7.5))
    """
    scale = max((x[1] - x[0]) / (2 * width), (y[1] - y[0]) / (4 * height))
    wide, high = scale * 2 * width / 2, scale * 4 * height / 2
    cx, cy = (x[0] + x[1]) / 2, (y[0] + y[1]) / 2
    return (cx - wide, cx + wide), (cy - high, cy + high)
