"""Strike models from judged numbers: two rival repairs of the rigid model's spin, and what stays open.

Rigid sticking contact over-predicts a driver's backspin by nothing to a third, and no source says by how much
at which speed: so the size of the repair is drawn, and with it tangential restitution. That this rises with
spin loft is known of irons; for a driver size and start of such a rise are drawn, and with them by how much
spin grows per degree of loft. Vertical gear effect and the fall of restitution off the centre are drawn as
widely as they are published. `OPEN` are those of these that shots can tell of: `opened` moves a model by
them, in SDs.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from fitter.base import draws
from fitter.base.assumptions import current
from fitter.base.units import DEG
from fitter.physics import vectors

Floats = NDArray[np.float64]

OPEN = (
    "strike.shift_down",
    "strike.tangential",
    "strike.driver_rise_from",
    "strike.gear",
    "strike.fall_across",
    "strike.fall_up",
)
"""What shots can tell of a strike model, in the order of `opened`."""
RISE_FROM = (11.0, 24.0)
"""Spin lofts (deg) between which a driver's rise of tangential restitution may start."""
_LEAST_SHIFT = 1e-9
"""A shift (m) that takes off no spin, and still tells its hypothesis from the rival."""


@dataclass(frozen=True)
class Sampler:
    """Values of judged numbers: n draws of each, or its centre alone (n = 0).

    Each number is drawn from a stream of its own name: another spread of one leaves all others as they were.
    """

    n: int
    seed: int

    @property
    def rows(self) -> int:
        """Length of every sample."""
        return max(self.n, 1)

    def __call__(
        self, name: str, low: float = -np.inf, high: float = np.inf, stream: str | None = None
    ) -> Floats:
        """Sample of one judged number, (rows,), held between two limits; `stream` shares another's draws."""
        entry = current()[name]
        if self.n == 0 or entry.sd == 0.0:
            return np.full(self.rows, entry.value)
        z = draws.normals(self.n, self.seed, stream or name)
        return np.asarray(np.clip(entry.value + entry.sd * z, low, high))


def strike_models(
    n: int = 0, seed: int = 1, opened_by: Floats | None = None, share: float | None = None
) -> Floats:
    """Strike models of a driver: the leading hypothesis at its centre (n = 0), or n draws over both rivals.

    Parameters
    ----------
    n, seed : int
        Draws and seed.
    opened_by : ndarray, shape (n, 6), optional
        What shots tell of each draw, see `opened`; as judged when silent.
    share : float, optional
        Probability of the leading hypothesis; as judged when silent.

    Returns
    -------
    ndarray, shape (max(n, 1), vectors.MODEL)
    """
    get = Sampler(n, seed)
    m = np.zeros((get.rows, vectors.MODEL))
    m[:, vectors.COR] = get("strike.restitution", 0.7, 0.9)
    m[:, vectors.COR_SLOPE] = get("strike.restitution_slope")
    m[:, vectors.FRICTION] = get("strike.friction", 0.02)
    leading = leads(n, seed, share) if n else np.ones(1, dtype=bool)
    m[:, vectors.SHIFT_HEEL] = np.where(leading, get("strike.shift_heel") * 1e-3, 0.0)
    m[:, vectors.ADDED_MASS] = np.where(leading, get("strike.added_mass", 0.0) * 1e-3, 0.0)
    m[:, vectors.ET_RISE] = get("strike.driver_rise", 0.0)
    _centre(m, leading)
    if not n:
        return m
    if opened_by is None:
        opened_by = np.stack([draws.normals(n, seed, name) for name in OPEN], axis=1)
    return opened(m, opened_by)


def leads(n: int, seed: int, share: float | None = None) -> NDArray[np.bool_]:
    """Which draws believe in the leading repair of the spin, (n,), with a probability or the judged one."""
    share = current().value("strike.shift_weight") if share is None else share
    return np.asarray(draws.uniforms(n, seed, "strike.hypothesis") < share)


def rival_model() -> Floats:
    """Strike model of the rival hypothesis at its centre, shape (1, vectors.MODEL)."""
    m = strike_models()
    m[:, [vectors.SHIFT_HEEL, vectors.ADDED_MASS]] = 0.0
    _centre(m, np.zeros(1, dtype=bool))
    return m


def _centre(m: Floats, leading: NDArray[np.bool_]) -> None:
    """Fill in, in place, what is not drawn, and the centre of what `opened` moves."""
    a = current()
    m[:, vectors.COR_SPEED] = a.value("strike.restitution_speed")
    m[:, vectors.SHIFT_CAP] = a.value("strike.shift_cap")
    m[:, vectors.SHIFT_DOWN] = np.where(leading, a.value("strike.shift_down") * 1e-3, 0.0)
    m[:, vectors.ET] = np.where(leading, 0.0, a.value("strike.tangential"))
    m[:, vectors.ET_FROM] = a.value("strike.driver_rise_from") * DEG
    m[:, vectors.ET_OVER] = a.value("strike.rise_over") * DEG
    m[:, vectors.GEAR] = _gear(a.value("strike.gear"))
    m[:, vectors.FALL_TOE] = a.value("strike.fall_across") / 0.020**2
    m[:, vectors.FALL_HIGH] = a.value("strike.fall_up") / 0.016**2


def _gear(rpm_per_mm: float) -> float:
    """Impulse up the face over the normal one, per m of height, that takes off so much spin at 45 m/s.

    Ball of 45.9 g at 65 m/s: spin = r dP / (k m r^2), normal impulse = m v.
    """
    spin = rpm_per_mm * 1e3 * 2.0 * np.pi / 60.0
    return float(0.4 * 0.02134 * spin / 65.0)


def opened(models: Floats, z: Floats) -> Floats:
    """Move strike models by what is open about them.

    Parameters
    ----------
    models : ndarray, shape (..., vectors.MODEL)
        At their centre.
    z : ndarray, shape (..., 6)
        In the order of `OPEN`, in SDs of the judged numbers. The shift moves where the model has one.
    """
    a = current()
    down, tangential, start, gear, across, up = (a.sd(name) * z[..., k] for k, name in enumerate(OPEN))
    out = np.array(np.broadcast_to(models, (*z.shape[:-1], vectors.MODEL)))
    shift = out[..., vectors.SHIFT_DOWN]
    out[..., vectors.SHIFT_DOWN] = np.where(shift > 0.0, np.maximum(shift + down * 1e-3, _LEAST_SHIFT), 0.0)
    out[..., vectors.ET] += tangential
    low, high = RISE_FROM
    out[..., vectors.ET_FROM] = np.clip(out[..., vectors.ET_FROM] + start * DEG, low * DEG, high * DEG)
    out[..., vectors.GEAR] += _gear(1.0) * gear
    for place, fall, miss in ((vectors.FALL_TOE, across, 0.020), (vectors.FALL_HIGH, up, 0.016)):
        out[..., place] = np.maximum(out[..., place] + fall / miss**2, 0.0)
    return out


def published_model(rival: bool = False) -> Floats:
    """One repair at its published size, with the rise that irons ask for: a check, which binds no driver.

    Returns
    -------
    ndarray, shape (1, vectors.MODEL)
    """
    a = current()
    m = rival_model() if rival else strike_models()
    if rival:
        m[:, vectors.ET] = a.value("strike.iron_tangential")
    else:
        m[:, vectors.SHIFT_DOWN] = a.value("strike.iron_shift_down") * 1e-3
    m[:, vectors.ET_RISE] = a.value("strike.iron_rise_rival" if rival else "strike.iron_rise")
    m[:, vectors.ET_FROM] = a.value("strike.iron_rise_from") * DEG
    m[:, vectors.GEAR] = 0.0
    return m
