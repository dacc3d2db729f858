"""Strokes that a drive leaves: the published benchmark of tour players, and what a drive is worth by it.

Broadie 2012, Interfaces 42(2), 146-165, doi 10.1287/inte.1120.0626, appendix table: average strokes to hole
out by distance left and lie. Quoted, see reference/tables/strokes.csv.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache

import numpy as np
from numpy.typing import ArrayLike, NDArray

from fitter.advice.pattern import Band
from fitter.base.assumptions import current
from fitter.base.units import DEG, YARD

Floats = NDArray[np.float64]

LIES = ("fairway", "rough", "recovery")
"""Lies that a drive can find, from the middle outwards."""

# Distance left (yd), then strokes to hole out from fairway, rough and recovery.
TABLE = np.array([
    (10, 2.18, 2.34, 3.45), (20, 2.40, 2.59, 3.51), (30, 2.52, 2.70, 3.57), (40, 2.60, 2.78, 3.71),
    (50, 2.66, 2.87, 3.79), (60, 2.70, 2.91, 3.83), (70, 2.72, 2.93, 3.84), (80, 2.75, 2.96, 3.84),
    (90, 2.77, 2.99, 3.82), (100, 2.80, 3.02, 3.80), (120, 2.85, 3.08, 3.78), (140, 2.91, 3.15, 3.80),
    (160, 2.98, 3.23, 3.81), (180, 3.08, 3.31, 3.82), (200, 3.19, 3.42, 3.87), (220, 3.32, 3.53, 3.92),
    (240, 3.45, 3.64, 3.97), (260, 3.58, 3.74, 4.03), (280, 3.69, 3.83, 4.10), (300, 3.78, 3.90, 4.20),
    (320, 3.84, 3.95, 4.31), (340, 3.88, 4.02, 4.44), (360, 3.95, 4.11, 4.56), (380, 4.03, 4.21, 4.66),
    (400, 4.11, 4.30, 4.75), (420, 4.19, 4.40, 4.84), (440, 4.27, 4.49, 4.94), (460, 4.34, 4.58, 5.03),
    (480, 4.42, 4.68, 5.13), (500, 4.50, 4.77, 5.22), (520, 4.58, 4.87, 5.32), (540, 4.66, 4.96, 5.41),
    (560, 4.74, 5.06, 5.51), (580, 4.82, 5.15, 5.60), (600, 4.89, 5.25, 5.70),
])  # fmt: skip


def strokes_left(left_m: ArrayLike, lie: str) -> Floats:
    """Average strokes to hole out on tour from a distance left, m; linear between rows, held at the ends."""
    yards = np.asarray(left_m, dtype=np.float64) / YARD
    return np.asarray(np.interp(yards, TABLE[:, 0], TABLE[:, 1 + LIES.index(lie)]))


@dataclass(frozen=True)
class Hole:
    """A hole as a drive sees it.

    Parameters
    ----------
    length_m, width_m : float
        From tee to hole; of the fairway.
    skill : float
        How many times a yard is worth what it is on tour, 1 to 3.
    left_penalty, right_penalty : float
        Strokes that a ball beyond the rough costs on each side besides its lie.
    """

    length_m: float
    width_m: float
    skill: float = 1.0
    left_penalty: float = 0.0
    right_penalty: float = 0.0

    def strokes(self, forward_m: ArrayLike, side_m: ArrayLike) -> Floats:
        """Strokes of the hole after a drive to (forward, side right +), m, the drive counted.

        Three zones: fairway, the next 35 yd rough, beyond that recovery (Broadie 2012's lies). With skill
        above 1 a yard counts so many times the tour's, about the hole's own middle, and the rough costs so
        many times less: +20 yd are worth a little under one stroke a round on tour and almost three for a
        high handicap (Ko 2012), for whom rough is nearly free (quoted with it).
        """
        side = np.asarray(side_m, dtype=np.float64)
        left = np.hypot(self.length_m - np.asarray(forward_m, dtype=np.float64), side)
        edge, rough = 0.5 * self.width_m, current().value("score.rough_yd") * YARD
        off = np.abs(side)
        fair = strokes_left(left, "fairway")
        middle = float(strokes_left(0.5 * self.length_m, "fairway"))
        lie = np.where(off <= edge, 0.0, (strokes_left(left, "rough") - fair) / self.skill)
        lost = strokes_left(left, "recovery") - fair
        lost = lost + np.where(side < 0.0, self.left_penalty, self.right_penalty)
        lie = np.where(off > edge + rough, lost, lie)
        return np.asarray(1.0 + middle + self.skill * (fair - middle) + lie)


STEP = YARD
"""Between nodes of the table of a drive's strokes, m."""
FARTHEST, WIDEST = 460, 160
"""Nodes of the table: ahead of the tee, and to either side. A drive beyond is held at the edge."""


def usual_holes() -> tuple[float, ...]:
    """Lengths of the holes over which strokes are averaged, m, where nobody names others."""
    a = current()
    first, last = (round(a.value(f"score.{end}_hole_yd")) for end in ("first", "last"))
    return tuple(yards * YARD for yards in range(first, last + 1, round(a.value("score.hole_step_yd"))))


def expected_strokes(holes: tuple[Hole, ...], kernel: Band, forward_m: Floats, side_m: Floats) -> Floats:
    """Expected strokes of drives, mean over the holes, of a normal kernel about each finish.

    A table on whole yards of the mean over the holes, blurred with the kernel, is made once for a question
    and read between its nodes at each drive, so that the cost does not grow with the holes.

    Parameters
    ----------
    holes : tuple of Hole
    kernel : Band
        SDs of the kernel, m.
    forward_m, side_m : ndarray, any shape
        Finishes, side right +, m.
    """
    table = _blurred(holes, current().value("score.rough_yd") * YARD, kernel)
    i, u = _between(forward_m / STEP, FARTHEST)
    j, v = _between(side_m / STEP + WIDEST, 2 * WIDEST)
    across = table.shape[1]
    low = i * across + j
    flat = table.ravel()
    near = (1.0 - v) * flat[low] + v * flat[low + 1]
    far = (1.0 - v) * flat[low + across] + v * flat[low + across + 1]
    return np.asarray((1.0 - u) * near + u * far)


def _between(places: Floats, last: int) -> tuple[NDArray[np.int64], Floats]:
    """Node under each place, and the share of the way to the next."""
    held = np.clip(places, 0.0, last)
    under = np.minimum(held.astype(np.int64), last - 1)
    return under, held - under


@lru_cache(maxsize=16)
def _blurred(holes: tuple[Hole, ...], rough_m: float, kernel: Band) -> Floats:
    from scipy.ndimage import gaussian_filter1d

    table = _sharp(holes, rough_m)
    for axis, sd in enumerate((kernel.far, kernel.side)):
        table = gaussian_filter1d(table, sd / STEP, axis=axis, mode="nearest")
    return np.asarray(table)


@lru_cache(maxsize=16)
def _sharp(holes: tuple[Hole, ...], rough_m: float) -> Floats:
    """Mean strokes over the holes at every node, (forward, side); the width of the rough keys the cache."""
    forward = (np.arange(FARTHEST + 1) * STEP)[:, None]
    side = (np.arange(-WIDEST, WIDEST + 1) * STEP)[None, :]
    total = np.zeros((FARTHEST + 1, 2 * WIDEST + 1))
    for hole in holes:
        total += hole.strokes(forward, side)
    return total / len(holes)


@dataclass(frozen=True)
class Drive:
    """Expected strokes of a hole and the shares of drives in its zones."""

    strokes: float
    fairway: float
    rough: float
    recovery: float


def expected(hole: Hole, mean_m: float, sd_m: float, angle_sd_deg: float, nodes: int = 801) -> Drive:
    """Play a hole with normal drives: total distance N(mean, sd), direction N(0, angle_sd).

    Parameters
    ----------
    hole : Hole
    mean_m, sd_m : float
        Of the total distance, m.
    angle_sd_deg : float
        Of the direction, deg.
    nodes : int
        Midpoints of equal probability in each direction of the quadrature.
    """
    from scipy.special import ndtri

    z = ndtri((np.arange(nodes) + 0.5) / nodes)
    far = mean_m + sd_m * z[:, None]
    angle = angle_sd_deg * DEG * z[None, :]
    side = far * np.sin(angle)
    off = np.abs(side)
    edge = 0.5 * hole.width_m
    beyond = edge + current().value("score.rough_yd") * YARD
    return Drive(
        float(hole.strokes(far * np.cos(angle), side).mean()),
        float((off <= edge).mean()),
        float(((off > edge) & (off <= beyond)).mean()),
        float((off > beyond).mean()),
    )
