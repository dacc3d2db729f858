"""The one place where a batch calls for printed sheets."""

from __future__ import annotations

from importlib import import_module
from typing import TYPE_CHECKING, Any

from fitter.base.conditions import Conditions
from fitter.base.errors import InputError, Problem

if TYPE_CHECKING:
    from fitter.advice.result import Ranking
    from fitter.batches.job import Settings


def _room() -> tuple[Any, Any]:
    """Return the modules that make and print sheets.

    Raises
    ------
    InputError
        If they, or what they print with, are not installed.
    """
    try:
        import_module("typst")
        return import_module("fitter.sheet.content"), import_module("fitter.sheet.render")
    except ImportError as error:
        do = "Leave --sheets out; the result is the same without them."
        problem = Problem("--sheets", f"no printer of sheets ({error})", "an installation with it", do)
        raise InputError("Sheets cannot be printed here.", [problem]) from None


def check() -> None:
    """Raise before anything is scored if sheets cannot be printed."""
    _room()


def render(ranking: Ranking, settings: Settings) -> bytes:
    """Return a sheet as PDF.

    Parameters
    ----------
    ranking : Ranking
    settings : Settings
    """
    content, printer = _room()
    where = settings.conditions or Conditions()
    given = content.Settings(
        metric=settings.metric,
        where=where,
        there=settings.measured_in,
        local_length_rule=settings.offer.local_length_rule,
    )
    return bytes(printer.pdf(content.content(ranking, ranking.shots, given)))
