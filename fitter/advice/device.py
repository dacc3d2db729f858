"""Whether the choice hangs on where the device's face, loft and path belong, if the shots leave it open."""

from __future__ import annotations

import numpy as np

from fitter.advice.baseline import Note
from fitter.advice.prediction import Prediction
from fitter.advice.scored import tier_worth
from fitter.base.assumptions import current

_FEW = 8
"""Draws of either case below which nothing is said of it."""


def open_points(p: Prediction, seed: int) -> tuple[Note, ...]:
    """Points to ask about: knowing them would turn the choice, by more than `verdict.information` yards.

    Every draw believes in one point, so that its draws are the prediction in that case (value of perfect
    information: Raiffa & Schlaifer 1961, Applied Statistical Decision Theory). The two choices have to differ
    by more than two standard errors in either case, since the draws are few.

    Parameters
    ----------
    p : Prediction
    seed : int
        Of the question.
    """
    base, a = p.replay.baseline, current()
    carry = float(p.carry[:, 0].mean())
    net = p.gain - np.array([tier_worth(o.tier, carry, p.yard) for o in p.options])
    notes = []
    for channel, second in base.points(len(net), seed).items():
        cases = [net[second == place] for place in (0, 1)]
        if min(map(len, cases)) < _FEW:
            continue
        best = [int(case.mean(axis=0).argmax()) for case in cases]
        if best[0] == best[1]:
            continue
        apart = [case[:, best[k]] - case[:, best[1 - k]] for k, case in enumerate(cases)]
        sure = all(d.mean() > 2.0 * d.std(ddof=1) / np.sqrt(len(d)) for d in apart)
        share = base.delivery.points[channel]
        blind = int(net.mean(axis=0).argmax())
        lost = sum(
            w * float((case[:, b] - case[:, blind]).mean())
            for w, case, b in zip((1.0 - share, share), cases, best, strict=True)
        )
        if sure and lost > a.value("verdict.information") * p.yard:
            # The present club stands first and has no name here.
            names = [p.options[b].id if b else "" for b in best]
            notes.append(Note("point", (channel, share, *names)))
    return tuple(notes)
