"""Infer the delivery of every shot and the calibrations of a session from whatever was measured."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from types import MappingProxyType
from typing import Any

import numpy as np
from numpy.typing import NDArray

from fitter.base.assumptions import current, using
from fitter.base.errors import Problem, raise_if
from fitter.base.units import DEG
from fitter.physics import vectors
from fitter.physics.compiled import spread
from fitter.shots.findings import LeftOut
from fitter.shots.infer import evidence, measurement, points
from fitter.shots.infer.delivery import Calibration, Delivery, mixture
from fitter.shots.infer.eliminate import X
from fitter.shots.infer.hypotheses import Hypotheses, weighed
from fitter.shots.infer.measurement import MEASURED, SCALE, Data
from fitter.shots.session import Session
from fitter.shots.vocabulary import CHANNELS
from fitter.simulate.strike import ordinary_head

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]

BATCH = 1000
"""Shots in one batch: what fits a processor's cache."""


def infer(
    session: Session,
    head: Floats | None = None,
    indoor: bool | None = None,
    level: float | None = None,
    model: Floats | None = None,
) -> Delivery:
    """Infer the delivery of every shot of a session and its calibrations.

    Parameters
    ----------
    session : Session
        n shots; those set aside do not count for the session's mean and calibrations, and the channel that
        a flag sets aside is left out.
    head : ndarray, shape (13,), optional
        See `vectors.HEAD`; an ordinary head if None.
    indoor : bool, optional
        Sets the SDs of spin and axis; the channel 'place' if None, else outdoors.
    level : float, optional
        Skill, 0 scratch to 1 high handicap; inferred from the shots if None.
    model : ndarray, shape (15,), optional
        Strike model that is held to be true, see `vectors.MODEL`; both rival repairs of the spin are weighed
        if None. They differ by about a degree of delivered loft for the same ball, so that a draw that
        believes in one of them should take the delivery that goes with it.

    Returns
    -------
    Delivery

    Raises
    ------
    InputError
        If the head or the level cannot be used.
    """
    return infer_many([session], head, indoor, level, model)[0]


def infer_many(
    sessions: Sequence[Session],
    head: Floats | None = None,
    indoor: bool | None = None,
    level: float | None = None,
    model: Floats | None = None,
) -> list[Delivery]:
    """Infer many sessions in batches; each gets the answer that it would get alone. See `infer`.

    Answers stand in the order of the sessions; that of a session without shots has no rows.
    """
    a = current()
    club = ordinary_head() if head is None else np.asarray(head, dtype=np.float64)
    _check(club, level, model)
    batches: list[list[int]] = [[]]
    room = BATCH
    for i, session in enumerate(sessions):
        if room <= 0:
            batches.append([])
            room = BATCH
        batches[-1].append(i)
        room -= len(session)
    answers: list[list[Delivery]] = [[]] * len(batches)

    def work(first: int, last: int) -> None:
        # A thread of the pool does not see the judged numbers in force here.
        with using(a):
            for k in range(first, last):
                answers[k] = _batch([sessions[i] for i in batches[k]], club, indoor, level, model)

    for _ in spread(work, len(batches), 1):
        pass
    return [delivery for answer in answers for delivery in answer]


def _check(head: Floats, level: float | None, model: Floats | None) -> None:
    problems = []
    if head.shape != (vectors.HEAD,) or not np.isfinite(head).all():
        found = f"shape {head.shape}" if head.shape != (vectors.HEAD,) else "values that are not finite"
        problems.append(Problem("head", found, f"{vectors.HEAD} numbers", "See fitter.physics.vectors.HEAD."))
    if level is not None and not 0.0 <= level <= 1.0:
        problems.append(Problem("level", f"{level:g}", "0 (scratch) to 1 (high handicap)", "Name a level."))
    if model is not None and np.shape(model) != (vectors.MODEL,):
        found = f"shape {np.shape(model)}"
        problems.append(
            Problem("model", found, f"{vectors.MODEL} numbers", "See fitter.physics.impact.MODEL.")
        )
    raise_if(problems, "The delivery cannot be inferred with these.")


def _batch(
    sessions: list[Session], head: Floats, indoor: bool | None, level: float | None, model: Floats | None
) -> list[Delivery]:
    """Infer sessions together, in groups with the same points of the face."""
    if not sessions:
        return []
    held = [s if len(s) else _unmeasured(s) for s in sessions]
    data = _data(held, head, indoor)
    face = [measurement.open_points(s, "face_point") for s in held]
    doubtful = np.flatnonzero([len(f) > 1 for f in face])
    if len(doubtful):
        found = points.of_face(_of(data, doubtful), level, model)
        for i, at in zip(doubtful, found, strict=True):
            face[i] = ((0,), (1,), (0, 1))[at]
    out: dict[int, Delivery] = {}
    for group in sorted(set(face)):
        members = np.array([i for i, f in enumerate(face) if f == group])
        hypotheses, part = weighed(group, level, model), _of(data, members)
        answer = evidence.search(part, hypotheses, evidence.Limits.judged())
        for k, i in enumerate(members):
            out[int(i)] = _one(sessions[i], k, part, answer, head, hypotheses)
    return [out[i] for i in range(len(sessions))]


def _of(data: Data, sessions: Ints) -> Data:
    return data.take(np.flatnonzero(np.isin(data.owner, sessions)), data.y)


def _data(held: list[Session], head: Floats, indoor: bool | None) -> Data:
    calibration = [measurement.calibration_prior(s) for s in held]
    sizes = np.array([len(s) for s in held], dtype=np.int64)
    return Data(
        np.concatenate([measurement.measured(s) for s in held]),
        np.concatenate([measurement.spreads(s, indoor) for s in held]),
        np.append(0, np.cumsum(sizes)[:-1]).astype(np.int64),
        np.concatenate([(~s.set_aside).astype(np.float64) for s in held]),
        np.broadcast_to(head, (int(sizes.sum()), vectors.HEAD)),
        np.stack([c[0] for c in calibration]),
        np.stack([c[1] for c in calibration]),
        current().value("player.ordinary_distance"),
        np.ones(int(sizes.sum())),
        np.repeat([measurement.usual_spin(s) for s in held], sizes),
    )


def _unmeasured(session: Session) -> Session:
    """One ball of which nothing is known, in place of none; its row is left out of the answer."""
    one = np.ones(1, dtype=np.int64)
    none: MappingProxyType[str, Any] = MappingProxyType({})
    return replace(
        session, values=none, words=none, estimated=none, shot=one, row=one, set_aside=one.astype(bool)
    )


def _one(
    session: Session, k: int, data: Data, found: evidence.Found, head: Floats, hypotheses: Hypotheses
) -> Delivery:
    """Mix the hypotheses of one session: moments of the mixture, its parts kept for draws."""
    at = slice(int(data.first[k]), int(data.first[k]) + len(session))
    parts = found.posterior.take(at, slice(k, k + 1))
    w = found.weights[:, k]
    speed = measurement.open_points(session, "speed_point")
    if len(speed) > 1:
        prior = float(data.mean[k, measurement.PATH]), float(data.spread[k, measurement.PATH])
        parts, hypotheses, w = points.of_speed(parts, hypotheses, prior)
    else:
        hypotheses = replace(hypotheses, speed=np.full(len(hypotheses), speed[0]))
    mean, cov = mixture(w, parts.x, parts.own + parts.pull @ parts.g_cov @ parts.pull.swapaxes(-1, -2))
    expected, spread_of = found.expected[at] / SCALE, found.spread[at] / SCALE
    noise = np.sqrt(w @ parts.device[:, 0])
    shown = set(np.flatnonzero(np.isfinite(data.y[at]).any(axis=0)))
    return Delivery(
        session=session,
        mean=mean,
        cov=cov,
        calibrations=MappingProxyType(_calibrations(parts.g[:, 0], parts.g_cov[:, 0], w, hypotheses)),
        level=float(w @ hypotheses.level),
        predicted=MappingProxyType({n: expected[:, j] for j, n in enumerate(MEASURED)}),
        predicted_sd=MappingProxyType({n: spread_of[:, j] for j, n in enumerate(MEASURED)}),
        residual=MappingProxyType({n: session.value(n) - expected[:, j] for j, n in enumerate(MEASURED)}),
        misread=found.misread[at],
        head=head,
        noise=MappingProxyType({n: float(noise[j]) for j, n in enumerate(MEASURED) if j in shown}),
        points=MappingProxyType(_points(session, w, hypotheses)),
        left_out=(*session.left_out, *_left_out(session, expected, found.broken[k])),
        _hypotheses=hypotheses,
        _weights=w,
        _parts=parts,
    )


def _left_out(session: Session, expected: Floats, broken: NDArray[np.bool_]) -> list[LeftOut]:
    out = []
    for j in np.flatnonzero(broken):
        name, told = MEASURED[j], session.value(MEASURED[j])
        both = np.isfinite(told) & np.isfinite(expected[:, j]) & ~session.set_aside
        found, said = told[both], expected[both, j]
        apart = float(np.sqrt(np.mean((found - said) ** 2)))
        out.append(LeftOut(name, float(found.mean()), float(said.mean()), apart, CHANNELS[name].unit or ""))
    return out


def _points(session: Session, w: Floats, hypotheses: Hypotheses) -> dict[str, float]:
    """Probability that face and loft belong to the strike point, speed and path to the mass centre."""
    out = {}
    for name, where in (("face_point", hypotheses.face), ("speed_point", hypotheses.speed)):
        if any(session.has(c) for c in measurement.BELONG[name]):
            out[name] = float(w @ where)
    return out


def _calibrations(g: Floats, g_cov: Floats, w: Floats, hypotheses: Hypotheses) -> dict[str, Calibration]:
    priors = hypotheses.priors
    aim = np.stack([p.aim @ (row[:X] - p.mean) for p, row in zip(priors, g, strict=True)])
    aim_var = np.stack([p.aim_sd**2 + p.aim @ c[:X, :X] @ p.aim for p, c in zip(priors, g_cov, strict=True)])
    of_session = slice(X, X + measurement.OPEN)
    values = np.concatenate([g[:, of_session], aim[:, None]], axis=1)
    told = np.diagonal(g_cov, axis1=-2, axis2=-1)[:, of_session]
    variances = np.concatenate([told, aim_var[:, None]], axis=1)
    mean = w @ values
    sd = np.sqrt(w @ (variances + (values - mean) ** 2))
    out = {}
    for name, value, width in zip((*measurement.OF_SESSION, "aim"), mean, sd, strict=True):
        if name in ("club_speed", "spin"):
            out[name] = Calibration(float(np.exp(value)), float(np.exp(value) * width), "factor")
        elif name == "restitution":
            out[name] = Calibration(float(value), float(width), "1")
        else:
            out[name] = Calibration(float(value / DEG), float(width / DEG), "deg")
    return out
