"""What the shop has: heads and shafts as measured, read from heads.csv and shafts.csv."""

from __future__ import annotations

import difflib
import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, fields
from pathlib import Path
from typing import Any, TypeVar

from fitter.assumptions import Assumptions, load
from fitter.errors import InputError, Problem, raise_if
from fitter.kit.figures import Figure, Reading, fill
from fitter.kit.table import Column, Row, parse_rows, read_rows

STOCK = ("rack", "today", "order")
"""In the rack, buildable today, to order."""


def _figure(name: str, low: float, high: float) -> Column:
    return Column(name, "figure", low, high)


# Limits only catch a slip of unit or column: they are far outside of what is made.
HEAD_COLUMNS = (
    Column("head", "text"),
    _figure("stamped_loft_deg", 0, 25),
    _figure("loft_deg", 0, 25),
    _figure("face_angle_deg", -10, 10),
    _figure("lie_deg", 40, 75),
    _figure("mass_g", 100, 300),
    _figure("cg_depth_mm", 5, 80),
    _figure("cg_up_mm", -30, 30),
    _figure("cg_toe_mm", -30, 30),
    _figure("moi_vertical_gcm2", 1000, 12000),
    _figure("moi_heel_toe_gcm2", 500, 12000),
    _figure("moi_normal_gcm2", 500, 12000),
    _figure("shaft_axis_mm", 5, 80),
    _figure("bulge_mm", 100, 2000),
    _figure("roll_mm", 100, 2000),
    _figure("ct_us", 100, 400),
    Column("settings", "numbers", -6, 6),
    Column("lies", "numbers", -6, 6),
    _figure("volume_cm3", 100, 700),
    _figure("width_mm", 50, 200),
    _figure("height_mm", 20, 120),
    Column("stock", "text", choices=STOCK),
    Column("price", "number", 0, 1e7),
    Column("fits", "words"),
    Column("note", "text"),
)
SHAFT_COLUMNS = (
    Column("shaft", "text"),
    _figure("mass_g", 20, 200),
    _figure("balance_pct", 30, 75),
    _figure("balance_mm", 200, 900),
    _figure("length_in", 30, 60),
    Column("playing_in", "numbers", 30, 60),
    _figure("frequency_cpm", 100, 500),
    _figure("clamp_mm", 30, 300),
    _figure("tip_mass_g", 0, 400),
    _figure("torque_deg", 0.5, 15),
    _figure("tip_ei_nm2", 3, 150),
    _figure("grip_mass_g", 10, 150),
    Column("tip", "text"),
    Column("stock", "text", choices=STOCK),
    Column("price", "number", 0, 1e7),
    Column("flex", "text"),
    Column("note", "text"),
)


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
    """

    head: str
    stamped_loft_deg: Reading | None = None
    loft_deg: Reading | None = None
    face_angle_deg: Reading | None = None
    lie_deg: Reading | None = None
    mass_g: Reading | None = None
    cg_depth_mm: Reading | None = None
    cg_up_mm: Reading | None = None
    cg_toe_mm: Reading | None = None
    moi_vertical_gcm2: Reading | None = None
    moi_heel_toe_gcm2: Reading | None = None
    moi_normal_gcm2: Reading | None = None
    shaft_axis_mm: Reading | None = None
    bulge_mm: Reading | None = None
    roll_mm: Reading | None = None
    ct_us: Reading | None = None
    settings: tuple[float, ...] = (0.0,)
    lies: tuple[float, ...] = ()
    volume_cm3: Reading | None = None
    width_mm: Reading | None = None
    height_mm: Reading | None = None
    stock: str = "rack"
    price: float | None = None
    fits: tuple[str, ...] = ()
    note: str = ""

    @property
    def code(self) -> str:
        """Code of the head."""
        return self.head

    def figure(self, name: str, assumptions: Assumptions | None = None) -> Figure:
        """Give value, SD and whether measured of a figure; what is missing comes from the judged numbers.

        'loft_deg' is the gauged loft, else the stamped one plus the usual error of stamps. Besides the
        columns: 'product_normal_up_gcm2', 'product_normal_toe_gcm2', 'product_up_toe_gcm2' (off-diagonal
        terms of the tensor), 'axis_depth_mm' and 'lead_offset_mm' (mass centre behind the shaft's axis).
        """
        known = load() if assumptions is None else assumptions
        if name == "loft_deg" and self.loft_deg is None and self.stamped_loft_deg is not None:
            error = known["head.stamp_error_deg"]
            return Figure(self.stamped_loft_deg.value + error.value, error.sd, False)
        if name == "lead_offset_mm":
            depth, axis = self.figure("cg_depth_mm", known), known["head.axis_depth_mm"]
            return Figure(depth.value - axis.value, math.hypot(depth.sd, axis.sd), False)
        return fill("head", name, getattr(self, name, None), known)

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
    frequency_cpm, clamp_mm, tip_mass_g : Reading or None
        Clamped frequency, clamped length of the butt, mass at the tip.
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
    """

    shaft: str
    mass_g: Reading | None = None
    balance_pct: Reading | None = None
    balance_mm: Reading | None = None
    length_in: Reading | None = None
    playing_in: tuple[float, ...] = ()
    frequency_cpm: Reading | None = None
    clamp_mm: Reading | None = None
    tip_mass_g: Reading | None = None
    torque_deg: Reading | None = None
    tip_ei_nm2: Reading | None = None
    grip_mass_g: Reading | None = None
    tip: str = ""
    stock: str = "rack"
    price: float | None = None
    flex: str = ""
    note: str = ""

    @property
    def code(self) -> str:
        """Code of the shaft."""
        return self.shaft

    def figure(self, name: str, assumptions: Assumptions | None = None) -> Figure:
        """Give value, SD and whether measured of a figure; what is missing comes from the judged numbers.

        'balance_pct' is also found from 'balance_mm' and the length; 'mid_ei_nm2' and 'butt_ei_nm2' are
        known besides the columns.
        """
        if name == "balance_pct" and self.balance_pct is None and self.balance_mm is not None:
            length = self.figure("length_in", assumptions)
            share = 100.0 * self.balance_mm.value / (length.value * 25.4)
            sd = fill("shaft", name, Reading(share), assumptions).sd
            return Figure(share, math.hypot(sd, share * length.sd / length.value), True)
        return fill("shaft", name, getattr(self, name, None), assumptions)


Part = TypeVar("Part")


@dataclass(frozen=True)
class Kit:
    """Heads and shafts of a shop, in the order of its files."""

    heads: tuple[Head, ...]
    shafts: tuple[Shaft, ...]
    source: str = ""

    @classmethod
    def load(cls, folder: str | Path) -> Kit:
        """Read heads.csv and shafts.csv of a folder; one of the two may be absent.

        Raises
        ------
        InputError
            With every fault of both files.
        """
        base = Path(folder)
        problems: list[Problem] = []
        found = [base / name for name in ("heads.csv", "shafts.csv") if (base / name).is_file()]
        if not found:
            where = "no such folder" if not base.is_dir() else "neither of the two"
            problems.append(Problem(str(base), where, "heads.csv, shafts.csv", "Name the folder of the kit."))
        heads: list[Head] = []
        shafts: list[Shaft] = []
        for path in found:
            cells = read_rows(path, problems)
            if path.name == "heads.csv":
                heads = [_head(row, problems) for row in parse_rows(cells, HEAD_COLUMNS, "head", problems)]
            else:
                shafts = [
                    _shaft(row, problems) for row in parse_rows(cells, SHAFT_COLUMNS, "shaft", problems)
                ]
        raise_if(problems, f"The kit in {base} has {len(problems)} fault{'s' * (len(problems) != 1)}.")
        return cls(tuple(heads), tuple(shafts), str(base))

    def head(self, code: str) -> Head:
        """Head of a code.

        Raises
        ------
        InputError
            Naming the codes that are there and the nearest.
        """
        return _pick(code, {h.head: h for h in self.heads}, "head", self.source)

    def shaft(self, code: str) -> Shaft:
        """Shaft of a code; raises as `head` does."""
        return _pick(code, {s.shaft: s for s in self.shafts}, "shaft", self.source)

    def shafts_for(self, head: Head) -> tuple[Shaft, ...]:
        """Shafts that fit a head."""
        return tuple(s for s in self.shafts if head.takes(s))


def _pick(code: str, known: Mapping[str, Part], what: str, source: str) -> Part:
    if code in known:
        return known[code]
    near = difflib.get_close_matches(code.upper(), known, 1, 0.4)
    do = f"Did you mean {near[0]!r}?" if near else "Use one of these codes."
    problem = Problem(f"{what} in {source or 'the kit'}", repr(code), ", ".join(known) or "none", do)
    raise InputError(f"There is no {what} {code!r}.", [problem])


def _kept(row: Row, cls: type) -> dict[str, Any]:
    names = {f.name for f in fields(cls)}
    return {n: v for n, v in row.values.items() if n in names and v is not None}


def _head(row: Row, problems: list[Problem]) -> Head:
    values = _kept(row, Head)
    settings = tuple(values.pop("settings", ())) or (0.0,)
    lies = tuple(values.pop("lies", ()))
    if lies and len(lies) != len(settings):
        where = f"{row.place}, column 'lies'"
        found, allowed = f"{len(lies)} lies", f"one for each of the {len(settings)} settings"
        problems.append(Problem(where, found, allowed, "Complete the list, or leave the cell blank."))
        lies = ()
    pairs = dict(zip(settings, lies or [0.0] * len(settings), strict=True))
    pairs.setdefault(0.0, 0.0)
    settings = tuple(sorted(pairs))
    if "loft_deg" not in values and "stamped_loft_deg" not in values:
        do = "Give the stamp, or better gauge the loft."
        problems.append(Problem(row.place, "no loft", "loft_deg or stamped_loft_deg", do))
    return Head(**values, settings=settings, lies=tuple(pairs[s] for s in settings) if lies else ())


def _shaft(row: Row, problems: list[Problem]) -> Shaft:
    values = _kept(row, Shaft)
    if "balance_mm" in values and "length_in" not in values:
        where = f"{row.place}, column 'balance_mm'"
        problems.append(Problem(where, "no length_in", "both or balance_pct", "Give the shaft's length."))
    return Shaft(**values)


def codes(parts: Sequence[Head] | Sequence[Shaft]) -> list[str]:
    """Codes of heads or shafts, in order."""
    return [p.code for p in parts]
