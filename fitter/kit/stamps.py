"""What a stamped loft is worth: the error of stamps, pooled between shops and within the shop at hand.

A stamp is off by what stamps of the shop's heads are off on average, and by an error of the head's own. Heads
that carry a stamp and were gauged tell of the shop's average (Gelman et al. 2013, Bayesian Data Analysis, 3rd
ed., eq. 2.11 and 5.17 with the SD between shops judged); the own error stays.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import NamedTuple

from fitter.base.assumptions import current
from fitter.kit.figures import Reading


class Worth(NamedTuple):
    """Error of a stamp, gauged less stamped, deg: centre, the SD that heads of a shop share, and the rest."""

    value: float
    shared: float
    own: float

    @property
    def sd(self) -> float:
        """SD of one head's error."""
        return math.hypot(self.shared, self.own)


def worth(errors: Sequence[Reading] | None) -> Worth:
    """What stamps of a shop are worth after its gauged heads.

    Parameters
    ----------
    errors : sequence of Reading or None
        Gauged less stamped loft of each head that has both, deg; None for a head of no shop, such as that of
        a card, whose error shares nothing.
    """
    a = current()
    prior, share = a["head.stamp_error_deg"], a.value("head.stamp_shop_share")
    if errors is None:
        return Worth(prior.value, 0.0, prior.sd)
    between, within = share * prior.sd**2, (1.0 - share) * prior.sd**2
    precision, told = 1.0 / max(between, 1e-12), prior.value / max(between, 1e-12)
    for value, sd in errors:
        weight = 1.0 / (within + (sd or 0.0) ** 2)
        precision, told = precision + weight, told + weight * value
    return Worth(told / precision, precision**-0.5, math.sqrt(within))
