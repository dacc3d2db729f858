"""The club card: a whole club as measured, stamped or unknown."""

import contextlib
from pathlib import Path

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from fitter.base.errors import InputError
from fitter.kit.card import card_club, present_club, read_card
from fitter.kit.club import Club, from_kit
from fitter.kit.figures import Reading
from fitter.kit.inventory import Kit
from fitter.kit.mechanics import describe
from fitter.kit.parts import Head, Place, Shaft

DEG = np.pi / 180
CARD = """
code = "P3"
sleeve_deg = 1
settings = [-1, 0, 1]
weights = ["heel:-40/-15/60", "toe:40/-15/60"]
place = "toe"
[measured]
weight_g = 8
length_in = 45.5
loft_deg = { value = 11.9, sd = 0.3 }
face_angle_deg = -2
total_mass_g = 316
swing_weight = "D3.5"
frequency_cpm = 248
tip_ei_nm2 = "unknown"
[stamped]
loft_deg = 10.5
shaft_mass_g = 60
flex = "S"
"""


def write(folder: Path, text: str = CARD) -> Path:
    path = folder / "P3.toml"
    path.write_text(text, encoding="utf-8")
    return path


def test_a_card_is_a_club(tmp_path: Path) -> None:
    club = read_card(write(tmp_path))
    assert club.known
    assert club.head.settings == (-1.0, 0.0, 1.0)
    assert club.head.weights[0] == Place("toe", 40.0, -15.0, 60.0)
    # the gauge read the present sleeve position, the stamp means position 0
    assert club.loft().value == pytest.approx(11.9)
    assert club.head.loft_deg == Reading(pytest.approx(10.9), 0.3)
    assert club.head.stamped_loft_deg == Reading(10.5)
    assert club.shaft.tip_ei_nm2 is None
    assert club.shaft.flex == "S"
    assert dict(club.whole)["swing_weight_points"].value == 3.5
    head = club.head.figure("mass_g")
    assert not head.measured
    assert 195 < head.value < 210
    assert 1 < head.sd < 4
    # the soled face comes back as it was measured
    assert float(describe([club], 45.0).soled_face[0, 0]) / DEG == pytest.approx(-2.0, abs=0.02)


def test_stamps_say_little() -> None:
    stamped = card_club({"stamped": {"loft_deg": 9.0, "length_in": 45.5}})
    assert stamped.loft().value == pytest.approx(9.96)
    assert stamped.loft().sd == 1.0
    assert stamped.length().sd > card_club({"measured": {"length_in": 45.5}}).length().sd


def test_an_empty_card_has_the_broad_spreads() -> None:
    empty, nothing = card_club({}), present_club(Kit((), ()), "unknown")
    assert empty.known
    assert not nothing.known
    drawn = describe([nothing], 45.0, 128)
    assert drawn.loft.std() / DEG == pytest.approx(1.5, rel=0.05)
    assert drawn.head_mass.std() * 1e3 == pytest.approx(4.0, rel=0.05)
    assert drawn.length.std() / 0.0254 == pytest.approx(0.4, rel=0.05)


def test_all_faults_of_a_card_come_at_once() -> None:
    with pytest.raises(InputError) as caught:
        card_club(
            {
                "measured": {"lenght_in": 45, "swing_weight": "Q9", "loft_deg": "x", "head_mass_g": 2000},
                "stamped": 3,
                "sleeve_deg": "a",
                "place": "toe",
                "lies": [1],
                "settings": [0, 1],
            },
            "P3.toml",
        )
    text = str(caught.value)
    for words in (
        "Did you mean 'length_in'?",
        "column 'loft_deg': found 'x'",
        "found 'Q9'",
        "column 'head_mass_g': found 2000",
        "stamped: found 3",
        "column 'sleeve_deg': found 'a'",
        "place: found 'toe'",
        "1 lies for 2 settings",
    ):
        assert words in text
    assert text.count("\n") == 8


@pytest.mark.parametrize(("content", "words"), [(b"a = = 1", "syntax"), (b"\xff\xfe", "UTF-8")])
def test_unreadable_cards(tmp_path: Path, content: bytes, words: str) -> None:
    path = tmp_path / "P.toml"
    path.write_bytes(content)
    with pytest.raises(InputError, match=words):
        read_card(path)
    with pytest.raises(InputError, match="Name an existing file"):
        present_club(Kit((), ()), str(tmp_path / "none.toml"))


def kit() -> Kit:
    heads = (
        Head("H1", loft_deg=Reading(10.0), settings=(-1.0, 0.0, 1.0), lies=(0.0, 0.0, -0.5)),
        Head("H2", loft_deg=Reading(9.0), fits=("S2",)),
    )
    return Kit(heads, (Shaft("S1", playing_in=(45.0, 45.5, 46.0)), Shaft("S2")))


def test_present_club_of_the_kit() -> None:
    club = present_club(kit(), "H1/S1")
    assert isinstance(club, Club)
    assert club.code == "H1/S1 45.5in"
    other = from_kit(kit(), "H1/S1", 44.5, 1.0)
    assert other.code == "H1+1lie-0.5/S1 44.5in"
    assert other.loft().value == pytest.approx(11.0)


@pytest.mark.parametrize(
    ("text", "words"),
    [("H2/S1", "S1; allowed: S2"), ("H9/S1", "H1, H2"), ("H1", "CARD.toml, HEAD/SHAFT or unknown")],
)
def test_wrong_present_clubs(text: str, words: str) -> None:
    with pytest.raises(InputError, match=words):
        present_club(kit(), text)
    with pytest.raises(InputError, match="-1, \\+0, \\+1"):
        from_kit(kit(), "H1/S1", loft_change_deg=2.0)


values = st.one_of(
    st.none(),
    st.booleans(),
    st.integers(),
    st.floats(),
    st.text(max_size=8),
    st.lists(st.floats()),
    st.dictionaries(st.sampled_from(["value", "sd", "x"]), st.floats()),
)
names = st.sampled_from(["length_in", "loft_deg", "swing_weight", "total_mass_g", "weight_g", "flex", "x"])
tops = st.sampled_from(
    ["code", "sleeve_deg", "settings", "lies", "weights", "place", "measured", "stamped", "swaps_g"]
)


@settings(deadline=None, max_examples=300)
@given(st.dictionaries(tops, values), st.dictionaries(names, values), st.dictionaries(names, values))
def test_no_card_ends_in_a_traceback(top: dict, measured: dict, stamped: dict) -> None:
    with contextlib.suppress(InputError):
        card_club({"measured": measured, "stamped": stamped} | top)
