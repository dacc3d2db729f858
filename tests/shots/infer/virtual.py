"""Invented sessions with known truth: players drawn from the priors, strikes from a drawn strike model."""

from dataclasses import dataclass, replace
from types import MappingProxyType

import numpy as np

from fitter import world as worlds
from fitter.base.units import DEG
from fitter.physics import vectors
from fitter.shots.infer import measurement
from fitter.shots.infer.measurement import MEASURED, SCALE
from fitter.shots.infer.prior import LEVELS, prior
from fitter.shots.session import Session
from fitter.simulate.strike import ordinary_head

BALL = ("club_speed_mps", "ball_speed_mps", "launch_deg", "direction_deg", "spin_rpm", "spin_axis_deg")
SWING = (*BALL, "attack_deg", "path_deg")


@dataclass(frozen=True)
class Truth:
    sessions: list[Session]
    delivery: np.ndarray
    at_strike: np.ndarray
    models: np.ndarray
    starts: list[np.ndarray]


def leading(n: int, seed: int) -> np.ndarray:
    """Draws of the leading hypothesis alone, its restitution, slope, falls, shift and mass drawn."""
    every = worlds.strike_models(3 * n, seed)
    return every[every[:, vectors.SHIFT_DOWN] > 0.0][:n]


def session(values: np.ndarray, place: str, keep=MEASURED) -> Session:
    order = np.arange(1, len(values) + 1)
    shown = MappingProxyType({c: values[:, k] / SCALE[k] for k, c in enumerate(MEASURED) if c in keep})
    words = MappingProxyType({"place": (place,) * len(values), "speed_point": ("face",) * len(values)})
    return Session(
        "P1", "right", "virtual", MappingProxyType(shown), words, MappingProxyType({}), order, order
    )


def struck(x: np.ndarray, calibration: np.ndarray, model: np.ndarray, rng) -> np.ndarray:
    """Channels of deliveries (n, 7), the logarithm of the speed first, as they truly are, SI."""
    head = ordinary_head()
    y = measurement.predict(
        x, np.broadcast_to(calibration, (len(x), len(measurement.CALIBRATIONS))), head, model
    )
    # What a strike model misses of a single start.
    y[:, [7, 10]] *= 1.0 + rng.normal(size=(len(x), 2)) * [0.005, 0.04]
    y[:, [8, 9, 11]] += rng.normal(size=(len(x), 3)) * np.array([0.3, 0.35, 1.0]) * DEG
    return y


def noisy(y: np.ndarray, place: str, rng) -> np.ndarray:
    """What a device shows of channels, with its noise."""
    return y + rng.normal(size=y.shape) * measurement.spreads(session(y, place))


def shown(x: np.ndarray, calibration: np.ndarray, model: np.ndarray, place: str, rng) -> np.ndarray:
    """What a device shows of deliveries (n, 7), the logarithm of the speed first, with its noise."""
    return noisy(struck(x, calibration, model, rng), place, rng)


def sessions(
    count: int,
    shots: int,
    keep=MEASURED,
    place: str = "outdoor",
    models=None,
    seed: int = 1,
) -> Truth:
    rng, of_lines = np.random.default_rng(seed), np.random.default_rng((seed, 1))
    models = worlds.strike_models(count, seed) if models is None else models
    made, truth, starts = [], [], []
    for k in range(count):
        p = prior(LEVELS[k % 3])
        x = rng.multivariate_normal(rng.multivariate_normal(p.mean, p.between), p.within, shots)
        offsets = np.zeros(len(measurement.CALIBRATIONS))
        offsets[:2] = rng.normal(0, 0.015), rng.normal(0, 0.3 * DEG)
        offsets[[measurement.LAUNCH, measurement.SPIN]] = rng.normal(0, 0.15 * DEG), rng.normal(0, 0.06)
        offsets[[measurement.TURN, measurement.START_LINE]] = of_lines.normal(0, [0.5 * DEG, 0.3 * DEG])
        y = struck(x, offsets, models[k], rng)
        starts.append(y[:, measurement.START :])
        made.append(session(noisy(y, place, rng), place, keep))
        x[:, 0] = np.exp(x[:, 0])
        truth.append(x)
    delivery = np.array(truth)
    return Truth(made, delivery, measurement.at_strike(delivery, ordinary_head()), models, starts)


def changed(given: Session, shot: int, **values: float) -> Session:
    """Write other values into one shot."""
    new = {k: v.copy() for k, v in given.values.items()}
    for name, value in values.items():
        if name in new:
            new[name][shot] = value
    return replace(given, values=MappingProxyType(new))
