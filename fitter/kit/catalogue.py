"""Every club that the shop can build from a present club, cheapest first, and what each costs to do."""

from __future__ import annotations

import itertools
from collections import Counter
from collections.abc import Iterable
from dataclasses import dataclass, replace

from fitter.base.errors import InputError, Problem
from fitter.base.sources import limit
from fitter.base.units import INCH
from fitter.kit.club import Club, playing_length
from fitter.kit.figures import Reading
from fitter.kit.inventory import Kit
from fitter.kit.offer import Offer, Tier
from fitter.kit.parts import STOCK, Head, Shaft
from fitter.kit.rules import Finding, breaches


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
    rules : tuple of Finding
        Breaches of the Equipment Rules; empty when none is known.
    price : float or None
        Of the parts that are bought, if all of them have one.
    """

    club: Club
    tier: Tier
    availability: str
    rules: tuple[Finding, ...]
    price: float | None


@dataclass(frozen=True)
class Catalogue:
    """What can be built within the limits of an offer.

    Parameters
    ----------
    clubs : tuple of Candidate
        By tier, then in the order of the kit; those that break a rule among them, with the breach named.
    left_out : dict of str to int
        Clubs that the limits leave out, by the first limit that each breaks (`offer.Offer.refusal`).
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
    seen, most = {_identity(present)}, limit("clubs")
    for head, shaft in itertools.product(heads, shafts):
        own_head, own_shaft = head is present.head, shaft is present.shaft
        lent = own_head != own_shaft and not present.known
        if not (own_head and own_shaft) and (lent or not head.takes(shaft)):
            continue
        clubs = _builds(head, shaft, present, offer)
        if own_head and own_shaft:
            clubs = itertools.chain(clubs, _bench_work(present, offer))
        for club in clubs:
            identity = _identity(club)
            if identity in seen:
                continue
            seen.add(identity)
            tier, bought = tier_of(club, present), _bought(club, present)
            stock = _availability(bought, tier)
            prices = [p.price for p in bought]
            price = None if None in prices else sum(p for p in prices if p is not None)
            refusal = offer.refusal((p.code for p in bought), stock, tier, price)
            if refusal:
                left_out[refusal] += 1
                continue
            length = club.length_in.value * INCH
            rules = breaches(head, length, local_length_rule=offer.local_length_rule)
            found.append(Candidate(club, tier, stock, rules, price))
            if len(found) > most:
                raise _too_many(kit, len(heads) * len(shafts), most)
    return Catalogue(tuple(sorted(found, key=lambda c: c.tier)), dict(left_out))


def _too_many(kit: Kit, pairs: int, most: int) -> InputError:
    found = f"more than {most:,} clubs, of {pairs:,} pairs of a head and a shaft"
    do = "Offer fewer: --tiers, --stock, --budget, --without-head, --without-shaft, --lengths none."
    problem = Problem(kit.source or "the kit", found, f"at most {most:,} clubs", do)
    return InputError("The kit offers too many clubs to rank.", [problem])


def tier_of(club: Club, present: Club) -> Tier:
    """Dearest thing that a club needs against the present one."""
    head, shaft = club.head.head != present.head.head, club.shaft.shaft != present.shaft.shaft
    if head or shaft:
        return "E" if head and shaft else "D" if head else "C"
    return "A" if worked(club) == worked(present) else "B"


def worked(club: Club) -> tuple[object, ...]:
    """What the bench makes of a head and a shaft."""
    return (round(club.length_in.value, 4), club.swap_g, club.grip_mass_g, club.tip_cut_mm, club.tip_weight_g)


def _builds(head: Head, shaft: Shaft, present: Club, offer: Offer) -> Iterable[Club]:
    """Every length, sleeve position and weight of a head on a shaft."""
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


def _bench_work(present: Club, offer: Offer) -> Iterable[Club]:
    """Every kind of bench work on the present club in each position of its sleeve."""
    # What was measured on the whole club no longer holds.
    plain = replace(present, frequency_cpm=None, clamp_mm=None, whole=())
    for (loft, lie), work in itertools.product(present.head.positions, BENCH_WORK):
        yield from work(replace(plain, loft_change_deg=loft, lie_change_deg=lie), offer)


def _lengths(club: Club, offer: Offer) -> Iterable[Club]:
    """Cut or extended, without and with each of the head weights."""
    for step, added in itertools.product(filter(None, offer.length_steps_in), (0.0, *offer.added_g)):
        changed = with_length(club, club.length_in.value + step)
        yield replace(changed, swap_g=club.swap_g + added)


def _head_weights(club: Club, offer: Offer) -> Iterable[Club]:
    return (replace(club, swap_g=club.swap_g + added) for added in offer.added_g)


def _grips(club: Club, offer: Offer) -> Iterable[Club]:
    return (replace(club, grip_mass_g=Reading(grip)) for grip in offer.grips_g)


def _tip_weights(club: Club, offer: Offer) -> Iterable[Club]:
    return (replace(club, tip_weight_g=club.tip_weight_g + tip) for tip in offer.tips_g)


BENCH_WORK = (_lengths, _head_weights, _grips, _tip_weights)
"""Every kind of bench work; kinds are not combined, so that options do not multiply."""


def with_length(club: Club, inches: float) -> Club:
    """The same club cut or extended on the bench."""
    read = club.length_in
    return replace(club, length_in=Reading(inches, read.sd), cut_from=club.cut_from or read)


def _identity(club: Club) -> tuple[object, ...]:
    place = "" if club.head.weights and club.place == club.head.weights[0].name else club.place
    sleeve = club.loft_change_deg, club.lie_change_deg
    return (club.head.head, club.shaft.shaft, *sleeve, place, *worked(club))


def _bought(club: Club, present: Club) -> list[Head | Shaft]:
    pairs: list[tuple[Head | Shaft, Head | Shaft]] = [(club.head, present.head), (club.shaft, present.shaft)]
    return [part for part, own in pairs if part.code != own.code]


def _availability(bought: list[Head | Shaft], tier: str) -> str:
    """Slowest of the bought parts; what needs none is in the rack, or buildable today."""
    if bought:
        return max((p.stock for p in bought), key=STOCK.index)
    return "rack" if tier == "A" else "today"


def _own_code(kit: Kit, present: Club) -> None:
    """A card that has the code of a part of the kit would hide that part."""
    code = present.head.head
    if present.head.masses is not None and code in {
        *(h.code for h in kit.heads),
        *(s.code for s in kit.shafts),
    }:
        allowed, do = "a code that the kit does not have", "Change code in the card."
        raise InputError(
            "The club card hides a part of the kit.", [Problem("card, code", repr(code), allowed, do)]
        )
