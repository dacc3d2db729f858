"""What the player takes home: preview and file, with what was chosen against what was recommended."""

from __future__ import annotations

import re
from datetime import date
from pathlib import Path
from typing import Any

from fitter.base.files import refuse_overwriting, unwritable, write_whole
from fitter.errors import InputError, Problem, raise_if
from fitter.kit.inventory import kit_files
from fitter.tui import words
from fitter.tui.bench import Choice
from fitter.tui.view import View

SUFFIXES = (".pdf", ".png", ".md", ".txt")


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
    from fitter.sheet.content import Settings
    from fitter.sheet.content import content as fill
    from fitter.shots.flagged import flag_lines

    b, choice = view.bench, view.bench.chosen
    other = choice is not None and choice.option != choice.recommended
    settings = Settings(
        metric=b.units == "metric",
        where=b.conditions,
        there=None if b.measured == b.conditions else b.measured,
        chosen=(choice.option or "keep") if other and choice is not None else "",
        why=choice.reason if other and choice is not None else "",
        trial=tuple(f"Pinned for a trial: {option_words(p, view)}." for p in b.pins),
        flags=tuple(f.strip() for f in flag_lines(view.reading.session, b.units)),
    )
    return fill(view.answer.ranking, view.reading.present, settings)


def markdown(view: View) -> str:
    """The sheet as Markdown, '' while there is no ranking of what is asked now."""
    if not view.settled:
        return ""
    from fitter.sheet.markdown import markdown as write_down

    return write_down(content(view))


def file_name(view: View) -> str:
    """Name of the file, of letters that every file system takes."""
    player = re.sub(r"[^\w-]+", "_", view.bench.player) or "player"
    return f"sheet-{player}-{today()}.pdf"


def write(view: View, text: str) -> Path:
    """Write the sheet to a file; its suffix says how.

    Raises
    ------
    InputError
        If the name does not serve, is a file that the bench reads, or cannot be written.
    """
    path = Path(text).expanduser()
    if path.suffix.casefold() not in SUFFIXES:
        do = "End the name with one of these."
        problem = Problem("file", repr(text), ", ".join(SUFFIXES), do)
        raise InputError("That is no name for a sheet.", [problem])
    b = view.bench
    inputs = [("the log", Path(b.log)), ("the card", Path(b.present))]
    inputs += [("the kit's", file) for file in kit_files(b.kit)]
    refuse_overwriting([("file", path)], inputs)
    raise_if(unwritable("file", path), "The sheet cannot be written there.")
    if path.suffix.casefold() in (".pdf", ".png"):
        from fitter.sheet import render

        draw = render.pdf if path.suffix.casefold() == ".pdf" else render.png
        write_whole(path, draw(content(view)))
    else:
        write_whole(path, markdown(view))
    return path
