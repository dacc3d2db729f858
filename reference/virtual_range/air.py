"""Drag and lift of the virtual range's balls: tables over spin ratio S and Reynolds number / 1e5."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
from scipy.interpolate import PchipInterpolator

from reference.virtual_range.engine import RE_CELLS, RE_TOP, S_CELLS, S_TOP, Floats

S = np.linspace(0.0, S_TOP, S_CELLS + 1)
RE = np.linspace(0.0, RE_TOP, RE_CELLS + 1)
LIFT_LOST = 0.8
"""Lift lost for drag gained below the crisis (J)."""

# Means of launches and grids of US 6,186,002, 6,916,255 and 7,238,121 (Q), Re 0.8e5 to 2e5 and S to 0.22;
# beyond: level between the published modern laws (J).
_S = (0.0, 0.044, 0.090, 0.110, 0.153, 0.188, 0.218, 0.300, 0.450, 0.800)
_DRAG = (0.215, 0.220, 0.229, 0.235, 0.256, 0.279, 0.300, 0.333, 0.385, 0.430)
_LIFT = (0.060, 0.110, 0.149, 0.168, 0.214, 0.242, 0.272, 0.312, 0.350, 0.380)
# The same below S = 0.15 as two of the lower points of the grids say (US 6,916,255 at Re 1.8e5, S 0.110:
# 0.225-0.228 and 0.158-0.179; US 7,238,121 at S 0.093: 0.216-0.221 and 0.163-0.173; Q).
_DRAG_LOW = (0.205, 0.210, 0.219, 0.227, 0.250, 0.274, 0.295, 0.328, 0.380, 0.425)
_LIFT_LOW = (0.060, 0.115, 0.166, 0.172, 0.212, 0.238, 0.262, 0.300, 0.345, 0.380)


def _grid(drag: tuple[float, ...], lift: tuple[float, ...]) -> tuple[Floats, Floats]:
    return PchipInterpolator(_S, drag)(S), PchipInterpolator(_S, lift)(S)


def _polar() -> tuple[Floats, Floats]:
    """Lift in the form of Smits & Smith 1994 (Q), a wing's polar; figures J, in the band to S = 0.25."""
    lift = 0.60 * S**0.57
    return 0.196 + 1.42 * lift**2, lift


def _slender() -> tuple[Floats, Floats]:
    """Straight lift that levels, drag of an even quadratic: J, at the far edge of the published band."""
    return 0.208 + 0.12 * S + 1.25 * S**2 / (1.0 + 2.0 * S), 0.36 * (1.0 - np.exp(-5.2 * (S + 0.012)))


LAWS: dict[str, Callable[[], tuple[Floats, Floats]]] = {
    "grid": lambda: _grid(_DRAG, _LIFT),
    "grid low": lambda: _grid(_DRAG_LOW, _LIFT_LOW),
    "polar": _polar,
    "slender": _slender,
}
"""Drag and lift over S, without a crisis."""


def table(law: str, crisis: float, width: float) -> Floats:
    """Table of a ball, shape (2, 81, 61).

    Parameters
    ----------
    law : str
        Key of `LAWS`.
    crisis : float
        What the drag gains well below Re 75,000; balls differ strongly there (Q, two patents).
    width : float
        Over which it gains it, in Re / 1e5.
    """
    drag, lift = LAWS[law]()
    more = crisis / (1.0 + np.exp(np.clip((RE - 0.62) / (0.35 * width), -60.0, 60.0)))
    low = np.maximum(lift[:, None] - LIFT_LOST * more, 0.0)
    return np.stack([drag[:, None] + more + 0.004 * np.maximum(RE - 1.5, 0.0), low])
