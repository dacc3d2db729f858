"""Where the demo data lie, and who plays in them."""

from __future__ import annotations

import tomllib
from dataclasses import dataclass
from pathlib import Path


@dataclass(frozen=True)
class Player:
    """One invented player of the demo shop.

    Parameters
    ----------
    code : str
        Such as 'P1'.
    log : str
        File of the session.
    hand : str
        'right' or 'left', as the log says too.
    present : str
        Present club as for ``--present``.
    objective : str
        What the player asks for.
    scene : str
        One sentence.
    """

    code: str
    log: str
    hand: str
    present: str
    objective: str
    scene: str


def folder() -> Path:
    """Folder of the demo data, in an installed package or in a checkout."""
    inside = Path(__file__).parent / "demo_data"
    return inside if inside.is_dir() else Path(__file__).parent.parent / "demo_data"


def players() -> tuple[Player, ...]:
    """Players of the demo, in the order of their codes."""
    table = tomllib.loads((folder() / "players.toml").read_text(encoding="utf-8"))
    return tuple(Player(code=code, **entry) for code, entry in sorted(table.items()))
