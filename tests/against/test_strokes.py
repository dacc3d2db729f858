"""Strokes of a drive against the published benchmark and what is published of a yard's worth."""

from __future__ import annotations

import csv
from pathlib import Path

import numpy as np
import pytest

from fitter.advice.strokes import LIES, TABLE, Hole, expected, strokes_left
from fitter.base.units import YARD

TABLE_FILE = Path(__file__).parents[2] / "reference" / "tables" / "strokes.csv"


def drive(hole_yd: float, mean_yd: float, sd_yd: float, angle_deg: float, width_yd: float):
    hole = Hole(hole_yd * YARD, width_yd * YARD)
    return expected(hole, mean_yd * YARD, sd_yd * YARD, angle_deg)


def test_the_table_is_the_published_one() -> None:
    # Broadie 2012, Interfaces 42(2), appendix table (quoted).
    with TABLE_FILE.open(encoding="utf-8") as file:
        rows = list(csv.DictReader(line for line in file if not line.startswith("#")))
    printed = np.array([[float(r[c]) for c in ("distance_yd", *LIES)] for r in rows])
    np.testing.assert_array_equal(TABLE, printed)


def test_two_hundred_yards_left() -> None:
    # Broadie 2012: 3.19 fairway, 3.42 rough, 3.87 recovery.
    assert [float(strokes_left(200 * YARD, lie)) for lie in LIES] == [3.19, 3.42, 3.87]


def test_the_worked_hole() -> None:
    # Computed beforehand from that table by another program: 450 yd, 285 +- 12 yd, 3.4 deg, 32 yd wide.
    found = drive(450, 285, 12, 3.4, 32)
    assert found.strokes == pytest.approx(4.0995, abs=0.003)
    assert found.fairway == pytest.approx(0.6566, abs=0.001)
    assert found.recovery == pytest.approx(0.0026, abs=0.0003)
    assert found.fairway + found.rough + found.recovery == pytest.approx(1.0)


def test_twenty_yards_more() -> None:
    # The same computation: 0.98 strokes in 14 drives; Ko 2012 prints slightly less than one a tour round.
    now, longer = drive(450, 285, 12, 3.4, 32), drive(450, 305, 12, 3.4, 32)
    assert 14 * (now.strokes - longer.strokes) == pytest.approx(0.98, abs=0.03)


def test_skill_makes_a_yard_worth_more() -> None:
    # Ko 2012: almost three strokes a round for a high handicap, against slightly less than one on tour.
    # A round has holes of many lengths: the mean over 340 to 480 yd.
    gains = []
    for length in range(340, 481, 20):
        hole = Hole(length * YARD, 32 * YARD, skill=3.0)
        now, longer = (expected(hole, m * YARD, 12 * YARD, 3.4).strokes for m in (285, 305))
        gains.append(14 * (now - longer))
    assert np.mean(gains) == pytest.approx(2.9, abs=0.3)


def test_penalties_count_on_their_side() -> None:
    hole = Hole(420 * YARD, 30 * YARD, left_penalty=1.0)
    left, right = hole.strokes(250 * YARD, np.array([-60 * YARD, 60 * YARD]))
    assert left - right == pytest.approx(1.0)
