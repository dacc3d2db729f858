"""Two worlds that are not the advisor's: what is true of ball, strike, ground, stamps and players' answers.

Both were written down before any coverage was looked at. 'near' lies where the published figures put the
middle, with other shapes; 'far' is plausible and wrong for the advisor in many places at once.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from reference.virtual_range.engine import Ball, Impact

KNOTS = np.array([0.0, 0.05, 0.10, 0.15, 0.20, 0.25, 0.30, 0.40, 0.60])


@dataclass(frozen=True)
class World:
    """One world.

    Parameters
    ----------
    ball, impact : Ball, Impact
    firm : float
        Factor on the run.
    stamp, stamp_sd : float
        Measured loft less the stamped one, deg.
    loft, loft_sd : float
        Share of a change of loft that reaches the delivery, over players.
    face, face_sd : float
        Share of a change of the soled face.
    shaft_speed, shaft_loft : float
        SD of a player's own answer to a shaft two flex classes away: share of speed, deg.
    follow, follow_sd : float
        Share of the arc's geometry that is left when the ball is moved.
    tee_attack, tee_strike : float
        deg of attack for a cm of tee; share of the tee that reaches the strike.
    inertia : float
        Exponent of club speed on the club's inertia about the butt.
    """

    name: str
    ball: Ball
    impact: Impact
    firm: float
    stamp: float
    stamp_sd: float
    loft: float
    loft_sd: float
    face: float
    face_sd: float
    shaft_speed: float
    shaft_loft: float
    follow: float
    follow_sd: float
    tee_attack: float
    tee_strike: float
    inertia: float


WORLDS = {
    "near": World(
        name="near",
        ball=Ball(
            KNOTS,
            drag=np.array([0.205, 0.214, 0.229, 0.250, 0.272, 0.293, 0.312, 0.345, 0.390]),
            lift=np.array([0.045, 0.115, 0.160, 0.193, 0.222, 0.248, 0.270, 0.305, 0.340]),
            low_re=0.10,
        ),
        impact=Impact(0.83, 40.0, 55.0, tangential=0.0, spin_share=0.80, lower=0.0),
        firm=1.0, stamp=0.96, stamp_sd=1.0, loft=0.9, loft_sd=0.2, face=0.25, face_sd=0.15,
        shaft_speed=0.005, shaft_loft=0.7, follow=0.5, follow_sd=0.2, tee_attack=0.6, tee_strike=0.5,
        inertia=0.20,
    ),
    "far": World(
        name="far",
        ball=Ball(
            KNOTS,
            drag=np.array([0.212, 0.218, 0.228, 0.242, 0.262, 0.288, 0.318, 0.375, 0.450]),
            lift=np.array([0.030, 0.100, 0.155, 0.197, 0.230, 0.256, 0.276, 0.300, 0.320]),
            low_re=0.20,
            spin_decay=0.05,
        ),
        impact=Impact(0.82, 110.0, 150.0, tangential=-0.12, spin_share=0.92, lower=0.0008),
        firm=1.5, stamp=0.3, stamp_sd=1.3, loft=0.7, loft_sd=0.3, face=0.45, face_sd=0.25,
        shaft_speed=0.010, shaft_loft=1.2, follow=0.8, follow_sd=0.2, tee_attack=0.2, tee_strike=0.8,
        inertia=0.10,
    ),
}  # fmt: skip
