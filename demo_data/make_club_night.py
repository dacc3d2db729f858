"""Make the logs of the demo's club night: twenty invented players, eight balls each, and what goes wrong at one.

Run as ``python -m demo_data.make_club_night [FOLDER]``. The truth is that of `make_demo`: its ball, strike, turf,
heads and device; the players are drawn from one seed. Two bays wrote one file for several players, who took turns;
the others have a file each. C19's log carries a name that the roster does not have, C20's file broke off, and
the device misread half of C18's balls. The logs do not say who is left-handed; the roster does.
"""

from __future__ import annotations

import csv
import sys
from collections.abc import Iterable
from pathlib import Path

import numpy as np

from demo_data import make_demo
from demo_data.make_demo import Hidden
from fitter import demo

SEED = 20260620
SHOTS = 8
PLAYERS = 20
CLUBS = ("H4/S3", "H3/S5", "H5/S8", "H6/S1", "H3/S4", "H5/S5", "H4/S1", "H2/S4", "H6/S8", "H4/S5")
"""What they really play, in turn; the shop sold it to them."""
TOLD = {
    "C01": "H4/S3", "C02": "H3/S5", "C03": "C03.toml", "C04": "10.5deg 52g R", "C05": "H3/S4", "C08": "H2/S4",
    "C11": "10.5deg 58g S", "C14": "unknown",
}  # fmt: skip
"""What the roster knows of the present clubs."""
LEFT = ("C06", "C13")
SILENT = ("C07", "C12")
"""Who did not consent to a list by speed."""
BAYS = {
    "bay1.csv": ("C01", "C02", "C03", "C04", "C05", "C06"),
    "bay2.csv": ("C07", "C08", "C09", "C10", "C11"),
}
SIMPLE = (
    "shot", "player", "club speed (mph)", "ball speed (mph)", "launch (deg)", "direction (deg)", "spin (rpm)",
    "spin axis (deg)", "carry (yd)",
)  # fmt: skip
"""Columns of the simpler device in bay 2."""
FULL = tuple(c for c in make_demo.COLUMNS if c != "hand")
MISREADS = (
    ("C02", 3, "spin (rpm)", "9120"),
    ("C09", 6, "launch (deg)", "44.0"),
    ("C15", 2, "club speed (mph)", "148.2"),
    *(("C18", shot, "spin (rpm)", "150") for shot in (1, 2, 5, 7)),
)
STRANGER, BROKEN = "C19", "C20"


def everybody() -> dict[str, Hidden]:
    """Truths by code: from players who strike it well to those who do it once a month."""
    rng = np.random.default_rng(SEED)
    made = {}
    for k in range(PLAYERS):
        u = float(rng.uniform())
        path = float(rng.normal(-2.5 * u, 2.5))
        mean = (
            112.0 - 26.0 * u + rng.normal(0.0, 3.5), rng.normal(0.5 - 2.0 * u, 2.0), path,
            0.5 * path + rng.normal(1.0 * u, 1.2), 14.5 + rng.normal(0.5 * u, 1.8), rng.normal(-1.0, 5.0),
            rng.normal(0.0, 4.0),
        )  # fmt: skip
        spread = (1.2 + u, 0.8 + 0.6 * u, 1.2 + u, 1.5 + 1.5 * u, 0.9 + 0.7 * u, 7.0 + 5.0 * u, 6.0 + 3.0 * u)
        made[f"C{k + 1:02d}"] = Hidden(
            SHOTS, tuple(map(float, mean)), spread, 0.0,
            loft=float(rng.uniform(0.75, 1.05)), face=float(rng.uniform(0.1, 0.45)),
            follow=float(rng.uniform(0.3, 0.8)), tee_attack=float(rng.uniform(0.4, 0.9)),
            tee_strike=float(rng.uniform(0.35, 0.65)),
        )  # fmt: skip
    return made


def players() -> dict[str, demo.Player]:
    """Players by code."""
    return {
        code: demo.Player(
            code, f"{code}.csv", "left" if code in LEFT else "right", CLUBS[k % len(CLUBS)], "carry", ""
        )
        for k, code in enumerate(everybody())
    }


def name(code: str) -> str:
    """Name of a player in the logs; one is not the one of the roster."""
    return "Guest X" if code == STRANGER else f"Guest {int(code[1:])}"


def rows(code: str) -> list[dict[str, str]]:
    """Rows of one player's log."""
    written = make_demo.log(players()[code], everybody(), MISREADS)
    return [row | {"player": name(code)} for row in written]


def write(path: Path, columns: Iterable[str], lines: Iterable[dict[str, str]]) -> None:
    """Write a log."""
    with path.open("w", encoding="utf-8", newline="") as file:
        writer = csv.DictWriter(file, tuple(columns), lineterminator="\n", extrasaction="ignore")
        writer.writeheader()
        writer.writerows(lines)


def make(folder: Path) -> None:
    """Write the club night into a folder."""
    folder.mkdir(parents=True, exist_ok=True)
    every = {code: rows(code) for code in players()}
    for file, codes in BAYS.items():
        turns = [every[code][shot] for shot in range(SHOTS) for code in codes]
        write(folder / file, FULL if file == "bay1.csv" else SIMPLE, turns)
    alone = [code for code in every if not any(code in codes for codes in BAYS.values())]
    for code in alone:
        write(folder / f"{code}.csv", FULL, every[code])
    broken = folder / f"{BROKEN}.csv"
    text = broken.read_text(encoding="utf-8")
    broken.write_text(text[: text.index("launch")] + '"', encoding="utf-8")
    listed = [["code", "name", "hand", "present", "ball", "consent"]]
    for k, code in enumerate(every):
        consent = "no" if code in SILENT else "yes"
        listed.append(
            [code, f"Guest {k + 1}", players()[code].hand, TOLD.get(code, ""), f"B{k % 3 + 1}", consent]
        )
    roster = "".join(";".join(cells) + "\n" for cells in listed)
    (folder / "roster.csv").write_text(roster, encoding="utf-8")


if __name__ == "__main__":
    make(Path(sys.argv[1]) if len(sys.argv) > 1 else Path(__file__).parent / "club_night")
