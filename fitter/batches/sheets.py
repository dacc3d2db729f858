"""The one place where a batch calls for printed sheets."""

from __future__ import annotations

from importlib import import_module
from typing import TYPE_CHECKING, Any

from fitter.errors import InputError, Problem

if TYPE_CHECKING:
    from fitter.advice.ranking import Ranking
    from fitter.batches.job import Settings
    from fitter.shots.channels import Session


def _room() -> Any:
    """Return the module that prints sheets.

    Raises
    ------
    InputError
        If it is not installed.
    """
    try:
        return import_module("fitter.sheet")
    except ImportError as error:
        do = "Leave --sheets out; the result is the same without them."
        problem = Problem("--sheets", f"no printer of sheets ({error})", "an installation with it", do)
        raise InputError("Sheets cannot be printed here.", [problem]) from None


def check() -> None:
    """Raise before anything is scored if sheets cannot be printed."""
    _room()


def render(ranking: Ranking, session: Session, settings: Settings, present: str) -> bytes:
    """Return a sheet as PDF."""
    return bytes(_room().render(ranking, metric=settings.metric))
