"""What could be changed: clubs that the shop can build, ball positions, tee heights; cheapest tier first."""

from __future__ import annotations

from collections import Counter
from collections.abc import Collection, Iterable
from dataclasses import dataclass, field, replace

from fitter.base.units import INCH
from fitter.kit.card import present_club
from fitter.kit.catalogue import Pair, Pairs, clubs_by_length, of_pair, of_present, pairs, worked
from fitter.kit.club import Club
from fitter.kit.inventory import Kit
from fitter.kit.offer import TIERS, Offer
from fitter.kit.offer import offer as usual
from fitter.kit.rules import Finding, breaches

__all__ = [
    "AVAILABLE", "TIERS", "Offered", "Option", "counted", "enumerate_options", "of_pairs", "present_club",
    "set_up_id", "survey",
]  # fmt: skip
AVAILABLE = {"rack": "in the rack", "today": "buildable today", "order": "to order"}


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
    rules : tuple of Finding
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
    rules: tuple[Finding, ...] = ()
    price: float | None = None

    @property
    def set_up(self) -> bool:
        """Whether it asks for another ball position or tee besides its club, see `set_up_id`."""
        return bool(self.ball_forward_mm or self.tee_mm)

    @property
    def built(self) -> tuple[object, ...]:
        """What is the same club whatever its set-up: sleeve, movable weight, ball and tee are settings."""
        return (self.club.head.code, self.club.shaft.code, *worked(self.club))

    def steps(self, present: Club) -> int:
        """How many things change at once against the present club as it is."""
        c = self.club
        changed = (
            c.head.code != present.head.code,
            c.shaft.code != present.shaft.code,
            c.head.code == present.head.code and c.loft_change_deg != present.loft_change_deg,
            c.length_in.value != present.length_in.value,
            c.swap_g != present.swap_g or c.place != present.place or c.tip_weight_g != present.tip_weight_g,
            c.shaft.code == present.shaft.code and c.grip_mass_g != present.grip_mass_g,
            c.shaft.code == present.shaft.code and c.tip_cut_mm != present.tip_cut_mm,
            bool(self.ball_forward_mm),
            bool(self.tee_mm),
        )
        return sum(changed)


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


@dataclass(frozen=True)
class Offered:
    """Everything that is looked at, and how much is not.

    Parameters
    ----------
    options : tuple of Option
        What may be recommended: the present club first, then by tier and id.
    barred : tuple of Option
        What breaks a rule, by tier and id, in the present set-up alone: shown, never recommended.
    left_out : dict of str to int
        Clubs that a limit leaves out, see `catalogue.Catalogue`.
    unsearched : dict of str to int
        Options by tier that a large kit has besides, see `search`.
    """

    options: tuple[Option, ...]
    barred: tuple[Option, ...]
    left_out: dict[str, int]
    unsearched: dict[str, int] = field(default_factory=dict)

    @property
    def tiers(self) -> dict[str, int]:
        """How many options each tier has, those of a large kit that were not looked at among them."""
        return dict(Counter(o.tier for o in self.options[1:]) + Counter(self.unsearched))


def survey(kit: Kit, present: Club, offer: Offer | None = None, speed_mps: float | None = None) -> Offered:
    """Every option within the limits of an offer.

    Parameters
    ----------
    kit : Kit
        What the shop can build; the present parts are candidates in every tier that they fit.
    present : Club
        The club that hit the shots.
    offer : Offer, optional
        What is tried, and the limits; the judged numbers' when silent.
    speed_mps : float, optional
        The player's mean club speed, m/s: shafts that do not suit it are left out. None where nobody swings.

    Raises
    ------
    InputError
        If the kit lacks a part that is not wanted, or a card's code is also one of the kit.
    """
    offer = usual() if offer is None else offer
    shop = pairs(kit, present, offer, speed_mps)
    return of_pairs(shop, shop.offered, present, offer)


def of_pairs(shop: Pairs, chosen: Collection[Pair], present: Club, offer: Offer) -> Offered:
    """Options of the present parts and of some pairs of a head and a shaft that a shop offers."""
    mine = of_present(present, offer)
    own = breaches(present.head, present.length_in.value * INCH, local_length_rule=offer.local_length_rule)
    here = Option(present.code, "-", present, rules=own)
    clubs = [replace(here, tier="A")] if "A" in offer.tiers else []
    for c in (*mine.clubs, *(c for pair in chosen for c in of_pair(pair, present, offer))):
        at_hand = "in hand" if c.tier in "AB" else AVAILABLE[c.availability]
        clubs.append(Option(c.club.code, c.tier, c.club, availability=at_hand, rules=c.rules, price=c.price))
    options, barred = [here], []
    for option in clubs:
        if option.rules and not offer.allow_breaches:
            barred += [option] if option.club is not present else []
            continue
        for ball, tee in _places(option.tier, offer):
            if option.club is present and not ball and not tee:
                continue
            name = set_up_id(option.id, ball, tee)
            options.append(replace(option, id=name, ball_forward_mm=ball, tee_mm=tee))
    left_out = Counter(mine.left_out) + Counter(shop.left_out)
    made = {(pair.head.code, pair.shaft.code) for pair in chosen}
    rest = (pair for pair in shop.offered if (pair.head.code, pair.shaft.code) not in made)
    return Offered(_ordered(options), _ordered(barred), dict(left_out), counted(rest, present, offer))


def counted(shop: Iterable[Pair], present: Club, offer: Offer) -> dict[str, int]:
    """How many options some pairs have, by tier, without making them."""
    found: Counter[str] = Counter()
    legal: dict[tuple[str, float], bool] = {}
    for pair in shop:
        places = len(_places(pair.tier, offer))
        for length, clubs in clubs_by_length(pair, present, offer).items():
            key = pair.head.code, length
            if key not in legal:
                rules = breaches(pair.head, length * INCH, local_length_rule=offer.local_length_rule)
                legal[key] = offer.allow_breaches or not rules
            found[pair.tier] += clubs * places * legal[key]
    return dict(+found)


def _places(tier: str, offer: Offer) -> list[tuple[float, float]]:
    """Ball positions and tee heights of a club, against the present ones, mm."""
    # Bench work is tried at the present ball position, so that options do not multiply.
    places = [(0.0, 0.0)]
    places += [(ball, 0.0) for ball in dict.fromkeys(offer.ball_mm) if ball and tier != "B"]
    return places + [(0.0, tee) for tee in dict.fromkeys(offer.tee_mm) if tee and tier == "A"]


def enumerate_options(kit: Kit, present: Club, offer: Offer | None = None) -> tuple[Option, ...]:
    """Every option that may be recommended, the present club first, then by tier and id; see `survey`."""
    return survey(kit, present, offer).options


def _ordered(options: list[Option]) -> tuple[Option, ...]:
    return tuple(sorted(options, key=lambda o: ("-ABCDE".index(o.tier), o.id)))
