"""What to do: change, keep, test or measure, in one plain sentence."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from fitter.advice.objectives import Objective
from fitter.advice.scored import Gain, Scored
from fitter.assumptions import load
from fitter.kit.club import Club
from fitter.units import YARD

Floats = NDArray[np.float64]


@dataclass(frozen=True)
class Verdict:
    """What to do (change, keep, test or measure), the option it names, one sentence in yards and metres."""

    action: str
    option: str | None
    text: str
    text_metric: str


@dataclass(frozen=True)
class _Say:
    """Distances for people in one unit."""

    unit: str
    scale: float

    def far(self, metres: float) -> str:
        return f"{metres / self.scale:.1f} {self.unit}"

    def ends(self, gain: Gain) -> str:
        low, high = gain.low / self.scale, gain.high / self.scale
        return f"80 % between {low:+.1f} and {high:+.1f} {self.unit}"

    def side(self, s: Scored) -> str:
        if s.offline_sd_change_m is None:
            return "; direction was not measured"
        return f", and its side SD changes by {s.offline_sd_change_m / self.scale:+.1f} {self.unit}"


def _verdict(action: str, option: str | None, sentence: Callable[[_Say], str]) -> Verdict:
    return Verdict(action, option, sentence(_Say("yd", YARD)), sentence(_Say("m", 1.0)))


def decide(
    scored: list[Scored], draws: Floats, present: Club, objective: Objective, looked_at: int
) -> Verdict:
    """Change, test or keep.

    Change if the expected gain reaches the tier's threshold and P(gain > 0) is high enough; test if knowing
    the truth of an option that looks better would be worth more than half a yard, its threshold deducted;
    else keep. A club that nobody knows never earns a change. Among options within a yard of the best the
    cheaper tier and the fewer changes at once are preferred.

    Parameters
    ----------
    scored : list of Scored
        The present club first.
    draws : ndarray, shape (draws, options)
        Values of the objective, in the order of scored.
    present : Club
    objective : Objective
    looked_at : int
        Options in all, those of the first look included.
    """
    a = load()
    rows = range(1, len(scored))

    def simplest(i: int) -> tuple[int, int, float]:
        option = scored[i].option
        return "ABCDE".index(option.tier), option.steps(present), -scored[i].value_gain.mean

    sure = [
        i
        for i in rows
        if scored[i].value_gain.mean >= scored[i].threshold
        and scored[i].p_better >= a.value("verdict.probability")
    ]
    if sure:
        best = max(sure, key=lambda i: scored[i].value_gain.mean - scored[i].threshold)
        give = a.value("verdict.indifference") * YARD
        alike = [i for i in sure if float((draws[:, best] - draws[:, i]).mean()) <= give]
        pick = scored[min(alike, key=simplest)]
        if present.known:
            return _verdict(
                "change",
                pick.option.id,
                lambda say: (
                    f"Change to {pick.option.id}: expect {say.far(pick.value_gain.mean)} more "
                    f"{objective.label}, {say.ends(pick.value_gain)}; it is better than the present club "
                    f"with probability {pick.p_better:.2f}{say.side(pick)}."
                ),
            )
        return _verdict(
            "test",
            pick.option.id,
            lambda say: (
                f"Test {pick.option.id} beside the present club before anything is bought: the present "
                f"club's figures are not known, so the expected {say.far(pick.value_gain.mean)} may be "
                "the guess's."
            ),
        )
    worth = a.value("verdict.information") * YARD
    doubtful = [i for i in rows if scored[i].information >= worth and scored[i].value_gain.mean > 0.0]
    if doubtful:
        most = max(scored[i].information for i in doubtful)
        near = [i for i in doubtful if scored[i].information >= most - 0.5 * worth]
        simple = scored[min(near, key=simplest)]
        return _verdict(
            "test",
            simple.option.id,
            lambda say: (
                f"Test {simple.option.id} against the present club: on paper it is "
                f"{say.far(simple.value_gain.mean)} of {objective.label}, {say.ends(simple.value_gain)}; "
                "that is not sure enough to change."
            ),
        )
    if not rows:
        return _verdict("keep", None, lambda _: "Keep the present club: the kit holds nothing else.")
    most_gain = scored[max(rows, key=lambda i: scored[i].value_gain.mean)]
    return _verdict(
        "keep",
        None,
        lambda say: (
            f"Keep the present club: the best of {looked_at} options promises "
            f"{say.far(most_gain.value_gain.mean)} of {objective.label}, {say.ends(most_gain.value_gain)}, "
            f"and would have to reach {say.far(most_gain.threshold)} to be worth it."
        ),
    )
