"""What mends a log that contradicts itself, or says that it is right as it stands."""

from __future__ import annotations

from collections.abc import Sequence

from fitter.display import doubts
from fitter.shots.findings import Doubt
from fitter.tui.bench import correct
from fitter.tui.messages import Change, Say
from fitter.tui.view import View


def doubts_of(view: View | None) -> tuple[Doubt, ...]:
    """What the log at the bench contradicts."""
    return () if view is None or view.reading is None else view.reading.session.doubts


def mended(view: View | None) -> list[Change | Say]:
    """Messages that correct the columns as the doubts say."""
    return _corrected(
        view, [pair for d in doubts_of(view) for pair in d.cure], "mend the log", "The columns are read as"
    )


def confirmed(view: View | None) -> list[Change | Say]:
    """Messages that say that the doubted columns are right."""
    session = view.reading.session if view is not None and view.reading is not None else None
    pairs = doubts.confirmed(doubts_of(view), session) if session is not None else []
    return _corrected(view, pairs, "confirm the log", "As they stand:")


def _corrected(
    view: View | None, pairs: Sequence[tuple[str, str]], what: str, words: str
) -> list[Change | Say]:
    if not pairs or view is None:
        return [Say("There is nothing to mend in the log.", "warn")]
    said = ", ".join(f"{header} = {target}" for header, target in pairs)
    return [Change(what, **correct(view.bench, pairs)), Say(f"{words} {said}. u takes that back.")]
