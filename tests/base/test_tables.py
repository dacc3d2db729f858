"""Rows of separated text keep their numbers; what is no table is refused with its place."""

from __future__ import annotations

import pytest

from fitter.base import tables, text
from fitter.base.errors import InputError, Problem


def test_rows_carry_the_line_on_which_they_begin() -> None:
    found = list(tables.rows('a; b \r\n\r\n"1\n2";3\r4;\n', ";", "f.csv"))
    assert found == [(1, ["a", "b"]), (3, ["1\n2", "3"]), (5, ["4", ""])]


@pytest.mark.parametrize(
    ("table", "says"),
    [
        ('a,b\n1,"2\n3,4,5\n', "f.csv, rows 2 to 3: found a quotation mark that is not closed"),
        ("a" * 1_000_001 + "\n", "f.csv, line 1"),
        ("a" + "," * 5000, "5,001 columns"),
    ],
)
def test_what_is_no_table_is_refused_with_its_place(table: str, says: str) -> None:
    with pytest.raises(InputError) as caught:
        list(tables.rows(table, ",", "f.csv"))
    assert says in str(caught.value)


@pytest.mark.parametrize("words", ["build", "a=1 a=2", "", "note='open", "=3"])
def test_pairs_that_are_none_are_named(words: str) -> None:
    problems: list[Problem] = []
    text.key_values(words, "--set", "KEY=VALUE", problems)
    assert [p.where for p in problems] == ["--set"]


@pytest.mark.parametrize("words", ["9-2", "0", "x", "3--4", "1-2-3"])
def test_spans_run_from_low_to_high(words: str) -> None:
    problems: list[Problem] = []
    assert text.spans(words, "--aside", problems) == ()
    assert len(problems) == 1
