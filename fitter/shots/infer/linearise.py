"""The strike as a straight function near a delivery: tangents, and secants over its posterior spread."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from fitter.physics import vectors
from fitter.shots.infer.measurement import (
    AXIS,
    CALIBRATIONS,
    FACE,
    LAUNCH,
    MEASURED,
    OPEN,
    PATH,
    RESTITUTION,
    SPEED,
    SPIN,
    START,
    START_LINE,
    TURN,
    aligned,
    predict,
)

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]

_STEP = np.array([1e-5, 1e-5, 1e-5, 1e-5, 1e-5, 1e-6, 1e-6])
_STEP_RESTITUTION = 1e-5
_START = CALIBRATIONS.index("driver_rise_from")
"""Secants by what is open about the strike span one SD. Where the rise of tangential restitution starts is
looked at to both sides: beyond a shot's spin loft it has no tangent."""
_PLACE = [MEASURED.index(n) for n in ("strike_toe_mm", "strike_high_mm")]
OF_PLACE = slice(CALIBRATIONS.index("gear"), CALIBRATIONS.index("fall_up") + 1)
_TURN, _TILT = (MEASURED.index(n) for n in ("spin_rpm", "spin_axis_deg"))


@dataclass(frozen=True)
class Line:
    """Channels as a straight function of delivery and calibrations.

    Parameters
    ----------
    here : ndarray, shape (..., n, 12)
        At the delivery itself.
    by_x, by_c : ndarray, shapes (..., n, 12, 7) and (..., n, 12, C)
        Slopes.
    bend : ndarray, shape (..., n, 12)
        Variance of what the straight line misses.
    untold : ndarray, shape (..., n, 12, 3)
        Slopes by what hangs on the strike place, of shots whose place was not measured; zero for others.
    """

    here: Floats
    by_x: Floats
    by_c: Floats
    bend: Floats
    untold: Floats


def tangent(
    x: Floats, c: Floats, head: Floats, model: Floats, struck: Ints, usual: Floats, y: Floats
) -> Line:
    """Line at a delivery by one-sided differences, arguments as `measurement.predict` and `aligned`."""
    raw = predict(x, c, head, model, struck, usual)
    here = aligned(raw, y)
    by_x = np.empty((*here.shape, vectors.DELIVERY))
    for k, step in enumerate(_STEP):
        moved = np.array(x)
        moved[..., k] += step
        by_x[..., k] = (aligned(predict(moved, c, head, model, struck, usual), y) - here) / step
    by_c = _by_calibration(raw, here, x, c, head, model, struck, usual, y)
    return _placed(here, by_x, by_c, np.zeros_like(here), y)


def secant(
    x: Floats, cov: Floats, c: Floats, head: Floats, model: Floats, struck: Ints, usual: Floats, y: Floats
) -> Line:
    """Line through the spread of a delivery: statistical linear regression over its cubature points.

    Iterated posterior linearisation (Garcia-Fernandez, Svensson, Morelande & Sarkka 2015, IEEE Trans. Signal
    Process. 63(20)) with third-degree points (Arasaratnam & Haykin 2009, IEEE Trans. Autom. Control 54(6)).
    Ball speed falls to all sides of the face's middle, where a tangent would be flat.
    """
    n = vectors.DELIVERY
    root = np.linalg.cholesky(cov)
    raw = predict(x, c, head, model, struck, usual)
    here = aligned(raw, y)
    mean, square = np.zeros_like(here), np.zeros_like(here)
    lean = np.empty((*here.shape, n))
    for k in range(n):
        arm = np.sqrt(n) * root[..., k]
        up = aligned(predict(x + arm, c, head, model, struck, usual), y) - here
        down = aligned(predict(x - arm, c, head, model, struck, usual), y) - here
        mean += (up + down) / (2 * n)
        square += (up * up + down * down) / (2 * n)
        lean[..., k] = (up - down) / (2.0 * np.sqrt(n))
    bend = np.maximum(square - mean * mean - (lean * lean).sum(-1), 0.0)
    by_x = np.linalg.solve(root.swapaxes(-1, -2), lean.swapaxes(-1, -2)).swapaxes(-1, -2)
    by_c = _by_calibration(raw, here, x, c, head, model, struck, usual, y)
    return _placed(here + mean, by_x, by_c, bend, y)


def _placed(here: Floats, by_x: Floats, by_c: Floats, bend: Floats, y: Floats) -> Line:
    """What hangs on the strike place is told by shots whose place was measured; for others it is noise.

    A gear effect and inferred strike heights are told together by their product alone, and the most probable
    pair of such a product has the gear effect too large. What it leaves open of all shots alike is put into
    their posterior at the end, see `eliminate.considered`.
    """
    unseen: Floats = np.asarray(np.isnan(y[:, _PLACE]).any(axis=1), dtype=np.float64)
    apart = by_c[..., OF_PLACE] * unseen[:, None, None]
    by_c[..., OF_PLACE] -= apart
    return Line(here, by_x, by_c, bend + (apart * apart).sum(axis=-1), apart)


def _by_calibration(
    raw: Floats,
    here: Floats,
    x: Floats,
    c: Floats,
    head: Floats,
    model: Floats,
    struck: Ints,
    usual: Floats,
    y: Floats,
) -> Floats:
    out = np.zeros((*here.shape, len(CALIBRATIONS)))
    out[..., 0, SPEED] = here[..., 0]
    out[..., 2, PATH] = 1.0
    out[..., FACE, TURN] = 1.0
    out[..., START + 1, LAUNCH] = 1.0
    out[..., START + 2, START_LINE] = 1.0
    both = np.isfinite(y[:, _TURN]) & np.isfinite(y[:, _TILT])
    off = np.where(both, raw[..., _TILT] - y[:, _TILT], 0.0)
    scale = np.where(both, raw[..., _TURN] / np.where(both, y[:, _TURN], 1.0), 1.0)
    out[..., _TURN, SPIN] = usual
    out[..., _TILT, SPIN] = np.where(both, usual / np.where(both, y[:, _TURN], 1.0) * np.sin(off), 0.0)
    out[..., _TURN, AXIS] = -raw[..., _TURN] * np.sin(off)
    out[..., _TILT, AXIS] = scale * np.cos(off)
    moved = np.array(c)
    moved[..., RESTITUTION] += _STEP_RESTITUTION
    out[..., RESTITUTION] = (
        aligned(predict(x, moved, head, model, struck, usual), y) - here
    ) / _STEP_RESTITUTION
    one = np.eye(len(CALIBRATIONS))
    steps = np.vstack([one[OPEN:], -one[_START]]).reshape(-1, *[1] * (c.ndim - 1), len(CALIBRATIONS))
    ends = aligned(
        predict(np.broadcast_to(x, (len(steps), *x.shape)), c + steps, head, model, struck, usual), y
    )
    out[..., OPEN:] = np.moveaxis(ends[:-1] - here, 0, -1)
    out[..., _START] = 0.5 * (ends[_START - OPEN] - ends[-1])
    return out
