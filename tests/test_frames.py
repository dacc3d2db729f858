"""Frames hold what the results hold, and load pandas only when asked."""

from __future__ import annotations

import subprocess
import sys
from dataclasses import replace

import pytest

from fitter import frames
from fitter.advice.question import ask
from fitter.advice.rank import rank
from fitter.advice.reach import reach
from tests.advice import virtual


def test_frames_hold_what_the_results_hold() -> None:
    session = virtual.session(112, -1, 12.5)
    ranking = rank(ask(session, virtual.kit(), "G/R", draws=64))
    table = frames.options(ranking)
    assert len(table) == len(ranking.options) + 1
    first = ranking.options[0]
    row = table.loc[first.option.id]
    assert row["value_gain"] == first.value_gain.mean
    assert row["spin_rpm_low"] == first.predicted["spin_rpm"][0]
    why = frames.reasons(ranking)
    assert why[why["id"] == first.option.id]["value"].sum() == pytest.approx(first.value_gain.mean, abs=1e-6)
    assert set(frames.finishes(ranking)["id"]) >= {ranking.present.option.id, first.option.id}
    assert list(frames.steps(ranking)["kind"]) == [s.kind for s in ranking.next]
    found = reach(ask(session, draws=64), 250.0)
    assert frames.budget(found)["value_m"].sum() == pytest.approx(found.gap_m, abs=1e-6)


def test_a_left_handers_frame_is_mirrored_back() -> None:
    session = virtual.session(112, -1, 12.5)
    right, left = frames.shots(session), frames.shots(replace(session, hand="left"))
    assert (left["direction_deg"] == -right["direction_deg"]).all()
    assert (left["carry_m"] == right["carry_m"]).all()


def test_the_package_loads_without_pandas() -> None:
    code = "import sys, fitter, fitter.advice.rank, fitter.frames; print('pandas' in sys.modules)"
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert done.stdout.strip() == "False"
