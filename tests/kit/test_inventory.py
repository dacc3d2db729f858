"""Kit files: what is read, what is filled, and every fault named at once."""

import contextlib
import os
import tempfile
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from fitter.base.errors import InputError
from fitter.kit.figures import Figure, Reading
from fitter.kit.inventory import Kit
from fitter.kit.parts import Head, Place, Shaft

HEADS = """head,stamped_loft_deg,loft_deg,loft_sd_deg,mass_g,settings,lies,stock,price,fits
# a comment
H1,9,10.2,0.3,201.5,-1 0 +1,0.3 0 -0.3,rack,120,S1 T35
H2,10.5,n/a,,,,,order,,
"""
SHAFTS = """shaft,mass_g,balance_mm,length_in,frequency_cpm,tip,flex,playing_in
S1,62.5,590,46,251,,S,44.5 45 45.5
S2,,,,,T35,,
"""


def write(folder: Path, heads: str | None = HEADS, shafts: str | None = SHAFTS) -> Path:
    if heads is not None:
        (folder / "heads.csv").write_text(heads, encoding="utf-8")
    if shafts is not None:
        (folder / "shafts.csv").write_text(shafts, encoding="utf-8")
    return folder


def faults(folder: Path) -> str:
    with pytest.raises(InputError) as caught:
        Kit.load(folder)
    assert caught.value.exit_code == 2
    return str(caught.value)


def test_figures_are_read_or_filled(tmp_path: Path) -> None:
    kit = Kit.load(write(tmp_path))
    h1, h2 = kit.heads
    assert h1.loft_deg == Reading(10.2, 0.3)
    assert h1.figure("loft_deg") == Figure(10.2, 0.3, True)
    assert h1.settings == (-1.0, 0.0, 1.0)
    assert h1.lies == (0.3, 0.0, -0.3)
    assert (h1.price, h1.stock, h1.fits) == (120.0, "rack", ("S1", "T35"))
    # 17 heads of 2008: measured minus stamped loft +0.96 deg, SD 1.0, half of the variance between shops; H1,
    # gauged 1.2 deg over its stamp to 0.3 deg, tells of this one (closed form)
    precision = 2.0 + 1.0 / 0.59
    worth = (2.0 * 0.96 + 1.2 / 0.59) / precision
    sd = (1.0 / precision + 0.5) ** 0.5
    assert h2.figure("loft_deg") == Figure(pytest.approx(10.5 + worth), pytest.approx(sd), False)
    assert h2.figure("mass_g").measured is False
    assert h2.settings == (0.0,)
    assert h2.fits == ()
    s1 = kit.shaft("S1")
    # 590 mm of 46 in
    assert s1.figure("balance_pct").value == pytest.approx(100 * 590 / (46 * 25.4))
    assert s1.figure("balance_pct").measured is True
    assert s1.playing_in == (44.5, 45.0, 45.5)
    assert kit.shaft("S2").figure("mass_g").measured is False


def test_a_stamp_is_less_sure_than_a_gauge() -> None:
    stamped = Head("H", stamped_loft_deg=Reading(9.0)).figure("loft_deg")
    gauged = Head("H", loft_deg=Reading(9.96)).figure("loft_deg")
    assert stamped.value == pytest.approx(gauged.value)
    assert stamped.sd > 3 * gauged.sd > 0


def test_every_column_of_a_head_can_be_filled() -> None:
    head = Head("H", stamped_loft_deg=Reading(10.0))
    for name in ("face_angle_deg", "lie_deg", "mass_g", "cg_depth_mm", "cg_up_mm", "cg_toe_mm", "ct_us"):
        assert head.figure(name).sd > 0
    for name in ("moi_vertical_gcm2", "moi_heel_toe_gcm2", "moi_normal_gcm2", "bulge_mm", "roll_mm"):
        assert head.figure(name).value > 100
    assert head.figure("lead_offset_mm").value == pytest.approx(18.0)
    for name in ("mass_g", "balance_pct", "frequency_cpm", "clamp_mm", "tip_mass_g", "torque_deg"):
        assert Shaft("S").figure(name).sd > 0


def test_what_fits(tmp_path: Path) -> None:
    kit = Kit.load(write(tmp_path))
    # H1 names the shaft S1 and the tip T35 of S2.
    assert [kit.head("H1").takes(s) for s in kit.shafts] == [True, True]
    only = Head("H", loft_deg=Reading(9.0), fits=("S2",))
    assert [only.takes(s) for s in kit.shafts] == [False, True]


def test_a_missing_zero_setting_is_added(tmp_path: Path) -> None:
    heads = "head,loft_deg,settings,lies\nH1,10,1;-1.5,-.4;.6\n"
    (head,) = Kit.load(write(tmp_path, heads, None)).heads
    assert head.settings == (-1.5, 0.0, 1.0)
    assert head.lies == (0.6, 0.0, -0.4)


def test_all_faults_come_at_once(tmp_path: Path) -> None:
    heads = (
        "head,loft_dge,loft_deg,mass_g,stock,settings\n"
        "H1,9,ten,2015,rak,0 up\n"
        'H1,9,"10,5",200,rack,\n'
        ",9,10,200,rack,\n"
        "H4,9,,200,rack,\n"
    )
    shafts = "shaft,balance_mm,mass_g\nS1,600,nan grams\n"
    text = faults(write(tmp_path, heads, shafts))
    for words in (
        "Did you mean 'loft_deg'?",
        "row 2, column 'loft_deg': found 'ten'",
        "row 2, column 'mass_g': found 2015; allowed: a number from 100 to 300",
        "Did you mean 'rack'?",
        "row 2, column 'settings': found 'up'",
        "row 3, column 'loft_deg': found '10,5'",
        "Write a point for the decimal comma.",
        "'H1' again (first in heads.csv, row 2)",
        "row 4, column 'head': found no code",
        "row 5: found no loft",
        "shafts.csv, row 2, column 'mass_g': found 'nan grams'",
        "shafts.csv, row 2, column 'balance_mm': found no length_in",
    ):
        assert words in text


@pytest.mark.parametrize(
    ("content", "words"),
    [
        (b"", "an empty file"),
        (b"\x89PNG\r\n\x1a\n\x00\x01\xff", "bytes that are no text"),
        (b"head,loft_deg\n", "no rows"),
        (b"loft_deg\n9\n", "no column 'head'"),
        (b"head,loft_deg,head\nH1,9,H2\n", "column 'head' twice"),
        (b"head,loft_deg\nH1,9,5\n", "3 cells"),
        (b"head,loft_deg,lies,settings\nH1,9,1 2,-1 0 1\n", "2 lies"),
        (b"head,loft_deg,loft_sd_deg\nH1,9,-1\n", "column 'loft_sd_deg': found -1"),
        (b"head,loft_deg\nH1,inf\n", "found inf"),
    ],
)
def test_broken_files(tmp_path: Path, content: bytes, words: str) -> None:
    (tmp_path / "heads.csv").write_bytes(content)
    assert words in faults(tmp_path)


def test_what_is_there_and_no_file_is_no_empty_half_of_a_kit(tmp_path: Path) -> None:
    (tmp_path / "shafts.csv").write_text("shaft,mass_g\nS1,60\n")
    os.mkfifo(tmp_path / "heads.csv")
    assert "found a named pipe" in faults(tmp_path)
    (tmp_path / "heads.csv").unlink()
    (tmp_path / "heads.csv").symlink_to(tmp_path / "moved.csv")
    assert "heads.csv: found no such file" in faults(tmp_path)


def test_no_kit(tmp_path: Path) -> None:
    assert "neither of the two" in faults(tmp_path)
    assert "no such folder" in faults(tmp_path / "none")


def test_semicolons_and_a_byte_order_mark(tmp_path: Path) -> None:
    (tmp_path / "heads.csv").write_bytes("\ufeffHead;Loft deg\nH1;9.5\n".encode())
    assert Kit.load(tmp_path).head("H1").loft_deg == Reading(9.5)


def test_unknown_codes_name_the_known_ones(tmp_path: Path) -> None:
    kit = Kit.load(write(tmp_path))
    with pytest.raises(InputError, match="Did you mean 'H1'"):
        kit.head("h1")
    with pytest.raises(InputError, match="S1, S2"):
        kit.shaft("X")


def test_toml_says_the_same_as_csv(tmp_path: Path) -> None:
    csv_kit = Kit.load(write(tmp_path))
    toml = tmp_path / "toml"
    toml.mkdir()
    (toml / "heads.toml").write_text(
        '[[head]]\nhead = "H1"\nstamped_loft_deg = 9\nloft_deg = { value = 10.2, sd = 0.3 }\nmass_g = 201.5\n'
        'settings = [-1, 0, 1]\nlies = [0.3, 0, -0.3]\nprice = 120\nfits = ["S1", "T35"]\n'
        '[[head]]\nhead = "H2"\nstamped_loft_deg = 10.5\nstock = "order"\n',
        encoding="utf-8",
    )
    assert Kit.load(toml).heads == csv_kit.heads
    (toml / "shafts.toml").write_text("[[shafts]]\nshaft = 'S1'\n", encoding="utf-8")
    assert "tables [[shaft]] alone" in faults(toml)
    (toml / "shafts.toml").write_text("[[shaft]\n", encoding="utf-8")
    assert "Mend the syntax" in faults(toml)
    (toml / "shafts.toml").unlink()
    (toml / "heads.csv").write_text(HEADS, encoding="utf-8")
    assert "heads.csv and heads.toml" in faults(toml)


def test_movable_weights(tmp_path: Path) -> None:
    heads = "head,loft_deg,weight_g,weights,swaps_g\nH1,9,8,heel:-40/-15/60 toe:40/-15/60,-4 4\n"
    head = Kit.load(write(tmp_path, heads, None)).head("H1")
    assert head.weights[1] == Place("toe", 40.0, -15.0, 60.0)
    assert head.swaps_g == (-4.0, 4.0)
    text = faults(write(tmp_path, "head,loft_deg,weights\nH1,9,heel:1/2\n", None))
    assert "heel:-40/-15/60" in text
    assert "no weight_g" in text


@settings(deadline=None, max_examples=150)
@given(
    st.one_of(st.binary(max_size=200), st.text(max_size=200).map(lambda s: ("head,loft_deg\n" + s).encode()))
)
def test_no_file_ends_in_a_traceback(content: bytes) -> None:
    with tempfile.TemporaryDirectory() as folder:
        for name in ("heads.csv", "shafts.toml"):
            (Path(folder) / name).write_bytes(content)
        with contextlib.suppress(InputError):
            Kit.load(folder)
        (Path(folder) / "shafts.toml").unlink()
        with contextlib.suppress(InputError):
            Kit.load(folder)


def test_a_long_cell_and_old_line_ends_are_read_or_named(tmp_path: Path) -> None:
    (tmp_path / "heads.csv").write_bytes(b"head,loft_deg\rH1,9\r")
    assert Kit.load(tmp_path).head("H1").loft_deg == Reading(9.0)
    (tmp_path / "heads.csv").write_bytes(b"head,loft_deg\nH1," + b"9" * 200_000 + b"\n")
    assert "heads.csv" in faults(tmp_path)
