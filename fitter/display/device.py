"""Sentences about the device: where its numbers belong, how noisy it is, what contradicts all the rest."""

from __future__ import annotations

from fitter.base.assumptions import current
from fitter.base.units import Units
from fitter.display.shots import flag_words, label
from fitter.shots.findings import Estimate, Flag, LeftOut
from fitter.shots.infer.delivery import Delivery
from fitter.shots.session import Session
from fitter.shots.vocabulary import POINTS

POINT_LABELS = {"face_point": "face and loft", "speed_point": "path"}
POINT_WORDS = {
    "face_point": {
        "centre": "of the face centre",
        "strike": "where the ball was struck",
        "unknown": "let the shots tell",
    },
    "speed_point": {
        "face": "of the face centre",
        "mass": "of the head's mass centre",
        "unknown": "let the shots tell",
    },
}
"""What the device's numbers are taken for, by the word that says it."""


def device(session: Session, found: Delivery | None, units: Units) -> list[str]:
    """Everything that should be said about the device of a session, as the player sees it."""
    lines = [left_out(x, units) for x in session.left_out]
    if found is None:
        return lines
    return [*lines, *points(found), *noise(found)]


def points(found: Delivery) -> list[str]:
    """Where the device's face, loft and path belong, said or found, with the probability."""
    lines = []
    for channel, at_second in found.points.items():
        words = list(POINT_WORDS[channel].values())[:2]
        name = POINT_LABELS[channel]
        if found.session.told_point(channel) is not None:
            lines.append(f"{name}: {words[round(at_second)]}, as told")
            continue
        likely = int(at_second > 0.5)
        share = 100.0 * max(at_second, 1.0 - at_second)
        sure = "more than 99" if share > 99.0 else f"{share:.0f}"
        word = "s" if channel == "speed_point" else ""
        lines.append(f"{name}: belong{word} {_at(words[likely])} with {sure} % by the shots")
    return lines


def _at(words: str) -> str:
    return words if words.startswith("where") else f"to {words.removeprefix('of ')}"


def noise(found: Delivery) -> list[str]:
    """Channels that this device reads with far more noise than is judged."""
    least = current().value("measurement.noise_told")
    loud = {name: factor for name, factor in found.noise.items() if factor >= least}
    if not loud:
        return []
    every = ", ".join(f"{label(name)} {factor:.1f}" for name, factor in loud.items())
    return [f"noisier than an ordinary device, by a factor of: {every}; this widens the answers"]


def undecided(channel: str, at_second: float, first: str, second: str) -> str:
    """Sentence of a point that the shots leave open and on which the choice hangs."""
    one, other = list(POINT_WORDS[channel].values())[:2]
    shares = f"{100 * (1.0 - at_second):.0f} and {100 * at_second:.0f} %"
    said = " or ".join(f"{channel}={word}" for word in POINTS[channel])
    return (
        f"{POINT_LABELS[channel]}: {one} or {other}? The shots do not tell ({shares}) and the choice hangs "
        f"on it: {first or 'the present club'} or {second or 'the present club'}. Look it up in the device's "
        f"manual and say --set {said}"
    )


def left_out(found: LeftOut, units: Units | None = None) -> str:
    """Sentence of a channel that contradicts all others."""
    flag = Flag(0, found.channel, "", found.found, Estimate(found.expected, found.apart), False, found.unit)
    shown, expected = flag_words(flag, units)
    expected = expected.removesuffix(" from the other channels")
    return (
        f"{label(found.channel)} contradicts all other channels and is left out: {shown} on average, where "
        f"the others say {expected}. Check its sign, its unit and what the device means by it."
    )
