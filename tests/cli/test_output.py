"""What every command prints: JSON that is JSON, tables that fit, L and R in place of signs."""

from __future__ import annotations

import json

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from fitter.base.units import METRIC, US
from fitter.display import text as output
from fitter.display.shots import flag_lines, flag_words, flags_seen
from fitter.shots.reader import intake


def test_what_does_not_exist_is_null(capsys: pytest.CaptureFixture[str]) -> None:
    output.print_json(
        {"a": np.nan, "b": [np.float64(1.5), np.inf], "c": np.array([1.0, np.nan]), 2: np.bool_(1)}
    )
    assert json.loads(capsys.readouterr().out) == {"a": None, "b": [1.5, None], "c": [1.0, None], "2": True}


WORDS = st.text(max_size=150)


@given(st.lists(st.tuples(WORDS, WORDS, st.just("12.5")), min_size=1, max_size=4))
def test_tables_fit_and_lose_no_letter(rows: list[tuple[str, str, str]]) -> None:
    text = output.table(["name", "words", "yd"], rows, left=2)
    assert max(map(output.cell_len, text.split("\n"))) <= output.WIDTH

    def letters(words: str) -> list[str]:
        return sorted("".join(words.split()))

    every = "name words yd" + "".join("".join(row) for row in rows)
    assert letters(text) == letters(output.clean(every))


def test_wide_letters_keep_the_columns() -> None:
    text = output.table(["name", "yd"], [["日本", "1"], ["abcd", "2"]])
    assert len({output.cell_len(line) for line in text.splitlines()}) == 1


def test_a_terminal_is_not_obeyed() -> None:
    assert "\x1b" not in output.table(["a"], [["\x1b[2J"]])


@pytest.mark.parametrize(
    ("value", "said"), [(-3.24, "3.2 m L"), (0.04, "0.0 m"), (3.0, "3.0 m R"), (None, "-")]
)
def test_sides_are_words(value: float | None, said: str) -> None:
    assert output.far_side(value, "metric") == said


def test_a_left_handers_flags_are_told_as_seen(tmp_path) -> None:  # type: ignore[no-untyped-def]
    log = tmp_path / "log.csv"
    log.write_text("ball speed (mph),path (deg),strike toe (mm)\n150,25,50\n151,-3,2\n152,12,1\n")
    session = intake.read(log, hand="left")
    found = {(f.shot, f.channel): flag_words(f)[0] for f in flags_seen(session)}
    # The file's own signs: 25 and 12 deg to the player's right; toe and heel never flip.
    assert found[1, "path_deg"] == "25 deg"
    assert found[3, "path_deg"] == "12 deg"
    assert found[1, "strike_toe_mm"] == "50 mm"
    lines = "\n".join(flag_lines(session, US))
    assert "found 25 deg R, expected 20 L to 20 R deg" in lines
    right = intake.read(log, hand="right")
    assert {(f.shot, f.channel): flag_words(f)[0] for f in flags_seen(right)} == found


def test_flags_for_people_are_in_the_units_in_force(tmp_path) -> None:  # type: ignore[no-untyped-def]
    log = tmp_path / "log.csv"
    log.write_text("club speed (mph),ball speed (mph),carry (yd)\n100,-5,900\n101,147,240\n")
    session = intake.read(log)
    us, metric = ("\n".join(flag_lines(session, units)) for units in (US, METRIC))
    # 900 yd is 823 m; -5 mph is -2.235 m/s (exact factors)
    assert "found -5 mph" in us
    assert "found 900 yd" in us
    assert "found -2.235 m/s" in metric
    assert "found 823 m" in metric
