"""What the shop has: heads and shafts as measured, read from heads.csv and shafts.csv."""

from __future__ import annotations

import difflib
import os
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, fields
from pathlib import Path
from typing import Any, TypeVar

from fitter.base.errors import InputError, Problem, raise_if
from fitter.kit.parts import STOCK, Head, Place, Shaft
from fitter.kit.table import Column, Row, parse_rows, read_rows, read_toml

FILES = "heads.csv and shafts.csv (or .toml)"
"""What a folder of a kit holds."""

__all__ = ["FILES", "HEAD_COLUMNS", "SHAFT_COLUMNS", "STOCK", "Head", "Kit", "Place", "Shaft", "codes"]


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
    _figure("weight_g", 0.5, 60),
    Column("weights", "words"),
    Column("swaps_g", "numbers", -30, 30),
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
    _figure("tip_ahead_mm", 0, 80),
    _figure("torque_deg", 0.5, 15),
    _figure("tip_ei_nm2", 3, 150),
    _figure("grip_mass_g", 10, 150),
    Column("tip", "text"),
    Column("stock", "text", choices=STOCK),
    Column("price", "number", 0, 1e7),
    Column("flex", "text"),
    Column("note", "text"),
)


Part = TypeVar("Part")


@dataclass(frozen=True)
class Kit:
    """Heads and shafts of a shop, in the order of its files."""

    heads: tuple[Head, ...]
    shafts: tuple[Shaft, ...]
    source: str = ""

    @classmethod
    def load(cls, folder: str | Path) -> Kit:
        """Read heads and shafts of a folder, each a CSV or a TOML file; one of the two may be absent.

        Raises
        ------
        InputError
            With every fault of both files.
        """
        base = Path(folder)
        problems: list[Problem] = []
        heads_file, shafts_file = (_find(base, name, problems) for name in ("heads", "shafts"))
        if heads_file is None and shafts_file is None and not problems:
            found = "no such folder" if not base.is_dir() else "neither of the two"
            problems.append(Problem(str(base), found, FILES, "Name the folder of the kit."))
        head_rows = parse_rows(_rows(heads_file, "head", problems), HEAD_COLUMNS, "head", problems)
        heads = [_head(row, problems) for row in head_rows]
        shaft_rows = parse_rows(_rows(shafts_file, "shaft", problems), SHAFT_COLUMNS, "shaft", problems)
        shafts = [_shaft(row, problems) for row in shaft_rows]
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


def kit_files(folder: str | Path) -> list[Path]:
    """Files that a folder of a kit may have."""
    return [Path(folder) / f"{name}{kind}" for name in ("heads", "shafts") for kind in (".csv", ".toml")]


def _find(base: Path, name: str, problems: list[Problem]) -> Path | None:
    """The file of heads or shafts, CSV or TOML but not both."""
    # What is there and no file is refused when it is read: a pipe or a broken link is no empty half of a kit.
    there = [file for file in kit_files(base) if file.stem == name and os.path.lexists(file)]
    if len(there) > 1:
        problems.append(Problem(str(base), f"{name}.csv and {name}.toml", "one of the two", "Remove one."))
    return there[0] if there else None


def _rows(path: Path | None, key: str, problems: list[Problem]) -> list[tuple[str, dict[str, str]]]:
    if path is None:
        return []
    return read_rows(path, problems) if path.suffix == ".csv" else read_toml(path, key, problems)


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
    pairs = sorted({(0.0, 0.0), *zip(settings, lies or [0.0] * len(settings), strict=True)})
    values["settings"] = tuple(s for s, _ in pairs)
    if lies:
        values["lies"] = tuple(lie for _, lie in pairs)
    if "weights" in values:
        values["weights"] = read_places(values["weights"], row.place, problems)
        if "weight_g" not in values:
            where = f"{row.place}, column 'weights'"
            problems.append(Problem(where, "no weight_g", "both columns", "Give the weight that moves."))
    if "loft_deg" not in values and "stamped_loft_deg" not in values:
        do = "Give the stamp, or better gauge the loft."
        problems.append(Problem(row.place, "no loft", "loft_deg or stamped_loft_deg", do))
    return Head(**values)


def read_places(words: Sequence[str], place: str, problems: list[Problem]) -> tuple[Place, ...]:
    """Read 'heel:-40/-15/60 toe:40/-15/60': name, then toeward, upward and backward mm."""
    found = []
    for word in words:
        name, _, text = word.partition(":")
        try:
            toe, up, back = (float(x) for x in text.split("/"))
        except ValueError:
            allowed = "NAME:TOE/UP/BACK in mm, such as heel:-40/-15/60"
            do = "Write each place like that, separated by spaces."
            problems.append(Problem(f"{place}, column 'weights'", repr(word), allowed, do))
            continue
        found.append(Place(name, toe, up, back))
    return tuple(found)


def _shaft(row: Row, problems: list[Problem]) -> Shaft:
    values = _kept(row, Shaft)
    if "balance_mm" in values and "length_in" not in values:
        where = f"{row.place}, column 'balance_mm'"
        problems.append(Problem(where, "no length_in", "both or balance_pct", "Give the shaft's length."))
    return Shaft(**values)


def codes(parts: Sequence[Head] | Sequence[Shaft]) -> list[str]:
    """Codes of heads or shafts, in order."""
    return [p.code for p in parts]
