"""What every command prints: JSON that is JSON, tables that fit, L and R in place of signs."""

from __future__ import annotations

import json

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from fitter.display import text as output


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
