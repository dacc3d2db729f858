"""What to measure next: each step with its minutes and the interval that it saves."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True)
class Step:
    """One thing to do before deciding.

    Parameters
    ----------
    action : str
        Plain words, such as 'gauge the loft of head H3'.
    kind : str
        'loft gauge', 'weighing', 'frequency', 'strike labels', 'balls', 'trial' or 'carry'.
    minutes : float
    option : str or None
        The option whose gain it narrows.
    now, after : float
        Width of that option's 80 % interval now and expected afterwards, in the objective's unit.
    unit : str
        Of both widths.
    """

    action: str
    kind: str
    minutes: float
    option: str | None
    now: float
    after: float
    unit: str
