"""The virtual range: its engine against closed forms, a truth that stays put, one short run."""

from __future__ import annotations

import ast
from pathlib import Path

import numpy as np
import pytest

import reference.virtual_range as package
from fitter.advice.options import enumerate_options, present_club
from reference.virtual_range import engine
from reference.virtual_range.players import player, session, true_gains
from reference.virtual_range.run import outcomes, summary
from reference.virtual_range.shop import shop
from reference.virtual_range.worlds import WORLDS

FOLDER = Path(package.__file__).parent
HEAD = {
    "mass_kg": 0.2, "depth_m": 0.037, "up_m": 0.0, "inertia_up": 4.9e-4, "inertia_toe": 3.6e-4,
    "bulge_m": 0.3, "roll_m": 0.3, "restitution": 0.0,
}  # fmt: skip


def test_the_engine_is_a_second_hand() -> None:
    # Nothing of the package's own physics may stand behind the truth.
    for name in ("engine.py", "worlds.py"):
        tree = ast.parse((FOLDER / name).read_text(encoding="utf-8"))
        froms = [n.module for n in ast.walk(tree) if isinstance(n, ast.ImportFrom)]
        plain = [a.name for n in ast.walk(tree) if isinstance(n, ast.Import) for a in n.names]
        assert not [m for m in (*froms, *plain) if m and m.startswith("fitter")]
    for file in FOLDER.glob("*.py"):
        words = file.read_text(encoding="utf-8")
        assert "fitter.physics" not in words
        assert "fitter.world" not in words


def test_a_flight_without_air_is_a_parabola() -> None:
    # Closed form: v^2 sin(2 a) / g.
    ball = engine.Ball(np.array([0.0, 1.0]), np.zeros(2), np.zeros(2))
    landed = engine.fly(np.array([[50.0, 0.5, 0.0, 0.0, 0.0]]), ball, step=0.01)
    assert landed[0, 0] == pytest.approx(50.0**2 * np.sin(1.0) / engine.GRAVITY, rel=1e-4)
    assert landed[0, 3] == pytest.approx(0.5, abs=1e-3)


def test_a_central_strike_without_loft_is_the_textbook_collision() -> None:
    # Two free bodies on one line: ball speed = v (1 + e) M / (M + m); no spin.
    deed = np.array([[50.0, 0, 0, 0, 0, 0, 0]])
    start = engine.strike(deed, HEAD, engine.Impact(0.83, 0, 0, 0.0, 1.0, 0.0))
    assert start[0, 0] == pytest.approx(50.0 * 1.83 * 0.2 / (0.2 + engine.BALL_MASS), rel=1e-9)
    assert start[0, 3] == pytest.approx(0.0, abs=1e-6)


def test_a_rigid_strike_makes_the_spin_of_a_rolling_ball() -> None:
    # Sticking contact at the mass centre's height (Penner 2001, Am. J. Phys. 69, 563, planar): the ball rolls
    # off, so its spin is (5/7) v sin(loft) / r for a head that cannot turn.
    heavy = HEAD | {"mass_kg": 1e6, "inertia_up": 1e6, "inertia_toe": 1e6}
    deed = np.array([[50.0, 0, 0, 0, 0.2, 0, 0]])
    start = engine.strike(deed, heavy, engine.Impact(0.83, 0, 0, 0.0, 1.0, 0.0))
    rolling = 5.0 / 7.0 * 50.0 * np.sin(0.2) / engine.BALL_RADIUS
    assert start[0, 3] == pytest.approx(rolling, rel=1e-6)
    assert start[0, 4] == pytest.approx(0.0, abs=1e-9)


@pytest.mark.parametrize("name", WORLDS)
def test_a_tour_drive_flies_about_as_published(name: str) -> None:
    # Published tour averages of drives (quoted): 167 mph, 10.9 deg, 2,686 rpm carry 275 yd; a world may
    # differ by a few percent, that is its purpose.
    start = np.array([[167 * 0.44704, np.radians(10.9), 0.0, 2686 * np.pi / 30, 0.0]])
    landed = engine.fly(start, WORLDS[name].ball)
    assert landed[0, 0] / 0.9144 == pytest.approx(275.0, rel=0.04)
    ran = engine.run(landed, start[:, 3], WORLDS[name].firm)[0] / 0.9144
    assert 5.0 < ran < 25.0


def test_the_present_club_truly_gains_nothing() -> None:
    world = WORLDS["far"]
    stock = shop(world, 1)
    p = player(world, stock, 7)
    options = list(enumerate_options(stock.kit, present_club(stock.kit, p.present)))
    gains = true_gains(p, options[:6], world, stock, "total")
    assert gains[0] == 0.0
    assert np.ptp(gains) > 0.0


def test_a_player_is_the_same_every_time() -> None:
    world = WORLDS["near"]
    stock = shop(world, 2)
    first, second = (session(player(world, shop(world, 2), 5), world, stock) for _ in range(2))
    for name in first.values:
        np.testing.assert_array_equal(first.value(name), second.value(name))


def test_a_short_run() -> None:
    found = outcomes(WORLDS["near"], 3, "carry", 64)
    figures = summary(found)
    assert len(found) >= 2
    assert sum(figures[f"verdict {a} %"] for a in ("change", "measure", "test", "keep")) == pytest.approx(100)
    assert figures["regret of the verdict, yd"] >= 0.0
