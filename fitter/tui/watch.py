"""What is known of a log that is watched: one frozen value for each source, replaced whole."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

from fitter.shots.session import Session
from fitter.tui import reading
from fitter.tui.reading import Stamp

POLL_S = 0.2
"""How often a log is looked at."""
Source = tuple[str, str, str, tuple[tuple[str, str], ...]]
"""File, player, hand, corrections: what is read of a log hangs on all of them."""
Told = Callable[[str, BaseException], str]


@dataclass(frozen=True, eq=False)
class Known:
    """What was read of a source.

    Parameters
    ----------
    session : Session or None
        The last that could be read.
    stamp : Stamp or None
        How the file looked then; None before the first look.
    problem : str
        What was wrong with the file, '' when all is well.
    """

    session: Session | None = None
    stamp: Stamp | None = None
    problem: str = ""


def look(source: Source, known: Known, told: Told) -> tuple[Known, tuple[str, ...]]:
    """Read a log anew where it changed since it was known.

    Parameters
    ----------
    source : Source
    known : Known
        Stamp and session of one look: taken from two, a file could count as read whose shots are not there.
    told : callable
        Makes a sentence of a fault of the program.

    Returns
    -------
    known : Known
    names : tuple of str
        Players to bring to the bench, when nobody was named yet.
    """
    now = reading.stamp(source[0]) if source[0] else Stamp()
    if not source[0] or now == known.stamp:
        return Known(known.session, now, known.problem), ()
    names: tuple[str, ...] = ()
    found, live = None, False
    try:
        live = reading.unfinished(source[0])
        found, names, problem = reading.mine(*source, live=live)
    except Exception as error:
        problem = told("Reading the log", error)
    # A line without an end is read on at the next look.
    return Known(found or known.session, Stamp() if live else now, problem), names
