"""One session to score, with everything that a worker needs: no file, no folder, no state."""

from __future__ import annotations

import hashlib
from collections.abc import Iterable
from dataclasses import dataclass, field, replace
from functools import lru_cache
from importlib import resources

from fitter import __version__
from fitter.advice.objectives import Goal
from fitter.base.conditions import Conditions
from fitter.kit.club import Club
from fitter.kit.inventory import Kit
from fitter.kit.offer import Offer, offer
from fitter.shots.session import Session

LAYOUT = "1"
"""Raised when rows change, so that kept work of an older version is not taken for finished."""


@dataclass(frozen=True)
class Settings:
    """What is the same for every session, see `advice.rank` and `shots.reader.intake`."""

    kit: Kit
    goal: Goal = field(default_factory=Goal)
    conditions: Conditions | None = None
    measured_in: Conditions | None = None
    draws: int = 256
    seed: int = 1
    metric: bool = False
    header_map: tuple[tuple[str, str], ...] = ()
    offer: Offer = field(default_factory=offer)


@dataclass(frozen=True, eq=False)
class Job:
    """One session of one player.

    Parameters
    ----------
    key : str
        Digest of everything that decides the outcome.
    player, label : str
        Code; file.
    session : Session
    present : str
        Words for the present club.
    club : Club
    ball : str
    sheet : str
        Name of the sheet's file, '' for none.
    notes : tuple of str
        What reading it brought to light.
    settings : Settings
    """

    key: str
    player: str
    label: str
    session: Session
    present: str
    club: Club
    ball: str
    sheet: str
    notes: tuple[str, ...]
    settings: Settings

    def keyed(self, content: str, base: str) -> Job:
        """Return the job with its key: content of the file and settings of the batch, each as a digest."""
        s = self.session
        own = (content, base, self.player, self.label, s.player, s.hand, self.present, self.ball, self.sheet)
        return replace(self, key=digest([*own, *self.notes, repr(self.club)]))


def digest(words: Iterable[str]) -> str:
    """SHA-256 of several texts, each with its length before it."""
    total = hashlib.sha256()
    for word in words:
        data = word.encode("utf-8", "surrogatepass")
        total.update(len(data).to_bytes(8, "big") + data)
    return total.hexdigest()


@lru_cache(maxsize=1)
def _judged() -> str:
    return resources.files("fitter").joinpath("assumptions.toml").read_text(encoding="utf-8")


def base_of(settings: Settings) -> str:
    """Digest of what is the same for all: version, judged numbers, kit and settings."""
    return digest([__version__, LAYOUT, _judged(), repr(settings)])
