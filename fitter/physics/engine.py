"""From delivery to rest: draws x options x shots through strike, flight and ground in compiled blocks.

A block of 64 lanes belongs to one draw. What the model cannot explain of a shot enters between strike and
flight, as that shot's residual of the start.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from fitter.physics import ball, flight, ground, impact
from fitter.physics.compiled import LANES, kernel, spread
from fitter.physics.flight import flight_block
from fitter.physics.ground import run_out
from fitter.physics.impact import bodies_batch, strike, strike_batch

Floats = NDArray[np.float64]

CARRY, SIDE, TOTAL, TOTAL_SIDE, APEX, DESCENT = range(6)
BALL_SPEED, ELEVATION, AZIMUTH, SPIN, AXIS = 6, 7, 8, 9, 10
S_PEAK, RE_LOW, TIME, LANDING_SPEED, LANDING_SPIN = 11, 12, 13, 14, 15
RESULT = 16
"""Columns of a result: carry and side at the landing, total and side at rest (m, right +), apex (m), descent
angle (rad), the start (m/s, rad, rad, rad/s, rad), highest S and lowest Re (1e5), time (s), speed
(m/s) and spin (rad/s) at the landing."""

SCATTER = 7
CHANGE = 8
"""Columns of a change: those of a delivery, and a factor on the scatter of the strike."""

TASK = 4096
"""Flights in one task of the pool: 3 to 10 ms."""


@kernel
def _land(launch, fly, law, air, turf, out, lanes):
    """Turn starts and landings of a block into result rows."""
    for i in range(lanes):
        start, end = launch[i], fly[i]
        a = -math.sin(start[2]) * math.cos(start[4]) * end[7]
        b = -math.cos(start[2]) * math.cos(start[4]) * end[7]
        c = -math.sin(start[4]) * end[7]
        dx, dy = 0.0, 0.0
        if end[2] > 0.0:
            dx, dy = run_out(end[4], end[5], end[6], a, b, c, turf, law, air[0])
        out[i, 0] = end[0]
        out[i, 1] = end[1]
        out[i, 2] = end[0] + dx
        out[i, 3] = end[1] - dy
        out[i, 4] = end[3]
        out[i, 5] = math.atan2(-end[6], math.sqrt(end[4] * end[4] + end[5] * end[5]))
        for k in range(5):
            out[i, 6 + k] = start[k]
        out[i, 11] = end[8]
        out[i, 12] = end[9]
        out[i, 13] = end[2]
        out[i, 14] = math.sqrt(end[4] * end[4] + end[5] * end[5] + end[6] * end[6])
        out[i, 15] = end[7]


@kernel
def _fly_rows(launch, law, air, turf, out, first, last, b, done, t_now, start, fly):
    """Blocks of one draw from given starts: launch (n, 5) -> out (n, 16)."""
    for block in range(first, last):
        base = block * 64
        lanes = min(64, launch.shape[0] - base)
        for i in range(64):
            row = base + min(i, lanes - 1)
            for k in range(5):
                start[i, k] = launch[row, k]
        flight_block(start, law, air, b, done, t_now, fly)
        _land(start, fly, law, air, turf, out[base : base + lanes], lanes)


@kernel
def _strike_rows(
    base,
    change,
    head,
    model,
    residual,
    law,
    air,
    turf,
    out,
    first,
    last,
    b,
    done,
    t_now,
    start,
    fly,
    deed,
    rows,
):
    """Blocks of one draw from deliveries: option o, shot s in lane o * shots + s."""
    shots = base.shape[0]
    count = change.shape[0] * shots
    toe, high = 0.0, 0.0
    for s in range(shots):
        toe += base[s, 5] / shots
        high += base[s, 6] / shots
    for block in range(first, last):
        at = block * 64
        lanes = min(64, count - at)
        for i in range(64):
            j = at + min(i, lanes - 1)
            o, s = j // shots, j % shots
            deed[0] = base[s, 0] * change[o, 0]
            for k in range(1, 7):
                deed[k] = base[s, k] + change[o, k]
            deed[5] += (change[o, 7] - 1.0) * (base[s, 5] - toe)
            deed[6] += (change[o, 7] - 1.0) * (base[s, 6] - high)
            strike(deed, head[o], model, start[i])
            start[i, 0] *= residual[s, 0]
            start[i, 1] += residual[s, 1]
            start[i, 2] += residual[s, 2]
            start[i, 3] *= residual[s, 3]
            start[i, 4] += residual[s, 4]
        flight_block(start, law, air, b, done, t_now, fly)
        _land(start, fly, law, air, turf, rows, lanes)
        for i in range(lanes):
            j = at + i
            for k in range(16):
                out[j // shots, j % shots, k] = rows[i, k]


@dataclass(frozen=True)
class World:
    """Everything that a draw fixes about ball, strike and turf, one row a draw.

    Parameters
    ----------
    law : ndarray, shape (draws, ball.SIZE)
    model : ndarray, shape (draws, impact.MODEL)
    turf : ndarray, shape (draws, ground.TURF)
    air : ndarray, shape (flight.AIR,)
    """

    law: Floats
    model: Floats
    turf: Floats
    air: Floats

    def __post_init__(self) -> None:
        n = len(self.law)
        shapes = (self.law.shape, self.model.shape, self.turf.shape, self.air.shape)
        wanted = ((n, ball.SIZE), (n, impact.MODEL), (n, ground.TURF), (flight.AIR,))
        if shapes != wanted:
            raise ValueError(f"a World needs shapes {wanted}, not {shapes}")
        for name, shape in zip(("law", "model", "turf", "air"), wanted, strict=True):
            object.__setattr__(self, name, _block(getattr(self, name), shape))

    def __len__(self) -> int:
        return len(self.law)


def _block(values: Floats, shape: tuple[int, ...]) -> Floats:
    """One writable C-ordered float64 array of the full shape; anything else would compile a second kernel."""
    given = np.asarray(values, dtype=np.float64)
    if given.shape == shape and given.flags.c_contiguous and given.flags.writeable:
        return given
    return np.array(np.broadcast_to(given, shape), order="C")


def _buffers() -> tuple[Floats, ...]:
    return (*flight.scratch(), np.empty((LANES, flight.LAUNCH)), np.empty((LANES, flight.FLIGHT)))


def air_vector(
    density: float,
    viscosity: float,
    wind_to: tuple[float, float] = (0.0, 0.0),
    profile: Floats | None = None,
    landing_height: float = 0.0,
    step: float = flight.STEP,
) -> Floats:
    """Air as the kernels take it.

    Parameters
    ----------
    density : float
        kg/m3.
    viscosity : float
        Dynamic viscosity, Pa s.
    wind_to : (float, float)
        Where the wind blows to: along the target line and to the left, m/s, at the reference height.
    profile : ndarray of 6, optional
        Wind over its reference value, see `air.wind_profile`; uniform when silent.
    landing_height : float
        Height of the landing over the tee, m.
    step : float
        Longest step of the integrator, s.
    """
    out = np.zeros(flight.AIR)
    out[: flight.WINDY] = density, viscosity / density, *wind_to, landing_height
    if wind_to != (0.0, 0.0):
        out[flight.WINDY] = 1.0 if profile is None else 2.0
    out[flight.PROFILE : flight.LONG_STEP] = (1.0, 0, 0, 0, 0, 0) if profile is None else profile
    out[flight.LONG_STEP] = step
    return out


def fly(launch: Floats, world: World, progress: Callable[[int, int], None] | None = None) -> Floats:
    """Fly starts to rest in every draw of a world.

    Parameters
    ----------
    launch : ndarray, shape (n, 5) or (draws, n, 5)
        Speed m/s, elevation rad, azimuth rad (right +), spin rad/s, tilt rad (right +).
    world : World
        Ball, turf and air.
    progress : callable, optional
        Called with flights done and all flights.

    Returns
    -------
    ndarray, shape (draws, n, 16)
        See `RESULT`.
    """
    draws, n = len(world), launch.shape[-2]
    rows = _block(launch, (draws, n, flight.LAUNCH)) if launch.ndim == 3 else _block(launch, launch.shape)
    out = np.empty((draws, n, RESULT))
    blocks = -(-n // LANES)

    def work(start: int, stop: int) -> None:
        scratch = _buffers()
        while start < stop:
            d, first = divmod(start, blocks)
            last = min(blocks, first + stop - start)
            source = rows[d] if rows.ndim == 3 else rows
            _fly_rows(source, world.law[d], world.air, world.turf[d], out[d], first, last, *scratch)
            start += last - first

    for done in spread(work, draws * blocks, TASK // LANES):
        if progress is not None:
            progress(min(done * LANES, draws * n), draws * n)
    return out


def strike_to_rest(
    base: Floats,
    change: Floats,
    head: Floats,
    residual: Floats,
    world: World,
    progress: Callable[[int, int], None] | None = None,
) -> Floats:
    """Replay every shot with every option in every draw.

    Parameters
    ----------
    base : ndarray, shape (shots, 7) or (draws, shots, 7)
        Deliveries, see `impact.DELIVERY`.
    change : ndarray, shape (draws, options, 7) or (draws, options, 8)
        What an option changes: a factor on the club speed, sums on the rest; last, a factor on the scatter of
        the strike about its mean, 1 when silent.
    head : ndarray, shape (draws, options, 13)
        See `impact.HEAD`.
    residual : ndarray, shape (draws, shots, 5)
        Of the start: a factor on ball speed, sums on launch and direction, a factor on spin, a sum on tilt.
    world : World
        Ball, strike model, turf and air.
    progress : callable, optional
        Called with flights done and all flights.

    Returns
    -------
    ndarray, shape (draws, options, shots, 16)
        See `RESULT`.
    """
    draws, options, shots = len(world), change.shape[1], base.shape[-2]
    deeds = _block(base, (draws, shots, impact.DELIVERY))
    if change.shape[-1] == impact.DELIVERY:
        change = np.concatenate([change, np.ones((*change.shape[:-1], 1))], axis=-1)
    deltas = _block(change, (draws, options, CHANGE))
    heads = _block(head, (draws, options, impact.HEAD))
    extra = _block(residual, (draws, shots, flight.LAUNCH))
    out = np.empty((draws, options, shots, RESULT))
    blocks = -(-options * shots // LANES)

    def work(start: int, stop: int) -> None:
        scratch = (*_buffers(), np.empty(impact.DELIVERY), np.empty((LANES, RESULT)))
        while start < stop:
            d, first = divmod(start, blocks)
            last = min(blocks, first + stop - start)
            _strike_rows(
                deeds[d], deltas[d], heads[d], world.model[d], extra[d], world.law[d], world.air,
                world.turf[d], out[d], first, last, *scratch,
            )  # fmt: skip
            start += last - first

    for done in spread(work, draws * blocks, TASK // LANES):
        if progress is not None:
            progress(min(done * LANES, draws * options * shots), draws * options * shots)
    return out


def strikes(delivery: Floats, head: Floats, model: Floats) -> Floats:
    """Starts of strikes without a flight: the arguments broadcast, result (..., 5), see `impact.START`."""
    shape = np.broadcast_shapes(delivery.shape[:-1], head.shape[:-1], model.shape[:-1])
    n = math.prod(shape)
    out = np.empty((n, impact.START))
    strike_batch(*_flat(shape, delivery, head, model), out)
    return out.reshape(*shape, impact.START)


def bodies(delivery: Floats, head: Floats, model: Floats) -> Floats:
    """Both bodies after strikes, (..., 22), see `impact.bodies_batch`."""
    shape = np.broadcast_shapes(delivery.shape[:-1], head.shape[:-1], model.shape[:-1])
    out = np.empty((math.prod(shape), 22))
    bodies_batch(*_flat(shape, delivery, head, model), out)
    return out.reshape(*shape, 22)


def _flat(shape: tuple[int, ...], *arrays: Floats) -> list[Floats]:
    return [_block(a, (*shape, a.shape[-1])).reshape(-1, a.shape[-1]) for a in arrays]


def prepare() -> None:
    """Compile every kernel, or load it from the cache."""
    law = ball.vector(ball.LAWS["naruo-2004"], np.zeros(1))
    model = np.zeros((1, impact.MODEL))
    model[:, [impact.COR, impact.ET_OVER, impact.FRICTION]] = 0.8, 1.0, 0.4
    turf = np.array([[0.3, 0.15, 1.0, 0.8, 1.0, 0, 0, 0]])
    world = World(law, model, turf, air_vector(1.2, 1.8e-5))
    head = np.zeros((1, 1, impact.HEAD))
    head[..., : impact.I_NORMAL_UP] = 0.2, 0.04, 0, 0, 3e-4, 5e-4, 4e-4
    deed = np.array([[45.0, 0, 0, 0, 0.2, 0, 0]])
    change = np.zeros((1, 1, impact.DELIVERY))
    change[..., 0] = 1.0
    strike_to_rest(deed, change, head, np.array([[[1.0, 0, 0, 1, 0]]]), world)
    fly(np.array([[60.0, 0.2, 0, 250, 0]]), world)
    strikes(deed[0], head[0, 0], model[0])
    bodies(deed[0], head[0, 0], model[0])
