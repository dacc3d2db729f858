"""What options would really do for a player."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from fitter.advice.options import Option
from reference.virtual_range import engine
from reference.virtual_range.engine import Floats
from reference.virtual_range.players import Player, stream
from reference.virtual_range.shop import Built, Parts
from reference.virtual_range.worlds import DEG

PLANE = 47.0 * DEG
"""Inclination of a driver's swing plane (M: 45 to 48)."""
ROTATION = 1.3
"""m: club speed over the club's own rate of turning (C, worked example of the ball position)."""


class Truth:
    """Swings, parts and laws of one player, and what comes of them.

    Parameters
    ----------
    player : Player
    """

    def __init__(self, player: Player) -> None:
        self.player, self.parts = player, Parts(player)
        self.law, self.air, self.ball, self.turf = player.law(), player.air(), player.ball(), player.turf()

    def shaft(self, code: str, present: str) -> Floats:
        """Own answer to a shaft against the present one: share of speed; loft, face in rad."""
        if code == present:
            return np.zeros(3)
        new, old = self.parts.shafts[code], self.parts.shafts[present]
        size = max(float(np.hypot((new["cpm"] - old["cpm"]) / 55.0, (new["mass"] - old["mass"]) / 22.0)), 0.3)
        sd = np.array(self.player.numbers("answer_shaft")) * np.array([1.0, DEG, DEG])
        return np.asarray(size * sd * stream(self.player.number, "own shaft", code).standard_normal(3))

    def changed(self, swings: Floats, option: Option, present: Option) -> tuple[Floats, Built]:
        """Swings with an option, and its club."""
        new, old = self.parts.build(option), self.parts.build(present)
        player, out = self.player, swings.copy()
        own = player.number_of
        speed, loft, face = self.shaft(option.club.shaft.code, present.club.shaft.code)
        longer = option.club.length_in.value - present.club.length_in.value
        arm = 1.0 + 0.0254 * longer / own("radius")
        out[:, engine.SPEED] *= (1.0 + speed) * arm * (new.inertia / old.inertia) ** -own("answer_inertia")
        out[:, engine.LOFT] += loft + DEG * (
            own("answer_loft") * (new.loft - old.loft) + own("answer_bend") * (new.lead - old.lead)
        )
        out[:, engine.FACE] += own("answer_face") * (new.soled_face - old.soled_face) * DEG + face
        if longer:
            wider = max(1.0 + own("answer_scatter") * longer, 0.5)
            for column in (engine.TOE, engine.HIGH):
                out[:, column] = player.mean[column] + wider * (out[:, column] - player.mean[column])
        self._move_ball(out, option.ball_forward_mm * 1e-3)
        self._tee_up(out, option.tee_mm * 1e-3)
        return Player.held_in(out), new

    def _move_ball(self, out: Floats, forward: float) -> None:
        """Move the ball, in place: geometry of the arc times what he keeps, and his own answer."""
        if not forward:
            return
        player, mean = self.player, self.player.mean
        keep = float(np.clip(player.number_of("follow"), 0.0, 1.1))
        closure, omega = player.number_of("closure") * DEG, mean[engine.SPEED] / ROTATION
        attack, later = forward / player.number_of("radius") * np.sin(PLANE), forward / mean[engine.SPEED]
        roll = (closure - omega * np.cos(PLANE)) / np.sin(PLANE)
        out[:, engine.ATTACK] += keep * attack
        out[:, engine.PATH] -= keep * attack / np.tan(PLANE)
        out[:, engine.FACE] -= keep * closure * later
        out[:, engine.LOFT] += keep * (omega * np.sin(PLANE) - roll * np.cos(PLANE)) * later
        out[:, engine.HIGH] -= keep * forward * np.tan(mean[engine.ATTACK] + 0.5 * attack)
        self._own(out, "own_ball", forward / 0.020)

    def _tee_up(self, out: Floats, higher: float) -> None:
        """Tee the ball higher, in place."""
        if not higher:
            return
        own = self.player.number_of
        raised = own("tee_attack") * DEG * higher * 100.0
        out[:, engine.ATTACK] += raised
        out[:, engine.LOFT] += own("tee_loft") * raised
        reached = float(np.clip(own("tee_strike"), 0.0, 1.2))
        # A ball that sits higher is met higher on the face, as far as the swing does not go with it.
        out[:, engine.HIGH] += reached * higher * np.cos(self.player.mean[engine.LOFT])
        self._own(out, "own_tee", higher / 0.010)

    def _own(self, out: Floats, name: str, size: float) -> None:
        """What nobody's geometry says: loft, speed, face, strike."""
        loft, speed, face, strike = self.player.numbers(name)
        z = size * stream(self.player.number, name, "z").standard_normal(4)
        out[:, engine.LOFT] += loft * DEG * z[0]
        out[:, engine.SPEED] *= 1.0 + speed * z[1]
        out[:, engine.FACE] += face * DEG * z[2]
        out[:, engine.HIGH] += 1e-3 * strike * z[3]

    def fly(self, deliveries: Floats, heads: Floats) -> tuple[Floats, Floats]:
        """Starts (n, 5) and finishes (n, 7) of deliveries at the face centre."""
        starts = engine.strike(deliveries, heads, self.law)
        return starts, engine.fly(starts, self.air, self.ball, self.turf)

    def hit(self, options: Sequence[Option], swings: Floats) -> tuple[Floats, Floats]:
        """Hit swings with every option, the present club first: starts and finishes.

        Returns
        -------
        starts, finishes : ndarray, shapes (options, n, 5) and (options, n, 7)
        """
        starts = np.empty((len(options), len(swings), 5))
        finishes = np.empty((len(options), len(swings), engine.FINISH))
        for i, option in enumerate(options):
            out, built = self.changed(swings, option, options[0])
            starts[i], finishes[i] = self.fly(out, np.repeat(built.head[None], len(out), axis=0))
        return starts, finishes
