"""Faults of the program: widgets go on after one, it is said in a sentence, and reported in a file."""

from __future__ import annotations

import hashlib
import platform
import sys
import traceback
from collections.abc import Callable
from contextlib import suppress
from importlib import metadata
from inspect import unwrap
from pathlib import Path
from typing import Any

from textual import work
from textual.await_complete import AwaitComplete
from textual.command import CommandPalette
from textual.css.query import NoMatches
from textual.message import Message
from textual.message_pump import MessagePump
from textual.screen import Screen

from fitter.base import files
from fitter.base.errors import FitterError
from fitter.tui.view import View


class Guarded(MessagePump):
    """Mixed in before a widget, a screen or the app: an exception costs the message, not the widget."""

    async def _dispatch_message(self, message: Message) -> None:
        try:
            await super()._dispatch_message(message)
        except Exception as error:
            self.app._handle_exception(error)


class Base(Guarded, Screen[None]):
    """The window under whatever lies over it."""

    def once_drawn(self, call: Callable[[], None], by: MessagePump) -> None:
        """Call when the messages that wait for `by` are through and the window is drawn.

        `call_after_refresh` of Textual 8.2 leaves the call to whatever lies on top by then, and a list or a
        page that closes before it rests takes the calls it holds with it; the window stays.
        """
        by.call_later(self._invoke_later, call, by)


class Palette(Guarded, CommandPalette):
    """The list of commands; keys typed too fast close it once."""

    def dismiss(self, result: Any = None) -> AwaitComplete:
        """Close it, unless it is closed already."""
        return super().dismiss(result) if self.app.screen is self else AwaitComplete()

    @work(exclusive=True, group=CommandPalette._GATHER_COMMANDS_GROUP)
    async def _gather_commands(self, search_value: str) -> None:
        # A list that closes before its commands are gathered has no place for them any more (Textual 8.2).
        with suppress(NoMatches):
            await unwrap(CommandPalette._gather_commands)(self, search_value)

    def _action_command_list(self, command_action: str) -> None:
        # A page key that comes before the list is laid out finds no line in it (Textual 8.2).
        with suppress(KeyError):
            super()._action_command_list(command_action)


class Ended(FitterError):
    """A fault that ends the session, shown as a sentence without its trace."""

    def __rich__(self) -> str:
        return str(self).replace("[", r"\[")


PACKAGES = ("fitter-advisor", "numpy", "scipy", "numba", "textual", "pandas", "typst", "msgspec")


def sentence(what: str, error: BaseException, view: View) -> str:
    """Say what failed, and where the report lies.

    Parameters
    ----------
    what : str
        What was being done, such as 'The ranking'.
    error : BaseException
    view : View
        What was on the screen.
    """
    said = " ".join(str(error).split())
    failed = f"{what} failed ({type(error).__name__}{': ' * bool(said)}{said[:120]})."
    try:
        file = write(what, error, view)
    except (FitterError, OSError) as problem:
        return f"{failed} No report could be written: {problem}"
    return f"{failed} A report to send to the makers: {file}."


def write(what: str, error: BaseException, view: View) -> Path:
    """Write the report; the same fault at the same place gives the same file.

    Raises
    ------
    FitterError, OSError
        If it cannot be written.
    """
    trace = "".join(traceback.format_exception(error))
    digest = hashlib.sha256(trace.encode("utf-8", "replace")).hexdigest()[:8]
    file = files.state_folder() / f"report-{digest}.txt"
    file.parent.mkdir(parents=True, exist_ok=True)
    first = f"{what} failed. Read before you send it: the trace names folders, the error may name values."
    text = "\n".join([first, "", *_versions(), "", "What was asked:", *_asked(view), "", trace])
    files.write_whole(file, text.encode("utf-8", "replace"))
    return file


def _versions() -> list[str]:
    found = [f"Python {sys.version.split()[0]}, {platform.platform()}, {platform.machine()}"]
    for name in PACKAGES:
        try:
            found.append(f"{name} {metadata.version(name)}")
        except metadata.PackageNotFoundError:
            found.append(f"{name}: not installed")
    return found


def _asked(view: View) -> list[str]:
    """Settings and counts: no shot, no player's name, no path."""
    b = view.bench
    kit = f"{len(view.kit.heads)} heads, {len(view.kit.shafts)} shafts" if view.kit else "none"
    shots = f"{len(view.reading.session)}, {len(b.typed)} of them typed" if view.reading else "none read"
    return [
        f"  wish {b.objective}, {b.hand}-handed, units {b.units}, face set {b.sets_face}",
        f"  decided for {b.conditions}",
        f"  measured in {b.measured}",
        f"  on the bench {b.steps}",
        f"  kit: {kit}; shots: {shots}; in progress: {view.busy or 'nothing'}",
    ]
