"""Options of every command that replays a session: which shots, how the face is set, how many draws."""

from __future__ import annotations

import argparse


def add_shots(parser: argparse.ArgumentParser) -> None:
    """Add which shots describe the present club, and how the player sets the face."""
    parser.add_argument("--baseline", metavar="BUILD", help="shots of this build describe the present club")
    parser.add_argument(
        "--sets-face",
        default="unknown",
        metavar="HOW",
        help="how the player sets the face at address: soled, eye or unknown (ask)",
    )
    parser.add_argument(
        "--with-aside",
        action="store_true",
        help="use every shot, misreads too, to see what they would change",
    )


def add_draws(parser: argparse.ArgumentParser) -> None:
    """Add size and seed of the sample of what is not known."""
    parser.add_argument(
        "--draws", type=int, default=256, metavar="N", help="draws of what is not known (256)"
    )
    parser.add_argument("--seed", type=int, default=1, metavar="N", help="the same seed, the same answer")


def check_draws(draws: int) -> None:
    """Refuse a number of draws that cannot carry an interval or would never end."""
    from fitter.errors import InputError, Problem

    if not 16 <= draws <= 65536:
        problem = Problem("--draws", str(draws), "16 to 65536", "256 is enough for most sessions.")
        raise InputError("That number of draws cannot be used.", [problem])
