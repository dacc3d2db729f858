"""Every club that the shop can build from a present club, cheapest first, and what each costs to do."""

from __future__ import annotations

import itertools
from collections import Counter
from collections.abc import Iterable
from dataclasses import dataclass, replace

from fitter.base.errors import InputError, Problem
from fitter.base.units import INCH
from fitter.kit.club import Club, playing_length
from fitter.kit.figures import Reading
from fitter.kit.inventory import Kit
from fitter.kit.offer import Offer, Tier
from fitter.kit.parts import STOCK, Head, Shaft
from fitter.kit.rules import breaches


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


@dataclass(frozen=True)
class Catalogue:
    """What can be built within the limits of an offer.

    Parameters
    ----------
    clubs : tuple of Candidate
        By tier, then in the order of the kit; those that break a rule among them, with the breach named.
    left_out : dict of str to int
        Clubs that the limits leave out, by the first limit that each breaks (`offer.LEFT_OUT`).
    """

    clubs: tuple[Candidate, ...]
    left_out: dict[str, int]


def candidates(kit: Kit, present: Club, offer: Offer) -> Catalogue:
    """List the clubs that can be built, without the present one.

    Parameters
    ----------
    kit : Kit
    present : Club
        Its head and its shaft are candidates in every tier that they fit.
    offer : Offer
        What is tried, and the limits.

    Returns
    -------
    Catalogue
        Parts of an unknown present club are not offered in other clubs: nobody knows what they are.

    Raises
    ------
    InputError
        If the kit lacks a part that is not wanted, or a card's code is also one of the kit.
    """
    offer.check(kit)
    _own_code(kit, present)
    heads = [present.head, *(h for h in kit.heads if h.head != present.head.head)]
    shafts = [present.shaft, *(s for s in kit.shafts if s.shaft != present.shaft.shaft)]
    found: list[Candidate] = []
    left_out: Counter[str] = Counter()
    seen = {_identity(present)}
    for head, shaft in itertools.product(heads, shafts):
        own_head, own_shaft = head is present.head, shaft is present.shaft
        lent = own_head != own_shaft and not present.known
        if not (own_head and own_shaft) and (lent or not head.takes(shaft)):
            continue
        for club in _variants(head, shaft, present, offer):
            identity = _identity(club)
            if identity in seen:
                continue
            seen.add(identity)
            tier, stock, price = tier_of(club, present), _availability(club, present), _price(club, present)
            refusal = offer.refusal((p.code for p in _bought(club, present)), stock, tier, price)
            if refusal:
                left_out[refusal] += 1
                continue
            length = club.length_in.value * INCH
            rules = breaches(head, length, local_length_rule=offer.local_length_rule)
            found.append(Candidate(club, tier, stock, rules, price))
    return Catalogue(tuple(sorted(found, key=lambda c: c.tier)), dict(left_out))


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
        and club.tip_weight_g == present.tip_weight_g
    )
    return "A" if same else "B"


def _variants(head: Head, shaft: Shaft, present: Club, offer: Offer) -> Iterable[Club]:
    """Every length, setting and weight of a head on a shaft, then bench work on the present club."""
    own_shaft = shaft is present.shaft
    if own_shaft:
        lengths = [present.length_in]
    else:
        # What is built is measured anew: the present length is only a target.
        target = present.length_in if present.known else playing_length(shaft)
        lengths = [Reading(x) for x in shaft.playing_in] or [Reading(target.value)]
    lengths += [Reading(x) for x in offer.lengths_in]
    places = [w.name for w in head.weights] or [""]
    changes = {0.0, *(head.swaps_g if offer.swaps else ())}
    if head is present.head:
        changes |= {present.swap_g}
    for length, (loft, lie), place, swap in itertools.product(
        dict.fromkeys(lengths), head.positions, places, sorted(changes, key=abs)
    ):
        yield Club(
            head,
            shaft,
            length,
            loft,
            lie,
            place="" if head.weights and place == head.weights[0].name else place,
            swap_g=swap,
            grip_mass_g=present.grip_mass_g if own_shaft else None,
            tip_cut_mm=present.tip_cut_mm if own_shaft else 0.0,
            tip_weight_g=present.tip_weight_g if own_shaft else 0.0,
            known=present.known or (head is not present.head and not own_shaft),
        )
    if own_shaft and head is present.head:
        for loft, lie in head.positions:
            yield from _bench_work(replace(_plain(present), loft_change_deg=loft, lie_change_deg=lie), offer)


def _bench_work(club: Club, offer: Offer) -> Iterable[Club]:
    """One step of the bench, or a length with a head weight, so that options do not multiply."""
    read = club.length_in
    lengths = [club, *(with_length(club, read.value + step) for step in offer.length_steps_in if step)]
    for cut, added in itertools.product(lengths, (0.0, *offer.added_g)):
        yield replace(cut, swap_g=cut.swap_g + added)
    for grip in offer.grips_g:
        yield replace(club, grip_mass_g=Reading(grip))
    for tip in offer.tips_g:
        yield replace(club, tip_weight_g=club.tip_weight_g + tip)


def with_length(club: Club, inches: float) -> Club:
    """The same club cut or extended on the bench."""
    read = club.length_in
    return replace(club, length_in=Reading(inches, read.sd), cut_from=club.cut_from or read)


def _plain(club: Club) -> Club:
    """A club without what was measured on the whole of it: bench work changes that."""
    return replace(club, frequency_cpm=None, clamp_mm=None, whole=())


def _identity(club: Club) -> tuple[object, ...]:
    place = club.place
    if club.head.weights and place == club.head.weights[0].name:
        place = ""
    return (club.head.head, club.shaft.shaft, round(club.length_in.value, 4), club.loft_change_deg,
            club.lie_change_deg, place, club.swap_g, club.grip_mass_g, club.tip_cut_mm,
            club.tip_weight_g)  # fmt: skip


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
