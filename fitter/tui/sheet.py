"""What the player takes home: preview and file, with what was chosen against what was recommended."""

from __future__ import annotations

import re
from datetime import date
from pathlib import Path

from fitter.tui import words
from fitter.tui.bench import Choice
from fitter.tui.view import View


def today() -> str:
    """Date of the sheet."""
    return date.today().isoformat()


def choice_words(choice: Choice | None, view: View) -> str:
    """What was chosen, in a sentence."""
    if choice is None:
        return "Nothing is chosen yet: x records the choice."
    name = option_words(choice.option, view)
    meant = option_words(choice.recommended, view)
    if choice.option == choice.recommended:
        return f"Chosen as recommended ({choice.action}): {name}."
    return f"Chosen: {name}, because of {choice.reason}; recommended ({choice.action}): {meant}."


def option_words(option: str, view: View) -> str:
    """Option in words, or its id where it is no longer there."""
    if not option:
        return "the present club"
    found = view.answer.find(option) if view.answer is not None else None
    return (
        option if found is None or view.answer is None else words.changed(found.option, view.answer.present)
    )


def markdown(view: View) -> str:
    """The sheet as text; what stands on it is what the command line prints, and what was decided."""
    if view.answer is None:
        return ""
    from fitter.cli import ladder

    b = view.bench
    title = f"Recommendation for {b.player or 'the player'}, {today()}"
    parts = [title, "=" * len(title), "", choice_words(b.chosen, view)]
    if b.pins:
        parts += ["Pinned for a trial: " + "; ".join(option_words(p, view) for p in b.pins) + "."]
    conditions = f"Decided for {b.conditions.turf} turf, wind "
    conditions += words.wind(b.conditions.wind_mps, b.conditions.wind_from_deg, b.units)
    parts += [conditions + ".", "", ladder.text(view.answer.ranking, b.units == "metric")]
    return "\n".join(parts) + "\n"


def file_name(view: View) -> str:
    """Name of the file, of letters that every file system takes."""
    player = re.sub(r"[^\w-]+", "_", view.bench.player) or "player"
    return f"sheet-{player}-{today()}.txt"


def write(view: View, path: Path) -> Path:
    """Write the sheet.

    Raises
    ------
    OSError
        If the file cannot be written.
    """
    text = markdown(view)
    path = path.expanduser()
    path.write_text(text, encoding="utf-8")
    return path
