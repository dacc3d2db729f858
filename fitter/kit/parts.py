"""A head and a shaft: every figure measured, or filled from the judged numbers with its spread."""

from __future__ import annotations

import math
from dataclasses import dataclass, field, fields
from typing import Any, Literal, NamedTuple

from fitter.kit import stamps
from fitter.kit.figures import Figure, Joint, Reading, fill

STOCK = ("rack", "today", "order")
"""In the rack, buildable today, to order."""
_SHAFT_OF_CLUB = {"mass_g": "shaft_mass_g", "balance_pct": "balance_pct", "grip_mass_g": "grip_mass_g"}
"""Figures of a shaft under the names that they have in the joint estimate of a whole club."""


@dataclass(frozen=True)
class Column:
    """What may stand in one column of a kit file.

    Parameters
    ----------
    name : str
        Header; the unit is its last part.
    kind : {'figure', 'number', 'text', 'numbers', 'words'}
        A figure is a number that may have an SD in a column ``<stem>_sd_<unit>``.
    low, high : float
        Limits of a number; outside them the unit is probably another one.
    choices : tuple of str
        What a text may be; empty for anything.
    """

    name: str
    kind: Literal["figure", "number", "text", "numbers", "words"]
    low: float = -math.inf
    high: float = math.inf
    choices: tuple[str, ...] = ()

    @property
    def sd_name(self) -> str:
        """Header of the SD of a figure: ``loft_sd_deg`` for ``loft_deg``."""
        stem, _, unit = self.name.rpartition("_")
        return f"{stem}_sd_{unit}"

    @property
    def allowed(self) -> str:
        """What may stand there, for messages."""
        if self.choices:
            return ", ".join(self.choices)
        if self.kind in ("text", "words"):
            return "text"
        span = f" from {self.low:g} to {self.high:g}" if math.isfinite(self.high) else ""
        return ("numbers separated by spaces" if self.kind == "numbers" else "a number") + f"{span}, or blank"


def _cell(kind: str, low: float = -math.inf, high: float = math.inf, **more: Any) -> dict[str, Any]:
    """What makes a field of a part a column of its file; limits only catch a slip of unit or column."""
    return {"kind": kind, "low": low, "high": high, **more}


def _figure(low: float, high: float) -> dict[str, Any]:
    return _cell("figure", low, high)


def columns(part: type) -> tuple[Column, ...]:
    """Columns of the file of heads or of shafts: the fields of `Head` or `Shaft` that a file may hold."""
    return tuple(Column(f.name, **f.metadata) for f in fields(part) if f.metadata)


class Place(NamedTuple):
    """Where a movable weight can sit: name, then toeward, upward and backward of the face centre, mm."""

    name: str
    toe_mm: float
    up_mm: float
    back_mm: float


@dataclass(frozen=True)
class Head:
    """A club head; every figure is a Reading or None (not measured).

    Parameters
    ----------
    head : str
        Code.
    stamped_loft_deg, loft_deg : Reading or None
        The stamp; the gauged loft with a square face.
    face_angle_deg : Reading or None
        Soled, open +.
    lie_deg, mass_g : Reading or None
        Lie; mass.
    cg_depth_mm, cg_up_mm, cg_toe_mm : Reading or None
        Mass centre behind, above and to the toe of the face centre.
    moi_vertical_gcm2, moi_heel_toe_gcm2, moi_normal_gcm2 : Reading or None
        Moments of inertia at the mass centre about the vertical, the heel-toe axis and the face normal.
    shaft_axis_mm : Reading or None
        Shaft axis to mass centre, towards the toe.
    bulge_mm, roll_mm : Reading or None
        Radii of the face across and up.
    ct_us : Reading or None
        Characteristic time.
    settings : tuple of float
        Loft changes of the sleeve's positions, deg, always with 0, rising.
    lies : tuple of float
        Lie change of each setting, deg, as many as settings; empty when not known.
    weight_g : Reading or None
        The movable weight, if there is one; it is part of ``mass_g``.
    weights : tuple of Place
        Where the weight can sit; the head was measured with it in the first place.
    swaps_g : tuple of float
        Changes of the head's mass by another weight of the shop.
    volume_cm3, width_mm, height_mm : Reading or None
        Size: volume, heel to toe, sole to crown.
    stock : str
        One of `STOCK`.
    price : float or None
        In the shop's money.
    fits : tuple of str
        Codes or tips of the shafts that fit; empty for all.
    note : str
        Anything.
    masses : Joint or None
        For a head that cannot be taken off its club: the joint estimate that its mass belongs to.
    stamp_errors : tuple of Reading or None
        Gauged less stamped loft of the heads of its kit that have both, deg; None for a head of no kit.
    """

    head: str = field(metadata=_cell("text"))
    stamped_loft_deg: Reading | None = field(default=None, metadata=_figure(0, 25))
    loft_deg: Reading | None = field(default=None, metadata=_figure(0, 25))
    face_angle_deg: Reading | None = field(default=None, metadata=_figure(-10, 10))
    lie_deg: Reading | None = field(default=None, metadata=_figure(40, 75))
    mass_g: Reading | None = field(default=None, metadata=_figure(100, 300))
    cg_depth_mm: Reading | None = field(default=None, metadata=_figure(5, 80))
    cg_up_mm: Reading | None = field(default=None, metadata=_figure(-30, 30))
    cg_toe_mm: Reading | None = field(default=None, metadata=_figure(-30, 30))
    moi_vertical_gcm2: Reading | None = field(default=None, metadata=_figure(1000, 12000))
    moi_heel_toe_gcm2: Reading | None = field(default=None, metadata=_figure(500, 12000))
    moi_normal_gcm2: Reading | None = field(default=None, metadata=_figure(500, 12000))
    shaft_axis_mm: Reading | None = field(default=None, metadata=_figure(5, 80))
    bulge_mm: Reading | None = field(default=None, metadata=_figure(100, 2000))
    roll_mm: Reading | None = field(default=None, metadata=_figure(100, 2000))
    ct_us: Reading | None = field(default=None, metadata=_figure(100, 400))
    settings: tuple[float, ...] = field(default=(0.0,), metadata=_cell("numbers", -6, 6))
    lies: tuple[float, ...] = field(default=(), metadata=_cell("numbers", -6, 6))
    weight_g: Reading | None = field(default=None, metadata=_figure(0.5, 60))
    weights: tuple[Place, ...] = field(default=(), metadata=_cell("words"))
    swaps_g: tuple[float, ...] = field(default=(), metadata=_cell("numbers", -30, 30))
    volume_cm3: Reading | None = field(default=None, metadata=_figure(100, 700))
    width_mm: Reading | None = field(default=None, metadata=_figure(50, 200))
    height_mm: Reading | None = field(default=None, metadata=_figure(20, 120))
    stock: str = field(default="rack", metadata=_cell("text", choices=STOCK))
    price: float | None = field(default=None, metadata=_cell("number", 0, 1e7))
    fits: tuple[str, ...] = field(default=(), metadata=_cell("words"))
    note: str = field(default="", metadata=_cell("text"))
    masses: Joint | None = None
    stamp_errors: tuple[Reading, ...] | None = None

    @property
    def code(self) -> str:
        """Code of the head."""
        return self.head

    @property
    def positions(self) -> tuple[tuple[float, float], ...]:
        """Loft and lie change of each position of the sleeve, deg."""
        return tuple(zip(self.settings, self.lies or (0.0,) * len(self.settings), strict=True))

    def figure(self, name: str) -> Figure:
        """Give value, SD and whether measured of a figure; what is missing comes from the judged numbers.

        'loft_deg' is the gauged loft, else the stamped one plus what stamps of its kit are off. Besides the
        columns: 'product_normal_up_gcm2', 'product_normal_toe_gcm2', 'product_up_toe_gcm2' (off-diagonal
        terms of the tensor), 'axis_depth_mm' and 'lead_offset_mm' (mass centre behind the shaft's axis).
        """
        if name == "mass_g" and self.masses is not None:
            return self.masses.figure("head_mass_g")
        if name == "loft_deg" and self.loft_deg is None and self.stamped_loft_deg is not None:
            error = stamps.worth(self.stamp_errors)
            return Figure(self.stamped_loft_deg.value + error.value, error.sd, False)
        if name == "lead_offset_mm":
            depth, axis = self.figure("cg_depth_mm"), self.figure("axis_depth_mm")
            return Figure(depth.value - axis.value, math.hypot(depth.sd, axis.sd), False)
        return fill("head", name, getattr(self, name, None))

    def takes(self, shaft: Shaft) -> bool:
        """Whether a shaft fits: its code or its tip is named, or nothing is."""
        return not self.fits or shaft.shaft in self.fits or (shaft.tip != "" and shaft.tip in self.fits)


@dataclass(frozen=True)
class Shaft:
    """A shaft; every figure is a Reading or None (not measured).

    Parameters
    ----------
    shaft : str
        Code.
    mass_g : Reading or None
        Mass as bought.
    balance_pct, balance_mm : Reading or None
        Mass centre from the butt, as a share of the length or in mm.
    length_in : Reading or None
        Length of the bare shaft.
    playing_in : tuple of float
        Club lengths that it can be built to; empty for the usual one.
    frequency_cpm, clamp_mm, tip_mass_g, tip_ahead_mm : Reading or None
        Clamped frequency, clamped length of the butt, mass at the tip and how far beyond the tip its centre
        sits (a head that is on the shaft; 0 when blank).
    torque_deg : Reading or None
        Twist under 1 ft lb.
    tip_ei_nm2 : Reading or None
        Bending stiffness near the tip.
    grip_mass_g : Reading or None
        Grip that is built on it.
    tip : str
        Tip size, to match `Head.fits`.
    stock, price, note
        As for `Head`.
    flex : str
        The maker's word; no figure is drawn from it.
    masses : Joint or None
        For a shaft that cannot be taken out of its club: the joint estimate that its mass belongs to.
    """

    shaft: str = field(metadata=_cell("text"))
    mass_g: Reading | None = field(default=None, metadata=_figure(20, 200))
    balance_pct: Reading | None = field(default=None, metadata=_figure(30, 75))
    balance_mm: Reading | None = field(default=None, metadata=_figure(200, 900))
    length_in: Reading | None = field(default=None, metadata=_figure(30, 60))
    playing_in: tuple[float, ...] = field(default=(), metadata=_cell("numbers", 30, 60))
    frequency_cpm: Reading | None = field(default=None, metadata=_figure(100, 500))
    clamp_mm: Reading | None = field(default=None, metadata=_figure(30, 300))
    tip_mass_g: Reading | None = field(default=None, metadata=_figure(0, 400))
    tip_ahead_mm: Reading | None = field(default=None, metadata=_figure(0, 80))
    torque_deg: Reading | None = field(default=None, metadata=_figure(0.5, 15))
    tip_ei_nm2: Reading | None = field(default=None, metadata=_figure(3, 150))
    grip_mass_g: Reading | None = field(default=None, metadata=_figure(10, 150))
    tip: str = field(default="", metadata=_cell("text"))
    stock: str = field(default="rack", metadata=_cell("text", choices=STOCK))
    price: float | None = field(default=None, metadata=_cell("number", 0, 1e7))
    flex: str = field(default="", metadata=_cell("text"))
    note: str = field(default="", metadata=_cell("text"))
    masses: Joint | None = None

    @property
    def code(self) -> str:
        """Code of the shaft."""
        return self.shaft

    def figure(self, name: str) -> Figure:
        """Give value, SD and whether measured of a figure; what is missing comes from the judged numbers.

        'balance_pct' is also found from 'balance_mm' and the length; 'mid_ei_nm2' and 'butt_ei_nm2' are
        known besides the columns.
        """
        if self.masses is not None and name in _SHAFT_OF_CLUB:
            return self.masses.figure(_SHAFT_OF_CLUB[name])
        if name == "balance_pct" and self.balance_pct is None and self.balance_mm is not None:
            length = self.figure("length_in")
            share = 100.0 * self.balance_mm.value / (length.value * 25.4)
            sd = fill("shaft", name, Reading(share)).sd
            return Figure(share, math.hypot(sd, share * length.sd / length.value), True)
        return fill("shaft", name, getattr(self, name, None))
