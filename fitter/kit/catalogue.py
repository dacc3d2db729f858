"""Every club that the shop can build from a present club, cheapest first, and what each costs to do."""

from __future__ import annotations

import itertools
from collections import Counter
from collections.abc import Collection, Iterable
from dataclasses import dataclass, replace

from fitter.base.errors import InputError, Problem
from fitter.base.units import INCH
from fitter.kit.club import Club, playing_length
from fitter.kit.figures import Reading
from fitter.kit.inventory import Kit
from fitter.kit.offer import Offer, Tier
from fitter.kit.parts import STOCK, Head, Shaft
from fitter.kit.rules import Finding, breaches
from fitter.kit.sense import too_short
from fitter.kit.suits import suits, windows


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


@dataclass(frozen=True)
class Pair:
    """A head and a shaft that fit each other, one of them bought: all of their clubs cost the same.

    Parameters
    ----------
    head : Head
    shaft : Shaft
    tier : str
        'C', 'D' or 'E'.
    availability : str
        One of `STOCK`: the slower of what is bought.
    price : float or None
        Of what is bought, if all of it has one.
    lengths : tuple of Reading
        To which the shaft is built.
    """

    head: Head
    shaft: Shaft
    tier: Tier
    availability: str
    price: float | None
    lengths: tuple[Reading, ...]


@dataclass(frozen=True)
class Pairs:
    """Pairs within the limits of an offer, in the order of the kit.

    Parameters
    ----------
    offered : tuple of Pair
        Without the present pair, which is there whatever is bought.
    left_out : dict of str to int
        Clubs of the pairs that the limits leave out, by the first limit that each breaks.
    """

    offered: tuple[Pair, ...]
    left_out: dict[str, int]


def pairs(
    kit: Kit,
    present: Club,
    offer: Offer,
    speed_mps: float | None = None,
    asked_for: Collection[str] = (),
) -> Pairs:
    """Pair every head with every shaft that it takes, without the present pair.

    Parameters
    ----------
    kit : Kit
    present : Club
        Its head and its shaft are candidates in every tier that they fit.
    offer : Offer
        What is tried, and the limits.
    speed_mps : float, optional
        The player's mean club speed, m/s: shafts that do not suit it are left out. None where nobody swings.
    asked_for : collection of str
        Codes of shafts that somebody asked for by name: offered whatever suits.

    Raises
    ------
    InputError
        If the kit lacks a part that is not wanted, or a card's code is also one of the kit.
    """
    offer.check(kit)
    _own_code(kit, present)
    heads = [present.head, *(h for h in kit.heads if h.head != present.head.head)]
    shafts = [present.shaft, *(s for s in kit.shafts if s.shaft != present.shaft.shaft)]
    unsuited: set[str] = set()
    if speed_mps is not None and not offer.any_shaft:
        wanted = windows(present.shaft, speed_mps)
        unsuited = {s.code for s in shafts[1:] if s.code not in asked_for and not suits(s, wanted)}
    lengths = {s.code: _lengths_of(s, present, offer) for s in shafts}
    found: list[Pair] = []
    left_out: Counter[str] = Counter()
    for head, shaft in itertools.product(heads, shafts):
        own_head, own_shaft = head is present.head, shaft is present.shaft
        lent = own_head != own_shaft and not present.known
        if (own_head and own_shaft) or lent or not head.takes(shaft):
            continue
        bought = _bought(head, shaft, present)
        tier: Tier = "C" if own_head else "D" if own_shaft else "E"
        built, short = lengths[shaft.code]
        pair = Pair(head, shaft, tier, _availability(bought, tier), _price(bought), built)
        refusal = offer.refusal((p.code for p in bought), pair.availability, tier, pair.price)
        if not refusal and shaft.code in unsuited:
            refusal = "suit"
        if refusal:
            left_out[refusal] += sum(clubs_by_length(pair, present, offer).values())
        elif built:
            found.append(pair)
        if short:
            left_out["short"] += _each(head, present, offer) * short
    return Pairs(tuple(found), dict(left_out))


def candidates(kit: Kit, present: Club, offer: Offer, speed_mps: float | None = None) -> Catalogue:
    """List the clubs that can be built, without the present one.

    Parameters, returns and errors as of `pairs`; parts of an unknown present club are not offered in other
    clubs: nobody knows what they are.
    """
    offered = pairs(kit, present, offer, speed_mps)
    own = of_present(present, offer)
    found = [*own.clubs, *(c for pair in offered.offered for c in of_pair(pair, present, offer))]
    left_out = Counter(own.left_out) + Counter(offered.left_out)
    return Catalogue(tuple(sorted(found, key=lambda c: c.tier)), dict(left_out))


def of_present(present: Club, offer: Offer) -> Catalogue:
    """Clubs of the present head and shaft: sleeve, weights, lengths, bench work."""
    found: list[Candidate] = []
    left_out: Counter[str] = Counter()
    seen = {_identity(present)}
    for club in itertools.chain(
        _builds(present.head, present.shaft, _asked(present.shaft, present, offer), present, offer),
        _bench_work(present, offer),
    ):
        identity = _identity(club)
        if identity in seen:
            continue
        seen.add(identity)
        tier = tier_of(club, present)
        refusal = offer.refusal((), _availability([], tier), tier, 0)
        if refusal:
            left_out[refusal] += 1
        else:
            found.append(_candidate(club, tier, _availability([], tier), 0, offer))
    return Catalogue(tuple(found), dict(left_out))


def of_pair(pair: Pair, present: Club, offer: Offer) -> Iterable[Candidate]:
    """Clubs of a pair: every length, sleeve position and weight."""
    seen = set()
    for club in _builds(pair.head, pair.shaft, pair.lengths, present, offer):
        identity = _identity(club)
        if identity not in seen:
            seen.add(identity)
            yield _candidate(club, pair.tier, pair.availability, pair.price, offer)


def clubs_by_length(pair: Pair, present: Club, offer: Offer) -> dict[float, int]:
    """How many clubs `of_pair` builds to each length, in, without building them."""
    return dict.fromkeys((round(x.value, 4) for x in pair.lengths), _each(pair.head, present, offer))


def _each(head: Head, present: Club, offer: Offer) -> int:
    """How many clubs a head makes on a shaft of one length."""
    return len(head.positions) * max(len(head.weights), 1) * len(_swaps(head, present, offer))


def _candidate(club: Club, tier: Tier, stock: str, price: float | None, offer: Offer) -> Candidate:
    length = club.length_in.value * INCH
    rules = breaches(club.head, length, local_length_rule=offer.local_length_rule)
    return Candidate(club, tier, stock, rules, price)


def tier_of(club: Club, present: Club) -> Tier:
    """Dearest thing that a club needs against the present one."""
    head, shaft = club.head.head != present.head.head, club.shaft.shaft != present.shaft.shaft
    if head or shaft:
        return "E" if head and shaft else "D" if head else "C"
    return "A" if worked(club) == worked(present) else "B"


def worked(club: Club) -> tuple[object, ...]:
    """What the bench makes of a head and a shaft."""
    return (round(club.length_in.value, 4), club.swap_g, club.grip_mass_g, club.tip_cut_mm, club.tip_weight_g)


def _builds(
    head: Head, shaft: Shaft, lengths: Iterable[Reading], present: Club, offer: Offer
) -> Iterable[Club]:
    """Every length, sleeve position and weight of a head on a shaft."""
    own_shaft = shaft is present.shaft
    places = [w.name for w in head.weights] or [""]
    for length, (loft, lie), place, swap in itertools.product(
        dict.fromkeys(lengths),
        head.positions,
        places,
        sorted(_swaps(head, present, offer), key=abs),
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


def _lengths_of(shaft: Shaft, present: Club, offer: Offer) -> tuple[tuple[Reading, ...], int]:
    """Lengths that a shaft is built to, and how many more are asked for that it is too short for."""
    asked = _asked(shaft, present, offer)
    own = shaft is present.shaft
    built = tuple(x for x in asked if own or not too_short(shaft, x.value, ""))
    different = {round(x.value, 4) for x in asked} - {round(x.value, 4) for x in built}
    return built, len(different)


def _asked(shaft: Shaft, present: Club, offer: Offer) -> list[Reading]:
    """Lengths that are asked of a shaft: the present one or its own, and those of the offer."""
    if shaft is present.shaft:
        lengths = [present.length_in]
    else:
        # What is built is measured anew: the present length is only a target.
        target = present.length_in if present.known else playing_length(shaft)
        lengths = [Reading(x) for x in shaft.playing_in] or [Reading(target.value)]
    return lengths + [Reading(x) for x in offer.lengths_in]


def _swaps(head: Head, present: Club, offer: Offer) -> set[float]:
    """Changes of a head's mass by its weights."""
    changes = {0.0, *(head.swaps_g if offer.swaps else ())}
    return changes | {present.swap_g} if head is present.head else changes


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


def _bought(head: Head, shaft: Shaft, present: Club) -> list[Head | Shaft]:
    parts: list[tuple[Head | Shaft, Head | Shaft]] = [(head, present.head), (shaft, present.shaft)]
    return [part for part, own in parts if part.code != own.code]


def _price(bought: list[Head | Shaft]) -> float | None:
    """Of all parts that are bought, None if one has none."""
    prices = [p.price for p in bought]
    return None if None in prices else sum(p for p in prices if p is not None)


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
