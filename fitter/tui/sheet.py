"""What the player takes home: preview and file, with what was chosen against what was recommended."""

from __future__ import annotations

import re
from collections.abc import Callable
from dataclasses import replace
from datetime import date
from importlib import import_module
from importlib.util import find_spec
from pathlib import Path
from typing import Any

from fitter.errors import InputError, Problem
from fitter.tui import words
from fitter.tui.bench import Choice
from fitter.tui.view import View

SUFFIXES = (".pdf", ".png", ".md", ".txt")


def today() -> str:
    """Date of the sheet."""
    return date.today().isoformat()


def printer() -> bool:
    """Whether paper can be printed here, and not only text."""
    return find_spec("fitter.sheet") is not None


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
    if found is None or view.answer is None:
        return option
    return words.changed(found.option, view.answer.present)


def content(view: View) -> dict[str, Any]:
    """The sheet as a dictionary.

    Raises
    ------
    InputError
        If what was chosen is no longer among the options.
    """
    assert view.answer is not None
    assert view.reading is not None
    from fitter.cli.log import flag_lines

    room = import_module("fitter.sheet.content")
    b, choice = view.bench, view.bench.chosen
    other = choice is not None and choice.option != choice.recommended
    pinned = tuple(f"Pinned for a trial: {option_words(p, view)}." for p in b.pins)
    settings = room.Settings(
        metric=b.units == "metric",
        where=b.conditions,
        there=None if b.measured == replace(b.conditions, turf=b.measured.turf) else b.measured,
        chosen=(choice.option or "keep") if other and choice is not None else "",
        why=choice.reason if other and choice is not None else "",
        trial=pinned,
        flags=tuple(f.strip() for f in flag_lines(view.reading.session, b.units)),
    )
    found: dict[str, Any] = room.content(view.answer.ranking, view.reading.present, settings)
    return found


def markdown(view: View) -> str:
    """The sheet as Markdown, '' before there is a ranking."""
    if view.answer is None or not view.answer.full:
        return ""
    if printer():
        text: str = import_module("fitter.sheet.markdown").markdown(content(view))
        return text
    from fitter.cli import ladder

    b = view.bench
    parts = [f"# Recommendation for {b.player or 'the player'}, {today()}", "", choice_words(b.chosen, view)]
    if b.pins:
        parts += ["", "Pinned for a trial: " + "; ".join(option_words(p, view) for p in b.pins) + "."]
    wind = words.wind(b.conditions.wind_mps, b.conditions.wind_from_deg, b.units)
    parts += ["", f"Decided for {b.conditions.turf} turf, wind {wind}.", "", "```"]
    return "\n".join([*parts, ladder.text(view.answer.ranking, b.units == "metric"), "```", ""])


def file_name(view: View) -> str:
    """Name of the file, of letters that every file system takes."""
    player = re.sub(r"[^\w-]+", "_", view.bench.player) or "player"
    return f"sheet-{player}-{today()}{'.pdf' if printer() else '.md'}"


def write(view: View, text: str) -> Path:
    """Write the sheet to a file; its suffix says how.

    Raises
    ------
    InputError
        If the name does not serve.
    OSError
        If the file cannot be written.
    """
    path = Path(text).expanduser()
    kinds = SUFFIXES if printer() else SUFFIXES[2:]
    if path.suffix.casefold() not in kinds:
        do = "End the name with one of these."
        raise InputError("That is no name for a sheet.", [Problem("file", repr(text), ", ".join(kinds), do)])
    if path.suffix.casefold() in (".pdf", ".png"):
        render = import_module("fitter.sheet.render")
        draw: Callable[..., bytes] = render.pdf if path.suffix.casefold() == ".pdf" else render.png
        path.write_bytes(draw(content(view), render.Paper()))
    else:
        path.write_text(markdown(view), encoding="utf-8")
    return path
