"""The parts that need no screen: typed shots, pictures, words, pages."""

from __future__ import annotations

import contextlib
import re

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy import stats

from fitter.advice.objectives import LIMITS
from fitter.base.errors import InputError
from fitter.display import words
from fitter.tui import page, pictures, plots, settings
from fitter.tui.big import big
from fitter.tui.entry import SHORT, read_shot
from fitter.tui.form import altitude_of, pressure
from fitter.tui.lines import fit


def test_a_typed_shot_reads_units_and_sides() -> None:
    shot = dict(read_shot("club 50m/s carry 200m side 3mL heel 4 high 0.5in start 2R", "us").values)
    assert shot == {
        "club_speed_mps": 50.0,
        "strike_toe_mm": -4.0,
        "strike_high_mm": pytest.approx(12.7),
        "direction_deg": 2.0,
        "carry_m": 200.0,
        "offline_m": -3.0,
    }


def test_every_fault_of_a_typed_shot_is_said_at_once() -> None:
    with pytest.raises(InputError) as error:
        read_shot("club 300furlongs bll 165 side 5 spin", "us")
    assert len(error.value.problems) == 5


@given(st.text(max_size=60))
def test_any_line_is_a_shot_or_a_sentence(text: str) -> None:
    with contextlib.suppress(InputError):
        shot = read_shot(text, "us")
        assert shot.values
        assert {name for name, _ in shot.values} <= {s.channel for s in SHORT.values()}


def test_the_ellipse_holds_its_share_of_further_shots() -> None:
    """Hotelling's prediction region: of normal shots it holds the share that it promises, at any n."""
    rng = np.random.default_rng(3)
    for n in (5, 8, 20):
        held = []
        for _ in range(400):
            x, y = rng.standard_normal((2, n))
            ring = plots.ellipse(x, y)
            assert ring is not None
            centre = np.array([x.mean(), y.mean()])
            inverse = np.linalg.inv(np.cov(x, y))
            edge = np.array([ring[0][0], ring[1][0]]) - centre
            reach = float(edge @ inverse @ edge)
            new = rng.standard_normal((50, 2)) - centre
            held.append((np.einsum("ni,ij,nj->n", new, inverse, new) <= reach).mean())
            # The closed form of the quantile against scipy's.
            factor = 2 * (n + 1) * (n - 1) / (n * (n - 2)) * stats.f.ppf(plots.INSIDE, 2, n - 2)
            assert reach == pytest.approx(factor, rel=1e-9)
        # Binomial noise of 400 sets: 0.5 +- 0.02.
        assert np.mean(held) == pytest.approx(plots.INSIDE, abs=0.02)


def test_equal_scale_is_equal() -> None:
    """A cell is half as wide as it is high: one yard across is as long as one yard up."""
    xs, ys = plots.equal(50, 20, (-10.0, 10.0), (100.0, 120.0))
    assert (xs[1] - xs[0]) / 50 == pytest.approx((ys[1] - ys[0]) / 20 / 2)
    assert xs[0] <= -10
    assert xs[1] >= 10
    assert ys[0] <= 100
    assert ys[1] >= 120


def test_the_canvas_puts_things_where_they_are() -> None:
    canvas = plots.Canvas(10, 5, (0.0, 1.0), (0.0, 1.0))
    canvas.mark(0.0, 1.0, "a")
    canvas.mark(1.0, 0.0, "b")
    canvas.dot(0.5, 0.5)
    canvas.dot(float("nan"), 0.5)
    rows = [line.text for line in canvas.lines()]
    assert (rows[0][0], rows[4][9]) == ("a", "b")
    assert sum(0x2800 < ord(c) <= 0x28FF for row in rows for c in row) == 1


def test_large_letters_are_three_lines_of_one_width() -> None:
    rows = big("H1-1/S2 18 READ?")
    assert {len(r) for r in rows} == {4 * 16}


@given(st.text(max_size=30), st.integers(1, 20))
def test_words_fit_exactly(text: str, width: int) -> None:
    from fitter.display.text import cell_len

    assert cell_len(fit(text, width)) == width


def test_altitude_is_found_again_from_its_pressure() -> None:
    """Against the standard atmosphere of `physics.air`, inverted by halving."""
    for metres in (0.0, 300.0, 1609.3, 3000.0):
        assert altitude_of(pressure(metres)) == pytest.approx(metres, abs=0.01)


def test_a_page_shows_tables_lists_and_marks() -> None:
    text = "# Title\n\n- one *two*\n\n| a | b |\n| --- | ---: |\n| x\\|y | 1 |\n\n```\ncode  |\n```\n"
    rows = [line.text for line in page.lines(text, 60)]
    assert rows[0] == "Title"
    assert "- one *two*" in rows
    assert any(re.fullmatch(r"x\|y +1", row) for row in rows)
    assert "code  |" in rows


def test_settings_lie_inside_the_limits_of_the_wish() -> None:
    """What the form lets through, the wish takes: widest values of the form against `wish.LIMITS`, m."""
    widest = {"distance_m": (50, 400), "width_m": (10, 120), "hole_m": (250, 650), "grid_width_m": (10, 150),
              "grid_depth_m": (10, 400)}  # fmt: skip
    for name, (low, high) in widest.items():
        assert LIMITS[name][0] <= low * 0.9144
        assert high * 0.9144 <= LIMITS[name][1]
    assert {s.key for s in settings.SETTINGS} >= set(settings.NEEDS)


def test_words_for_winds_go_round() -> None:
    assert [words.wind_from(d) for d in (0, 90, 180, 270, 359)] == [
        "in the face", "from the right", "from behind", "from the left", "in the face",
    ]  # fmt: skip


def test_a_point_that_is_nan_leaves_a_gap() -> None:
    ring = pictures._broken(plots.ellipse(np.array([0.0, 1, 2, 1]), np.array([0.0, 1, 0, 2])))
    canvas, whole = (plots.Canvas(20, 10, (-4.0, 6.0), (-4.0, 6.0)) for _ in range(2))
    canvas.path(*ring)
    whole.path(*plots.ellipse(np.array([0.0, 1, 2, 1]), np.array([0.0, 1, 0, 2])))
    assert (
        0
        < sum(b.bit_count() for b in canvas._bits.values())
        < sum(b.bit_count() for b in whole._bits.values())
    )
