"""What the strike itself leaves in doubt, as a variance of each channel.

How far the face is curved and how much side spin a miss brings are known within
limits only. All of that grows with the miss. And no strike model meets a single start exactly, wherever the
ball was struck.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from fitter.base.assumptions import current
from fitter.base.units import DEG, RPM
from fitter.physics import vectors
from fitter.shots.infer.measurement import COLUMN, START

Floats = NDArray[np.float64]

_CURVED = 0.85
"""Share of the face's angle that the ball starts with: 0.82 planar, 0.86 by the rival repair."""


@dataclass(frozen=True)
class Doubt:
    """SDs of what a miss of the face's middle does.

    Parameters
    ----------
    curve : (float, float)
        Curvature of bulge and roll, 1/m.
    gear : float
        Side spin per m of miss across, rad/s.
    one : ndarray, shape (5,)
        What any strike model misses of a single start: shares of ball speed and spin, launch, direction, axis
        in rad, in the order of a start.
    """

    curve: tuple[float, float]
    gear: float
    one: Floats

    @classmethod
    def judged(cls) -> Doubt:
        """Doubt by the judged numbers in force."""
        a = current()
        bulge, roll = (
            a.sd(f"head.{n}_mm") * 1e-3 / (a.value(f"head.{n}_mm") * 1e-3) ** 2 for n in ("bulge", "roll")
        )
        across = a.sd("measurement.gear_across_rpm_per_mm") * RPM * 1e3
        names = ("ball_speed_pct", "launch_deg", "direction_deg", "spin_pct", "spin_axis_deg")
        one = np.array([a.sd(f"strike_model.{n}") for n in names]) * [0.01, DEG, DEG, 0.01, DEG]
        return cls((bulge, roll), across, one)

    def variance(self, shown: Floats, x: Floats, at_strike: NDArray[np.int64]) -> Floats:
        """Variance of each channel, SI.

        Parameters
        ----------
        shown : ndarray, shape (k, n, 12)
            Channels as predicted.
        x : ndarray, shape (k, n, 7)
        at_strike : ndarray of int, shape (k,)
            1 where face and loft belong to the strike point.
        """
        out = np.zeros_like(shown)
        toe, high = x[..., vectors.TOE] ** 2, x[..., vectors.HIGH] ** 2
        turned, lofted = self.curve[0] ** 2 * toe, self.curve[1] ** 2 * high
        out[..., COLUMN["direction_deg"]] = _CURVED**2 * turned
        out[..., COLUMN["launch_deg"]] = _CURVED**2 * lofted
        there = at_strike[:, None]
        out[..., COLUMN["face_deg"]] = there * turned
        out[..., COLUMN["dynamic_loft_deg"]] = there * lofted
        spin = COLUMN["spin_rpm"]
        # Side spin over back spin is the tangent of the axis; a spin near nothing has no axis.
        least = np.maximum(np.abs(shown[..., spin]), 500.0 * RPM)
        out[..., COLUMN["spin_axis_deg"]] = np.minimum(self.gear**2 * toe / least**2, (45.0 * DEG) ** 2)
        size = np.ones((*shown.shape[:-1], len(self.one)))
        size[..., vectors.SPEED], size[..., vectors.SPIN] = shown[..., START], shown[..., spin]
        out[..., START:] += (self.one * size) ** 2
        return out
