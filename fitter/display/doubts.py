"""What a log contradicts, in one sentence each, with the cure as the command line takes it."""

from __future__ import annotations

import math
import shlex
from collections.abc import Iterable

from fitter.base.units import US, Units
from fitter.display.shots import label
from fitter.shots.findings import Doubt
from fitter.shots.session import Session
from fitter.shots.vocabulary import CHANNELS


def sentence(doubt: Doubt, units: Units = US) -> str:
    """One doubt: what looks wrong, by which figures, and what would mend it.

    Examples
    --------
    >>> cure = (("AoA", "-attack_deg"),)
    >>> told = Doubt("sign", ("attack_deg",), cure, "", "spin_rpm", 9, 12, 2734.0, 4470.0)
    >>> sentence(told)[:75]
    'attack seems to count the other way (spin 2734 rpm, where the rest says 447'
    """
    said = _what(doubt)
    figures = _figures(doubt, units)
    cure = remedy(doubt)
    return f"{said}{figures}: {cure}" if cure else f"{said}{figures}"


def _what(doubt: Doubt) -> str:
    names = [label(c) for c in doubt.channels]
    both = " and ".join(names)
    if doubt.code == "exchanged":
        return f"the columns of {both} look exchanged"
    if doubt.code == "sign":
        left = ", or the player is left-handed (--hand left)" if doubt.channels == ("strike_toe_mm",) else ""
        return f"{both} seems to count the other way{left}"
    if doubt.code == "unit":
        verb = "look" if len(names) > 1 else "looks"
        return f"{both} {verb} as if written in {doubt.unit}"
    if doubt.code == "two clubs":
        return "the log looks like two clubs in one"
    if doubt.code == "shifted":
        return "rows do not stand under their headers"
    if doubt.code == "club speed":
        return "club speed was not measured but inferred from the ball"
    others = ", ".join(names[1:])
    return f"{names[0]} does not agree with {others}" if others else f"{names[0]} cannot be right"


def _figures(doubt: Doubt, units: Units) -> str:
    if doubt.about not in CHANNELS or not math.isfinite(doubt.found):
        return f" ({doubt.shots} of {doubt.of} shots)" if doubt.of else ""
    channel = CHANNELS[doubt.about]
    core = channel.unit or ""
    digits = 0 if core in ("rpm", "mm") else 1

    def shown(value: float) -> str:
        if not math.isfinite(value):
            return "something impossible"
        number = units.value(value, core)
        words = units.side(number, digits=digits) if channel.mirrored else f"{number:.{digits}f}"
        return f"{words} {units.unit(core)}".strip()

    of = f"; {doubt.shots} of {doubt.of} shots" if doubt.of else ""
    return f" ({channel.label} {shown(doubt.found)}, where the rest says {shown(doubt.expected)}{of})"


def remedy(doubt: Doubt) -> str:
    """Options of the command line that would mend it, '' if nobody knows."""
    if doubt.code == "two clubs":
        one = "or say that it is one with --set build=NAME"
        return f"name the shots of each with --set 'build=NAME shots=8-14', {one}"
    return " ".join(f"--map {shlex.quote(f'{header}={target}')}" for header, target in doubt.cure)


def confirmation(doubts: Iterable[Doubt], session: Session) -> str:
    """How to say on the command line that the doubted columns are right as they are, '' where nobody can."""
    pairs = confirmed(doubts, session)
    return " ".join(f"--map {shlex.quote(f'{header}={target}')}" for header, target in pairs)


def confirmed(doubts: Iterable[Doubt], session: Session) -> list[tuple[str, str]]:
    """Corrections that leave the doubted columns as they are: header and channel."""
    named = dict.fromkeys(
        c for d in doubts if d.code in ("exchanged", "sign", "unit", "disagrees") for c in d.channels[:1]
    )
    headers = {c.channel: c.header for c in reversed(list(session.columns.values()))}
    return [(headers[c], c) for c in named if c in headers]


def lead(session: Session, units: Units = US) -> str:
    """Sentence that goes before a verdict on a log that is doubted, '' on any other."""
    if not session.doubts:
        return ""
    seen = (session.mirrored() if session.hand == "left" else session).doubts
    said = "; ".join(sentence(d, units) for d in seen)
    right = confirmation(seen, session)
    keep = f" If it is right as it stands, say so with {right}." if right else ""
    return f"Mend the log first: {said}.{keep}"
