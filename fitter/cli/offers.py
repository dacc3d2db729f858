"""Options that say what the shop offers and what the player wants, the same for every command that ranks."""

from __future__ import annotations

import argparse
import math
from typing import TYPE_CHECKING, Any

from fitter.base.errors import InputError, Problem
from fitter.base.units import INCH, parse_quantity
from fitter.cli.arguments import option, together

if TYPE_CHECKING:
    from fitter.kit.offer import Offer

LISTS: dict[str, tuple[str, str, float, str]] = {
    "length_steps": ("length_steps_in", "club length", INCH, "cut or extend the present club by these, in"),
    "lengths": ("lengths_in", "club length", INCH, "lengths to build every shaft to besides its own, in"),
    "head_weights": ("added_g", "mass", 1e-3, "make the present head heavier by these, g"),
    "grips": ("grips_g", "mass", 1e-3, "masses of other grips on the present shaft, g"),
    "tip_weights": ("tips_g", "mass", 1e-3, "weights in the tip of the present shaft, g"),
    "ball_steps": ("ball_mm", "strike", 1e-3, "ball positions against the present one, mm, forward +"),
    "tee_steps": ("tee_mm", "strike", 1e-3, "tee heights against the present one, mm, higher +"),
}
"""Option: field of `Offer`, kind of its quantities, unit of the field in the core's unit, help."""


def add(parser: argparse.ArgumentParser) -> None:
    """Add what is tried, and the limits of shop and player."""
    group = parser.add_argument_group("what is offered")
    group.add_argument("--stock", metavar="LIST", help="stock that may be bought: rack,today,order (all)")
    group.add_argument("--tiers", metavar="LETTERS", help="tiers that may be named, such as AB (ABCDE)")
    group.add_argument("--budget", metavar="MONEY", help="most that the bought parts may cost")
    for part in ("head", "shaft"):
        group.add_argument(
            f"--without-{part}",
            action="append",
            metavar="CODE",
            help=f"a {part} that is not to be bought; may stand several times",
        )
    for name, (_, _, _, words) in LISTS.items():
        group.add_argument(option(name), metavar="LIST", help=f"{words}; a list with commas, or none")
    group.add_argument(
        "--allow-breaches", action="store_true", help="clubs that break a rule may be recommended"
    )
    group.add_argument(
        "--local-length-rule",
        "--local-length",
        action="store_true",
        help="the 46 in local rule (G-10) is in force",
    )


def read(args: argparse.Namespace) -> Offer:
    """Offer of a command; every problem at once.

    Raises
    ------
    InputError
        If a list or a number does not read, or makes no sense.
    """
    from fitter.kit.offer import offer

    given: dict[str, Any] = {
        "without_heads": tuple(args.without_head or ()),
        "without_shafts": tuple(args.without_shaft or ()),
        "allow_breaches": args.allow_breaches,
        "local_length_rule": args.local_length_rule,
    }
    if args.stock is not None:
        given["stock"] = tuple(_words(args.stock.casefold()))
    if args.tiers is not None:
        given["tiers"] = tuple(c for c in args.tiers.upper() if c not in ", ")
    with together("This cannot be offered.") as gather:
        if args.budget is not None:
            given["budget"] = gather(_money, args.budget)
        for name, (field, kind, unit, _) in LISTS.items():
            text = getattr(args, name)
            if text is not None:
                given[field] = tuple(
                    round(value / unit, 6)
                    for word in _words(text)
                    if word.casefold() != "none"
                    and (value := gather(parse_quantity, word, kind, args.units, option(name))) is not None
                )
        gather(offer, **given)
    return offer(**given)


def _words(text: str) -> list[str]:
    return [word.strip() for word in text.split(",") if word.strip()]


def _money(text: str) -> float:
    try:
        value = float(text)
    except ValueError:
        value = math.nan
    if not math.isfinite(value):
        problem = Problem("--budget", repr(text), "a number", "Give an amount in the shop's money.")
        raise InputError("The budget is no number.", [problem])
    return value
