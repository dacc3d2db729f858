"""Widgets that go on after one of their handlers failed; the app says what happened."""

from __future__ import annotations

from contextlib import suppress
from typing import Any

from textual.await_complete import AwaitComplete
from textual.command import CommandPalette
from textual.message import Message
from textual.message_pump import MessagePump
from textual.screen import Screen


class Guarded(MessagePump):
    """Mixed in before a widget, a screen or the app: an exception costs the message, not the widget."""

    async def _dispatch_message(self, message: Message) -> None:
        try:
            await super()._dispatch_message(message)
        except Exception as error:
            self.app._handle_exception(error)


class Base(Guarded, Screen[None]):
    """The window under whatever lies over it."""


class Palette(Guarded, CommandPalette):
    """The list of commands; keys typed too fast close it once."""

    def dismiss(self, result: Any = None) -> AwaitComplete:
        """Close it, unless it is closed already."""
        return super().dismiss(result) if self.app.screen is self else AwaitComplete()

    def _action_command_list(self, command_action: str) -> None:
        # A page key that comes before the list is laid out finds no line in it (Textual 8.2).
        with suppress(KeyError):
            super()._action_command_list(command_action)
