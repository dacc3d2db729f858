"""Widgets that go on after one of their handlers failed; the app says what happened."""

from __future__ import annotations

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
