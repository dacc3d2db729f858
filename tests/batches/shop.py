"""A small shop and short logs, so that what is tested is the batch and not the ranking."""

from __future__ import annotations

import csv
from pathlib import Path

from fitter import demo

DRAWS = 16
HEADS = """head,stamped_loft_deg,loft_deg,loft_sd_deg,settings,stock
H1,9,9.4,0.3,0,rack
H2,10.5,11.3,0.3,-1 0,rack
"""
SHAFTS = """shaft,mass_g,length_in,frequency_cpm,flex,stock
S1,52,46,232,R,rack
"""


def kit(folder: Path) -> Path:
    folder.mkdir(parents=True, exist_ok=True)
    (folder / "heads.csv").write_text(HEADS, encoding="utf-8")
    (folder / "shafts.csv").write_text(SHAFTS, encoding="utf-8")
    return folder


def demo_rows(player: str = "P2", shots: int = 6) -> list[dict[str, str]]:
    with (demo.folder() / f"{player}.csv").open(encoding="utf-8") as file:
        return list(csv.DictReader(file))[:shots]


def log(path: Path, *players: str, of: str = "P2", shots: int = 6, leave: tuple[str, ...] = ()) -> Path:
    """Write the shots of a demo player under other names."""
    rows = demo_rows(of, shots)
    columns = [c for c in rows[0] if c not in leave]
    path.parent.mkdir(parents=True, exist_ok=True)
    with path.open("w", encoding="utf-8", newline="") as file:
        out = csv.DictWriter(file, columns, extrasaction="ignore", lineterminator="\n")
        out.writeheader()
        for player in players:
            out.writerows(row | {"player": player} for row in rows)
    return path


def night(folder: Path, sessions: int = 4) -> Path:
    """Some logs, the third one broken."""
    for k in range(sessions):
        log(folder / f"log{k:02d}.csv", f"G{k}", of=("P1", "P2", "P4")[k % 3])
    (folder / "log02.csv").write_text("shot,player\n", encoding="utf-8")
    return folder
