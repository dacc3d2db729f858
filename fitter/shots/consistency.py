"""Shots whose channels contradict each other: flags on measurement grounds, never on result."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from fitter import simulate
from fitter import world as worlds
from fitter.assumptions import load
from fitter.conditions import Conditions
from fitter.physics import engine, flight
from fitter.shots.channels import CHANNELS, Flag, Session
from fitter.shots.delivered import Delivery
from fitter.shots.measurement import MEASURED


def screen_physics(session: Session, delivery: Delivery, measured_in: Conditions | None = None) -> Session:
    """Set aside the shots of which the strike cannot have given all channels.

    Parameters
    ----------
    session : Session
        n shots, screened by `screening.screen` before.
    delivery : Delivery
        Inferred from that session.
    measured_in : Conditions, optional
        Air in which the session was measured, in the frame of its values; standard when silent.

    Returns
    -------
    Session
        With a flag for each channel that lies further from what the other channels say than
        `measurement.limit` predictive SDs. A mishit is no misread: its channels agree on it. A carry that
        no flight from the measured start gives is warned of: ball, air or spin is wrong.

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
        unit = CHANNELS[name].unit
        value, sd = delivery.predicted[name][i], delivery.predicted_sd[name][i]
        found = f"{session.value(name)[i]:.4g} {unit}"
        expected = f"{value:.4g} +- {sd:.2g} {unit} from the other channels"
        flags.append(Flag(int(session.shot[i]), name, "contradicts the strike", found, expected, True))
    every = dict.fromkeys([*session.flags, *flags, *_carries(session, delivery, measured_in or Conditions())])
    order = {name: i for i, name in enumerate(CHANNELS)}
    ordered = sorted(every, key=lambda f: (f.shot, not f.set_aside, order.get(f.channel, 99)))
    return replace(session, flags=tuple(ordered), set_aside=session.set_aside | delivery.misread.any(axis=1))


def _carries(session: Session, delivery: Delivery, measured_in: Conditions) -> list[Flag]:
    """Warn of carries that lie further from the flight of the measured start, by every law, than a share."""
    carry, room = session.value("carry_m"), load().value("measurement.carry_room")
    here = np.isfinite(carry) & np.isfinite(session.value("ball_speed_mps")) & ~session.set_aside
    here &= ~delivery.misread.any(axis=1)
    if not here.any():
        return []
    start = np.where(np.isfinite(delivery.start), delivery.start, 0.0)[here]
    drawn = worlds.central(measured_in)
    flown = engine.fly(start, drawn.world)[..., engine.CARRY]
    ratio = simulate.spin_ratio(start[:, flight.SPEED], start[:, flight.SPIN])
    flown = flown[worlds.law_weights(drawn.names, ratio) > 0.0]
    low, high = flown.min(axis=0) * (1.0 - room), flown.max(axis=0) * (1.0 + room)
    told = carry[here]
    return [
        Flag(
            int(session.shot[np.flatnonzero(here)[i]]),
            "carry_m",
            "no flight from this start carries so: ball, air or spin is wrong",
            f"{told[i]:.4g} m",
            f"{low[i]:.4g} to {high[i]:.4g} m",
            False,
        )
        for i in np.flatnonzero((told < low) | (told > high))
    ]
