"""Decisions by hand: a shot set aside or restored, always with a reason from a list, never on its result."""

from __future__ import annotations

import re
import shlex
from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from fitter.base.errors import Problem, raise_if
from fitter.shots.session import Flag, Session

REASONS = ("interrupted", "slipped", "wrong ball", "wrong club", "not read")
"""Why a shot may be set aside by hand."""
_EXAMPLE = "shots=3,7-8 reason=interrupted"
_SPAN = re.compile(r"^(\d+)(?:-(\d+))?$")


@dataclass(frozen=True)
class Decision:
    """Shots that a person sets aside, and why."""

    shots: tuple[int, ...]
    reason: str


def parse(texts: Sequence[str]) -> list[Decision]:
    """Read decisions such as 'shots=3,7-8 reason=interrupted'.

    Raises
    ------
    InputError
        With everything that is wrong in all of them.
    """
    problems: list[Problem] = []
    found = [_one(text, problems) for text in texts]
    raise_if(problems, "--aside cannot be understood.")
    return found


def _one(text: str, problems: list[Problem]) -> Decision:
    where = f"--aside {text!r}"
    try:
        parts = dict(part.partition("=")[::2] for part in shlex.split(text))
    except ValueError:
        parts = {}
    shots: list[int] = []
    for span in filter(None, parts.get("shots", "").split(",")):
        match = _SPAN.match(span.strip())
        first, last = (int(match[1]), int(match[2] or match[1])) if match else (1, 0)
        if not 1 <= first <= last <= 100_000:
            problems.append(Problem(where, repr(span), "such as 3 or 7-8", "Write shots from low to high."))
            continue
        shots += range(first, last + 1)
    if not parts.get("shots"):
        problems.append(Problem(where, "no shots", f"such as '{_EXAMPLE}'", "Name the shots."))
    reason = parts.get("reason", "").replace("-", " ").strip().casefold()
    if reason not in REASONS:
        do = "Give one of these reasons, quoted if it has a blank; a poor result is none."
        problems.append(Problem(where, repr(parts.get("reason", "")), ", ".join(REASONS), do))
    return Decision(tuple(shots), reason)


def apply(session: Session, decisions: Sequence[Decision]) -> Session:
    """Set shots aside by hand, each with a flag that says so.

    Raises
    ------
    InputError
        If a shot is not in the session.
    """
    known = {int(s) for s in session.shot}
    missing = sorted({s for d in decisions for s in d.shots} - known)
    numbers = ", ".join(map(str, missing))
    allowed = f"{min(known, default=0)} to {max(known, default=0)}"
    raise_if(
        [Problem("--aside", f"shots {numbers}", allowed, "Name shots of this log.")] if missing else [],
        "--aside names shots that are not there.",
    )
    flags = [Flag(s, "", "set aside by hand", d.reason, "", True) for d in decisions for s in d.shots]
    aside = {f.shot for f in flags}
    mask = session.set_aside | np.array([int(s) in aside for s in session.shot], dtype=bool)
    return replace(session, flags=(*session.flags, *flags), set_aside=mask)


def with_everything(session: Session) -> Session:
    """Return the session with no shot set aside, to show a result with and without; flags stay."""
    return replace(session, set_aside=np.zeros(len(session), dtype=bool))
