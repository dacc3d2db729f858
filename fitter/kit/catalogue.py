"""Every club that the shop can build from a present club, cheapest first, and what each costs to do."""

from __future__ import annotations

import itertools
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import Literal

from fitter.errors import InputError, Problem
from fitter.kit.club import Club, playing_length
from fitter.kit.figures import Reading
from fitter.kit.inventory import Kit
from fitter.kit.parts import STOCK, Head, Shaft
from fitter.kit.rules import breaches
from fitter.units import INCH

Tier = Literal["A", "B", "C", "D", "E"]
TIERS: dict[Tier, str] = {
    "A": "nothing bought: sleeve, movable weight",
    "B": "bench work: length, weight, grip",
    "C": "shaft",
    "D": "head",
    "E": "head and shaft",
}


@dataclass(frozen=True)
class Candidate:
    """One club that can be built.

    Parameters
    ----------
    club : Club
    tier : str
        Key of `TIERS`: the dearest thing that it needs.
    availability : str
        One of `STOCK`: the slowest of its parts.
    rules : tuple of str
        Breaches of the Equipment Rules; empty when none is known.
    price : float or None
        Of the parts that are bought, if all of them have one.
    """

    club: Club
    tier: Tier
    availability: str
    rules: tuple[str, ...]
    price: float | None


def candidates(
    kit: Kit,
    present: Club,
    *,
    lengths_in: Sequence[float] = (),
    length_steps_in: Sequence[float] = (),
    grips_g: Sequence[float] = (),
    added_g: Sequence[float] = (),
    swaps: bool = True,
    stock: Iterable[str] = STOCK,
    tiers: Iterable[Tier] = tuple(TIERS),
    local_length_rule: bool = False,
    allow_breaches: bool = False,
) -> tuple[Candidate, ...]:
    """List the clubs that can be built, without the present one.

    Parameters
    ----------
    kit : Kit
    present : Club
        Its head and its shaft are candidates in every tier that they fit.
    lengths_in : sequence of float
        Club lengths to offer with every shaft besides its own playing lengths.
    length_steps_in : sequence of float
        Changes of the present shaft's length on the bench, in; negative cuts, positive extends.
    grips_g : sequence of float
        Masses of other grips to offer on the present shaft.
    added_g : sequence of float
        Masses to offer on the present head by tape or a tip weight, taken at its mass centre.
    swaps : bool
        Offer the other weights of the heads.
    stock : iterable of str
        Which of `STOCK` may be used.
    tiers : iterable of str
    local_length_rule : bool
        Whether Model Local Rule G-10 (46 in) is in force.
    allow_breaches : bool
        Keep clubs that break a rule, with the breach named; else they are left out.

    Returns
    -------
    tuple of Candidate
        By tier, then in the order of the kit. Parts of an unknown present club are not offered in other
        clubs: nobody knows what they are.

    Raises
    ------
    InputError
        If a stock word or a tier is not known, or a card's code is also one of the kit.
    """
    allowed, wanted = set(stock), set(tiers)
    _known(allowed, STOCK, "stock")
    _known(wanted, tuple(TIERS), "tier")
    heads = [present.head, *(h for h in kit.heads if h.head != present.head.head and h.stock in allowed)]
    shafts = [
        present.shaft,
        *(s for s in kit.shafts if s.shaft != present.shaft.shaft and s.stock in allowed),
    ]
    _own_code(kit, present)
    bench = _Bench(tuple(lengths_in), tuple(length_steps_in), tuple(grips_g), tuple(added_g), swaps)
    found: list[Candidate] = []
    seen = {_identity(present)}
    for head in heads:
        for shaft in shafts:
            own_head, own_shaft = head is present.head, shaft is present.shaft
            if not (own_head and own_shaft) and not (present.known or not (own_head or own_shaft)):
                continue
            if not (own_head and own_shaft) and not head.takes(shaft):
                continue
            for club in _variants(head, shaft, present, bench):
                identity = _identity(club)
                tier = tier_of(club, present)
                if identity in seen or tier not in wanted:
                    continue
                seen.add(identity)
                rules = breaches(head, club.length_in.value * INCH, local_length_rule=local_length_rule)
                if rules and not allow_breaches:
                    continue
                price = _price(club, present)
                found.append(Candidate(club, tier, _availability(club, present), rules, price))
    return tuple(sorted(found, key=lambda c: c.tier))


def tier_of(club: Club, present: Club) -> Tier:
    """Dearest thing that a club needs against the present one."""
    head, shaft = club.head.head != present.head.head, club.shaft.shaft != present.shaft.shaft
    if head or shaft:
        return "E" if head and shaft else "D" if head else "C"
    same = (
        club.length_in.value == present.length_in.value
        and club.swap_g == present.swap_g
        and club.grip_mass_g == present.grip_mass_g
        and club.tip_cut_mm == present.tip_cut_mm
    )
    return "A" if same else "B"


@dataclass(frozen=True)
class _Bench:
    lengths_in: tuple[float, ...]
    length_steps_in: tuple[float, ...]
    grips_g: tuple[float, ...]
    added_g: tuple[float, ...]
    swaps: bool


def _variants(head: Head, shaft: Shaft, present: Club, bench: _Bench) -> Iterable[Club]:
    if shaft is present.shaft:
        base = present.length_in
        lengths = [base, *(Reading(base.value + s, base.sd) for s in bench.length_steps_in)]
        grips, tip_cut = [present.grip_mass_g, *map(Reading, bench.grips_g)], present.tip_cut_mm
    else:
        # What is built is measured anew: the present length is only a target.
        target = present.length_in if present.known else playing_length(shaft)
        lengths = [Reading(x) for x in shaft.playing_in] or [Reading(target.value)]
        grips, tip_cut = [None], 0.0
    lengths += [Reading(x) for x in bench.lengths_in]
    places = [w.name for w in head.weights] or [""]
    changes = {0.0, *(head.swaps_g if bench.swaps else ())}
    if head is present.head:
        changes |= {present.swap_g, *bench.added_g}
    for length, (loft, lie), place, swap, grip in itertools.product(
        dict.fromkeys(lengths), head.positions, places, sorted(changes, key=abs), grips
    ):
        yield Club(
            head,
            shaft,
            length,
            loft,
            lie,
            place="" if head.weights and place == head.weights[0].name else place,
            swap_g=swap,
            grip_mass_g=grip,
            tip_cut_mm=tip_cut,
            known=present.known or (head is not present.head and shaft is not present.shaft),
        )


def _identity(club: Club) -> tuple[object, ...]:
    place = club.place
    if club.head.weights and place == club.head.weights[0].name:
        place = ""
    return (club.head.head, club.shaft.shaft, round(club.length_in.value, 4), club.loft_change_deg,
            club.lie_change_deg, place, club.swap_g, club.grip_mass_g, club.tip_cut_mm)  # fmt: skip


def _bought(club: Club, present: Club) -> list[Head | Shaft]:
    parts: list[Head | Shaft] = []
    if club.head.head != present.head.head:
        parts.append(club.head)
    if club.shaft.shaft != present.shaft.shaft:
        parts.append(club.shaft)
    return parts


def _availability(club: Club, present: Club) -> str:
    bought = [STOCK.index(p.stock) for p in _bought(club, present)]
    if bought:
        return STOCK[max(bought)]
    return "rack" if tier_of(club, present) == "A" else "today"


def _own_code(kit: Kit, present: Club) -> None:
    """A card that has the code of a part of the kit would hide that part."""
    code = present.head.head
    if present.head.masses is not None and code in {
        *(h.head for h in kit.heads),
        *(s.shaft for s in kit.shafts),
    }:
        allowed, do = "a code that the kit does not have", "Change code in the card."
        raise InputError(
            "The club card hides a part of the kit.", [Problem("card, code", repr(code), allowed, do)]
        )


def _price(club: Club, present: Club) -> float | None:
    prices = [p.price for p in _bought(club, present)]
    return None if None in prices else sum(p for p in prices if p is not None)


def _known(words: set[str] | set[Tier], allowed: Sequence[str], what: str) -> None:
    wrong = sorted(set(words) - set(allowed))
    if wrong:
        do = "Use one of these."
        raise InputError(f"Unknown {what}.", [Problem(what, ", ".join(wrong), ", ".join(allowed), do)])
