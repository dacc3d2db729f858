"""Text that no spreadsheet runs as a formula; the list of characters is common practice, no source."""

from __future__ import annotations

import csv
import io
import re
import unicodedata

import pytest
from hypothesis import given
from hypothesis import strategies as st

from fitter.batches.output import cell, columns, safe_text
from fitter.batches.plan import LONGEST, Names, safe_name
from fitter.batches.rows import OptionRow, PlayerRow, clean

STARTS = "=+-@＝＋－＠\t\r\n"
TEXT = st.text(st.one_of(st.sampled_from("=+-@',;|\t\r\n \"a1."), st.characters()), max_size=30)


@pytest.mark.parametrize(
    "text", ["=1+1", "+1", "-1+2", "@SUM(A1)", "\t=1", "\r=1", "＝1", " =1", "'=1", "\n=1"]
)
def test_a_formula_becomes_text(text: str) -> None:
    assert safe_text(text).lstrip()[0] == "'"


def test_plain_words_and_numbers_stay() -> None:
    for text in ("P1", "H4-0.75/S2 45.25in ball-20", "10.5deg 60g S", "a = b", "O'Neil", ""):
        assert safe_text(text) == text
    assert [cell(v) for v in (-1.5, -3, 0.0, None, True, "-1.5")] == ["-1.5", "-3", "0.0", "", "yes", "'-1.5"]


@given(TEXT)
def test_no_cell_runs_whatever_the_separator(text: str) -> None:
    """A spreadsheet of another country parts the line elsewhere: quotation marks do not hold there."""
    out = io.StringIO()
    csv.writer(out, lineterminator="\n").writerow(["P1", cell(clean(text)), "-1.5"])
    for delimiter in ",;\t|":
        for row in csv.reader(io.StringIO(out.getvalue()), delimiter=delimiter):
            for found in row:
                if found != "-1.5":
                    assert found.lstrip(' "')[:1] not in set(STARTS) - {""}, (delimiter, row)


@given(TEXT)
def test_the_apostrophe_can_be_taken_away(text: str) -> None:
    """Common practice, no source: what protects a cell must not destroy it."""
    undone = re.sub(r"(^\s*|[;|\t]\s*)'(?=[=+\-@＝＋－＠'\t\r\n])", r"\1", safe_text(text))
    assert undone == text


@given(TEXT)
def test_clean_text_has_no_control_characters(text: str) -> None:
    assert not any(unicodedata.category(c) in ("Cc", "Cs", "Zl", "Zp") for c in clean(text))
    assert clean(clean(text)) == clean(text)
    clean(text).encode("utf-8")


@given(st.text(max_size=300))
def test_a_file_name_cannot_leave_its_folder(text: str) -> None:
    name = safe_name(text)
    assert name
    assert not set(name) & set('/\\:*?"<>|\0. ')
    assert name[0] not in "-."
    assert len(name.encode()) <= LONGEST + 1
    assert name == safe_name(name)


@pytest.mark.parametrize("device", ["CON", "nul", "Aux.txt", "com1", "LPT9", "COM¹"])
def test_a_device_is_no_file_name(device: str) -> None:
    """Reserved names of one operating system, from memory (M): no threshold rests on them."""
    assert safe_name(device.split(".")[0]).startswith("_")


@given(st.lists(st.sampled_from(["P1", "p1", "P1-2", "", "../P1", "Ｐ1", "P 1", "P_1"]), max_size=12))
def test_two_players_never_share_a_file(codes: list[str]) -> None:
    names = Names()
    given_ = [names.give(code).casefold() for code in codes]
    assert len(set(given_)) == len(codes)


def test_columns_carry_their_units() -> None:
    row = PlayerRow("P1", "a.csv", "ranked", carry_m=200.0, club_speed_mps=44.704, best_gain=-9.144,
                    gain_unit="m", text="yards", text_metric="metres")  # fmt: skip
    us = {c.header: c.take(row) for c in columns(PlayerRow, metric=False)}
    si = {c.header: c.take(row) for c in columns(PlayerRow, metric=True)}
    # 0.9144 m is a yard and 0.44704 m/s a mile an hour, by definition.
    assert (us["carry_yd"], us["club_speed_mph"], us["best_gain"]) == (218.723, 100.0, -10.0)
    assert (us["gain_unit"], us["text"]) == ("yd", "yards")
    assert (si["carry_m"], si["best_gain"], si["gain_unit"], si["text"]) == (200.0, -9.144, "m", "metres")
    assert "text_metric" not in us
    assert "carry_gain_yd" in [c.header for c in columns(OptionRow, metric=False)]
