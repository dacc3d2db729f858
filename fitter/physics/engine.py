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

from fitter.physics import ball, flight
from fitter.physics import vectors as at
from fitter.physics.compiled import kernel, spread
from fitter.physics.flight import flight_block
from fitter.physics.ground import run_out
from fitter.physics.impact import bodies_batch, strike, strike_batch

Floats = NDArray[np.float64]

TASK = 4096
"""Flights in one task of the pool: 3 to 10 ms."""


@kernel
def _land(launch, fly, law, air, turf, out, lanes):
    """Turn starts and landings of a block into result rows."""
    for i in range(lanes):
        start, end = launch[i], fly[i]
        a = -math.sin(start[at.AZIMUTH]) * math.cos(start[at.TILT]) * end[at.END_SPIN]
        b = -math.cos(start[at.AZIMUTH]) * math.cos(start[at.TILT]) * end[at.END_SPIN]
        c = -math.sin(start[at.TILT]) * end[at.END_SPIN]
        dx, dy = 0.0, 0.0
        if end[at.END_TIME] > 0.0:
            dx, dy = run_out(end[at.END_U], end[at.END_V], end[at.END_W], a, b, c, turf, law, air[at.RHO])
        out[i, at.CARRY] = end[at.END_CARRY]
        out[i, at.SIDE] = end[at.END_SIDE]
        out[i, at.TOTAL] = end[at.END_CARRY] + dx
        out[i, at.TOTAL_SIDE] = end[at.END_SIDE] - dy
        out[i, at.APEX] = end[at.END_APEX]
        u, v, w = end[at.END_U], end[at.END_V], end[at.END_W]
        out[i, at.DESCENT] = math.atan2(-w, math.sqrt(u * u + v * v))
        for k in range(at.LAUNCH):
            out[i, at.START_SPEED + k] = start[k]
        out[i, at.S_PEAK] = end[at.END_S_PEAK]
        out[i, at.RE_LOW] = end[at.END_RE_LOW]
        out[i, at.TIME] = end[at.END_TIME]
        out[i, at.LANDING_SPEED] = math.sqrt(u * u + v * v + w * w)
        out[i, at.LANDING_SPIN] = end[at.END_SPIN]


@kernel
def _fly_blocks(launch, law, air, turf, out, first, last, b, done, t_now, start, fly):
    """Blocks from given starts: launch (1 or draws, n, 5) -> out (draws, n, 16)."""
    n = launch.shape[1]
    blocks = (n + at.LANES - 1) // at.LANES
    for block in range(first, last):
        d = block // blocks
        rows = launch[min(d, launch.shape[0] - 1)]
        base = (block - d * blocks) * at.LANES
        lanes = min(at.LANES, n - base)
        for i in range(at.LANES):
            row = base + min(i, lanes - 1)
            for k in range(at.LAUNCH):
                start[i, k] = rows[row, k]
        flight_block(start, law[d], air, b, done, t_now, fly)
        _land(start, fly, law[d], air, turf[d], out[d, base : base + lanes], lanes)


@kernel
def _strike_blocks(
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
    """Blocks from deliveries: option o, shot s of draw d in lane o * shots + s of the draw's lanes."""
    shots = base.shape[1]
    count = change.shape[1] * shots
    blocks = (count + at.LANES - 1) // at.LANES
    for block in range(first, last):
        d = block // blocks
        toe, high = 0.0, 0.0
        for s in range(shots):
            toe += base[d, s, at.TOE] / shots
            high += base[d, s, at.HIGH] / shots
        offset = (block - d * blocks) * at.LANES
        lanes = min(at.LANES, count - offset)
        for i in range(at.LANES):
            j = offset + min(i, lanes - 1)
            o, s = j // shots, j % shots
            deed[at.CLUB_SPEED] = base[d, s, at.CLUB_SPEED] * change[d, o, at.CLUB_SPEED]
            for k in range(1, at.DELIVERY):
                deed[k] = base[d, s, k] + change[d, o, k]
            deed[at.TOE] += (change[d, o, at.SCATTER] - 1.0) * (base[d, s, at.TOE] - toe)
            deed[at.HIGH] += (change[d, o, at.SCATTER] - 1.0) * (base[d, s, at.HIGH] - high)
            strike(deed, head[d, o], model[d], start[i])
            start[i, at.SPEED] *= residual[d, s, at.SPEED]
            start[i, at.ELEVATION] += residual[d, s, at.ELEVATION]
            start[i, at.AZIMUTH] += residual[d, s, at.AZIMUTH]
            start[i, at.SPIN] *= residual[d, s, at.SPIN]
            start[i, at.TILT] += residual[d, s, at.TILT]
        flight_block(start, law[d], air, b, done, t_now, fly)
        _land(start, fly, law[d], air, turf[d], rows, lanes)
        for i in range(lanes):
            j = offset + i
            for k in range(at.RESULT):
                out[d, j // shots, j % shots, k] = rows[i, k]


@dataclass(frozen=True)
class World:
    """Everything that a draw fixes about ball, strike and turf, one row a draw.

    Parameters
    ----------
    law : ndarray, shape (draws, LAW)
    model : ndarray, shape (draws, MODEL)
    turf : ndarray, shape (draws, TURF)
    air : ndarray, shape (AIR,)
    """

    law: Floats
    model: Floats
    turf: Floats
    air: Floats

    def __post_init__(self) -> None:
        n = len(self.law)
        shapes = (self.law.shape, self.model.shape, self.turf.shape, self.air.shape)
        wanted = ((n, at.LAW), (n, at.MODEL), (n, at.TURF), (at.AIR,))
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
    return (*flight.scratch(), np.empty((at.LANES, at.LAUNCH)), np.empty((at.LANES, at.LANDING)))


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
    out = np.zeros(at.AIR)
    out[: at.WINDY] = density, viscosity / density, *wind_to, landing_height
    if wind_to != (0.0, 0.0):
        out[at.WINDY] = 1.0 if profile is None else 2.0
    out[at.PROFILE : at.LONG_STEP] = (1.0, 0, 0, 0, 0, 0) if profile is None else profile
    out[at.LONG_STEP] = step
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
    rows = _block(launch, (draws if launch.ndim == 3 else 1, n, at.LAUNCH))
    out = np.empty((draws, n, at.RESULT))
    blocks = -(-n // at.LANES)

    def work(start: int, stop: int) -> None:
        _fly_blocks(rows, world.law, world.air, world.turf, out, start, stop, *_buffers())

    for done in spread(work, draws * blocks, TASK // at.LANES):
        if progress is not None:
            progress(min(done * at.LANES, draws * n), draws * n)
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
        Deliveries, see `DELIVERY`.
    change : ndarray, shape (draws, options, 7) or (draws, options, 8)
        What an option changes: a factor on the club speed, sums on the rest; last, a factor on the scatter of
        the strike about its mean, 1 when silent.
    head : ndarray, shape (draws, options, 13)
        See `HEAD`.
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
    deeds = _block(base, (draws, shots, at.DELIVERY))
    if change.shape[-1] == at.DELIVERY:
        change = np.concatenate([change, np.ones((*change.shape[:-1], 1))], axis=-1)
    deltas = _block(change, (draws, options, at.CHANGE))
    heads = _block(head, (draws, options, at.HEAD))
    extra = _block(residual, (draws, shots, at.LAUNCH))
    out = np.empty((draws, options, shots, at.RESULT))
    blocks = -(-options * shots // at.LANES)

    def work(start: int, stop: int) -> None:
        scratch = (*_buffers(), np.empty(at.DELIVERY), np.empty((at.LANES, at.RESULT)))
        _strike_blocks(
            deeds,
            deltas,
            heads,
            world.model,
            extra,
            world.law,
            world.air,
            world.turf,
            out,
            start,
            stop,
            *scratch,
        )

    for done in spread(work, draws * blocks, TASK // at.LANES):
        if progress is not None:
            progress(min(done * at.LANES, draws * options * shots), draws * options * shots)
    return out


def strikes(delivery: Floats, head: Floats, model: Floats) -> Floats:
    """Starts of strikes without a flight: the arguments broadcast, result (..., 5), see `LAUNCH`."""
    shape = np.broadcast_shapes(delivery.shape[:-1], head.shape[:-1], model.shape[:-1])
    n = math.prod(shape)
    out = np.empty((n, at.LAUNCH))
    strike_batch(*_flat(shape, delivery, head, model), out)
    return out.reshape(*shape, at.LAUNCH)


def bodies(delivery: Floats, head: Floats, model: Floats) -> Floats:
    """Both bodies after strikes, (..., 22), see `impact.bodies_batch`."""
    shape = np.broadcast_shapes(delivery.shape[:-1], head.shape[:-1], model.shape[:-1])
    out = np.empty((math.prod(shape), at.BODIES))
    bodies_batch(*_flat(shape, delivery, head, model), out)
    return out.reshape(*shape, at.BODIES)


def _flat(shape: tuple[int, ...], *arrays: Floats) -> list[Floats]:
    return [_block(a, (*shape, a.shape[-1])).reshape(-1, a.shape[-1]) for a in arrays]


def prepare() -> None:
    """Compile every kernel, or load it from the cache."""
    law = ball.vector(ball.LAWS["naruo-2004"], np.zeros(1))
    model = np.zeros((1, at.MODEL))
    model[:, [at.COR, at.ET_OVER, at.FRICTION]] = 0.8, 1.0, 0.4
    turf = np.array([[0.3, 0.15, 1.0, 0.8, 1.0, 0, 0, 0, 0]])
    world = World(law, model, turf, air_vector(1.2, 1.8e-5))
    head = np.zeros((1, 1, at.HEAD))
    head[..., : at.I_NORMAL_UP] = 0.2, 0.04, 0, 0, 3e-4, 5e-4, 4e-4
    deed = np.array([[45.0, 0, 0, 0, 0.2, 0, 0]])
    change = np.zeros((1, 1, at.DELIVERY))
    change[..., 0] = 1.0
    strike_to_rest(deed, change, head, np.array([[[1.0, 0, 0, 1, 0]]]), world)
    fly(np.array([[60.0, 0.2, 0, 250, 0]]), world)
    strikes(deed[0], head[0, 0], model[0])
    bodies(deed[0], head[0, 0], model[0])
