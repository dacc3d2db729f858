"""Header words, clubs and dates: common words of the trade, so the expected meaning is common practice."""

import pytest

from fitter.shots.reader import cells as dates
from fitter.shots.reader import headers
from fitter.shots.reader.synonyms import AMBIGUOUS, INGREDIENTS, SYNONYMS
from fitter.shots.vocabulary import CHANNELS


@pytest.mark.parametrize(
    ("header", "channel", "unit"),
    [
        ("Club Speed (mph)", "club_speed_mps", "speed"),
        ("CLUB SPEED [KM/H]", "club_speed_mps", "speed"),
        ("clubSpeedMph", "club_speed_mps", "speed"),
        ("club_speed_kmh", "club_speed_mps", "speed"),
        ("Speed of club (m/s)", "club_speed_mps", "speed"),
        ("Ball Speed in miles per hour", "ball_speed_mps", "speed"),
        ("Ball Launch Angle (°)", "launch_deg", "angle"),
        ("Launch°", "launch_deg", "angle"),
        ("launch dir. (deg)", "direction_deg", "angle"),
        ("Carry, yds.", "carry_m", "length"),
        ("Max. Height - ft", "apex_m", "length"),
        ("Angle of Attack", "attack_deg", None),
        ("Spin Rate (1/min)", "spin_rpm", "spin"),
        ("Backspin", "back_spin_rpm", None),
        ("Face to Path", "face_to_path_deg", None),
        ("Spin Loft", "", None),
        ("Swing Direction", "", None),
        ("Distance", "", None),
        ("Hang Time (s)", "", "time"),
        ("Landing Speed (mph)", "", "speed"),
        ("Ángulo de lanzamiento", "launch_deg", None),
    ],
)
def test_words_are_understood(header, channel, unit):
    match = headers.understand(header)
    assert match.channel == channel
    assert (match.unit.quantity if match.unit else None) == unit


def test_every_channel_understands_its_own_words():
    for name, words in {**SYNONYMS, **INGREDIENTS}.items():
        for word in words.split(", "):
            assert headers.understand(word).channel == name, word
            assert headers.understand(word.title().replace(" ", "_")).channel == name, word
    for name in CHANNELS:
        assert headers.understand(name).channel == name


def test_ambiguous_words_are_never_guessed():
    for words, options in AMBIGUOUS.items():
        match = headers.understand(words)
        assert (match.channel, match.could_be) == ("", options)


@pytest.mark.parametrize(
    "header", ["lie angle", "spin lofts", "swing planes", "landing spede", "wind sped (mph)"]
)
def test_other_things_are_not_taken_for_channels(header):
    assert headers.understand(header).channel == ""


@pytest.mark.parametrize(
    ("header", "sign"),
    [
        ("face (R+)", 1),
        ("face (L+)", -1),
        ("side [+ = left]", -1),
        ("side (right is negative)", -1),
        ("side", 1),
    ],
)
def test_signs_in_headers(header, sign):
    assert headers.understand(header).sign == sign


def test_clubs():
    for word in ("Driver", "DR", "1W", "1-Wood", "driver A"):
        assert headers.is_driver(word)
        assert not headers.is_other(word)
    for word in ("7i", "7 Iron", "PW", "Sand Wedge", "3W", "4 hybrid", "Putter", "56 deg", "i7"):
        assert headers.is_other(word)
    for word in ("H4/S2", "", "my favourite"):
        assert not headers.is_club(word)


@pytest.mark.parametrize(
    ("cells", "expected"),
    [
        (["2024-05-13T13:05:00Z"], "2024-05-13T13:05:00"),
        (["2024-05-13 13:05:07.250"], "2024-05-13T13:05:07"),
        (["13.05.2024 13:05"], "2024-05-13T13:05:00"),
        (["13/5/24 1:05 pm"], "2024-05-13T13:05:00"),
        (["5/13/2024 1:05:09 PM"], "2024-05-13T13:05:09"),
        (["13 May 2024"], "2024-05-13"),
        (["May 13, 2024 1:05 PM"], "2024-05-13T13:05:00"),
        (["1:05 PM"], "13:05:00"),
        (["1715605500"], "2024-05-13T13:05:00"),
        (["1715605500000"], "2024-05-13T13:05:00"),
        (["after lunch"], "after lunch"),
        (["31/31/2024"], "31/31/2024"),
    ],
)
def test_dates(cells, expected):
    assert dates.iso(cells)[0][0] == expected


def test_a_date_that_may_be_two_is_left_as_written():
    cells, notice = dates.iso(["03/04/2024", "05/04/2024"])
    assert cells == ["03/04/2024", "05/04/2024"]
    assert "day/month" in notice
