"""Flags on shots: misreads are set aside on grounds of measurement, never of the result; none is deleted."""

from __future__ import annotations

from dataclasses import replace
from types import MappingProxyType

import numpy as np
from numpy.typing import NDArray

from fitter import world as worlds
from fitter.base.assumptions import current
from fitter.base.conditions import Conditions
from fitter.physics import engine, vectors
from fitter.shots.contradictions import contradictions
from fitter.shots.findings import Estimate, Flag
from fitter.shots.infer.delivery import Delivery
from fitter.shots.infer.measurement import MEASURED, impossible
from fitter.shots.mixture import two_clubs
from fitter.shots.session import Floats, Session
from fitter.shots.vocabulary import CHANNELS, Limits, ratio_limits
from fitter.simulate.flight import spin_ratio


def screen(session: Session) -> Session:
    """Flag what a session's values cannot or hardly be.

    Parameters
    ----------
    session : Session
        n shots.

    Returns
    -------
    Session
        With flags added, ``set_aside`` true for each shot with a flag that sets aside, and estimated spin
        marked. Screening twice changes nothing.
    """
    flags = [*_limits(session), *_ratio(session), *_repeats(session)]
    spin_flags, spin_estimated = _estimated_spin(session)
    ordered = _ordered([*session.flags, *flags, *spin_flags])
    aside = {f.shot for f in ordered if f.set_aside}
    estimated = dict(session.estimated)
    if spin_estimated.any():
        estimated["spin_rpm"] = spin_estimated | estimated.get("spin_rpm", False)
    return replace(
        session,
        flags=ordered,
        set_aside=np.array([int(s) in aside for s in session.shot], dtype=bool),
        estimated=MappingProxyType(estimated),
    )


def _ordered(flags: list[Flag]) -> tuple[Flag, ...]:
    """Each flag once, by shot, those that set aside first."""
    order = {name: i for i, name in enumerate(CHANNELS)}
    every = dict.fromkeys(flags)
    return tuple(sorted(every, key=lambda f: (f.shot, not f.set_aside, order.get(f.channel, 99))))


def _outside(values: Floats, limits: Limits) -> NDArray[np.bool_]:
    return (values < limits[0]) | (values > limits[1])


def _limits(session: Session) -> list[Flag]:
    flags = []
    for name, values in session.values.items():
        c = CHANNELS[name]
        anything = (-np.inf, np.inf)
        possible = c.limits or anything
        misread = impossible(session, name)
        usual = _own(values[~misread], c.warn) if c.warn else anything
        for at, limits, reason, aside in (
            (misread, possible, "not possible", True),
            (_outside(values, usual) & ~misread, usual, "unusual", False),
        ):
            for i in np.flatnonzero(at):
                found, unit = float(values[i]), c.unit or ""
                flags.append(Flag(int(session.shot[i]), name, reason, found, limits, aside, unit))
    return flags


def _own(values: Floats, warn: Limits) -> Limits:
    """Warning limits widened to the player's own history, so that a fast player's session is a normal one.

    Median and scaled median absolute deviation (Rousseeuw & Croux 1993, J. Am. Stat. Assoc. 88, 1273-1283),
    once there are shots enough; what is not possible stays so.
    """
    a = current()
    known = values[np.isfinite(values)]
    if len(known) < a.value("measurement.own_least"):
        return warn
    middle = float(np.median(known))
    reach = a.value("measurement.own_reach") * 1.4826 * float(np.median(np.abs(known - middle)))
    return min(warn[0], middle - reach), max(warn[1], middle + reach)


def _ratio(session: Session) -> list[Flag]:
    club, ball = session.value("club_speed_mps"), session.value("ball_speed_mps")
    ratio = np.divide(ball, club, out=np.full(len(session), np.nan), where=club > 1e-3)
    flags = []
    possible, usual = ratio_limits()
    room = current().value("measurement.noise_room") * _ratio_noise(ratio)
    misread = _outside(ratio, (possible[0] * (1.0 - room), possible[1] * (1.0 + room)))
    for at, limits, reason in (
        (misread, possible, "ball/club ratio not possible"),
        (_outside(ratio, usual) & ~misread, usual, "ball/club ratio unusual"),
    ):
        for i in np.flatnonzero(at):
            found, shot = float(ratio[i]), int(session.shot[i])
            flags.append(Flag(shot, "ball_speed_mps", reason, found, limits, limits is possible))
    return flags


def _ratio_noise(ratio: Floats) -> float:
    """Relative SD of a ratio by the noise of both speeds, or as the session's own ratios scatter if more."""
    a = current()
    judged = np.hypot(a.sd("measurement.club_speed_pct"), a.sd("measurement.ball_speed_pct")) / 100.0
    known = ratio[np.isfinite(ratio)]
    if len(known) < a.value("measurement.own_least"):
        return float(judged)
    middle = float(np.median(known))
    own = 1.4826 * float(np.median(np.abs(known - middle))) / max(middle, 1e-3)
    return float(min(max(judged, own), 3.0 * judged))


def _repeats(session: Session) -> list[Flag]:
    """Rows whose numbers all equal those of an earlier row: written twice, unless their times differ."""
    measured = [v for k, v in session.values.items() if CHANNELS[k].group != "setup"]
    enough = current().value("intake.enough")
    if len(measured) < enough:
        return []
    table = np.column_stack(measured)
    times = session.word("time")
    seen: dict[bytes, int] = {}
    flags = []
    for i, line in enumerate(table):
        if np.isfinite(line).sum() < enough:
            continue
        first = seen.setdefault(np.nan_to_num(line, nan=-1e300).tobytes(), i)
        if first != i:
            found = f"the numbers of shot {session.shot[first]} (row {session.row[first]})"
            flags.append(
                Flag(
                    int(session.shot[i]),
                    "shot",
                    "repeated row",
                    found,
                    "its own numbers",
                    times[i] == times[first],
                )
            )
    return flags


def _estimated_spin(session: Session) -> tuple[list[Flag], NDArray[np.bool_]]:
    """Spin that never changes or always ends in 00 is the device's estimate, not a measurement."""
    spin = session.value("spin_rpm")
    there = np.isfinite(spin)
    nothing = np.zeros(len(session), dtype=bool)
    if there.sum() < current().value("intake.enough"):
        return [], nothing
    same = bool(np.ptp(spin[there]) == 0.0)
    low = (CHANNELS["spin_rpm"].limits or (0.0, 0.0))[0]
    if np.median(spin[there]) < low:
        # Thousands, or another unit: nothing that a device would estimate.
        return [], nothing
    round_ = bool((np.abs(np.remainder(spin[there] + 50.0, 100.0) - 50.0) < 1e-6).all())
    if not (same or round_):
        return [], nothing
    found = "the same spin in every shot" if same else "whole hundreds in every shot"
    flags = [
        Flag(int(s), "spin_rpm", "looks estimated", found, "measured spin", False)
        for s in session.shot[there]
    ]
    return flags, there


def doubted(session: Session, head: Floats, measured_in: Conditions | None = None) -> Session:
    """Return the session with what the whole log contradicts, as `screen_physics` finds it.

    For a session of which no delivery can be inferred.
    """
    mixed = two_clubs(session)
    doubts = contradictions(session, head, measured_in)
    return replace(session, doubts=doubts if mixed is None else (*doubts, mixed))


def screen_physics(session: Session, delivery: Delivery, measured_in: Conditions | None = None) -> Session:
    """Set aside the shots of which the strike cannot have given all channels.

    Parameters
    ----------
    session : Session
        n shots, screened by `screen` before.
    delivery : Delivery
        Inferred from that session.
    measured_in : Conditions, optional
        Air in which the session was measured, in the frame of its values; standard if None.

    Returns
    -------
    Session
        With a flag for each channel that lies further from what the other channels say than
        `measurement.limit` predictive SDs. A mishit is no misread: its channels agree on it. A carry that
        no flight from the measured start gives is warned of: ball, air or spin is wrong. What the whole log
        contradicts stands in its doubts.

    Raises
    ------
    ValueError
        If the delivery belongs to another session.
    """
    if not np.array_equal(delivery.session.shot, session.shot):
        raise ValueError("the delivery was inferred from other shots than these")
    flags = []
    for i, k in np.argwhere(delivery.misread):
        name = MEASURED[k]
        expected = Estimate(float(delivery.predicted[name][i]), float(delivery.predicted_sd[name][i]))
        found, unit = float(session.value(name)[i]), CHANNELS[name].unit or ""
        flags.append(Flag(int(session.shot[i]), name, "contradicts the strike", found, expected, True, unit))
    ordered = _ordered([*session.flags, *flags, *_carries(session, delivery, measured_in or Conditions())])
    aside = session.set_aside | delivery.misread.any(axis=1)
    doubts = doubted(session, delivery.head, measured_in).doubts
    return replace(session, flags=ordered, set_aside=aside, doubts=doubts, left_out=delivery.left_out)


def _carries(session: Session, delivery: Delivery, measured_in: Conditions) -> list[Flag]:
    """Warn of carries that lie further from the flight of the measured start, by every law, than a share."""
    carry, room = session.value("carry_m"), current().value("measurement.carry_room")
    here = np.isfinite(carry) & np.isfinite(session.value("ball_speed_mps")) & ~session.set_aside
    here &= ~delivery.misread.any(axis=1)
    if not here.any():
        return []
    start = np.where(np.isfinite(delivery.start), delivery.start, 0.0)[here]
    drawn = worlds.central(measured_in)
    flown = engine.fly(start, drawn.world)[..., vectors.CARRY]
    ratio = spin_ratio(start[:, vectors.SPEED], start[:, vectors.SPIN])
    flown = flown[worlds.law_weights(drawn.names, ratio) > 0.0]
    low, high = flown.min(axis=0) * (1.0 - room), flown.max(axis=0) * (1.0 + room)
    shown = carry[here]
    return [
        Flag(
            int(session.shot[np.flatnonzero(here)[i]]),
            "carry_m",
            "no flight from this start carries so: ball, air or spin is wrong",
            float(shown[i]),
            (float(low[i]), float(high[i])),
            False,
            "m",
        )
        for i in np.flatnonzero((shown < low) | (shown > high))
    ]
