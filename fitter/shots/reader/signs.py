"""Sign conventions checked against physics: a sign that contradicts the others is turned, with a notice."""

from __future__ import annotations

from collections.abc import Collection, Mapping
from dataclasses import dataclass
from itertools import product

import numpy as np

from fitter.base.assumptions import current
from fitter.base.units import DEG
from fitter.shots.session import CHANNELS, Floats

LEAST = int(current().value("intake.sign_least"))
"""Shots with all values that a check needs."""
MOST = int(current().value("intake.sign_most"))
"""Shots beyond which a relation speaks no louder: its own error does not shrink with more of them."""
STRONG = current().value("intake.sign_strong")
"""Gain of log likelihood, e^6 = 400 to 1, above which a sign is called wrong."""
TIE = current().value("intake.sign_tie")
"""Difference of log likelihood below which two explanations are equal."""
FACE_SHARE = current().value("intake.face_share")
"""Way from path to face at which a ball starts: middle of 61-83 % (Wood, Henrikson & Broadie 2018,
Proceedings 2(6):249; R)."""
NOISE = {
    "direction": current().value("intake.noise_direction_deg"),
    "offline": current().value("intake.noise_offline"),
    "axis": current().value("intake.noise_axis_deg"),
}
"""Scatter of each relation beyond which signs stop to matter: deg, share of carry, deg."""
LAUNCH_SHARE = current().value("intake.launch_share")
"""Way from attack to delivered loft at which a driver launches (planar strike, spin loft 8-14 deg; C)."""
LAUNCH_RIGHT, LAUNCH_WRONG = (
    current().value("intake.launch_right_deg"),
    current().value("intake.launch_wrong_deg"),
)
"""Middle launch residuals, deg, that make the other sign of attack likely."""


@dataclass(frozen=True)
class Verdict:
    """Channels to turn, and what to tell the reader."""

    turned: tuple[str, ...]
    notices: tuple[str, ...]


def check(
    values: Mapping[str, Floats], headers: Mapping[str, str] | None = None, certain: Collection[str] = ()
) -> Verdict:
    """Compare the signs of path, face, direction, axis and offline with what a ball does.

    A ball starts between path and face, nearer the face; its axis tilts with face minus path; it finishes on
    the side where start and axis send it. All are symmetric, so the whole set cannot be judged, only its
    members against each other: the fewest turns that make the set consistent are made, and where two sets of
    turns are equally few nothing is turned.

    Parameters
    ----------
    values : mapping of str to ndarray, shape (n,)
        Channels in their units, right positive as far as known.
    headers : mapping of str to str, optional
        Words of the file for each channel, for the notices.
    certain : collection of str
        Channels whose sign is in words; they are never turned.

    Returns
    -------
    Verdict
        Channels whose sign contradicts the rest.
    """
    names = [
        n for n in ("path_deg", "face_deg", "direction_deg", "spin_axis_deg", "offline_m") if n in values
    ]
    notices = _attack(values)
    if len(names) < 2:
        return Verdict((), notices)
    scores = {
        signs: _likelihood(values, dict(zip(names, signs, strict=True)))
        for signs in product(*((1.0,) if n in certain else (1.0, -1.0) for n in names))
    }
    best = max(scores.values())
    as_is = scores[(1.0,) * len(names)]
    if best - as_is < STRONG:
        return Verdict((), notices)
    fits = sorted((s for s in scores if best - scores[s] < TIE), key=lambda s: s.count(-1.0))
    few = [s for s in fits if s.count(-1.0) == fits[0].count(-1.0)]
    shown = {n: f"'{(headers or {}).get(n, CHANNELS[n].label)}'" for n in names}
    options = [tuple(n for n, s in zip(names, signs, strict=True) if s < 0) for signs in few]
    if len(options) > 1:
        said = " or ".join(" and ".join(shown[n] for n in option) for option in options)
        notices += (
            f"Signs contradict each other: {said} has left positive. Say which with --map 'Header=-channel'.",
        )
        return Verdict((), notices)
    said = " and ".join(shown[n] for n in options[0])
    notices += (f"{said}: left counted positive, by what the other columns say; the sign was turned.",)
    return Verdict(options[0], notices)


def _likelihood(values: Mapping[str, Floats], signs: Mapping[str, float]) -> float:
    """Log likelihood of all relations under a set of signs, up to a constant."""
    v = {n: values[n] * s for n, s in signs.items()}
    return _direction(v) + _axis(v) + _offline(v, values)


def _score(residual: Floats, noise: float) -> float:
    """Profile likelihood of a zero-mean residual; the noise keeps small numbers from shouting."""
    # A misread in one shot must not settle a sign: residuals count up to four noises.
    clipped = np.minimum(np.abs(residual), 4.0 * noise)
    return float(-0.5 * min(len(residual), MOST) * np.log(np.mean(clipped**2) + noise**2))


def _complete(*arrays: Floats) -> list[Floats]:
    good = np.all([np.isfinite(a) for a in arrays], axis=0)
    return [a[good] for a in arrays] if good.sum() >= LEAST else []


def _direction(v: Mapping[str, Floats]) -> float:
    if "direction_deg" not in v or "face_deg" not in v:
        return 0.0
    path = v.get("path_deg", v["face_deg"])
    rows = _complete(v["direction_deg"], v["face_deg"], path)
    if not rows:
        return 0.0
    return _score(rows[0] - FACE_SHARE * rows[1] - (1.0 - FACE_SHARE) * rows[2], NOISE["direction"])


def _axis(v: Mapping[str, Floats]) -> float:
    if not {"spin_axis_deg", "face_deg", "path_deg"} <= v.keys():
        return 0.0
    rows = _complete(v["spin_axis_deg"], v["face_deg"], v["path_deg"])
    if not rows:
        return 0.0
    between = rows[1] - rows[2]
    slope = max(0.0, float(np.sum(between * rows[0])) / max(float(np.sum(between**2)), 1e-12))
    return _score(rows[0] - slope * between, NOISE["axis"])


def _offline(v: Mapping[str, Floats], values: Mapping[str, Floats]) -> float:
    far = values.get("carry_m", values.get("total_m"))
    if "offline_m" not in v or "direction_deg" not in v or far is None:
        return 0.0
    axis = v.get("spin_axis_deg", np.zeros(len(far)))
    rows = _complete(v["offline_m"] / np.where(far > 1e-3, far, np.nan), v["direction_deg"], axis)
    if not rows:
        return 0.0
    rest = rows[0] - np.sin(rows[1] * DEG)
    slope = max(0.0, float(np.sum(rest * rows[2])) / max(float(np.sum(rows[2] ** 2)), 1e-12))
    return _score(rest - slope * rows[2], NOISE["offline"])


def _attack(values: Mapping[str, Floats]) -> tuple[str, ...]:
    """Notice if launch fits delivered loft and attack only with the other sign of attack."""
    if not {"attack_deg", "dynamic_loft_deg", "launch_deg"} <= values.keys():
        return ()
    rows = _complete(values["launch_deg"], values["dynamic_loft_deg"], values["attack_deg"])
    if not rows:
        return ()
    launch, loft, attack = rows
    as_is, other = (
        abs(float(np.median(launch - LAUNCH_SHARE * loft - (1.0 - LAUNCH_SHARE) * s * attack)))
        for s in (1.0, -1.0)
    )
    if as_is > LAUNCH_WRONG and other < LAUNCH_RIGHT:
        text = "Launch fits delivered loft only if attack has the other sign (down positive?): check it"
        return (text + ", and turn it with --map 'Header=-attack_deg'.",)
    return ()
