"""Judged numbers: each with value, spread, unit, source and standing; faults are told all at once."""

import math
import pickle
import tomllib
from pathlib import Path

import pytest

from fitter.base import assumptions
from fitter.base.errors import InputError
from fitter.base.sources import layered

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


MINE = (
    "[strike]\nfriction = { value = 0.25, sd = 0.02, unit = '1', "
    "source = 'our own bench, 2026', letter = 'J' }\n"
)


def test_a_shop_lays_its_own_numbers_over_the_defaults(tmp_path: Path) -> None:
    file = tmp_path / "mine.toml"
    file.write_text(MINE, encoding="utf-8")
    ours = layered(assumptions.defaults(), file)
    assert (ours.value("strike.friction"), ours.sd("strike.friction")) == (0.25, 0.02)
    assert ours["strike.friction"].source == "our own bench, 2026"
    # The note of the default stays where the file gives none; all other entries are the defaults
    assert ours["strike.friction"].note == assumptions.defaults()["strike.friction"].note
    assert list(ours.changed()) == ["strike.friction"]
    assert ours.changed()["strike.friction"][0].value == assumptions.defaults().value("strike.friction")
    assert ours.changed(ours) == {}
    with assumptions.using(ours):
        assert assumptions.current().value("strike.friction") == 0.25
    assert assumptions.current() is assumptions.defaults()


def test_all_faults_of_a_layer_at_once(tmp_path: Path) -> None:
    complete = 'source = "our own bench", letter = "J"'
    text = (
        f'[strike]\nfricton = {{ value = 0.2, sd = 0, unit = "1", {complete} }}\n'
        f'friction = {{ value = 0.2, sd = 0, unit = "mm", {complete} }}\n'
        f'restitution = {{ value = nan, sd = 0, unit = "1", {complete} }}\n'
        f'shift_down = {{ value = true, sd = -1, unit = "mm", {complete} }}\n'
        'fall_up = { value = 0.1, sd = 0, unit = "1" }\n'
        "shift_cap = 3\n[turf]\n"
        f'tilt = {{ value = 9, sd = inf, unit = 5, source = "", letter = "j" }}\n'
    )
    file = tmp_path / "mine.toml"
    file.write_text("loose = 4\n" + text, encoding="utf-8")
    with pytest.raises(InputError) as caught:
        layered(assumptions.defaults(), file)
    told = {p.where.split("[")[1].rstrip("]"): p for p in caught.value.problems}
    assert sorted(told) == sorted(
        ["loose", "turf.tilt", *(f"strike.{n}" for n in (
            "fricton", "friction", "restitution", "shift_down", "fall_up", "shift_cap"))]
    )  # fmt: skip
    assert "strike.friction" in told["strike.fricton"].allowed
    assert (told["strike.friction"].found, told["strike.friction"].allowed) == ("unit 'mm'", "'1'")
    assert told["strike.restitution"].found == "value nan"
    assert told["strike.shift_down"].found == "value True, sd -1"
    assert told["strike.fall_up"].found == "no letter, source"
    assert told["turf.tilt"].found == "sd inf, unit 5, source '', letter 'j'"


def laid(text: str, where: str) -> assumptions.Assumptions:
    return assumptions.laid(tomllib.loads(text), where, assumptions.defaults())


def test_equal_numbers_have_one_key_in_every_process() -> None:
    first, second = laid(MINE, "a.toml"), laid(MINE, "b.toml")
    assert first == second
    assert hash(first) == hash(second)
    assert first.key == second.key != assumptions.defaults().key
    assert first != assumptions.defaults()
    copy = pickle.loads(pickle.dumps(first))
    assert (copy, copy.key) == (first, first.key)
    # Standing counts too: the same value from another source is another entry
    assert laid(MINE.replace("2026", "2027"), "c.toml") != first
