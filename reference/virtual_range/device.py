"""What an instrument writes down of a player's session, with what it gets wrong."""

from __future__ import annotations

import csv
from dataclasses import dataclass
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from fitter.advice.options import Option
from reference.virtual_range import engine
from reference.virtual_range.air import table
from reference.virtual_range.engine import Floats
from reference.virtual_range.players import MPH, RPM, UNITS, YARD, stream
from reference.virtual_range.truth import Truth
from reference.virtual_range.worlds import DEG

COLUMNS: dict[str, tuple[str, bool, float, float]] = {
    "club speed (mph)": ("share", False, 0.011, 0.012), "attack (deg)": ("", False, 0.6, 0.3),
    "path (deg)": ("", True, 0.6, 0.5), "face (deg)": ("", True, 0.7, 0.7),
    "dynamic loft (deg)": ("", False, 0.7, 0.4),
    "toe (mm)": ("", False, 2.5, 0.0), "high (mm)": ("", False, 2.5, 0.0),
    "ball speed (mph)": ("share", False, 0.004, 0.0), "launch (deg)": ("", False, 0.2, 0.1),
    "direction (deg)": ("", True, 0.3, 0.7), "spin (rpm)": ("", False, 80.0, 60.0),
    "spin axis (deg)": ("", True, 1.5, 0.0), "carry (yd)": ("share", False, 0.008, 0.0),
    "total (yd)": ("share", False, 0.008, 0.0), "offline (yd)": ("", True, 1.2, 0.0),
}  # fmt: skip
"""Columns of a log: whether the error is a share, whether a left-hander's sign flips, SD of one reading and
of what is wrong all day in the same way (J)."""
MISSING = {
    "nothing": (), "strike": ("toe (mm)", "high (mm)"), "totals": ("total (yd)",),
    "finish": ("total (yd)", "offline (yd)"),
    "delivery": ("attack (deg)", "path (deg)", "face (deg)", "dynamic loft (deg)", "toe (mm)", "high (mm)"),
}  # fmt: skip
"""Columns that a device does not have."""
INDOORS = {"spin (rpm)": 250.0, "spin axis (deg)": 4.0}
"""SD of a reading of an unmarked ball indoors (J)."""
MISREADS = {"spin (rpm)": 660.0, "launch (deg)": 2.0, "ball speed (mph)": 0.014, "club speed (mph)": 0.02}
"""What the other channels leave open of one, SD (C for full logs): misreads are 5 to 12 of these."""


@dataclass(frozen=True)
class Log:
    """A session as it was written, and what was true of it.

    Parameters
    ----------
    path : Path
    deliveries : ndarray, shape (n, 7)
        True, at the face centre.
    misread : tuple of str
        Column that was misread in each shot, '' for a good shot.
    columns : tuple of str
        What the device has.
    """

    path: Path
    deliveries: Floats
    misread: tuple[str, ...]
    columns: tuple[str, ...]

    @property
    def good(self) -> NDArray[np.bool_]:
        """Shots that were read as well as the device can, shape (n,)."""
        return np.array([not m for m in self.misread])


def write_log(truth: Truth, present: Option, path: Path) -> Log:
    """Let a player hit his session, and write what his instrument shows."""
    player = truth.player
    swings = player.tired(player.swings(player.shots, "log") + player.day(present.id))
    changed, built = truth.changed(player.held_in(swings), present, present)
    heads = np.repeat(built.head[None], len(changed), axis=0)
    starts, finishes = truth.fly(changed, heads)
    indoors = player.own["place"] == "indoor"
    shown = np.column_stack([
        changed / UNITS, starts[:, 0] / MPH, starts[:, 1:3] / DEG, starts[:, 3] / RPM, starts[:, 4] / DEG,
        finishes[:, [engine.X, engine.TOTAL_X, engine.Y]] / YARD,
    ])  # fmt: skip
    names = list(COLUMNS)
    if player.own["point"] == "strike":
        # Face and loft where the ball was struck, on the true bulge and roll.
        shown[:, names.index("dynamic loft (deg)")] += changed[:, engine.HIGH] * built.head[engine.ROLL] / DEG
        shown[:, names.index("face (deg)")] += changed[:, engine.TOE] * built.head[engine.BULGE] / DEG
    rng = stream(player.number, "device")
    noise, own, bias = (player.number_of(n) for n in ("noise", "noise_own", "bias"))
    factor = noise * np.exp(own * rng.standard_normal(len(names)))
    missing = list(MISSING[str(player.own["missing"])])
    if indoors:
        missing += [] if "total (yd)" in missing else ["total (yd)"]
    told = shown.copy()
    for k, (name, (kind, _, sd, day)) in enumerate(COLUMNS.items()):
        sd = INDOORS.get(name, sd) if indoors else sd
        error = factor[k] * sd * rng.standard_normal(len(told)) + bias * day * rng.standard_normal()
        told[:, k] = shown[:, k] * (1.0 + error) if kind else shown[:, k] + error
    if indoors:
        _compute_finish(told, names)
    misread = _misread(truth, told, names, [c for c in names if c not in missing])
    _write(path, truth, told, [c for c in names if c not in missing], "indoor" if indoors else "outdoor")
    return Log(path, changed, misread, tuple(c for c in names if c not in missing))


def _compute_finish(told: Floats, names: list[str]) -> None:
    """Carry and offline that a device computes indoors from its own ball law, in place."""
    at = [
        names.index(n)
        for n in ("ball speed (mph)", "launch (deg)", "direction (deg)", "spin (rpm)", "spin axis (deg)")
    ]
    starts = np.ascontiguousarray(told[:, at]) * np.array([MPH, DEG, DEG, RPM, DEG])
    starts[:, 3] = np.maximum(starts[:, 3], 50.0)
    finish = engine.fly(
        starts,
        table("grid", 0.0, 0.1),
        (1.0, 1.0, 1.5e-5),
        np.array([0.3, 0, 0, 0.3, 0.009, 0.9, 1, 0.78, 1, 0.0]),
    )
    told[:, names.index("carry (yd)")] = finish[:, engine.X] / YARD
    told[:, names.index("offline (yd)")] = finish[:, engine.Y] / YARD


def _misread(truth: Truth, told: Floats, names: list[str], shown: list[str]) -> tuple[str, ...]:
    """Misread some shots, in place: 5 to 12 SD of what the other channels leave open; the columns."""
    rng, out = stream(truth.player.number, "misreads"), []
    for row in told:
        hit, name = rng.uniform(), str(rng.choice(list(MISREADS)))
        size = rng.uniform(5.0, 12.0) * rng.choice([-1.0, 1.0])
        if hit >= truth.player.number_of("misreads") or name not in shown:
            out.append("")
            continue
        k, share = names.index(name), COLUMNS[name][0]
        row[k] = row[k] * (1.0 + size * MISREADS[name]) if share else row[k] + size * MISREADS[name]
        out.append(name)
    return tuple(out)


def _write(path: Path, truth: Truth, told: Floats, shown: list[str], place: str) -> None:
    player, names = truth.player, list(COLUMNS)
    with path.open("w", encoding="utf-8", newline="") as file:
        writer = csv.writer(file)
        writer.writerow(["shot", "player", "hand", "place", *shown])
        for i, values in enumerate(told):
            row = []
            for name in shown:
                value = float(values[names.index(name)])
                value = -value if COLUMNS[name][1] and player.hand == "left" else value
                row.append(f"{value:.0f}" if "rpm" in name or "mm" in name else f"{value:.1f}")
            writer.writerow([i + 1, f"P{player.number}", player.hand, place, *row])
