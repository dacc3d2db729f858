"""The Equipment Rules as far as a driver's figures can break them: each breach by name and section."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from fitter.base.errors import InputError, Problem
from fitter.base.units import INCH
from fitter.kit.figures import Reading
from fitter.kit.parts import Head

State = Literal["conforms", "breach", "not measured"]


@dataclass(frozen=True)
class Limit:
    """One limit of the Equipment Rules (R&A and USGA), with the tolerance of its test.

    Parameters
    ----------
    name, section : str
        What is limited, and where it stands.
    unit : str
        Unit of the limits.
    high, low : float
        Limits with the tolerance of the test.
    """

    name: str
    section: str
    unit: str
    high: float
    low: float = 0.0


LENGTH = Limit("length", "Equipment Rules Part 2, 1c", "in", 48.0, 18.0)
LENGTH_LOCAL = Limit("length", "Model Local Rule G-10", "in", 46.0, 18.0)
WIDTH = Limit("head size heel to toe", "Equipment Rules Part 2, 4b(i)", "mm", 127.0)
HEIGHT = Limit("head size sole to crown", "Equipment Rules Part 2, 4b(i)", "mm", 71.12)
VOLUME = Limit("head volume", "Equipment Rules Part 2, 4b(i)", "cm3", 470.0)
MOI = Limit("moment of inertia about the vertical", "Equipment Rules Part 2, 4b(i)", "g cm2", 6000.0)
CT = Limit("spring effect (characteristic time)", "Equipment Rules Part 2, 4c", "us", 257.0)


@dataclass(frozen=True)
class Finding:
    """One limit held against one club.

    Parameters
    ----------
    name, section : str
        As in `Limit`.
    state : {'conforms', 'breach', 'not measured'}
        A figure that nobody measured conforms to nothing.
    value : float or None
        What was measured.
    limit : float
        The limit that counts, with its tolerance.
    unit : str
        Of both.
    """

    name: str
    section: str
    state: State
    value: float | None
    limit: float
    unit: str


def check(
    head: Head | None, length_m: float | None, *, local_length_rule: bool = False
) -> tuple[Finding, ...]:
    """Hold a head and a club length against every limit.

    Parameters
    ----------
    head : Head or None
        None leaves every figure of the head 'not measured'.
    length_m : float or None
        Club length by the 60 degree method, m.
    local_length_rule : bool
        Whether Model Local Rule G-10 (46 in) is in force.

    Returns
    -------
    tuple of Finding
        One for each limit.

    Raises
    ------
    InputError
        If the length is no positive number.
    """
    if length_m is not None and not length_m > 0.0:
        do = "Give the length of the whole club."
        raise InputError(
            "A club length must be positive.", [Problem("length", f"{length_m!r} m", "above 0", do)]
        )
    inches = None if length_m is None else length_m / INCH
    found = [_hold(LENGTH, inches)]
    if local_length_rule:
        found.append(_hold(LENGTH_LOCAL, inches))
    figures: list[tuple[Limit, Reading | None]] = [
        (WIDTH, None if head is None else head.width_mm),
        (HEIGHT, None if head is None else head.height_mm),
        (VOLUME, None if head is None else head.volume_cm3),
        (MOI, None if head is None else head.moi_vertical_gcm2),
        (CT, None if head is None else head.ct_us),
    ]
    return tuple(found + [_hold(limit, reading.value if reading else None) for limit, reading in figures])


def breaches(
    head: Head | None, length_m: float | None, *, local_length_rule: bool = False
) -> tuple[Finding, ...]:
    """Limits that are broken; see `check`."""
    found = check(head, length_m, local_length_rule=local_length_rule)
    return tuple(f for f in found if f.state == "breach")


def _hold(limit: Limit, value: float | None) -> Finding:
    if value is None:
        return Finding(limit.name, limit.section, "not measured", None, limit.high, limit.unit)
    # A ruler cannot tell the last micrometre: a length that was 48 in before conversion stays 48 in.
    slack = 1e-9 * limit.high
    inside = limit.low - slack <= value <= limit.high + slack
    bound = limit.low if value < limit.low - slack else limit.high
    return Finding(limit.name, limit.section, "conforms" if inside else "breach", value, bound, limit.unit)
