"""What could be changed: clubs that the shop can build, ball positions, tee heights; cheapest tier first."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass, replace

from fitter.assumptions import load
from fitter.errors import InputError, Problem
from fitter.kit.catalogue import candidates
from fitter.kit.club import Club, from_kit
from fitter.kit.club import present as read_present
from fitter.kit.inventory import Kit

TIERS = {
    "A": "nothing bought",
    "B": "bench work",
    "C": "shaft",
    "D": "head",
    "E": "head and shaft",
}
BALL_FORWARD_MM = tuple(k * load().value("offer.ball_mm") for k in (-1.0, 0.0, 1.0))
"""Ball positions offered against the present one."""
TEE_MM = tuple(k * load().value("offer.tee_mm") for k in (-1.0, 1.0))
"""Tee heights offered with the present parts, against the present one."""
AVAILABLE = {"rack": "in the rack", "today": "buildable today", "order": "to order"}

_SLEEVE = re.compile(r"^(?P<head>.+?)(?P<sleeve>[+-]\d+(?:\.\d+)?)$")


@dataclass(frozen=True)
class Option:
    """One club and set-up that could be played.

    Parameters
    ----------
    id : str
        Stable: the same option has the same id in every run.
    tier : str
        Key of `TIERS`, or '-' for the present club as it is.
    club : Club
    ball_forward_mm, tee_mm : float
        Against the present set-up.
    availability : str
        In hand, in the rack, buildable today or to order.
    rules : tuple of str
        Breaches of the Equipment Rules.
    price : float or None
        Of what is bought, in the shop's money.
    """

    id: str
    tier: str
    club: Club
    ball_forward_mm: float = 0.0
    tee_mm: float = 0.0
    availability: str = "in hand"
    rules: tuple[str, ...] = ()
    price: float | None = None

    def steps(self, present: Club) -> int:
        """How many things change at once against the present club as it is."""
        c = self.club
        changed = (
            c.head.code != present.head.code,
            c.shaft.code != present.shaft.code,
            c.head.code == present.head.code and c.loft_change_deg != present.loft_change_deg,
            c.length_in.value != present.length_in.value,
            c.swap_g != present.swap_g or c.place != present.place,
            bool(self.ball_forward_mm),
            bool(self.tee_mm),
        )
        return sum(changed)


def present_club(kit: Kit, text: str) -> Club:
    """Present club from CARD.toml, 'HEAD/SHAFT', 'HEAD+1/SHAFT' (sleeve position) or 'unknown'.

    Raises
    ------
    InputError
        If the words, a code or the sleeve's position cannot be understood; all problems at once.
    """
    head, slash, shaft = text.partition("/")
    codes = {h.code for h in kit.heads}
    match = _SLEEVE.match(head.strip())
    if slash and head.strip() not in codes and match and match["head"] in codes:
        return from_kit(kit, f"{match['head']}/{shaft}", loft_change_deg=float(match["sleeve"]))
    if slash and not text.casefold().endswith(".toml"):
        _look_up(kit, head.strip(), shaft.strip())
    return read_present(text, kit)


def _look_up(kit: Kit, head: str, shaft: str) -> None:
    """Complain of an unknown head and an unknown shaft in one error."""
    problems: list[Problem] = []
    for find, code in ((kit.head, head), (kit.shaft, shaft)):
        try:
            find(code)
        except InputError as error:
            problems += error.problems
    if problems:
        raise InputError(f"--present {head}/{shaft} is not in the kit.", problems)


def set_up_id(code: str, ball_forward_mm: float, tee_mm: float) -> str:
    """Stable id of a club in a set-up.

    Examples
    --------
    >>> set_up_id("H2+1/S3 45.25in", 20.0, 0.0)
    'H2+1/S3 45.25in ball+20'
    """
    ball = f" ball{ball_forward_mm:+g}" if ball_forward_mm else ""
    tee = f" tee{tee_mm:+g}" if tee_mm else ""
    return f"{code}{ball}{tee}"


def enumerate_options(
    kit: Kit,
    present: Club,
    ball_forward_mm: Sequence[float] = BALL_FORWARD_MM,
    tee_mm: Sequence[float] = TEE_MM,
) -> tuple[Option, ...]:
    """Every option, the present club first, then by tier and id.

    Parameters
    ----------
    kit : Kit
        What the shop can build; the present parts are candidates in every tier that they fit.
    present : Club
        The club that hit the shots.
    ball_forward_mm, tee_mm : sequence of float
        Ball positions (with every club) and tee heights (with the present parts) besides the present ones.
    """
    here = Option(present.code, "-", present)
    clubs = [replace(here, tier="A")]
    clubs += [
        Option(
            c.club.code,
            c.tier,
            c.club,
            availability="in hand" if c.tier in "AB" else AVAILABLE[c.availability],
            rules=c.rules,
            price=c.price,
        )
        for c in candidates(kit, present)
    ]
    found = [here]
    balls = dict.fromkeys([0.0, *ball_forward_mm])
    for option in clubs:
        places = [(ball, 0.0) for ball in balls]
        if option.tier == "A":
            places += [(0.0, tee) for tee in tee_mm if tee]
        for ball, tee in places:
            if option.club is present and not ball and not tee:
                continue
            name = set_up_id(option.id, ball, tee)
            found.append(replace(option, id=name, ball_forward_mm=ball, tee_mm=tee))
    return tuple(sorted(found, key=lambda o: ("-ABCDE".index(o.tier), o.id)))
