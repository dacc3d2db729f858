"""What balls with other clubs did to a ranking, in words."""

from __future__ import annotations

from typing import Any

from fitter.advice.balls import OBSERVED
from fitter.advice.belief import Comparison, Reading
from fitter.advice.heard import Heard
from fitter.advice.suspect import Suspect
from fitter.advice.verdict import Verdict
from fitter.base.units import US, Units
from fitter.display.shots import label
from fitter.shots.vocabulary import CHANNELS

PAPER = "paper"
"""Of an option that nobody hit."""
TOLD_APART = ("launch_deg", "spin_rpm", "ball_speed_mps")
"""Channels by which a club is known, those that are named when they agree."""


def balls(count: int) -> str:
    """How often an option was hit.

    Examples
    --------
    >>> balls(12), balls(1), balls(0)
    ('12 balls', '1 ball', 'paper')
    """
    return f"{count} ball{'s' if count > 1 else ''}" if count else PAPER


def surprise(option: str, found: tuple[Comparison, ...], agreed: tuple[str, ...], units: Units = US) -> str:
    """Predicted and measured channels that differ beyond both intervals."""
    differing = {c.channel for c in found}
    same = [label(c) for c in TOLD_APART if c in agreed]
    named = [label(c) for c in OBSERVED if c in differing]
    verb = "does" if len(named) == 1 else "do"
    lead = f"{_listed(same)} agree{'s' if len(same) == 1 else ''}, " if same else ""
    figures = "; ".join(
        f"{label(c.channel)} predicted {_span(c.channel, c.predicted, units)}, "
        f"measured {_span(c.channel, c.measured, units)}"
        for c in found
    )
    return f"is {option} the club that was hit? {lead}{_listed(named)} {verb} not ({figures})"


def _listed(words: list[str]) -> str:
    return " and ".join(filter(None, (", ".join(words[:-1]), words[-1])))


def _span(channel: str, found: Reading, units: Units) -> str:
    core = CHANNELS[channel].unit or ""
    digits = 0 if core in ("rpm", "m") else 1
    low, high = (units.value(v, core) for v in (found.low, found.high))
    return f"{low:.{digits}f} to {high:.{digits}f} {units.unit(core)}"


def suspect(found: Suspect) -> str:
    """A club whose balls start as those of another loft would."""
    more = "more" if found.loft_deg > 0.0 else "less"
    return (
        f"the balls with {found.club} start as if its loft were {abs(found.loft_deg):.0f} deg {more} than "
        "predicted: look at what is mounted; its balls count as they are noted"
    )


def turned(heard: Heard, verdict: Verdict) -> str:
    """Sentence that says what the balls changed, '' where the verdict is that of paper.

    Parameters
    ----------
    heard : Heard
    verdict : Verdict
        After the balls.
    """
    if verdict.same(heard.paper):
        return ""
    before = heard.paper
    words = before.action if before.option is None else f"{before.action} {before.option}"
    return f"{balls(heard.balls).capitalize()} with other clubs turned it: on paper it was '{words}'."


def told(found: Heard) -> dict[str, Any]:
    """JSON of it."""
    return {
        "balls": found.balls,
        "hit": found.hit,
        "paper": {"action": found.paper.action, "option": found.paper.option},
        "compared": [{**c._asdict(), "predicted": c.predicted._asdict(), "measured": c.measured._asdict(),
                      "differs": c.differs} for c in found.compared],
        "suspects": [s._asdict() for s in found.suspects],
    }  # fmt: skip
