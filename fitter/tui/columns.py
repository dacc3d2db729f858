"""Columns of the ladder beside gain and probability: what a change costs, and orders by any of them."""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass, field

from fitter.advice.options import Option
from fitter.advice.scored import Scored
from fitter.base.units import Units
from fitter.display import words
from fitter.display.text import fit
from fitter.kit.club import Club

STOCKS = {"in the rack": "rack", "buildable today": "today", "to order": "order", "in hand": "here"}
"""Where the parts of an option are, in one short word."""
LEAST_BAR = 14
"""Columns that the picture of the interval keeps, however much stands beside it."""


@dataclass(frozen=True)
class Column:
    """A figure of an option against the present club.

    Parameters
    ----------
    key, unit : str
        Head of the column, in two lines.
    width : int
    cell : callable
        Option and units to a text.
    order : callable
        Option to a number: the larger, the higher it stands when the ladder is sorted by it.
    about : str
        What it is called in the list of orders.
    """

    key: str
    unit: str
    width: int
    cell: Callable[[Scored, Units], str]
    order: Callable[[Scored], float]
    about: str


def _spread(s: Scored, units: Units) -> str:
    found = s.balance.spread_m
    return "-" if found is None else units.quantity(found.mid, "m", unit=False, sign=True)


def _length(name: str) -> Callable[[Scored, Units], str]:
    def cell(s: Scored, units: Units) -> str:
        return units.quantity(getattr(s.balance, name).mid, "m", unit=False, sign=True)

    return cell


def _fairway(s: Scored, units: Units) -> str:
    found = s.balance.fairway
    return "-" if found is None else f"{100 * found.mid:+.0f}"


def _strokes(s: Scored, units: Units) -> str:
    found = s.balance.strokes
    return "-" if found is None else f"{round(found.mid, 3) + 0.0:+.3f}"


def _price(s: Scored, units: Units) -> str:
    return "-" if s.option.price is None else f"{s.option.price:g}"


def _less(name: str) -> Callable[[Scored], float]:
    def order(s: Scored) -> float:
        found = getattr(s.balance, name)
        return -math.inf if found is None else -found.mid

    return order


COLUMNS = (
    Column("spread", "yd", 6, _spread, _less("spread_m"), "spread across, narrowest first"),
    Column("fairway", "in 100", 7, _fairway,
           lambda s: -math.inf if s.balance.fairway is None else s.balance.fairway.mid,
           "balls in the fairway, most first"),
    Column("strokes", "a hole", 7, _strokes, _less("strokes"), "strokes a hole, fewest first"),
    Column("price", "", 5, _price, lambda s: -math.inf if s.option.price is None else -s.option.price,
           "price, lowest first"),
    Column("stock", "", 5, lambda s, u: STOCKS.get(s.option.availability, s.option.availability),
           lambda s: -float(list(STOCKS).index(s.option.availability)
                            if s.option.availability in STOCKS else 9), "stock, nearest first"),
    Column("carry", "yd", 6, _length("carry_m"), lambda s: s.balance.carry_m.mid, "carry, longest first"),
    Column("total", "yd", 6, _length("total_m"), lambda s: s.balance.total_m.mid, "total, longest first"),
)  # fmt: skip
"""In the order in which room is given to them."""
ORDERS: dict[str, tuple[str, Callable[[Scored], float]]] = {
    "": ("the best of each tier on top, then by gain", lambda s: s.value_gain.mean),
    "gain": ("gain, largest first", lambda s: s.value_gain.mean),
    "P>0": ("probability of any gain", lambda s: s.p_better),
    **{c.key: (c.about, c.order) for c in COLUMNS},
}
"""Orders of the ladder: name, words, and what counts."""


def columns_in(room: int) -> list[Column]:
    """Columns that find room beside a bar of at least `LEAST_BAR`."""
    left, found = room - LEAST_BAR, []
    for c in COLUMNS:
        if c.width + 1 <= left:
            found.append(c)
            left -= c.width + 1
    return [c for c in COLUMNS if c in found]


def heads(shown: Sequence[Column], units: Units) -> tuple[str, str]:
    """Two lines of heads: names, and units."""
    far = units.distance_unit
    names = "".join(f" {fit(c.key, c.width, right=True)}" for c in shown)
    return names, "".join(f" {fit(far if c.unit == 'yd' else c.unit, c.width, right=True)}" for c in shown)


@dataclass(frozen=True)
class How:
    """How a person looks at the ladder just now; nothing of it changes the answer.

    Parameters
    ----------
    order : str
        Key of `ORDERS`.
    search : str
        Words that an option has to hold.
    opened : frozenset
        Clubs whose every set-up is shown (`Option.built`).
    """

    order: str = ""
    search: str = ""
    opened: frozenset[tuple[object, ...]] = field(default_factory=frozenset)

    def finds(self, o: Option, present: Club) -> bool:
        """Whether an option holds every word that is searched for."""
        said = f"{words.changed(o, present)} {o.id} {o.availability} tier {o.tier}".casefold()
        return all(word in said for word in self.search.casefold().split())

    @property
    def told(self) -> str:
        """What is not as usual, '' when all is."""
        parts = [f"holding '{self.search}'"] if self.search else []
        parts += [f"by {ORDERS[self.order][0]}"] if self.order else []
        return ", ".join(parts)
