"""Shots whose channels contradict each other: flags on measurement grounds, never on result."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from fitter.shots.channels import CHANNELS, Flag, Session
from fitter.shots.delivered import Delivery
from fitter.shots.measurement import MEASURED


def screen_physics(session: Session, delivery: Delivery) -> Session:
    """Set aside the shots of which the strike cannot have given all channels.

    Parameters
    ----------
    session : Session
        n shots, screened by `screening.screen` before.
    delivery : Delivery
        Inferred from that session.

    Returns
    -------
    Session
        With a flag for each channel that lies further from what the other channels say than
        `measurement.limit` predictive SDs. A mishit is no misread: its channels agree on it.

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
    every = dict.fromkeys([*session.flags, *flags])
    order = {name: i for i, name in enumerate(CHANNELS)}
    ordered = sorted(every, key=lambda f: (f.shot, not f.set_aside, order.get(f.channel, 99)))
    return replace(session, flags=tuple(ordered), set_aside=session.set_aside | delivery.misread.any(axis=1))
