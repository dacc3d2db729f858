"""What a shop offers: which parts, at what price, which bench work, which set-ups are tried."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field, fields
from typing import Any, Literal

from fitter.base.assumptions import current
from fitter.base.errors import Problem, raise_if
from fitter.kit.inventory import Kit
from fitter.kit.parts import STOCK

Tier = Literal["A", "B", "C", "D", "E"]
TIERS: dict[str, str] = {
    "A": "nothing bought",
    "B": "bench work",
    "C": "shaft",
    "D": "head",
    "E": "head and shaft",
}


def _sizes(low: float, high: float, unit: str, option: str) -> dict[str, Any]:
    """Limits of the sizes of one kind of change, and their option of the command line."""
    return {"low": low, "high": high, "allowed": f"{low:g} to {high:g} {unit}", "option": option}


@dataclass(frozen=True)
class Offer:
    """What may be changed, and within which limits.

    Without arguments nothing is limited and nothing but the kit's own parts and settings is tried;
    `offer` fills in what is tried by default.

    Parameters
    ----------
    lengths_in : tuple of float
        Club lengths to offer with every shaft besides its own playing lengths, in.
    length_steps_in : tuple of float
        Changes of the present club's length on the bench, in; negative cuts, positive extends.
    added_g : tuple of float
        Changes of the present head's mass by tape or another weight, g, taken at its mass centre.
    grips_g : tuple of float
        Masses of other grips to offer on the present shaft, g.
    tips_g : tuple of float
        Weights in the tip of the present shaft, inside the hosel, g.
    ball_mm, tee_mm : tuple of float
        Ball positions (with every club but those of the bench) and tee heights (with the present parts)
        against the present ones, mm; forward and higher positive.
    swaps : bool
        Offer the other weights of the heads.
    stock : tuple of str
        Which of `parts.STOCK` may be bought.
    tiers : tuple of str
        Keys of `TIERS`.
    budget : float or None
        Most that the bought parts may cost, in the shop's money. A club with a part whose price is not
        known is then left out.
    without_heads, without_shafts : tuple of str
        Codes of parts that are not to be bought; the present ones stay.
    allow_breaches : bool
        Whether clubs that break a rule may be recommended.
    local_length_rule : bool
        Whether Model Local Rule G-10 (46 in) is in force.
    any_shaft : bool
        Offer shafts that suit neither the player's speed nor the present shaft, see `suits.windows`.
    """

    lengths_in: tuple[float, ...] = field(default=(), metadata=_sizes(30, 60, "in", "--lengths"))
    length_steps_in: tuple[float, ...] = field(default=(), metadata=_sizes(-5, 5, "in", "--length-steps"))
    added_g: tuple[float, ...] = field(default=(), metadata=_sizes(-40, 40, "g", "--head-weights"))
    grips_g: tuple[float, ...] = field(default=(), metadata=_sizes(10, 150, "g", "--grips"))
    tips_g: tuple[float, ...] = field(default=(), metadata=_sizes(0, 30, "g", "--tip-weights"))
    ball_mm: tuple[float, ...] = field(default=(), metadata=_sizes(-150, 150, "mm", "--ball-steps"))
    tee_mm: tuple[float, ...] = field(default=(), metadata=_sizes(-40, 40, "mm", "--tee-steps"))
    swaps: bool = True
    stock: tuple[str, ...] = STOCK
    tiers: tuple[str, ...] = tuple(TIERS)
    budget: float | None = None
    without_heads: tuple[str, ...] = ()
    without_shafts: tuple[str, ...] = ()
    allow_breaches: bool = False
    local_length_rule: bool = False
    any_shaft: bool = False

    def __post_init__(self) -> None:
        problems = [
            *_unknown("--stock", self.stock, STOCK),
            *_unknown("--tiers", self.tiers, tuple(TIERS)),
        ]
        for kind in fields(self):
            limits = kind.metadata
            problems += [
                Problem(limits["option"], f"{value:g}", limits["allowed"], "Check the number and its unit.")
                for value in (getattr(self, kind.name) if limits else ())
                if not limits["low"] <= value <= limits["high"]
            ]
        if self.budget is not None and not 0.0 <= self.budget < float("inf"):
            do = "Give an amount in the shop's money."
            problems.append(Problem("--budget", f"{self.budget:g}", "0 or more", do))
        raise_if(problems, "This cannot be offered.")

    def check(self, kit: Kit) -> None:
        """Refuse parts to leave out that the kit does not have.

        Raises
        ------
        InputError
        """
        problems = [
            *_unknown("--without-head", self.without_heads, [h.head for h in kit.heads]),
            *_unknown("--without-shaft", self.without_shafts, [s.shaft for s in kit.shafts]),
        ]
        raise_if(problems, "The kit has no such parts.")

    def refusal(self, codes: Iterable[str], stock: str, tier: str, price: float | None) -> str:
        """First limit that a club breaks: 'tier', 'head', 'shaft', 'stock', 'price' or 'budget'; '' for none.

        Parameters
        ----------
        codes : iterable of str
            Parts to buy.
        stock : str
            Slowest of them.
        tier : str
        price : float or None
            Of all of them; None when one is not known.
        """
        parts = set(codes)
        if tier not in self.tiers:
            return "tier"
        if parts & set(self.without_heads):
            return "head"
        if parts & set(self.without_shafts):
            return "shaft"
        if parts and stock not in self.stock:
            return "stock"
        if self.budget is None or not parts:
            return ""
        if price is None:
            return "price"
        return "budget" if price > self.budget else ""


def offer(**given: Any) -> Offer:
    """Offer with what is tried by default, from ``[offer]`` of the judged numbers.

    Parameters
    ----------
    **given
        Fields of `Offer`; None counts as silent.

    Raises
    ------
    InputError
        With every value that makes no sense.

    Examples
    --------
    >>> offer(tiers=("A", "B"), budget=400.0).length_steps_in
    (-0.5, 0.5)
    """
    a = current()
    ball, tee = a.value("offer.ball_mm"), a.value("offer.tee_mm")
    usual: dict[str, Any] = {
        "length_steps_in": (-a.value("offer.cut_in"), a.value("offer.extend_in")),
        "added_g": (a.value("offer.head_g"),),
        "grips_g": (a.value("offer.grip_g"),),
        "tips_g": (a.value("offer.tip_g"),),
        "ball_mm": (-ball, ball),
        "tee_mm": (-tee, tee),
    }
    names = {f.name for f in fields(Offer)}
    told = {k: tuple(v) if isinstance(v, list) else v for k, v in given.items() if v is not None}
    assert told.keys() <= names, told.keys() - names
    return Offer(**usual | told)


def _unknown(where: str, found: Sequence[str], allowed: Sequence[str]) -> list[Problem]:
    wrong = [w for w in dict.fromkeys(found) if w not in allowed]
    do = "Use some of these."
    return [Problem(where, ", ".join(map(repr, wrong)), ", ".join(allowed) or "none", do)] if wrong else []
