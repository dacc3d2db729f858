"""The virtual range: its engine against closed forms, its independence, its honesty with the present club."""

from __future__ import annotations

import ast
import subprocess
import sys
from pathlib import Path

import numpy as np
import pytest

from fitter.advice.options import Option, enumerate_options, present_club
from fitter.shots.reader.intake import read
from reference.virtual_range import engine, ground, worlds
from reference.virtual_range.engine import BALL_INERTIA, BALL_MASS, BALL_RADIUS, GRAVITY, Air, Strike
from reference.virtual_range.ground import Turf
from reference.virtual_range.players import Player, Truth
from reference.virtual_range.run import report, run
from reference.virtual_range.shop import KIT, Parts
from reference.virtual_range.trial import gauged, run_player

DEG = np.pi / 180.0
HERE = Path(engine.__file__).parent
DOORS = {
    "fitter.advice.options", "fitter.advice.question", "fitter.advice.rank", "fitter.advice.result",
    "fitter.advice.scored",
    "fitter.base.errors", "fitter.kit.figures", "fitter.kit.inventory", "fitter.kit.parts",
    "fitter.shots.session", "fitter.shots.reader.intake",
}  # fmt: skip
"""What a user of the package may touch."""


def flat(e: float, e_t: float, mass: float = 0.2, depth: float = 0.04) -> tuple[engine.Floats, Strike]:
    head = np.array([[mass, depth, 0.0, 0.0, 2.8e-4, 5.0e-4, 3.7e-4, 0.0, 0.0, 0.0]])
    law = Strike(lambda v, x, y: np.full_like(v, e), lambda s, a: np.full_like(s, e_t), 0.0, 0.0)
    return head, law


# Closed form: two bodies in the plane, contact on the line through the head's mass centre.
@pytest.mark.parametrize("loft", [8.0, 13.0, 20.0])
@pytest.mark.parametrize("e_t", [0.0, -0.2])
def test_centre_strike_in_the_plane(loft: float, e_t: float) -> None:
    v, e, k, ratio = 45.0, 0.83, 0.4, BALL_MASS / 0.2
    head, law = flat(e, e_t)
    speed, launch, direction, spin, tilt = engine.strike(
        np.array([[v, 0, 0, 0, loft * DEG, 0, 0]]), head, law
    )[0]
    normal = v * np.cos(loft * DEG) * (1 + e) / (1 + ratio)
    # The head yields along the face too: it turns about its heel-toe axis.
    yields = BALL_MASS * head[0, engine.DEPTH] ** 2 / head[0, engine.I_TOE]
    tangent = v * np.sin(loft * DEG) * (1 + e_t) / (1 + 1 / k + ratio + yields)
    assert speed == pytest.approx(np.hypot(normal, tangent), rel=1e-12)
    assert launch == pytest.approx(loft * DEG - np.arctan2(tangent, normal), rel=1e-12)
    assert spin == pytest.approx(tangent / (k * BALL_RADIUS), rel=1e-12)
    assert direction == pytest.approx(0.0, abs=1e-12)
    assert tilt == pytest.approx(0.0, abs=1e-12)


# Closed form: a collision that gives back all of the contact's velocity keeps the energy of both bodies.
def test_energy_and_momentum_of_an_elastic_miss() -> None:
    head, law = flat(1.0, 1.0)
    toe, high, v = 0.015, -0.007, 48.0
    impulse, ball, spin = (
        x[0] for x in engine.collide(np.array([[v, 0.05, 0.03, 0, 0, toe, high]]), head, law)
    )
    club = np.array([v * np.cos(0.05) * np.cos(0.03), -v * np.cos(0.05) * np.sin(0.03), v * np.sin(0.05)])
    # A square face without loft: normal x, up z, toe -y.
    arm = np.array([head[0, engine.DEPTH], -toe, high])
    moments = np.array([2.8e-4, 3.7e-4, 5.0e-4])
    after, turn = club - impulse / 0.2, -np.cross(arm, impulse) / moments
    before = 0.5 * 0.2 * club @ club
    kept = 0.5 * (0.2 * after @ after + turn @ (moments * turn))
    kept += 0.5 * (BALL_MASS * ball @ ball + BALL_INERTIA * spin @ spin)
    assert kept == pytest.approx(before, rel=1e-12)
    assert 0.2 * after + BALL_MASS * ball == pytest.approx(0.2 * club, rel=1e-12)


# Closed form: the parabola.
def test_flight_without_air() -> None:
    nothing = Air(lambda s, re: (np.zeros_like(s), np.zeros_like(s)), 0.0)
    start = np.array([[60.0, 12 * DEG, 5 * DEG, 280.0, 0.1], [30.0, 40 * DEG, 0.0, 0.0, 0.0]])
    out = engine.fly(start, nothing, np.ones(2), np.ones(2))
    far = start[:, 0] ** 2 * np.sin(2 * start[:, 1]) / GRAVITY
    assert np.hypot(out[:, 0], out[:, 1]) == pytest.approx(far, rel=1e-9)
    assert -np.arctan2(out[:, 1], out[:, 0]) == pytest.approx(start[:, 2], abs=1e-9)
    assert out[:, 7] == pytest.approx(2 * start[:, 0] * np.sin(start[:, 1]) / GRAVITY, rel=1e-9)
    assert out[:, 5] == pytest.approx(start[:, 3])


# Closed form: in level flight's first moment a sideways tilt turns the lift by that angle.
def test_tilt_and_spin_curve_the_right_way() -> None:
    start = np.array([[70.0, 12 * DEG, 0.0, 270.0, 8 * DEG], [70.0, 12 * DEG, 0.0, 270.0, -8 * DEG]])
    for world in worlds.WORLDS.values():
        out = ground.finish(engine.fly(start, world.air, np.ones(2), np.ones(2)), start[:, 4], world.turf)
        assert out[0, 1] > 5.0
        assert out[0] == pytest.approx(out[1] * [1, -1, 1, -1], rel=1e-9)


# Convergence: a step ten times finer moves no carry by 1 cm.
@pytest.mark.parametrize("world", worlds.WORLDS.values(), ids=list(worlds.WORLDS))
def test_step_is_fine_enough(world: worlds.World) -> None:
    start = np.array(
        [[v, a * DEG, 0.0, s, 0.0] for v in (48.0, 75.0, 88.0) for a in (8, 14) for s in (200, 360)]
    )
    one = np.ones(len(start))
    coarse, fine = (engine.fly(start, world.air, one, one, step=h) for h in (0.2, 0.02))
    assert np.abs(coarse[:, 0] - fine[:, 0]).max() < 0.01


# Closed form: without bounce and friction the skid turns into a roll at 5/7 u - 2/7 s.
def test_roll_without_a_bounce() -> None:
    level = Turf(lambda v, a: np.zeros_like(v), lambda v: np.zeros_like(v), 0.0, True, 0.5)
    velocity, spin = np.array([[8.0, 0.0, -10.0], [0.0, 3.0, -10.0]]), np.array([100.0, 500.0])
    rolling = (5 * np.array([8.0, 3.0]) - 2 * spin * BALL_RADIUS) / 7
    expected = np.sign(rolling) * rolling**2 / (2 * 0.5 * GRAVITY)
    assert ground.run(velocity, spin, level) == pytest.approx(expected, rel=1e-12)


# Published: means of launches of US 6,186,002 (Re in 1e5, S, C_D, C_L), which the table was drawn through.
@pytest.mark.parametrize(
    ("re", "s", "drag", "lift"),
    [
        (0.81, 0.218, 0.305, 0.278),
        (1.23, 0.153, 0.256, 0.214),
        (1.25, 0.088, 0.226, 0.146),
        (2.0, 0.092, 0.241, 0.153),
    ],
)
def test_the_table_is_the_published_one(re: float, s: float, drag: float, lift: float) -> None:
    found = worlds.tabulated(np.array([s]), np.array([re]))
    assert found[0][0] == pytest.approx(drag, abs=0.008)
    assert found[1][0] == pytest.approx(lift, abs=0.008)


def test_the_truth_imports_nothing_of_the_advisor() -> None:
    code = (
        "import sys; import reference.virtual_range.worlds; print([m for m in sys.modules if 'fitter' in m])"
    )
    root = HERE.parent.parent
    done = subprocess.run([sys.executable, "-c", code], cwd=root, capture_output=True, text=True, check=True)
    assert done.stdout.strip() == "[]"


def test_the_advisor_is_asked_from_outside() -> None:
    for path in HERE.glob("*.py"):
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
            names = [a.name for a in node.names] if isinstance(node, ast.Import) else []
            names += [node.module or ""] if isinstance(node, ast.ImportFrom) else []
            for name in names:
                assert not name.startswith("fitter") or name in DOORS, f"{path.name} imports {name}"


@pytest.mark.parametrize("world", worlds.WORLDS.values(), ids=list(worlds.WORLDS))
def test_the_present_club_gains_nothing(world: worlds.World) -> None:
    player = Player.draw(5, world)
    club = present_club(KIT, player.present)
    here = Option(club.code, "-", club)
    swings = player.swings(50, 9)
    changed, _ = Truth(player).changed(swings, here, here)
    assert np.array_equal(changed, swings)
    _, finish = Truth(player).hit([here, here], swings)
    assert np.array_equal(finish[0], finish[1])


def test_every_option_of_the_shop_has_a_truth() -> None:
    player = Player.draw(2, worlds.FAR)
    options = enumerate_options(KIT, present_club(KIT, player.present))
    _, finish = Truth(player).hit(options, player.swings(8, 9, even=True))
    assert finish.shape == (len(options), 8, 4)
    assert np.isfinite(finish).all()
    # A weight in the tip does there what the same weight on the head does.
    told_apart = [o for o in options if not o.club.tip_weight_g]
    carries = finish[..., 0].mean(axis=1)
    assert len(options) > len(told_apart) > 300
    assert len({round(float(c), 6) for c in carries}) == len(told_apart)


def test_a_log_says_what_the_player_did_within_the_errors_of_the_instrument(tmp_path: Path) -> None:
    hands = set()
    for number in range(8, 16):
        player = Player.draw(number, worlds.NEAR)
        club = present_club(KIT, player.present)
        truth = Truth(player)
        truth.write_log(tmp_path / "log.csv", Option(club.code, "-", club))
        session = read(tmp_path / "log.csv")
        hands.add(session.hand)
        assert session.hand == player.hand
        start, rest = (
            x[0] for x in truth.hit([Option(club.code, "-", club)], player.swings(player.shots, 1))
        )
        for name, true, most in (
            ("direction_deg", start[:, 2] / DEG, 4.0),
            ("spin_axis_deg", start[:, 4] / DEG, 8.0),
            ("carry_m", rest[:, 0], 0.05 * rest[:, 0]),
            ("offline_m", rest[:, 1], 7.0),
        ):
            assert (np.abs(session.value(name) - true) < most).all()
    assert hands == {"left", "right"}


def test_a_gauge_reads_what_the_head_truly_has() -> None:
    truth = Truth(Player.draw(1, worlds.NEAR))
    kit = gauged(KIT, truth)
    for head in kit.heads:
        assert head.loft_deg is not None
        assert abs(head.loft_deg.value - truth.parts.heads[head.code]["loft_deg"]) < 1.5
    assert Parts(worlds.NEAR, 1).heads["H6"] != Parts(worlds.NEAR, 2).heads["H6"]


@pytest.mark.parametrize("players", [2, pytest.param(4, marks=pytest.mark.slow)])
def test_players_from_end_to_end(players: int) -> None:
    records = run(players, 16, ["carry"], ["near"])
    assert [r.number for r in records] == list(range(1, players + 1))
    for record in records:
        assert record.oracle >= max(0.0, record.followed)
        assert record.oracle >= record.resolved >= min(0.0, record.followed)
        assert sum("sample" in row.roles for row in record.rows) == 40
        assert all(row.low95 <= row.low <= row.high <= row.high95 for row in record.rows)
    text = report(records)
    assert "World 'near', carry" in text
    assert f"| 40 at random | {40 * players} |" in text
    # The same player alone, asked again, gets the same answer and the same truth.
    assert run_player("near", 2, ["carry"], 16) == [records[1]]
