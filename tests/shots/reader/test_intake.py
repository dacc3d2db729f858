"""Reading plain logs: expected values are written by hand beside each file; the conversions are exact."""

import pickle

import numpy as np
import pytest

from fitter.base.errors import InputError
from fitter.base.units import UNITS
from fitter.shots import session, vocabulary
from fitter.shots.reader import grids, intake
from tests.support import counted_calls

PLAIN = (
    "shot,player,club speed (mph),ball speed (mph),attack (deg),path (deg),launch (deg),direction (deg),"
    "spin (rpm),spin axis (deg),strike toe (mm),carry (yd)\n"
    "1,P1,100,148,2.5,-1.5,12.5,-1,2510,3.5,-6,250\n"
    "2,P1,101.5,n/a,3,,13.5,2,2620,-4,4,\n"
)


def write(tmp_path, text, name="log.csv"):
    path = tmp_path / name
    path.write_bytes(text if isinstance(text, bytes) else text.encode())
    return path


def test_units_of_channels_exist():
    # closed form: the table of units itself
    for c in vocabulary.CHANNELS.values():
        assert c.unit is None or UNITS[c.unit].quantity == c.quantity


def test_plain_log_converts_exactly(tmp_path):
    s = intake.read(write(tmp_path, PLAIN))
    assert (s.player, s.hand, len(s)) == ("P1", "right", 2)
    # 1 mph = 0.44704 m/s, 1 yd = 0.9144 m: exact by definition (NIST SP 811, appendix B.8)
    np.testing.assert_allclose(s.values["club_speed_mps"], [44.704, 101.5 * 0.44704], rtol=1e-15)
    np.testing.assert_allclose(s.values["carry_m"], [228.6, np.nan], rtol=1e-15)
    assert np.isnan(s.values["ball_speed_mps"][1])
    assert np.isnan(s.values["path_deg"][1])
    assert list(s.row) == [2, 3]
    assert s.columns["launch (deg)"].channel == "launch_deg"


def test_canonical_names_are_headers(tmp_path):
    s = intake.read(write(tmp_path, "club_speed_mps,launch_deg,spin_rpm,strike_toe_mm\n50,12,2500,-3\n"))
    assert s.values["club_speed_mps"][0] == 50.0
    assert s.values["strike_toe_mm"][0] == -3.0


def test_left_handers_are_mirrored_and_mirrored_back(tmp_path):
    s = intake.read(write(tmp_path, PLAIN))
    left = intake.read(write(tmp_path, PLAIN), hand="left")
    # closed form: mirror symmetry; toe and heel do not flip
    for name in s.values:
        sign = (
            -1.0 if name in ("path_deg", "face_deg", "direction_deg", "spin_axis_deg", "offline_m") else 1.0
        )
        np.testing.assert_array_equal(left.values[name], sign * s.values[name])
        np.testing.assert_array_equal(left.mirrored().values[name], s.values[name])


def test_impossible_speed_is_set_aside(tmp_path):
    s = intake.read(write(tmp_path, PLAIN + "3,P1,-5,148,2,1,12,1,2400,1,0,240\n"))
    assert list(s.set_aside) == [False, False, True]
    flag = next(f for f in s.flags if f.set_aside)
    assert (flag.shot, flag.channel) == (3, "club_speed_mps")
    assert flag.found == pytest.approx(-5 * 0.44704)
    assert flag.unit == "m/s"
    assert len(s.kept()) == 2
    assert len(s) == 3


def test_several_players_need_a_choice(tmp_path):
    path = write(tmp_path, PLAIN + "3,P2,99,147,2,1,12,1,2400,1,0,240\n")
    with pytest.raises(InputError, match="P1, P2"):
        intake.read(path)
    assert len(intake.read(path, player="p2")) == 1
    assert [len(s) for s in intake.read_all(path)] == [2, 1]
    with pytest.raises(InputError, match="P1, P2"):
        intake.read(path, player="P9")


@pytest.mark.parametrize(
    ("data", "words"),
    [
        (b"", "empty"),
        (b"\n \n", "empty"),
        (bytes(range(256)) * 4, "binary"),
        (b"club speed (mph),launch (deg)\n", "no shots"),
        (b"a,b\n1,2\n", "no known column"),
        (b"club speed (furlongs),launch (deg)\n100,12\n", "furlongs"),
        (b"club speed,launch (deg)\n100,12\n", "no unit"),
        (b"club speed (deg),launch (deg)\n100,12\n", "deg"),
        (b"club speed (mph),launch (deg)\n100,twelve\n", "row 2, column 'launch"),
        (b"launch (deg),launch angle (deg)\n11,12\n", "two"),
        (b"hand,launch (deg)\nboth,12\n", "both"),
    ],
)
def test_bad_files_are_refused_in_words(tmp_path, data, words):
    with pytest.raises(InputError) as caught:
        intake.read(write(tmp_path, data))
    assert words in str(caught.value)
    for p in caught.value.problems:
        assert p.where.startswith("log.csv")
        assert all((p.found, p.allowed, p.do))


def test_all_problems_come_at_once(tmp_path):
    text = "club speed (furlongs),launch (stone),spin (rpm)\n100,12,x\n"
    with pytest.raises(InputError) as caught:
        intake.read(write(tmp_path, text))
    assert len(caught.value.problems) == 2
    with pytest.raises(InputError) as caught:
        intake.read(write(tmp_path, "launch (deg),spin (rpm)\nten,y\n12,z\n"))
    assert len(caught.value.problems) == 3


def test_missing_columns_are_all_named(tmp_path):
    s = intake.read(write(tmp_path, "club speed (mph),my launch\n100,12\n"))
    with pytest.raises(InputError) as caught:
        session.require(s, ["club_speed_mps", "launch_deg", "spin_rpm"])
    assert len(caught.value.problems) == 2
    assert "'my launch'" in str(caught.value)
    assert "launch angle" in str(caught.value)


def test_corrections_name_columns(tmp_path):
    path = write(tmp_path, "Vx,Q,club speed (mph)\n100,12,90\n")
    s = intake.read(path, header_map={"vx": "ball speed (mph)", "Q": "launch_deg", "club speed (mph)": ""})
    np.testing.assert_allclose(s.values["ball_speed_mps"], 44.704)
    assert s.values["launch_deg"][0] == 12.0
    assert not s.has("club_speed_mps")
    with pytest.raises(InputError, match="nonsense"):
        intake.read(path, header_map={"Q": "nonsense"})


def test_sessions_travel_to_other_processes(tmp_path):
    s = intake.read(write(tmp_path, PLAIN))
    t = pickle.loads(pickle.dumps(s))
    assert (t.player, t.flags, t.words) == (s.player, s.flags, s.words)
    for name in s.values:
        np.testing.assert_array_equal(t.values[name], s.values[name])
    with pytest.raises(TypeError):
        t.values["carry_m"] = np.zeros(2)


def test_taking_shots_keeps_their_numbers_and_flags(tmp_path):
    s = intake.read(write(tmp_path, PLAIN + "3,P1,-5,148,2,1,12,1,2400,1,0,240\n"))
    last = s.take(np.array([2]))
    assert (last.shot.tolist(), last.row.tolist(), last.set_aside.tolist()) == ([3], [4], [True])
    assert {f.shot for f in last.flags} == {3}
    assert s.kept().shot.tolist() == [1, 2]
    assert np.isnan(s.value("total_m")).all()
    assert s.word("build") == ("", "", "")
    assert not s.has("total_m")


def test_the_cost_of_reading_grows_linearly(tmp_path, monkeypatch):
    """Counted in calls of Python functions: three to five times as many for four times the shots."""
    rng = np.random.default_rng(1)
    head = "player," + PLAIN.split("\n")[0].partition("player,")[2] + "\n"
    calls, passes = {}, {"load": 0}
    load = grids.load

    def counted(path, **how):
        passes["load"] += 1
        return load(path, **how)

    monkeypatch.setattr(grids, "load", counted)
    for n in (500, 500, 2_000):
        table = rng.normal(
            [100, 148, 2, 0, 12, 0, 2500, 0, 0, 250], [2, 3, 1, 2, 1, 2, 200, 4, 9, 9], (n, 10)
        )
        rows = "".join(f"P{i % (n // 50)},{','.join(f'{v:.2f}' for v in r)}\n" for i, r in enumerate(table))
        path = write(tmp_path, head + rows)
        passes["load"] = 0
        # The first pass fills what is remembered between files.
        calls[n] = counted_calls(lambda path=path, n=n: sum(map(len, intake.read_all(path))) == n)
        assert passes["load"] == 1
    assert calls[2_000] < 5 * calls[500]
    assert calls[2_000] > 2 * calls[500]
