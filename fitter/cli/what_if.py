"""The option ``--if``: 'attack=+2, speed=+3mph, strike=centred'."""

from __future__ import annotations

import argparse

NAME = "--if"


def add_what_if(parser: argparse.ArgumentParser) -> None:
    """Add the option."""
    parser.add_argument(
        NAME,
        dest="what_if",
        action="append",
        default=[],
        metavar="CHANGES",
        help="what if the player swung otherwise: 'attack=+2, speed=+3mph, strike=centred'; also loft, path, "
        "face (R +), toe, high; set-up or a coach's work, told beside the clubs",
    )
