"""Judged numbers: each with value, spread, unit, source and standing; faults are told all at once."""

import math

import pytest

from fitter.base import assumptions
from fitter.base.errors import InputError

GOOD = '[a]\nb = { value = 1, sd = 0.5, unit = "m", source = "a book of 1999", letter = "Q" }\n'


def test_every_entry_stands_on_something() -> None:
    every = assumptions.current()
    assert len(every) > 50
    for name, entry in every.items():
        assert entry.name == name
        assert math.isfinite(entry.value)
        assert math.isfinite(entry.sd)
        assert entry.sd >= 0
        assert entry.unit.strip(), name
        assert len(entry.source) >= 6, name
        assert entry.letter in assumptions.LETTERS, name


def test_values_by_dotted_name() -> None:
    a = assumptions.parse(GOOD)
    assert list(a) == ["a.b"]
    assert (a.value("a.b"), a.sd("a.b"), a["a.b"].note) == (1.0, 0.5, "")
    with pytest.raises(KeyError):
        a.value("a.c")


def test_all_faults_at_once() -> None:
    text = (
        '[x]\nnounit = { value = 1, sd = 0, source = "s", letter = "J" }\n'
        'letter = { value = 1, sd = 0, unit = "m", source = "s", letter = "Z" }\n'
        'negative = { value = 1, sd = -1, unit = "m", source = "s", letter = "J" }\n'
        'words = { value = "one", sd = 0, unit = "m", source = "s", letter = "J" }\n'
        'more = { value = 1, sd = 0, unit = "m", source = "s", letter = "J", colour = "red" }\n'
        "bare = 5\n"
    )
    with pytest.raises(InputError) as caught:
        assumptions.parse(text, "mine.toml")
    assert len(caught.value.problems) == 6
    message = str(caught.value)
    for part in (
        "x.nounit",
        "no unit",
        "letter 'Z'",
        "sd -1",
        "'one'",
        "colour",
        "in place of a table",
        "mine.toml",
    ):
        assert part in message


def test_broken_toml_is_no_traceback() -> None:
    with pytest.raises(InputError, match="cannot be read"):
        assumptions.parse("[a\nb=", "mine.toml")
