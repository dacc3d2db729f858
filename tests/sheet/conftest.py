"""Rankings of the demo players, few draws, once for all tests of the sheet."""

from __future__ import annotations

from dataclasses import dataclass, replace
from pathlib import Path

import pytest

from fitter import demo
from fitter.advice.question import ask
from fitter.advice.result import Ranking
from fitter.kit.inventory import Kit
from fitter.shots.reader import intake
from fitter.shots.session import Session
from tests.rankings import ranked

DRAWS = 64


@dataclass(frozen=True)
class Case:
    """One player's session and what is advised."""

    session: Session
    ranking: Ranking


def renamed(ranking: Ranking, player: str) -> Ranking:
    """The same of a player with another name."""
    return replace(ranking, shots=replace(ranking.shots, player=player))


@pytest.fixture(scope="session")
def kit() -> Kit:
    return Kit.load(demo.folder())


@pytest.fixture(scope="session")
def cases(kit: Kit) -> dict[str, Case]:
    found = {}
    for p in demo.players():
        session = intake.read(demo.folder() / p.log)
        found[p.code] = Case(session, ranked(ask(session, kit, p.present, p.objective, draws=DRAWS)))
    return found


@pytest.fixture
def log(tmp_path: Path) -> Path:
    """A copy of P1's log that a test may spoil."""
    path = tmp_path / "log.csv"
    path.write_bytes((demo.folder() / "P1.csv").read_bytes())
    return path
