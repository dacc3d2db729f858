"""What a drive is worth: strokes over a set of holes, fairways, spread; at an aim known after twenty balls.

Broadie 2012, Interfaces 42(2), 146-165, appendix table (Q), read from `reference/tables/strokes.csv`.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache
from pathlib import Path

import numpy as np
from scipy.ndimage import map_coordinates

from reference.virtual_range import engine
from reference.virtual_range.engine import Floats
from reference.virtual_range.players import YARD

HOLES = (340.0, 360.0, 380.0, 400.0, 420.0, 440.0, 460.0, 480.0)
"""yd."""
FAIRWAY, ROUGH = 35.0, 35.0
"""yd: width of the fairway, of the rough beyond it on each side; then recovery."""
AIMED_BY = 20
"""Balls by which a player knows where a club sends them."""
AIMS = ((0.0, 2.0 / 3.0), (np.sqrt(3.0), 1.0 / 6.0), (-np.sqrt(3.0), 1.0 / 6.0))
"""Nodes and weights of a normal error of the aim (Gauss-Hermite, three nodes)."""
DEEP, WIDE = 420, 160
"""yd: reach of the table, forward and to each side."""
COST = {"-": 0.0, "A": 2.0, "B": 3.0, "C": 5.0, "D": 6.0, "E": 8.0}
"""yd at a carry of 240: what a change of a tier has to bring (J: what the advisor asks for too)."""


@cache
def _table() -> Floats:
    """Strokes after a drive to (forward, side), yd, mean over the holes, (421, 161): sides are alike."""
    path = Path(__file__).parents[1] / "tables" / "strokes.csv"
    rows = [r.split(",") for r in path.read_text(encoding="utf-8").splitlines() if r[:1].isdigit()]
    yards = np.array([float(r[0]) for r in rows])
    lies = {
        name: np.array([float(r[k]) for r in rows])
        for name, k in (("fairway", 2), ("rough", 3), ("recovery", 5))
    }
    forward, side = np.meshgrid(np.arange(DEEP + 1.0), np.arange(WIDE + 1.0), indexing="ij")
    out = np.zeros_like(forward)
    for hole in HOLES:
        left = np.hypot(hole - forward, side)
        strokes = {name: np.interp(left, yards, v) for name, v in lies.items()}
        out += 1.0 + np.where(
            side <= FAIRWAY / 2, strokes["fairway"],
            np.where(side <= FAIRWAY / 2 + ROUGH, strokes["rough"], strokes["recovery"]),
        )  # fmt: skip
    return out / len(HOLES)


def strokes(forward: Floats, side: Floats) -> Floats:
    """Strokes of drives, yd, the same shape: read to the nearest yard of side, linear in length."""
    at = np.clip(forward, 0.0, DEEP - 1e-6)
    return np.asarray(map_coordinates(_table(), [at, np.rint(np.clip(np.abs(side), 0, WIDE))], order=1))


@dataclass(frozen=True)
class Pattern:
    """What many drives with one option come to: yd, strokes, share.

    Parameters
    ----------
    carry, total : float
    side, depth : float
        SD across and along, about their own middle.
    strokes, fairway : float
        At an aim known after twenty balls.
    """

    carry: float
    total: float
    side: float
    depth: float
    strokes: float
    fairway: float


def pattern(finishes: Floats, shorter: float = 0.0) -> Pattern:
    """Pattern of finishes, shape (n, 7); ``shorter`` takes so many yards off every total."""
    carry, total, across = (
        finishes[:, engine.X] / YARD,
        finishes[:, engine.TOTAL_X] / YARD,
        finishes[:, engine.TOTAL_Y] / YARD,
    )
    sd = float(across.std())
    played, kept = 0.0, 0.0
    for node, weight in AIMS:
        side = across - across.mean() + node * sd / np.sqrt(AIMED_BY)
        played += weight * float(strokes(total - shorter, side).mean())
        kept += weight * float((np.abs(side) <= FAIRWAY / 2).mean())
    return Pattern(float(carry.mean()), float(total.mean()), sd, float(total.std()), played, kept)


def cost(tier: str, carry: float) -> float:
    """What a change of a tier has to bring, yd."""
    return COST[tier] * carry / 240.0
