"""One figure of a club part: what was read, and what stands in for it when nobody measured it."""

from __future__ import annotations

from typing import NamedTuple

from fitter.base.assumptions import Assumptions, current


class Reading(NamedTuple):
    """A measured figure.

    Parameters
    ----------
    value : float
        In the unit that the figure's name ends in.
    sd : float or None
        Standard deviation of the reading; None takes the usual one of the instrument.
    """

    value: float
    sd: float | None = None


class Figure(NamedTuple):
    """A figure ready for use: measured, or filled from the judged numbers with their spread.

    Parameters
    ----------
    value, sd : float
        In the unit that the figure's name ends in.
    measured : bool
        Whether somebody measured it.
    """

    value: float
    sd: float
    measured: bool


def fill(section: str, name: str, reading: Reading | None, assumptions: Assumptions | None = None) -> Figure:
    """Give a figure from its reading, or from ``section.name`` of the judged numbers.

    A reading without an SD takes ``section.gauge_<name>`` if there is one, else the share
    ``head.gauge_share`` of its value.
    """
    known = current() if assumptions is None else assumptions
    if reading is None:
        entry = known[f"{section}.{name}"]
        return Figure(entry.value, entry.sd, False)
    if reading.sd is not None:
        return Figure(reading.value, reading.sd, True)
    gauge = known.get(f"{section}.gauge_{name}")
    sd = gauge.sd if gauge is not None else abs(reading.value) * known.sd("head.gauge_share")
    return Figure(reading.value, sd, True)
