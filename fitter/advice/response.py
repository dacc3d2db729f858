"""What a change does to the delivery: mechanics x the player's response + the player's own part.

Everything is drawn from streams keyed by the name of what is unknown (a head's loft, a shaft's tip, a
response), so that options which share a part share its draws.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from fitter.advice.options import Option
from fitter.base import draws
from fitter.base.assumptions import current
from fitter.base.units import DEG, INCH
from fitter.kit.club import Club
from fitter.kit.mechanics import Mechanics, describe, unique
from fitter.physics import geometry, vectors

Floats = NDArray[np.float64]

SETS_FACE = ("unknown", "soled", "eye")
"""How a player sets the face: not asked, by soling the club, or by squaring the face by eye."""


@dataclass(frozen=True)
class Swing:
    """The player's mean delivery: what the geometry of a moved ball needs. m/s and rad."""

    speed: float
    attack: float
    path: float
    face: float
    loft: float


@dataclass(frozen=True)
class Changes:
    """What options change, in every draw.

    Parameters
    ----------
    delivery : ndarray, shape (draws, options, 8)
        A factor on club speed, sums on the rest, a factor on the strike's scatter, see `vectors.CHANGE`.
    head : ndarray, shape (draws, options, 13)
        See `vectors.HEAD`.
    present_head : ndarray, shape (draws, 13)
    clubs : tuple of Club
        Those of the options.
    speed : float
        Club speed at which they are described, m/s.
    """

    delivery: Floats
    head: Floats
    present_head: Floats
    clubs: tuple[Club, ...]
    speed: float

    @cached_property
    def centre(self) -> Mechanics:
        """The clubs at the centre of their figures, one row."""
        clubs, which = unique(self.clubs, lambda c: c.code)
        return describe(clubs, self.speed).select(which)

    def take(self, which: Sequence[int]) -> Changes:
        """Changes of some of the options."""
        at = list(which)
        clubs = tuple(self.clubs[i] for i in at)
        return replace(self, delivery=self.delivery[:, at], head=self.head[:, at], clubs=clubs)


class Response:
    """Draws of everything that stands between a change of club and a change of delivery.

    Parameters
    ----------
    n, seed : int
        Draws; seed of the keyed streams.
    players : int
        Players whose mean is predicted: a player's own part of a response shrinks with its root. 1 for the
        player at hand; more to compare with published trials.
    sets_face : str
        One of `SETS_FACE`: how the player sets the face at address.
    wider : float
        Times as wide as judged are the answers of players drawn.
    """

    def __init__(
        self,
        n: int,
        seed: int,
        players: int = 1,
        sets_face: str = "unknown",
        wider: float = 1.0,
    ) -> None:
        self.n, self.seed, self.players, self.sets_face, self.wider = n, seed, players, sets_face, wider
        self.a = current()

    def draw(self, name: str, low: float = -np.inf, high: float = np.inf) -> Floats:
        """Draw an assumption, shape (n,)."""
        entry = self.a[name]
        sd = entry.sd * (self.wider if name.startswith("response.") else 1.0)
        return np.asarray(np.clip(entry.value + sd * self.z(name), low, high))

    def face_share(self) -> Floats:
        """Share of a change of soled face angle that reaches the delivered face, shape (n,)."""
        names = {"unknown": "response.face", "eye": "response.face_eye", "soled": "response.face_soled"}
        return self.draw(names[self.sets_face])

    def own(self, name: str, code: str) -> Floats:
        """Draw the player's own part of a response to one shaft, shape (n,)."""
        return np.asarray(self.wider * self.a.sd(name) * self.z(name, code) / np.sqrt(self.players))

    def z(self, *names: str) -> Floats:
        """Standard normal draws of a named unknown, shape (n,)."""
        return draws.normals(self.n, self.seed, *names)


def changes(options: Sequence[Option], present: Club, swing: Swing, response: Response) -> Changes:
    """Delivery and head of every option in every draw.

    Parameters
    ----------
    options : sequence of Option
    present : Club
    swing : Swing
        The player's mean delivery with the present club.
    response : Response

    Returns
    -------
    Changes
        The present club itself changes nothing, exactly.
    """
    r = response
    clubs, which = unique([present, *(o.club for o in options)], lambda c: c.code)
    which = which[1:]
    drawn = describe(clubs, swing.speed, r.n, r.seed)
    heads = drawn.kernel_heads()
    kinds, head_of = unique(clubs, lambda c: c.head.head)
    own = np.stack([r.own("response.cor_head", c.head.head) for c in kinds], axis=-1)
    heads[..., vectors.COR_OFFSET] += own[:, head_of]
    delivery = _club_changes(clubs, drawn, r)[:, which]
    places, place_of = unique(list(options), lambda o: (o.ball_forward_mm, o.tee_mm))
    moved = np.stack([_set_up(o.ball_forward_mm, o.tee_mm, swing, r) for o in places], axis=1)
    delivery += moved[:, place_of]
    return Changes(delivery, heads[:, which], heads[:, 0], tuple(o.club for o in options), swing.speed)


def _club_changes(clubs: Sequence[Club], m: Mechanics, r: Response) -> Floats:
    """Delivery changes of clubs against the first, shape (n, clubs, 8)."""
    n, present = r.n, clubs[0]
    out = np.zeros((n, len(clubs), vectors.CHANGE))
    shafts, shaft_of = unique(clubs, lambda c: c.shaft.code)
    own = np.stack([np.stack(_shaft(c, present, r), axis=-1) for c in shafts], axis=1)[:, shaft_of]
    built, built_of = unique(clubs, lambda c: _bench_steps(c, present, r))
    own = own + np.stack([_bench(c, present, r) for c in built], axis=1)[:, built_of]
    speed, loft, face = own[..., 0], own[..., 1], own[..., 2]
    settings, setting_of = unique(clubs, lambda c: (c.head.code, c.loft_change_deg))
    slip = np.stack([_slip(c, present, r) for c in settings], axis=-1)[:, setting_of]
    given, share = r.face_share()[:, None], r.draw("response.shaft_loft")[:, None]
    arm = 1.0 + (m.length - m.length[:, :1]) / r.draw("response.length_radius", 1.0)[:, None]
    exponent = r.draw("response.inertia_exponent", 0.0)[:, None]
    head_loft = m.loft - m.loft[:, :1]
    if r.sets_face == "soled":
        # What stays of the soled face was never turned square, and so never became loft.
        soled = m.soled_loft - m.soled_loft[:, :1]
        head_loft = soled + (1.0 - given) * (head_loft - soled)
    bend = share * (m.lead_slope - m.lead_slope[:, :1])
    longer = (m.length - m.length[:, :1]) / INCH
    out[..., vectors.CLUB_SPEED] = (1.0 + speed) * arm * (m.moi / m.moi[:, :1]) ** (-exponent)
    out[..., vectors.LOFT] = r.draw("response.loft")[:, None] * (head_loft + slip * DEG) + bend + loft
    out[..., vectors.FACE] = given * (m.soled_face - m.soled_face[:, :1]) + face
    scatter = 1.0 + r.draw("response.scatter_per_inch")[:, None] * longer
    out[..., vectors.SCATTER] = np.maximum(scatter, 0.5)
    out[:, 0] = 0.0
    out[:, 0, [vectors.CLUB_SPEED, vectors.SCATTER]] = 1.0
    return out


def _slip(club: Club, present: Club, r: Response) -> Floats:
    """By how much a sleeve or another head misses its step of loft, deg, shape (n,)."""
    if club.loft_change_deg == present.loft_change_deg and club.head.code == present.head.code:
        return np.zeros(r.n)
    words = "sleeve", club.head.code, f"{club.loft_change_deg:+g}"
    return np.asarray(r.a.sd("response.sleeve_step") * r.z(*words))


def _shaft(club: Club, present: Club, r: Response) -> tuple[Floats, Floats, Floats]:
    """Share of speed, delivered loft and face (rad) of the player's own response to a shaft, (n,) each."""
    a = r.a
    if club.shaft.code == present.shaft.code:
        zero = np.zeros(r.n)
        return zero, zero, zero

    def step(name: str, span: str) -> float:
        change = club.shaft.figure(name).value - present.shaft.figure(name).value
        return change / a.value(span)

    softer = -step("frequency_cpm", "response.flex_span")
    heavier = step("mass_g", "response.mass_span")
    size = max(float(np.hypot(softer, heavier)), a.value("response.shaft_least"))
    code = club.shaft.code
    mean = r.draw("response.shaft_speed_mean") * softer + r.draw("response.shaft_mass_mean") * heavier
    return (
        mean + r.own("response.shaft_speed", code) * size,
        r.own("response.shaft_loft_own", code) * size * DEG,
        r.own("response.shaft_face", code) * size * DEG,
    )


def _bench_steps(club: Club, present: Club, r: Response) -> tuple[tuple[str, float], ...]:
    """Bench work against the present club by kind, each as a share of two flex classes, without noughts.

    A length counts with every club; masses of head and grip only where the part stays, since another part
    has an answer of its own.
    """
    a, steps = r.a, {}
    length = club.length_in.value - present.length_in.value
    steps["length"] = length / a.value("response.length_span")
    if club.head.code == present.head.code:
        head = club.swap_g + club.tip_weight_g - present.swap_g - present.tip_weight_g
        steps["head mass"] = head / a.value("response.mass_span")
    if club.shaft.code == present.shaft.code:
        grips = [
            (c.shaft.figure("grip_mass_g") if c.grip_mass_g is None else c.grip_mass_g).value
            for c in (club, present)
        ]
        steps["grip mass"] = (grips[0] - grips[1]) / a.value("response.mass_span")
    return tuple((kind, step) for kind, step in steps.items() if step)


def _bench(club: Club, present: Club, r: Response) -> Floats:
    """Share of speed, delivered loft and face (rad) of the player's own answer to bench work, (n, 3).

    No mean: length and inertia act through mechanics. Steps of one kind share their draw, so that half a step
    does half, and a step back undoes it.
    """
    total = np.zeros((r.n, 3))
    scales = ("response.shaft_speed", 1.0), ("response.shaft_loft_own", DEG), ("response.shaft_face", DEG)
    for kind, step in _bench_steps(club, present, r):
        total += np.stack([r.own(name, kind) * step * unit for name, unit in scales], axis=-1)
    return total


def _own_answers(kind: str, moved_mm: float, r: Response) -> Floats:
    """Delivery sums of the player's own answer to a moved ball or another tee, shape (n, 8).

    Steps of one kind share their draws, whatever the option: half a step does half.
    """
    total = np.zeros((r.n, vectors.CHANGE))
    step = moved_mm / r.a.value("response.set_up_span")
    if step:
        # A change of the factor on the speed adds to it: the club's own factor is near 1.
        total[:, vectors.CLUB_SPEED] = step * r.own("response.set_up_speed", kind)
        total[:, vectors.LOFT] = step * r.own("response.set_up_loft", kind) * DEG
        total[:, vectors.FACE] = step * r.own("response.set_up_face", kind) * DEG
        total[:, vectors.TOE] = step * r.own("response.set_up_strike", f"{kind} across") * 1e-3
        total[:, vectors.HIGH] = step * r.own("response.set_up_strike", f"{kind} up") * 1e-3
    return total


def _set_up(ball_forward_mm: float, tee_mm: float, swing: Swing, r: Response) -> Floats:
    """Delivery sums of a moved ball, shape (n, 8): arc times what the player leaves of it, own answers."""
    total = _own_answers("ball", ball_forward_mm, r) + _own_answers("tee", tee_mm, r)
    if ball_forward_mm:
        follow = r.draw("response.ball_follow", 0.0, 1.0)
        moved = geometry.forward(
            ball_forward_mm * 1e-3,
            swing.attack,
            swing.path,
            swing.face,
            swing.loft,
            swing.speed,
            r.draw("arc.radius_m", 0.8),
            r.draw("arc.plane_deg") * DEG,
            r.draw("arc.closure_degps") * DEG,
            r.draw("arc.rotation_radius_m", 0.7),
        )
        total[:, vectors.ATTACK] += follow * moved.attack
        total[:, vectors.PATH] += follow * moved.path
        total[:, vectors.FACE] += follow * moved.face
        total[:, vectors.LOFT] += follow * moved.loft
        # The club passes higher over a ball that lies further forward: it is struck lower on the face.
        total[:, vectors.HIGH] -= follow * moved.rise
    if tee_mm:
        higher = geometry.strike_height(tee_mm * 1e-3, swing.loft)
        attack = r.draw("response.tee_attack") * DEG * tee_mm / 10.0
        total[:, vectors.ATTACK] += attack
        total[:, vectors.LOFT] += r.draw("response.tee_loft") * attack
        total[:, vectors.HIGH] += r.draw("response.tee_strike", 0.0, 1.0) * higher
    return total
