"""Gains as a ladder of intervals: one scale, axis, bar and bracket for every face that draws them."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from fitter.advice.scored import Scored
from fitter.display.points import ticks
from fitter.display.values import Values

Cell = tuple[str, str]
"""A piece of a bar and its part: 'zero', 'worth', 'interval', 'measured' or ''."""


@dataclass(frozen=True)
class Glyphs:
    """Characters of a bar."""

    zero: str
    line: str
    crossing: str
    low: str
    high: str
    cut_low: str
    cut_high: str
    mean: str
    measured: str
    worth: str


PLAIN = Glyphs("|", "-", "-", "-", "-", "<", ">", "o", "*", ":")
"""For a file or a plain terminal."""
BOX = Glyphs("│", "─", "┼", "├", "┤", "‹", "›", "●", "◆", "╎")


@dataclass(frozen=True)
class Scale:
    """Gains between two limits, in the unit that people read, on a row of so many characters."""

    values: Values
    low: float
    high: float
    width: int = 2

    def share(self, value: float) -> float:
        """Place of a gain (in the objective's own unit) from 0 at the lower to 1 at the upper limit."""
        return (self.values.shown(value) - self.low) / (self.high - self.low)

    def place(self, value: float) -> int:
        """Character of a gain, held inside."""
        return min(max(round(self.share(value) * (self.width - 1)), 0), self.width - 1)

    def holds(self, value: float) -> bool:
        """Whether a gain lies inside the limits."""
        return 0.0 <= self.share(value) <= 1.0


def scale_of(
    rows: Iterable[Scored], values: Values, width: int = 2, room: float = 0.0, least: float = 0.0
) -> Scale:
    """Limits that hold nought and the intervals of some options.

    Parameters
    ----------
    rows : iterable of Scored
    values : Values
    width : int
        Characters.
    room : float
        Share of the span that is left free at either end.
    least : float
        Smallest upper limit, in the unit that people read.
    """
    gains = [s.value_gain for s in rows]
    low = min([0.0, *(values.shown(g.low) for g in gains)])
    high = max([least, *(values.shown(g.high) for g in gains)])
    free = room * ((high - low) or 1.0)
    return Scale(values, low - free, (high if high > low else low + 1.0) + free, width)


def axis_of_ends(scale: Scale, glyphs: Glyphs = PLAIN) -> str:
    """Axis with its limits at the ends and a mark at the present club."""
    zero, digits = scale.place(0.0), 0 if scale.values.in_distance else scale.values.digits
    left, right = (scale.values.units.number(v, digits, sign=True) for v in (scale.low, scale.high))
    row = [" "] * scale.width
    row[: len(left[:zero])] = left[:zero]
    row[scale.width - len(right) :] = right
    row[zero] = glyphs.zero
    return "".join(row)


def axis_of_ticks(scale: Scale, zero: str = "present") -> str:
    """Axis with round gains and a word at the present club."""
    row = [" "] * scale.width
    for tick in ticks(scale.low, scale.high, max(2, scale.width // 9)):
        text = f"{tick:+.3g}" if tick else ""
        at = round((tick - scale.low) / (scale.high - scale.low) * (scale.width - 1)) - len(text) // 2
        # One column stays free before what stands to the right.
        if text and 0 <= at < scale.width - len(text) and not "".join(row[at : at + len(text)]).strip():
            row[at : at + len(text)] = text
    at = min(max(scale.place(0.0) - len(zero) // 2, 0), scale.width - len(zero))
    row[at : at + len(zero)] = zero
    return "".join(row)


def bar(
    s: Scored, scale: Scale, glyphs: Glyphs = BOX, measured: float | None = None, worth: bool = False
) -> list[Cell]:
    """Interval of one option: ends, mean, the present club, what was measured, the threshold of its tier.

    Parameters
    ----------
    s : Scored
    scale : Scale
    glyphs : Glyphs
    measured : float, optional
        Measured gain, in the objective's own unit.
    worth : bool
        Mark the smallest worthwhile gain.
    """
    g, zero = s.value_gain, scale.place(0.0)
    cells: list[Cell] = [(" ", "")] * scale.width
    cells[zero] = (glyphs.zero, "zero")
    if worth and s.threshold and scale.holds(s.threshold):
        cells[scale.place(s.threshold)] = (glyphs.worth, "worth")
    a, b = scale.place(g.low), scale.place(g.high)
    for k in range(a, b + 1):
        cells[k] = (glyphs.crossing if k == zero else glyphs.line, "interval")
    if b > a:
        cells[a] = (glyphs.low if scale.holds(g.low) else glyphs.cut_low, "interval")
        cells[b] = (glyphs.high if scale.holds(g.high) else glyphs.cut_high, "interval")
    cells[scale.place(g.mean)] = (glyphs.mean, "interval")
    if measured is not None:
        cells[scale.place(measured)] = (glyphs.measured, "measured")
    return cells


def brackets(rows: Sequence[Scored]) -> list[str]:
    """Bracket beside rows that cannot be told apart from the best.

    Examples
    --------
    >>> brackets([])
    []
    """
    tied = [k for k, s in enumerate(rows) if s.tied]
    out = [" "] * len(rows)
    if len(tied) > 1:
        for k in range(tied[0], tied[-1] + 1):
            out[k] = "│" if k in tied else "┆"
        out[tied[0]], out[tied[-1]] = "┐", "┘"
    return out
