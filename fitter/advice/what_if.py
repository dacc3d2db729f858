"""What if the player swung otherwise: set-up and a coach's work beside the clubs, never mixed with them."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, fields, replace

import numpy as np

from fitter.advice.response import Changes
from fitter.base.assumptions import current
from fitter.base.errors import InputError, Problem, raise_if
from fitter.base.units import DEG, parse_quantity
from fitter.physics import vectors

WORDS = {
    "speed": ("speed", "speed_mps", 1.0), "attack": ("angle", "attack_deg", 1.0),
    "loft": ("angle", "loft_deg", 1.0), "path": ("angle", "path_deg", 1.0),
    "face": ("angle", "face_deg", 1.0), "toe": ("strike", "toe_mm", 1e-3),
    "high": ("strike", "high_mm", 1e-3),
}  # fmt: skip
"""What can be asked in words: kind of quantity, field of `WhatIf`, and its unit in the core's."""
ALLOWED = f"{', '.join(f'{word}=+N' for word in WORDS)} or strike=centred"
_PLACES = {
    "attack_deg": (vectors.ATTACK, DEG), "loft_deg": (vectors.LOFT, DEG), "path_deg": (vectors.PATH, DEG),
    "face_deg": (vectors.FACE, DEG), "toe_mm": (vectors.TOE, 1e-3), "high_mm": (vectors.HIGH, 1e-3),
}  # fmt: skip


@dataclass(frozen=True)
class WhatIf:
    """Changes of the player's delivery, the same for every shot and club, sides as the player sees them.

    Parameters
    ----------
    speed_mps : float
        Of club speed.
    attack_deg, loft_deg, path_deg, face_deg : float
        Of attack, delivered loft, path and face, right +.
    toe_mm, high_mm : float
        Of the middle of the strikes, to the toe and up.
    centred : bool
        Move the middle of the strikes to the face centre; their scatter stays.

    Raises
    ------
    InputError
        If a change is no number, or larger than its ``what_if`` of the judged numbers.
    """

    speed_mps: float = 0.0
    attack_deg: float = 0.0
    loft_deg: float = 0.0
    path_deg: float = 0.0
    face_deg: float = 0.0
    toe_mm: float = 0.0
    high_mm: float = 0.0
    centred: bool = False

    def __post_init__(self) -> None:
        problems = [
            Problem(f"what if, {name}", f"{getattr(self, name):g}", f"{-most:g} to {most:g}", "Ask for less.")
            for name, most in ((name, current().value(f"what_if.{name}")) for _, name, _ in WORDS.values())
            if not abs(getattr(self, name)) <= most
        ]
        raise_if(problems, "That would be another player.")

    def __bool__(self) -> bool:
        return self != WhatIf()

    @property
    def told(self) -> Mapping[str, float | bool]:
        """What is changed, by field."""
        here = {f.name: getattr(self, f.name) for f in fields(self)}
        return {name: value for name, value in here.items() if value}

    def mirrored(self) -> WhatIf:
        """For a left-hander's shots, which are mirrored."""
        return replace(self, path_deg=-self.path_deg, face_deg=-self.face_deg)

    def on(self, changed: Changes, swings: np.ndarray) -> Changes:
        """Give every option the changed delivery.

        Parameters
        ----------
        changed : Changes
        swings : ndarray, shape (shots, 7)
            Deliveries of the baseline: their mean tells what a change of speed or a centred strike is.
        """
        if not self:
            return changed
        delivery = changed.delivery.copy()
        delivery[..., vectors.CLUB_SPEED] *= 1.0 + self.speed_mps / swings[:, vectors.CLUB_SPEED].mean()
        for name, (place, unit) in _PLACES.items():
            delivery[..., place] += getattr(self, name) * unit
        if self.centred:
            for place in (vectors.TOE, vectors.HIGH):
                delivery[..., place] -= swings[:, place].mean()
        return replace(changed, delivery=delivery)


def parse(texts: Sequence[str], units: str, where: str = "") -> WhatIf:
    """Read the changes of a delivery, in words; every problem at once.

    Parameters
    ----------
    texts : sequence of str
        Such as 'attack=+2, strike=centred'.
    units : {'us', 'metric'}
        Of bare numbers.
    where : str
        What stands before the words in a complaint.

    Raises
    ------
    InputError
        If a word or a quantity does not read, or is asked twice, or is too much.

    Examples
    --------
    >>> parse(["attack=+2, strike=centred"], "us").told
    {'attack_deg': 2.0, 'centred': True}
    """
    given: dict[str, float | bool] = {}
    problems: list[Problem] = []
    for part in (x.strip() for text in texts for x in text.split(",") if x.strip()):
        try:
            name, value = _one(part, units, where)
        except InputError as error:
            problems += error.problems
            continue
        if name in given:
            problems.append(Problem(where or "what if", repr(part), "each change once", "Keep one."))
        given[name] = value
    raise_if(problems, "That change of the swing is not clear.")
    return WhatIf(**given)  # type: ignore[arg-type]


def _one(part: str, units: str, where: str) -> tuple[str, float | bool]:
    word, _, value = (x.strip().casefold() for x in part.partition("="))
    if word == "strike" and value in ("centred", "centered", "centre"):
        return "centred", True
    if word not in WORDS or not value:
        problem = Problem(where or "what if", repr(part), ALLOWED, "Write WORD=CHANGE, several with commas.")
        raise InputError("That change of the swing is not clear.", [problem])
    kind, name, unit = WORDS[word]
    return name, round(parse_quantity(value, kind, units, f"{where} {word}".strip()) / unit, 9)
