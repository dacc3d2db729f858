"""The option ``--if``: 'attack=+2, speed=+3mph, strike=centred' read as another delivery."""

from __future__ import annotations

import argparse
from collections.abc import Sequence
from typing import TYPE_CHECKING

from fitter.base.errors import InputError, Problem
from fitter.base.units import parse_quantity
from fitter.cli import work
from fitter.cli.arguments import together

if TYPE_CHECKING:
    from fitter.advice.what_if import WhatIf

WORDS = {
    "speed": ("speed", "speed_mps", 1.0), "attack": ("angle", "attack_deg", 1.0),
    "loft": ("angle", "loft_deg", 1.0), "path": ("angle", "path_deg", 1.0),
    "face": ("angle", "face_deg", 1.0), "toe": ("strike", "toe_mm", 1e-3),
    "high": ("strike", "high_mm", 1e-3),
}  # fmt: skip
"""What can be asked: kind of quantity, field of `WhatIf`, and its unit in the core's."""
ALLOWED = f"{', '.join(f'{word}=+N' for word in WORDS)} or strike=centred"


def add_what_if(parser: argparse.ArgumentParser) -> None:
    """Add the option."""
    parser.add_argument(
        "--if",
        dest="what_if",
        action="append",
        default=[],
        metavar="CHANGES",
        help="what if the player swung otherwise: 'attack=+2, speed=+3mph, strike=centred'; also loft, path, "
        "face (R +), toe, high; set-up or a coach's work, told beside the clubs",
    )


def what_if(texts: Sequence[str], units: str) -> WhatIf:
    """Read the changes of a delivery; every problem at once.

    Raises
    ------
    InputError
        If a word or a quantity does not read, or is asked twice, or is too much.

    Examples
    --------
    >>> what_if(["attack=+2, strike=centred"], "us").told
    {'attack_deg': 2.0, 'centred': True}
    """
    given: dict[str, float | bool] = {}
    with together("That change of the swing is not clear.") as gather:
        for part in (x.strip() for text in texts for x in text.split(",") if x.strip()):
            found = gather(_one, part, units)
            if found is not None:
                gather(_once, found[0], given, part)
                given[found[0]] = found[1]
    return work.what_if.WhatIf(**given)  # type: ignore[arg-type]


def _once(name: str, given: dict[str, float | bool], part: str) -> None:
    if name in given:
        raise InputError("Asked twice.", [Problem("--if", repr(part), "each change once", "Keep one.")])


def _one(part: str, units: str) -> tuple[str, float | bool]:
    word, _, value = (x.strip().casefold() for x in part.partition("="))
    if word == "strike" and value in ("centred", "centered", "centre"):
        return "centred", True
    if word not in WORDS or not value:
        problem = Problem("--if", repr(part), ALLOWED, "Write WORD=CHANGE, several with commas.")
        raise InputError("That change of the swing is not clear.", [problem])
    kind, name, unit = WORDS[word]
    return name, round(parse_quantity(value, kind, units, f"--if {word}") / unit, 9)
