"""Any table in any dialect and unit comes back equal; nothing that is not a table ends in a traceback.

Values are drawn inside the plausible limits, and in at most five rows: from six rows on, signs that
contradict the physics are turned.
"""

import csv
import importlib.util
import io
import json
import re
import sys
from pathlib import Path

import numpy as np
import pytest
from hypothesis import HealthCheck, example, given, settings
from hypothesis import strategies as st

from fitter.base import errors
from fitter.base.units import UNITS, spellings
from fitter.shots.reader import intake
from fitter.shots.vocabulary import CHANNELS, NUMBERS
from tests.shots.reader.xlsx import workbook

LOGS = Path(__file__).parents[2] / "logs"
ROUNDING = 1e-12
"""Two conversions and a decimal text of 17 digits, relative to the size of the limits."""
DIALECTS = [
    "csv",
    "tsv",
    "semicolon",
    "comma",
    "bom",
    "utf16",
    "latin1",
    "units row",
    "lines",
    "json",
    "xlsx",
]
if importlib.util.find_spec("pyarrow"):
    DIALECTS.append("parquet")
NO_CLOCK = [HealthCheck.function_scoped_fixture, HealthCheck.too_slow]
FUZZ = settings(
    deadline=None,
    max_examples=150,
    suppress_health_check=[HealthCheck.function_scoped_fixture, HealthCheck.too_slow],
)
LABELS = {name: CHANNELS[name].label for name in NUMBERS}


@st.composite
def tables(draw):
    """A header row with units, the rows, and what should come back."""
    others = draw(st.lists(st.sampled_from(NUMBERS), min_size=1, max_size=7, unique=True))
    # A row needs one measured value: tee height alone is no shot.
    first = draw(st.sampled_from([n for n in NUMBERS if CHANNELS[n].group != "setup"]))
    names = [first, *(n for n in others if n != first)]
    n = draw(st.integers(1, 5))
    heads, columns, expected = [], [], {}
    for i, name in enumerate(names):
        channel = CHANNELS[name]
        unit = draw(st.sampled_from(spellings(channel.quantity)))
        low, high = channel.limits
        value = st.floats(low, high, allow_subnormal=False).map(lambda v: float(f"{v:.6g}"))
        values = draw(st.lists(value if i == 0 else st.none() | value, min_size=n, max_size=n))
        factor = UNITS[channel.unit].factor / UNITS[unit].factor
        heads.append((channel.label, unit))
        columns.append([None if v is None else v * factor for v in values])
        expected[name] = np.array([np.nan if v is None else v for v in values])
    note = st.text(st.characters(codec="latin-1", categories=["L", "N", "P", "Zs"]), max_size=12)
    notes = draw(st.lists(note.map(lambda t: " ".join(t.split())), min_size=n, max_size=n))
    return heads, [list(r) for r in zip(*columns, notes, strict=True)], expected, notes


def written(dialect, heads, rows):
    """Bytes of a table in a dialect."""
    names = [f"{label} ({unit})" for label, unit in heads] + ["note"]
    cells = [["" if v is None else v if isinstance(v, str) else repr(v) for v in r] for r in rows]
    if dialect in ("lines", "json"):
        records = [dict(zip(names, r, strict=True)) for r in rows]
        text = json.dumps(records) if dialect == "json" else "\n".join(map(json.dumps, records))
        return text.encode()
    if dialect == "xlsx":
        return workbook({"Shots": [names, *rows]})
    if dialect == "parquet":
        import pyarrow as pa
        import pyarrow.parquet as pq

        out = io.BytesIO()
        pq.write_table(pa.table(dict(zip(names, map(list, zip(*rows, strict=True)), strict=True))), out)
        return out.getvalue()
    table = [names, *cells]
    if dialect == "units row":
        table = [[label for label, _ in heads] + ["note"], [unit for _, unit in heads] + [""], *cells]
    if dialect == "comma":
        # '21,335' could be thousands, and where both are plausible the reader refuses it: a zero settles it.
        commas = [[*(c.replace(".", ",") for c in r[:-1]), r[-1]] for r in cells]
        thousands = re.compile(r"-?[1-9]\d{0,2},\d{3}")
        table = [names, *([c + "0" if thousands.fullmatch(c) else c for c in r] for r in commas)]
    delimiter = {"tsv": "\t", "utf16": "\t", "semicolon": ";", "comma": ";"}.get(dialect, ",")
    text = io.StringIO()
    csv.writer(text, delimiter=delimiter).writerows(table)
    encoding = {"bom": "utf-8-sig", "utf16": "utf-16", "latin1": "latin-1"}.get(dialect, "utf-8")
    return text.getvalue().encode(encoding)


@pytest.mark.parametrize("dialect", DIALECTS)
@settings(
    deadline=None,
    max_examples=60,
    suppress_health_check=[HealthCheck.function_scoped_fixture, HealthCheck.too_slow],
)
@given(table=tables())
def test_any_table_comes_back_equal(tmp_path, dialect, table):
    heads, rows, expected, notes = table
    path = tmp_path / "log"
    path.write_bytes(written(dialect, heads, rows))
    s = intake.read(path)
    assert len(s) == len(rows)
    for name, values in expected.items():
        scale = max(map(abs, CHANNELS[name].limits))
        np.testing.assert_allclose(s.value(name), values, rtol=ROUNDING, atol=ROUNDING * scale, err_msg=name)
    assert list(s.word("note")) == notes


def survives(path, data):
    """Read bytes; only an error that is meant for people may come out."""
    path.write_bytes(data)
    problems = ()
    sessions = []
    try:
        sessions = intake.read_all(path)
    except errors.FitterError as error:
        problems = error.problems
    assert bool(problems) != bool(sessions)
    assert all(len(s) for s in sessions)


@FUZZ
@given(data=st.binary(max_size=400))
@example(b"PK\x03\x04")
@example(b"PAR1")
@example(b"\xd0\xcf\x11\xe0" + bytes(600))
@example(b"\xff\xfe\x00")
@example(b"{" * 5000)
@example(b"[[[[[[")
@example(b'{"a": 1e999}')
@example(b"club speed (mph)\n\xb2")
def test_random_bytes_never_end_in_a_traceback(tmp_path, data):
    survives(tmp_path / "log", data)


CHARS = st.text(st.sampled_from("club speed(mph)launch deg,;\t|\n\"'0123456789.-+eLR°/%:=[]{}"), max_size=200)


@FUZZ
@given(text=CHARS, head=st.sampled_from(["", "club speed (mph),launch (deg)\n", "Player;Ball Speed;Spin\n"]))
def test_random_text_never_ends_in_a_traceback(tmp_path, text, head):
    survives(tmp_path / "log", (head + text).encode())


EXTREMES = ["1e-308", "-1e-300", "1e11", "-1e11", "0", "-0", "1", "0.001", "100", "5e-324", "-5", "", "1e12"]
UNITLESS = [
    "back spin (rpm)",
    "side spin (rpm)",
    "smash factor",
    "face to path (deg)",
    "heel (mm)",
    "Club Speed",
]
UNITLESS += ["Ball Speed", "Carry", "strike toe", "tee", "Spin", "Apex", "Total", "Offline"]


@FUZZ
@given(
    heads=st.lists(st.sampled_from([*NUMBERS, *UNITLESS]), min_size=2, max_size=9, unique=True),
    cells=st.lists(st.lists(st.sampled_from(EXTREMES), min_size=9, max_size=9), min_size=1, max_size=9),
)
def test_extreme_numbers_never_end_in_a_traceback_or_a_warning(tmp_path, heads, cells):
    survives(tmp_path / "log", "\n".join(",".join(r[: len(heads)]) for r in [heads, *cells]).encode())


EVERY = sorted(p for p in [*LOGS.glob("[0-9]*"), *LOGS.glob("broken/*.*")] if p.suffix != ".toml")


@FUZZ
@given(path=st.sampled_from(EVERY), share=st.floats(0, 1), data=st.binary(max_size=4), keep=st.booleans())
def test_truncated_and_damaged_files_never_end_in_a_traceback(tmp_path, path, share, data, keep):
    whole = path.read_bytes()
    at = int(share * len(whole))
    survives(tmp_path / path.name, whole[:at] + data + (whole[at + len(data) :] if keep else b""))


@pytest.mark.parametrize(
    ("module", "data", "extra"),
    [
        ("python_calamine", workbook({"S": [["launch (deg)"], [12.0]]}), "xlsx"),
        ("pyarrow", b"PAR1" * 4, "parquet"),
    ],
)
def test_a_reader_that_is_not_installed_is_named(tmp_path, monkeypatch, module, data, extra):
    monkeypatch.setitem(sys.modules, module, None)
    path = tmp_path / "log"
    path.write_bytes(data)
    with pytest.raises(errors.InputError, match=rf"fitter-advisor\[{extra}\].*CSV"):
        intake.read(path)


@pytest.mark.parametrize("name", ["absent.csv", "", "a\x00b"])
def test_a_path_that_leads_nowhere_is_refused(tmp_path, name):
    with pytest.raises(errors.InputError, match="Check the path"):
        intake.read(f"{tmp_path}/{name}")


@pytest.mark.parametrize(("cell", "value"), [("0,125", 0.125), ("-0,011", -0.011)])
def test_a_zero_before_the_comma_makes_it_decimal(tmp_path, cell, value):
    """Thousands begin with no zero, so one reading is left even where both would be plausible."""
    path = tmp_path / "log.csv"
    path.write_text(f"offline (m);note\n{cell};\n")
    assert intake.read(path).value("offline_m")[0] == value


def test_a_comma_that_could_be_thousands_is_asked_about(tmp_path):
    """A ball's radius in mm, or 21 m: both are possible sides."""
    path = tmp_path / "log.csv"
    path.write_text("offline (mm);note\n21,335;\n")
    with pytest.raises(errors.InputError, match="decimal comma or thousands"):
        intake.read(path)
