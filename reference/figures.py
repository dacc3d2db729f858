"""Published figures: one CSV row each, with inputs, room, citation and standing, fixed before the model runs.

Columns: id, section, quantity, inputs, value, unit, room, letter, citation, counts, remark. `value` is a
number or a published range `low..high` (an end may be empty). `room` is what the model may depart from it: a
number in the unit, or a share such as `5%`. `counts` says whether the row enters the share of agreement: R
and Q rows do unless they are left out by name. `remark` explains a miss, an exclusion or what is left open.
"""

from __future__ import annotations

import csv
import math
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path

TABLES = Path(__file__).parent / "tables"
Variants = dict[str, float]
Model = Callable[..., Variants]
MODELS: dict[str, Model] = {}
"""What computes a quantity: keyword arguments from the row's inputs; variants by name, the judged first."""


def model(function: Model) -> Model:
    """Enter a function under its own name as the model of a quantity."""
    MODELS[function.__name__] = function
    return function


@dataclass(frozen=True)
class Figure:
    """One published figure; see the module."""

    id: str
    section: str
    quantity: str
    inputs: dict[str, float | str]
    low: float
    high: float
    unit: str
    room: float
    letter: str
    citation: str
    counts: bool
    remark: str
    printed: str

    def compute(self) -> Variants:
        """Model's value of each variant, the judged one first."""
        return MODELS[self.quantity](**self.inputs)

    def difference(self, value: float) -> float:
        """Signed distance from the published value or range."""
        if value < self.low:
            return value - self.low
        return value - self.high if value > self.high else 0.0

    def holds(self, value: float) -> bool:
        """Whether a value lies within the room."""
        return abs(self.difference(value)) <= self.room * (1 + 1e-9)


def _ends(text: str) -> tuple[float, float]:
    if ".." not in text:
        return float(text), float(text)
    low, high = text.split("..")
    return float(low) if low else -math.inf, float(high) if high else math.inf


def _room(text: str, low: float, high: float) -> float:
    if not text.endswith("%"):
        return float(text)
    size = max(abs(x) for x in (low, high) if math.isfinite(x))
    return float(text[:-1]) / 100.0 * size


def _inputs(text: str) -> dict[str, float | str]:
    out: dict[str, float | str] = {}
    for pair in text.split():
        key, value = pair.split("=", 1)
        try:
            out[key] = float(value)
        except ValueError:
            out[key] = value
    return out


def load(name: str) -> list[Figure]:
    """Figures of one table, in its order.

    Raises
    ------
    ValueError
        If a row lacks a model, a letter or a citation, or an id stands twice.
    """
    figures: list[Figure] = []
    with (TABLES / f"{name}.csv").open(encoding="utf-8", newline="") as file:
        for row in csv.DictReader(file):
            where = f"{name}.csv, {row['id']}"
            if row["quantity"] not in MODELS:
                raise ValueError(f"{where}: no model of {row['quantity']!r}")
            if row["letter"] not in "RQMCT" or len(row["letter"]) != 1 or len(row["citation"]) < 4:
                raise ValueError(f"{where}: letter {row['letter']!r}, citation {row['citation']!r}")
            if any(f.id == row["id"] for f in figures):
                raise ValueError(f"{where}: stands twice")
            low, high = _ends(row["value"])
            figures.append(
                Figure(
                    id=row["id"],
                    section=row["section"],
                    quantity=row["quantity"],
                    inputs=_inputs(row["inputs"]),
                    low=low,
                    high=high,
                    unit=row["unit"],
                    room=_room(row["room"], low, high),
                    letter=row["letter"],
                    citation=row["citation"],
                    counts=row["counts"] == "yes",
                    remark=row["remark"],
                    printed=row["value"].replace("..", " to "),
                )
            )
    return figures
