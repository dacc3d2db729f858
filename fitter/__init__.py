"""Turn a golfer's shots into a change of driver that holds up on the course.

The public names load on first use, so that ``import fitter`` stays quick.
"""

from __future__ import annotations

from importlib import import_module
from typing import Any

__version__ = "0.1.0"

_HOMES = {
    "fly": "fitter.simulate.flight",
    "strike": "fitter.simulate.strike",
    "read": "fitter.shots.reader.intake",
    "Session": "fitter.shots.session",
    "Kit": "fitter.kit.inventory",
    "Conditions": "fitter.base.conditions",
    "Question": "fitter.advice.question",
    "ask": "fitter.advice.question",
    "rank": "fitter.advice.rank",
    "reach": "fitter.advice.reach",
    "Ranking": "fitter.advice.result",
    "batch": "fitter.batches.batch",
    "as_dict": "fitter.display.serialise",
}

__all__ = sorted(_HOMES)


def __getattr__(name: str) -> Any:
    if name in _HOMES:
        return getattr(import_module(_HOMES[name]), name)
    raise AttributeError(f"module 'fitter' has no attribute {name!r}")


def __dir__() -> list[str]:
    return [*__all__, "__version__"]
