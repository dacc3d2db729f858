"""The parts that need no screen: typed shots, pictures, words."""

from __future__ import annotations

import contextlib
from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from rich.cells import cell_len

from fitter.advice.objectives import LIMITS
from fitter.base.errors import InputError
from fitter.display import words
from fitter.display.text import fit
from fitter.tui import settings
from fitter.tui.bench import Bench, Work
from fitter.tui.canvas import Canvas, equal
from fitter.tui.form import read_altitude, show_altitude
from fitter.tui.typed import SHORT, read_shot
from fitter.tui.view import View


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


def test_equal_scale_is_equal() -> None:
    """A cell is half as wide as it is high: one yard across is as long as one yard up."""
    xs, ys = equal(50, 20, (-10.0, 10.0), (100.0, 120.0))
    assert (xs[1] - xs[0]) / 50 == pytest.approx((ys[1] - ys[0]) / 20 / 2)
    assert xs[0] <= -10
    assert xs[1] >= 10
    assert ys[0] <= 100
    assert ys[1] >= 120


def test_the_canvas_puts_things_where_they_are() -> None:
    canvas = Canvas(10, 5, (0.0, 1.0), (0.0, 1.0))
    canvas.mark(0.0, 1.0, "a")
    canvas.mark(1.0, 0.0, "b")
    canvas.dot(0.5, 0.5)
    canvas.dot(float("nan"), 0.5)
    rows = [line.text for line in canvas.lines()]
    assert (rows[0][0], rows[4][9]) == ("a", "b")
    assert sum(0x2800 < ord(c) <= 0x28FF for row in rows for c in row) == 1


@given(st.text(max_size=30), st.integers(1, 20))
def test_words_fit_exactly(text: str, width: int) -> None:
    assert cell_len(fit(text, width)) == width


def test_the_altitude_shown_is_the_one_typed() -> None:
    """It is kept as a pressure, by the standard atmosphere of `physics.air` and its inverse."""
    for metres in (0, 300, 1609, 3000):
        view = View(Work((Bench(units="metric"),)))
        bench = replace(view.bench, **read_altitude(view, f"{metres}m"))
        assert show_altitude(View(Work((bench,)))).startswith(f"{metres} m (")


def test_settings_lie_inside_the_limits_of_the_wish() -> None:
    """What the form lets through, the wish takes: the form's widest values against `objectives.LIMITS`, m."""
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
    canvas, whole = (Canvas(20, 10, (0.0, 8.0), (0.0, 8.0)) for _ in range(2))
    x = np.arange(9.0)
    canvas.path(x, np.where(x == 4.0, np.nan, x))
    whole.path(x, x)
    dots, every = (sum(b.bit_count() for b in c._bits.values()) for c in (canvas, whole))
    assert 0 < dots < every
