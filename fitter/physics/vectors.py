"""Every vector that the kernels read or write: what stands at which place, in which unit.

A name means one place of one vector, here and in all callers. Kernels index by these names; numba folds the
constants of a module, so a name costs nothing. Units are SI and radians. Right, toe and up are positive; the
axes of flight are x to the target, y left, z up.
"""

# A delivery: the club at the strike, and where the ball meets the face.
CLUB_SPEED, ATTACK, PATH, FACE, LOFT, TOE, HIGH = range(7)
DELIVERY = 7
"""Delivery at the face centre: speed (m/s), attack (rad, up +), path and face (rad, right +), dynamic loft
(rad), strike place across and up the face (m, toe +, up +)."""

SCATTER = 7
CHANGE = 8
"""What an option changes of a delivery: a factor on the club speed, sums at the other places of a delivery,
and at SCATTER a factor on the scatter of the strike place about its mean."""

# A club head.
HEAD_MASS, DEPTH, CG_UP, CG_TOE = range(4)
I_NORMAL, I_UP, I_TOE, I_NORMAL_UP, I_NORMAL_TOE, I_UP_TOE = range(4, 10)
BULGE, ROLL, COR_OFFSET = range(10, 13)
HEAD = 13
"""Head: mass (kg); mass centre behind, above and toeward of the face centre (m); inertia tensor at the mass
centre (kg m2; axes face normal, up the face, toe); curvature of bulge and roll (1/m); restitution less that
of the reference head."""

# A strike model.
COR, COR_SLOPE, COR_SPEED, FALL_TOE, FALL_HIGH = range(5)
ET, ET_RISE, ET_FROM, ET_OVER = range(5, 9)
SHIFT_DOWN, SHIFT_HEEL, SHIFT_CAP, FRICTION, ADDED_MASS, GEAR = range(9, 15)
MODEL = 15
"""Strike model of a draw: restitution at COR_SPEED (m/s, along the normal), its slope per m/s, its fall per
m2 of miss across and up; tangential restitution, its rise at high spin loft, where the rise starts and over
what span (rad); shift of the ball's mass centre down and to the heel (m) and the largest share of the spin
that this may take; friction; mass added to the head (kg)."""

# The start of a ball.
SPEED, ELEVATION, AZIMUTH, SPIN, TILT = range(5)
LAUNCH = 5
"""Start: ball speed (m/s), launch angle (rad), direction (rad, right +), spin (rad/s), tilt of its axis (rad,
curves right +). A shot's residual has the same places: factors on speed and spin, sums on the angles."""

# The aerodynamic law of one ball.
D0, D1, D2, D3, D4, R1, R2, R3, R4 = range(9)
L0, L1, L2, L3, L4, Q = range(9, 15)
S_MIN, S_MAX, RE_MIN, RE_MAX = range(15, 19)
LOW_DRAG, LOW_LIFT, DECAY = range(19, 22)
LAW = 22
"""Law: C_D by powers 0 to 4 of S and 1 to 4 of Re (1e5), C_L by powers 0 to 4 of S and by Re^-2, range of S
and Re, rise of C_D and fall of C_L per unit of (0.75 - Re)/0.75 below Re 0.75e5, C_M / S of the spin
torque."""

# The air.
RHO, NU, WIND_X, WIND_Y, LAND_Z, WINDY = range(6)
PROFILE = 6
P0, P1, P2, P3, P4, P5 = range(PROFILE, PROFILE + 6)
LONG_STEP = 12
AIR = 13
"""Air: density (kg/m3), kinematic viscosity (m2/s), wind at the reference height along x and y (m/s, where it
blows to), height of the landing over the tee (m), 0.0 in calm air, 1.0 in uniform wind or 2.0 in wind that
changes with height, wind over its reference value as a polynomial of degree 5 in z/(z + 20 m), and the
longest step (s)."""
RE_OF, OVER_RE_OF, FORCE, TORQUE = range(13, 17)
"""What a flight adds to its copy of the air: Re (1e5) per m/s and its inverse, rho A/(2 m) (1/m) and the
factor of the spin torque, rho A C_M / (2 k m S) (1/m)."""

# The turf.
TURF_TILT, RESTITUTION, GRIP, ROLLING, RUN_FACTOR = range(5)
FORM, SLOPE_ALONG, SLOPE_ACROSS, RUN_STEEP = range(5, 9)
TURF = 9
"""Turf of a draw: tilt at the first landing (rad; Penner's form: at 18.6 m/s and 44.4 deg), normal
restitution (Penner's form: factor on his law), friction, rolling deceleration over g, a factor on the whole
run for what no source tells, form of the bounce (0 Biber, 1 Penner), slope of the landing area along x and
along y (rise over run), and by how much faster than the model's the logarithm of the run falls with the
landing angle beyond `RUN_ANGLE` (1/rad)."""
RUN_ANGLE = 38.0 * 3.141592653589793 / 180.0
"""Landing angle (rad) at which RUN_FACTOR alone scales the run: that of a tour drive."""

# The state of a block of flights: one flat array of rows, each with one number for each of the 64 lanes.
LANES = 64
"""Shots in one block of the kernels."""
X, Y, Z, U, V, W, OM = (row * LANES for row in range(7))
AX, AY, AZ = (row * LANES for row in range(7, 10))
NEXT = 10 * LANES
X1, Y1, Z1, U1, V1, W1, OM1 = (row * LANES for row in range(10, 17))
S_HIGHEST, RE_LOWEST, STEP_NOW = (row * LANES for row in range(17, 20))
STATE = 20 * LANES
"""State, as the place of lane 0: position x, y, z (m), velocity u, v, w (m/s), spin (rad/s), unit vector of
the spin axis; the first seven again (X1 ... OM1, from NEXT on) at the end of the step; highest S and lowest
Re (1e5) so far, and the step (s)."""

# Where a flight ends.
END_CARRY, END_SIDE, END_TIME, END_APEX, END_U, END_V, END_W, END_SPIN, END_S_PEAK, END_RE_LOW = range(10)
LANDING = 10
"""Landing: carry along the target line and side (m, right +), time (s), apex (m), velocity along x, y, z
(m/s), spin (rad/s), highest S and lowest Re (1e5) on the way."""

# A result, from the strike to rest.
CARRY, SIDE, TOTAL, TOTAL_SIDE, APEX, DESCENT = range(6)
START_SPEED, START_ELEVATION, START_AZIMUTH, START_SPIN, START_TILT = range(6, 11)
S_PEAK, RE_LOW, TIME, LANDING_SPEED, LANDING_SPIN = range(11, 16)
RESULT = 16
"""Result: carry and side at the landing, total and side at rest (m, right +), apex (m), descent angle (rad),
the start as in a launch, highest S, lowest Re (1e5), time (s), speed (m/s) and spin (rad/s) at the
landing."""

BODIES = 22
"""Both bodies after a strike, in the head's frame (face normal, up the face, toe): impulse on the ball (N s),
arm on the ball, arm on the head (m), club velocity before, ball velocity after (m/s), ball spin (rad/s), head
velocity after (m/s), three numbers each; last 1.0 where the ball slid."""
SLID = 21
